"""What is said about strength, and what is never said."""

import math
from types import SimpleNamespace

import numpy as np
import pytest

from limbwright.core.findings import Severity
from limbwright.core.sources import Basis, Origin
from limbwright.couple.plan import CouplePlan, CouplingPlan, PartsPlan
from limbwright.couple.tables import FIT_CLEARANCE_MM
from limbwright.prove.materials import allowable
from limbwright.prove.plan import MaterialPlan, ProvePlan, SocketProcess
from limbwright.prove.reference_loads import reference_loads
from limbwright.prove.strength import strength
from limbwright.prove.strength_findings import (
    EXIT,
    FLOOR,
    OPEN_WALL,
    PULL_THROUGH,
    PYLON,
    SCREWS,
    SOCKET_PLACES,
    WALL,
    strength_findings,
)
from limbwright.prove.strength_tables import MATERIALS
from proof_bodies import round_socket, seat_at, shape_of, straight_leg

ALL_PROCESSES = [
    (SocketProcess.WALKING_CAST, "cast_tape"),
    *((material.process, key) for key, material in MATERIALS.items() if key != "cast_tape"),
]
STRONG = MaterialPlan(strength_mpa=400.0, source="own coupon test")


def proved(plan=None, level="P5", couple=None, trim_u_mm=20.0):
    return strength(
        shape_of(round_socket(), trim_u_mm),
        seat_at(),
        straight_leg(),
        SimpleNamespace(load_level=level),
        plan if plan is not None else ProvePlan(),
        couple if couple is not None else CouplePlan(),
    )


def finding(result, code):
    return next(item for item in result.findings if item.code == code)


def margins(result):
    return {check.name: check.margin for check in result.checks}


@pytest.mark.parametrize(
    ("angle_deg", "side"), [(0, "lateral"), (90, "anterior"), (180, "medial"), (270, "posterior")]
)
def test_a_wall_cut_by_the_exit_says_on_which_side_the_hole_is_and_where_it_is_most_stressed(
    angle_deg, side
):
    seat = seat_at()
    towards = math.radians(angle_deg)
    seat.exit_direction = np.array([math.cos(towards), math.sin(towards), 0.0])
    found = strength(
        shape_of(round_socket(), 20.0),
        seat,
        straight_leg((0.0, 60.0)),
        SimpleNamespace(load_level="P5"),
        ProvePlan(),
        CouplePlan(coupling=CouplingPlan(exit_angle_deg=angle_deg)),
    )
    stressed = {}
    for check in (one for one in found.checks if one.name == EXIT):
        assert f"hole for button, lanyard or valve, which lies {side};" in check.text
        stressed[check.angle_deg] = check.place
    assert stressed
    for at_deg, place in stressed.items():
        # the eighth of a turn about the limb's axis in which the greatest stress was found
        names = ("lateral", "anterior-lateral", "anterior", "anterior-medial")
        names += ("medial", "posterior-medial", "posterior", "posterior-lateral")
        eighth = names[round((at_deg % 360.0) / 45.0) % 8]
        assert place.endswith(f", most stressed in the {eighth} wall")


def test_what_the_exit_cuts_is_told_with_the_thickness_that_is_computed_there():
    # screws on 60 mm: 60/√2 + 6/2 + 5 mm of boss, less half a body of 60 mm with its clearance
    wide = proved(couple=CouplePlan(coupling=CouplingPlan(screw_square_mm=60.0)))
    usual = proved(couple=CouplePlan(coupling=CouplingPlan(screw_square_mm=36.0)))
    boss_mm = 60.0 / math.sqrt(2.0) + 3.0 + 5.0 - 30.0 - FIT_CLEARANCE_MM.value
    said = {
        name: [c.text for c in one.checks if c.name == EXIT]
        for name, one in (("wide", wide), ("usual", usual))
    }
    assert all(text.startswith(f"Boss of {boss_mm:.1f} mm round") for text in said["wide"])
    assert all(text.startswith("Wall of 5.0 mm (cut by") for text in said["usual"])
    assert said["wide"]
    assert said["usual"]


