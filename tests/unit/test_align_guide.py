"""The table of deviations beside a leg: what fits, what speaks against, what contradicts."""

import pytest

from leg_bodies import aligned
from limbwright.align.deviations import DEVIATIONS
from limbwright.align.plan import AlignPlan, Deviation, GaitPhase, Observation
from limbwright.core.findings import Severity

THRUST = Observation(phase=GaitPhase.MID, what=Deviation.KNEE_THRUSTS_OUTWARD)


def answer(observation, **plan):
    (found,) = aligned(AlignPlan(observed=(observation,), **plan)).guide
    return found


def verdict(found, part):
    return next(one for one in found.causes if part in one.cause)


def test_every_deviation_has_causes_a_first_change_and_a_phase():
    assert set(DEVIATIONS) == set(Deviation)
    for entry in DEVIATIONS.values():
        assert entry.causes
        assert entry.first_change


def test_opposite_deviations_ask_for_opposite_changes_and_go_with_opposite_moments():
    pairs = [
        (Deviation.KNEE_FLEXES_TOO_FAST, Deviation.KNEE_STAYS_STRAIGHT),
        (Deviation.KNEE_THRUSTS_OUTWARD, Deviation.KNEE_THRUSTS_INWARD),
        (Deviation.DROPS_OFF, Deviation.HEEL_RISES_LATE),
    ]
    for one, other in pairs:
        first, second = DEVIATIONS[one], DEVIATIONS[other]
        assert first.change.forward_mm == -second.change.forward_mm
        assert first.change.outward_mm == -second.change.outward_mm
        assert first.moment[2] == -second.moment[2]
        assert first.moment[:2] == second.moment[:2]


@pytest.mark.parametrize(
    ("inset_mm", "expected"), [(24.0, "fits"), (12.0, "not seen here"), (2.0, "speaks against")]
)
def test_a_cause_fits_where_the_leg_stands_that_way(inset_mm, expected):
    found = verdict(answer(THRUST, foot_inset_mm=inset_mm), "too far in")
    assert found.verdict == expected
    assert found.value == pytest.approx(inset_mm - 12.0, abs=1e-6)


def test_a_foot_set_back_fits_a_knee_that_flexes_too_fast():
    seen = Observation(phase=GaitPhase.LOADING, what=Deviation.KNEE_FLEXES_TOO_FAST)
    found = answer(seen, foot_forward_mm=-9.0)
    assert verdict(found, "too far back").verdict == "fits"
    assert verdict(found, "too far back").says == "9.0 mm back of its default place"
    assert verdict(found, "heel too stiff").verdict == "not computed"
    assert found.adjustment.reached_forward_mm > 1.0
    assert "Sagittal moment" in found.predicted


def test_a_thrust_against_the_computed_moment_is_a_contradiction():
    seen = Observation(phase=GaitPhase.MID, what=Deviation.KNEE_THRUSTS_OUTWARD)
    outset = aligned(AlignPlan(observed=(seen,), foot_inset_mm=-45.0))
    (found,) = outset.guide
    assert any("drives the knee inward" in text for text in found.contradictions)
    (told,) = (f for f in outset.findings if f.code == "observation-contradicted")
    assert told.severity is Severity.WARNING
    agreed = aligned(AlignPlan(observed=(seen,), foot_inset_mm=30.0))
    assert agreed.guide[0].contradictions == ()
    assert "observation-answered" in {f.code for f in agreed.findings}


def test_two_observations_that_ask_for_opposite_changes_contradict_each_other():
    both = (
        Observation(phase=GaitPhase.LOADING, what=Deviation.KNEE_FLEXES_TOO_FAST),
        Observation(phase=GaitPhase.LATE, what=Deviation.HEEL_RISES_LATE),
    )
    for found in aligned(AlignPlan(observed=both)).guide:
        assert any("opposite change" in text for text in found.contradictions)


def test_a_deviation_entered_for_another_phase_is_asked_to_be_looked_at_again():
    found = answer(Observation(phase=GaitPhase.SWING, what=Deviation.DROPS_OFF))
    assert any("looked for in late stance" in text for text in found.contradictions)


def test_what_is_none_of_the_alignment_gets_no_screw():
    found = answer(Observation(phase=GaitPhase.LOADING, what=Deviation.FOOT_SLAPS))
    assert found.adjustment is None
    assert found.first_change == "a firmer heel or bumper"


def test_the_first_change_for_a_thrust_lowers_the_moment_behind_it():
    found = answer(THRUST, foot_inset_mm=20.0)
    words = found.predicted.split(": ")[1].split(" N")[0]
    before, after = (float(word) for word in words.split(" to "))
    assert 0.0 < after < before
