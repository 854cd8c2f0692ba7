"""From the datum to the floor: what stands between, and the tube that makes the sum exact."""

from __future__ import annotations

from dataclasses import dataclass

from limbwright.assess.plan import Person
from limbwright.core.errors import DoesNotFit
from limbwright.core.findings import Finding, Severity
from limbwright.core.mesh import Vector
from limbwright.core.sources import STATED_IN_CASE, Basis, Source
from limbwright.couple.figures import basis_of, coupling_figures
from limbwright.couple.in_hand import entry_of
from limbwright.couple.plan import CouplePlan, CouplingPlan, PartsPlan
from limbwright.couple.result import COUPLING_BODY, BuildHeight, HeightItem, Seat
from limbwright.couple.tables import (
    COUPLINGS,
    DATUM_FROM_STATURE,
    FOOT,
    KINDS_WITH_BODY,
    PLATE,
    PYLON_MINIMUM_MM,
    TUBE_CLAMP,
    TUBE_INSERT_LOW_MM,
    PartHeight,
)


@dataclass(frozen=True, slots=True)
class PartHeights:
    """Heights of the parts in hand, defaults filled in.

    Parameters
    ----------
    plate_mm : float
        Underside of the socket's floor to the ball centre of its pyramid.
    socket_adapter_mm, foot_adapter_mm : float
        Ball centre to the stop of the tube.
    foot_mm : float
        Ball centre of the foot's pyramid to the sole.
    shoe_heel_mm : float
    pylon_minimum_mm : float
    slack_mm : float
        How much lower the defaulted ones may be, the shortest tube included, and those of the
        catalogue by their stated tolerance.
    basis : Basis
        DEFAULT when any height is a default, else GIVEN.
    remembered_mm : float
        Sum of the heights that are defaults, the shortest tube included.
    """

    plate_mm: float
    socket_adapter_mm: float
    foot_adapter_mm: float
    foot_mm: float
    shoe_heel_mm: float
    pylon_minimum_mm: float
    slack_mm: float
    basis: Basis
    remembered_mm: float = 0.0


_TABLES = {
    "plate_mm": PLATE,
    "socket_adapter_mm": TUBE_CLAMP,
    "foot_adapter_mm": TUBE_CLAMP,
    "foot_mm": FOOT,
}


def part_heights(parts: PartsPlan) -> PartHeights:
    """Heights of the parts below the socket: stated or of the catalogue, else marked defaults."""
    heights = {name: _or_default(getattr(parts, name), table) for name, table in _TABLES.items()}
    lows = {name: table.low_mm for name, table in _TABLES.items()}
    minimum = parts.pylon_minimum_mm
    heights["pylon_minimum_mm"] = minimum if minimum is not None else PYLON_MINIMUM_MM.value
    lows["pylon_minimum_mm"] = 2.0 * TUBE_INSERT_LOW_MM
    defaulted = [name for name in heights if basis_of(parts, name) is Basis.DEFAULT]
    return PartHeights(
        **heights,
        shoe_heel_mm=parts.shoe_heel_mm,
        slack_mm=sum(_gives_mm(parts, name, mm, lows[name]) for name, mm in heights.items()),
        basis=Basis.DEFAULT if set(defaulted) & set(_TABLES) else Basis.GIVEN,
        remembered_mm=sum(heights[name] for name in defaulted),
    )


def _gives_mm(plan: PartsPlan | CouplingPlan, name: str, height_mm: float, low_mm: float) -> float:
    """By how much one height may be less than it is taken for."""
    if basis_of(plan, name) is Basis.DEFAULT:
        return max(height_mm - low_mm, 0.0)
    entry = entry_of(plan, name)
    return entry.height_tolerance_mm if entry is not None and name != "pylon_minimum_mm" else 0.0


