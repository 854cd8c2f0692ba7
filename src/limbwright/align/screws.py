"""Set screws of a pyramid adapter: turns to angles and back, and which screw to drive in.

The male pyramid is on the socket above and on the foot below, its receivers with the four
screws on the tube. Above, the screws press on the boss below the ball; below, above the ball.
Either way, driving the *anterior* screw in pushes the boss back and leans the part above
forward (flexion), and driving the *lateral* screw in leans it outward (adduction). With the
pyramid on the tube the screws are the opposite ones.
"""

from __future__ import annotations

import math

from limbwright.align.tables import TURN_STEP

COMPASS = (
    "anterior",
    "anterolateral",
    "lateral",
    "posterolateral",
    "posterior",
    "posteromedial",
    "medial",
    "anteromedial",
)
"""Places round the leg, 45 degrees apart from the front outward."""
_BEARING = {"flexion": 0.0, "adduction": 90.0}
"""Degrees from an adapter's front to the screw that gives more of an angle, outward."""


def degrees_per_turn(pitch_mm: float, arm_mm: float) -> float:
    """Tilt of one full turn from the middle: atan(pitch / arm).

    Parameters
    ----------
    pitch_mm : float
        Thread pitch.
    arm_mm : float
        Height of the screw's contact over or under the ball's centre.
    """
    return math.degrees(math.atan(pitch_mm / arm_mm))


def quarter_turn_rad(pitch_mm: float, arm_mm: float) -> float:
    """Tilt of a quarter turn from the middle."""
    return math.atan(TURN_STEP.value * pitch_mm / arm_mm)


def turns_for(from_rad: float, to_rad: float, pitch_mm: float, arm_mm: float) -> float:
    """Turns of a screw that bring an adapter from one angle to another."""
    return arm_mm * (math.tan(to_rad) - math.tan(from_rad)) / pitch_mm


def angle_after(from_rad: float, turns: float, pitch_mm: float, arm_mm: float) -> float:
    """Angle that an adapter has after some turns of a screw."""
    return math.atan(math.tan(from_rad) + turns * pitch_mm / arm_mm)


def screw_to_drive(plane: str, turns: float, azimuth_deg: float = 0.0) -> str:
    """The screw to drive in, by its place round the leg; its opposite is backed out first.

    Parameters
    ----------
    plane : str
        "flexion" or "adduction".
    turns : float
        Positive for more of it.
    azimuth_deg : float
        How far the adapter's own front is turned outward.
    """
    bearing = screw_bearing_deg(plane, turns, azimuth_deg)
    return COMPASS[math.floor(bearing / 45.0 + 0.5) % 8]


def screw_bearing_deg(plane: str, turns: float, azimuth_deg: float = 0.0) -> float:
    """Where the screw to drive in stands: degrees from the leg's front, outward."""
    return _BEARING[plane] + azimuth_deg + (0.0 if turns > 0.0 else 180.0)


def opposite_screw(screw: str) -> str:
    """The screw across the boss."""
    return COMPASS[(COMPASS.index(screw) + 4) % 8]
