"""From a wanted place and tilt of the foot to the least adjustment, and what it really gives."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations, product

import numpy as np

from limbwright.align.adapters import Adapters
from limbwright.align.chain import Leg, stand
from limbwright.align.freedoms import (
    SAGITTAL,
    Freedom,
    freedoms_of,
    value_of,
    with_values,
)
from limbwright.align.moves import FootChange, change_between, length_change_mm
from limbwright.align.plan import AdapterPlace
from limbwright.align.remedies import Remedy, remedy_of, settable
from limbwright.align.result import Adjustment, AdjustmentStep, ScrewTurn
from limbwright.align.screws import opposite_screw, screw_to_drive
from limbwright.align.solve import Solution, as_vector, bounds, exact, least_change
from limbwright.align.tables import TURN_STEP

_QUARTERS = ("", "1/4", "1/2", "3/4")
_NEARLY_WHOLE = 0.02
"""Of a least move: nearer than that to a whole number, it is that number."""
_MOST_TRIED = 8
"""Freedoms whose roundings are tried in all combinations."""
_WAYS = {
    "forward": ("forward", "back"),
    "outward": ("outward", "inward"),
    "turn": ("toes outward", "toes inward"),
    "length": ("out of its clamp", "into its clamp"),
}


def adjust(leg: Leg, wanted: FootChange, adapters: Adapters) -> Adjustment:
    """What to turn and slide for a wanted change of the foot, and what that really gives.

    As few adapters as can be are touched, and of those ways the one that moves least. Length and
    turn of the leg are set only where height and toe-out are wanted.

    Parameters
    ----------
    leg : Leg
        As set now.
    wanted : FootChange
    adapters : tuple of Adapter
        Those of the leg.
    """
    freedoms = freedoms_of(adapters)
    if wanted.is_none:
        return replace(_made(leg, leg, leg, freedoms), text="No change is wanted.")
    usable = usable_for(wanted, freedoms)
    within = fewest_adapters(leg, wanted, usable)
    if within is not None:
        chosen, solution = within
        return _made(leg, solution.leg, rounded(leg, solution.leg, chosen), freedoms)
    nearest = _nearest(leg, wanted, usable)
    remedy = remedy_of(leg, wanted, usable, nearest)
    return _made(leg, nearest.leg, rounded(leg, nearest.leg, freedoms), freedoms, remedy)


def usable_for(wanted: FootChange, freedoms: Sequence[Freedom]) -> tuple[Freedom, ...]:
    """What may be moved: no length where no height is wanted, no turn where no toe-out is."""
    kept = set()
    if wanted.up_mm is None:
        kept.add("length")
    if wanted.toe_out_deg is None:
        kept.add("turn")
    return tuple(one for one in freedoms if one.what not in kept)


def moved_leg(leg: Leg, wanted: FootChange, adapters: Adapters) -> Leg:
    """The leg after a change of the foot by its adapters, whatever the range of their angles.

    Raises
    ------
    ValueError
        When the foot cannot be set there.
    """
    solution = exact(leg, wanted, freedoms_of(adapters))
    if not solution.met:
        raise ValueError("The adapters cannot set the foot there at any angle.")
    return solution.leg


def fewest_adapters(
    leg: Leg, wanted: FootChange, freedoms: Sequence[Freedom]
) -> tuple[tuple[Freedom, ...], Solution] | None:
    """The way that touches the fewest adapters and, of those, moves least; None if none does."""
    low, high = bounds(leg, freedoms)
    if not least_change(leg, wanted, freedoms, low, high).met:
        return None
    for ways in _by_count(freedoms):
        met = []
        for chosen in ways:
            low, high = bounds(leg, chosen)
            solution = least_change(leg, wanted, chosen, low, high)
            if solution.met:
                met.append((solution.cost, chosen, solution))
        if met:
            _, chosen, solution = min(met, key=lambda one: one[0])
            return chosen, solution
    return None


def _nearest(leg: Leg, wanted: FootChange, freedoms: Sequence[Freedom]) -> Solution:
    """As near as the ranges let it; height and toe-out that nothing here sets are left out."""
    possible = settable(wanted, freedoms)
    if possible != wanted and not possible.is_none:
        within = fewest_adapters(leg, possible, freedoms)
        if within is not None:
            return within[1]
    low, high = bounds(leg, freedoms)
    return least_change(leg, possible, freedoms, low, high)


def _by_count(freedoms: Sequence[Freedom]) -> Iterator[list[tuple[Freedom, ...]]]:
    """Choices of adapters, those of one adapter first, then of two, and so on."""
    names = list(dict.fromkeys(one.adapter.name for one in freedoms))
    for count in range(1, len(names) + 1):
        yield [
            tuple(one for one in freedoms if one.adapter.name in chosen)
            for chosen in combinations(names, count)
        ]


def rounded(before: Leg, wanted: Leg, freedoms: Sequence[Freedom]) -> Leg:
    """The leg after whole least moves that come nearest to a wanted one.

    Of the least moves on either side of each exact one, those are taken that together bring foot
    place and direction nearest to what is wanted.
    """
    moving = [one for one in freedoms if abs(value_of(wanted, one) - value_of(before, one)) > 1e-9]
    exactly = [one.steps_between(value_of(before, one), value_of(wanted, one)) for one in moving]
    choices = [_about(steps) for steps in exactly]
    if len(moving) > _MOST_TRIED:
        choices = [(float(round(steps)),) for steps in exactly]
    made = (after_steps(before, moving, steps) for steps in product(*choices))
    return min(made, key=lambda leg: _miss_mm(leg, wanted))


def after_steps(leg: Leg, freedoms: Sequence[Freedom], steps: Sequence[float]) -> Leg:
    """The leg after a number of least moves of each freedom."""
    values = [
        one.after_steps(value_of(leg, one), count)
        for one, count in zip(freedoms, steps, strict=True)
    ]
    return with_values(leg, freedoms, values)


def leg_after_turns(leg: Leg, turns: Sequence[ScrewTurn], adapters: Adapters) -> Leg:
    """The leg after screws were turned."""
    for turn in turns:
        freedom, signed = _found(turn, adapters)
        leg = after_steps(leg, [freedom], [signed / TURN_STEP.value])
    return leg


def _found(turn: ScrewTurn, adapters: Adapters) -> tuple[Freedom, float]:
    """Which freedom a screw drives, and by how many turns, with their sign."""
    for freedom in freedoms_of(tuple(one for one in adapters if one.name == turn.adapter)):
        for sign in (1.0, -1.0):
            if turn.screw == screw_to_drive(freedom.what, sign, _azimuth_deg(freedom)):
                return freedom, sign * turn.turns
    raise ValueError(f"no {turn.screw} screw at the {turn.adapter} adapter")


def _about(steps: float) -> tuple[float, ...]:
    """The whole numbers on either side of a number; one, when it is whole."""
    near = round(steps)
    if abs(steps - near) < 1e-6:
        return (near + 0.0,)
    return math.floor(steps) + 0.0, math.ceil(steps) + 0.0


def _miss_mm(made: Leg, wanted: Leg) -> float:
    """How far a foot misses: its shift, and its tilt as far as it shows over a tube's length."""
    whole = FootChange(up_mm=0.0, toe_out_deg=0.0)
    return float(np.linalg.norm(as_vector(change_between(wanted, made), whole)))


