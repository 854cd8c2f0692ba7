"""Typical tibia and fibula as sections of discs, and solid bones lofted from sections.

A section is known by its support function: how far the bone reaches in each direction from
its axis. A section given by discs (centre, radius) has the support max(centre · n + radius).
Support functions may be mixed level by level: the mixed sections stay convex, so a lofted
bone never crosses itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline, RectBivariateSpline

from limbwright.core.mesh import Mesh, Scalars
from limbwright.core.sources import Confidence, Origin, Source, Sourced

Disc = tuple[float, float, float]
"""Outward, forward and radius, mm, about the bone's axis; forward is the tubercle's side."""

_MORPHOLOGY = Source(
    Origin.MEMORY,
    "adult tibia and fibula, mean of men and women: plateau 76 x 46 mm, shaft 30 x 22 mm,"
    " fibular head 24 mm, fibular shaft 13 mm; the taper between is drawn after the knee of 3D"
    " Reference Organs, Female, v1.1 (Browne 2021, HuBMAP CCF 3D Reference Object Library)",
    Confidence.LOW,
)

TIBIA: Sourced[tuple[tuple[float, tuple[Disc, ...]], ...]] = Sourced(
    (
        (0.0, ((-14.5, -7.0, 21.0), (14.5, 7.0, 21.0))),
        (12.0, ((-14.5, -7.0, 21.0), (14.5, 7.0, 21.0), (1.0, 18.0, 14.0))),
        (24.0, ((-12.0, -12.0, 17.0), (12.0, 2.0, 17.0), (1.0, 24.0, 13.0))),
        (38.0, ((-9.0, -7.0, 11.0), (9.0, 5.0, 11.0), (0.0, 30.0, 9.0))),
        (55.0, ((-7.0, -2.0, 9.0), (8.0, 5.0, 9.0), (0.0, 28.0, 8.0))),
        (80.0, ((-5.0, 1.0, 8.0), (6.0, 5.0, 8.0), (1.0, 24.0, 7.5))),
        (120.0, ((-4.0, 2.0, 7.5), (5.0, 6.0, 7.5), (1.5, 21.0, 7.0))),
        (200.0, ((-4.0, 2.0, 7.5), (5.0, 6.0, 7.5), (1.5, 19.0, 7.0))),
    ),
    "mm",
    _MORPHOLOGY,
)
"""Depth below the plateau, and the discs of the section there."""

SECOND_TIBIA: Sourced[tuple[tuple[float, tuple[float, ...]], ...]] = Sourced(
    (
        (
            0.0,
            (
                30.0,
                30.4,
                30.3,
                29.1,
                27.4,
                25.3,
                22.5,
                21.2,
                23.1,
                24.7,
                25.8,
                27.8,
                29.2,
                28.8,
                26.5,
                22.9,
                19.9,
                18.3,
                17.4,
                17.7,
                18.6,
                20.6,
                24.7,
                28.2,
            ),
        ),
        (
            6.0,
            (
                38.4,
                38.2,
                38.5,
                37.9,
                36.1,
                34.4,
                31.7,
                28.2,
                27.4,
                28.1,
                29.3,
                31.7,
                35.1,
                37.7,
                38.9,
                38.3,
                35.4,
                30.8,
                27.5,
                25.4,
                26.3,
                30.6,
                34.6,
                37.5,
            ),
        ),
        (
            12.0,
            (
                38.6,
                38.2,
                38.2,
                39.1,
                38.1,
                35.9,
                33.4,
                29.8,
                28.2,
                28.5,
                29.3,
                30.5,
                33.3,
                36.0,
                38.0,
                39.3,
                39.0,
                36.8,
                33.7,
                30.0,
                28.6,
                31.7,
                35.2,
                37.5,
            ),
        ),
        (
            18.0,
            (
                34.1,
                34.0,
                34.8,
                37.2,
                37.6,
                36.0,
                33.8,
                30.7,
                29.0,
                28.6,
                27.9,
                28.1,
                31.2,
                33.7,
                35.0,
                36.0,
                35.5,
                33.1,
                30.1,
                27.6,
                27.2,
                30.1,
                32.7,
                33.7,
            ),
        ),
        (
            24.0,
            (
                28.3,
                28.9,
                30.8,
                34.5,
                36.3,
                36.0,
                34.2,
                32.0,
                30.4,
                28.6,
                26.7,
                25.8,
                28.7,
                31.1,
                31.9,
                32.5,
                31.6,
                28.9,
                25.8,
                23.2,
                20.6,
                20.6,
                23.3,
                26.3,
            ),
        ),
        (
            30.0,
            (
                23.1,
                24.3,
                27.3,
                31.9,
                34.8,
                35.8,
                35.5,
                34.9,
                33.0,
                29.3,
                25.6,
                23.2,
                24.8,
                26.7,
                27.1,
                26.9,
                25.3,
                22.4,
                19.8,
                17.5,
                14.9,
                14.9,
                17.6,
                20.7,
            ),
        ),
        (
            36.0,
            (
                19.3,
                21.2,
                25.0,
                29.6,
                32.7,
                34.9,
                35.8,
                35.8,
                33.8,
                29.7,
                24.9,
                21.1,
                20.7,
                21.7,
                21.6,
                20.5,
                18.2,
                16.0,
                14.5,
                12.6,
                10.6,
                11.6,
                14.4,
                16.9,
            ),
        ),
        (
            42.0,
            (
                18.1,
                19.9,
                23.3,
                27.5,
                31.2,
                34.0,
                35.1,
                35.2,
                33.5,
                29.7,
                24.7,
                19.9,
                18.0,
                18.5,
                18.1,
                16.5,
                14.2,
                13.0,
                12.1,
                10.5,
                8.9,
                10.2,
                13.2,
                15.7,
            ),
        ),
        (
            50.0,
            (
                16.7,
                18.4,
                21.4,
                25.8,
                30.0,
                32.7,
                33.5,
                33.1,
                31.1,
                27.7,
                23.2,
                18.4,
                16.2,
                16.2,
                15.7,
                14.2,
                12.0,
                10.9,
                10.2,
                9.0,
                7.6,
                8.8,
                11.8,
                14.5,
            ),
        ),
        (
            60.0,
            (
                15.1,
                16.7,
                19.5,
                24.2,
                28.5,
                31.0,
                31.5,
                30.1,
                27.6,
                24.6,
                20.5,
                16.5,
                14.3,
                13.4,
                12.9,
                11.6,
                9.7,
                8.5,
                8.0,
                7.1,
                6.3,
                7.5,
                10.2,
                13.0,
            ),
        ),
        (
            72.0,
            (
                13.4,
                15.2,
                18.3,
                23.3,
                27.5,
                29.9,
                30.3,
                28.7,
                26.0,
                23.0,
                18.9,
                15.1,
                13.0,
                11.7,
                11.0,
                9.7,
                7.8,
                6.7,
                6.5,
                6.0,
                5.6,
                6.8,
                9.1,
                11.5,
            ),
        ),
        (
            86.0,
            (
                11.5,
                13.8,
                17.4,
                22.6,
                26.8,
                29.2,
                29.6,
                28.1,
                25.4,
                22.1,
                17.7,
                14.0,
                12.0,
                10.7,
                9.7,
                8.0,
                6.0,
                5.0,
                5.3,
                5.2,
                5.1,
                6.1,
                8.1,
                10.0,
            ),
        ),
        (
            100.0,
            (
                10.2,
                12.9,
                16.9,
                22.1,
                26.2,
                28.5,
                28.9,
                27.4,
                24.6,
                21.1,
                16.5,
                12.9,
                11.0,
                9.7,
                8.4,
                6.6,
                4.5,
                3.9,
                4.3,
                4.6,
                4.7,
                5.6,
                7.3,
                8.7,
            ),
        ),
        (
            130.0,
            (
                9.8,
                13.3,
                17.5,
                22.4,
                25.9,
                27.6,
                27.5,
                25.5,
                22.0,
                18.0,
                14.2,
                11.2,
                9.7,
                8.1,
                6.2,
                4.3,
                3.3,
                3.3,
                3.7,
                3.9,
                4.1,
                5.3,
                6.6,
                7.6,
            ),
        ),
        (
            160.0,
            (
                12.0,
                14.6,
                18.1,
                22.1,
                25.0,
                26.3,
                25.7,
                23.4,
                19.6,
                15.3,
                11.7,
                9.0,
                7.3,
                6.0,
                4.9,
                3.8,
                3.2,
                3.3,
                4.0,
                4.5,
                5.3,
                6.9,
                8.6,
                9.9,
            ),
        ),
        (
            200.0,
            (
                14.4,
                16.1,
                18.5,
                21.3,
                23.5,
                24.0,
                22.9,
                20.2,
                16.2,
                12.0,
                8.4,
                5.7,
                4.2,
                3.8,
                4.1,
                4.2,
                4.0,
                4.0,
                4.8,
                6.0,
                7.2,
                8.9,
                11.1,
                13.0,
            ),
        ),
    ),
    "mm",
    Source(
        Origin.COMPUTED,
        "right tibia of a man in an open musculoskeletal model (PyPI package myo-sim 0.2.4, licence"
        " Apache-2.0), 186 points; brought to a plateau 78 mm wide, turned by 21 degrees so that"
        " the tubercle points forward, its shaft set upright, smoothed over 4 mm",
        Confidence.MEDIUM,
    ),
)
"""Depth below the plateau, and how far a second body's tibia reaches in 24 directions from outward
on, anti-clockwise."""

FIBULA: Sourced[tuple[tuple[float, tuple[Disc, ...]], ...]] = Sourced(
    (
        (0.0, ((0.0, 0.0, 5.0),)),
        (4.0, ((0.0, 0.0, 9.0),)),
        (12.0, ((0.0, 0.0, 12.0),)),
        (22.0, ((0.0, 0.0, 10.0),)),
        (34.0, ((0.0, 0.0, 6.5),)),
        (200.0, ((0.0, 0.0, 6.5),)),
    ),
    "mm",
    _MORPHOLOGY,
)
"""Depth below the apex of the head, and the discs of the section there."""

_ANGLES = 48
DIRECTIONS_RAD: Scalars = np.linspace(0.0, 2.0 * np.pi, _ANGLES, endpoint=False)
"""Directions of the sections' normals, anti-clockwise from outward."""


