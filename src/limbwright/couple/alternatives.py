"""Parts of the catalogue that would make a leg fit that is too high, ranked."""

from __future__ import annotations

from itertools import combinations, product

from limbwright.assess.plan import Person
from limbwright.core.findings import Finding, Severity
from limbwright.core.sources import Basis
from limbwright.couple.build_height import short_mm
from limbwright.couple.catalogue import AnyPart, Catalogue, Lock, PartKind
from limbwright.couple.in_hand import LOCK_OF
from limbwright.couple.plan import CouplePlan
from limbwright.couple.ratings import admits
from limbwright.couple.result import Alternative, BuildHeight, Seat, Swap
from limbwright.couple.tables import CATALOGUE_EXCHANGE, KINDS_WITH_BODY

ITEMS = {
    "coupling": "coupling body",
    "plate": "plate",
    "socket_adapter": "socket adapter",
    "foot_adapter": "foot adapter",
    "foot": "foot",
}
"""What stands at each place in the build height."""
_KINDS = {
    "plate": PartKind.PYRAMID_PLATE,
    "socket_adapter": PartKind.TUBE_CLAMP,
    "foot_adapter": PartKind.TUBE_CLAMP,
    "foot": PartKind.FOOT,
}
_MOST_SWAPS = 3
_BEST_OF_ROLE = 4
"""Of each place only the lowest parts are combined."""
_SHOWN = 3


def alternatives(
    height: BuildHeight, seat: Seat, plan: CouplePlan, person: Person, catalogue: Catalogue
) -> tuple[Alternative, ...]:
    """Exchanges of parts that make the leg fit, the fewest first, then by height to spare.

    As few parts as possible are exchanged: where one suffices, no pairs are shown. Parts whose
    entry does not admit the person are left out, and the user's own go before examples.

    Parameters
    ----------
    height : BuildHeight
        Too high; one that fits gives nothing.
    seat : Seat
        A body's height counts along its axis.
    plan : CouplePlan
    person : Person
    catalogue : Catalogue
    """
    missing_mm = short_mm(height)
    if missing_mm <= 0.0:
        return ()
    swaps = _swaps(height, seat, plan, person, catalogue)
    for count in range(1, _MOST_SWAPS + 1):
        found = [
            _together(chosen, missing_mm)
            for roles in combinations(swaps, count)
            for chosen in product(*(swaps[role] for role in roles))
            if sum(swap.saves_mm for swap in chosen) >= missing_mm
        ]
        if found:
            return tuple(sorted(found, key=_rank))
    return ()


def alternative_findings(
    found: tuple[Alternative, ...], height: BuildHeight
) -> tuple[Finding, ...]:
    """What would fit, the best first; or that nothing in the catalogue does."""
    missing_mm = short_mm(height)
    if missing_mm <= 0.0:
        return ()
    if found:
        shown = "; ".join(_words(one) for one in found[:_SHOWN])
        text = f"These would fit, {missing_mm:.1f} mm being missing: {shown}."
    else:
        text = (
            f"No exchange of up to {_MOST_SWAPS} parts of the catalogue gives the"
            f" {missing_mm:.1f} mm that are missing."
        )
    best = found[0] if found else None
    return (
        Finding(
            stage="couple",
            code="parts-that-would-fit" if found else "no-part-would-fit",
            severity=Severity.NOTE if found else Severity.WARNING,
            text=text,
            where="parts",
            value=best.spare_mm if best is not None else None,
            unit="mm",
            basis=best.basis if best is not None else Basis.GIVEN,
            source=CATALOGUE_EXCHANGE,
            remedy="" if found else "lower parts, or a suspension without a body under the limb",
            entry="" if found else "couple.coupling.kind",
        ),
    )


def _swaps(
    height: BuildHeight, seat: Seat, plan: CouplePlan, person: Person, catalogue: Catalogue
) -> dict[str, list[Swap]]:
    """For each place, the admitted parts that are lower than what stands there, lowest first."""
    standing = {item.name: item.height_mm for item in height.items}
    found: dict[str, list[Swap]] = {}
    for role, name in ITEMS.items():
        if name not in standing:
            continue
        # the body's height counts along the limb's axis, the others' are taken as they are
        share = -float(seat.axis[2]) if role == "coupling" else 1.0
        lower = [
            _swap(role, part, standing[name] - share * part.height_mm)
            for part in catalogue.of(*_kinds(role, plan))
            if admits(part, person) and share * part.height_mm < standing[name]
        ]
        if lower:
            found[role] = sorted(lower, key=lambda swap: (-swap.saves_mm, swap.key))[:_BEST_OF_ROLE]
    return found


def _kinds(role: str, plan: CouplePlan) -> tuple[PartKind, ...]:
    """Kinds of part for a place: for the coupling its own kind, and the others with a body."""
    if role != "coupling":
        return (_KINDS[role],)
    own = LOCK_OF[plan.coupling.kind]
    return (own, *(LOCK_OF[kind] for kind in sorted(KINDS_WITH_BODY) if LOCK_OF[kind] is not own))


def _swap(role: str, part: AnyPart, saves_mm: float) -> Swap:
    capacity_n = part.capacity_n if isinstance(part, Lock) else None
    return Swap(role, part.key, part.kind.value, saves_mm, capacity_n, part.mass_kg, part.basis)


def _together(swaps: tuple[Swap, ...], missing_mm: float) -> Alternative:
    masses = [swap.mass_kg for swap in swaps]
    capacities = [swap.capacity_n for swap in swaps if swap.capacity_n is not None]
    return Alternative(
        swaps,
        sum(swap.saves_mm for swap in swaps) - missing_mm,
        min(capacities) if capacities else None,
        None if None in masses else sum(mass for mass in masses if mass is not None),
        Basis.DEFAULT if any(swap.basis is Basis.DEFAULT for swap in swaps) else Basis.GIVEN,
    )


def _rank(one: Alternative) -> tuple[float | bool | str, ...]:
    """Own parts first, then height to spare, then what it holds, then how light it is."""
    capacity = one.capacity_n if one.capacity_n is not None else 0.0
    mass = one.mass_kg if one.mass_kg is not None else float("inf")
    keys = ",".join(swap.key for swap in one.swaps)
    return (one.basis is Basis.DEFAULT, -round(one.spare_mm, 6), -capacity, mass, keys)


def _words(one: Alternative) -> str:
    parts = " and ".join(
        f"{swap.role.replace('_', ' ')} {swap.key} ({swap.kind})" for swap in one.swaps
    )
    text = f"{parts}, {one.spare_mm:.1f} mm to spare"
    if one.capacity_n is not None:
        text += f", holds {one.capacity_n:.0f} N"
    if one.mass_kg is not None:
        text += f", {one.mass_kg:.2f} kg"
    return text + (", an invented example" if one.basis is Basis.DEFAULT else "")
