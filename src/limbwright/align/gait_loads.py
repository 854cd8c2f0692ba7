"""Ground reaction through stance: how hard, in what direction, and where under the foot."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from limbwright.align.tables import (
    FORWARD_FORCE,
    INWARD_FORCE,
    ISO_22675_FORCE,
    ISO_22675_MS,
    PEAKS_BY_SPEED,
    ROLL_AHEAD,
    ROLL_RISE,
    SHANK_LEAN_DEG,
    STANCE_SHARE,
    STEP_GROWTH,
    STEPS_SPEED_M_S,
)
from limbwright.core.mesh import Scalars, Vertices

SPEED_LIMITS_M_S = (0.2, 2.0)
"""Outside, no force of walking is known here; speeds are held to these."""
EARLY, MID, LATE = 0.25, 0.5, 0.745
"""Parts of stance at the first peak, the valley and the second peak of the force profile."""
_FINE = np.linspace(0.0, 1.0, 601)


@dataclass(frozen=True, slots=True, eq=False)
class GroundReaction:
    """Ground reaction on one foot at instants of stance.

    Parameters
    ----------
    stance : (n,) float64, 0 at first contact, 1 at last
    force_bw : (n, 3) float64
        Body weights, on the foot: outward, forward, up; axes of the ground.
    ahead, rise : (n,) float64
        Centre of pressure in front of the ankle along the foot's axis and above the sole as it
        stands flat, foot lengths: where the foot, as it bends and rolls, meets the ground.
    lean_rad : (n,) float64
        Lean of the leg over the ground, forward positive, for a leg that stands upright on the
        sole.
    """

    stance: Scalars
    force_bw: Vertices
    ahead: Scalars
    rise: Scalars
    lean_rad: Scalars


def iso_22675_force(time_ms: NDArray[np.float64] | float) -> Scalars:
    """Force profile of ISO 22675 over a stance of 600 ms, as a share of its first peak."""
    powers = np.polynomial.polynomial.polyval(np.asarray(time_ms), ISO_22675_FORCE.value)
    return np.asarray(1e-3 * powers, dtype=np.float64)


def vertical_bw(
    stance: Scalars, speed_m_s: float, stance_share: float = STANCE_SHARE.value
) -> Scalars:
    """Vertical ground reaction in body weights at instants of stance.

    The profile of ISO 22675, its peaks and valley moved to those of the speed, scaled so that
    its mean over stance is 1 / (2 · stance share): over an even stride both feet together carry
    body weight times the stride's time, which is mechanics and not a measurement.

    Parameters
    ----------
    stance : (n,) float64, 0 to 1
    speed_m_s : float
    stance_share : float
        Part of the stride that the foot is on the ground.
    """
    return _shaped(stance, speed_m_s) / (2.0 * stance_share * _mean_shaped(speed_m_s))


@lru_cache(maxsize=64)
def _mean_shaped(speed_m_s: float) -> float:
    """Mean of the profile over stance, to scale: asked for at every leg that is tried."""
    return float(np.trapezoid(_shaped(_FINE, speed_m_s), _FINE))


def ground_reaction(stance: Scalars, speed_m_s: float) -> GroundReaction:
    """Ground reaction of level walking at instants of stance.

    Braking and driving grow with the length of the step, hence with the square root of speed.
    Lean and centre of pressure are the foot's rolling over the ground, which does not change.

    Parameters
    ----------
    stance : (n,) float64, 0 to 1
    speed_m_s : float
    """
    speed = held_speed_m_s(speed_m_s)
    step = (speed / STEPS_SPEED_M_S.value) ** STEP_GROWTH.value
    force = np.column_stack(
        [
            -_at(stance, INWARD_FORCE.value),
            step * _at(stance, FORWARD_FORCE.value),
            vertical_bw(stance, speed),
        ]
    )
    lean = np.radians(_at(stance, SHANK_LEAN_DEG.value))
    ahead, rise = (_at(stance, table.value) for table in (ROLL_AHEAD, ROLL_RISE))
    return GroundReaction(stance, force, ahead, rise, lean)


def held_speed_m_s(speed_m_s: float) -> float:
    """The speed, held to the range in which something is known of walking forces."""
    return min(max(speed_m_s, SPEED_LIMITS_M_S[0]), SPEED_LIMITS_M_S[1])


def _at(stance: Scalars, every_twentieth: tuple[float, ...]) -> Scalars:
    knots = np.linspace(0.0, 1.0, len(every_twentieth))
    return np.interp(stance, knots, every_twentieth)


def _peaks(speed_m_s: float) -> tuple[float, float, float]:
    """First peak, valley and second peak, to scale; equal when standing still."""
    rows = np.array(PEAKS_BY_SPEED.value)
    slowest = rows[0]
    flat = np.full(3, float(slowest[1:].mean()))
    if speed_m_s < slowest[0]:
        part = speed_m_s / slowest[0]
        values = flat + part * (slowest[1:] - flat)
    else:
        values = np.array([np.interp(speed_m_s, rows[:, 0], rows[:, k]) for k in (1, 2, 3)])
    return float(values[0]), float(values[1]), float(values[2])


def _shaped(stance: Scalars, speed_m_s: float) -> Scalars:
    """The profile's flanks scaled to the peaks; between them its dip scaled to the valley."""
    first, valley, second = _peaks(speed_m_s)
    profile = iso_22675_force(ISO_22675_MS * np.asarray(stance, dtype=np.float64))
    peak, low, late = (float(iso_22675_force(ISO_22675_MS * part)) for part in (EARLY, MID, LATE))
    across = (stance - EARLY) / (LATE - EARLY)
    middle = (MID - EARLY) / (LATE - EARLY)
    wanted = first + across * (second - first)
    own = peak + across * (late - peak)
    depth = (first + middle * (second - first) - valley) / (peak + middle * (late - peak) - low)
    between = wanted - depth * (own - profile)
    flanks = np.where(stance < MID, profile * first / peak, profile * second / late)
    return np.where((across >= 0.0) & (across <= 1.0), between, flanks)
