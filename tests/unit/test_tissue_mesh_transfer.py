from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from limbwright.capture.plan import ScannedOver
from limbwright.core.mesh import vertex_areas, vertex_normals
from limbwright.prove.interface.tissue_mesh.mesh import TissueMesh, mesh_tissue
from limbwright.prove.interface.tissue_mesh.transfer import Transfer, transfer
from limbwright.prove.plan import MeshLevel
from mesh_limbs import BARE, LINER, demo_with, round_limb


@pytest.fixture(scope="module")
def demo() -> tuple[TissueMesh, Transfer]:
    limb = demo_with(True)
    mesh = mesh_tissue(limb, LINER, ScannedOver.SKIN, MeshLevel.COARSE)
    return mesh, transfer(limb.surface, mesh, ScannedOver.SKIN)


def quad_forces(mesh: TissueMesh, traction: NDArray[np.float64]) -> NDArray[np.float64]:
    """Resultant force and moment about the origin of a bilinear traction, 2 x 2 Gauss, (6,)."""
    used, quads = np.unique(mesh.outer, return_inverse=True)
    quads = quads.reshape(mesh.outer.shape)
    corner = mesh.nodes_mm[used][quads]
    total = np.zeros(6)
    for u in (-1, 1):
        for v in (-1, 1):
            a, b = (0.5 + w / (2 * np.sqrt(3)) for w in (u, v))
            shape = np.array([(1 - a) * (1 - b), a * (1 - b), a * b, (1 - a) * b])
            along_a = np.array([-(1 - b), 1 - b, b, -b])
            along_b = np.array([-(1 - a), -a, a, 1 - a])
            ta, tb = (np.einsum("k,qkd->qd", w, corner) for w in (along_a, along_b))
            area = 0.25 * np.linalg.norm(np.cross(ta, tb), axis=1)[:, None]
            here = np.einsum("k,qkd->qd", shape, corner)
            force = np.einsum("k,qkd->qd", shape, traction[quads]) * area
            total += np.concatenate([force.sum(axis=0), np.cross(here, force).sum(axis=0)])
    return total


def test_constants_and_linear_fields_are_carried_onto_the_surface(
    demo: tuple[TissueMesh, Transfer],
) -> None:
    mesh, carried = demo
    surface = demo_with(True).surface
    skin = mesh.nodes_mm[mesh.skin_node[carried.outer_nodes]]
    below = surface.vertices[:, 2] < mesh.nodes_mm[:, 2].max()
    ones = carried.to_surface @ np.ones(len(skin))
    assert ones[below] == pytest.approx(1.0)
    assert (ones[~below] == 0.0).all()
    miss = np.linalg.norm(carried.to_surface @ skin - surface.vertices, axis=1)[below]
    assert miss.mean() < 0.2
    assert miss.max() <= mesh.quality.skin_largest_mm + 1.0


def test_linear_fields_are_carried_onto_the_outer_nodes(
    demo: tuple[TissueMesh, Transfer],
) -> None:
    mesh, carried = demo
    surface = demo_with(True).surface
    skin = mesh.nodes_mm[mesh.skin_node[carried.outer_nodes]]
    linear = np.array([0.3, -0.2, 0.5])
    got = carried.to_outer @ (surface.vertices @ linear + 7.0)
    assert got == pytest.approx(skin @ linear + 7.0, abs=0.05)


def test_a_field_that_goes_there_and_back_stays(demo: tuple[TissueMesh, Transfer]) -> None:
    mesh, carried = demo
    skin = mesh.nodes_mm[mesh.skin_node[carried.outer_nodes]]
    field = np.sin(skin[:, 2] / 30.0) + np.cos(skin[:, 0] / 25.0) * np.sin(skin[:, 1] / 25.0)
    back = carried.to_outer @ (carried.to_surface @ field)
    inside = ~mesh.top[carried.outer_nodes]
    assert np.abs(back - field)[inside].max() < 0.05


def smooth_pressure(points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Like a load area, low on the limb and off to one side."""
    at = points - np.array([10.0, 40.0, -50.0])
    return np.exp(-np.einsum("ij,ij->i", at, at) / (2 * 25.0**2))


@pytest.mark.parametrize("liner", [BARE, LINER], ids=["bare", "liner"])
def test_forces_and_moments_agree_within_one_percent(liner) -> None:
    limb = demo_with(True)
    mesh = mesh_tissue(limb, liner, ScannedOver.SKIN, MeshLevel.COARSE)
    carried = transfer(limb.surface, mesh, ScannedOver.SKIN)
    skin = mesh.nodes_mm[mesh.skin_node[carried.outer_nodes]]
    normals = carried.to_outer @ vertex_normals(limb.surface)
    traction = -smooth_pressure(skin)[:, None] * normals
    there = quad_forces(mesh, traction)
    carried_traction = carried.traction_to_surface @ traction
    force = carried_traction * vertex_areas(limb.surface)[:, None]
    here = np.concatenate([force.sum(axis=0), np.cross(limb.surface.vertices, force).sum(axis=0)])
    assert np.linalg.norm(here[:3] - there[:3]) < 0.01 * np.linalg.norm(there[:3])
    # pressed along the normals through the liner, moments about the middle of the limb agree
    lever_mm = 50.0
    assert np.linalg.norm(here[3:] - there[3:]) < 0.01 * np.linalg.norm(there[:3]) * lever_mm


def test_a_hydrostatic_pressure_on_a_round_limb_gives_the_force_of_its_section() -> None:
    """Against the closed form: pressure times the section's area, upward."""
    limb = round_limb()
    mesh = mesh_tissue(limb, BARE, ScannedOver.SKIN, MeshLevel.COARSE)
    carried = transfer(limb.surface, mesh, ScannedOver.SKIN)
    skin = mesh.nodes_mm[carried.outer_nodes]
    inside = carried.to_outer @ np.ones(len(limb.surface.vertices))
    assert inside == pytest.approx(1.0)
    pressure = (skin[:, 2] < 0.0).astype(float)
    on_surface = carried.traction_to_surface @ pressure
    up = -(on_surface * vertex_areas(limb.surface)) @ vertex_normals(limb.surface)[:, 2]
    assert up == pytest.approx(np.pi * 50.0**2, rel=0.01)
