"""Pull of the prosthesis on its suspension in swing."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from limbwright.align.tables import MASS_BELOW_KNEE_MM, PULL_BY_SPEED
from limbwright.core.units import STANDARD_GRAVITY_M_S2


@dataclass(frozen=True, slots=True)
class SwingPull:
    """Greatest pull along the shank in swing.

    Parameters
    ----------
    table_n : float
        From measured able-bodied walking, scaled to mass and speed.
    bound_n : float
        Hand bound m·(g + ω²·c): straight down, turning fastest, knee unaccelerated. Not less
        than `table_n`.
    turning_rad_s : float
        Greatest turning rate ω of the shank.
    """

    table_n: float
    bound_n: float
    turning_rad_s: float


def swing_pull(
    mass_kg: float, speed_m_s: float, mass_below_knee_mm: float = MASS_BELOW_KNEE_MM.value
) -> SwingPull:
    """How hard the prosthesis pulls at its suspension in swing.

    Parameters
    ----------
    mass_kg : float
        Prosthesis with shoe.
    speed_m_s : float
        Walking speed; 0 for a leg that hangs still. Slower and faster than the table's walks,
        accelerations grow with the square of speed.
    mass_below_knee_mm : float
        Centre of mass of the prosthesis below the knee, for the bound.
    """
    rows = np.array(PULL_BY_SPEED.value)
    rest, slowest, fastest = STANDARD_GRAVITY_M_S2, rows[1], rows[-1]
    if slowest[0] <= speed_m_s <= fastest[0]:
        turning = float(np.interp(speed_m_s, rows[:, 0], rows[:, 1]))
        per_kg = float(np.interp(speed_m_s, rows[:, 0], rows[:, 2]))
    else:
        edge = slowest if speed_m_s < slowest[0] else fastest
        ratio = speed_m_s / float(edge[0])
        turning = float(edge[1]) * ratio
        per_kg = rest + (float(edge[2]) - rest) * ratio**2
    omega = math.radians(turning)
    bound_per_kg = rest + omega**2 * mass_below_knee_mm / 1000.0
    return SwingPull(mass_kg * per_kg, mass_kg * bound_per_kg, omega)