def _made(
    leg: Leg,
    wanted_leg: Leg,
    made: Leg,
    freedoms: Sequence[Freedom],
    remedy: Remedy | None = None,
) -> Adjustment:
    """The adjustment in words and figures."""
    reached = change_between(leg, made)
    steps = adjustment_steps(leg, made, freedoms)
    words = steps_text(steps)
    return Adjustment(
        turns=tuple(
            ScrewTurn(step.adapter, step.screw, step.amount) for step in steps if step.screw
        ),
        angles_deg={
            f"{one.adapter.name} {one.what}": math.degrees(_change(leg, wanted_leg, one))
            for one in freedoms
            if one.is_angle
        },
        reached_forward_mm=reached.forward_mm,
        reached_outward_mm=reached.outward_mm,
        reached_foot_flexion_deg=reached.flexion_deg,
        reached_foot_adduction_deg=reached.adduction_deg,
        length_change_mm=length_change_mm(stand(leg), stand(made)),
        feasible=remedy is None,
        text=words if remedy is None else remedy.text,
        steps=steps,
        shifts_mm={
            f"{one.adapter.name} {one.what}": _change(leg, wanted_leg, one)
            for one in freedoms
            if not one.is_angle
        },
        reached_up_mm=reached.up_mm or 0.0,
        reached_toe_out_deg=reached.toe_out_deg or 0.0,
        missing_forward_mm=remedy.forward_mm if remedy is not None else 0.0,
        missing_outward_mm=remedy.outward_mm if remedy is not None else 0.0,
        missing_up_mm=remedy.up_mm if remedy is not None else 0.0,
        missing_toe_out_deg=remedy.toe_out_deg if remedy is not None else 0.0,
        seat_forward_mm=remedy.seat_forward_mm if remedy is not None else 0.0,
        seat_outward_mm=remedy.seat_outward_mm if remedy is not None else 0.0,
        nearest_text=words if remedy is not None else "",
    )


