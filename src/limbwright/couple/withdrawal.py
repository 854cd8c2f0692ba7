"""Whether the limb or a rigid model comes out of the socket, and where it catches.

Seen from the axis of withdrawal, each part of the body must pass, at its own angle, everything
of the socket that stands above it. The narrowest radius met so far, a running minimum from the
brim down, is what it must pass; what it is wider than that is the catch. Sections keep their
direction this way: a girth that only grows can hide a local catch, this cannot.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.core.mesh import Scalars, Vector
from limbwright.core.proximity import DistanceTree
from limbwright.couple.axis import Line, seat_frame
from limbwright.couple.result import Withdrawal

STEP_MM = 1.5
ANGLES = 120
SEARCH_DIRECTIONS = 8
FIRST_TILT_DEG = 6.0
OTHER_TILTS_DEG = (3.0, 9.0, 12.0)
"""Directions are compared at the first tilt; the best of them is then tried at the others."""
_COARSE = (4.0, 48)
_ROUNDING_MM = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class PolarRadii:
    """Radius of a surface seen from an axis.

    Parameters
    ----------
    heights_mm : (h,) float64
        Along the axis against its direction (up), descending: the brim first.
    radii_mm : (h, a) float64
        Outermost radius at each height and angle from outward, anti-clockwise; NaN where the
        surface is not met.
    """

    heights_mm: Scalars
    radii_mm: NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class FreePath:
    """The easiest straight way out near the axis.

    Parameters
    ----------
    catch_mm : float
    tilt_deg : float
        0 when the axis itself is the easiest.
    angle_deg : float
        To which side the way out leans, from outward, anti-clockwise.
    """

    catch_mm: float
    tilt_deg: float
    angle_deg: float


def polar_radii(
    tree: DistanceTree, line: Line, heights_mm: Scalars, angles: int = ANGLES
) -> PolarRadii:
    """Outermost radius of a surface around an axis, by rays cast inward.

    Parameters
    ----------
    tree : DistanceTree
    line : Line
        Axis; heights count from its point, against its direction.
    heights_mm : (h,) float64
    angles : int
    """
    frame = seat_frame(line.direction)
    turn = 2.0 * math.pi * np.arange(angles) / angles
    outward = np.cos(turn)[:, None] * frame[:, 0] + np.sin(turn)[:, None] * frame[:, 1]
    centres = line.point_mm + heights_mm[:, None] * frame[:, 2]
    span = tree.mesh.vertices - line.point_mm
    far = float(np.linalg.norm(span, axis=1).max()) + 1.0
    origins = (centres[:, None] + far * outward).reshape(-1, 3)
    rays = np.broadcast_to(-outward, (len(heights_mm), angles, 3)).reshape(-1, 3)
    distance, _ = tree.ray_hits(origins, rays)
    radii = far - distance
    radii[~(radii > 0.0)] = np.nan
    return PolarRadii(heights_mm, radii.reshape(len(heights_mm), angles))


def withdrawal(socket: DistanceTree, line: Line, body: DistanceTree | None = None) -> Withdrawal:
    """How far a body catches when it is drawn straight out of the socket.

    Parameters
    ----------
    socket : DistanceTree
        Of the socket's inside with its brim, open at the top, limb frame.
    line : Line
        Axis pointing distally; the body leaves against it.
    body : DistanceTree or None
        What is drawn out. None: a rigid model that fills the socket. Else a limb, whose tissue
        takes the socket's shape where it sits: only what must yield beyond that counts.

    Returns
    -------
    Withdrawal
        Catch, its level below the datum and its angle.
    """
    return _catch(line, _seen(socket, line, STEP_MM, ANGLES), body)


def withdrawals(
    socket: DistanceTree, line: Line, body: DistanceTree
) -> tuple[Withdrawal, Withdrawal]:
    """`withdrawal` of a rigid model and of a body, the socket looked at once."""
    seen = _seen(socket, line, STEP_MM, ANGLES)
    return _catch(line, seen, None), _catch(line, seen, body)


def easiest_path(socket: DistanceTree, line: Line) -> FreePath:
    """The straight way out with the least catch for a rigid model: the axis or a small tilt of it.

    All are tried on the same coarse grid, so that they compare; the catch itself is to be read
    from `withdrawal`.
    """
    straight = FreePath(_catch(line, _seen(socket, line, *_COARSE), None).catch_mm, 0.0, 0.0)
    around = [
        _tilted_path(socket, line, FIRST_TILT_DEG, 360.0 * number / SEARCH_DIRECTIONS)
        for number in range(SEARCH_DIRECTIONS)
    ]
    best = min(around, key=lambda path: path.catch_mm)
    steeper = [_tilted_path(socket, line, tilt, best.angle_deg) for tilt in OTHER_TILTS_DEG]
    return min((straight, best, *steeper), key=lambda path: path.catch_mm)


def _tilted_path(socket: DistanceTree, line: Line, tilt_deg: float, angle_deg: float) -> FreePath:
    angle, lean = math.radians(angle_deg), math.tan(math.radians(tilt_deg))
    up = seat_frame(line.direction) @ np.array(
        [lean * math.cos(angle), lean * math.sin(angle), 1.0]
    )
    way = Line(line.point_mm, -up / np.linalg.norm(up))
    return FreePath(_catch(way, _seen(socket, way, *_COARSE), None).catch_mm, tilt_deg, angle_deg)


def _seen(tree: DistanceTree, line: Line, step_mm: float, angles: int) -> PolarRadii:
    """The whole socket as seen from an axis, brim first."""
    along = (tree.mesh.vertices - line.point_mm) @ -line.direction
    heights = np.arange(float(along.max()), float(along.min()), -step_mm)
    return polar_radii(tree, line, heights, angles)


def _catch(line: Line, seen: PolarRadii, body: DistanceTree | None) -> Withdrawal:
    socket, heights = seen.radii_mm, seen.heights_mm
    angles = socket.shape[1]
    passed = np.fmin.accumulate(np.where(np.isnan(socket), np.inf, socket), axis=0)
    seated = socket
    if body is not None:
        seated = np.fmin(socket, polar_radii(body, line, heights, angles).radii_mm)
        seated = np.where(np.isnan(socket), np.nan, seated)
    catch = np.nan_to_num(seated - passed, nan=0.0, posinf=0.0, neginf=0.0)
    row, column = np.unravel_index(int(catch.argmax()), catch.shape)
    worst = float(catch[row, column])
    if worst < _ROUNDING_MM:
        return Withdrawal(0.0, 0.0, 0.0)
    place = _place(line, float(heights[row]), float(seated[row, column]), int(column), angles)
    return Withdrawal(worst, -float(place[2]), math.degrees(2.0 * math.pi * column / angles))


def _place(line: Line, height_mm: float, radius_mm: float, column: int, angles: int) -> Vector:
    """The point of a polar grid, (3,) mm, limb frame."""
    frame = seat_frame(line.direction)
    angle = 2.0 * math.pi * column / angles
    aside = radius_mm * (math.cos(angle) * frame[:, 0] + math.sin(angle) * frame[:, 1])
    return np.asarray(line.point_mm + height_mm * frame[:, 2] + aside, dtype=np.float64)
