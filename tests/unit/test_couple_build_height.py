import csv
from dataclasses import replace

import numpy as np
import pytest

from coupling_bodies import person, seat_on
from limbwright.core.errors import DoesNotFit
from limbwright.core.findings import Severity
from limbwright.core.sources import Basis
from limbwright.couple.build_height import (
    build_height,
    datum_floor,
    height_finding,
    part_heights,
    pylon_length_mm,
)
from limbwright.couple.plan import CouplePlan, CouplingKind, CouplingPlan, PartsPlan, SeatAxis
from limbwright.couple.tables import DATUM_FROM_STATURE

STATED = PartsPlan(
    datum_floor_mm=450.0,
    plate_mm=12.0,
    socket_adapter_mm=20.0,
    foot_adapter_mm=22.0,
    foot_mm=70.0,
    shoe_heel_mm=10.0,
    pylon_minimum_mm=70.0,
)
BODY = {"body_height_mm": 30.0, "spacing_mm": 3.0}


def height_of(parts=STATED, end_mm=150.0, **coupling):
    plan = CouplePlan(coupling=CouplingPlan(**{**BODY, **coupling}), parts=parts)
    return build_height(seat_on(plan.coupling, end_mm=end_mm), plan, person())


def test_parts_and_pylon_add_up_to_the_height_of_the_datum_exactly():
    height = height_of()
    total = sum(item.height_mm for item in height.items) + height.pylon_mm
    assert total == pytest.approx(450.0, abs=1e-9)


def test_the_pylon_is_what_a_sum_on_paper_leaves():
    # 450 - (150 limb + 10 cap + 3 spacing + 30 body + 10 floor + 12 + 20 + 22 + 70 + 10)
    assert height_of().pylon_mm == pytest.approx(113.0, abs=1e-6)


@pytest.mark.parametrize("kind", list(CouplingKind))
def test_the_sum_is_exact_for_every_kind_and_a_tilted_seat(kind):
    height = height_of(kind=kind, axis=SeatAxis.CHOSEN, tilt_forward_deg=7.0, tilt_inward_deg=-4.0)
    total = sum(item.height_mm for item in height.items) + height.pylon_mm
    assert total == pytest.approx(450.0, abs=1e-9)


def test_parts_that_fit_say_what_is_left():
    height = height_of()
    assert height_finding(height).severity is Severity.OK
    assert pylon_length_mm(height) == height.pylon_mm


def test_a_long_limb_is_refused_with_the_millimetres_that_are_missing():
    # 60 mm more limb: the tube of 113 mm becomes 53 mm, 17 mm short of 70 mm
    height = height_of(end_mm=210.0)
    finding = height_finding(height)
    assert finding.severity is Severity.STOP
    assert "17.0 mm too high" in finding.text
    with pytest.raises(DoesNotFit, match=r"17\.0 mm too high") as refused:
        pylon_length_mm(height)
    assert refused.value.message.startswith(finding.text)
    assert "a lower coupling, foot or clamp" in refused.value.message
    assert finding.remedy == "a lower coupling, foot or clamp"
    assert finding.entry == "couple.coupling.kind"
    assert refused.value.fields["short_mm"] == pytest.approx(17.0, abs=1e-6)


def test_a_short_fall_within_the_defaults_range_is_not_established_and_names_the_millimetres():
    defaults = PartsPlan(datum_floor_mm=400.0)
    height = height_of(parts=defaults, end_mm=160.0, body_height_mm=None)
    short_mm = height.pylon_minimum_mm - height.pylon_mm
    assert 0.0 < short_mm < height.slack_mm
    finding = height_finding(height)
    assert finding.severity is Severity.NOT_ESTABLISHED
    assert f"{short_mm:.1f} mm too high" in finding.text
    assert finding.basis is Basis.DEFAULT
    assert pylon_length_mm(height) == height.pylon_mm


def test_no_tube_at_all_is_refused_whatever_the_defaults():
    height = replace(height_of(), pylon_mm=-4.0, slack_mm=500.0)
    with pytest.raises(DoesNotFit, match=r"74\.0 mm too high"):
        pylon_length_mm(height)


def test_stated_heights_leave_no_slack():
    assert part_heights(STATED).slack_mm == 0.0
    assert part_heights(STATED).basis is Basis.GIVEN
    assert part_heights(PartsPlan()).slack_mm > 0.0


def test_neither_a_remembered_tube_nor_an_estimated_datum_refuses_by_itself():
    # 42 mm more limb leave 71 mm of tube: 4 mm short of the remembered shortest of 75 mm, which
    # may be 70. People of one stature differ by 14 mm in the datum's height.
    remembered = STATED.model_copy(update={"pylon_minimum_mm": None})
    assert height_of(parts=remembered, end_mm=192.0).slack_mm == pytest.approx(5.0)
    assert height_finding(height_of(parts=remembered, end_mm=192.0)).severity is (
        Severity.NOT_ESTABLISHED
    )
    estimated = STATED.model_copy(update={"datum_floor_mm": None})
    assert height_of(parts=estimated).slack_mm == pytest.approx(DATUM_FROM_STATURE.sd_mm)


def test_parts_that_fit_by_remembered_heights_are_told_and_not_approved():
    told = height_finding(height_of(parts=PartsPlan(datum_floor_mm=500.0), body_height_mm=None))
    assert told.code == "parts-fit"
    assert told.severity is Severity.NOTE


def test_a_measured_datum_is_given_and_an_estimated_one_says_so():
    assert datum_floor(STATED, person()) == (450.0, Basis.GIVEN)
    mm, basis = datum_floor(PartsPlan(shoe_heel_mm=25.0), person(stature_mm=1750.0))
    barefoot, _ = datum_floor(PartsPlan(shoe_heel_mm=0.0), person(stature_mm=1750.0))
    assert basis is Basis.ESTIMATED
    assert mm - barefoot == pytest.approx(25.0)
    assert "estimated" in height_finding(height_of(parts=PartsPlan())).text


def test_the_estimate_of_the_datum_is_the_regression_of_the_open_survey(shared_data):
    with (shared_data / "anthropometry.csv").open() as file:
        rows = list(csv.DictReader(file))
    stature = np.array([float(row["stature_mm"]) for row in rows])
    height = np.array([float(row["tibialheight_mm"]) for row in rows])
    men = np.array([row["sex"] == "male" for row in rows])
    weight = np.where(men, 1.0 / men.sum(), 1.0 / (~men).sum())
    slope, intercept = np.polyfit(stature, height, 1, w=np.sqrt(weight))
    rest = height - (intercept + slope * stature)
    line = DATUM_FROM_STATURE
    assert line.slope == pytest.approx(slope, abs=1e-4)
    assert line.intercept_mm == pytest.approx(intercept, abs=0.2)
    assert line.sd_mm == pytest.approx(np.sqrt((weight * rest**2).sum() / 2), abs=0.2)
