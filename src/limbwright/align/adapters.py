"""The adapters of a leg as they are in hand: defaults filled in, in their order, and named."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from limbwright.align.chain import Joint, Slot
from limbwright.align.plan import AdapterKind, AdapterPlace, AdapterPlan
from limbwright.align.tables import (
    ADDED_HEIGHT_MM,
    CLAMP_RANGE_MM,
    OFFSET_RANGE_MM,
    PYRAMID_RANGE_DEG,
    ROTATION_RANGE_DEG,
    SCREW_ARM_MM,
    SCREW_PITCH_MM,
    SLIDE_RANGE_MM,
    TUBE_TURN_DEG,
)
from limbwright.core.errors import InvalidCase
from limbwright.core.sources import Basis
from limbwright.core.wording import words
from limbwright.couple.catalogue import Foot, PyramidPlate, TubeClamp
from limbwright.couple.in_hand import PartsInHand
from limbwright.couple.plan import PartsPlan


@dataclass(frozen=True, slots=True)
class Adapter:
    """One adapter, with every figure that it needs.

    Parameters
    ----------
    name : str
        "socket" and "foot" for the main pyramids, else its place and kind.
    kind : AdapterKind
    place : AdapterPlace
    slot : Slot or None
        None for a main pyramid.
    plan : AdapterPlan
        What was stated of it.
    azimuth_rad, height_mm : float
    range_deg, range_mm : float
        To each side of its middle; 0 where it does not move that way.
    range_basis : Basis
    screw_pitch_mm, screw_arm_mm : float
    screw_basis : Basis
        GIVEN when pitch and arm were stated both.
    height_basis : Basis
    """

    name: str
    kind: AdapterKind
    place: AdapterPlace
    slot: Slot | None
    plan: AdapterPlan
    azimuth_rad: float
    height_mm: float
    range_deg: float
    range_mm: float
    range_basis: Basis
    screw_pitch_mm: float
    screw_arm_mm: float
    screw_basis: Basis
    height_basis: Basis


Adapters = tuple[Adapter, ...]

_RANGE_DEG = {
    AdapterKind.PYRAMID: PYRAMID_RANGE_DEG,
    AdapterKind.TUBE_CLAMP: TUBE_TURN_DEG,
    AdapterKind.ROTATION: ROTATION_RANGE_DEG,
}
_RANGE_MM = {
    AdapterKind.TUBE_CLAMP: CLAMP_RANGE_MM,
    AdapterKind.SLIDE: SLIDE_RANGE_MM,
    AdapterKind.OFFSET: OFFSET_RANGE_MM,
}
_SETTINGS = {
    AdapterKind.PYRAMID: {"flexion_deg", "adduction_deg", "screw_pitch_mm", "screw_arm_mm"},
    AdapterKind.TUBE_CLAMP: {"turn_deg", "length_mm"},
    AdapterKind.SLIDE: {"forward_mm", "outward_mm"},
    AdapterKind.ROTATION: {"turn_deg"},
    AdapterKind.OFFSET: {"offset_mm", "forward_mm"},
}
_NAMED = {
    AdapterPlace.SOCKET: ("plate", "socket_adapter"),
    AdapterPlace.FOOT: ("foot", "foot_adapter"),
}
"""Catalogue roles of a main pyramid and of the clamp over it."""
_ALL_SETTINGS = frozenset(name for names in _SETTINGS.values() for name in names)


def adapters_of(plans: Sequence[AdapterPlan], parts: PartsPlan | None = None) -> Adapters:
    """The chain's adapters from the socket down; each end has a main pyramid.

    Parameters
    ----------
    plans : sequence of AdapterPlan
    parts : PartsPlan, optional
        With entries of the catalogue: a main pyramid takes the screws of the clamp over it, and
        the lesser range of both parts, where the case states none.

    Raises
    ------
    InvalidCase
        When an adapter is given a setting that its kind does not have, or those at the socket do
        not come before those at the foot.
    """
    _check(plans)
    plans = with_main_pyramids(plans)
    upper = _first_pyramid(plans, AdapterPlace.SOCKET)
    lower = _last_pyramid(plans, AdapterPlace.FOOT)
    names = _names(plans, {upper, lower})
    main = {upper: _NAMED[AdapterPlace.SOCKET], lower: _NAMED[AdapterPlace.FOOT]}
    return tuple(
        _adapter(
            _with_part(plan, parts, main[number]) if number in main else plan,
            name,
            _slot(number, upper, lower, plan.place),
        )
        for number, (plan, name) in enumerate(zip(plans, names, strict=True))
    )


def with_main_pyramids(plans: Sequence[AdapterPlan]) -> tuple[AdapterPlan, ...]:
    """What is listed, and a default main pyramid at an end that lists none."""
    return (*_with_main(plans, AdapterPlace.SOCKET), *_with_main(plans, AdapterPlace.FOOT))


def main_pyramid(adapters: Adapters, place: AdapterPlace) -> Adapter:
    """The main pyramid at one end of the tube."""
    return next(one for one in adapters if one.slot is None and one.place is place)


def joint_of(adapter: Adapter, *, neutral: bool = False) -> Joint:
    """An added adapter as a joint of the chain, as it is set or as it left the bench."""
    plan = adapter.plan
    if adapter.slot is None:
        raise ValueError("a main pyramid is no added joint")
    first, second = {
        AdapterKind.PYRAMID: (math.radians(plan.flexion_deg), math.radians(plan.adduction_deg)),
        AdapterKind.TUBE_CLAMP: (math.radians(plan.turn_deg), plan.length_mm),
        AdapterKind.SLIDE: (plan.forward_mm, plan.outward_mm),
        AdapterKind.ROTATION: (math.radians(plan.turn_deg), 0.0),
        AdapterKind.OFFSET: (plan.forward_mm, 0.0),
    }[adapter.kind]
    if neutral:
        first, second = 0.0, 0.0
    first += plan.offset_mm
    return Joint(
        adapter.name,
        adapter.kind,
        adapter.slot,
        adapter.azimuth_rad,
        adapter.height_mm,
        first,
        second,
    )


def kind_word(kind: AdapterKind) -> str:
    """A kind of adapter in words."""
    return words(kind.value)


def _with_part(plan: AdapterPlan, parts: PartsPlan | None, roles: tuple[str, str]) -> AdapterPlan:
    """What the catalogue says of a pyramid and its clamp, where the case says nothing.

    Entries that are only examples say nothing of a part in hand.
    """
    named = parts.named if isinstance(parts, PartsInHand) else {}
    entries = [named[role] for role in roles if role in named and not named[role].example]
    ranges = [
        one.range_deg
        for one in entries
        if isinstance(one, PyramidPlate | TubeClamp | Foot) and one.range_deg is not None
    ]
    found = {"range_deg": min(ranges)} if ranges else {}
    for one in entries:
        if isinstance(one, TubeClamp):
            found |= {
                name: value
                for name in ("screw_pitch_mm", "screw_arm_mm")
                if (value := getattr(one, name)) is not None
            }
    unstated = {name: value for name, value in found.items() if getattr(plan, name) is None}
    return plan.model_copy(update=unstated)


def _check(plans: Sequence[AdapterPlan]) -> None:
    problems = []
    for number, plan in enumerate(plans):
        # a saved case states every default, so that only another value is known to be meant
        fields = AdapterPlan.model_fields
        for name in sorted(_ALL_SETTINGS - _SETTINGS[plan.kind]):
            if getattr(plan, name) != fields[name].default:
                problems.append(
                    (
                        f"align.adapters.{number}.{name}",
                        f"does not belong to a {kind_word(plan.kind)}; take it out",
                    )
                )
        if plan.kind is AdapterKind.OFFSET and plan.offset_mm == 0.0:
            problems.append(
                (f"align.adapters.{number}.offset_mm", "state the step of the offset adapter")
            )
    if problems:
        raise InvalidCase(problems)


def _with_main(plans: Sequence[AdapterPlan], place: AdapterPlace) -> tuple[AdapterPlan, ...]:
    """The adapters of one end, with a default pyramid next to the socket or foot if none is."""
    there = tuple(plan for plan in plans if plan.place is place)
    if any(plan.kind is AdapterKind.PYRAMID for plan in there):
        return there
    main = AdapterPlan(place=place)
    return (main, *there) if place is AdapterPlace.SOCKET else (*there, main)


def _first_pyramid(plans: Sequence[AdapterPlan], place: AdapterPlace) -> int:
    return next(
        number
        for number, plan in enumerate(plans)
        if plan.place is place and plan.kind is AdapterKind.PYRAMID
    )


def _last_pyramid(plans: Sequence[AdapterPlan], place: AdapterPlace) -> int:
    return max(
        number
        for number, plan in enumerate(plans)
        if plan.place is place and plan.kind is AdapterKind.PYRAMID
    )


def _slot(number: int, upper: int, lower: int, place: AdapterPlace) -> Slot | None:
    if number in (upper, lower):
        return None
    if place is AdapterPlace.SOCKET:
        return Slot.UNDER_PLATE if number < upper else Slot.OVER_TUBE
    return Slot.UNDER_TUBE if number < lower else Slot.OVER_FOOT


def _names(plans: Sequence[AdapterPlan], main: set[int]) -> list[str]:
    """Names by which a practitioner finds each; counted where two would be the same."""
    plain = [
        plan.place.value if number in main else f"{plan.place.value} {kind_word(plan.kind)}"
        for number, plan in enumerate(plans)
    ]
    many, seen = Counter(plain), Counter[str]()
    names = []
    for name in plain:
        seen[name] += 1
        names.append(f"{name} {seen[name]}" if many[name] > 1 else name)
    return names


def _adapter(plan: AdapterPlan, name: str, slot: Slot | None) -> Adapter:
    moves_deg, moves_mm = _RANGE_DEG.get(plan.kind), _RANGE_MM.get(plan.kind)
    wanted = [
        stated
        for table, stated in ((moves_deg, plan.range_deg), (moves_mm, plan.range_mm))
        if table is not None
    ]
    # A tube turns as far as one likes: that is no figure of the part in hand.
    if plan.kind is AdapterKind.TUBE_CLAMP:
        wanted = [plan.range_mm]
    height_mm = plan.height_mm
    if height_mm is None:
        height_mm = 0.0 if slot is None else ADDED_HEIGHT_MM.value[plan.kind.value]
    screws = (plan.screw_pitch_mm, plan.screw_arm_mm)
    return Adapter(
        name=name,
        kind=plan.kind,
        place=plan.place,
        slot=slot,
        plan=plan,
        azimuth_rad=math.radians(plan.azimuth_deg),
        height_mm=height_mm,
        range_deg=_or(plan.range_deg, moves_deg.value) if moves_deg is not None else 0.0,
        range_mm=_or(plan.range_mm, moves_mm.value) if moves_mm is not None else 0.0,
        range_basis=Basis.DEFAULT if None in wanted else Basis.GIVEN,
        screw_pitch_mm=_or(plan.screw_pitch_mm, SCREW_PITCH_MM.value),
        screw_arm_mm=_or(plan.screw_arm_mm, SCREW_ARM_MM.value),
        screw_basis=Basis.DEFAULT if None in screws else Basis.GIVEN,
        height_basis=Basis.DEFAULT if plan.height_mm is None and slot is not None else Basis.GIVEN,
    )


def _or(given: float | None, default: float) -> float:
    return given if given is not None else default
