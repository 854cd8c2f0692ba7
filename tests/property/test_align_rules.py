"""The rules that fitters go by, on any leg: which way each change drives the knee."""

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from leg_bodies import WALKER, straight_leg
from limbwright.align.adapters import adapters_of
from limbwright.align.adjust import adjust
from limbwright.align.chain import Tilt, about_forward, about_outward, datum_height_mm, stand
from limbwright.align.checks import adjustment_findings
from limbwright.align.effects import Change, changed_pose, moment_at, phase_moments
from limbwright.align.loads import moment_curve
from limbwright.align.moves import FootChange
from limbwright.align.screws import degrees_per_turn

PHASES = ("early_stance", "mid_stance", "late_stance")
KNEE = np.array([0.0, 0.0, 25.0])
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
walkers = st.builds(
    lambda weight, speed: replace(WALKER, body_weight_n=weight, speed_m_s=speed),
    st.floats(400.0, 1300.0),
    st.floats(0.4, 1.9),
)
places = st.sampled_from(["datum", "socket base", "knee"])
phases = st.sampled_from(PHASES)
sizes = st.floats(0.5, 6.0)


def change_of(leg, walker, change, place, phase):
    """Coronal and sagittal moment after a change less those before."""
    before, after = (
        moment_at(phase_moments(leg, pose, walker, KNEE), place, phase)
        for pose in (stand(leg), changed_pose(leg, change))
    )
    return after.coronal_n_m - before.coronal_n_m, after.sagittal_n_m - before.sagittal_n_m


@settings(max_examples=60, deadline=None)
@given(legs, walkers, places, phases, sizes)
def test_more_inset_drives_the_knee_outward_and_the_opposite_by_as_much(
    leg, walker, place, phase, size
):
    inset = change_of(leg, walker, Change("", FootChange(outward_mm=-size)), place, phase)
    outset = change_of(leg, walker, Change("", FootChange(outward_mm=size)), place, phase)
    assert inset[0] > 0.0 > outset[0]
    assert abs(inset[0] + outset[0]) < 1e-9
    # a shift is an arm: never more than body weight's greatest force times it
    assert inset[0] <= 1.6 * walker.body_weight_n * size / 1000.0


@settings(max_examples=60, deadline=None)
@given(legs, walkers, places, phases, sizes)
def test_a_foot_set_forward_drives_the_knee_back(leg, walker, place, phase, size):
    forward = change_of(leg, walker, Change("", FootChange(forward_mm=size)), place, phase)
    back = change_of(leg, walker, Change("", FootChange(forward_mm=-size)), place, phase)
    assert forward[1] > 0.0 > back[1]
    assert abs(forward[1] + back[1]) < 1e-9


@settings(max_examples=60, deadline=None)
@given(legs, walkers, places, phases, st.floats(0.5, 6.0))
def test_plantar_flexion_extends_the_knee_and_dorsiflexion_flexes_it(
    leg, walker, place, phase, size
):
    plantar = change_of(leg, walker, Change("", FootChange(flexion_deg=-size)), place, phase)
    dorsal = change_of(leg, walker, Change("", FootChange(flexion_deg=size)), place, phase)
    assert plantar[1] > 0.0 > dorsal[1]


@settings(max_examples=60, deadline=None)
@given(legs, walkers, phases, st.floats(0.5, 6.0))
def test_more_socket_flexion_lets_the_knee_flex_and_less_holds_it(leg, walker, phase, size):
    for place in ("datum", "knee"):
        more = change_of(leg, walker, Change("", socket_flexion_deg=size), place, phase)
        less = change_of(leg, walker, Change("", socket_flexion_deg=-size), place, phase)
        assert more[1] < 0.0 < less[1]


@settings(max_examples=60, deadline=None)
@given(legs, walkers, phases, st.floats(0.5, 6.0))
def test_more_socket_adduction_adds_a_varus_moment_and_less_takes_it(leg, walker, phase, size):
    for place in ("datum", "knee"):
        more = change_of(leg, walker, Change("", socket_adduction_deg=size), place, phase)
        less = change_of(leg, walker, Change("", socket_adduction_deg=-size), place, phase)
        assert more[0] > 0.0 > less[0]


@settings(max_examples=40, deadline=None)
@given(legs, walkers, st.floats(1.0, 6.0))
def test_moment_impulse_tracks_coronal_tilt_and_both_shifts(leg, walker, size):
    # Kobayashi et al. 2014: impulse follows coronal angle, coronal shift and sagittal shift
    def impulse(change):
        curve = moment_curve(leg, walker, pose=changed_pose(leg, change))
        return np.mean(curve.coronal_n_m), np.mean(curve.sagittal_n_m)

    base = impulse(Change(""))
    for change, plane in (
        (Change("", FootChange(outward_mm=-size)), 0),
        (Change("", FootChange(adduction_deg=size)), 0),
        (Change("", FootChange(forward_mm=size)), 1),
    ):
        small = Change(
            "",
            FootChange(
                0.5 * change.foot.forward_mm,
                0.5 * change.foot.outward_mm,
                0.0,
                0.5 * change.foot.adduction_deg,
            ),
        )
        assert impulse(change)[plane] > impulse(small)[plane] > base[plane]


@settings(max_examples=40, deadline=None)
@given(legs, st.floats(-10.0, 10.0))
def test_a_foot_moved_up_shortens_the_leg_by_as_much(leg, up):
    moved = changed_pose(leg, Change("", FootChange(up_mm=up)))
    change = datum_height_mm(moved) - datum_height_mm(stand(leg))
    assert abs(change + up) < 1e-9


@settings(max_examples=60, deadline=None)
@given(st.floats(0.5, 2.0), st.floats(6.0, 30.0), st.floats(1.01, 2.0))
def test_a_coarser_thread_turns_further_and_a_longer_arm_less(pitch, arm, factor):
    assert degrees_per_turn(pitch * factor, arm) > degrees_per_turn(pitch, arm)
    assert degrees_per_turn(pitch, arm * factor) < degrees_per_turn(pitch, arm)


@settings(max_examples=30, deadline=None)
@given(st.floats(120.0, 350.0), st.floats(1.0, 15.0), st.floats(1.05, 1.5))
def test_a_pure_shift_asks_for_more_angle_the_larger_it_is_and_the_shorter_the_leg(
    between, shift, factor
):
    adapters = adapters_of(())

    def angle(length, wanted):
        made = adjust(straight_leg(length), FootChange(forward_mm=wanted), adapters)
        return abs(made.angles_deg["socket flexion"])

    limit = between * np.sin(np.radians(6.0))
    if shift * factor < limit:
        assert angle(between, shift * factor) > angle(between, shift)
        assert angle(between * factor, shift) < angle(between, shift)


@settings(max_examples=60, deadline=None)
@given(st.floats(-30.0, 30.0), st.floats(-12.0, 12.0))
def test_changes_beyond_those_measured_are_always_warned_of(shift, tilt):
    wanted = FootChange(outward_mm=shift, flexion_deg=tilt)
    adapters = adapters_of(())
    made = adjust(straight_leg(), wanted, adapters)
    codes = [finding.code for finding in adjustment_findings(wanted, made, adapters)]
    assert codes.count("change-beyond-tested") == (abs(shift) > 15.0) + (abs(tilt) > 6.0)
