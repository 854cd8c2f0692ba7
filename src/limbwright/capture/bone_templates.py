"""Typical tibia and fibula as sections of discs, and solid bones lofted from sections.

A section is known by its support function: how far the bone reaches in each direction from
its axis. A section given by discs (centre, radius) has the support max(centre · n + radius).
Support functions may be mixed level by level: the mixed sections stay convex, so a lofted
bone never crosses itself.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

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
