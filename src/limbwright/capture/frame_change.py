"""What becomes of the limb frame when a landmark is moved, before the limb is captured again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.capture.frame import limb_frame
from limbwright.capture.result import Limb
from limbwright.core.frame import mesh_to_scan, to_limb
from limbwright.core.mesh import Vector, Vertices, with_vertices
from limbwright.core.slicing import slice_loops


@dataclass(frozen=True, slots=True, eq=False)
class FrameChange:
    """The limb frame with a landmark moved, seen from the frame that stands.

    Parameters
    ----------
    lower_mm : float
        How much lower the datum lies.
    tilt_deg : float
        Angle between the long axes.
    turn_deg : float
        Turn about the long axis, outward towards the front.
    length_below_datum_mm : float
    axis_mm : (2, 3) float64, limb frame that stands
        The long axis through the limb, from its top.
    datum_mm : tuple of (p, 3) float64, limb frame that stands
        Outlines of the limb at the level of the datum.
    """

    lower_mm: float
    tilt_deg: float
    turn_deg: float
    length_below_datum_mm: float
    axis_mm: Vertices
    datum_mm: tuple[NDArray[np.float64], ...]


def frame_change(limb: Limb, points_mm: Mapping[str, Vector]) -> FrameChange:
    """Set the frame anew on the limb's surface by other landmarks than it was captured with.

    Parameters
    ----------
    limb : Limb
    points_mm : mapping of landmark name to (3,) float64, mm, scan frame
        All that are accepted, the moved one where it is moved to.

    Raises
    ------
    InvalidLandmarks
        When it contradicts the side or the other landmarks there.
    """
    frame = limb_frame(mesh_to_scan(limb.frame, limb.surface), points_mm, limb.side)
    axes = frame.axes @ limb.frame.axes.T
    origin = to_limb(limb.frame, frame.origin_mm)
    local = (limb.surface.vertices - origin) @ axes.T
    low, high = local[:, 2].min(), local[:, 2].max()
    level = slice_loops(with_vertices(limb.surface, local), 0.0)
    return FrameChange(
        lower_mm=float(-origin[2]),
        tilt_deg=float(np.degrees(np.arctan2(np.hypot(*axes[2, :2]), axes[2, 2]))),
        turn_deg=float(np.degrees(np.arctan2(axes[0, 1], axes[0, 0]))),
        length_below_datum_mm=float(-low),
        axis_mm=origin + np.outer([high, low], axes[2]),
        datum_mm=tuple(origin + loop @ axes[:2] for loop in level),
    )
