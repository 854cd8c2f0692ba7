"""An invented leg below the knee as a solid of smoothly joined parts.

Every part is a signed distance (negative inside, mm): bones, fat over them, muscle bellies,
tendons and the knee. The skin is where their smooth union is zero, so any point of it can be
found to machine precision; that makes the demo limb its own truth. All figures of this module
are invented; they were drawn to look like a person's limb and describe nobody.

The frame is (o, f, u) of a right limb, forward through the tubercle, the tibia's axis at
o = f = 0, u = 0 at the middle of the patellar tendon.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from limbwright.capture.bone_templates import DIRECTIONS_RAD, Disc, loft, rings, support
from limbwright.core.mesh import Mesh, Scalars, Vertices

Distance = Callable[[Vertices], Scalars]

LIMB_END_U_MM = -141.0
TOP_U_MM = 92.0
_CAP_U_MM = -100.0
"""Below it the flesh rounds off."""


@dataclass(frozen=True, slots=True)
class Bone:
    """A bone as sections of discs below its top, along a straight axis.

    Parameters
    ----------
    sections : depth below the top and discs, proximal first, mm
    top_u_mm, end_u_mm : float
    axis_mm : (o, f) of the axis at the top
    lean : change of (o, f) for each mm of depth
    """

    sections: tuple[tuple[float, tuple[Disc, ...]], ...]
    top_u_mm: float
    end_u_mm: float
    axis_mm: tuple[float, float]
    lean: tuple[float, float]

    def axis_at(self, u_mm: Scalars) -> NDArray[np.float64]:
        """(o, f) of the axis at heights (k,), (k, 2) mm."""
        depth = self.top_u_mm - u_mm
        return np.asarray(np.array(self.axis_mm) + depth[:, None] * np.array(self.lean))

    def reach(self, u_mm: Scalars) -> NDArray[np.float64]:
        """How far the bone reaches from its axis at heights (k,), by direction, (k, 48) mm."""
        table = _reach_table(self)
        at = np.clip(self.top_u_mm - u_mm, 0.0, len(table) - 1.001)
        below = at.astype(np.intp)
        share = (at - below)[:, None]
        return np.asarray((1.0 - share) * table[below] + share * table[below + 1])

    def distance(self, points: Vertices, edge_mm: float = 0.0) -> Scalars:
        """Signed distance of points (n, 3), (n,) mm; from 30 mm on only a lower bound.

        With `edge_mm` the edges at both ends are rounded by that radius.
        """
        u = np.clip(points[:, 2], self.end_u_mm, self.top_u_mm)
        flat = points[:, :2] - self.axis_at(u)
        beyond = np.maximum(points[:, 2] - self.top_u_mm, self.end_u_mm - points[:, 2]) + edge_mm
        aside = np.hypot(flat[:, 0], flat[:, 1]) - _reach_table(self).max()
        near = (aside < 32.0) & (beyond < 32.0)
        normals = np.stack([np.cos(DIRECTIONS_RAD), np.sin(DIRECTIONS_RAD)])
        aside[near] = (flat[near] @ normals - self.reach(u[near])).max(axis=1)
        aside += edge_mm
        outside = np.hypot(np.maximum(aside, 0.0), np.maximum(beyond, 0.0))
        return np.asarray(outside + np.minimum(np.maximum(aside, beyond), 0.0) - edge_mm)

    def mesh(self, step_mm: float = 2.0) -> Mesh:
        """The bone as a closed mesh."""
        count = int(np.ceil((self.top_u_mm - self.end_u_mm) / step_mm)) + 1
        levels = np.linspace(self.top_u_mm, self.end_u_mm, count)
        outlines = rings(self.reach(levels)) + self.axis_at(levels)[:, None]
        return loft(outlines, levels)


@cache
def _reach_table(bone: Bone) -> NDArray[np.float64]:
    """Reach by depth in steps of 1 mm: shape-preserving cubics through the sections."""
    keys = np.array([depth for depth, _ in bone.sections])
    depths = np.arange(np.ceil(bone.top_u_mm - bone.end_u_mm) + 1.0)
    known = support(bone.sections, keys, DIRECTIONS_RAD)
    return np.asarray(PchipInterpolator(keys, known)(depths))


TIBIA = Bone(
    sections=(
        (0.0, ((-16.0, -5.0, 20.0), (15.0, 4.0, 20.0))),
        (10.0, ((-16.0, -6.0, 21.0), (15.0, 5.0, 21.0), (3.0, 17.0, 16.0))),
        (24.0, ((-13.0, -9.0, 17.0), (12.0, 3.0, 17.0), (0.0, 25.0, 13.0))),
        (40.0, ((-10.0, -6.0, 12.0), (9.0, 4.0, 12.0), (0.0, 33.0, 8.5))),
        (58.0, ((-8.0, -2.0, 9.0), (8.0, 4.0, 10.0), (-0.5, 30.0, 7.0))),
        (90.0, ((-6.0, 1.0, 8.0), (7.0, 5.0, 8.5), (-0.5, 25.5, 6.0))),
        (150.0, ((-5.0, 2.0, 7.5), (6.0, 5.0, 8.0), (0.0, 22.0, 5.5))),
    ),
    top_u_mm=21.0,
    end_u_mm=-124.0,
    axis_mm=(0.0, 0.0),
    lean=(0.004, 0.006),
)
FIBULA = Bone(
    sections=(
        (0.0, ((0.0, 0.0, 4.0),)),
        (3.0, ((0.0, 0.0, 8.5),)),
        (11.0, ((0.0, 0.0, 12.5),)),
        (20.0, ((0.0, 0.0, 10.5),)),
        (32.0, ((0.0, 0.0, 6.5),)),
        (150.0, ((0.0, 0.0, 7.0),)),
    ),
    top_u_mm=8.0,
    end_u_mm=-109.0,
    axis_mm=(47.0, -3.0),
    lean=(0.02, -0.03),
)

_CORE = np.array(
    [
        # u, middle o, middle f, half breadth, half depth forward, half depth backward
        (-141.0, 10.0, 1.0, 38.0, 34.0, 40.0),
        (-100.0, 10.0, -6.0, 45.0, 37.0, 45.0),
        (-80.0, 10.0, -9.0, 46.5, 40.0, 47.0),
        (-50.0, 9.0, -11.0, 47.0, 43.5, 48.0),
        (-20.0, 7.0, -11.0, 47.0, 44.0, 46.0),
        (5.0, 3.0, -11.0, 46.0, 41.0, 44.0),
        (30.0, -1.0, -11.0, 48.0, 41.0, 45.0),
        (55.0, -3.0, -11.0, 53.0, 46.0, 51.0),
        (80.0, -5.0, -11.0, 58.0, 57.0, 58.0),
        (110.0, -6.0, -10.0, 63.0, 65.0, 66.0),
    ]
)
"""Flesh around the bones, as egg-shaped sections."""
_CORE_AT = PchipInterpolator(_CORE[:, 0], _CORE[:, 1:])


def skin_distance(points: Vertices) -> Scalars:
    """Signed distance of points (n, 3) from the skin, exact where it is zero, (n,) mm."""
    flesh = _core(points)
    for part, blend_mm in _PARTS:
        flesh = _joined(flesh, part(points), blend_mm)
    return flesh


def _joined(a: Scalars, b: Scalars, blend_mm: float) -> Scalars:
    """Union of two solids, their seam rounded over a blend distance."""
    near = np.maximum(blend_mm - np.abs(a - b), 0.0) / blend_mm
    return np.asarray(np.minimum(a, b) - 0.25 * blend_mm * near**2)


def _core(points: Vertices) -> Scalars:
    u = points[:, 2]
    middle_o, middle_f, breadth, ahead, behind = _CORE_AT(np.clip(u, *_CORE[[0, -1], 0])).T
    span = _CAP_U_MM - LIMB_END_U_MM
    fall = np.clip((_CAP_U_MM - u) / span, 0.0, None)
    x = (points[:, 0] - middle_o) / breadth
    y = points[:, 1] - middle_f
    y = y / np.where(y > 0.0, ahead, behind)
    gauge = np.sqrt(x**2 + y**2 + fall**2)
    return np.asarray((gauge - 1.0) * np.minimum(breadth, ahead))


def _ellipsoid(centre: tuple[float, float, float], radii: tuple[float, float, float]) -> Distance:
    def distance(points: Vertices) -> Scalars:
        scaled = (points - np.array(centre)) / np.array(radii)
        size = np.linalg.norm(scaled, axis=1)
        slope = np.linalg.norm(scaled / np.array(radii), axis=1)
        return np.asarray(size * (size - 1.0) / np.maximum(slope, 1e-9))

    return distance


def _cord(
    start: tuple[float, float, float],
    end: tuple[float, float, float],
    radii: tuple[float, float],
) -> Distance:
    """A rounded cord between two points, its radius changing evenly."""
    a, along = np.array(start), np.array(end) - np.array(start)

    def distance(points: Vertices) -> Scalars:
        share = np.clip((points - a) @ along / (along @ along), 0.0, 1.0)
        away = np.linalg.norm(points - a - share[:, None] * along, axis=1)
        return np.asarray(away - (radii[0] + share * (radii[1] - radii[0])))

    return distance


_PARTS: tuple[tuple[Distance, float], ...] = (
    # bones under their fat
    (lambda points: TIBIA.distance(points, edge_mm=5.0) - 4.5, 16.0),
    (_ellipsoid((47.5, -3.0, -4.0), (16.0, 16.5, 18.0)), 14.0),
    (_cord((46.0, -4.0, -24.0), (48.5, -6.5, -101.0), (11.5, 11.5)), 22.0),
    # knee: condyles of the femur, kneecap, tendon and the fat beside it
    (_ellipsoid((-23.0, -8.0, 38.0), (30.0, 36.0, 32.0)), 20.0),
    (_ellipsoid((24.0, -2.0, 38.0), (29.0, 37.0, 32.0)), 20.0),
    (_ellipsoid((-3.0, 33.0, 43.0), (23.0, 15.0, 25.0)), 16.0),
    (_ellipsoid((-18.0, 24.0, 10.0), (16.0, 16.0, 20.0)), 16.0),
    (_ellipsoid((17.0, 25.0, 10.0), (16.0, 15.0, 18.0)), 16.0),
    (_cord((-3.0, 36.0, 30.0), (0.0, 39.0, -18.0), (8.0, 6.5)), 10.0),
    # muscle: anterior compartment, peroneals, both heads of the calf
    (_cord((23.0, 9.0, -20.0), (21.0, 9.0, -112.0), (19.0, 15.5)), 20.0),
    (_cord((38.0, -11.0, -34.0), (36.0, -9.0, -100.0), (14.5, 13.0)), 18.0),
    (_ellipsoid((-15.0, -30.0, -50.0), (30.0, 31.0, 64.0)), 20.0),
    (_ellipsoid((26.0, -31.0, -46.0), (28.0, 28.0, 60.0)), 20.0),
    # hamstrings
    (_cord((-30.0, -46.0, 100.0), (-27.0, -37.0, 2.0), (17.0, 8.0)), 14.0),
    (_cord((32.0, -46.0, 100.0), (40.0, -25.0, 4.0), (16.0, 7.5)), 13.0),
)
