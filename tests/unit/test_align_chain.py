import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from leg_bodies import straight_leg
from limbwright.align.adapters import adapters_of
from limbwright.align.adjust import moved_leg
from limbwright.align.chain import (
    Tilt,
    about_forward,
    about_outward,
    about_up,
    below_carried_above,
    below_carried_below,
    datum_height_mm,
    stand,
    tilt_from_direction,
    tilt_from_up,
)
from limbwright.align.moves import FootChange, change_between
from limbwright.align.screws import degrees_per_turn


def with_tilts(leg, socket=(0.0, 0.0), foot=(0.0, 0.0)):
    return replace(
        leg,
        socket=Tilt(*(math.radians(angle) for angle in socket)),
        foot=Tilt(*(math.radians(angle) for angle in foot)),
    )


@pytest.mark.parametrize(
    ("turn", "axis"), [(about_outward, "x"), (about_forward, "y"), (about_up, "z")]
)
def test_rotations_are_those_of_a_general_library(turn, axis):
    assert turn(0.3) == pytest.approx(Rotation.from_euler(axis, 0.3).as_matrix(), abs=1e-15)


def test_a_straight_leg_hangs_down_the_limb_s_axis():
    points = stand(straight_leg()).points_mm
    heights = {
        "datum": 0.0,
        "socket_base": -185.0,
        "socket_adapter": -200.0,
        "pylon_top": -220.0,
        "pylon_bottom": -380.0,
        "foot_adapter": -400.0,
        "ankle": -400.0,  # 80 mm over the ground, as the adapter here
        "heel": -480.0,
        "toe": -480.0,
    }
    for name, u_mm in heights.items():
        assert points[name][2] == pytest.approx(u_mm)
        assert points[name][0] == pytest.approx(0.0)
    assert points["toe"][1] - points["heel"][1] == pytest.approx(260.0)
    assert points["heel"][1] == pytest.approx(-65.0)  # a quarter of the foot
    assert datum_height_mm(stand(straight_leg())) == pytest.approx(480.0)


@pytest.mark.parametrize(
    ("between_mm", "angle_deg", "shift_mm", "loss_mm"),
    [
        # shift = L sin(angle), loss = L (1 - cos(angle))
        (100.0, 1.0, 1.7, 0.02),
        (100.0, 4.0, 7.0, 0.24),
        (200.0, 1.0, 3.5, 0.03),
        (200.0, 2.0, 7.0, 0.12),
        (200.0, 4.0, 14.0, 0.49),
        (300.0, 4.0, 20.9, 0.73),
        (200.0, 8.0, 27.8, 1.95),
    ],
)
@pytest.mark.parametrize("plane", ["flexion", "adduction"])
def test_opposed_angulation_shifts_the_foot_and_costs_height(
    between_mm, angle_deg, shift_mm, loss_mm, plane
):
    leg = straight_leg(between_mm)
    angles = (angle_deg, 0.0) if plane == "flexion" else (0.0, angle_deg)
    opposed = with_tilts(leg, angles, tuple(-angle for angle in angles))
    change = change_between(leg, opposed)
    forward, outward = (shift_mm, 0.0) if plane == "flexion" else (0.0, shift_mm)
    assert change.forward_mm == pytest.approx(forward, abs=0.06)
    assert change.outward_mm == pytest.approx(outward, abs=0.06)
    assert change.flexion_deg == pytest.approx(0.0, abs=1e-12)
    assert change.adduction_deg == pytest.approx(0.0, abs=1e-12)
    loss = datum_height_mm(stand(leg)) - datum_height_mm(stand(opposed))
    assert loss == pytest.approx(loss_mm, abs=0.01)


def test_opposed_angulation_in_both_planes_keeps_the_foot_parallel_exactly():
    leg = straight_leg()
    opposed = with_tilts(leg, (5.0, -6.0), (-5.0, 6.0))
    assert stand(opposed).foot_axes == pytest.approx(np.eye(3), abs=1e-15)


def test_a_shift_of_14_mm_over_200_mm_asks_for_four_degrees_at_each_adapter():
    moved = moved_leg(straight_leg(), FootChange(14.0, 0.0, 0.0, 0.0), adapters_of(()))
    assert math.degrees(moved.socket.flexion_rad) == pytest.approx(4.01, abs=0.01)
    assert math.degrees(moved.foot.flexion_rad) == pytest.approx(-4.01, abs=0.01)
    assert math.degrees(moved.socket.flexion_rad) == pytest.approx(
        math.degrees(math.asin(14.0 / 200.0)), abs=1e-9
    )


def test_a_flexed_socket_leans_forward_over_its_pylon():
    # the limb held still, the foot swings forward; the socket stands forward over the pylon
    pose = stand(with_tilts(straight_leg(), socket=(5.0, 0.0)))
    assert pose.points_mm["foot_adapter"][1] > 0.0
    limb_up_in_pylon = pose.pylon_axes.T @ np.array([0.0, 0.0, 1.0])
    assert limb_up_in_pylon[1] == pytest.approx(math.sin(math.radians(5.0)))


def test_an_adducted_socket_leans_outward_and_sets_the_foot_outward():
    pose = stand(with_tilts(straight_leg(), socket=(0.0, 5.0)))
    assert pose.points_mm["foot_adapter"][0] > 0.0
    limb_up_in_pylon = pose.pylon_axes.T @ np.array([0.0, 0.0, 1.0])
    assert limb_up_in_pylon[0] == pytest.approx(math.sin(math.radians(5.0)))


def test_dorsiflexion_lifts_the_toe_and_positive_adduction_the_outer_border():
    up = stand(with_tilts(straight_leg(), foot=(5.0, 0.0)))
    assert up.points_mm["toe"][2] > up.points_mm["heel"][2]
    border = stand(with_tilts(straight_leg(), foot=(0.0, 5.0))).foot_axes[:, 0]
    assert border[2] > 0.0


def test_toe_out_turns_the_toes_outward_and_leaves_the_line_of_progression():
    pose = stand(straight_leg(toe_out_rad=math.radians(6.0)))
    foot = pose.points_mm["toe"] - pose.points_mm["heel"]
    assert math.degrees(math.atan2(foot[0], foot[1])) == pytest.approx(6.0)
    assert pose.ground_axes == pytest.approx(np.eye(3), abs=1e-12)


def test_angles_are_read_back_as_they_were_set():
    tilt = Tilt(0.11, -0.07)
    down = -below_carried_above(tilt)[:, 2]
    above = tilt_from_direction(down)
    below = tilt_from_up(below_carried_below(tilt)[:, 2])
    for read in (above, below):
        assert read.flexion_rad == pytest.approx(tilt.flexion_rad, abs=1e-14)
        assert read.adduction_rad == pytest.approx(tilt.adduction_rad, abs=1e-14)


@pytest.mark.parametrize(
    ("pitch_mm", "arm_mm", "degrees"),
    [
        # atan(pitch / arm)
        (1.0, 10.0, 5.7),
        (1.0, 12.0, 4.8),
        (1.0, 14.0, 4.1),
        (1.25, 10.0, 7.1),
        (1.25, 12.0, 5.95),
        (1.25, 14.0, 5.1),
    ],
)
def test_degrees_per_turn_follow_from_pitch_and_arm(pitch_mm, arm_mm, degrees):
    assert degrees_per_turn(pitch_mm, arm_mm) == pytest.approx(degrees, abs=0.05)
