"""From a wanted place of the foot to the settings of a chain: least change, within ranges.

Unknown are angles and shifts of any adapters. The foot's place and tilt are met by repeated
linear steps; of all settings that meet them, those are taken that turn and slide least, counted
in least moves (quarter turns, degrees, half millimetres), each within its bounds.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import lsq_linear

from limbwright.align.chain import Leg, LegPose, stand
from limbwright.align.freedoms import Freedom, values_of, with_values
from limbwright.align.moves import FootChange, change_of_pose
from limbwright.core.mesh import Scalars

LEVER_MM = 200.0
"""Length that makes a tilt and a shift comparable: about that of a tube between its pyramids."""
_FIRM, _YIELDING = 1e4, 1e2
"""Weights of tilt, and of a shift, over a least move."""
_ROUNDS = 12
_STEP = 1e-6
MET_MM = 1e-3
_HAIR_RAD = math.radians(0.25)
"""What an adapter that is beyond its reserve may still give, so that the other plane can move."""


@dataclass(frozen=True, slots=True, eq=False)
class Solution:
    """Settings of some freedoms, and what they leave undone.

    Parameters
    ----------
    leg : Leg
    values : (n,) float64
        Radians or mm from the middle.
    missing_mm : (m,) float64
        Wanted less reached: forward, outward, flexion, adduction (tilts times LEVER_MM), then
        what else is asked of height and toe-out.
    cost : float
        Root of the sum of squares of the moves, in least moves.
    """

    leg: Leg
    values: Scalars
    missing_mm: Scalars
    cost: float

    @property
    def met(self) -> bool:
        """Whether everything that was wanted is reached."""
        return bool(np.abs(self.missing_mm).max() < MET_MM)


def as_vector(change: FootChange, wanted: FootChange) -> Scalars:
    """The parts of a change that are wanted, mm; tilts times LEVER_MM."""
    lever = math.radians(1.0) * LEVER_MM
    parts = [
        change.forward_mm,
        change.outward_mm,
        lever * change.flexion_deg,
        lever * change.adduction_deg,
    ]
    if wanted.up_mm is not None:
        parts.append(change.up_mm or 0.0)
    if wanted.toe_out_deg is not None:
        parts.append(lever * (change.toe_out_deg or 0.0))
    return np.array(parts)


def least_change(
    leg: Leg,
    wanted: FootChange,
    freedoms: Sequence[Freedom],
    low: Scalars,
    high: Scalars,
) -> Solution:
    """The least change of some freedoms that gives a wanted change of the foot.

    Where the bounds do not suffice, tilts are kept and the shift comes as near as it can.

    Parameters
    ----------
    leg : Leg
    wanted : FootChange
    freedoms : (n,) Freedom
    low, high : (n,) float64
        Bounds; the present setting lies within them.
    """
    before, goal = stand(leg), as_vector(wanted, wanted)
    start = values_of(leg, freedoms)
    steps = np.array([one.step for one in freedoms])

    def missing(values: Scalars) -> Scalars:
        pose = stand(with_values(leg, freedoms, values))
        return goal - as_vector(change_of_pose(before, pose), wanted)

    def solved(values: Scalars) -> Solution:
        moves = (values - start) / steps
        made = with_values(leg, freedoms, values)
        return Solution(made, values, missing(values), float(np.linalg.norm(moves)))

    if len(freedoms) == 0:
        return Solution(leg, start, goal, 0.0)
    weights = _weights(len(goal))
    values, scale = start, np.maximum(steps, 1e-9)
    for _ in range(_ROUNDS):
        left = missing(values)
        slopes = -_slopes(missing, values, left, steps) * scale
        rows = np.vstack([weights[:, None] * slopes, np.eye(len(values))])
        right = np.concatenate([weights * left, (start - values) / scale])
        moved = _bounded(rows, right, (low - values) / scale, (high - values) / scale)
        values = np.clip(values + moved * scale, low, high)
        if float(np.abs(moved).max()) < 1e-7:
            break
    return solved(_polished(missing, values, low, high, steps))


def exact(
    leg: Leg, wanted: FootChange, freedoms: Sequence[Freedom], reach_rad: float = 1.4
) -> Solution:
    """The least change that is wanted, whatever the ranges of angles; shifts stay in theirs."""
    low, high = bounds(leg, freedoms, kept_back=False)
    angle = np.array([one.is_angle for one in freedoms], dtype=bool)
    return least_change(
        leg,
        wanted,
        freedoms,
        np.where(angle, -reach_rad, low),
        np.where(angle, reach_rad, high),
    )


def bounds(
    leg: Leg, freedoms: Sequence[Freedom], *, kept_back: bool = True
) -> tuple[Scalars, Scalars]:
    """How far each may go, with a reserve kept back; never short of where it stands."""
    room = np.array([one.range - (one.reserve if kept_back else 0.0) for one in freedoms])
    slack = np.array([_HAIR_RAD if one.is_angle else 0.0 for one in freedoms])
    now = values_of(leg, freedoms)
    return np.minimum(-room, now - slack), np.maximum(room, now + slack)


def foot_at(build: Callable[[Scalars], Leg], start: Scalars, target: LegPose) -> Leg:
    """The leg whose foot stands exactly where a pose has it, by six settings.

    Parameters
    ----------
    build : callable
        From six settings to a leg.
    start : (6,) float64
    target : LegPose
        Its foot's place and axes are wanted.

    Raises
    ------
    ArithmeticError
        When no settings are found.
    """
    steps = np.full(6, 1.0)

    def missing(values: Scalars) -> Scalars:
        pose = stand(build(values))
        place = target.points_mm["foot_top"] - pose.points_mm["foot_top"]
        turn = pose.foot_axes.T @ target.foot_axes
        skew = np.array([turn[2, 1] - turn[1, 2], turn[0, 2] - turn[2, 0], turn[1, 0] - turn[0, 1]])
        return np.concatenate([place, 0.5 * LEVER_MM * skew])

    values = start
    for _ in range(_ROUNDS):
        left = missing(values)
        if float(np.abs(left).max()) < 1e-10:
            break
        values = values + np.linalg.lstsq(-_slopes(missing, values, left, steps), left)[0]
    if not float(np.abs(missing(values)).max()) < 1e-6:
        raise ArithmeticError("no setting brings the foot to its place")
    return build(values)


def _weights(count: int) -> Scalars:
    """Shifts yield before tilts do; so do height and toe-out."""
    weights = np.full(count, _YIELDING)
    weights[2:4] = _FIRM
    return weights


def _slopes(
    function: Callable[[Scalars], Scalars], values: Scalars, here: Scalars, steps: Scalars
) -> NDArray[np.float64]:
    """Slopes of a function by forward differences, (m, n)."""
    columns = []
    for number, step in enumerate(steps):
        ahead = values.copy()
        ahead[number] += _STEP * step
        columns.append((function(ahead) - here) / (_STEP * step))
    return np.column_stack(columns)


def _bounded(rows: NDArray[np.float64], right: Scalars, low: Scalars, high: Scalars) -> Scalars:
    free = high - low > 1e-12
    moved = np.zeros(len(low))
    if free.any():
        moved[free] = lsq_linear(
            rows[:, free], right, (low[free], high[free]), method="bvls", tol=1e-14
        ).x
    return moved


def _polished(
    missing: Callable[[Scalars], Scalars],
    values: Scalars,
    low: Scalars,
    high: Scalars,
    steps: Scalars,
) -> Scalars:
    """What the weights left of the goal taken out by the least further move, within bounds."""
    for _ in range(3):
        left = missing(values)
        if not 1e-11 < float(np.abs(left).max()) < 0.1:
            break
        free = (values > low + 1e-12) & (values < high - 1e-12)
        if not free.any():
            break
        slopes = -_slopes(missing, values, left, steps)[:, free] * steps[free]
        moved = np.linalg.lstsq(slopes, left)[0] * steps[free]
        trial = values.copy()
        trial[free] = np.clip(values[free] + moved, low[free], high[free])
        if float(np.abs(missing(trial)).max()) > float(np.abs(left).max()):
            break
        values = trial
    return values