def support(
    sections: tuple[tuple[float, tuple[Disc, ...]], ...], depths_mm: Scalars, angles_rad: Scalars
) -> NDArray[np.float64]:
    """How far a bone reaches from its axis, by depth and direction.

    Parameters
    ----------
    sections : depth and discs, proximal first
    depths_mm : (k,) float64
        Held at the first and last section beyond them.
    angles_rad : (n,) float64

    Returns
    -------
    (k, n) float64, mm
    """
    normal = np.stack([np.cos(angles_rad), np.sin(angles_rad)])
    keys = np.array([depth for depth, _ in sections])
    table = np.array(
        [
            (np.array(discs)[:, :2] @ normal + np.array(discs)[:, 2:]).max(axis=0)
            for _, discs in sections
        ]
    )
    return np.stack([np.interp(depths_mm, keys, column) for column in table.T], axis=1)


@dataclass(frozen=True, slots=True, eq=False)
class Reach:
    """How far a typical bone reaches from its axis, smooth in depth and direction.

    Parameters
    ----------
    deepest_mm : float
        Held beyond it.
    spline : RectBivariateSpline
    """

    deepest_mm: float
    spline: RectBivariateSpline

    def at(
        self, depths_mm: NDArray[np.float64], angles_rad: NDArray[np.float64], *, slope: int = 0
    ) -> NDArray[np.float64]:
        """Reach, mm; or its change per mm of depth (slope 1) or per radian (slope 2)."""
        turn = np.mod(angles_rad, 2.0 * np.pi)
        depth = np.clip(depths_mm, 0.0, self.deepest_mm)
        orders = {0: (0, 0), 1: (1, 0), 2: (0, 1)}[slope]
        return np.asarray(self.spline(depth, turn, dx=orders[0], dy=orders[1], grid=False))


