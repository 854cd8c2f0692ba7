"""Depths that the practitioner enters: what is refused, what is met, what is said of them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from pydantic import ValidationError

from limbwright.capture.bone_fit import Palpation
from limbwright.capture.bones import estimate_cover
from limbwright.capture.landmarks import complete_landmarks
from limbwright.capture.palpation import Verdict, palpation_findings, weighed
from limbwright.capture.plan import PALPABLE, Bone, PalpatedDepth
from limbwright.case.evaluate import evaluate
from limbwright.case.folder import read_case
from limbwright.case.memo import Memo
from limbwright.core.findings import Severity, stops_job
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


def judged(name: str, depth_mm: float, confirmed: bool = False, bone: Bone = Bone.TIBIA):
    """A depth at a landmark of the demo leg, beside what is expected there."""
    skin, points = demo_leg().in_limb()
    item = Palpation(name, points[name], bone, depth_mm, 2.0, confirmed)
    (one,) = weighed(skin, complete_landmarks(skin, points), [item])
    return one


def test_a_usual_depth_is_taken_and_nothing_is_said() -> None:
    one = judged("crest_upper", round(judged("crest_upper", 6.0).usual_mm))
    assert one.held
    assert palpation_findings([one]) == ()


def test_an_unusual_depth_is_taken_and_told() -> None:
    plain = judged("crest_upper", 6.0)
    one = judged("crest_upper", plain.usual_mm + 3.0 * plain.spread_mm)
    (told,) = palpation_findings([one])
    assert one.held
    assert (told.code, told.severity) == ("palpated-unusual", Severity.WARNING)


@pytest.mark.parametrize("name", PALPABLE)
def test_a_slip_of_ten_times_is_left_out_and_stops_the_job_at_every_landmark(name: str) -> None:
    one = judged(name, min(10.0 * judged(name, 6.0).usual_mm, 60.0))
    (told,) = palpation_findings([one])
    assert not one.held
    assert told.severity is Severity.STOP
    assert told.where == name
    assert "estimated without it" in told.text


def test_an_unlikely_depth_that_was_checked_is_held_on_to_and_told() -> None:
    plain = judged("crest_upper", 6.0)
    depth = plain.usual_mm + 4.5 * plain.spread_mm
    assert judged("crest_upper", depth).verdict is Verdict.UNLIKELY
    assert judged("crest_upper", depth, confirmed=True).verdict is Verdict.UNUSUAL


def test_no_confirmation_makes_bone_lie_beyond_the_middle_of_the_limb() -> None:
    one = judged("fibular_head", 60.0, confirmed=True, bone=Bone.FIBULA)
    breadth = np.ptp(demo_leg().in_limb()[0].vertices[:, 0])
    assert 0.25 * breadth < one.most_mm < 0.5 * breadth + 1.0
    assert one.verdict is Verdict.IMPOSSIBLE
    (told,) = palpation_findings([one])
    assert told.value == 60.0
    assert told.limit == pytest.approx(one.most_mm)


def test_a_slip_beside_the_landmarks_is_weighed_against_the_estimate() -> None:
    skin, points = demo_leg().in_limb()
    wanted = points["crest_upper"] - np.array([20.0, 4.0, 0.0])
    foot = DistanceTree(skin).closest(wanted[None])[2][0]
    known = complete_landmarks(skin, points)
    near = DistanceTree(estimated([]).bones.tibia).closest(foot[None])[0][0]
    for depth, held in ((near + 1.0, True), (6.0 * near, False)):
        (one,) = weighed(skin, known, [Palpation("", foot, Bone.TIBIA, depth, 2.0)])
        assert one.usual_mm == pytest.approx(near, abs=2.0)
        assert one.held == held
        assert one.place == "palpated point 1"


def test_a_slip_does_not_bend_the_bones_of_a_case(demo_copy: Path) -> None:
    document = read_case(demo_copy)

    def taken(*palpated: PalpatedDepth):
        capture = document.capture.model_copy(update={"palpated": palpated})
        changed = document.model_copy(update={"capture": capture})
        return evaluate(demo_copy, changed, Memo(), upto="capture").outcomes["capture"].result

    plain = taken()
    usual = taken(PalpatedDepth(landmark="crest_upper", depth_mm=6.0))
    slipped = taken(PalpatedDepth(landmark="crest_upper", depth_mm=60.0))
    assert slipped.bones.palpated_count == 0
    assert slipped.bones.tibia.vertices == pytest.approx(plain.bones.tibia.vertices, abs=1e-9)
    assert slipped.bones.places["crest_upper"].basis is Basis.ESTIMATED
    assert stops_job(slipped.findings)
    assert not stops_job(usual.findings)
    assert usual.bones.places["crest_upper"].basis is Basis.MEASURED
