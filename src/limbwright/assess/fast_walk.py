"""The walk that the suspension is asked to hold: at the person's speed, or faster."""

from __future__ import annotations

from limbwright.assess.plan import Activity
from limbwright.assess.tables import FASTEST_SPEED_M_S


def fast_walk_m_s(activity: Activity, speed_m_s: float) -> float:
    """Speed at which the leg is swung: the person's, but no less than fast walking of the class.

    A slower speed that is entered never lowers it.
    """
    return max(speed_m_s, FASTEST_SPEED_M_S.value[activity])
