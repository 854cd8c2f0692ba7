import math
from dataclasses import replace

import numpy as np
import pytest

from coupling_bodies import (
    END_MM,
    LINER,
    LINER_MM,
    body,
    limb_of,
    person,
    round_end,
    round_limb_and_socket,
    seat_on,
    socket_of,
)
from limbwright.assess.plan import Liner, LinerMaterial
from limbwright.core.errors import DesignRefused
from limbwright.core.findings import Severity
from limbwright.core.frame import Side
from limbwright.couple.axis import distal_axis, seat_frame, tilted
from limbwright.couple.checks import seat_findings
from limbwright.couple.hardware import cavity_of
from limbwright.couple.misfit import misfit_findings, target_misfit
from limbwright.couple.plan import CouplePlan, CouplingKind, CouplingPlan, SeatAxis
from limbwright.couple.seating import place_seat, seat_basis, seat_coupling
from limbwright.prove.result import Pose
from limbwright.shape.result import TrimLine

LEAN = (0.06, -0.04)
"""Outward and forward per millimetre down."""


def seated(lean=(0.0, 0.0), liner=LINER, **coupling):
    plan = CouplePlan(coupling=CouplingPlan(**coupling))
    return seat_on(plan.coupling, lean, liner=liner), plan


def codes(seat, plan, shape=None):
    shape = shape or round_limb_and_socket()[1]
    found = seat_findings(seat, cavity_of(seat, shape.model), plan, person(), shape)
    return {finding.code: finding for finding in found}


def angle_deg(a, b):
    return math.degrees(math.acos(np.clip(a @ b, -1.0, 1.0)))


def test_the_distal_axis_of_a_leaning_limb_leans_as_it_does():
    limb, _ = round_limb_and_socket(LEAN)
    true = np.array([LEAN[0], LEAN[1], -1.0])
    axis = distal_axis(limb.surface)
    assert angle_deg(axis.direction, true / np.linalg.norm(true)) < 0.01
    assert axis.direction[2] < 0.0


def test_a_chosen_axis_stands_at_the_tilt_that_was_chosen():
    axis = tilted(10.0, 0.0)
    assert angle_deg(axis, np.array([0.0, 0.0, -1.0])) == pytest.approx(10.0)
    assert axis[1] > 0.0  # flexion: the distal end forward
    assert tilted(0.0, 10.0)[0] < 0.0  # adduction: the distal end inward


def test_the_cap_is_the_liner_under_the_limb_and_the_spacing_is_exact():
    seat, _ = seated(spacing_mm=3.7)
    assert seat.cap_mm == pytest.approx([0.0, 0.0, -END_MM - LINER_MM], abs=1e-9)
    assert seat.face_mm == pytest.approx(seat.cap_mm + 3.7 * seat.axis, abs=1e-12)


def test_the_spacing_is_exact_on_a_tilted_and_shifted_axis():
    seat, _ = seated(
        LEAN,
        axis=SeatAxis.CHOSEN,
        tilt_forward_deg=8.0,
        tilt_inward_deg=-5.0,
        offset_o_mm=4.0,
        spacing_mm=2.5,
    )
    gap = seat.face_mm - seat.cap_mm
    assert np.linalg.norm(gap) == pytest.approx(2.5, abs=1e-9)
    assert gap @ seat.axis == pytest.approx(2.5, abs=1e-9)


def test_a_limb_scanned_in_its_liner_gets_no_second_liner():
    limb, shape = round_limb_and_socket()
    over = socket_of(limb, shape.model, liner_mm=0.0)
    seat = place_seat(
        seat_basis(limb, over.liner_mm),
        over,
        CouplingPlan(),
        LINER,
        10.0,
    )
    assert seat.cap_mm[2] == pytest.approx(-END_MM, abs=1e-9)


def test_without_a_liner_the_cap_is_the_limb_itself():
    bare = Liner(material=LinerMaterial.NONE)
    seat, _ = seated(liner=bare)
    assert seat.cap_mm[2] == pytest.approx(-END_MM, abs=1e-9)


def test_body_and_floor_lie_between_face_and_base():
    seat = seat_on(CouplingPlan(body_height_mm=28.0), LEAN, floor_mm=12.0)
    assert (seat.base_mm - seat.face_mm) @ seat.axis == pytest.approx(40.0)
    assert seat.floor_mm == 12.0


