"""Whether a limb, a rigid model or a dummy comes out, where it catches, and what frees it.

Seen from the line of withdrawal, each part of the body must pass, at its own angle, everything
of the cavity that stands above it. The narrowest radius met so far, a running minimum from the
brim down, is what it must pass; what it is wider than that is the catch. Sections keep their
direction this way: a girth that only grows can hide a local catch, this cannot.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from limbwright.core.mesh import Mesh, Vector
from limbwright.couple.axis import Line, seat_frame
from limbwright.couple.polar import PolarRadii, polar_net, polar_radii, whole_height
from limbwright.couple.result import Withdrawal
from limbwright.couple.tables import FREE_CATCH_MM

STEP_MM = 1.5
ANGLES = 120
_THINNED = 3
"""For the search, one in so many rows and angles of what the straight look saw is looked at."""
STEEPEST_DEG = 20.0
"""Directions farther from the axis are not tried: no hand draws a cast out so."""
SEARCH_STEPS_DEG = (6.0, 2.0)
"""Strides of the search for the way out, the next one when no neighbour is better."""
_AROUND = ((1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1))
_BETTER_MM = 0.05
_ROUNDING_MM = 1e-6

Look = Callable[[Line, float, int], tuple[PolarRadii, NDArray[np.float64]]]
"""The cavity as seen from a line, at a step and number of angles, and the body's radii in it."""


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


def rigid_model(socket: Mesh) -> Look:
    """A rigid model that fills the socket.

    Parameters
    ----------
    socket : Mesh
        Inside of the socket with its brim, open at the top, limb frame.
    """

    def look(line: Line, step_mm: float, angles: int) -> tuple[PolarRadii, NDArray[np.float64]]:
        seen = polar_radii(socket, line, whole_height(socket, line, step_mm), angles)
        return seen, seen.radii_mm

    return look


def soft_limb(socket: Mesh, limb: Mesh) -> Look:
    """A limb, whose tissue takes the socket's shape where it sits.

    Only what must yield beyond that counts.
    """

    def look(line: Line, step_mm: float, angles: int) -> tuple[PolarRadii, NDArray[np.float64]]:
        seen = polar_radii(socket, line, whole_height(socket, line, step_mm), angles)
        limb_mm = polar_radii(limb, line, seen.heights_mm, angles).radii_mm
        return seen, np.where(np.isnan(seen.radii_mm), np.nan, np.fmin(seen.radii_mm, limb_mm))

    return look


def dummy_in_cast(socket: Mesh, dummy: Mesh) -> Look:
    """A rigid dummy below the limb's end, in a cast that was wrapped over both."""

    def look(line: Line, step_mm: float, angles: int) -> tuple[PolarRadii, NDArray[np.float64]]:
        above = whole_height(socket, line, step_mm)
        low = float(((dummy.vertices - line.point_mm) @ -line.direction).min())
        below = max(math.ceil((float(above[-1]) - low) / step_mm), 0)
        heights = above[0] - step_mm * np.arange(len(above) + below, dtype=np.float64)
        body_mm = polar_radii(dummy, line, heights, angles).radii_mm
        seen = polar_radii(socket, line, heights, angles)
        return replace(seen, radii_mm=np.fmax(seen.radii_mm, body_mm)), body_mm

    return look


def withdrawal(look: Look, line: Line, like: Withdrawal | None = None) -> Withdrawal:
    """How far a body catches when it is drawn straight out, and the easiest way near that.

    Parameters
    ----------
    look : Look
        `rigid_model`, `soft_limb` or `dummy_in_cast`.
    line : Line
        Axis pointing distally, through the cavity; the body leaves against it.
    like : Withdrawal, optional
        Of a body of much the same shape on the same line: its way out is where the search begins.
    """
    seen, body_mm = look(line, STEP_MM, ANGLES)
    straight = _catch(seen, body_mm)
    if straight.catch_mm <= FREE_CATCH_MM.value:
        return replace(straight, free_catch_mm=straight.catch_mm)
    path = _easiest(seen, body_mm, _lean(like) if like is not None else (0.0, 0.0))
    if path.tilt_deg == 0.0:
        return replace(straight, free_catch_mm=straight.catch_mm)
    # the search looks coarsely; what it found is looked at closely before it is told
    fine_mm = _catch(*look(leaning(line, path), STEP_MM, ANGLES)).catch_mm
    if fine_mm >= straight.catch_mm - _BETTER_MM:
        return replace(straight, free_catch_mm=straight.catch_mm)
    return replace(
        straight,
        free_catch_mm=fine_mm,
        free_tilt_deg=path.tilt_deg,
        free_angle_deg=path.angle_deg,
    )


def easiest_path(look: Look, line: Line) -> FreePath:
    """The straight way out with the least catch near the axis.

    All directions are tried on one coarse grid, so that they compare; the catch itself is to be
    read from `withdrawal`.
    """
    return _easiest(*look(line, STEP_MM, ANGLES))


