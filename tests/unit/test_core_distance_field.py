from __future__ import annotations

import numpy as np
import pytest

from core_bodies import box, cup, moved, sphere, torus
from limbwright.core.distance_field import DistanceGrid, iso_surface, narrow_band
from limbwright.core.holes import boundary_loops, fill_hole
from limbwright.core.mesh import Mesh, merged, volume_mm3
from limbwright.core.proximity import DistanceTree
from limbwright.core.topology import is_closed_manifold


def places(grid: DistanceGrid) -> np.ndarray:
    steps = [np.arange(n) * grid.spacing_mm for n in grid.values.shape]
    return np.stack(np.meshgrid(*steps, indexing="ij"), axis=-1) + grid.origin_mm


def test_the_field_of_a_ball_is_the_way_to_its_surface_held_at_the_band() -> None:
    grid = narrow_band(sphere(20.0, 5), 2.0, 5.0)
    exact = np.linalg.norm(places(grid), axis=-1) - 20.0
    assert grid.values == pytest.approx(np.clip(exact, -5.0, 5.0), abs=0.02)


def test_the_field_around_a_level_is_exact_there() -> None:
    grid = narrow_band(sphere(20.0, 5), 1.5, 2.0, level_mm=6.0)
    exact = np.linalg.norm(places(grid), axis=-1) - 20.0
    assert grid.values == pytest.approx(np.clip(exact, 4.0, 8.0), abs=0.02)


def test_every_point_near_a_limb_gets_the_distance_that_the_tree_gives() -> None:
    limb = cup(around=48, rings=20)
    for body in (limb, fill_hole(limb, boundary_loops(limb)[0])):
        grid = narrow_band(body, 4.0, 9.0)
        exact = DistanceTree(body).signed(places(grid).reshape(-1, 3)).reshape(grid.values.shape)
        near = np.abs(exact) < 9.0
        assert grid.values[near] == pytest.approx(exact[near], abs=1e-4)
        assert (np.abs(grid.values[~near]) == 9.0).all()


def test_a_wall_on_a_ball_is_as_thick_as_asked_for() -> None:
    ball = sphere(40.0, 5)
    wall = iso_surface(narrow_band(ball, 1.5, 4.0, level_mm=6.0), 6.0)
    assert is_closed_manifold(wall)
    assert np.linalg.norm(wall.vertices, axis=1) == pytest.approx(46.0, abs=0.03)
    assert volume_mm3(wall) == pytest.approx(4 / 3 * np.pi * 46.0**3, rel=2e-3)


def test_a_cube_grows_as_steiner_says() -> None:
    side, wall = 20.0, 5.0
    grown = iso_surface(narrow_band(box(side), 0.8, 2.0, level_mm=wall), wall)
    exact = side**3 + 6 * side**2 * wall + 3 * np.pi * side * wall**2 + 4 / 3 * np.pi * wall**3
    assert volume_mm3(grown) == pytest.approx(exact, rel=2e-3)
    thickness = DistanceTree(box(side)).signed(grown.vertices)
    assert thickness == pytest.approx(wall, abs=0.03)


def test_a_surface_inside_is_found_too_and_is_wound_outward() -> None:
    shrunk = iso_surface(narrow_band(sphere(40.0, 4), 1.5, 4.0, level_mm=-10.0), -10.0)
    assert np.linalg.norm(shrunk.vertices, axis=1) == pytest.approx(30.0, abs=0.1)
    assert volume_mm3(shrunk) > 0


def test_a_groove_does_not_thin_the_wall() -> None:
    ring = torus(40.0, 12.0)  # its hole is the worst of grooves
    wall = iso_surface(narrow_band(ring, 1.2, 3.0, level_mm=8.0), 8.0)
    assert DistanceTree(ring).signed(wall.vertices) == pytest.approx(8.0, abs=0.05)


def test_the_outside_stays_outside_behind_a_fold() -> None:
    # two balls that pass through each other: normals at the seam show the wrong side of it
    pair = merged((sphere(20.0, 3), moved(sphere(20.0, 3), [9.0, 9.0, 9.0])))
    grid = narrow_band(pair, 1.0, 4.0, level_mm=10.0)
    assert (grid.values[[0, -1]] > 10.0).all()
    assert (grid.values[:, [0, -1]] > 10.0).all()
    assert (grid.values[:, :, [0, -1]] > 10.0).all()
    assert is_closed_manifold(iso_surface(grid, 10.0))


def test_bounds_are_kept() -> None:
    bounds = np.array([[-5.0, -5.0, 10.0], [5.0, 6.0, 30.0]])
    grid = narrow_band(sphere(20.0, 4), 0.5, 2.0, bounds)
    assert grid.origin_mm.tolist() == [-5.0, -5.0, 10.0]
    assert grid.values.shape == (21, 23, 41)


def test_a_surface_that_would_be_open_is_refused() -> None:
    bounds = np.array([[-30.0, -30.0, -30.0], [30.0, 30.0, 5.0]])
    grid = narrow_band(sphere(20.0, 4), 1.0, 3.0, bounds)
    with pytest.raises(ValueError, match="border"):
        iso_surface(grid, 0.0)


def test_a_level_out_of_reach_is_refused() -> None:
    grid = narrow_band(sphere(20.0, 3), 1.0, 3.0)
    with pytest.raises(ValueError, match="outside the sampled zone"):
        iso_surface(grid, 5.0)
    far = narrow_band(sphere(20.0, 3), 1.0, 3.0, np.array([[50.0, 50, 50], [60, 60, 60]]))
    with pytest.raises(ValueError, match="either side"):
        iso_surface(far, 0.0)


def test_unusable_input_is_refused() -> None:
    nothing = Mesh(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int32))
    with pytest.raises(ValueError, match="without faces"):
        narrow_band(nothing, 1.0, 2.0)
    for spacing, band in ((0.0, 1.0), (1.0, -1.0), (float("nan"), 1.0)):
        with pytest.raises(ValueError, match="positive"):
            narrow_band(box(), spacing, band)


def test_a_level_through_grid_points_gives_no_face_without_area() -> None:
    steps = np.arange(-6.0, 7.0)
    x, y, z = np.meshgrid(steps, steps, steps, indexing="ij")
    values = (np.maximum(np.abs(x), np.maximum(np.abs(y), np.abs(z))) - 4.0).astype(np.float32)
    cube = iso_surface(DistanceGrid(np.full(3, -6.0), 1.0, values, 0.0, 3.0), 0.0)
    assert is_closed_manifold(cube)
    assert volume_mm3(cube) == pytest.approx(8.0**3, rel=2e-3)