def test_the_screws_stand_on_a_square_about_the_axis_in_the_base_plane():
    seat, _ = seated(LEAN, screw_square_mm=36.0)
    screws = seat.screws_mm
    assert screws.mean(axis=0) == pytest.approx(seat.base_mm, abs=1e-9)
    assert (screws - seat.base_mm) @ seat.axis == pytest.approx(np.zeros(4), abs=1e-9)
    sides = np.linalg.norm(screws - np.roll(screws, 1, axis=0), axis=1)
    assert sides == pytest.approx(np.full(4, 36.0), abs=1e-9)
    radii = np.linalg.norm(screws - seat.base_mm, axis=1)
    assert radii == pytest.approx(np.full(4, 36.0 / math.sqrt(2.0)), abs=1e-9)


@pytest.mark.parametrize(
    ("angle", "direction"), [(0.0, [1, 0, 0]), (90.0, [0, 1, 0]), (180.0, [-1, 0, 0])]
)
def test_the_exit_points_outward_at_0_forward_at_90_and_inward_at_180(angle, direction):
    seat, _ = seated(exit_angle_deg=angle)
    assert seat.exit_direction == pytest.approx(direction, abs=1e-9)


def test_the_exit_is_square_to_a_tilted_axis():
    seat, _ = seated(LEAN, exit_angle_deg=130.0)
    assert seat.exit_direction @ seat.axis == pytest.approx(0.0, abs=1e-12)
    assert np.linalg.norm(seat.exit_direction) == pytest.approx(1.0)


def test_an_exit_towards_the_shin_is_warned_of_and_others_are_not():
    assert "exit-on-shin-side" in codes(*seated(exit_angle_deg=90.0))
    assert "exit-on-shin-side" in codes(*seated(exit_angle_deg=50.0))
    for angle in (180.0, 0.0, 270.0, -90.0):
        assert "exit-on-shin-side" not in codes(*seated(exit_angle_deg=angle))


def test_an_exit_into_a_low_trim_line_stops_the_job():
    seat, plan = seated(exit_angle_deg=180.0)
    _, shape = round_limb_and_socket()
    points = shape.trim.points_mm.copy()
    points[points[:, 0] < -40.0, 2] = seat.face_mm[2] - 16.0
    low = replace(shape, trim=TrimLine(points, {}))
    assert codes(seat, plan, low)["exit-meets-trim"].severity is Severity.STOP
    assert "exit-clear-of-trim" in codes(*seated(exit_angle_deg=0.0), low)


def test_screws_that_would_cut_the_body_stop_the_job():
    # corner of a 36 mm square at 25.5 mm, screw 6 mm, body radius 26 mm
    found = codes(*seated(body_diameter_mm=52.0))
    assert found["screws-cut-body"].severity is Severity.STOP
    assert "screws-cut-body" not in codes(*seated(body_diameter_mm=58.0))


def test_a_body_whose_diameter_is_a_default_ends_no_job_by_itself():
    # corner of a 40 mm square at 28.3 mm, screw 6 mm, remembered body radius 30 mm
    told = codes(*seated(screw_square_mm=40.0))["screws-cut-body"]
    assert told.severity is Severity.NOT_ESTABLISHED
    assert "enter your part's" in told.text


def test_a_body_narrower_than_the_screw_square_leaves_the_screws_beside_it():
    assert "screws-beside-body" in codes(*seated(body_diameter_mm=40.0))


def test_a_coupling_on_the_distal_axis_faces_the_target_squarely():
    seat, plan = seated(LEAN, axis=SeatAxis.DISTAL)
    assert seat.tilt_deg == pytest.approx(0.0, abs=1e-6)
    assert seat.offset_mm == pytest.approx(0.0, abs=1e-6)
    assert target_misfit(seat, plan, None) == (
        seat.tilt_deg,
        seat.offset_mm,
    )


def test_a_coupling_on_the_limb_axis_is_off_by_what_the_limb_leans():
    seat, _ = seated((0.1, 0.0), axis=SeatAxis.LIMB)
    assert seat.tilt_deg == pytest.approx(math.degrees(math.atan(0.1)), abs=0.01)
    # the target lies under the tip of the leaning limb, ten liner millimetres along its axis
    tip = 0.1 * END_MM + LINER_MM * math.sin(math.atan(0.1))
    assert seat.offset_mm == pytest.approx(tip, abs=0.3)


def test_an_offset_seat_is_off_by_its_offset():
    seat, _ = seated(axis=SeatAxis.LIMB, offset_o_mm=3.0, offset_f_mm=-4.0)
    assert seat.offset_mm == pytest.approx(5.0, abs=1e-6)
    assert seat.tilt_deg == pytest.approx(0.0, abs=1e-6)


