"""Distance along the skin against the unrolled cylinder and an exact polyhedral solver."""

from __future__ import annotations

import igl
import numpy as np
import pytest

from limbwright.core.mesh import Mesh
from limbwright.core.remeshing import remesh_uniform
from limbwright.shape.geodesics import distance_along, surface_distance
from shape_limbs import cylinder_limb, open_limb

RADIUS = 350 / (2 * np.pi)


def unrolled(points):
    return np.stack([RADIUS * np.arctan2(points[:, 0], points[:, 1]), points[:, 2]], axis=1)


def rolled(flat):
    angle = flat[:, 0] / RADIUS
    return np.stack([RADIUS * np.sin(angle), RADIUS * np.cos(angle), flat[:, 1]], axis=1)


def to_segment(points, start, end):
    along = end - start
    part = np.clip((points - start) @ along / max(along @ along, 1e-12), 0, 1)
    return np.linalg.norm(points - start - part[:, None] * along, axis=1)


@pytest.mark.parametrize(
    ("start", "end"), [((-10, -90), (15, -30)), ((0, -80), (0, -40)), ((-20, -60), (20, -60))]
)
def test_distance_from_a_line_on_a_cylinder_is_that_on_the_unrolled_sheet(start, end):
    mesh = remesh_uniform(cylinder_limb().surface, 3.2)
    start, end = np.array(start, float), np.array(end, float)
    line = rolled(start + np.linspace(0, 1, 30)[:, None] * (end - start))
    distance = surface_distance(mesh).from_curve(line)
    wall = (mesh.vertices[:, 2] > -148) & (mesh.vertices[:, 2] < 55)
    true = to_segment(unrolled(mesh.vertices), start, end)
    for reach, allowed in ((10, 0.05), (25, 0.5), (40, 0.8)):
        near = wall & (true < reach)
        assert distance[near] == pytest.approx(true[near], abs=allowed)
    near = wall & (true < 30)
    assert np.mean(distance[near] - true[near]) == pytest.approx(0.0, abs=0.2)


def test_beyond_the_limit_there_is_no_distance():
    mesh = cylinder_limb().surface
    distance = surface_distance(mesh).from_curve(np.array([[0.0, RADIUS, -60.0]]), 20.0)
    assert np.isinf(distance[mesh.vertices[:, 1] < 0]).all()
    assert distance[np.isfinite(distance)].max() <= 20.0


@pytest.mark.parametrize("landmark", ["fibular_head", "distal_tibia", "crest_upper"])
def test_distance_on_a_real_limb_agrees_with_an_exact_solver(shared_data, landmark):
    limb = open_limb(shared_data, "limb_a")
    mesh = remesh_uniform(limb.surface, 4.5)
    source = int(
        np.argmin(np.linalg.norm(mesh.vertices - limb.landmarks[landmark].point_mm, axis=1))
    )
    near = np.flatnonzero(
        np.linalg.norm(mesh.vertices - mesh.vertices[source], axis=1) < 45
    ).astype(np.int64)
    none = np.array([], dtype=np.int64)
    exact = igl.exact_geodesic(
        mesh.vertices, mesh.faces.astype(np.int64), np.array([source]), none, near, none
    )
    found = distance_along(mesh, mesh.vertices[[source]])[near]
    error = found - exact
    assert np.abs(error).max() < 1.2
    assert np.abs(error[exact < 20]).max() < 0.8
    assert abs(error.mean()) < 0.6


def test_the_far_side_of_a_fold_of_skin_is_far_along_the_skin():
    # two sheets 4 mm apart, joined 60 mm away: back to back as in a deep fold
    flat = np.stack(np.meshgrid(np.arange(0, 61, 3.0), np.arange(0, 31, 3.0)), -1).reshape(-1, 2)
    columns = 21
    near = np.column_stack([flat, np.zeros(len(flat))])
    far = np.column_stack([flat, np.full(len(flat), 4.0)])
    faces = []
    for row in range(10):
        for column in range(columns - 1):
            a = row * columns + column
            faces += [[a, a + 1, a + columns + 1], [a, a + columns + 1, a + columns]]
    faces = np.array(faces)
    joint = []
    for row in range(10):
        a = row * columns + columns - 1
        joint += [
            [a, a + len(near), a + columns + len(near)],
            [a, a + columns + len(near), a + columns],
        ]
    mesh = Mesh(
        np.concatenate([near, far]),
        np.concatenate([faces, faces[:, ::-1] + len(near), np.array(joint)]).astype(np.int32),
    )
    distance = distance_along(mesh, np.array([[0.0, 15.0, 0.0]]))
    across = int(np.argmin(np.linalg.norm(mesh.vertices - [0.0, 15.0, 4.0], axis=1)))
    assert distance[across] == pytest.approx(60 + 4 + 60, abs=3.0)
