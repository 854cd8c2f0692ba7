"""How the limb hands the reference load to the wall above the trim line's lowest point.

What presses and drags on the inside there is taken to vary as a rigid body's movement does: of all
tractions that add up to the load it is the one with the least sum of squares. Each bit of wall
then carries what enters above it and no more, which fades with the wall that is left.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.core.mesh import Scalars, Vector, Vertices
from limbwright.core.slicing import Outline
from limbwright.prove.reference_loads import ReferenceLoad
from limbwright.prove.strength_tables import HANDED_DEPTH_MM
from limbwright.shape.trim import TURN, angle_of, height_at, radius_at

COLUMNS = 360
"""Directions round the limb at which the inside's distance from its axis is kept."""
_PLACES, _WEIGHTS = np.polynomial.legendre.leggauss(4)

Matrix = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Taken:
    """Moments of area of a part of the inside, about the middle of all that is handed load.

    Parameters
    ----------
    area_mm2 : float
    first_mm3 : (3,) float64
    second_mm4 : (3, 3) float64
    """

    area_mm2: float
    first_mm3: Vector
    second_mm4: Matrix

    @property
    def inertia_mm4(self) -> Matrix:
        """∫ (r² − r rᵀ) dA, (3, 3)."""
        return np.asarray(np.trace(self.second_mm4) * np.eye(3) - self.second_mm4)


@dataclass(frozen=True, slots=True, eq=False)
class Handed:
    """The load that enters the wall above a level, in all of it or in one piece.

    The traction is t = F/A + ω × r about the middle of the inside, ω = I⁻¹ M.

    Parameters
    ----------
    middle_mm : (3,) float64
        Middle of the whole inside that is handed load, limb frame.
    whole, part : Taken
        Of that inside, and of what lies above the level.
    """

    middle_mm: Vector
    whole: Taken
    part: Taken

    @property
    def share(self) -> float:
        """Part of the inside that lies above the level."""
        return self.part.area_mm2 / self.whole.area_mm2

    def at(self, load: ReferenceLoad, force_n: float, point_mm: Vector) -> tuple[Vector, Vector]:
        """Force (3,) N and its moment about a point (3,) N·mm, of a force on the load line."""
        even = force_n * load.direction / self.whole.area_mm2
        turn = np.linalg.solve(self.whole.inertia_mm4, load.moment_about(self.middle_mm, force_n))
        part, away = self.part, point_mm - self.middle_mm
        swung = np.cross(turn, part.first_mm3)
        force = part.area_mm2 * even + swung
        moment = (
            np.cross(part.first_mm3 - part.area_mm2 * away, even)
            + part.inertia_mm4 @ turn
            - np.cross(away, swung)
        )
        return force, moment


@dataclass(frozen=True, slots=True, eq=False)
class Inside:
    """The wall's inside above the trim line's lowest point, as distances from the limb's axis.

    Parameters
    ----------
    levels_mm : (k,) float64, rising
    radius_mm : (k, COLUMNS) float64
        By level and direction from outward, anti-clockwise.
    trim_angle, trim_height_mm : (t,) float64
        The trim line by rising angle.
    """

    levels_mm: Scalars
    radius_mm: Matrix
    trim_angle: Scalars
    trim_height_mm: Scalars

    def top_mm(self, angle: Scalars) -> Scalars:
        """Height of the trim line at angles."""
        return np.interp(angle, self.trim_angle, self.trim_height_mm, period=TURN)

    def above(self, angle: Scalars, width: Scalars, from_mm: float) -> tuple[Vertices, Scalars]:
        """Points (s, 4, 3) and areas (s, 4) of strips of inside from a height up to the trim line.

        Parameters
        ----------
        angle, width : (s,) float64
            Middle of each strip, and how wide it is for each mm from the limb's axis.
        from_mm : float
        """
        half = 0.5 * np.maximum(self.top_mm(angle) - from_mm, 0.0)[:, None]
        heights = from_mm + half * (1.0 + _PLACES)
        radius = self._radius(angle[:, None], heights)
        across = [radius * np.cos(angle)[:, None], radius * np.sin(angle)[:, None], heights]
        return np.stack(across, axis=-1), half * _WEIGHTS * radius * width[:, None]

    def _radius(self, angle: Scalars, heights: Scalars) -> Scalars:
        """Distance of the inside from the axis, between the levels and directions that are kept."""
        at = np.interp(heights, self.levels_mm, np.arange(len(self.levels_mm)))
        low = np.minimum(at.astype(int), len(self.levels_mm) - 2)
        part = at - low
        turn = np.mod(angle, TURN) / TURN * COLUMNS
        left = turn.astype(int) % COLUMNS
        right, aside = (left + 1) % COLUMNS, turn - np.floor(turn)
        lower, upper = (
            (1.0 - aside) * self.radius_mm[row, left] + aside * self.radius_mm[row, right]
            for row in (low, low + 1)
        )
        return np.asarray((1.0 - part) * lower + part * upper)


def handed_from_mm(trim_mm: Vertices) -> float:
    """Height above which the limb hands over its load: the trim line's lowest point, or below it.

    Where little wall stands above that point, the limb could not press all of its load on it.

    Parameters
    ----------
    trim_mm : (t, 3) float64
    """
    even = height_at(trim_mm, np.arange(COLUMNS) * TURN / COLUMNS)
    low = float(trim_mm[:, 2].min())
    return low - max(0.0, HANDED_DEPTH_MM.value - float(even.mean() - low))


def by_angle(trim_mm: Vertices) -> tuple[Scalars, Scalars]:
    """Directions from the limb's axis, rising from outward anti-clockwise, and heights there."""
    angle = angle_of(trim_mm)
    order = np.argsort(angle)
    return angle[order], trim_mm[order, 2]


def inside_of(levels_mm: Scalars, outlines: list[Outline], trim_mm: Vertices) -> Inside:
    """The inside between level cuts of it.

    Parameters
    ----------
    levels_mm : (k,) float64, rising, at least two
    outlines : k outlines (p, 2)
    trim_mm : (t, 3) float64
    """
    angles = np.arange(COLUMNS) * TURN / COLUMNS
    rows = [radius_at(outline, angles) for outline in outlines]
    return Inside(levels_mm, np.array(rows), *by_angle(trim_mm))


def taken(points_mm: Vertices, areas_mm2: Scalars, middle_mm: Vector) -> Taken:
    """Moments of bits of area about a middle.

    Parameters
    ----------
    points_mm : (..., 3) float64
    areas_mm2 : (...) float64
    middle_mm : (3,) float64
    """
    arms = points_mm.reshape(-1, 3) - middle_mm
    areas = areas_mm2.ravel()
    return Taken(float(areas.sum()), areas @ arms, (arms.T * areas) @ arms)