@pytest.mark.parametrize(("process", "material"), ALL_PROCESSES)
def test_the_weakest_place_of_an_even_wall_is_the_distal_attachment(process, material):
    # Current, Kogler and Barth 1999: all of 10 composite sockets failed at the distal attachment;
    # Kim et al. 2022: printed and laminated sockets failed mostly there.
    plan = ProvePlan(process=process, material=material, wall_mm=5.0, distal_plate_mm=10.0)
    if material == "cast_tape":
        plan = plan.model_copy(update={"own_material": STRONG})
    result = proved(plan)
    assert finding(result, "strength-weakest-place").where == "distal attachment"


@pytest.mark.parametrize("material", ["knit_laminate", "glass_laminate", "carbon_laminate"])
def test_an_ordinary_composite_socket_does_not_reach_4025_n(material):
    # Current, Kogler and Barth 1999: none of 10 composite sockets reached 4025 N.
    plan = ProvePlan(process=SocketProcess.LAMINATED, material=material, distal_plate_mm=5.0)
    verdict = finding(proved(plan), "strength-compared")
    assert verdict.severity is Severity.WARNING
    assert verdict.value < 1.0


def test_a_walking_cast_without_a_coupon_test_is_never_more_than_not_established():
    plan = ProvePlan(
        process=SocketProcess.WALKING_CAST, material="cast_tape", layers=40, distal_plate_mm=40.0
    )
    result = proved(plan)
    verdict = finding(result, "strength-compared")
    assert verdict.severity is Severity.NOT_ESTABLISHED
    assert verdict.value is None
    for code in ("strength-wall", "strength-pull-through", "strength-distal-plate"):
        told = finding(result, code)
        assert told.severity is Severity.NOT_ESTABLISHED
        assert "coupon" in told.text
    assert all(item.severity is not Severity.OK for item in result.findings)


def test_a_walking_cast_is_for_supervised_use_between_bars_whatever_its_figures():
    plan = ProvePlan(process=SocketProcess.WALKING_CAST, material="cast_tape", own_material=STRONG)
    told = finding(proved(plan), "walking-cast-supervised")
    assert "supervised use between bars" in told.text


@pytest.mark.parametrize("missing", SOCKET_PLACES)
def test_without_a_result_for_any_place_strength_is_not_established(missing):
    plan = ProvePlan(own_material=STRONG, distal_plate_mm=40.0, wall_mm=15.0)
    whole = proved(plan)
    assert finding(whole, "strength-compared").severity is Severity.NOTE
    rest = tuple(check for check in whole.checks if check.name != missing)
    found = strength_findings(
        rest, reference_loads("P5", straight_leg()), allowable(plan), plan, shape_of(round_socket())
    )
    verdict = next(item for item in found if item.code == "strength-compared")
    assert verdict.severity is Severity.NOT_ESTABLISHED
    assert missing in verdict.text


def test_a_socket_without_a_closed_ring_of_wall_is_not_established():
    plan = ProvePlan(own_material=STRONG, distal_plate_mm=40.0)
    result = proved(plan, trim_u_mm=-106.0)
    assert WALL not in margins(result)
    assert finding(result, "strength-compared").severity is Severity.NOT_ESTABLISHED


def test_above_the_highest_level_what_holds_is_not_established_and_what_breaks_is_told():
    # Forces above P5 (100 kg) are not established; they are not lower than those of P5.
    strong = ProvePlan(own_material=STRONG, distal_plate_mm=40.0, wall_mm=15.0)
    result = proved(strong, level=None)
    assert margins(result) == margins(proved(strong, level="P5"))
    verdict = finding(result, "strength-compared")
    assert verdict.severity is Severity.NOT_ESTABLISHED
    assert "up to 100 kg only" in verdict.text
    assert finding(result, "strength-wall").severity is Severity.NOT_ESTABLISHED
    weak = finding(proved(ProvePlan(distal_plate_mm=5.0), level=None), "strength-compared")
    assert weak.severity is Severity.WARNING
    assert "this person needs more" in weak.text


