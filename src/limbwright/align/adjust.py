"""From a wanted place and tilt of the foot to angles, screw turns, length and what they give."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from limbwright.align.chain import (
    Leg,
    LegPose,
    Tilt,
    about_up,
    below_carried_above,
    below_carried_below,
    datum_height_mm,
    stand,
    tilt_from_direction,
    tilt_from_up,
)
from limbwright.align.plan import AdapterPlace, AdapterPlan
from limbwright.align.result import Adjustment, ScrewTurn
from limbwright.align.screws import angle_after, quarters_about, screw_to_drive, turns_between
from limbwright.align.tables import RESERVE_DEG

Adapters = Mapping[AdapterPlace, AdapterPlan]
PLANES = ("flexion", "adduction")
SCREWS = tuple(product(PLANES, AdapterPlace))
_QUARTERS = ("", "1/4", "1/2", "3/4")
"""In the order in which they are turned."""


@dataclass(frozen=True, slots=True)
class FootChange:
    """A change of the foot against the socket.

    Parameters
    ----------
    forward_mm, outward_mm : float
        Shift of the foot's adapter along the ground: forward in the line of progression.
    flexion_deg, adduction_deg : float
        Of the leg over the foot: dorsiflexion and outer border up are positive.
    """

    forward_mm: float
    outward_mm: float
    flexion_deg: float
    adduction_deg: float


def moved_leg(leg: Leg, change: FootChange) -> Leg:
    """The leg after a change of the foot by angles alone, without approximation.

    The upper adapter points the pylon at the foot's new place; the lower one gives the foot its
    new direction. Lengths stay, so that the foot comes up by what the pylon's lean takes; the
    tube is not turned, so that toe-out may change by a fraction of a degree.

    Raises
    ------
    ValueError
        When the shift is farther than the pylon reaches.
    """
    pose = stand(leg)
    foot = pose.foot_axes @ below_carried_below(
        Tilt(math.radians(change.flexion_deg), math.radians(change.adduction_deg))
    )
    direction = _towards(leg, pose, change)
    socket = tilt_from_direction(leg.plate_axes.T @ direction)
    pylon = leg.plate_axes @ below_carried_above(socket)
    up = about_up(leg.twist_rad) @ pylon.T @ foot[:, 2]
    return replace(leg, socket=socket, foot=tilt_from_up(up))


def change_between(before: Leg, after: Leg) -> FootChange:
    """How the foot of one leg differs from that of another, as `moved_leg` counts it."""
    first, second = stand(before), stand(after)
    shift = second.points_mm["foot_adapter"] - first.points_mm["foot_adapter"]
    up = tilt_from_up(first.foot_axes.T @ second.foot_axes[:, 2])
    return FootChange(
        float(shift @ first.ground_axes[:, 1]),
        float(shift @ first.ground_axes[:, 0]),
        math.degrees(up.flexion_rad),
        math.degrees(up.adduction_rad),
    )


def screw_turns(before: Leg, after: Leg, adapters: Adapters) -> tuple[ScrewTurn, ...]:
    """Turns to the quarter that lead from one leg as near as can be to another.

    Of the quarters on either side of each exact turn, those are taken that together bring foot
    place and direction nearest to what is wanted. Sagittal turns come first: the coronal plane
    is set last, since its moments answer to changes in every plane (Sci Rep 2023 13:458). A screw
    that is not to be turned is not named.
    """
    exact = [
        turns_between(_angle(before, place, plane), _angle(after, place, plane), adapters[place])
        for plane, place in SCREWS
    ]
    return min(
        (_named(quarters) for quarters in product(*(quarters_about(turns) for turns in exact))),
        key=lambda turns: _miss_mm(leg_after_turns(before, turns, adapters), after),
    )


def _named(quarters: tuple[float, ...]) -> tuple[ScrewTurn, ...]:
    return tuple(
        ScrewTurn(place.value, screw_to_drive(plane, turns), abs(turns))
        for (plane, place), turns in zip(SCREWS, quarters, strict=True)
        if turns != 0.0
    )


def _miss_mm(made: Leg, wanted: Leg) -> float:
    """How far a foot misses: its shift, and its tilt as far as it shows over the pylon's length."""
    missing = change_between(wanted, made)
    shift = math.hypot(missing.forward_mm, missing.outward_mm)
    tilt = math.radians(math.hypot(missing.flexion_deg, missing.adduction_deg))
    return math.hypot(shift, tilt * wanted.between_adapters_mm)


