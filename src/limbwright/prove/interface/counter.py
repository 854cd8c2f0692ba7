"""Which change of a load area's depth would balance the donned limb."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import lsq_linear

from limbwright.core.errors import NotConverged
from limbwright.core.sources import Basis
from limbwright.core.wording import words
from limbwright.prove.interface.reading import ZoneMap
from limbwright.prove.interface.setting import Setting, attempt_in
from limbwright.prove.interface.sockets import with_depth_changes
from limbwright.prove.pressure_result import BalanceAnswer, DepthMove
from limbwright.prove.result import Pose
from limbwright.prove.tables import UNBALANCED_SHIFT_MM, UNBALANCED_TURN_DEG
from limbwright.shape.result import PlacedArea
from limbwright.shape.tables import AREA_TEMPLATES

STEP_MM = 0.5
"""Of the finite differences: several times less than what is worth changing at the bench."""
_ROUNDS = 3
_PRICE_PER_MM = 0.2
"""What a millimetre of change must gain, in multiples of the thresholds: no deep cut for little."""
_MOST_AREAS = 3
_WORTH = 0.8
"""Another area is changed only if a fifth of what is left goes with it."""

Measure = NDArray[np.float64]
"""(5,) shift across the limb and turn about o, f, u, each in multiples of its threshold."""


@dataclass(frozen=True, slots=True, eq=False)
class _Donned:
    measure: Measure
    shift_mm: float
    turn_deg: float

    @property
    def balanced(self) -> bool:
        return (
            self.shift_mm < UNBALANCED_SHIFT_MM.value and self.turn_deg < UNBALANCED_TURN_DEG.value
        )


@dataclass(frozen=True, slots=True, eq=False)
class _Moved:
    """Changes of depth by area, mm, and the donned limb after them."""

    change_mm: dict[str, float]
    after: _Donned

    @property
    def score(self) -> float:
        """What is left, and what it cost."""
        price = sum((_PRICE_PER_MM * change) ** 2 for change in self.change_mm.values())
        return float(self.after.measure @ self.after.measure + price)


def balance_answer(setting: Setting, zones: ZoneMap, pose: Pose) -> BalanceAnswer | None:
    """The smallest change of depths that keeps the donned limb where the socket was designed.

    Each load area's depth is changed by a little, the socket donned anew, and the changes that
    undo shift and turn are found by least squares, no deeper than is usual; what comes out is
    computed, not extrapolated. One area is tried before two, two before three.

    Parameters
    ----------
    setting : Setting
    zones : ZoneMap
    pose : Pose
        Of the donned limb.

    Returns
    -------
    BalanceAnswer or None
        None when the limb is balanced as it is, or no load area is there to change.
    """
    areas = tuple(area for area in setting.shape.areas if area.loads and area.area_cm2 > 0)
    now = _measured(zones, pose)
    if now.balanced or not areas:
        return None
    response = _response(setting, zones, areas, now)
    best = _Moved({}, now)
    for count in range(1, min(_MOST_AREAS, len(areas)) + 1):
        chosen = _most_promising(areas, response, now, count)
        moved = _solved(setting, zones, _picked(areas, chosen), response[:, chosen], now)
        if moved.score > _WORTH * best.score:
            continue
        best = moved
        if best.after.balanced:
            break
    return _answer(areas, best, setting.figures)


def _most_promising(
    areas: tuple[PlacedArea, ...], response: NDArray[np.float64], now: _Donned, count: int
) -> tuple[int, ...]:
    """Which areas would balance it best together if the response were linear."""

    def left(chosen: tuple[int, ...]) -> float:
        start = np.zeros(count)
        change = _least_squares(_picked(areas, chosen), response[:, chosen], start, now.measure)
        after = now.measure + response[:, chosen] @ change
        return float(after @ after + (_PRICE_PER_MM * change) @ (_PRICE_PER_MM * change))

    return min(combinations(range(len(areas)), count), key=left)


def _picked(areas: tuple[PlacedArea, ...], numbers: tuple[int, ...]) -> tuple[PlacedArea, ...]:
    return tuple(areas[number] for number in numbers)


def _measured(zones: ZoneMap, pose: Pose) -> _Donned:
    """Shift at the socket's middle and turn, against the thresholds of reading."""
    weight = zones.skin.areas_mm2 * zones.covered
    middle = weight @ zones.skin.points_mm / weight.sum()
    shift = (pose.shift_mm + np.cross(pose.turn_rad, middle))[:2]
    turn = np.degrees(pose.turn_rad)
    measure = np.concatenate([shift / UNBALANCED_SHIFT_MM.value, turn / UNBALANCED_TURN_DEG.value])
    return _Donned(measure, float(np.linalg.norm(shift)), float(np.linalg.norm(turn)))


