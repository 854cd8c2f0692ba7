"""The parts in hand: a plan with the figures of the catalogue entries that it names filled in."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, TypeVar

from pydantic import Field

from limbwright.core.errors import InvalidCase
from limbwright.couple.catalogue import (
    AnyPart,
    Catalogue,
    Lock,
    PartKind,
    Pylon,
    TubeClamp,
    Valve,
)
from limbwright.couple.plan import CouplePlan, CouplingKind, CouplingPlan, PartChoice, PartsPlan

LOCK_OF: Mapping[CouplingKind, PartKind] = {
    CouplingKind.PIN: PartKind.PIN_LOCK,
    CouplingKind.MAGNET: PartKind.MAGNET_LOCK,
    CouplingKind.LANYARD: PartKind.LANYARD_LOCK,
    CouplingKind.SUCTION: PartKind.VALVE,
    CouplingKind.VACUUM: PartKind.VALVE,
}
"""What a kind of coupling is made with; others have no part of their own here."""

ROLES: Mapping[str, PartKind] = {
    "square_plate": PartKind.SQUARE_PLATE,
    "plate": PartKind.PYRAMID_PLATE,
    "socket_adapter": PartKind.TUBE_CLAMP,
    "pylon": PartKind.PYLON,
    "foot_adapter": PartKind.TUBE_CLAMP,
    "foot": PartKind.FOOT,
    "dummy": PartKind.DUMMY,
    "dummy_ring": PartKind.DUMMY_RING,
}
"""What each place but the coupling's takes."""

WORN = ("coupling", "square_plate", "plate", "socket_adapter", "pylon", "foot_adapter", "foot")
"""Roles whose part stays in the leg."""

_LOCK_FIGURES = (
    "body_diameter_mm",
    "target_diameter_mm",
    "capacity_n",
    "tolerance_tilt_deg",
    "tolerance_offset_mm",
    "self_seating",
)
"""Figures of a lock that a case may state itself."""
_OWN_FIGURES = ("screw_square_mm", "screw_diameter_mm", "exit_diameter_mm")
"""Properties of the part: they go before the case, which has them filled in with a default."""


class CouplingInHand(CouplingPlan):
    """A coupling's plan with its catalogue entry.

    Parameters
    ----------
    part : Lock, Valve or None
    taken : frozenset of str
        Figures that the entry gave.
    """

    part: Lock | Valve | None = None
    taken: frozenset[str] = frozenset()


class PartsInHand(PartsPlan):
    """A plan of the parts with their catalogue entries.

    Parameters
    ----------
    named : mapping of role to entry
        Every role that the plan names, the coupling too.
    taken : mapping of figure to entry
        Figures that an entry gave.
    """

    named: dict[str, AnyPart] = Field(default_factory=dict)
    taken: dict[str, AnyPart] = Field(default_factory=dict)


def in_hand(plan: CouplePlan, catalogue: Catalogue) -> CouplePlan:
    """The plan with the figures of the entries that it names.

    The result is a `CouplePlan` whose coupling is a `CouplingInHand` and whose parts are a
    `PartsInHand`; both are used wherever their plans are.

    Raises
    ------
    InvalidCase
        When a key is in no catalogue, or its part is of the wrong kind.
    """
    named = _named(plan, catalogue)
    return plan.model_copy(
        update={
            "coupling": _coupling(plan.coupling, named.get("coupling")),
            "parts": _parts(plan.parts, named),
        }
    )


def entry_of(plan: CouplingPlan | PartsPlan, figure: str) -> AnyPart | None:
    """The catalogue entry that gave a figure; None when the case states it or nothing does."""
    if isinstance(plan, CouplingInHand):
        return plan.part if figure in plan.taken else None
    return plan.taken.get(figure) if isinstance(plan, PartsInHand) else None


def named_parts(plan: CouplePlan) -> Mapping[str, AnyPart]:
    """The entries that a plan in hand names, by role; empty for one that names none."""
    return parts_named(plan.parts)