def test_the_weakest_place_says_where_on_the_leg_it_is():
    result = proved(ProvePlan(distal_plate_mm=6.0))
    weakest = result.detail.weakest
    told = finding(result, "strength-weakest-place")
    assert weakest.place == told.where
    assert weakest.share == pytest.approx(1.0 / told.value)
    told_with = next(item for item in result.checks if item.name == weakest.check)
    assert "N·m across the coupling's axis at the socket's base" in told_with.text
    # at the socket's base, 150 mm below the datum
    assert weakest.point_mm[2] == pytest.approx(-150.0)
    assert weakest.level_mm == pytest.approx(150.0)


def test_a_thin_wall_is_the_weakest_place_and_its_point_lies_in_the_wall():
    plan = ProvePlan(wall_mm=1.0, distal_plate_mm=40.0, material="pa12_print")
    weakest = proved(plan).detail.weakest
    assert weakest.check in (WALL, OPEN_WALL, EXIT)
    o, f, _ = weakest.point_mm
    assert 25.0 < (o**2 + f**2) ** 0.5 < 52.0
    assert 0.0 <= weakest.angle_deg < 360.0


def test_a_socket_that_nobody_measured_is_told_as_a_default():
    assert "by default" in finding(proved(), "strength-on-defaults").text
    stated = proved(ProvePlan(wall_mm=5.0, distal_plate_mm=10.0))
    assert not [item for item in stated.findings if item.code == "strength-on-defaults"]


@pytest.mark.parametrize(("process", "material"), ALL_PROCESSES)
@pytest.mark.parametrize("level", ["P3", "P5", None])
def test_no_socket_is_ever_said_to_pass_a_standard(process, material, level):
    # Gerschutz et al. 2012: the standard does not include prosthetic sockets.
    plan = ProvePlan(process=process, material=material, own_material=STRONG)
    result = proved(plan, level)
    for text in [item.text for item in result.findings] + [check.text for check in result.checks]:
        assert "pass" not in text.lower()
        assert "certif" not in text.lower()
    for check in result.checks:
        assert "not a conformity test" in check.text


def test_every_judged_place_carries_value_limit_unit_and_source():
    result = proved()
    for name in (*SOCKET_PLACES, PYLON):
        told = finding(result, "strength-" + name.replace(" ", "-"))
        assert told.value is not None
        assert told.limit is not None
        assert told.unit in ("MPa", "N")
        assert told.source is not None
        assert told.where


def test_what_holds_is_told_and_never_approved_even_with_an_own_figure():
    # Offsets of the load lines are from memory, and sockets are outside the standard.
    result = proved(ProvePlan(own_material=STRONG, distal_plate_mm=40.0, wall_mm=15.0))
    assert all(margin > 1.0 for margin in margins(result).values())
    assert all(item.severity is not Severity.OK for item in result.findings)
    assert finding(result, "strength-compared").source.origin is Origin.MEMORY


def test_a_tube_that_would_not_bear_ordinary_steps_asks_for_a_better_tube():
    # 30 x 0.5 mm: the cyclic force, 1150 N of 2013 N, already yields 6061-T6.
    thin = CouplePlan(parts=PartsPlan(pylon_wall_mm=0.5))
    told = finding(proved(couple=thin), "strength-pylon")
    assert told.severity is Severity.STOP
    assert "stronger tube" in told.remedy
    assert told.entry == "couple.parts.pylon_outside_mm"
    assert "material's best strength" not in told.text


def test_the_lightest_level_says_that_its_load_line_is_borrowed():
    assert "P4" in finding(proved(level="P3"), "load-line-borrowed").text
    assert not [f for f in proved(level="P4").findings if f.code == "load-line-borrowed"]


