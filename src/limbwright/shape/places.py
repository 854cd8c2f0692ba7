"""Saying where on a limb something is, as a prosthetist would."""

from __future__ import annotations

import numpy as np

from limbwright.capture.result import Limb
from limbwright.core.mesh import Vector

_DIRECTIONS = (
    "lateral",
    "anterior-lateral",
    "anterior",
    "anterior-medial",
    "medial",
    "posterior-medial",
    "posterior",
    "posterior-lateral",
)


def direction_of(angle_rad: float) -> str:
    """The direction of an angle from outward, anti-clockwise seen from above."""
    return _DIRECTIONS[int(np.round(np.degrees(angle_rad) / 45.0)) % 8]


def height_words(height_mm: float) -> str:
    """A height above (or below) the mid-patellar tendon in words."""
    side = "above" if height_mm >= 0 else "below"
    return f"{abs(height_mm):.0f} mm {side} the mid-patellar tendon"


def place_words(limb: Limb, point_mm: Vector) -> str:
    """Level, direction and nearest landmark of a point in the limb frame."""
    angle = float(np.arctan2(point_mm[1], point_mm[0]))
    words = f"{height_words(float(point_mm[2]))}, {direction_of(angle)}"
    if not limb.landmarks:
        return words
    nearest = min(
        limb.landmarks.values(),
        key=lambda landmark: float(np.linalg.norm(landmark.point_mm - point_mm)),
    )
    gap_mm = float(np.linalg.norm(nearest.point_mm - point_mm))
    return f"{words}, {gap_mm:.0f} mm from the {nearest.name.replace('_', ' ')}"
