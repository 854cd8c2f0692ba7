"""The same socket a little different: farther off all round, or with other depths."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from limbwright.core.mesh import Scalars, Vertices, with_vertices
from limbwright.shape.areas import area_offset
from limbwright.shape.result import SocketShape


def offset_socket(shape: SocketShape, normals: Vertices, offset_mm: Scalars | float) -> SocketShape:
    """A socket whose wall stands farther off; trim line and areas stay.

    Parameters
    ----------
    shape : SocketShape
    normals : (n, 3) float64
        Unit outward directions in which the shape's vertices move.
    offset_mm : (n,) float64 or float
        Positive = farther off the limb.
    """
    by = np.broadcast_to(np.asarray(offset_mm, np.float64), shape.displacement_mm.shape)
    return replace(
        shape,
        displacement_mm=shape.displacement_mm + by,
        surface=with_vertices(shape.surface, shape.surface.vertices + by[:, None] * normals),
    )


def with_depth_changes(
    shape: SocketShape, normals: Vertices, change_mm: Mapping[str, float]
) -> SocketShape:
    """A socket with other depths of some areas.

    Parameters
    ----------
    shape : SocketShape
    normals : (n, 3) float64
    change_mm : mapping of area name to float
        Added to the area's signed depth: negative presses in farther.
    """
    weights = np.stack([area.weight for area in shape.areas])
    before = np.array([area.depth_mm for area in shape.areas])
    after = before + np.array([change_mm.get(area.name.value, 0.0) for area in shape.areas])
    moved = offset_socket(
        shape, normals, area_offset(weights, after) - area_offset(weights, before)
    )
    areas = tuple(
        replace(area, depth_mm=float(depth)) for area, depth in zip(shape.areas, after, strict=True)
    )
    return replace(moved, areas=areas)