def adjustment_steps(
    before: Leg, after: Leg, freedoms: Sequence[Freedom]
) -> tuple[AdjustmentStep, ...]:
    """What to do, in order: turns and lengths, then the sagittal plane, the coronal one last.

    Coronal moments answer to changes in every plane (Sci Rep 2023 13:458). What is not to be
    moved is not named.
    """
    ordered = sorted(
        freedoms,
        key=lambda one: SAGITTAL.index(one.what) if one.what in SAGITTAL else len(SAGITTAL),
    )
    moved = [one for one in ordered if abs(_change(before, after, one)) > 1e-9]
    return tuple(_step(number, before, after, one) for number, one in enumerate(moved, start=1))


def _step(number: int, before: Leg, after: Leg, freedom: Freedom) -> AdjustmentStep:
    first, last = value_of(before, freedom), value_of(after, freedom)
    start, end = (math.degrees(one) if freedom.is_angle else one for one in (first, last))
    change = end - start
    unit = "deg" if freedom.is_angle else "mm"
    undo, do, screw, amount, by = "", "", "", abs(change), unit
    if freedom.is_screwed:
        turns = _whole(freedom.steps_between(first, last)) * TURN_STEP.value
        screw = screw_to_drive(freedom.what, turns, _azimuth_deg(freedom))
        amount, by = abs(turns), "turns"
        undo = f"{opposite_screw(screw)} screw out by {turns_text(amount)}"
        do = f"{screw} screw in by {turns_text(amount)}"
    else:
        undo = "loosen its screws, having marked where it stands"
        part = "tube" if freedom.what == "length" else "part below"
        way = _WAYS[freedom.what][0 if change > 0.0 else 1]
        do = f"the {part} {amount:.1f} {'degrees' if freedom.is_angle else 'mm'} {way}"
    one = freedom.adapter
    return AdjustmentStep(
        number=number,
        adapter=one.name,
        kind=one.kind.value,
        what=freedom.what,
        undo=undo,
        do=do,
        screw=screw,
        amount=amount,
        unit=by,
        change=change,
        change_unit=unit,
        start=start,
        end=end,
    )


def _whole(steps: float) -> float:
    """Least moves as they are counted; an angle set by hand need not be a whole number of them."""
    near = round(steps)
    return float(near) if abs(steps - near) < _NEARLY_WHOLE else steps


def steps_text(steps: Sequence[AdjustmentStep]) -> str:
    """All steps in one sentence."""
    if not steps:
        return "Nothing to turn: no quarter turn brings the foot nearer."
    told = "; ".join(f"{adapter_name(step.adapter)}, {step.do}" for step in steps)
    if any(step.screw for step in steps):
        return f"Back out the opposite screw first each time: {told}."
    return f"{told[0].upper()}{told[1:]}."


def adapter_name(name: str) -> str:
    """What an adapter is called in a sentence."""
    return f"{name} adapter" if name in {place.value for place in AdapterPlace} else name


def turns_text(turns: float) -> str:
    """Turns in quarters: "1 1/4 turns"; in hundredths where they are none: "0.31 turns"."""
    if abs(4 * turns - round(4 * turns)) > 1e-6:
        return f"{turns:.2f} turns"
    whole, quarters = divmod(round(4 * turns), 4)
    words = " ".join(part for part in (str(whole or ""), _QUARTERS[quarters]) if part)
    return f"{words} turn{'s' if turns > 1 else ''}"


def _change(before: Leg, after: Leg, freedom: Freedom) -> float:
    return value_of(after, freedom) - value_of(before, freedom)


def _azimuth_deg(freedom: Freedom) -> float:
    return math.degrees(freedom.adapter.azimuth_rad)
