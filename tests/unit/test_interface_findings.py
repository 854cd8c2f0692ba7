"""What the first estimate says: it warns, doubts and notes, but fails nobody."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from interface_bodies import (
    area_at,
    capped,
    limb_of,
    load,
    prepared_bed,
    revolved,
    socket_of,
)
from limbwright.capture.result import Limb
from limbwright.core.findings import Finding, Severity
from limbwright.core.sources import Basis, Confidence
from limbwright.prove.interface.balance import donned_balance
from limbwright.prove.interface.engine import run_all
from limbwright.prove.interface.findings import interface_findings
from limbwright.prove.interface.sensitivity import poisson_sensitivity
from limbwright.prove.interface.spring_bed import SPRING_BED
from limbwright.shape.plan import AreaName
from limbwright.shape.result import PlacedArea

STANDING = load("standing", (0, 0, 400.0))


def body() -> Limb:
    heights = np.linspace(-120, 20, 50)
    mesh = revolved(lambda u: 48.0 + 0.06 * u, heights, 90)
    return limb_of(capped(mesh, 90), 20.0)


def area(
    name: AreaName, at: tuple[float, float, float], depth_mm: float, radius_mm: float = 16.0
) -> PlacedArea:
    return area_at(body(), name, np.array(at), depth_mm, radius_mm)


def say(
    areas: tuple[PlacedArea, ...] = (),
    press_mm: float = 2.0,
    loads: tuple[object, ...] = (STANDING,),
    basis: Basis = Basis.GIVEN,
    with_sensitivity: bool = False,
) -> dict[str, list[Finding]]:
    """Findings by code."""
    limb = body()
    limb = replace(limb, bones=replace(limb.bones, basis=basis, cover_sd_mm=3.0))
    shape = socket_of(limb, press_mm, areas=areas)
    prepared = prepared_bed(limb)
    fitted = SPRING_BED.with_socket(prepared, shape)
    result = run_all(SPRING_BED, fitted, loads)  # type: ignore[arg-type]
    sensitivity = poisson_sensitivity(prepared, shape, None, STANDING) if with_sensitivity else None
    found = interface_findings(
        result,
        fitted.zones,
        areas,
        limb.bones,
        donned_balance(result, fitted.zones, areas),
        sensitivity,
    )
    by_code: dict[str, list[Finding]] = {}
    for finding in found:
        assert finding.stage == "prove"
        assert finding.limit is None or finding.source is not None
        by_code.setdefault(finding.code, []).append(finding)
    return by_code


def test_the_label_stands_among_the_findings_with_its_caution() -> None:
    (finding,) = say()["first-estimate"]
    assert "not validated on people" in finding.text
    assert finding.severity is Severity.NOTE


def test_pressure_over_a_limit_of_low_confidence_warns_and_never_fails() -> None:
    hot = (area(AreaName.DISTAL_FIBULA, (45.0, 0, -60), -4.0),)
    (finding,) = say(hot)["area-pressure"]
    assert finding.severity is Severity.WARNING
    assert finding.value is not None
    assert finding.limit == 130.0
    assert finding.value > 130.0
    assert finding.source is not None
    assert finding.source.confidence is Confidence.LOW
    assert "decides nothing" in finding.text


def test_pressure_under_such_a_limit_is_no_pass_either() -> None:
    spared = (area(AreaName.FIBULAR_HEAD, (46.0, 0, -20), 4.0),)
    (finding,) = say(spared)["area-pressure"]
    assert finding.severity is Severity.NOTE


def test_a_place_without_a_figure_is_not_established() -> None:
    (finding,) = say((area(AreaName.LATERAL_PRETIBIAL, (33, 33, -40), -3.0),))["tolerance-unknown"]
    assert finding.severity is Severity.NOT_ESTABLISHED
    assert "lateral pretibial" in finding.text


def test_an_unanswered_medial_load_area_warns_and_an_answered_pair_does_not() -> None:
    medial = area(AreaName.MEDIAL_TIBIAL_FLARE, (-46.0, 0, -40), -8.0, 28.0)
    lateral = area(AreaName.FIBULAR_SHAFT, (46.0, 0, -40), -8.0, 28.0)
    (alone,) = say((medial,))["donned-balance"]
    (pair,) = say((medial, lateral))["donned-balance"]
    assert alone.severity is Severity.WARNING
    assert "no lateral load area answers it" in alone.text
    assert alone.where == "medial_tibial_flare"
    assert pair.severity is Severity.OK


def test_a_load_area_that_does_not_bear_in_standing_is_named() -> None:
    shallow = (area(AreaName.POPLITEAL, (0.0, -46.0, -40), -0.2),)
    (finding,) = say(shallow, press_mm=-2.0)["load-area-without-contact"]
    assert finding.severity is Severity.WARNING
    assert finding.where == "popliteal"
    assert "load-area-without-contact" not in say(shallow)


def test_pressures_that_no_socket_was_measured_at_are_not_established() -> None:
    codes = say(press_mm=9.0)
    assert codes["beyond-belief"]
    assert all(f.severity is Severity.NOT_ESTABLISHED for f in codes["beyond-belief"])
    assert "beyond-belief" not in say(press_mm=2.0)


def test_estimated_bones_are_said_with_their_spread() -> None:
    (estimated,) = say(basis=Basis.ESTIMATED)["bones-under-pressure"]
    (given,) = say(basis=Basis.GIVEN)["bones-under-pressure"]
    assert estimated.basis is Basis.ESTIMATED
    assert "±3 mm" in estimated.text
    assert given.basis is Basis.GIVEN


def test_the_distal_end_is_shown_with_what_was_measured() -> None:
    (finding,) = say()["distal-end"]
    assert finding.value is not None
    assert 0 <= finding.value <= 100
    assert "1.1 to 6.4 % of body weight" in finding.text


def test_an_end_that_carries_more_than_was_measured_may_bottom_out() -> None:
    (finding,) = say()["distal-end"]
    assert finding.severity is Severity.WARNING
    assert finding.value is not None
    assert finding.limit == 6.4
    assert finding.value > 6.4
    assert "bottom out" in finding.text


def test_poissons_ratio_is_shown_to_matter_by_computing_with_the_other_end_of_its_range() -> None:
    # confined modulus grows (1-nu)/((1+nu)(1-2nu)) from 3.79 E to 17.1 E: pressure of a given
    # interference grows 4.5-fold, that of a given load does not
    limb = body()
    prepared = prepared_bed(limb)
    nothing = load("donned", (0, 0, 0))
    found = poisson_sensitivity(prepared, socket_of(limb, 1.0), None, nothing)
    assert found is not None
    assert (found.used, found.other) == (0.45, 0.49)
    assert 3.0 < found.mean_kpa[1] / found.mean_kpa[0] < 4.6
    (finding,) = say(with_sensitivity=True)["poisson-sensitivity"]
    assert "0.49 instead of 0.45" in finding.text


@pytest.mark.parametrize(
    ("way", "words"),
    [
        ((-46.0, 0, -50), "laterally"),
        ((46.0, 0, -50), "medially"),
        ((0, -46.0, -50), "anteriorly"),
        ((0, 46.0, -50), "posteriorly"),
        ((-33.0, -33.0, -50), "laterally and anteriorly"),
    ],
)
def test_the_direction_of_the_push_is_said_in_the_words_of_the_trade(
    way: tuple[float, float, float], words: str
) -> None:
    pad = area(AreaName.MEDIAL_PRETIBIAL, way, -9.0, 28.0)
    (finding,) = say((pad,))["donned-balance"]
    assert f"mm {words} by the medial pretibial" in finding.text


def test_the_sense_of_a_turn_is_said_by_where_the_limbs_end_goes() -> None:
    # pressing medially high up and laterally low down turns the distal end medially
    high = area(AreaName.MEDIAL_TIBIAL_FLARE, (-48.0, 0, 0), -12.0, 28.0)
    low = area(AreaName.DISTAL_FIBULA, (41.0, 0, -100), -12.0, 28.0)
    (finding,) = say((high, low))["donned-balance"]
    assert "distal end medial" in finding.text
