"""Depths that the practitioner enters: what is refused, what is met, what is said of them."""

from __future__ import annotations

import numpy as np
import pytest
from pydantic import ValidationError

from limbwright.capture.bone_fit import Palpation
from limbwright.capture.bones import estimate_cover
from limbwright.capture.judge import bone_findings
from limbwright.capture.landmarks import complete_landmarks
from limbwright.capture.plan import Bone, PalpatedDepth
from limbwright.core.proximity import DistanceTree
from limbwright.core.sources import Basis
from true_legs import demo_leg


def estimated(palpations: list[Palpation]):
    skin, points = demo_leg().in_limb()
    return estimate_cover(skin, complete_landmarks(skin, points), palpations)


@pytest.mark.parametrize(
    ("entry", "says"),
    [
        ({"depth_mm": 5.0}, "either a landmark or a point"),
        ({"depth_mm": 5.0, "landmark": "crest_upper", "point": (0.0, 0.0, 0.0)}, "either"),
        ({"depth_mm": 5.0, "landmark": "popliteal_centre"}, "no bone of this limb lies under"),
        ({"depth_mm": 0.0, "landmark": "crest_upper"}, "greater than or equal to 0.5"),
    ],
)
def test_a_depth_without_its_one_place_is_refused(entry: dict, says: str) -> None:
    with pytest.raises(ValidationError, match=says):
        PalpatedDepth.model_validate(entry)


def test_the_bone_passes_through_a_depth_that_is_known_exactly() -> None:
    skin, points = demo_leg().in_limb()
    wanted = points["crest_upper"] - np.array([20.0, 4.0, 0.0])
    foot = DistanceTree(skin).closest(wanted[None])[2][0]
    for depth in (9.0, 13.0):
        found = estimated([Palpation("", foot, Bone.TIBIA, depth, 0.05)])
        away = DistanceTree(found.bones.tibia).closest(foot[None])[0][0]
        # straight in is the nearest or farther; the face slopes a little
        assert depth - 2.5 < away < depth + 0.2


def test_a_palpated_landmark_is_measured_and_surer_than_an_estimated_one() -> None:
    _, points = demo_leg().in_limb()
    before = estimated([]).bones
    item = Palpation("crest_upper", points["crest_upper"], Bone.TIBIA, 5.0, 2.0)
    after = estimated([item]).bones
    assert before.places["crest_upper"].basis is Basis.ESTIMATED
    assert after.places["crest_upper"].basis is Basis.MEASURED
    assert after.places["crest_upper"].sd_mm < 0.7 * before.places["crest_upper"].sd_mm
    assert after.palpated_count == 1
    assert after.cover_sd_mm < before.cover_sd_mm


def test_a_depth_at_the_patella_moves_its_bone_point_alone() -> None:
    _, points = demo_leg().in_limb()
    place = points["patella_lower_pole"]
    bones = estimated([Palpation("patella_lower_pole", place, Bone.TIBIA, 7.0, 2.0)]).bones
    assert bones.patella_pole_mm is not None
    assert np.linalg.norm(bones.patella_pole_mm - place) == pytest.approx(7.0, abs=0.3)
    assert bones.tibia.vertices == pytest.approx(estimated([]).bones.tibia.vertices, abs=1e-9)


def test_a_depth_that_contradicts_all_else_is_told() -> None:
    _, points = demo_leg().in_limb()
    deep = Palpation("crest_upper", points["crest_upper"], Bone.TIBIA, 30.0, 2.0)
    bones = estimated([deep]).bones
    codes = {
        finding.code
        for finding in bone_findings(bones, (PalpatedDepth(landmark="crest_upper", depth_mm=30.0),))
    }
    assert {"bones-estimated", "palpated-unusual"} <= codes
