import math
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from leg_bodies import straight_leg
from limbwright.align.adapters import adapters_of, joint_of
from limbwright.align.adjust import after_steps, leg_after_turns, moved_leg
from limbwright.align.bench import with_settings
from limbwright.align.chain import Tilt, about_forward, about_outward, stand
from limbwright.align.freedoms import freedoms_of, value_of
from limbwright.align.moves import FootChange, change_between, change_of_pose, moved_pose
from limbwright.align.plan import AdapterKind, AdapterPlace, AdapterPlan
from limbwright.align.result import ScrewTurn
from limbwright.align.screws import screw_to_drive, turns_for

PYRAMIDS = adapters_of(())

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
    reached = change_between(leg, moved_leg(leg, wanted, PYRAMIDS))
    assert math.isclose(reached.forward_mm, wanted.forward_mm, abs_tol=1e-8)
    assert math.isclose(reached.outward_mm, wanted.outward_mm, abs_tol=1e-8)
    assert math.isclose(reached.flexion_deg, wanted.flexion_deg, abs_tol=1e-8)
    assert math.isclose(reached.adduction_deg, wanted.adduction_deg, abs_tol=1e-8)


@settings(max_examples=60, deadline=None)
@given(legs, changes, st.floats(0.75, 1.5), st.floats(9.0, 16.0))
def test_from_shift_to_screw_turns_and_back_all_four_mixed(leg, wanted, pitch_mm, arm_mm):
    adapters = adapters_of(
        [
            AdapterPlan(place=place, screw_pitch_mm=pitch_mm, screw_arm_mm=arm_mm)
            for place in AdapterPlace
        ]
    )
    exact = moved_leg(leg, wanted, adapters)
    turns = []
    for one in freedoms_of(adapters):
        count = turns_for(value_of(leg, one), value_of(exact, one), pitch_mm, arm_mm)
        turns.append(ScrewTurn(one.adapter.name, screw_to_drive(one.what, count), abs(count)))
    assert_close(change_between(leg, leg_after_turns(leg, tuple(turns), adapters)), wanted)


azimuths = st.floats(-180.0, 180.0)
mixed_plans = st.builds(
    lambda slide, turn, clamp, offset, tilt, size, order: [
        AdapterPlan(place=AdapterPlace.SOCKET, kind=AdapterKind.SLIDE, azimuth_deg=slide),
        AdapterPlan(place=AdapterPlace.SOCKET, azimuth_deg=tilt),
        AdapterPlan(place=AdapterPlace.SOCKET, kind=AdapterKind.TUBE_CLAMP, length_mm=clamp),
        *(
            AdapterPlan(place=AdapterPlace.FOOT, **kind)
            for kind in (
                {"kind": AdapterKind.ROTATION, "azimuth_deg": turn},
                {"kind": AdapterKind.OFFSET, "offset_mm": size, "azimuth_deg": offset},
                {},
            )[order:]
        ),
    ],
    azimuths,
    azimuths,
    st.floats(-3.0, 3.0),
    azimuths,
    st.floats(-45.0, 45.0),
    st.floats(1.0, 20.0),
    st.integers(0, 1),
)
whole_changes = st.builds(
    FootChange, shifts, shifts, tilts, tilts, st.floats(-3.0, 3.0), st.floats(-6.0, 6.0)
)


@settings(max_examples=60, deadline=None)
@given(legs, mixed_plans, whole_changes)
def test_from_shift_to_moves_and_back_with_all_kinds_of_adapter_mixed(leg, plans, wanted):
    adapters = adapters_of(plans)
    leg = chained(leg, adapters)
    exact = moved_leg(leg, wanted, adapters)
    moving = freedoms_of(adapters)
    steps = [one.steps_between(value_of(leg, one), value_of(exact, one)) for one in moving]
    reached = change_between(leg, after_steps(leg, moving, steps))
    assert_close(reached, wanted)
    assert abs(reached.up_mm - wanted.up_mm) < 0.1
    assert abs(reached.toe_out_deg - wanted.toe_out_deg) < 0.05


@settings(max_examples=60, deadline=None)
@given(legs, whole_changes)
def test_a_foot_moved_without_adapters_reads_back_as_it_was_moved(leg, wanted):
    reached = change_of_pose(stand(leg), moved_pose(leg, replace(wanted, toe_out_deg=0.0)))
    assert_close(reached, wanted, mm=1e-9, deg=1e-9)
    assert math.isclose(reached.up_mm, wanted.up_mm, abs_tol=1e-9)


def chained(leg, adapters):
    """A leg with the joints of its adapters, set as they are planned."""
    main = {one.place: one for one in adapters if one.slot is None}
    bare = replace(
        leg,
        joints=tuple(joint_of(one) for one in adapters if one.slot is not None),
        socket_azimuth_rad=main[AdapterPlace.SOCKET].azimuth_rad,
        foot_azimuth_rad=main[AdapterPlace.FOOT].azimuth_rad,
    )
    return with_settings(bare, adapters)


def assert_close(reached, wanted, mm=0.1, deg=0.05):
    assert abs(reached.forward_mm - wanted.forward_mm) < mm
    assert abs(reached.outward_mm - wanted.outward_mm) < mm
    assert abs(reached.flexion_deg - wanted.flexion_deg) < deg
    assert abs(reached.adduction_deg - wanted.adduction_deg) < deg


@settings(max_examples=40, deadline=None)
@given(legs, shifts, shifts)
def test_a_pure_shift_leaves_the_foot_level_and_never_lengthens_an_upright_leg(leg, forward, out):
    upright = replace(
        leg, socket=Tilt(0.0, 0.0), foot=Tilt(0.0, 0.0), plate_axes=straight_leg().plate_axes
    )
    moved = moved_leg(upright, FootChange(forward, out), PYRAMIDS)
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
