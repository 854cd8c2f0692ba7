"""Estimated bones against true ones, given bones that are refused, and the lofting of bones."""

from __future__ import annotations

import math
from functools import lru_cache

import igl
import numpy as np
import pytest
import trimesh
from shapely.geometry import MultiPoint, Point, Polygon

from limbwright.capture.bone_templates import DIRECTIONS_RAD, TIBIA, loft, rings, support
from limbwright.capture.bones import bone_error, cover_mm, estimate_bones, given_bones
from limbwright.capture.landmarks import complete_landmarks
from limbwright.capture.result import Bones
from limbwright.core.errors import InvalidLandmarks, InvalidScan
from limbwright.core.frame import mesh_to_limb
from limbwright.core.mesh import Mesh, flipped, volume_mm3
from limbwright.core.remeshing import remesh_uniform
from limbwright.core.sources import Basis
from limbwright.core.topology import is_closed_manifold
from true_legs import TRUE_LEGS, TrueLeg, demo_leg, requested_leg


@pytest.fixture(params=TRUE_LEGS)
def leg(request: pytest.FixtureRequest) -> TrueLeg:
    return requested_leg(request)


def as_oracle(mesh: Mesh) -> trimesh.Trimesh:
    return trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)


def depth_mm(skin: Mesh, bone: Mesh) -> np.ndarray:
    """How deep each vertex of a bone lies in the skin, by libigl's pseudonormals."""
    signed = igl.signed_distance(
        bone.vertices,
        skin.vertices,
        skin.faces.astype(np.int64),
        igl.SignedDistanceType.SIGNED_DISTANCE_TYPE_PSEUDONORMAL,
    )[0]
    return -np.asarray(signed)


def sphere(radius: float, middle: tuple[float, float, float] = (0.0, 0.0, 0.0)) -> Mesh:
    ball = trimesh.creation.icosphere(subdivisions=4, radius=radius)
    return Mesh(np.array(ball.vertices) + middle, np.array(ball.faces, dtype=np.int32))


@lru_cache(maxsize=8)
def estimated(leg: TrueLeg, names: tuple[str, ...] | None = None) -> tuple[Mesh, Bones]:
    skin, points = leg.in_limb()
    given = {n: points[n] for n in names or points}
    return skin, estimate_bones(skin, complete_landmarks(skin, given))


def true_bones(leg: TrueLeg) -> tuple[Mesh, Mesh]:
    frame = leg.frame()
    return mesh_to_limb(frame, leg.tibia), mesh_to_limb(frame, leg.fibula)


FEW = ("mid_patellar_tendon", "tibial_tubercle", "fibular_head", "limb_end")


@pytest.mark.parametrize("names", [None, FEW], ids=["all landmarks", "few landmarks"])
def test_estimated_bones_lie_within_five_millimetres_of_the_true_ones_on_average(
    leg: TrueLeg, names: tuple[str, ...] | None
) -> None:
    _, bones = estimated(leg, names)
    for own, true in zip((bones.tibia, bones.fibula), true_bones(leg), strict=True):
        for error in (bone_error(own, true), bone_error(true, own)):
            assert error.mean_mm < 5.0
            assert error.p95_mm < 10.0


def test_the_error_is_within_the_spread_that_the_estimate_states(leg: TrueLeg) -> None:
    _, bones = estimated(leg)
    assert bones.basis is Basis.ESTIMATED
    assert bone_error(bones.tibia, true_bones(leg)[0]).mean_mm < bones.cover_sd_mm


def test_bones_that_hang_on_guessed_landmarks_state_a_wider_spread() -> None:
    _, few = estimated(demo_leg(), FEW)
    _, full = estimated(demo_leg())
    assert few.cover_sd_mm > full.cover_sd_mm > 0.0


def test_estimated_bones_are_closed_and_wound_outward(leg: TrueLeg) -> None:
    _, bones = estimated(leg)
    for bone in (bones.tibia, bones.fibula):
        assert is_closed_manifold(bone)
        assert as_oracle(bone).is_volume


def test_estimated_bones_stay_two_millimetres_inside_the_skin(leg: TrueLeg) -> None:
    skin, bones = estimated(leg)
    for bone in (bones.tibia, bones.fibula):
        assert depth_mm(skin, bone).min() > 1.8


def test_the_tibia_runs_from_the_plateau_to_near_the_cut_end(leg: TrueLeg) -> None:
    _, bones = estimated(leg)
    true_tibia, true_fibula = true_bones(leg)
    assert bones.tibia.vertices[:, 2].max() == pytest.approx(
        true_tibia.vertices[:, 2].max(), abs=8.0
    )
    for own, true in ((bones.tibia, true_tibia), (bones.fibula, true_fibula)):
        assert own.vertices[:, 2].min() == pytest.approx(true.vertices[:, 2].min(), abs=4.0)


