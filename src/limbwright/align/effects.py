"""What moving the foot does to the socket's moments, before a screw is touched."""

from __future__ import annotations

from dataclasses import dataclass

from limbwright.align.adjust import FootChange, moved_leg
from limbwright.align.chain import Leg
from limbwright.align.loads import Walker, moment_curve
from limbwright.align.result import MomentCurve


@dataclass(frozen=True, slots=True)
class Effect:
    """Moments through stance before and after a change of the foot.

    Parameters
    ----------
    before, after : MomentCurve
        At the same place; the changes are upper bounds, since people adapt.
    """

    before: MomentCurve
    after: MomentCurve


def effect_of_foot_move(leg: Leg, change: FootChange, walker: Walker, at: str = "datum") -> Effect:
    """Moments at the socket before and after moving or tilting the foot.

    Raises
    ------
    ValueError
        When the foot cannot be set there.
    """
    moved = moved_leg(leg, change)
    return Effect(moment_curve(leg, walker, at), moment_curve(moved, walker, at))
