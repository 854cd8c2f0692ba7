"""Landmarks on the skin, and how far proposals lie from the true ones."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from limbwright.capture.landmarks import complete_landmarks
from limbwright.capture.plan import LANDMARK_NAMES
from limbwright.capture.proposal import at_bearing, propose
from limbwright.core.errors import InvalidLandmarks
from limbwright.core.frame import to_limb, to_scan
from limbwright.core.mesh import Mesh
from limbwright.core.sources import Basis
from limbwright.demo.limb import PALPATED, demo_truth
from true_legs import TRUE_LEGS, TrueLeg, demo_leg, requested_leg


@pytest.fixture(params=TRUE_LEGS)
def leg(request: pytest.FixtureRequest) -> TrueLeg:
    return requested_leg(request)


@pytest.fixture(scope="module")
def demo_skin() -> Mesh:
    return demo_truth().skin


def test_given_landmarks_are_put_on_the_skin_and_their_distance_is_kept(demo_skin: Mesh) -> None:
    point = np.array([70.0, 2.0, -30.0])
    oracle = trimesh.Trimesh(demo_skin.vertices, demo_skin.faces, process=False)
    (foot,), (away,), _ = trimesh.proximity.closest_point(oracle, [point])
    point = foot + (point - foot) * (3.0 / away)
    placed = complete_landmarks(demo_skin, {"fibular_head": point})["fibular_head"]
    assert placed.point_mm == pytest.approx(foot, abs=1e-6)
    assert placed.to_skin_mm == pytest.approx(3.0, abs=1e-6)
    assert placed.basis is Basis.GIVEN


def test_all_landmarks_come_back_in_the_order_of_the_job_and_missing_ones_are_guesses(
    leg: TrueLeg,
) -> None:
    skin, points = leg.in_limb()
    landmarks = complete_landmarks(skin, points)
    assert tuple(landmarks) == LANDMARK_NAMES
    for name, landmark in landmarks.items():
        expected = Basis.GIVEN if name in points else Basis.GUESSED
        assert (landmark.name, landmark.basis) == (name, expected)


def test_a_guess_that_nobody_accepted_stays_a_guess(demo_skin: Mesh) -> None:
    point = demo_truth().landmarks_mm["popliteal_centre"]
    names = {"popliteal_centre": point}
    assert complete_landmarks(demo_skin, names)["popliteal_centre"].basis is Basis.GIVEN
    open_guess = complete_landmarks(demo_skin, names, guessed=["popliteal_centre"])
    assert open_guess["popliteal_centre"].basis is Basis.GUESSED


def test_proposals_lie_on_the_skin(leg: TrueLeg) -> None:
    skin, points = leg.in_limb()
    few = {n: points[n] for n in ("mid_patellar_tendon", "fibular_head")}
    proposed = [m.point_mm for n, m in complete_landmarks(skin, few).items() if n not in few]
    oracle = trimesh.Trimesh(skin.vertices, skin.faces, process=False)
    assert trimesh.proximity.closest_point(oracle, np.array(proposed))[1].max() < 0.01


@pytest.mark.parametrize("name", PALPATED)
def test_a_hidden_landmark_is_proposed_within_fourteen_millimetres(leg: TrueLeg, name: str) -> None:
    skin, points = leg.in_limb()
    rest = {n: p for n, p in points.items() if n != name}
    assert np.linalg.norm(propose(skin, rest, name) - points[name]) < 14.0


def test_from_tendon_tubercle_fibular_head_and_end_the_rest_is_proposed_within_fourteen_mm(
    leg: TrueLeg,
) -> None:
    skin, points = leg.in_limb()
    few = ("mid_patellar_tendon", "tibial_tubercle", "fibular_head", "limb_end")
    landmarks = complete_landmarks(skin, {n: points[n] for n in few})
    away = {n: float(np.linalg.norm(landmarks[n].point_mm - points[n])) for n in points}
    assert max(away.values()) < 14.0
    assert np.mean([away[n] for n in points if n not in few]) < 8.0


def test_hamstrings_popliteal_centre_and_epicondyles_of_the_demo_are_proposed_near() -> None:
    leg = demo_leg()
    frame = leg.frame()
    skin, points = leg.in_limb()
    landmarks = complete_landmarks(skin, points)
    truth = demo_truth()
    drawn = to_limb(frame, leg.points_mm["fibular_head"]) - truth.landmarks_mm["fibular_head"]
    assert np.linalg.norm(drawn) < 2.0  # estimated and true limb frame nearly agree
    for name in set(LANDMARK_NAMES) - set(PALPATED):
        away = np.linalg.norm(landmarks[name].point_mm - truth.landmarks_mm[name])
        assert away < 12.0, name


def test_a_given_crest_draws_the_rest_of_the_crest_with_it() -> None:
    leg = demo_leg()
    skin, points = leg.in_limb()
    without = {n: p for n, p in points.items() if n not in ("crest_upper", "crest_lower")}
    plain = complete_landmarks(skin, without)["crest_lower"].point_mm
    medial = at_bearing(skin, float(points["crest_upper"][2]), np.radians(130.0))
    led = complete_landmarks(skin, {**without, "crest_upper": medial})["crest_lower"].point_mm
    assert led[0] < plain[0] - 5.0


def test_proposals_keep_the_order_along_the_crest(leg: TrueLeg) -> None:
    skin, points = leg.in_limb()
    rest = {n: p for n, p in points.items() if not n.startswith("crest")}
    landmarks = complete_landmarks(skin, rest)
    row = ("tibial_tubercle", "crest_upper", "crest_lower", "distal_tibia")
    heights = [landmarks[name].point_mm[2] for name in row]
    assert heights == sorted(heights, reverse=True)


def test_an_unknown_landmark_is_refused_with_the_known_ones_listed(demo_skin: Mesh) -> None:
    with pytest.raises(InvalidLandmarks, match="Unknown landmark left_ear") as refused:
        complete_landmarks(demo_skin, {"left_ear": np.zeros(3)})
    assert all(name in str(refused.value) for name in LANDMARK_NAMES)


def test_a_landmark_off_the_skin_is_refused_with_its_distance(demo_skin: Mesh) -> None:
    point = demo_truth().landmarks_mm["limb_end"] + np.array([0.0, 0.0, -30.0])
    with pytest.raises(InvalidLandmarks, match="limb_end lies 30 mm off") as refused:
        complete_landmarks(demo_skin, {"limb_end": point})
    assert refused.value.where == "landmarks.points.limb_end"


def test_the_bearing_of_a_point_counts_anti_clockwise_from_outward() -> None:
    tube = trimesh.creation.cylinder(radius=50.0, height=200.0, sections=180)
    mesh = Mesh(np.array(tube.vertices), np.array(tube.faces, dtype=np.int32))
    assert at_bearing(mesh, -20.0, 0.0) == pytest.approx([50.0, 0.0, -20.0], abs=1.0)
    assert at_bearing(mesh, -20.0, 0.5 * np.pi) == pytest.approx([0.0, 50.0, -20.0], abs=1.0)
    assert at_bearing(mesh, 10.0, np.pi) == pytest.approx([-50.0, 0.0, 10.0], abs=1.0)


def test_frames_go_there_and_back() -> None:
    leg = demo_leg()
    frame = leg.frame()
    for point in leg.points_mm.values():
        assert to_scan(frame, to_limb(frame, point)) == pytest.approx(point, abs=1e-9)
