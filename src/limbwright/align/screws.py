"""Set screws of a pyramid adapter: turns to angles and back, and which screw to drive in.

The male pyramid is on the socket above and on the foot below, its receivers with the four
screws on the tube. Above, the screws press on the boss below the ball; below, above the ball.
Either way, driving the *anterior* screw in pushes the boss back and leans the part above
forward (flexion), and driving the *lateral* screw in leans it outward (adduction). With the
pyramid on the tube the screws are the opposite ones.
"""

from __future__ import annotations

import math

from limbwright.align.plan import AdapterPlan
from limbwright.align.tables import TURN_STEP


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


def turns_between(from_rad: float, to_rad: float, adapter: AdapterPlan) -> float:
    """Turns of a screw that bring an adapter from one angle to another."""
    travel_mm = adapter.screw_arm_mm * (math.tan(to_rad) - math.tan(from_rad))
    return travel_mm / adapter.screw_pitch_mm


def angle_after(from_rad: float, turns: float, adapter: AdapterPlan) -> float:
    """Angle that an adapter has after some turns of a screw."""
    travel_mm = turns * adapter.screw_pitch_mm
    return math.atan(math.tan(from_rad) + travel_mm / adapter.screw_arm_mm)


def quarters_about(turns: float) -> tuple[float, ...]:
    """The quarter turns on either side of an exact turn; one, when it is a quarter."""
    steps = turns / TURN_STEP.value
    near = round(steps)
    if abs(steps - near) < 1e-6:
        return (near * TURN_STEP.value + 0.0,)
    return math.floor(steps) * TURN_STEP.value + 0.0, math.ceil(steps) * TURN_STEP.value + 0.0


def screw_to_drive(plane: str, turns: float) -> str:
    """The screw to drive in; its opposite is backed out first.

    Parameters
    ----------
    plane : str
        "flexion" or "adduction".
    turns : float
        Positive for more of it.
    """
    if plane == "flexion":
        return "anterior" if turns > 0.0 else "posterior"
    return "lateral" if turns > 0.0 else "medial"