def datum_floor(parts: PartsPlan, person: Person) -> tuple[float, Basis]:
    """Height of the datum over the floor in the shoe: measured, else estimated from stature."""
    if parts.datum_floor_mm is not None:
        return parts.datum_floor_mm, Basis.GIVEN
    line = DATUM_FROM_STATURE
    barefoot_mm = line.intercept_mm + line.slope * person.stature_mm
    return barefoot_mm + parts.shoe_heel_mm, Basis.ESTIMATED


def build_height(seat: Seat, plan: CouplePlan, person: Person) -> BuildHeight:
    """What stands between datum and floor, along the limb's axis, and the tube that is left.

    A first look, before flexion and adduction are set on the bench: the aligned leg tells the
    length to cut.

    Parameters
    ----------
    seat : Seat
    plan : CouplePlan
    person : Person
    """
    parts = part_heights(plan.parts)
    datum_mm, datum_basis = datum_floor(plan.parts, person)
    items = (*_socket_items(seat, plan), *_part_items(plan.parts, parts))
    low_mm = COUPLINGS[plan.coupling.kind].body_height_low_mm
    body_slack = _gives_mm(plan.coupling, "body_height_mm", seat.body_height_mm, low_mm)
    body_by_default = basis_of(plan.coupling, "body_height_mm") is Basis.DEFAULT
    datum_slack = 0.0 if datum_basis is Basis.GIVEN else DATUM_FROM_STATURE.sd_mm
    return BuildHeight(
        datum_mm,
        datum_basis,
        items,
        datum_mm - sum(item.height_mm for item in items),
        parts.pylon_minimum_mm,
        parts.slack_mm + body_slack + datum_slack,
        parts.remembered_mm + (seat.body_height_mm if body_by_default else 0.0) + datum_slack,
        datum_mm + float(seat.cap_mm[2]),
        _minimum_source(plan.parts),
    )


def _minimum_source(parts: PartsPlan) -> Source:
    """Where the shortest tube comes from."""
    entry = entry_of(parts, "pylon_minimum_mm")
    if entry is not None:
        return entry.source
    return PYLON_MINIMUM_MM.source if parts.pylon_minimum_mm is None else STATED_IN_CASE


def short_mm(height: BuildHeight) -> float:
    """Millimetres that are missing for the shortest tube; negative when there are some to spare."""
    return height.pylon_minimum_mm - height.pylon_mm


def pylon_length_mm(height: BuildHeight) -> float:
    """Length of tube between the clamps' stops.

    Raises
    ------
    DoesNotFit
        When the stated parts are too high for the limb, or no tube is left at all; the message
        says by how many millimetres.
    """
    if _surely_short(height) or height.pylon_mm <= 0.0:
        raise DoesNotFit(
            f"{_text(height)} What would change it: {_remedy(height)}.",
            where="couple.parts",
            fields={"short_mm": short_mm(height), "pylon_mm": height.pylon_mm},
        )
    return height.pylon_mm


def height_finding(height: BuildHeight) -> Finding:
    """Say whether the parts fit under the limb, and by how much they do not."""
    missing_mm = short_mm(height)
    bases = {item.basis for item in height.items} | {height.datum_basis}
    if missing_mm <= 0.0:
        # what rests on a remembered height is told, not approved
        code = "parts-fit"
        severity = Severity.NOTE if Basis.DEFAULT in bases else Severity.OK
    elif _surely_short(height):
        code, severity = "parts-do-not-fit", Severity.STOP
    else:
        # the defaults are from memory: they do not decide by themselves
        severity = Severity.NOT_ESTABLISHED
        code = "parts-may-not-fit" if missing_mm <= height.slack_mm else "parts-hardly-fit"
    return Finding(
        stage="couple",
        code=code,
        severity=severity,
        text=_text(height),
        where="pylon",
        value=height.pylon_mm,
        limit=height.pylon_minimum_mm,
        unit="mm",
        basis=max(bases, key=_WEAKEST.index),
        source=height.minimum_source,
        remedy=_remedy(height),
        entry=_entry(height),
        at_least=True,
    )


_WEAKEST = (Basis.MEASURED, Basis.GIVEN, Basis.ESTIMATED, Basis.GUESSED, Basis.DEFAULT)


