"""The limb frame against the true axes of known limbs, and what it refuses."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from limbwright.capture.axes import section_middles
from limbwright.capture.frame import limb_frame
from limbwright.core.errors import InvalidLandmarks, InvalidScan
from limbwright.core.frame import Side, to_limb
from limbwright.core.mesh import Mesh, flipped, vertex_normals
from true_legs import TRUE_LEGS, TrueLeg, angles_deg, demo_leg, requested_leg

OTHER = {Side.RIGHT: Side.LEFT, Side.LEFT: Side.RIGHT}


@pytest.fixture(params=TRUE_LEGS)
def leg(request: pytest.FixtureRequest) -> TrueLeg:
    return requested_leg(request)


@pytest.fixture
def demo() -> TrueLeg:
    return demo_leg()


def test_axes_of_known_limbs_are_within_three_degrees(leg: TrueLeg) -> None:
    assert angles_deg(leg.frame().axes, leg.axes).max() < 3.0


def test_the_long_axis_of_known_limbs_is_good_enough_to_measure_by(leg: TrueLeg) -> None:
    # the datum stands in front: one degree of sagittal tilt moves the sections by a millimetre
    assert angles_deg(leg.frame().axes, leg.axes)[2] < 1.0


def test_a_few_landmarks_give_a_frame_within_eight_degrees(leg: TrueLeg) -> None:
    few = {n: leg.points_mm[n] for n in ("mid_patellar_tendon", "fibular_head")}
    frame = limb_frame(leg.skin, few, leg.side)
    assert angles_deg(frame.axes, leg.axes).max() < 8.0


def test_five_millimetres_on_one_landmark_turn_the_frame_by_under_three_degrees(
    leg: TrueLeg,
) -> None:
    before = leg.frame()
    normals = vertex_normals(leg.skin)
    random = np.random.default_rng(4)
    for name, point in leg.points_mm.items():
        normal = normals[int(np.linalg.norm(leg.skin.vertices - point, axis=1).argmin())]
        way = np.cross(normal, random.normal(size=3))
        moved = {**leg.points_mm, name: point + 5.0 * way / np.linalg.norm(way)}
        after = limb_frame(leg.skin, moved, leg.side)
        assert angles_deg(after.axes, before.axes).max() < 3.0, name


def test_the_origin_is_the_middle_of_the_section_at_the_tendon(leg: TrueLeg) -> None:
    frame = leg.frame()
    tendon = to_limb(frame, leg.points_mm["mid_patellar_tendon"])
    assert tendon[2] == pytest.approx(0.0, abs=1e-9)
    skin, _ = leg.in_limb()
    section = trimesh.Trimesh(skin.vertices, skin.faces, process=False).section(
        plane_origin=[0, 0, 0], plane_normal=[0, 0, 1]
    )
    (outline,) = section.to_2D(to_2D=np.eye(4))[0].polygons_full
    assert np.array(outline.centroid.coords)[0] == pytest.approx([0.0, 0.0], abs=0.01)


def test_the_stated_side_is_kept_and_lateral_landmarks_lie_outward(leg: TrueLeg) -> None:
    frame = leg.frame()
    assert frame.side is leg.side
    assert to_limb(frame, leg.points_mm["fibular_head"])[0] > 30.0
    assert to_limb(frame, leg.points_mm["medial_tibial_flare"])[0] < -20.0
    assert to_limb(frame, leg.points_mm["tibial_tubercle"])[1] > 30.0


@pytest.mark.parametrize(
    "given",
    [
        None,
        ("mid_patellar_tendon", "fibular_head"),
        ("mid_patellar_tendon", "lateral_tibial_tubercle", "limb_end"),
        ("patella_lower_pole", "tibial_tubercle", "medial_tibial_flare"),
        ("mid_patellar_tendon", "fibular_head", "distal_fibula", "limb_end"),
    ],
)
def test_the_wrong_side_is_refused_naming_what_contradicts_it(
    leg: TrueLeg, given: tuple[str, ...] | None
) -> None:
    points = {n: leg.points_mm[n] for n in given or leg.points_mm}
    limb_frame(leg.skin, points, leg.side)
    with pytest.raises(InvalidLandmarks, match="check the side") as refused:
        limb_frame(leg.skin, points, OTHER[leg.side])
    message = str(refused.value)
    assert f"stated as {OTHER[leg.side].value}" in message
    assert f"those of a {leg.side.value} limb" in message
    assert set(refused.value.fields["contradicting"]) <= set(points)
    assert refused.value.fields["contradicting"]


def test_exchanged_medial_and_lateral_landmarks_are_refused(leg: TrueLeg) -> None:
    points = dict(leg.points_mm)
    head, flare = points["fibular_head"], points["medial_tibial_flare"]
    points["fibular_head"], points["medial_tibial_flare"] = flare, head
    with pytest.raises(InvalidLandmarks, match="exchanged") as refused:
        limb_frame(leg.skin, points, leg.side)
    assert refused.value.fields["contradicting"] == ["fibular_head", "medial_tibial_flare"]


def test_landmarks_out_of_order_along_the_limb_are_refused(leg: TrueLeg) -> None:
    points = dict(leg.points_mm)
    upper, lower = points["crest_upper"], points["crest_lower"]
    points["crest_upper"], points["crest_lower"] = lower, upper
    with pytest.raises(InvalidLandmarks, match=r"crest_lower \d+ mm above crest_upper"):
        limb_frame(leg.skin, points, leg.side)


def test_a_mirrored_scan_is_the_same_limb_of_the_other_side(leg: TrueLeg) -> None:
    mirror = np.array([-1.0, 1.0, 1.0])
    mirrored = flipped(Mesh(leg.skin.vertices * mirror, leg.skin.faces))
    points = {n: p * mirror for n, p in leg.points_mm.items()}
    here, there = leg.frame(), limb_frame(mirrored, points, OTHER[leg.side])
    for name, point in leg.points_mm.items():
        assert to_limb(there, points[name]) == pytest.approx(to_limb(here, point), abs=1e-6)


def test_without_a_datum_the_message_says_what_to_give(demo: TrueLeg) -> None:
    points = {n: demo.points_mm[n] for n in ("tibial_tubercle", "fibular_head")}
    with pytest.raises(InvalidLandmarks, match="mid_patellar_tendon, or patella_lower_pole"):
        limb_frame(demo.skin, points, demo.side)


def test_without_a_landmark_that_tells_the_sides_apart_the_message_lists_them(
    demo: TrueLeg,
) -> None:
    points = {n: demo.points_mm[n] for n in ("mid_patellar_tendon", "crest_upper")}
    with pytest.raises(InvalidLandmarks, match="fibular_head, lateral_tibial_tubercle, medial"):
        limb_frame(demo.skin, points, demo.side)


def test_lower_pole_and_tubercle_stand_in_for_the_tendon(demo: TrueLeg) -> None:
    points = {n: p for n, p in demo.points_mm.items() if n != "mid_patellar_tendon"}
    frame = limb_frame(demo.skin, points, demo.side)
    half = 0.5 * (points["patella_lower_pole"] + points["tibial_tubercle"])
    assert to_limb(frame, half)[2] == pytest.approx(0.0, abs=1e-9)
    assert angles_deg(frame.axes, demo.axes).max() < 3.0


def test_landmarks_in_another_unit_than_the_scan_are_refused(demo: TrueLeg) -> None:
    points = {n: 10.0 * p for n, p in demo.points_mm.items()}
    with pytest.raises((InvalidScan, InvalidLandmarks)):
        limb_frame(demo.skin, points, demo.side)


def test_section_middles_of_an_oblique_cylinder_follow_its_axis() -> None:
    tube = trimesh.creation.cylinder(radius=40.0, height=300.0, sections=64)
    tube.apply_translation([3.0, -5.0, 0.0])
    shear = np.eye(4)
    shear[0, 2], shear[1, 2] = 0.1, -0.2
    tube.apply_transform(shear)
    mesh = Mesh(np.array(tube.vertices), np.array(tube.faces, dtype=np.int32))
    levels = np.array([-60.0, 0.0, 75.0])
    expected = np.array([3.0, -5.0]) + levels[:, None] * np.array([0.1, -0.2])
    assert section_middles(mesh, levels) == pytest.approx(expected, abs=1e-9)
