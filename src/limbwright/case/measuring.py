"""Distance between two points of a limb: straight, and along its skin."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from limbwright.capture.result import Limb
from limbwright.core.mesh import Vector, Vertices, barycentric
from limbwright.core.proximity import DistanceTree
from limbwright.shape.geodesics import SurfaceDistance, way_back


@dataclass(frozen=True, slots=True, eq=False)
class MeasuredDistance:
    """How far two points of the skin lie apart.

    Parameters
    ----------
    straight_mm : float
    surface_mm : float or None
        Along the skin; None where no way on the skin joins them.
    way_mm : (k, 3) float64, limb frame, or None
        The way along the skin; None where there is none, or it could not be followed.
    """

    straight_mm: float
    surface_mm: float | None
    way_mm: Vertices | None


def distance_between(
    limb: Limb, tree: DistanceTree, along: SurfaceDistance, start: Vector, end: Vector
) -> MeasuredDistance:
    """Distance between the skin's points nearest to two given ones.

    Along the skin it is up to about 1 % too long, as fronts that march over a mesh are.

    Parameters
    ----------
    limb : Limb
    tree : DistanceTree
        Of the limb's surface.
    along : SurfaceDistance
        Of the limb's surface.
    start, end : (3,) float64, mm, limb frame
    """
    _, faces, feet = tree.closest(np.stack([start, end]))
    straight_mm = float(np.linalg.norm(feet[1] - feet[0]))
    corners = limb.surface.faces[faces[1]]
    distance = along.from_curve(feet[:1])
    values = distance[corners]
    # Within a few edges the way along the skin is the straight one, as where fronts start.
    near = straight_mm <= along.start_mm
    if not near and not np.all(np.isfinite(values)):
        return MeasuredDistance(straight_mm, None, None)
    weights = barycentric(limb.surface.vertices[corners][None], feet[1:])[0]
    surface_mm = straight_mm if near else max(straight_mm, float(weights @ values))
    way = way_back(along, tree, distance, feet[1], feet[0])
    return MeasuredDistance(straight_mm, surface_mm, way)
