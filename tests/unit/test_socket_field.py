"""The socket's distance field against the distance to a round-ended tube, and its derivatives."""

from __future__ import annotations

import numpy as np
import pytest

from interface_bodies import capped, revolved
from limbwright.core.errors import DesignRefused
from limbwright.core.mesh import Mesh, Vertices
from limbwright.prove.interface.socket_field import (
    SocketField,
    depth_at,
    field_of_function,
    field_of_surface,
    penetration,
)

BOX = np.array([[-70.0, -70.0, -70.0], [70.0, 70.0, 100.0]])


def out_of_tube(points: Vertices) -> np.ndarray:
    """Distance to a tube of radius 50 mm that ends in a half-ball about the origin."""
    low = np.minimum(points[:, 2], 0.0)
    return np.sqrt(points[:, 0] ** 2 + points[:, 1] ** 2 + low**2) - 50.0


@pytest.fixture(scope="module")
def field() -> SocketField:
    return field_of_function(out_of_tube, BOX)


def near_ball(depth_mm: float, count: int = 500) -> Vertices:
    rays = np.random.default_rng(1).normal(size=(count, 3))
    rays[:, 2] = -np.abs(rays[:, 2]) - 0.2
    rays /= np.linalg.norm(rays, axis=1, keepdims=True)
    return rays * (50.0 + depth_mm)


@pytest.mark.parametrize("depth_mm", [-4.0, 0.0, 4.0])
def test_depth_gradient_and_curvature_are_those_of_a_ball(
    field: SocketField, depth_mm: float
) -> None:
    points = near_ball(depth_mm)
    depth, gradient, hessian = penetration(field, points)
    assert depth == pytest.approx(depth_mm, abs=0.005)
    np.testing.assert_allclose(
        gradient, points / np.linalg.norm(points, axis=1)[:, None], atol=0.003
    )
    # a ball's distance curves by 1/r in both directions: the trace is 2/r
    np.testing.assert_allclose(
        np.trace(hessian, axis1=1, axis2=2), 2 / (50.0 + depth_mm), atol=0.005
    )


@pytest.mark.parametrize("stretch", [1.0, 4.0])
def test_derivatives_are_those_of_the_depth_even_beyond_the_grid(
    field: SocketField, stretch: float
) -> None:
    points = stretch * near_ball(2.0)
    way, step = np.array([0.4, -0.5, 0.7]), 1e-4
    ahead, behind = penetration(field, points + step * way), penetration(field, points - step * way)
    _, gradient, hessian = penetration(field, points)
    slope = (ahead[0] - behind[0]) / (2 * step)
    np.testing.assert_allclose(gradient @ way, slope, atol=1e-6)
    if stretch == 1.0:
        np.testing.assert_allclose(
            hessian @ way, (ahead[1] - behind[1]) / (2 * step), rtol=1e-3, atol=1e-6
        )


def test_a_surface_gives_the_distance_to_it_and_has_no_lid() -> None:
    wall = revolved(lambda u: 40 + u * 15 / 180, np.linspace(0, 180, 91), 192)
    cup = field_of_surface(capped(wall, 192))
    slope = np.arctan(15 / 180)
    heights = np.linspace(30.0, 175.0, 60)
    for off_mm in (-3.0, 0.0, 3.0):
        radius = 40 + heights * 15 / 180 + off_mm * np.cos(slope)
        points = np.stack([radius, 0 * heights, heights - off_mm * np.sin(slope)], axis=1)
        # a prism of 192 sides stands up to 0.01 mm inside the cone
        assert depth_at(cup, points) == pytest.approx(off_mm, abs=0.02)
    above = np.stack([np.zeros(20), np.zeros(20), np.linspace(100.0, 260.0, 20)], axis=1)
    assert depth_at(cup, above).max() < -35.0


def test_a_closed_socket_is_refused() -> None:
    wall = revolved(lambda u: 40 + 0 * u, np.linspace(0, 100, 21), 48)
    top = Mesh(wall.vertices * [1, 1, -1], wall.faces[:, ::-1])
    with pytest.raises(DesignRefused, match="closed at the top"):
        field_of_surface(capped(top, 48))
