"""How far estimated bones lie from true ones, plain and palpated, and what pressure makes of it.

The two limbs are the two legs of one woman, and the typical tibia is half hers: the figures
flatter the estimate. The numbers of docs/method/bones.md come from here (scripts/bone_tables.py).
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest

from bone_pressure import differences, pressure_effect
from limbwright.capture.bones import cover_mm
from palpation import Scores, at_landmarks, covered, on_the_medial_face, scores, true_bones
from true_legs import TRUE_LEGS, TrueLeg, open_leg, requested_leg

SEEDS = (0, 1, 2, 3)
MOST_MEAN_CHANGE_KPA, MOST_CHANGE_KPA = 5.0, 20.0
"""What docs/limits-and-cautions.md promises of the areas' means in standing."""
PLAIN, LANDMARKS, LANDMARKS_AND_FACE = "plain", "palpated", "palpated with the medial face"


@pytest.fixture(params=TRUE_LEGS)
def leg(request: pytest.FixtureRequest) -> TrueLeg:
    return requested_leg(request)


@lru_cache(maxsize=16)
def scored(leg: TrueLeg, how: str) -> tuple[Scores, ...]:
    """One score for each seed of the simulated hand; one where nothing is palpated."""
    found = []
    for seed in SEEDS if how != PLAIN else SEEDS[:1]:
        palpations = at_landmarks(leg, seed) if how != PLAIN else []
        if how == LANDMARKS_AND_FACE:
            palpations += on_the_medial_face(leg, seed)
        found.append(scores(leg, covered(leg, palpations)))
    return tuple(found)


def mean_of(found: tuple[Scores, ...], bone: str) -> tuple[float, float]:
    errors = [getattr(item, bone) for item in found]
    return (
        float(np.mean([error.mean_mm for error in errors])),
        float(np.mean([error.p95_mm for error in errors])),
    )


def test_the_plain_estimate_keeps_the_error_that_is_published(leg: TrueLeg) -> None:
    found = scored(leg, PLAIN)
    for bone, mean, p95 in (("tibia", 2.0, 4.5), ("fibula", 1.9, 4.2)):
        assert mean_of(found, bone)[0] < mean
        assert mean_of(found, bone)[1] < p95


@pytest.mark.slow
def test_depths_at_the_landmarks_and_along_the_medial_face_make_the_tibia_surer(
    shared_data: Path,
) -> None:
    for name in ("limb_a", "limb_b"):
        leg = requested_leg_named(name, shared_data)
        plain, full = scored(leg, PLAIN), scored(leg, LANDMARKS_AND_FACE)
        assert mean_of(full, "tibia")[0] < 0.8 * mean_of(plain, "tibia")[0]
        assert np.mean([s.cover_mean_mm for s in full]) < 0.8 * plain[0].cover_mean_mm


@pytest.mark.slow
def test_the_spread_that_is_stated_holds_two_thirds_of_the_errors(leg: TrueLeg) -> None:
    skin, _ = leg.in_limb()
    below = skin.vertices[:, 2] < 0.0
    estimate = covered(leg, at_landmarks(leg, 0))
    off = np.abs(estimate.cover_mm - cover_mm(skin, true_bones(leg)))[below]
    assert np.mean(off < estimate.spread_mm[below]) > 0.68
    assert np.mean(off < 2.0 * estimate.spread_mm[below]) > 0.95


@pytest.mark.slow
def test_the_cover_is_surer_near_what_was_palpated_and_unchanged_far_from_it(leg: TrueLeg) -> None:
    skin, points = leg.in_limb()
    crest = [item for item in at_landmarks(leg, 0) if item.name == "crest_upper"]
    before, after = covered(leg, []), covered(leg, crest)
    near = np.linalg.norm(skin.vertices - points["crest_upper"], axis=1) < 10.0
    head = np.linalg.norm(skin.vertices - points["fibular_head"], axis=1) < 10.0
    assert after.spread_mm[near].mean() < 0.8 * before.spread_mm[near].mean()
    assert after.spread_mm[head].mean() == pytest.approx(before.spread_mm[head].mean(), abs=0.2)
    assert after.bones.places["crest_upper"].sd_mm < before.bones.places["crest_upper"].sd_mm


@pytest.mark.slow
@pytest.mark.parametrize("engine", ["spring_bed"])
@pytest.mark.parametrize("name", ["limb_a", "limb_b"])
def test_estimated_bones_change_the_mean_pressure_of_areas_little(
    name: str, engine: str, shared_data: Path, tmp_path: Path
) -> None:
    leg = requested_leg_named(name, shared_data)
    effects = pressure_effect(shared_data / "limbs" / name, leg, tmp_path / "case", engine)
    assert sum(effect.true_kpa > 20.0 for effect in effects) >= 3
    assert max(differences(effects)) < MOST_MEAN_CHANGE_KPA
    largest = max(abs(effect.estimated_kpa - effect.true_kpa) for effect in effects)
    assert largest < MOST_CHANGE_KPA


def requested_leg_named(name: str, shared_data: Path) -> TrueLeg:
    return open_leg(shared_data / "limbs" / name)
