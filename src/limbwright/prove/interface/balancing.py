"""Finding the motion at which the bed carries a load: Newton's method, damped where it must be."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.prove.interface.bed import (
    Answer,
    Bed,
    BedState,
    Motion,
    answer,
    full_stiffness,
    reach,
)
from limbwright.prove.tables import LEAST_LOAD_N

TARGET = 1e-8
"""Unbalanced share at which iteration ends: far under what is accepted, at no cost."""
ACCEPTED = 1e-3
"""Largest unbalanced share of the load that counts as equilibrium."""
_PATIENT_STEPS = 40
"""Steps after which what is accepted is good enough: a limb that barely touches creeps."""
_MOST_STEPS = 200
_LONGEST_STEP_MM = 8.0
_LEAST_DAMPING = 1e-9
_OUT_OF_REACH_MM = 400.0
_TOUCH_MM = 0.01

ALL = np.arange(6)
ACROSS_AND_TILT = np.array([0, 1, 3, 4])
"""All but moving along the limb's long axis and turning about it."""


@dataclass(frozen=True, slots=True, eq=False)
class Balance:
    """Where the search ended.

    Parameters
    ----------
    motion : (6,) float64, mm
    unbalanced : (6,) float64, N
        What still moves the limb: contact's resultant less the one it must exert.
    share : float
        Its largest component as a share of the load's size.
    iterations : int
    """

    motion: Motion
    unbalanced: NDArray[np.float64]
    share: float
    iterations: int


def find_balance(
    bed: Bed,
    load_n: NDArray[np.float64],
    start: BedState,
    friction: float,
    *,
    free: NDArray[np.int64] = ALL,
    scale_n: float = 0.0,
) -> Balance:
    """The motion at which contact carries a load.

    A damped Newton step, x ← x + (K + λ K₀)⁻¹ r, K the exact stiffness and K₀ that of the whole
    bed in contact. λ is next to nothing while the unbalanced load shrinks, so the end is
    quadratic, and grows while it does not: the limb then creeps as if in a viscous bath, which
    leads out of lost contact and sliding. A limb without any contact moves straight along its
    load until it touches. Damping never enters the balance itself.

    Parameters
    ----------
    bed : Bed
    load_n : (6,) float64, N
        What contact must exert on the limb, about the bed's reference.
    start : BedState
        State that shear is remembered from; the search begins there too.
    friction : float
    free : (k,) int
        Components of the motion that may change; the others are held.
    scale_n : float
        Size that the unbalanced load is measured against; 0 takes the gross contact force.
        Never less than the weight of a prosthesis.
    """
    measure = full_stiffness(bed)
    motion = np.array(start.motion)
    now = answer(bed, start, motion, friction)
    damping = 0.0
    steps = 0
    best = Balance(motion, now.resultant_n - load_n, np.inf, 0)
    while True:
        left = now.resultant_n - load_n
        share = _share(left[free], scale_n, now)
        if share < best.share:
            best = Balance(motion, left, share, steps)
        enough = TARGET if steps < _PATIENT_STEPS else ACCEPTED / 2
        if share < enough or steps == _MOST_STEPS or np.abs(motion).max() > _OUT_OF_REACH_MM:
            return best
        steps += 1
        step = _step(bed, measure, motion, now, left, free, damping)
        if step is None:
            return best
        ahead = answer(bed, start, motion + step, friction)
        if now.gross_n == 0.0 or _size(ahead.resultant_n - load_n, measure, free) < _size(
            left, measure, free
        ):
            motion, now = motion + step, ahead
            damping = damping / 10 if damping > 1e-5 else 0.0
        elif damping < 1.0:
            damping = max(1e-4, 10 * damping)
        else:
            motion, now = motion + step, ahead


def _share(left: NDArray[np.float64], scale_n: float, now: Answer) -> float:
    return float(np.abs(left).max() / max(scale_n or now.gross_n, LEAST_LOAD_N.value))


def _size(
    left: NDArray[np.float64], measure: NDArray[np.float64], free: NDArray[np.int64]
) -> float:
    """Energy that the unbalanced load would store in the whole bed: one figure for all six."""
    return float(left[free] @ np.linalg.solve(measure[np.ix_(free, free)], left[free]))


def _step(
    bed: Bed,
    measure: NDArray[np.float64],
    motion: Motion,
    now: Answer,
    left: NDArray[np.float64],
    free: NDArray[np.int64],
    damping: float,
) -> Motion | None:
    """The next step, or None when the limb leaves the socket without ever touching it."""
    step = np.zeros(6)
    if now.gross_n == 0.0:
        step[free] = np.linalg.solve(measure[np.ix_(free, free)], left[free])
        step /= np.abs(step).max()
        way = reach(bed, motion, step)
        return step * (way + _TOUCH_MM) if np.isfinite(way) else None
    stiffness = now.stiffness + max(damping, _LEAST_DAMPING) * measure
    step[free] = np.linalg.solve(stiffness[np.ix_(free, free)], left[free])
    step *= min(1.0, _LONGEST_STEP_MM / max(np.abs(step).max(), 1e-12))
    return step