_GRID_MM = np.arange(0.0, 201.0, 2.0)
_WRAP = 8


def _reach(table: NDArray[np.float64]) -> Reach:
    """From values at _GRID_MM and DIRECTIONS_RAD; the directions are carried on round the end."""
    around = np.concatenate([table[:, -_WRAP:], table, table[:, :_WRAP]], axis=1)
    angles = DIRECTIONS_RAD[1] * np.arange(-_WRAP, _ANGLES + _WRAP)
    return Reach(float(_GRID_MM[-1]), RectBivariateSpline(_GRID_MM, angles, around))


@lru_cache(maxsize=1)
def tibia_reach() -> Reach:
    """The typical tibia: the mean of the one drawn and a second body's."""
    depths = np.array([depth for depth, _ in SECOND_TIBIA.value])
    rows = np.array([row for _, row in SECOND_TIBIA.value])
    angles = np.linspace(0.0, 2.0 * np.pi, rows.shape[1] + 1)
    smooth = CubicSpline(angles, np.column_stack([rows, rows[:, 0]]), axis=1, bc_type="periodic")
    even = smooth(DIRECTIONS_RAD)
    second = np.stack([np.interp(_GRID_MM, depths, column) for column in even.T], axis=1)
    return _reach(0.5 * (support(TIBIA.value, _GRID_MM, DIRECTIONS_RAD) + second))