def test_a_limb_that_tilts_in_the_socket_tilts_and_carries_the_target():
    seat, plan = seated()
    tilt_rad = math.radians(6.0)
    pose = Pose(np.zeros(3), np.array([tilt_rad, 0.0, 0.0]))
    tilt_deg, offset_mm = target_misfit(seat, plan, pose)
    assert tilt_deg == pytest.approx(6.0, abs=1e-9)
    assert offset_mm == pytest.approx((END_MM + LINER_MM) * math.sin(tilt_rad), abs=1e-6)


def test_a_limb_that_shifts_or_turns_about_its_axis_does_not_tilt_the_target():
    seat, plan = seated()
    pose = Pose(np.array([1.0, -2.0, -3.0]), np.array([0.0, 0.0, 0.2]))
    tilt_deg, offset_mm = target_misfit(seat, plan, pose)
    assert tilt_deg == pytest.approx(0.0, abs=1e-6)
    assert offset_mm == pytest.approx(math.hypot(1.0, 2.0), abs=1e-6)


def test_a_magnet_is_within_tolerance_at_9_degrees_and_not_at_11():
    plan = CouplePlan()
    within = misfit_findings(plan, {"late_stance": (9.0, 0.0)}, "prove")
    beyond = misfit_findings(plan, {"late_stance": (11.0, 0.0)}, "prove")
    # common practice without a source: told, not approved
    assert within[0].severity is Severity.NOTE
    assert beyond[0].severity is Severity.WARNING
    assert beyond[0].limit == 10.0
    assert beyond[0].stage == "prove"


def test_only_a_stated_tolerance_ends_the_job():
    plan = CouplePlan(coupling=CouplingPlan(tolerance_tilt_deg=4.0, tolerance_offset_mm=2.0))
    tilt, offset = misfit_findings(plan, {"unloaded": (5.0, 1.0)})
    assert tilt.severity is Severity.STOP
    assert offset.severity is Severity.OK


def test_a_pin_without_a_stated_tolerance_is_never_passed():
    plan = CouplePlan(coupling=CouplingPlan(kind=CouplingKind.PIN))
    for finding in misfit_findings(plan, {"unloaded": (0.0, 0.0)}):
        assert finding.severity is Severity.NOT_ESTABLISHED


def test_suspension_without_a_target_has_no_misfit():
    seat, plan = seated(LEAN, kind=CouplingKind.SUCTION)
    pose = Pose(np.ones(3), np.full(3, 0.1))
    assert target_misfit(seat, plan, pose) == (0.0, 0.0)
    assert misfit_findings(plan, {"unloaded": (0.0, 0.0)}) == ()


def test_an_axis_beside_the_limb_is_refused():
    limb = limb_of(body(round_end(25.0, 150.0), 150.0))
    shape = socket_of(limb, limb.surface)
    aside = CouplingPlan(axis=SeatAxis.LIMB, offset_o_mm=30.0)
    with pytest.raises(DesignRefused, match="beside the end of the limb"):
        place_seat(seat_basis(limb, shape.liner_mm), shape, aside, LINER, 10.0)


def test_a_seat_frame_is_right_handed_and_square():
    frame = seat_frame(tilted(12.0, -7.0))
    assert frame.T @ frame == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(frame) == pytest.approx(1.0)


def test_left_and_right_are_the_same_in_the_limb_frame():
    right, left = (seat_on(CouplingPlan(), LEAN, side=side) for side in Side)
    for name in ("axis", "face_mm", "base_mm", "screws_mm", "exit_direction"):
        assert np.array_equal(getattr(right, name), getattr(left, name))


def test_the_whole_stage_says_all_that_its_parts_say():
    limb, shape = round_limb_and_socket()
    plan = CouplePlan(coupling=CouplingPlan(exit_angle_deg=80.0))
    coupling = seat_coupling(limb, shape, plan, person(), LINER)
    said = {finding.code for finding in coupling.findings}
    assert said >= {
        "parts-fit",
        "target-tilt-unloaded",
        "target-offset-unloaded",
        "exit-on-shin-side",
        "exit-clear-of-trim",
        "magnet-and-activity",
        "model-comes-out",
    }
    assert coupling.withdrawal.catch_mm == 0.0
    assert coupling.limb_withdrawal.catch_mm == 0.0
    assert len(coupling.additions) == 1
    assert all(finding.stage == "couple" for finding in coupling.findings)
