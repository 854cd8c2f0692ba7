"""Target against face, exit and screws: what is told, and which way out is proposed."""

import math
from dataclasses import replace

import numpy as np
import pytest

from coupling_bodies import person, round_limb_and_socket, seat_on
from limbwright.core.findings import Severity
from limbwright.couple.axis import exit_direction
from limbwright.couple.checks import exit_gap_mm, free_exit_deg, seat_findings
from limbwright.couple.figures import coupling_figures
from limbwright.couple.hardware import cavity_of
from limbwright.couple.misfit import edge_gap_mm, misfit_findings
from limbwright.couple.plan import CouplePlan, CouplingKind, CouplingPlan
from limbwright.shape.result import TrimLine

DEG = math.degrees
CASES = {"standing": (1.0, 0.5), "early_stance": (4.0, 2.0), "late_stance": (2.0, 1.5)}


def told(plan, cases=CASES):
    found = misfit_findings(CouplePlan(coupling=plan), cases, "prove")
    return {finding.unit: finding for finding in found}


def shape_with_trim(points):
    _, shape = round_limb_and_socket()
    return replace(shape, trim=TrimLine(np.asarray(points, float), {}))


def checked(plan, shape=None, **more):
    shape = shape or round_limb_and_socket()[1]
    seat = seat_on(plan, **more)
    cavity = cavity_of(seat, shape.model)
    found = seat_findings(seat, cavity, CouplePlan(coupling=plan), person(), shape)
    return {finding.code: finding for finding in found}


def test_a_flat_target_of_50_mm_tilted_by_10_degrees_opens_8_7_mm():
    assert edge_gap_mm(50.0, 10.0) == pytest.approx(8.68, abs=0.01)  # 50 sin 10


def test_every_load_case_is_told_with_the_worst_first_and_what_is_to_spare():
    tilt = told(CouplingPlan(tolerance_tilt_deg=6.0))["deg"]
    assert tilt.severity is Severity.OK
    assert "4.0 degrees of tilt (early stance; standing 1.0, late stance 2.0)" in tilt.text
    assert "2.0 to spare" in tilt.text
    assert tilt.code == "target-tilt-early-stance"


def test_whether_a_target_seats_itself_is_the_part_s_property():
    unknown = told(CouplingPlan())["deg"].text
    assert "Unless it seats itself, a flat target of 50 mm opens 3.5 mm" in unknown
    swivels = told(CouplingPlan(self_seating=True))["deg"]
    assert "seats itself on the face" in swivels.text
    assert swivels.limit == 10.0
    rigid = told(CouplingPlan(self_seating=False))["deg"]
    assert rigid.severity is Severity.NOT_ESTABLISHED
    assert rigid.limit is None
    stated = CouplingPlan(self_seating=False, tolerance_tilt_deg=5.0)
    assert told(stated)["deg"].limit == 5.0
    assert coupling_figures(stated).self_seating is False


def test_the_common_face_is_told_for_a_magnet_alone():
    # x = 2/50: 2/pi (acos x - x sqrt(1 - x^2)) = 94.9 %
    assert "share 95 % of a disc of 50 mm" in told(CouplingPlan())["mm"].text
    assert "share" not in told(CouplingPlan(kind=CouplingKind.PIN))["mm"].text


def test_an_exit_that_meets_the_trim_line_is_told_with_the_nearest_free_direction():
    plan = CouplingPlan(exit_angle_deg=180.0, body_height_mm=30.0)
    seat = seat_on(plan)
    middle = seat.face_mm + 15.0 * seat.axis
    # a trim line that dips to the exit on the inner side, from 150 to 210 degrees
    ring = [
        middle
        + 70.0 * exit_direction(seat.axis, angle)
        + (0.0 if 150 <= angle <= 210 else 120.0) * np.array([0.0, 0.0, 1.0])
        for angle in range(0, 360, 2)
    ]
    shape = shape_with_trim(ring)
    found = checked(plan, shape)["exit-meets-trim"]
    assert found.severity is Severity.STOP
    free = free_exit_deg(seat, plan, shape)
    assert exit_gap_mm(seat, plan, shape, free) >= 10.0
    # 17 mm (10 and the bore's radius) beside a ring of 70 mm are 14 degrees: 225 or 135
    aside = DEG(math.asin(17.0 / 70.0))
    assert abs(free - 180.0) == pytest.approx(30.0 + aside, abs=5.0)
    assert f"({free:.0f})" in found.remedy
    assert found.entry == "couple.coupling.exit_angle_deg"
    nearer = (free + 180.0) / 2.0
    assert exit_gap_mm(seat, plan, shape, nearer) < 10.0


def test_an_exit_on_the_shin_is_turned_no_farther_than_it_must():
    plan = CouplingPlan(exit_angle_deg=80.0)
    _, shape = round_limb_and_socket()
    assert free_exit_deg(seat_on(plan), plan, shape) == pytest.approx(45.0)
    assert "(45)" in checked(plan)["exit-on-shin-side"].remedy
    free = CouplingPlan(exit_angle_deg=200.0)
    assert free_exit_deg(seat_on(free), free, shape) == 200.0


def test_where_no_direction_is_free_none_is_proposed():
    plan = CouplingPlan(body_height_mm=30.0)
    seat = seat_on(plan)
    middle = seat.face_mm + 15.0 * seat.axis
    ring = [middle + 70.0 * exit_direction(seat.axis, angle) for angle in range(0, 360, 2)]
    shape = shape_with_trim(ring)
    assert free_exit_deg(seat, plan, shape) is None
    assert "no direction is free" in checked(plan, shape)["exit-meets-trim"].remedy


def test_screws_must_stand_apart():
    assert checked(CouplingPlan())["screws-apart"].value == pytest.approx(36.0 - 6.5)
    close = checked(CouplingPlan(screw_square_mm=20.0, screw_diameter_mm=12.0))
    assert close["screws-too-close"].severity is Severity.WARNING
    assert close["screws-too-close"].value == pytest.approx(7.5)


def test_screws_of_a_socket_without_a_body_keep_clear_of_the_inside():
    # the floor's top is the tip of a round end of 60 mm: at 25.5 mm aside the inside is higher
    found = checked(CouplingPlan(kind=CouplingKind.SLEEVE))["screws-clear-of-limb"]
    aside = 36.0 / math.sqrt(2.0)
    assert found.value == pytest.approx(60.0 - math.sqrt(60.0**2 - aside**2), abs=0.1)
    assert "screws-clear-of-limb" not in checked(CouplingPlan(body_diameter_mm=60.0))
