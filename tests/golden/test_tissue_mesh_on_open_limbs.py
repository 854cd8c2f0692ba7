"""The tissue mesh of two real, knobbly limbs with their true bones and with estimated ones.

Volumes are held against the closed solids themselves (trimesh); the rest are properties that a
mesh must have whoever made it.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import trimesh
from numpy.typing import NDArray

from limbwright.capture.intake import take_in
from limbwright.capture.plan import CapturePlan, ScannedOver
from limbwright.capture.read import read_scan
from limbwright.capture.result import Limb
from limbwright.case.create import read_landmarks
from limbwright.core.mesh import Mesh
from limbwright.core.proximity import DistanceTree
from limbwright.prove.interface.tissue_mesh.mesh import TissueMesh, mesh_tissue
from limbwright.prove.plan import MeshLevel
from mesh_limbs import BARE, LINER, open_limb

CASES = [(name, true) for name in ("limb_a", "limb_b") for true in (True, False)]
_CORNERS = np.array(
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


def determinants(mesh: TissueMesh) -> NDArray[np.float64]:
    """Determinant of the trilinear map at the eight points of 2 x 2 x 2 Gauss, (m, 8)."""
    out = []
    for point in _CORNERS / np.sqrt(3.0):
        terms = 1.0 + _CORNERS * point
        slope = [
            _CORNERS[:, a] * terms[:, (a + 1) % 3] * terms[:, (a + 2) % 3] / 8.0 for a in range(3)
        ]
        map_ = np.einsum("ak,mkd->mad", np.array(slope), mesh.nodes_mm[mesh.hexahedra])
        out.append(np.linalg.det(map_))
    return np.stack(out, axis=1)


@pytest.mark.parametrize("name", ["limb_a", "limb_b"])
def test_a_raw_scan_is_meshed_as_it_is_taken_in(shared_data: Path, name: str) -> None:
    """With all that a scan brings: noise taken off, holes closed, a creased thigh."""
    folder = shared_data / "limbs" / name
    read = read_landmarks(folder / "landmarks.json")
    (scan,) = folder.glob("raw_scan.*")
    plan = CapturePlan(scan=scan.name, landmarks=read.landmarks)
    assert read.side is not None
    limb = take_in(read_scan(scan), None, None, read.side, plan)
    mesh = mesh_tissue(limb, LINER, ScannedOver.SKIN, MeshLevel.COARSE)
    assert determinants(mesh).min() > 0.0
    # As high as the brim of a socket that grips over the condyles.
    assert mesh.nodes_mm[:, 2].max() >= 60.0
    assert "the mesh ends" in mesh.quality.text


@pytest.mark.parametrize(("name", "true"), CASES)
def test_real_limbs_are_meshed_coarse(shared_data: Path, name: str, true: bool) -> None:
    limb = open_limb(shared_data, name, true_bones=true)
    mesh = mesh_tissue(limb, LINER, ScannedOver.SKIN, MeshLevel.COARSE)
    quality = mesh.quality
    assert determinants(mesh).min() > 0.0
    assert quality.smallest_scaled_jacobian > 0.2
    assert quality.skin_mean_mm < 0.3
    assert quality.bone_mean_mm < 0.01
    assert quality.bone_largest_mm < 0.1
    assert quality.thinned == 0
    assert len(np.unique(mesh.outer)) >= 1500


@pytest.mark.slow
@pytest.mark.parametrize("level", [MeshLevel.MEDIUM, MeshLevel.FINE])
@pytest.mark.parametrize(("name", "true"), CASES)
def test_real_limbs_are_meshed_finer(
    shared_data: Path, name: str, true: bool, level: MeshLevel
) -> None:
    limb = open_limb(shared_data, name, true_bones=true)
    for liner, over in ((BARE, ScannedOver.SKIN), (LINER, ScannedOver.LINER)):
        mesh = mesh_tissue(limb, liner, over, level)
        assert determinants(mesh).min() > 0.0
        assert mesh.quality.smallest_scaled_jacobian > 0.2


@pytest.fixture(scope="module", params=["limb_a", "limb_b"])
def bare(request: pytest.FixtureRequest, shared_data: Path) -> tuple[Limb, TissueMesh]:
    limb = open_limb(shared_data, request.param, true_bones=True)
    return limb, mesh_tissue(limb, BARE, ScannedOver.SKIN, MeshLevel.COARSE)


def test_volume_is_that_of_the_skin_less_the_rigid_body(bare: tuple[Limb, TissueMesh]) -> None:
    """The skin cut and capped by trimesh, less tibia and fibula; the rigid body takes more."""
    limb, mesh = bare
    top = float(mesh.nodes_mm[:, 2].max())
    inner = mesh.outer - (mesh.outer.min() - np.flatnonzero(mesh.held).min())
    outside, inside = _enclosed(mesh, mesh.outer, top), _enclosed(mesh, inner, top)
    assert determinants(mesh).sum() == pytest.approx(outside - inside, rel=1e-3)
    assert outside == pytest.approx(_cut(limb.surface, top).volume, rel=0.01)
    plateau = float(limb.bones.tibia.vertices[:, 2].max()) - 10.0
    bones = sum(_cut(bone, plateau).volume for bone in (limb.bones.tibia, limb.bones.fibula))
    body = _enclosed(mesh, inner, plateau)
    tissue = _enclosed(mesh, mesh.outer, plateau) - body
    assert 0.0 < body - bones < 0.03 * tissue


def _cut(mesh: Mesh, top: float) -> trimesh.Trimesh:
    """The solid below a level, closed by a flat lid."""
    solid = trimesh.Trimesh(mesh.vertices, mesh.faces)
    return trimesh.intersections.slice_mesh_plane(solid, [0, 0, -1], [0, 0, top], cap=True)


def _enclosed(mesh: TissueMesh, quads: NDArray[np.int32], top: float) -> float:
    """Volume below a level inside quads that reach above it: trimesh cuts and closes, mm³."""
    faces = np.concatenate([quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]])
    return float(_cut(Mesh(mesh.nodes_mm, faces), top - 1e-6).volume)


def test_tissue_lateral_of_the_fibula_is_whole(bare: tuple[Limb, TissueMesh]) -> None:
    """Held nodes on the fibula's outer side stand on it; only its end is rounded."""
    limb, mesh = bare
    fibula = limb.bones.fibula
    held = mesh.nodes_mm[mesh.held]
    near = DistanceTree(fibula).closest(held)[0] < 3.0
    lateral = near & (held[:, 0] > np.interp(held[:, 2], *_middle_by_level(fibula)))
    assert lateral.sum() > 20
    off = DistanceTree(fibula).closest(held[lateral])[0]
    assert np.percentile(off, 80.0) < 0.05
    assert off.max() < 1.0


def _middle_by_level(bone: Mesh) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    band = np.round(bone.vertices[:, 2] / 5.0).astype(int)
    levels = np.unique(band)
    return 5.0 * levels, np.array([bone.vertices[band == k, 0].mean() for k in levels])


def test_left_and_right_share_one_frame(bare: tuple[Limb, TissueMesh]) -> None:
    """limb_b is a left limb, reflected at intake: its fibula lies outward like a right one's."""
    limb, mesh = bare
    assert limb.bones.fibula.vertices[:, 0].mean() > limb.bones.tibia.vertices[:, 0].mean()
    assert determinants(mesh).min() > 0.0
    corner = mesh.nodes_mm[mesh.outer]
    normal = np.cross(corner[:, 2] - corner[:, 0], corner[:, 3] - corner[:, 1])
    away = corner.mean(axis=1) - np.append(mesh.nodes_mm[:, :2].mean(axis=0), -50.0)
    assert (np.einsum("ij,ij->i", normal, away) > 0.0).mean() > 0.99
