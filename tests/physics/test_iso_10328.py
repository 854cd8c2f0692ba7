"""Reference loads against the standard's own ratios and published cross-check moments."""

import math

import numpy as np
import pytest

from limbwright.assess.iso_10328 import (
    FORCES,
    LOAD_LINES,
    PLANES_MM,
    Condition,
    bending_n_mm,
    level_for_mass,
    load_line,
    offsets_at,
)


@pytest.mark.parametrize("key", list(LOAD_LINES.value))
def test_the_four_points_of_each_load_line_are_collinear_to_their_rounding(key):
    # ISO 10328: the load line is straight through its bottom, ankle, knee and top points, whose
    # offsets the standard rounds to 1 mm: a best straight line misses none by more than 0.5 mm.
    line = LOAD_LINES.value[key]
    for offsets in (line.f_mm, line.o_mm):
        best = np.polynomial.Polynomial.fit(PLANES_MM.value, offsets, 1)
        assert np.abs(best(np.array(PLANES_MM.value)) - offsets).max() < 0.5


def test_offsets_between_the_planes_follow_the_line_through_ankle_and_knee():
    # The formula of test-stand software for the standard: f(u) = fA + (fK - fA)(u - 80)/420;
    # P5 condition II has resultant arms of 122, 109 and 99 mm at 80, 200 and 300 mm.
    line, _ = load_line("P5", Condition.FOREFOOT)
    arms = [math.hypot(*offsets_at(line, u_mm)) for u_mm in (80.0, 200.0, 300.0)]
    assert arms == pytest.approx([122, 109, 99], abs=0.5)


@pytest.mark.parametrize("key", list(FORCES.value))
def test_ultimate_forces_keep_the_standards_ratios_to_proof(key):
    # ISO 10328: lower ultimate = 1.5 proof, upper ultimate = 2.0 proof, rounded to 1 N.
    forces = FORCES.value[key]
    assert forces.ultimate_ductile_n == pytest.approx(1.5 * forces.proof_n, abs=1.0)
    assert forces.ultimate_brittle_n == pytest.approx(2.0 * forces.proof_n, abs=1.0)


@pytest.mark.parametrize(
    ("level", "condition", "force", "ankle_n_m", "knee_n_m"),
    [
        ("P5", Condition.HEEL, "proof_n", 95, 156),
        ("P5", Condition.FOREFOOT, "proof_n", 244, 160),
        ("P5", Condition.FOREFOOT, "ultimate_brittle_n", 488, 320),
        ("P4", Condition.HEEL, "proof_n", 86, 147),
        ("P4", Condition.FOREFOOT, "ultimate_ductile_n", 317, 217),
    ],
)
def test_ankle_and_knee_moments_match_the_standards_geometry(
    level, condition, force, ankle_n_m, knee_n_m
):
    # Moments = axial force times resultant arm, computed from the standard's offsets by hand.
    line, own = load_line(level, condition)
    newton = getattr(FORCES.value[(level, condition)], force)
    assert own
    assert bending_n_mm(line, newton, 80.0) / 1000 == pytest.approx(ankle_n_m, rel=0.01)
    assert bending_n_mm(line, newton, 500.0) / 1000 == pytest.approx(knee_n_m, rel=0.01)


def test_heel_condition_does_not_govern_mid_shank():
    # The heel load line crosses the long axis near 240 mm above the floor.
    line, _ = load_line("P5", Condition.HEEL)
    assert math.hypot(*offsets_at(line, 240.0)) < 3.0


def test_levels_hold_their_mass_limits_and_nothing_is_claimed_above():
    assert [level_for_mass(m) for m in (45, 60, 60.1, 80, 80.1, 100)] == [
        "P3",
        "P3",
        "P4",
        "P4",
        "P5",
        "P5",
    ]
    assert level_for_mass(100.1) is None


def test_the_lightest_level_says_that_it_borrows_its_load_line():
    line, own = load_line("P3", Condition.FOREFOOT)
    assert not own
    assert line == LOAD_LINES.value[("P4", Condition.FOREFOOT)]
