"""The seat's axis between target and adapters, against rotations by another library."""

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from coupling_bodies import LINER, person, round_limb_and_socket
from limbwright.align.plan import AlignPlan
from limbwright.align.stand import bench_stand
from limbwright.core.findings import Severity
from limbwright.couple.axis import Line
from limbwright.couple.balance import BenchStand, Hang, adapter_deg, balanced_line, hang
from limbwright.couple.plan import CouplePlan, CouplingKind, CouplingPlan, PartsPlan, SeatAxis
from limbwright.couple.seating import seat_coupling
from limbwright.couple.tables import ADAPTER_RANGE_DEG

DOWN = np.array([0.0, 0.0, -1.0])
UP = -DOWN
TARGET = Line(np.array([5.0, -3.0, -170.0]), DOWN)
LEAN = (0.12, -0.16)
"""Outward and forward per mm down: a limb whose end leans 11 degrees off the upright."""
PARTS = PartsPlan(datum_floor_mm=480.0, plate_mm=15.0, foot_mm=65.0)


def hanging(foot, up=UP, drop_mm=60.0, range_deg=8.0):
    stand = BenchStand(np.asarray(foot, float), np.asarray(up, float))
    return Hang(stand, drop_mm, range_deg, ADAPTER_RANGE_DEG.source)


def straight_below(distance_mm=300.0):
    return hanging(TARGET.point_mm + distance_mm * DOWN)


def seated(axis, **coupling):
    limb, shape = round_limb_and_socket(LEAN)
    plan = CouplePlan(coupling=CouplingPlan(axis=axis, **coupling), parts=PARTS)
    stand = bench_stand(AlignPlan(), person(), shape, plan.parts)
    return seat_coupling(limb, shape, plan, person(), LINER, stand=stand)


def test_adapters_of_a_straight_leg_stand_at_nothing():
    assert adapter_deg(TARGET.point_mm, DOWN[None], straight_below())[0] == pytest.approx(0.0)


def test_a_seat_that_leans_turns_the_adapter_by_its_lean_and_the_ball_s_shift():
    # seat 6 degrees forward: the ball moves 60 sin 6 forward, the tube leans back under it
    lean = np.radians(6.0)
    way = Rotation.from_rotvec([lean, 0.0, 0.0]).apply(DOWN)
    ball_f, ball_u = 60.0 * np.sin(lean), -60.0 * np.cos(lean)
    tube = np.arctan2(ball_f, 300.0 + ball_u)
    found = adapter_deg(TARGET.point_mm, way[None], straight_below())[0]
    assert found == pytest.approx(6.0 + np.degrees(tube), abs=1e-9)


def test_a_seat_that_is_good_as_it_is_stays_square_to_the_target():
    line = balanced_line(TARGET, straight_below(), 5.0)
    assert line.direction == pytest.approx(DOWN)
    assert line.point_mm == pytest.approx(TARGET.point_mm)


@pytest.mark.parametrize("lean_deg", [7.0, 9.0])
def test_the_seat_turns_by_no_more_than_leaves_the_adapters_their_reserve(lean_deg):
    way = Rotation.from_euler("x", lean_deg, degrees=True).apply(DOWN)
    target, below = Line(TARGET.point_mm, way), straight_below()
    line = balanced_line(target, below, 5.0)
    tilt = np.degrees(np.arccos(np.clip(line.direction @ way, -1.0, 1.0)))
    assert adapter_deg(target.point_mm, line.direction[None], below)[0] <= 6.0 + 1e-9
    # a quarter of a degree less does not suffice in any direction
    sides = np.radians(np.arange(0.0, 360.0, 2.0))
    less = np.radians(tilt - 0.5)
    square = np.linalg.svd(way[None])[2][1:]
    around = np.cos(sides)[:, None] * square[0] + np.sin(sides)[:, None] * square[1]
    ways = np.cos(less) * way + np.sin(less) * around
    assert (adapter_deg(target.point_mm, ways, below) > 6.0).all()


def test_what_cannot_be_reached_is_come_as_near_to_as_the_target_allows():
    way = Rotation.from_euler("x", 20.0, degrees=True).apply(DOWN)
    line = balanced_line(Line(TARGET.point_mm, way), straight_below(), 5.0)
    tilt = np.degrees(np.arccos(line.direction @ way))
    assert tilt == pytest.approx(5.0, abs=1e-6)
    upright = np.degrees(np.arccos(line.direction @ DOWN))
    assert upright == pytest.approx(15.0, abs=0.1)


def test_the_balanced_seat_keeps_target_and_adapters_where_neither_axis_alone_does():
    distal, limb, balanced = (
        seated(axis) for axis in (SeatAxis.DISTAL, SeatAxis.LIMB, SeatAxis.BALANCED)
    )
    by_axis = {choice.axis: choice for choice in balanced.axes}
    assert by_axis[SeatAxis.DISTAL].adapter_deg > 8.0
    assert by_axis[SeatAxis.LIMB].offset_mm > 15.0
    taken = by_axis[SeatAxis.BALANCED]
    assert taken.taken
    assert taken.adapter_deg < by_axis[SeatAxis.DISTAL].adapter_deg - 4.0
    assert balanced.seat.offset_mm == pytest.approx(0.0, abs=0.01)
    assert balanced.seat.tilt_deg == pytest.approx(taken.tilt_deg, abs=1e-6)
    assert balanced.seat.tilt_deg <= 5.0 + 1e-6  # half of a magnet's 10 degrees
    assert distal.seat.tilt_deg == pytest.approx(0.0, abs=1e-6)
    assert limb.seat.offset_mm == pytest.approx(by_axis[SeatAxis.LIMB].offset_mm, abs=0.2)


def test_the_trade_off_is_told_with_all_axes_and_warns_beyond_the_range():
    told = {f.code: f for f in seated(SeatAxis.DISTAL).findings}
    beyond = told["seat-axis-beyond-adapters"]
    assert beyond.severity is Severity.WARNING
    assert (beyond.limit, beyond.unit) == (8.0, "deg")
    assert "long axis" in beyond.text
    assert "between target and adapters" in beyond.text


def test_the_socket_s_axis_is_that_of_its_inside():
    found = seated(SeatAxis.SOCKET).seat.axis
    true = np.array([*LEAN, -1.0])
    assert np.degrees(np.arccos(found @ true / np.linalg.norm(true))) < 0.3


def test_without_a_stand_the_balanced_axis_is_the_distal_one():
    limb, shape = round_limb_and_socket(LEAN)
    plan = CouplePlan(parts=PARTS)
    coupling = seat_coupling(limb, shape, plan, person(), LINER)
    assert coupling.axes == ()
    assert coupling.seat.tilt_deg == pytest.approx(0.0, abs=1e-6)


def test_the_way_down_to_the_ball_counts_what_stands_there():
    _, shape = round_limb_and_socket(LEAN)
    stand = bench_stand(AlignPlan(), person(), shape, PARTS)
    coupling = CouplingPlan(body_height_mm=30.0, spacing_mm=3.0)
    assert hang(CouplePlan(coupling=coupling, parts=PARTS), stand, 10.0).drop_mm == 58.0
    sleeve = CouplingPlan(kind=CouplingKind.SLEEVE)
    assert hang(CouplePlan(coupling=sleeve, parts=PARTS), stand, 10.0).drop_mm == 25.0