def _surely_short(height: BuildHeight) -> bool:
    """Whether the parts do not fit whatever the heights that nobody stated."""
    return short_mm(height) > max(height.slack_mm, height.remembered_mm)


def _text(height: BuildHeight) -> str:
    """One sentence: it fits, or how many millimetres are missing and what would give them."""
    missing_mm = short_mm(height)
    datum = f"{height.datum_floor_mm:.0f} mm from datum to floor"
    if height.datum_basis is not Basis.GIVEN:
        datum += f" (estimated from stature, ±{DATUM_FROM_STATURE.sd_mm:.0f} mm)"
    if missing_mm <= 0.0:
        return (
            f"The parts fit: of {datum}, a tube of about {height.pylon_mm:.0f} mm is left,"
            f" {-missing_mm:.1f} mm more than the shortest that the clamps hold."
        )
    text = (
        f"The parts are {missing_mm:.1f} mm too high for this limb: of {datum},"
        f" {height.pylon_mm:.1f} mm is left for a tube of at least"
        f" {height.pylon_minimum_mm:.0f} mm."
    )
    if height.slack_mm < missing_mm <= height.remembered_mm:
        text += (
            " Even the low ends of what such parts measure would not fit, but heights from memory"
            " do not refuse by themselves."
        )
    elif height.slack_mm > 0.0:
        text += (
            f" What is not stated is a middle or an estimate and may give up to"
            f" {height.slack_mm:.1f} mm."
        )
    return text


def _remedy(height: BuildHeight) -> str:
    """What would make the parts fit, or make it sure that they do."""
    measured = (
        "the datum's height measured, and the heights of your parts stated"
        if height.slack_mm > 0.0
        else ""
    )
    lower = "a lower coupling, foot or clamp" if short_mm(height) > 0.0 else ""
    return "; or ".join(part for part in (measured, lower) if part)


def _entry(height: BuildHeight) -> str:
    if height.slack_mm > 0.0:
        return "couple.parts.datum_floor_mm"
    return "couple.coupling.kind" if short_mm(height) > 0.0 else ""


def _socket_items(seat: Seat, plan: CouplePlan) -> tuple[HeightItem, ...]:
    """Heights along u from the datum to the plate's seat."""
    floor_top = seat.base_mm - seat.floor_mm * seat.axis
    figures = coupling_figures(plan.coupling)
    items = [
        HeightItem("limb and liner", -float(seat.cap_mm[2]), Basis.MEASURED),
        HeightItem("spacing", _drop(seat.cap_mm, seat.face_mm), Basis.GIVEN),
    ]
    if plan.coupling.kind in KINDS_WITH_BODY:
        items.append(
            HeightItem(
                COUPLING_BODY,
                _drop(seat.face_mm, floor_top),
                figures.body_basis,
                _key_of(plan.coupling, "body_height_mm"),
            )
        )
    items.append(HeightItem("socket floor", _drop(floor_top, seat.base_mm), Basis.GIVEN))
    return tuple(items)


def _part_items(plan: PartsPlan, parts: PartHeights) -> tuple[HeightItem, ...]:
    named = (
        ("plate", parts.plate_mm, "plate_mm"),
        ("socket adapter", parts.socket_adapter_mm, "socket_adapter_mm"),
        ("foot adapter", parts.foot_adapter_mm, "foot_adapter_mm"),
        ("foot", parts.foot_mm, "foot_mm"),
        ("shoe heel", parts.shoe_heel_mm, "shoe_heel_mm"),
    )
    return tuple(
        HeightItem(name, mm, basis_of(plan, figure), _key_of(plan, figure))
        for name, mm, figure in named
    )


def _key_of(plan: PartsPlan | CouplingPlan, figure: str) -> str:
    entry = entry_of(plan, figure)
    return entry.key if entry is not None else ""


def _drop(upper: Vector, lower: Vector) -> float:
    return float(upper[2] - lower[2])


def _or_default(given: float | None, table: PartHeight) -> float:
    return given if given is not None else table.middle.value