def _donned(setting: Setting, zones: ZoneMap, change_mm: dict[str, float]) -> _Donned | None:
    shape = with_depth_changes(setting.shape, setting.normals, change_mm)
    try:
        attempt, _ = attempt_in(setting, shape, ())
    except NotConverged:
        return None
    return _measured(zones, attempt.result.cases[0].pose)


def _response(
    setting: Setting, zones: ZoneMap, areas: tuple[PlacedArea, ...], now: _Donned
) -> NDArray[np.float64]:
    """Change of the measure per millimetre of depth, (5, areas); 0 where nothing holds then."""
    columns = []
    for area in areas:
        other = _donned(setting, zones, {area.name.value: -STEP_MM})
        change = np.zeros(5) if other is None else (other.measure - now.measure) / -STEP_MM
        columns.append(change)
    return np.stack(columns, axis=1)


def _bounds(area: PlacedArea) -> tuple[float, float]:
    """Least and greatest change: deeper to what is usual at most, shallower to nothing."""
    deepest = AREA_TEMPLATES[area.name].usual_mm.value[0]
    return min(deepest, area.depth_mm) - area.depth_mm, -area.depth_mm


def _solved(
    setting: Setting,
    zones: ZoneMap,
    areas: tuple[PlacedArea, ...],
    response: NDArray[np.float64],
    now: _Donned,
) -> _Moved:
    """The best change of these areas, each guess corrected by what it really does."""
    best = _Moved({}, now)
    change, here = np.zeros(len(areas)), now
    for _ in range(_ROUNDS):
        change = np.round(_least_squares(areas, response, change, here.measure), 1)
        named = {area.name.value: float(mm) for area, mm in zip(areas, change, strict=True) if mm}
        found = _donned(setting, zones, named) if named else None
        if found is None:
            return best
        best = min(best, _Moved(named, found), key=lambda moved: moved.score)
        if found.balanced:
            return best
        here = found
    return best


def _least_squares(
    areas: tuple[PlacedArea, ...],
    response: NDArray[np.float64],
    change: NDArray[np.float64],
    measure: Measure,
) -> NDArray[np.float64]:
    """Changes within bounds that undo what is measured at a change, each at its price."""
    low, high = np.array([_bounds(area) for area in areas]).T
    rows = np.vstack([response, _PRICE_PER_MM * np.eye(len(areas))])
    aim = np.concatenate([response @ change - measure, np.zeros(len(areas))])
    return np.asarray(lsq_linear(rows, aim, (low, high)).x)


def _answer(areas: tuple[PlacedArea, ...], moved: _Moved, figures: Basis) -> BalanceAnswer:
    depth = {area.name.value: area.depth_mm for area in areas}
    after = moved.after
    moves = tuple(DepthMove(name, depth[name], change) for name, change in moved.change_mm.items())
    left = f"{after.shift_mm:.1f} mm and {after.turn_deg:.1f} degrees"
    said = " and ".join(_said(move) for move in moves)
    if after.balanced:
        text = f"{said} would leave {left}"
    elif moves:
        text = (
            f"no change of up to {_MOST_AREAS} load areas within usual depths balances it; {said} "
            f"would leave {left}"
        )
    else:
        text = "no change of a load area within usual depths lessens it by much"
    return BalanceAnswer(moves, after.balanced, after.shift_mm, after.turn_deg, figures, text)


def _said(move: DepthMove) -> str:
    name = words(move.area)
    way = "deeper" if move.change_mm < 0 else "shallower"
    return f"the {name} {abs(move.change_mm):.1f} mm {way}"
