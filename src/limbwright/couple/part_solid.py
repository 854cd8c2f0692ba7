"""Catalogue parts as closed meshes."""

from __future__ import annotations

import manifold3d
import numpy as np

from limbwright.core.mesh import Mesh
from limbwright.core.solids import skin
from limbwright.couple.catalogue import AnyPart
from limbwright.couple.part_shape import Block, Body, Dome, Pyramid, Round, part_shape

SEGMENTS = 128
"""Sides of a round: 0.04 percent less section than the round itself."""


def part_mesh(part: AnyPart) -> Mesh:
    """The part as a closed mesh, wound outward, part frame, mm."""
    shape = part_shape(part)
    whole = manifold3d.Manifold.batch_boolean(
        [_solid(body) for body in shape.united], manifold3d.OpType.Add
    )
    for body in shape.cut:
        whole = whole - _solid(body)
    return skin(whole, 0.0)


def _solid(body: Body) -> manifold3d.Manifold:
    if isinstance(body, Round):
        return _round(body)
    if isinstance(body, Block):
        size = np.subtract(body.high, body.low)
        return manifold3d.Manifold.cube(tuple(size)).translate(body.low)
    if isinstance(body, Pyramid):
        return _pyramid(body)
    return _dome(body)


def _round(body: Round) -> manifold3d.Manifold:
    start = np.array(body.start)
    way = np.array(body.end) - start
    height = float(np.linalg.norm(way))
    up = way / height
    side = np.eye(3)[int(np.abs(up).argmin())]
    first = np.cross(side, up)
    first = first / np.linalg.norm(first)
    place = np.column_stack([first, np.cross(up, first), up, start])
    bar = manifold3d.Manifold.cylinder(height, body.start_radius_mm, body.end_radius_mm, SEGMENTS)
    return bar.transform(place)


def _pyramid(body: Pyramid) -> manifold3d.Manifold:
    corners = [
        (0.5 * o * side, 0.5 * f * side, height)
        for height, side in (
            (body.low_mm, body.low_side_mm),
            (body.high_mm, body.high_side_mm),
        )
        for o in (-1.0, 1.0)
        for f in (-1.0, 1.0)
    ]
    return manifold3d.Manifold.hull_points(np.array(corners))


def _dome(body: Dome) -> manifold3d.Manifold:
    ball = manifold3d.Manifold.sphere(body.radius_mm, SEGMENTS)
    return ball.trim_by_plane((0.0, 0.0, 1.0), 0.0).translate(body.centre)