def _easiest(
    seen: PolarRadii, body_mm: NDArray[np.float64], start: tuple[float, float] = (0.0, 0.0)
) -> FreePath:
    """A pattern search of the tilt, on thinned nets of the cavity and the body."""
    line, same = seen.line, body_mm is seen.radii_mm
    cavity = _thinned(seen, seen.radii_mm)
    body = cavity if same else _thinned(seen, body_mm)
    step_mm, angles = _THINNED * STEP_MM, ANGLES // _THINNED
    tried: dict[tuple[float, float], float] = {}

    def catch_mm(lean: tuple[float, float]) -> float:
        if lean not in tried:
            way = leaning(line, _path(lean))
            heights = whole_height(cavity, way, step_mm)
            wall = polar_radii(cavity, way, heights, angles)
            inner = wall.radii_mm if same else polar_radii(body, way, heights, angles).radii_mm
            tried[lean] = _largest(wall.radii_mm, inner)[0]
        return tried[lean]

    begun = start != (0.0, 0.0)
    best = min((0.0, 0.0), start, key=catch_mm)
    for stride in SEARCH_STEPS_DEG[1:] if begun else SEARCH_STEPS_DEG:
        moved = True
        while moved and catch_mm(best) > FREE_CATCH_MM.value:
            around = [(best[0] + stride * o, best[1] + stride * f) for o, f in _AROUND]
            near = [lean for lean in around if math.hypot(*lean) <= STEEPEST_DEG]
            next_best = min(near, key=catch_mm)
            moved = catch_mm(next_best) < catch_mm(best) - _BETTER_MM
            best = next_best if moved else best
    return replace(_path(best), catch_mm=catch_mm(best))


def _thinned(seen: PolarRadii, radii_mm: NDArray[np.float64]) -> Mesh:
    """A net over some of the rows and angles of a look."""
    some = slice(None, None, _THINNED)
    return polar_net(replace(seen, heights_mm=seen.heights_mm[some], radii_mm=radii_mm[some, some]))


def leaning(line: Line, path: FreePath) -> Line:
    """The line whose upper end leans as a way out does."""
    angle, lean = math.radians(path.angle_deg), math.tan(math.radians(path.tilt_deg))
    up = seat_frame(line.direction) @ np.array(
        [lean * math.cos(angle), lean * math.sin(angle), 1.0]
    )
    return Line(line.point_mm, -up / np.linalg.norm(up))


def middle_line(socket: Mesh, direction: Vector) -> Line:
    """A line of a direction through the middle of the socket, mm, limb frame.

    A catch is the same wherever its line runs inside the socket; in the middle, sections are
    seen best when the line leans.
    """
    low, high = socket.vertices.min(axis=0), socket.vertices.max(axis=0)
    return Line(0.5 * (low + high), direction)


def _lean(out: Withdrawal) -> tuple[float, float]:
    """The two tilts of a way out, degrees."""
    angle = math.radians(out.free_angle_deg)
    return out.free_tilt_deg * math.cos(angle), out.free_tilt_deg * math.sin(angle)


def _path(lean: tuple[float, float]) -> FreePath:
    tilt = math.hypot(*lean)
    angle = math.degrees(math.atan2(lean[1], lean[0])) % 360.0 if tilt > 0.0 else 0.0
    return FreePath(math.inf, tilt, angle)


def _largest(
    cavity_mm: NDArray[np.float64], body_mm: NDArray[np.float64]
) -> tuple[float, int, int]:
    """By how much the body is widest over what it must pass, and at which row and column."""
    passed = np.fmin.accumulate(cavity_mm, axis=0)
    catch = np.where(np.isnan(body_mm) | np.isnan(passed), 0.0, body_mm - passed)
    row, column = divmod(int(catch.argmax()), catch.shape[1])
    return float(catch[row, column]), row, column


def _catch(seen: PolarRadii, body_mm: NDArray[np.float64]) -> Withdrawal:
    """Where the body is widest over what it must pass, and what would let it pass."""
    worst, row, column = _largest(seen.radii_mm, body_mm)
    if worst < _ROUNDING_MM:
        return Withdrawal(0.0, 0.0, 0.0)
    cavity = np.where(np.isnan(seen.radii_mm), np.inf, seen.radii_mm)
    place = seen.place(row, column, float(body_mm[row, column]))
    neck = int(cavity[: row + 1, column].argmin())
    narrow = seen.place(neck, column, float(cavity[neck, column]))
    return Withdrawal(
        worst,
        -float(place[2]),
        360.0 * column / cavity.shape[1],
        narrow_level_mm=-float(narrow[2]),
        trim_to_mm=_trim_to_mm(seen, body_mm, column),
        place_mm=place,
        narrow_mm=narrow,
    )


def _trim_to_mm(seen: PolarRadii, body_mm: NDArray[np.float64], column: int) -> float | None:
    """Level below which a trim line at one angle would let the body pass; None for none.

    From the bottom up, the wall may stand as high as no part of the body below it is wider than
    it by more than counts as free.
    """
    cavity, body = seen.radii_mm[::-1, column], body_mm[::-1, column]
    widest = np.fmax.accumulate(np.where(np.isnan(body), -np.inf, body))
    blocked = np.flatnonzero(widest - cavity > FREE_CATCH_MM.value)
    if len(blocked) == 0:
        return None
    # Where the line sees no wall, there is no place to trim to: the next one below it is taken.
    free = np.flatnonzero(np.isfinite(cavity[: blocked[0]]))
    if len(free) == 0:
        return None
    row = len(cavity) - 1 - int(free[-1])
    return -float(seen.place(row, column, float(cavity[free[-1]]))[2])
