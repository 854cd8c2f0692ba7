"""The table of deviations beside a leg: what fits, what speaks against, what contradicts."""

import pytest

from leg_bodies import aligned
from limbwright.align.deviations import DEVIATIONS
from limbwright.align.plan import AlignPlan, Deviation, GaitPhase, Observation
from limbwright.core.findings import Severity
from limbwright.core.frame import Side

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
        assert first.moment[1] == -second.moment[1]
        assert first.moment[0] == second.moment[0]


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


@pytest.mark.parametrize("what", DEVIATIONS)
@pytest.mark.parametrize("side", Side)
def test_a_leg_aligned_as_recommended_contradicts_nothing_that_is_seen(what, side):
    seen = Observation(phase=DEVIATIONS[what].phase, what=what)
    leg = aligned(AlignPlan(observed=(seen,)), side=side)
    assert leg.guide[0].contradictions == ()
    assert "observation-contradicted" not in {f.code for f in leg.findings}


@pytest.mark.parametrize("what", [what for what in DEVIATIONS if DEVIATIONS[what].moment])
def test_no_size_is_claimed_for_the_moment_of_a_leg_aligned_as_recommended(what):
    found = answer(Observation(phase=DEVIATIONS[what].phase, what=what))
    assert any("not established" in text for text in found.remarks)


@pytest.mark.parametrize(
    ("what", "forward_mm", "words"),
    # short of the usual direction, while the walk seems to have more of it
    [
        (Deviation.KNEE_FLEXES_TOO_FAST, 75.0, "drives the knee back"),
        (Deviation.HEEL_RISES_LATE, -75.0, "lets the knee flex"),
    ],
)
def test_a_leg_short_of_the_usual_moment_contradicts_too_much_of_it(what, forward_mm, words):
    seen = Observation(phase=DEVIATIONS[what].phase, what=what)
    found = answer(seen, foot_forward_mm=forward_mm)
    assert any(words in text for text in found.contradictions)


@pytest.mark.parametrize(
    ("what", "forward_mm", "words"),
    [
        (Deviation.KNEE_STAYS_STRAIGHT, 75.0, "drives the knee back"),
        (Deviation.DROPS_OFF, -75.0, "lets the knee flex"),
    ],
)
def test_a_moment_against_the_usual_direction_goes_with_what_is_seen(what, forward_mm, words):
    seen = Observation(phase=DEVIATIONS[what].phase, what=what)
    found = answer(seen, foot_forward_mm=forward_mm)
    assert any(words in text and "goes with" in text for text in found.remarks)
    assert not any("does not come from it" in text for text in found.contradictions)


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
