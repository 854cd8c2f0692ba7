from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import trimesh
from numpy.typing import NDArray

from limbwright.capture.plan import ScannedOver
from limbwright.capture.result import Bones, Limb
from limbwright.core.mesh import Mesh, with_vertices
from limbwright.core.proximity import DistanceTree
from limbwright.prove.interface.tissue_mesh.mesh import MeshFailed, TissueMesh, mesh_tissue
from limbwright.prove.interface.tissue_mesh.quality import scaled_jacobians
from limbwright.prove.interface.tissue_mesh.rigid_body import RigidBody
from limbwright.prove.interface.tissue_mesh.skin_quads import skin_quads
from limbwright.prove.plan import MeshLevel
from mesh_limbs import BARE, LINER, demo_with, round_limb, stretched

FACES = np.array(
    [(0, 3, 2, 1), (4, 5, 6, 7), (0, 1, 5, 4), (1, 2, 6, 5), (2, 3, 7, 6), (3, 0, 4, 7)]
)
"""Faces of a hexahedron in VTK's order, each counter-clockwise seen from outside."""


def coarse(limb: Limb, liner=LINER, over: ScannedOver = ScannedOver.SKIN) -> TissueMesh:
    return mesh_tissue(limb, liner, over, MeshLevel.COARSE)


@pytest.fixture(scope="module")
def demo() -> TissueMesh:
    return coarse(demo_with(True))


def gauss_determinants(mesh: TissueMesh) -> NDArray[np.float64]:
    """Determinant of the trilinear map at the eight points of 2 x 2 x 2 Gauss, (m, 8) mm³."""
    corner = np.array(
        [
            (-1, -1, -1),
            (1, -1, -1),
            (1, 1, -1),
            (-1, 1, -1),
            (-1, -1, 1),
            (1, -1, 1),
            (1, 1, 1),
            (-1, 1, 1),
        ]
    )
    out = []
    for point in corner / np.sqrt(3.0):
        terms = 1.0 + corner * point
        slope = np.stack(
            [corner[:, a] * terms[:, (a + 1) % 3] * terms[:, (a + 2) % 3] / 8.0 for a in range(3)]
        )
        out.append(np.linalg.det(np.einsum("ak,mkd->mad", slope, mesh.nodes_mm[mesh.hexahedra])))
    return np.stack(out, axis=1)


