"""Distance between two points of a limb, against a cylinder rolled flat."""

from __future__ import annotations

import math
from types import SimpleNamespace

import numpy as np
import pytest

from limbwright.case.measuring import distance_between
from limbwright.core.mesh import Mesh
from limbwright.core.proximity import DistanceTree
from limbwright.shape.geodesics import surface_distance

RADIUS_MM = 50.0
NEAR = 0.015
"""A front that marches over edges of 3 mm is a little late."""

WINDS_MM = 2.0
"""How far a way may lie beside the straight one: less than an edge."""


@pytest.fixture(scope="module")
def cylinder():
    # Rows are staggered by half a column: near-equilateral triangles, as a remeshed limb has.
    around, along = 100, 67
    row, column = np.meshgrid(np.arange(along), np.arange(around), indexing="ij")
    angle = 2.0 * np.pi / around * (column + 0.5 * (row % 2))
    height = 180.0 / (along - 1) * row
    vertices = np.stack(
        [RADIUS_MM * np.cos(angle), RADIUS_MM * np.sin(angle), height], axis=2
    ).reshape(-1, 3)
    here, after = row[:-1] * around + column[:-1], row[:-1] * around + (column[:-1] + 1) % around
    odd = row[:-1] % 2 == 1
    up, up_after = here + around, after + around
    first = np.stack([here, after, np.where(odd, up_after, up)], axis=2)
    second = np.stack([np.where(odd, here, after), up_after, up], axis=2)
    faces = np.concatenate([first.reshape(-1, 3), second.reshape(-1, 3)])
    mesh = Mesh(vertices, faces.astype(np.int32))
    return SimpleNamespace(surface=mesh), DistanceTree(mesh), surface_distance(mesh)


def on_cylinder(angle_deg: float, height_mm: float) -> np.ndarray:
    angle = math.radians(angle_deg)
    return np.array([RADIUS_MM * math.cos(angle), RADIUS_MM * math.sin(angle), height_mm])


@pytest.mark.parametrize(
    ("turn_deg", "climb_mm"),
    [(90.0, 0.0), (120.0, 60.0), (0.0, 90.0), (45.0, -40.0), (170.0, 20.0)],
)
def test_along_a_cylinder_is_the_straight_line_of_its_rolled_out_side(cylinder, turn_deg, climb_mm):
    start, end = on_cylinder(10.0, 80.0), on_cylinder(10.0 + turn_deg, 80.0 + climb_mm)
    found = distance_between(*cylinder, start, end)
    assert found.straight_mm == pytest.approx(float(np.linalg.norm(end - start)), abs=0.2)
    rolled = math.hypot(RADIUS_MM * math.radians(turn_deg), climb_mm)
    assert found.surface_mm == pytest.approx(rolled, rel=NEAR)
    # The way winds evenly from one end to the other, and is as long as it is said to be.
    way = found.way_mm
    assert np.allclose(way[[0, -1]], [start, end], atol=0.1)
    assert np.linalg.norm(np.diff(way, axis=0), axis=1).sum() == pytest.approx(rolled, rel=NEAR)
    assert np.hypot(way[:, 0], way[:, 1]) == pytest.approx(RADIUS_MM, abs=0.05)
    turned = np.unwrap(np.arctan2(way[:, 1], way[:, 0])) - math.radians(10.0)
    flat = np.stack([RADIUS_MM * turned, way[:, 2] - 80.0], axis=1)
    ahead = np.array([RADIUS_MM * math.radians(turn_deg), climb_mm]) / rolled
    assert np.abs(flat @ [-ahead[1], ahead[0]]).max() < WINDS_MM


def test_the_nearest_points_of_the_skin_are_measured(cylinder):
    inside = 0.9 * on_cylinder(0.0, 90.0) + [0.0, 0.0, 9.0]
    found = distance_between(*cylinder, inside, on_cylinder(90.0, 90.0))
    assert found.straight_mm == pytest.approx(RADIUS_MM * math.sqrt(2.0), rel=0.005)
    assert found.surface_mm == pytest.approx(RADIUS_MM * math.pi / 2.0, rel=NEAR)