def leg_after_turns(leg: Leg, turns: tuple[ScrewTurn, ...], adapters: Adapters) -> Leg:
    """The leg after screws were turned."""
    tilts = {AdapterPlace.SOCKET: leg.socket, AdapterPlace.FOOT: leg.foot}
    for turn in turns:
        place = AdapterPlace(turn.adapter)
        sagittal = turn.screw in ("anterior", "posterior")
        signed = turn.turns if turn.screw in ("anterior", "lateral") else -turn.turns
        tilt = tilts[place]
        if sagittal:
            flexion = angle_after(tilt.flexion_rad, signed, adapters[place])
            tilts[place] = Tilt(flexion, tilt.adduction_rad)
        else:
            adduction = angle_after(tilt.adduction_rad, signed, adapters[place])
            tilts[place] = Tilt(tilt.flexion_rad, adduction)
    return replace(leg, socket=tilts[AdapterPlace.SOCKET], foot=tilts[AdapterPlace.FOOT])


def adjust(leg: Leg, wanted: FootChange, adapters: Adapters) -> Adjustment:
    """The screws to turn for a wanted change of the foot, and what they really give.

    Parameters
    ----------
    leg : Leg
        As set now.
    wanted : FootChange
    adapters : mapping of place to AdapterPlan
        Range, pitch and arm of each.
    """
    try:
        exact = moved_leg(leg, wanted)
    except ValueError as error:
        return _out_of_reach(str(error))
    turns = screw_turns(leg, exact, adapters)
    made = leg_after_turns(leg, turns, adapters)
    reached = change_between(leg, made)
    lacking = _lacking(leg, exact, adapters)
    return Adjustment(
        turns,
        _changes_deg(leg, exact),
        reached.forward_mm,
        reached.outward_mm,
        reached.flexion_deg,
        reached.adduction_deg,
        datum_height_mm(stand(made)) - datum_height_mm(stand(leg)),
        not lacking,
        _text(turns, lacking),
    )


def _towards(
    leg: Leg, pose: LegPose, change: FootChange
) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Unit direction of the pylon that brings the foot's adapter where it is wanted."""
    ground = pose.ground_axes
    span = pose.points_mm["foot_adapter"] - pose.points_mm["socket_adapter"]
    aside = ground[:, :2].T @ span + np.array([change.outward_mm, change.forward_mm])
    length = leg.between_adapters_mm
    left = length**2 - float(aside @ aside)
    if left <= 0.0:
        raise ValueError(
            f"The foot cannot be set {math.hypot(*aside):.0f} mm aside with adapters"
            f" {length:.0f} mm apart; use an offset adapter or a new seat."
        )
    return np.asarray(ground @ np.array([*aside, -math.sqrt(left)]) / length)


def _angle(leg: Leg, place: AdapterPlace, plane: str) -> float:
    tilt = leg.socket if place is AdapterPlace.SOCKET else leg.foot
    return tilt.flexion_rad if plane == "flexion" else tilt.adduction_rad


def _changes_deg(before: Leg, after: Leg) -> dict[str, float]:
    return {
        f"{place.value} {plane}": math.degrees(
            _angle(after, place, plane) - _angle(before, place, plane)
        )
        for place in AdapterPlace
        for plane in PLANES
    }


def _lacking(before: Leg, after: Leg, adapters: Adapters) -> list[str]:
    """What is missing at each adapter that is turned farther than its range less the reserve."""
    lacking = []
    for place in AdapterPlace:
        room = adapters[place].range_deg - RESERVE_DEG.value
        for plane in PLANES:
            angle = math.degrees(_angle(after, place, plane))
            farther = abs(angle) > abs(math.degrees(_angle(before, place, plane))) + 1e-9
            if farther and abs(angle) > room + 1e-9:
                lacking.append(
                    f"{place.value} {plane} would stand at {angle:.1f} degrees,"
                    f" {abs(angle) - room:.1f} beyond the {room:.1f} that leave a reserve"
                )
    return lacking


def _text(turns: tuple[ScrewTurn, ...], lacking: list[str]) -> str:
    if lacking:
        return (
            "Not within the adapters' range: " + "; ".join(lacking) + ". Use an offset adapter,"
            " shift the seat, or tilt it."
        )
    if not turns:
        return "Nothing to turn: no quarter turn brings the foot nearer."
    steps = "; ".join(
        f"{turn.adapter} adapter, {turn.screw} screw in by {_turns(turn.turns)}" for turn in turns
    )
    return f"Back out the opposite screw first each time: {steps}."


def _turns(turns: float) -> str:
    whole, quarters = divmod(round(4 * turns), 4)
    words = " ".join(part for part in (str(whole or ""), _QUARTERS[quarters]) if part)
    return f"{words} turn{'s' if turns > 1 else ''}"


def _out_of_reach(text: str) -> Adjustment:
    return Adjustment((), {}, 0.0, 0.0, 0.0, 0.0, 0.0, False, text)
