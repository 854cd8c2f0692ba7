"""Saying that contact cannot carry a load, in the words of the trade."""

from __future__ import annotations

from typing import Protocol

import numpy as np

from limbwright.core.errors import NotConverged
from limbwright.core.units import degrees
from limbwright.prove.interface.balancing import ACCEPTED, Balance
from limbwright.prove.interface.bed import Motion
from limbwright.prove.tables import SMALL_MOTION_SHIFT_MM, SMALL_MOTION_TURN_DEG

_LOST = (
    ("is not held sideways", "answer the side it moves to with a load area"),
    ("is not held forward and back", "answer the side it moves to with a load area"),
    ("falls through", "add take-up or load areas that bear, or check that limb and socket agree"),
    ("tips forward or back", "add counter areas in front and behind, or a higher trim line"),
    ("tips to the side", "add counter areas on both sides, or a higher trim line"),
    ("turns about its long axis", "add areas that hold against turning, or check the friction"),
)
"""What the limb does and what to change, by component of the motion (o, f, u; turns about them)."""
_PULLED_OUT = (
    "is pulled out",
    "let the suspension carry it: check the coupling's pull and the friction",
)
_SQUEEZED_OUT = ("is squeezed out", "lessen the take-up or the load areas that push it upward")


class Sized(Protocol):
    """Whatever carries the limb: it knows the length that makes turns and shifts comparable."""

    @property
    def length_mm(self) -> float:
        """Turns are multiplied by it."""


def refuse_if_lost(bed: Sized, case: str, load_n: Motion, found: Balance) -> None:
    """Refuse a search that found no equilibrium, or one beyond small motions.

    Parameters
    ----------
    bed : Sized
    case : str
    load_n : (6,) float64, N
        What contact had to exert on the limb.
    found : Balance

    Raises
    ------
    NotConverged
        Names the case, what the limb does, by how much, and what to change.
    """
    shift_mm = float(np.linalg.norm(found.motion[:3]))
    turn_deg = degrees(float(np.linalg.norm(found.motion[3:])) / bed.length_mm)
    most_mm, most_deg = SMALL_MOTION_SHIFT_MM.value, SMALL_MOTION_TURN_DEG.value
    unbalanced = found.share > ACCEPTED
    near = shift_mm <= most_mm and turn_deg <= most_deg
    if near and not unbalanced:
        return
    happens, remedy = told(found.unbalanced if near else found.motion, load_n)
    gone = f"{shift_mm:.0f} mm and {turn_deg:.0f} degrees"
    detail = (
        f"after {gone} contact leaves {100 * found.share:.2g} % of the load uncarried"
        if unbalanced
        else f"it moves {gone} before contact carries the load (at most {most_mm:g} mm and "
        f"{most_deg:g} degrees count as held)"
    )
    raise NotConverged(
        f"no equilibrium in load case {case}: the limb {happens}; {detail}; {remedy}.",
        where=f"prove.interface.{case}",
        fields={
            "load_case": case,
            "shift_mm": shift_mm,
            "turn_deg": turn_deg,
            "unbalanced_share": found.share,
        },
    )


def told(going: Motion, load_n: Motion) -> tuple[str, str]:
    """What the limb does and what to change, by where it went or, if still near, is driven."""
    worst = int(np.abs(going).argmax())
    if worst == 2 and going[2] > 0:
        return _PULLED_OUT if load_n[2] < 0 else _SQUEEZED_OUT
    return _LOST[worst]