def parts_named(parts: PartsPlan) -> Mapping[str, AnyPart]:
    """`named_parts` of the parts alone."""
    return parts.named if isinstance(parts, PartsInHand) else {}


def _named(plan: CouplePlan, catalogue: Catalogue) -> dict[str, AnyPart]:
    named: dict[str, AnyPart] = {}
    problems: list[tuple[str, str]] = []
    for role, key, wanted in _wanted(plan.catalogue, plan.coupling.kind):
        path, part = f"couple.catalogue.{role}", catalogue.get(key)
        if part is None:
            problems.append((path, f"names {key!r}, which is in no catalogue of parts"))
        elif wanted is None:
            problems.append(
                (path, f"must be empty: a {plan.coupling.kind.value} has no part of its own")
            )
        elif part.kind is not wanted:
            problems.append((path, f"names {key!r}, a {part.kind.value}, not a {wanted.value}"))
        else:
            named[role] = part
    if problems:
        raise InvalidCase(problems)
    return named


def _wanted(choice: PartChoice, kind: CouplingKind) -> Iterator[tuple[str, str, PartKind | None]]:
    for role in PartChoice.model_fields:
        key = getattr(choice, role)
        if key is not None:
            yield role, key, ROLES[role] if role in ROLES else LOCK_OF.get(kind)


def _coupling(plan: CouplingPlan, part: AnyPart | None) -> CouplingInHand:
    found: dict[str, Any] = {}
    if isinstance(part, Lock):
        found = _unstated(plan, {name: getattr(part, name) for name in _LOCK_FIGURES})
        found |= _unstated(plan, {"body_height_mm": part.height_mm})
        found |= _known({name: getattr(part, name) for name in _OWN_FIGURES})
    elif isinstance(part, Valve):
        found = _unstated(plan, {"capacity_n": part.capacity_n})
        found["exit_diameter_mm"] = part.exit_diameter_mm
    own = part if isinstance(part, Lock | Valve) else None
    return _grown(CouplingInHand, plan, found, part=own, taken=frozenset(found))


def _parts(plan: PartsPlan, named: dict[str, AnyPart]) -> PartsInHand:
    found: dict[str, tuple[Any, AnyPart]] = {}
    for role in ("plate", "socket_adapter", "foot_adapter", "foot"):
        part = named.get(role)
        if part is not None and getattr(plan, f"{role}_mm") is None:
            found[f"{role}_mm"] = (part.height_mm, part)
    pylon = named.get("pylon")
    if isinstance(pylon, Pylon):
        found["pylon_outside_mm"] = (pylon.outside_mm, pylon)
        found["pylon_wall_mm"] = (pylon.wall_mm, pylon)
    shortest = _shortest_tube(named)
    if shortest is not None and plan.pylon_minimum_mm is None:
        found["pylon_minimum_mm"] = shortest
    values = {name: value for name, (value, _) in found.items()}
    taken = {name: part for name, (_, part) in found.items()}
    return _grown(PartsInHand, plan, values, named=named, taken=taken)


def _shortest_tube(named: Mapping[str, AnyPart]) -> tuple[float, AnyPart] | None:
    """Shortest tube: as the tube's entry says, else what fills both clamps."""
    pylon = named.get("pylon")
    if isinstance(pylon, Pylon) and pylon.shortest_mm is not None:
        return pylon.shortest_mm, pylon
    above, below = named.get("socket_adapter"), named.get("foot_adapter")
    if not (isinstance(above, TubeClamp) and isinstance(below, TubeClamp)):
        return None
    # an invented clamp makes the sum an invented one
    return above.insert_mm + below.insert_mm, below if below.example else above


P = TypeVar("P", CouplingInHand, PartsInHand)


def _grown(kind: type[P], plan: CouplingPlan | PartsPlan, found: dict[str, Any], **more: Any) -> P:
    stated = {name: getattr(plan, name) for name in type(plan).model_fields}
    return kind.model_validate({**stated, **found, **more})


def _unstated(plan: CouplingPlan, figures: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in _known(figures).items() if getattr(plan, name) is None}


def _known(figures: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in figures.items() if value is not None}