def test_a_thin_limb_still_holds_its_bones_inside() -> None:
    leg = demo_leg()
    skin, points = leg.in_limb()
    thin = np.array([0.8, 0.8, 1.0])
    skin = Mesh(skin.vertices * thin, skin.faces)
    bones = estimate_bones(skin, complete_landmarks(skin, {n: p * thin for n, p in points.items()}))
    assert depth_mm(skin, bones.tibia).min() > 1.8


def test_landmarks_that_leave_no_length_of_bone_are_refused() -> None:
    leg = demo_leg()
    skin, points = leg.in_limb()
    points["distal_tibia"] = points["tibial_tubercle"] + np.array([0.0, 0.0, 15.0])
    with pytest.raises(InvalidLandmarks, match=r"leave \d+ mm of bone"):
        estimate_bones(skin, complete_landmarks(skin, points))


def test_cover_is_the_distance_to_the_nearest_bone() -> None:
    skin, bones = estimated(demo_leg())
    skin = remesh_uniform(skin, 12.0)
    cover = cover_mm(skin, bones)
    nearest = [
        trimesh.proximity.closest_point(as_oracle(bone), skin.vertices)[1]
        for bone in (bones.tibia, bones.fibula)
    ]
    assert cover == pytest.approx(np.minimum(*nearest), abs=1e-6)


def test_true_bones_are_taken_as_given(leg: TrueLeg) -> None:
    skin, _ = leg.in_limb()
    tibia, fibula = true_bones(leg)
    bones = given_bones(skin, tibia, flipped(fibula))
    assert bones.basis is Basis.GIVEN
    assert bones.cover_sd_mm == 0.0
    assert volume_mm3(bones.fibula) > 0.0  # wound inward in the file, outward here


def test_a_bone_with_a_hole_is_refused() -> None:
    skin, bones = estimated(demo_leg())
    holed = Mesh(bones.tibia.vertices, bones.tibia.faces[5:])
    with pytest.raises(InvalidScan, match="tibia mesh is not closed"):
        given_bones(skin, holed, bones.fibula)


def test_a_bone_outside_the_skin_is_refused_with_the_distance() -> None:
    skin, bones = estimated(demo_leg())
    moved = Mesh(bones.fibula.vertices + np.array([25.0, 0.0, 0.0]), bones.fibula.faces)
    with pytest.raises(InvalidScan, match=r"fibula lies up to \d+ mm outside the skin"):
        given_bones(skin, bones.tibia, moved)


def test_exchanged_bones_are_refused() -> None:
    skin, bones = estimated(demo_leg())
    with pytest.raises(InvalidScan, match="fibula lies medial"):
        given_bones(skin, bones.fibula, bones.tibia)


def test_a_bone_all_above_the_scan_is_refused() -> None:
    skin, bones = estimated(demo_leg())
    high = Mesh(bones.tibia.vertices + np.array([0.0, 0.0, 400.0]), bones.tibia.faces)
    with pytest.raises(InvalidScan, match=r"tibia ends \d+ mm above the mid-patellar-tendon"):
        given_bones(skin, high, bones.fibula)


def test_the_error_between_spheres_about_one_middle_is_the_difference_of_their_radii() -> None:
    error = bone_error(sphere(33.0), sphere(30.0))
    assert error.mean_mm == pytest.approx(3.0, abs=0.05)
    assert error.p95_mm == pytest.approx(3.0, abs=0.1)


def test_the_reach_of_one_disc_is_its_radius_and_shift() -> None:
    sections = ((0.0, ((3.0, -4.0, 10.0),)),)
    angles = np.radians([0.0, 90.0, 180.0, 270.0])
    assert support(sections, np.array([7.0]), angles)[0] == pytest.approx([13.0, 6.0, 7.0, 14.0])


def test_an_outline_of_discs_is_their_convex_hull_but_for_rounded_corners() -> None:
    discs = TIBIA.value[4][1]
    outline = rings(support(TIBIA.value, np.array([TIBIA.value[4][0]]), DIRECTIONS_RAD))[0]
    hull = MultiPoint(
        [xy for o, f, r in discs for xy in Point(o, f).buffer(r, quad_segs=64).exterior.coords]
    ).convex_hull
    own = Polygon(outline)
    assert own.is_valid
    assert own.area == pytest.approx(hull.area, rel=0.03)
    assert own.symmetric_difference(hull).area / hull.area < 0.03


def test_a_lofted_cylinder_has_the_volume_of_a_cylinder() -> None:
    levels = np.linspace(20.0, -80.0, 26)
    sections = ((0.0, ((0.0, 0.0, 12.0),)),)
    solid = loft(rings(support(sections, 20.0 - levels, DIRECTIONS_RAD)), levels)
    assert is_closed_manifold(solid)
    assert volume_mm3(solid) == pytest.approx(math.pi * 12.0**2 * 100.0, rel=0.005)
