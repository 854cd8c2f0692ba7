"""The side, raised on the part itself: a wrong-sided socket must not leave the workshop."""

from __future__ import annotations

from dataclasses import dataclass

import manifold3d
import numpy as np
from numpy.typing import NDArray

from limbwright.core.errors import DesignRefused
from limbwright.core.frame import Side
from limbwright.core.mesh import Mesh, Vector
from limbwright.core.proximity import DistanceTree

HEIGHT_MM = 14.0
STROKE_MM = 2.4
RAISED_MM = 0.8
SUNK_MM = 1.2
_FAR_MM = 1e3

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


def side_mark(shell: Mesh, side: Side, highest_mm: float) -> Mesh:
    """The side's letter as a solid standing on the flattest place of the lateral wall.

    Parameters
    ----------
    shell : Mesh
        Closed shell in the patient's frame (x right, y forward, z up), mm.
    side : Side
    highest_mm : float
        z below which the letter's middle stands.

    Returns
    -------
    Mesh
        Closed; it stands out by at least RAISED_MM everywhere, to be united with the shell.

    Raises
    ------
    DesignRefused
        When there is no lateral wall to stand on.
    """
    tree = DistanceTree(shell)
    lowest_mm = float(shell.vertices[:, 2].min())
    places = [
        spot
        for height in np.linspace(highest_mm, 0.5 * (highest_mm + lowest_mm), 6)
        for angle_deg in (-30.0, -15.0, 0.0, 15.0, 30.0)
        if (spot := _spot(tree, side, float(height), angle_deg)) is not None
    ]
    if not places:
        raise DesignRefused("The side cannot be marked: there is no lateral wall to mark.")
    return _standing(side_letter(side), min(places, key=lambda spot: spot.uneven_mm))


@dataclass(frozen=True, slots=True, eq=False)
class _Spot:
    """A plane patch of wall: middle, columns right, up and outward, and how uneven it is."""

    middle_mm: Vector
    turn: NDArray[np.float64]
    uneven_mm: float


def _spot(tree: DistanceTree, side: Side, height_mm: float, angle_deg: float) -> _Spot | None:
    """The wall met at a height from a direction near lateral, if it is there all over."""
    lateral = 1.0 if side is Side.RIGHT else -1.0
    angle = np.radians(angle_deg)
    toward = np.array([lateral * np.cos(angle), np.sin(angle), 0.0])
    up = np.array([0.0, 0.0, 1.0])
    right = np.cross(up, toward)
    across, along = np.meshgrid(np.linspace(-1, 1, 5), np.linspace(-1, 1, 5))
    offsets = 0.5 * HEIGHT_MM * (0.65 * across.reshape(-1, 1) * right + along.reshape(-1, 1) * up)
    starts = np.array([0.0, 0.0, height_mm]) + _FAR_MM * toward + offsets
    distance, _ = tree.ray_hits(starts, np.tile(-toward, (len(starts), 1)))
    if not np.isfinite(distance).all() or np.ptp(distance) > HEIGHT_MM:
        return None
    wall = starts - distance[:, None] * toward
    middle = wall.mean(axis=0)
    normal = np.linalg.svd(wall - middle)[2][2]
    normal = normal if normal @ toward > 0 else -normal
    upward = up - normal[2] * normal
    upward /= np.linalg.norm(upward)
    turn = np.column_stack([np.cross(upward, normal), upward, normal])
    return _Spot(middle, turn, float(np.abs((wall - middle) @ normal).max()))


def _standing(letter: manifold3d.CrossSection, spot: _Spot) -> Mesh:
    depth = RAISED_MM + SUNK_MM + 2 * spot.uneven_mm
    prism = letter.extrude(depth).translate((0, 0, -SUNK_MM - spot.uneven_mm)).to_mesh64()
    local: NDArray[np.float64] = np.asarray(prism.vert_properties[:, :3], dtype=np.float64)
    return Mesh(local @ spot.turn.T + spot.middle_mm, np.asarray(prism.tri_verts, dtype=np.int32))


def _box(x0: float, y0: float, x1: float, y1: float) -> Outline:
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