@lru_cache(maxsize=1)
def fibula_reach() -> Reach:
    """The typical fibula."""
    return _reach(support(FIBULA.value, _GRID_MM, DIRECTIONS_RAD))


def rings(reach: NDArray[np.float64]) -> NDArray[np.float64]:
    """Outlines of sections from their support at DIRECTIONS_RAD, (k, n) to (k, n, 2) mm.

    Neighbouring tangents meet in the corners of a convex polygon around the section; the
    outline is that polygon at equal steps of arc length, from the outward corner on.
    """
    step = DIRECTIONS_RAD[1]
    cos, sin = np.cos(DIRECTIONS_RAD), np.sin(DIRECTIONS_RAD)
    along = (np.roll(reach, -1, axis=1) - reach * np.cos(step)) / np.sin(step)
    corners = np.stack([reach * cos - along * sin, reach * sin + along * cos], axis=2)
    return np.stack([_evenly(polygon) for polygon in corners])


def _evenly(polygon: NDArray[np.float64]) -> NDArray[np.float64]:
    """As many points as the polygon (n, 2) has, at equal steps along it from its first."""
    closed = np.concatenate([polygon, polygon[:1]])
    gone = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(closed, axis=0), axis=1))])
    at = np.arange(len(polygon)) * (gone[-1] / len(polygon))
    return np.column_stack([np.interp(at, gone, column) for column in closed.T])


def loft(outlines: NDArray[np.float64], levels_u_mm: Scalars) -> Mesh:
    """Closed solid over outlines (k, n, 2) at levels (k,) of u, highest first, ends capped."""
    count, around = outlines.shape[:2]
    heights = np.broadcast_to(levels_u_mm[:, None, None], (count, around, 1))
    wall = np.concatenate([outlines, heights], axis=2).reshape(-1, 3)
    ends = np.stack([wall[:around].mean(axis=0), wall[-around:].mean(axis=0)])
    here = np.arange(around)
    after = np.roll(here, -1)
    base = around * np.arange(count - 1)[:, None]
    upper, upper_next = base + here, base + after
    lower, lower_next = upper + around, upper_next + around
    sides = np.concatenate(
        [
            np.stack([upper, lower, lower_next], axis=2).reshape(-1, 3),
            np.stack([upper, lower_next, upper_next], axis=2).reshape(-1, 3),
        ]
    )
    top, bottom = np.full(around, len(wall)), np.full(around, len(wall) + 1)
    last = around * (count - 1)
    caps = [
        np.stack([top, here, after], axis=1),
        np.stack([bottom, last + after, last + here], axis=1),
    ]
    return Mesh(np.concatenate([wall, ends]), np.concatenate([sides, *caps]).astype(np.int32))
