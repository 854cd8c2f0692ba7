"""What to draw on the liner, where to press and where to keep off, with left and right."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from limbwright.capture.casting.result import Hand, Mark
from limbwright.capture.casting.tables import HAND_PLACES
from limbwright.core.frame import Side

if TYPE_CHECKING:
    from limbwright.capture.result import Landmark

_NAMED = (
    "patella_lower_pole",
    "mid_patellar_tendon",
    "tibial_tubercle",
    "crest_upper",
    "crest_lower",
    "fibular_head",
    "medial_tibial_flare",
    "distal_tibia",
    "distal_fibula",
)
_WAYS = (
    "lateral",
    "front and lateral",
    "front",
    "front and medial",
    "medial",
    "back and medial",
    "back",
    "back and lateral",
)


@dataclass(frozen=True, slots=True)
class TrimHeights:
    """Trim line over the datum at its four sides, mm."""

    anterior_mm: float
    medial_mm: float
    lateral_mm: float
    posterior_mm: float

    @property
    def highest_mm(self) -> float:
        """Highest of the four."""
        return max(self.anterior_mm, self.medial_mm, self.lateral_mm, self.posterior_mm)


def around_words(angle_deg: float, side: Side) -> str:
    """A direction around the limb in the trade's words, and the person's left or right.

    Parameters
    ----------
    angle_deg : float
        From outward, anti-clockwise seen from above in the limb frame: 90 is forward.
    side : Side
        Of the limb: outward of a left limb is the person's left.
    """
    place = _WAYS[round(angle_deg / 45.0) % 8]
    outward = math.cos(math.radians(angle_deg))
    if abs(outward) < 0.38:
        return place
    right = (outward > 0.0) == (side is Side.RIGHT)
    return f"{place} (the person's {'right' if right else 'left'})"


def marks(
    landmarks: Mapping[str, Landmark],
    trim: TrimHeights,
    screw_square_mm: float | None,
    side: Side,
) -> tuple[Mark, ...]:
    """Landmarks, the trim line's four heights, and the screws' four corners.

    Parameters
    ----------
    landmarks : mapping of name to Landmark
    trim : TrimHeights
    screw_square_mm : float or None
        Side of the square of screws under the end; None without one.
    side : Side
    """
    found = [
        Mark(
            name.replace("_", " "),
            -float(landmarks[name].point_mm[2]),
            around_words(_bearing_deg(landmarks[name]), side),
        )
        for name in _NAMED
        if name in landmarks
    ]
    for name, height, angle in (
        ("trim line, front", trim.anterior_mm, 90.0),
        ("trim line, medial", trim.medial_mm, 180.0),
        ("trim line, lateral", trim.lateral_mm, 0.0),
        ("trim line, back", trim.posterior_mm, 270.0),
    ):
        found.append(Mark(name, -height, around_words(angle, side)))
    if screw_square_mm is not None and "limb_end" in landmarks:
        end = -float(landmarks["limb_end"].point_mm[2])
        found += [
            Mark(
                f"screw, {screw_square_mm / 2.0:g} mm each way from the axis",
                end,
                around_words(angle, side),
            )
            for angle in (45.0, 135.0, 225.0, 315.0)
        ]
    return tuple(found)


def hands(landmarks: Mapping[str, Landmark]) -> tuple[Hand, ...]:
    """Where hands press and where they keep off, on this limb's levels."""
    return tuple(
        Hand(
            place.text,
            place.press,
            place.below_mm - float(landmarks[place.landmark].point_mm[2]),
            place.landmark,
        )
        for place in HAND_PLACES.value
        if place.landmark in landmarks
    )


def _bearing_deg(landmark: Landmark) -> float:
    return float(np.degrees(np.arctan2(landmark.point_mm[1], landmark.point_mm[0])))