def test_a_plate_that_would_not_bear_ordinary_steps_stops_the_job():
    # A washer of 12 mm shears π·12·2 mm² of 2 mm plate at 38/2 MPa: 1.4 kN, while the cyclic
    # force of P5 condition II, 1150 N of 4025 N, pulls the worst screw with 1.8 kN.
    told = finding(proved(ProvePlan(distal_plate_mm=2.0)), "strength-pull-through")
    assert told.severity is Severity.STOP
    thick = finding(proved(ProvePlan(distal_plate_mm=10.0)), "strength-pull-through")
    assert thick.severity is Severity.WARNING


def test_screws_of_class_8_8_hold_what_the_plate_round_them_does_not():
    # M6 on 36 mm at P5 condition II: 5.5 to 7.8 kN against 11.7 kN of proof load.
    result = proved()
    screws = next(check for check in result.checks if check.name == SCREWS)
    assert 5.5e3 < screws.demand < 7.8e3
    assert screws.capacity == pytest.approx(11.7e3, rel=0.01)
    assert margins(result)[SCREWS] > 1.0 > margins(result)[PULL_THROUGH]


def test_a_2_mm_tube_bears_the_p5_proof_force_without_yielding():
    # 30 x 2.0 mm of 6061-T6: 211 MPa in bending at the ankle's 244 N·m, yield 276 MPa.
    pylon = next(check for check in proved().checks if check.name == PYLON)
    assert 211 < pylon.demand < 230
    assert pylon.margin > 1.0
    thin = CouplePlan(parts=PartsPlan(pylon_wall_mm=1.0))
    assert margins(proved(couple=thin))[PYLON] < 1.0


def test_an_unusual_screw_diameter_is_not_established_and_says_what_to_choose():
    odd = CouplePlan(coupling=CouplingPlan(screw_diameter_mm=7.3))
    result = proved(couple=odd)
    told = finding(result, "strength-screw-tension")
    assert told.severity is Severity.NOT_ESTABLISHED
    assert "M6" in told.text
    assert finding(result, "strength-compared").severity is Severity.NOT_ESTABLISHED


def test_printed_pla_warns_of_heat_and_other_prints_do_not():
    # Glass transition of PLA 55 to 65 °C, of PETG 75 to 85 °C.
    told = finding(proved(ProvePlan(material="pla_print")), "material-softens-in-heat")
    assert told.value == 55.0
    assert told.unit == "°C"
    codes = [item.code for item in proved(ProvePlan(material="petg_print")).findings]
    assert "material-softens-in-heat" not in codes


def test_a_formed_check_socket_warns_of_its_thin_end():
    # Heavy-gauge forming: 1:1 depth to width loses 40 to 55 %.
    plan = ProvePlan(process=SocketProcess.CHECK_SOCKET, material="petg_sheet")
    told = finding(proved(plan), "forming-thins-distal-end")
    assert told.value == pytest.approx((107.0 + 20.0) / 100.0, rel=0.01)
    assert "40 to 55 %" in told.text


@pytest.mark.parametrize("name", [PULL_THROUGH, FLOOR])
def test_a_thicker_plate_is_never_weaker(name):
    values = [margins(proved(ProvePlan(distal_plate_mm=t)))[name] for t in (4, 6, 8, 12, 20)]
    assert values == sorted(values)


def test_a_thicker_wall_is_never_weaker_and_a_heavier_level_never_lighter():
    values = [margins(proved(ProvePlan(wall_mm=t)))[WALL] for t in (2, 3, 4, 6, 10)]
    assert values == sorted(values)
    by_level = [min(margins(proved(level=level)).values()) for level in ("P3", "P4", "P5")]
    assert by_level == sorted(by_level, reverse=True)


def test_own_figures_are_told_as_given_and_a_wall_or_plate_by_default_is_not():
    stated = ProvePlan(own_material=STRONG, wall_mm=5.0, distal_plate_mm=10.0)
    for plan, bases in ((stated, {Basis.GIVEN}), (ProvePlan(own_material=STRONG), {Basis.DEFAULT})):
        checks = proved(plan).checks
        assert {c.capacity_basis for c in checks if c.name in (WALL, FLOOR)} == bases
