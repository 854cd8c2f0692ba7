"""Pull of the prosthesis on its suspension through the whole of swing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from limbwright.align.gait_loads import held_speed_m_s
from limbwright.align.swing import swing_pull
from limbwright.align.tables import STEP_GROWTH
from limbwright.core.units import STANDARD_GRAVITY_M_S2
from limbwright.prove.result import SwingCurve
from limbwright.prove.suspension_tables import (
    SWING_KNEE_ALONG_M_S2,
    SWING_LEAN_DEG,
    SWING_SPEED_M_S,
    SWING_TURNING_RAD_S,
)


def swing_curve(mass_kg: float, speed_m_s: float, centre_of_mass_mm: float) -> SwingCurve:
    """How hard the prosthesis pulls along the shank, every twentieth of swing.

    F = m·(g·cos θ + ω²·c − a·u): weight along the shank, turning about the knee, and what the
    knee's own acceleration a gives or takes, u from knee to ankle. Weight is not scaled with
    speed; accelerations grow with cadence squared times stride length, which is speed to the
    power of 2 less that of step length.

    Parameters
    ----------
    mass_kg : float
        Of all that hangs on the suspension, shoe included.
    speed_m_s : float
        Walking speed, up to the fastest of which something is known.
    centre_of_mass_mm : float
        Below the knee's axis.

    Returns
    -------
    SwingCurve
        Pull, and the hand bound m·(g + ω²·c) with the greatest ω, which is never less.
    """
    speed = min(speed_m_s, held_speed_m_s(speed_m_s)) if speed_m_s > 0.0 else 0.0
    growth = (speed / SWING_SPEED_M_S.value) ** (2.0 - STEP_GROWTH.value)
    lean, turning, knee = (
        np.array(table.value)
        for table in (SWING_LEAN_DEG, SWING_TURNING_RAD_S, SWING_KNEE_ALONG_M_S2)
    )
    reach = centre_of_mass_mm / 1000.0
    weight = STANDARD_GRAVITY_M_S2 * np.cos(np.radians(lean))
    pull = mass_kg * (weight + growth * (turning**2 * reach - knee))
    bound = mass_kg * (STANDARD_GRAVITY_M_S2 + growth * float((turning**2).max()) * reach)
    percent = np.linspace(0.0, 100.0, len(pull))
    peak = int(pull.argmax())
    return SwingCurve(
        tuple(percent.tolist()),
        tuple(pull.tolist()),
        tuple(lean.tolist()),
        max(bound, float(pull[peak])),
        float(pull[peak]),
        float(percent[peak]),
    )


@dataclass(frozen=True, slots=True)
class WalkingPull:
    """Greatest pull of walking, by two measured walkers.

    Parameters
    ----------
    pull_n : float
        Of the walker who pulls harder.
    other_n : float
        Of the other.
    bound_n : float
        Hand bound.
    curve : SwingCurve
    """

    pull_n: float
    other_n: float
    bound_n: float
    curve: SwingCurve


def walking_pull(mass_kg: float, speed_m_s: float, centre_of_mass_mm: float) -> WalkingPull:
    """Greatest pull of walking: of two people who were measured, scaled to mass and speed.

    Parameters
    ----------
    mass_kg, speed_m_s, centre_of_mass_mm : as in `swing_curve`
    """
    curve = swing_curve(mass_kg, speed_m_s, centre_of_mass_mm)
    table = swing_pull(mass_kg, speed_m_s, centre_of_mass_mm)
    low, high = sorted((table.table_n, curve.peak_n))
    return WalkingPull(high, low, max(table.bound_n, curve.bound_n, high), curve)
