import math
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from leg_bodies import straight_leg
from limbwright.align.adjust import (
    SCREWS,
    FootChange,
    change_between,
    leg_after_turns,
    moved_leg,
)
from limbwright.align.chain import Tilt, about_forward, about_outward, stand
from limbwright.align.plan import AdapterPlace, AdapterPlan
from limbwright.align.result import ScrewTurn
from limbwright.align.screws import screw_to_drive, turns_between

shifts = st.floats(-15.0, 15.0)
tilts = st.floats(-6.0, 6.0)
changes = st.builds(FootChange, shifts, shifts, tilts, tilts)
angles = st.floats(-0.12, 0.12)
legs = st.builds(
    lambda between, a, b, c, d, toe, seat_f, seat_a: replace(
        straight_leg(between, toe),
        socket=Tilt(a, b),
        foot=Tilt(c, d),
        plate_axes=about_outward(seat_f) @ about_forward(seat_a),
    ),
    st.floats(90.0, 350.0),
    angles,
    angles,
    angles,
    angles,
    st.floats(-0.2, 0.3),
    angles,
    angles,
)


@settings(max_examples=80, deadline=None)
@given(legs, changes)
def test_what_is_wanted_is_what_the_exact_angles_give(leg, wanted):
    reached = change_between(leg, moved_leg(leg, wanted))
    assert math.isclose(reached.forward_mm, wanted.forward_mm, abs_tol=1e-8)
    assert math.isclose(reached.outward_mm, wanted.outward_mm, abs_tol=1e-8)
    assert math.isclose(reached.flexion_deg, wanted.flexion_deg, abs_tol=1e-8)
    assert math.isclose(reached.adduction_deg, wanted.adduction_deg, abs_tol=1e-8)


@settings(max_examples=60, deadline=None)
@given(legs, changes, st.floats(0.75, 1.5), st.floats(9.0, 16.0))
def test_from_shift_to_screw_turns_and_back_all_four_mixed(leg, wanted, pitch_mm, arm_mm):
    adapters = {
        place: AdapterPlan(place=place, screw_pitch_mm=pitch_mm, screw_arm_mm=arm_mm)
        for place in AdapterPlace
    }
    exact = moved_leg(leg, wanted)
    turns = []
    for plane, place in SCREWS:
        start, end = (
            getattr(one.socket if place is AdapterPlace.SOCKET else one.foot, f"{plane}_rad")
            for one in (leg, exact)
        )
        count = turns_between(start, end, adapters[place])
        turns.append(ScrewTurn(place.value, screw_to_drive(plane, count), abs(count)))
    reached = change_between(leg, leg_after_turns(leg, tuple(turns), adapters))
    assert abs(reached.forward_mm - wanted.forward_mm) < 0.1
    assert abs(reached.outward_mm - wanted.outward_mm) < 0.1
    assert abs(reached.flexion_deg - wanted.flexion_deg) < 0.05
    assert abs(reached.adduction_deg - wanted.adduction_deg) < 0.05


@settings(max_examples=40, deadline=None)
@given(legs, shifts, shifts)
def test_a_pure_shift_leaves_the_foot_level_and_never_lengthens_an_upright_leg(leg, forward, out):
    upright = replace(
        leg, socket=Tilt(0.0, 0.0), foot=Tilt(0.0, 0.0), plate_axes=straight_leg().plate_axes
    )
    moved = moved_leg(upright, FootChange(forward, out, 0.0, 0.0))
    before, after = stand(upright), stand(moved)
    assert math.isclose(after.foot_axes[2, 2], before.foot_axes[2, 2], abs_tol=1e-12)
    rise = after.points_mm["foot_adapter"][2] - before.points_mm["foot_adapter"][2]
    reach = upright.between_adapters_mm
    expected = reach - math.sqrt(reach**2 - forward**2 - out**2)
    assert math.isclose(rise, expected, abs_tol=1e-9)


@settings(max_examples=40, deadline=None)
@given(legs)
def test_lengths_of_the_chain_do_not_depend_on_its_angles(leg):
    points = stand(leg).points_mm
    spans = [
        ("socket_base", "socket_adapter", leg.plate_mm),
        ("socket_adapter", "pylon_top", leg.socket_adapter_mm),
        ("pylon_top", "pylon_bottom", leg.pylon_mm),
        ("pylon_bottom", "foot_adapter", leg.foot_adapter_mm),
        ("heel", "toe", leg.foot_length_mm),
    ]
    for first, second, length in spans:
        assert math.isclose(math.dist(points[first], points[second]), length, abs_tol=1e-9)
