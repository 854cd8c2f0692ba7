"""The side, raised on the part itself: a wrong-sided socket must not leave the workshop."""

from __future__ import annotations

import manifold3d
import numpy as np
from numpy.typing import NDArray

from limbwright.core.errors import DesignRefused
from limbwright.core.frame import Side
from limbwright.core.mesh import Mesh, Vector, face_normals
from limbwright.core.proximity import DistanceTree

HEIGHT_MM = 14.0
STROKE_MM = 2.4
RAISED_MM = 0.8
SUNK_MM = 1.2

Outline = list[tuple[float, float]]


def side_letter(side: Side) -> manifold3d.CrossSection:
    """The letter R or L in a plane, readable with x to the right and y up, centred."""
    height, stroke, width = HEIGHT_MM, STROKE_MM, 0.65 * HEIGHT_MM
    stem = _box(0, 0, stroke, height)
    if side is Side.LEFT:
        strokes = [stem, _box(0, 0, width, stroke)]
    else:
        middle = 0.45 * height
        strokes = [
            stem,
            _box(0, height - stroke, width, height),
            _box(0, middle, width, middle + stroke),
            _box(width - stroke, middle, width, height),
            [
                (0.35 * width, middle + 0.5 * stroke),
                (width - 1.2 * stroke, 0),
                (width, 0),
                (0.35 * width + 1.2 * stroke, middle + 0.5 * stroke),
            ],
        ]
    letter = manifold3d.CrossSection([strokes[0]])
    for outline in strokes[1:]:
        letter = letter + manifold3d.CrossSection([outline])
    return letter.translate((-0.5 * width, -0.5 * height))


def side_mark(shell: Mesh, side: Side, height_mm: float) -> Mesh:
    """The side's letter as a solid standing on the lateral wall, to be united with it.

    Parameters
    ----------
    shell : Mesh
        Closed shell in the patient's frame (x right, y forward, z up), mm.
    side : Side
    height_mm : float
        z of the letter's middle.

    Raises
    ------
    DesignRefused
        When the lateral wall does not reach that height.
    """
    lateral = np.array([1.0 if side is Side.RIGHT else -1.0, 0.0, 0.0])
    low, high = shell.vertices.min(axis=0), shell.vertices.max(axis=0)
    start = np.array([0.0, 0.5 * (low[1] + high[1]), height_mm]) + 1e3 * lateral
    distance, face = DistanceTree(shell).ray_hits(start[None], -lateral[None])
    if not np.isfinite(distance[0]):
        raise DesignRefused(
            f"The side cannot be marked: there is no lateral wall at {height_mm:.0f} mm."
        )
    place = start - distance[0] * lateral
    return _standing(side_letter(side), place, face_normals(shell)[face[0]])


def _standing(letter: manifold3d.CrossSection, place: Vector, normal: Vector) -> Mesh:
    up = np.array([0.0, 0.0, 1.0]) - normal[2] * normal
    up /= np.linalg.norm(up)
    right = np.cross(up, normal)
    turn = np.column_stack([right, up, normal])
    prism = letter.extrude(RAISED_MM + SUNK_MM).translate((0, 0, -SUNK_MM)).to_mesh64()
    local: NDArray[np.float64] = np.asarray(prism.vert_properties[:, :3], dtype=np.float64)
    return Mesh(local @ turn.T + place, np.asarray(prism.tri_verts, dtype=np.int32))


def _box(x0: float, y0: float, x1: float, y1: float) -> Outline:
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