def faces_of(mesh: TissueMesh) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Every face once by its sorted nodes, and how many elements have it."""
    faces = np.sort(mesh.hexahedra[:, FACES].reshape(-1, 4), axis=1)
    return np.unique(faces, axis=0, return_counts=True)


def test_every_element_has_volume_at_its_gauss_points(demo: TissueMesh) -> None:
    assert gauss_determinants(demo).min() > 0.0
    assert demo.quality.smallest_scaled_jacobian > 0.1
    assert scaled_jacobians(demo.nodes_mm, demo.hexahedra).min() == pytest.approx(
        demo.quality.smallest_scaled_jacobian
    )


def test_faces_are_shared_by_two_elements_or_lie_on_a_border(demo: TissueMesh) -> None:
    faces, counts = faces_of(demo)
    assert set(counts) == {1, 2}
    border = faces[counts == 1]
    outer = {tuple(q) for q in np.sort(demo.outer, axis=1)}
    kinds = [demo.held[border].all(axis=1), demo.top[border].all(axis=1)]
    on_outer = np.array([tuple(face) in outer for face in border])
    assert (np.stack([*kinds, on_outer]).sum(axis=0) == 1).all()
    assert on_outer.sum() == len(outer)


def test_outer_surface_is_wound_outward(demo: TissueMesh) -> None:
    corner = demo.nodes_mm[demo.outer]
    normal = np.cross(corner[:, 2] - corner[:, 0], corner[:, 3] - corner[:, 1])
    away = corner.mean(axis=1) - demo.nodes_mm[demo.skin_node[demo.outer]].mean(axis=1)
    assert (np.einsum("ij,ij->i", normal, away) > 0.0).all()


def test_a_unit_cube_has_a_scaled_jacobian_of_one_and_a_mirrored_one_of_minus_one() -> None:
    cube = np.array(
        [(0, 0, 0), (1, 0, 0), (1, 1, 0), (0, 1, 0), (0, 0, 1), (1, 0, 1), (1, 1, 1), (0, 1, 1)],
        float,
    )
    one = np.arange(8, dtype=np.int32)[None]
    assert scaled_jacobians(cube, one) == pytest.approx([1.0])
    assert scaled_jacobians(cube * [1, 1, -1], one) == pytest.approx([-1.0])


def test_there_are_skin_nodes_enough_for_the_condensed_model(demo: TissueMesh) -> None:
    assert len(np.unique(demo.outer)) >= 1500
    assert 9_000 <= demo.quality.unknowns <= 16_000


def test_skin_nodes_lie_on_the_scan_and_the_liner_stands_outside(demo: TissueMesh) -> None:
    limb = demo_with(True)
    tree = DistanceTree(limb.surface)
    used = np.unique(demo.outer)
    skin = demo.nodes_mm[demo.skin_node[used]]
    assert tree.closest(skin)[0].max() < 0.3
    assert demo.quality.skin_mean_mm < 0.3
    thick = np.linalg.norm(demo.nodes_mm[used] - skin, axis=1)
    wall = (skin[:, 2] > -60.0) & ~demo.top[used]
    assert thick[wall] == pytest.approx(LINER.thickness_mm, rel=0.03)
    assert thick.max() == pytest.approx(LINER.cap_thickness_mm, rel=0.03)


def test_scanned_over_the_liner_the_scan_is_its_outside() -> None:
    limb = demo_with(False)
    mesh = coarse(limb, over=ScannedOver.LINER)
    used = np.unique(mesh.outer)
    assert DistanceTree(limb.surface).closest(mesh.nodes_mm[used])[0].max() < 0.3
    away = np.linalg.norm(mesh.nodes_mm[used] - mesh.nodes_mm[mesh.skin_node[used]], axis=1)
    assert away.max() <= LINER.cap_thickness_mm + 0.1
    assert mesh.quality.liner_thinned > 0
    assert "liner was taken thinner" in mesh.quality.text


def test_without_a_liner_the_skin_is_the_outer_surface() -> None:
    mesh = coarse(round_limb(), BARE)
    used = np.unique(mesh.outer)
    assert (mesh.skin_node[used] == used).all()
    assert (mesh.layer == 0).all()
    others = np.setdiff1d(np.arange(len(mesh.nodes_mm)), used)
    assert (mesh.skin_node[others] == -1).all()


def test_held_nodes_stand_on_the_bones_or_between_them(demo: TissueMesh) -> None:
    limb = demo_with(True)
    held = demo.nodes_mm[demo.held]
    held = held[held[:, 2] < limb.bones.tibia.vertices[:, 2].max() - 10.0]
    parts = [DistanceTree(bone).signed(held) for bone in (limb.bones.tibia, limb.bones.fibula)]
    off = np.min(parts, axis=0)
    assert off.min() > -0.1
    assert demo.quality.bone_mean_mm < 0.1
    assert demo.quality.membrane_share < 0.35
    lateral = held[:, 0] > limb.bones.fibula.vertices[:, 0].mean() + 2.0
    assert off[lateral].max() < 0.4


def test_volume_of_round_limb_is_that_of_skin_less_bones() -> None:
    """Against solids made by trimesh: capsules by closed form, less what the membrane takes."""
    limb = round_limb()
    mesh = coarse(limb, BARE)
    top = mesh.nodes_mm[:, 2].max()
    ball, length = 50.0, top + 120.0 - 50.0
    skin = np.pi * ball**2 * length + 2.0 / 3.0 * np.pi * ball**3
    low = -90.0
    tibia = np.pi * 20.0**2 * (top - low - 20.0) + 2.0 / 3.0 * np.pi * 20.0**3
    fibula = trimesh.Trimesh(limb.bones.fibula.vertices, limb.bones.fibula.faces).volume
    sheet = 4.0 * 8.0 * 80.0
    assert gauss_determinants(mesh).sum() == pytest.approx(skin - tibia - fibula - sheet, rel=0.02)


@pytest.mark.parametrize(
    "form",
    [
        {"up": 0.6},
        {"up": 1.6},
        {"taper": 0.0025},
        {"bulge": 0.25},
    ],
    ids=["short", "long", "conical", "bulbous"],
)
def test_limbs_of_other_forms_are_meshed(form: dict[str, float]) -> None:
    mesh = coarse(stretched(demo_with(True), **form), BARE)
    assert gauss_determinants(mesh).min() > 0.0
    assert mesh.quality.smallest_scaled_jacobian > 0.15


def test_a_mesh_is_the_same_twice(demo: TissueMesh) -> None:
    again = coarse(demo_with(True))
    assert again.nodes_mm.tobytes() == demo.nodes_mm.tobytes()
    assert again.hexahedra.tobytes() == demo.hexahedra.tobytes()


def moved_tibia(limb: Limb, by: tuple[float, float, float]) -> Limb:
    tibia = with_vertices(limb.bones.tibia, limb.bones.tibia.vertices + np.array(by))
    return replace(limb, bones=Bones(tibia, limb.bones.fibula, limb.bones.basis, 0.0))


def test_a_point_on_a_face_without_area_stays_where_it_is() -> None:
    box = trimesh.creation.box((20.0, 20.0, 20.0))
    corner = np.asarray(box.vertices[0], dtype=float)
    vertices = np.vstack([box.vertices, corner, corner])
    # The first faces that are met at the corner have no area.
    sliver = np.array([[0, 8, 9]] * 8)
    tree = DistanceTree(Mesh(vertices, np.vstack([sliver, box.faces]).astype(np.int32)))
    body = RigidBody(tree, tree, None, None, 0.0)
    assert np.allclose(body.placed(corner[None]), corner[None], atol=1e-6)


def test_a_bone_outside_the_skin_is_named_with_its_place() -> None:
    with pytest.raises(MeshFailed, match=r"tibia reaches .* mm outside the skin .*anterior"):
        coarse(moved_tibia(demo_with(True), (0.0, 15.0, 0.0)))


def test_a_bone_that_ends_below_the_limb_is_named_with_its_place() -> None:
    with pytest.raises(MeshFailed, match=r"tibia reaches .* below the mid-patellar tendon"):
        coarse(moved_tibia(demo_with(True), (0.0, 0.0, -40.0)))


def test_a_scan_that_ends_below_the_bones_says_so() -> None:
    limb = moved_tibia(demo_with(True), (0.0, 0.0, 400.0))
    with pytest.raises(MeshFailed, match=r"scan ends .* below the whole tibia"):
        coarse(limb)


def test_a_closed_scan_is_refused() -> None:
    limb = round_limb()
    ring = np.arange(64)
    last = len(limb.surface.vertices) - 65
    apex = np.full(64, len(limb.surface.vertices))
    lid = np.stack([apex, last + ring, last + np.roll(ring, -1)], axis=1).astype(np.int32)
    closed = Mesh(
        np.vstack([limb.surface.vertices, [[0.0, 0.0, 60.0]]]),
        np.concatenate([limb.surface.faces, lid]),
    )
    with pytest.raises(MeshFailed, match="closed at its top"):
        coarse(replace(limb, surface=closed))


def test_thin_cover_is_kept_and_told() -> None:
    limb = demo_with(True)
    cover = float(limb.cover_mm.min())
    near = moved_tibia(limb, (0.0, cover - 0.8, 0.0))
    mesh = coarse(near, BARE)
    assert mesh.quality.thinned > 0
    assert mesh.quality.thinnest_cover_mm == pytest.approx(2.0, abs=0.1)
    assert "the bone was moved in to keep a cover of 2 mm" in mesh.quality.text


def test_a_hole_left_in_the_scan_does_not_throw_points_away() -> None:
    limb = round_limb()
    middle = limb.surface.vertices[limb.surface.faces].mean(axis=1)
    gone = (np.abs(middle[:, 2] + 40.0) < 6.0) & (middle[:, 1] > 45.0)
    assert gone.any()
    torn = Mesh(limb.surface.vertices, limb.surface.faces[~gone])
    quads = skin_quads(DistanceTree(torn), limb.cover_mm, 55.0, 1500)
    radius = np.hypot(quads.points_mm[:, 0], quads.points_mm[:, 1])
    wall = quads.points_mm[:, 2] > -60.0
    assert radius[wall].min() > 49.0
