"""From the datum to the floor: what stands between, and the tube that makes the sum exact."""

from __future__ import annotations

from dataclasses import dataclass

from limbwright.assess.plan import Person
from limbwright.core.errors import DoesNotFit
from limbwright.core.findings import Finding, Severity
from limbwright.core.mesh import Vector
from limbwright.core.sources import Basis
from limbwright.couple.figures import coupling_figures
from limbwright.couple.plan import CouplePlan, PartsPlan
from limbwright.couple.result import BuildHeight, HeightItem, Seat
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
        How much lower the defaulted ones may be, the shortest tube included.
    basis : Basis
        DEFAULT when any height is a default, else GIVEN.
    """

    plate_mm: float
    socket_adapter_mm: float
    foot_adapter_mm: float
    foot_mm: float
    shoe_heel_mm: float
    pylon_minimum_mm: float
    slack_mm: float
    basis: Basis


def part_heights(parts: PartsPlan) -> PartHeights:
    """Heights of the parts below the socket: as stated, else marked defaults."""
    stated = (parts.plate_mm, parts.socket_adapter_mm, parts.foot_adapter_mm, parts.foot_mm)
    tables = (PLATE, TUBE_CLAMP, TUBE_CLAMP, FOOT)
    plate, socket, foot_adapter, foot = (
        _or_default(mm, table) for mm, table in zip(stated, tables, strict=True)
    )
    minimum = parts.pylon_minimum_mm
    shortest_slack = PYLON_MINIMUM_MM.value - 2.0 * TUBE_INSERT_LOW_MM if minimum is None else 0.0
    return PartHeights(
        plate,
        socket,
        foot_adapter,
        foot,
        parts.shoe_heel_mm,
        minimum if minimum is not None else PYLON_MINIMUM_MM.value,
        shortest_slack
        + sum(
            table.middle.value - table.low_mm
            for mm, table in zip(stated, tables, strict=True)
            if mm is None
        ),
        Basis.DEFAULT if None in stated else Basis.GIVEN,
    )


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
    table = COUPLINGS[plan.coupling.kind]
    body_slack = (
        table.body_height_mm.value - table.body_height_low_mm
        if plan.coupling.body_height_mm is None
        else 0.0
    )
    datum_slack = 0.0 if datum_basis is Basis.GIVEN else DATUM_FROM_STATURE.sd_mm
    return BuildHeight(
        datum_mm,
        datum_basis,
        items,
        datum_mm - sum(item.height_mm for item in items),
        parts.pylon_minimum_mm,
        parts.slack_mm + body_slack + datum_slack,
    )


def pylon_length_mm(height: BuildHeight) -> float:
    """Length of tube between the clamps' stops.

    Raises
    ------
    DoesNotFit
        When the parts are too high for the limb; the message says by how many millimetres.
    """
    if _short_mm(height) > height.slack_mm or height.pylon_mm <= 0.0:
        raise DoesNotFit(
            _text(height),
            where="couple.parts",
            fields={"short_mm": _short_mm(height), "pylon_mm": height.pylon_mm},
        )
    return height.pylon_mm


def height_finding(height: BuildHeight) -> Finding:
    """Say whether the parts fit under the limb, and by how much they do not."""
    short_mm = _short_mm(height)
    bases = {item.basis for item in height.items} | {height.datum_basis}
    if short_mm <= 0.0:
        # what rests on a remembered height is told, not approved
        code = "parts-fit"
        severity = Severity.NOTE if Basis.DEFAULT in bases else Severity.OK
    elif short_mm <= height.slack_mm:
        # the defaults are from memory: they do not decide by themselves
        code, severity = "parts-may-not-fit", Severity.NOT_ESTABLISHED
    else:
        code, severity = "parts-do-not-fit", Severity.STOP
    return Finding(
        stage="couple",
        code=code,
        severity=severity,
        text=_text(height),
        where="pylon",
        value=height.pylon_mm,
        limit=height.pylon_minimum_mm,
        unit="mm",
        basis=Basis.DEFAULT if Basis.DEFAULT in bases else height.datum_basis,
        source=PYLON_MINIMUM_MM.source
        if height.pylon_minimum_mm == PYLON_MINIMUM_MM.value
        else None,
    )


def _short_mm(height: BuildHeight) -> float:
    return height.pylon_minimum_mm - height.pylon_mm


def _text(height: BuildHeight) -> str:
    """One sentence: it fits, or how many millimetres are missing and what would give them."""
    short_mm = _short_mm(height)
    datum = f"{height.datum_floor_mm:.0f} mm from datum to floor"
    if height.datum_basis is not Basis.GIVEN:
        datum += f" (estimated from stature, ±{DATUM_FROM_STATURE.sd_mm:.0f} mm; measure it)"
    if short_mm <= 0.0:
        return (
            f"The parts fit: of {datum}, a tube of about {height.pylon_mm:.0f} mm is left,"
            f" {-short_mm:.1f} mm more than the shortest that the clamps hold."
        )
    text = (
        f"The parts are {short_mm:.1f} mm too high for this limb: of {datum}, {height.pylon_mm:.1f}"
        f" mm is left for a tube of at least {height.pylon_minimum_mm:.0f} mm."
    )
    if height.slack_mm > 0.0:
        text += (
            f" What is not stated is a middle or an estimate and may give up to"
            f" {height.slack_mm:.1f} mm: measure the datum's height and state those of your parts."
        )
    return text + " Choose a lower coupling, foot or clamp."


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
            HeightItem("coupling body", _drop(seat.face_mm, floor_top), figures.body_basis)
        )
    items.append(HeightItem("socket floor", _drop(floor_top, seat.base_mm), Basis.GIVEN))
    return tuple(items)


def _part_items(plan: PartsPlan, parts: PartHeights) -> tuple[HeightItem, ...]:
    named = (
        ("plate", parts.plate_mm, plan.plate_mm),
        ("socket adapter", parts.socket_adapter_mm, plan.socket_adapter_mm),
        ("foot adapter", parts.foot_adapter_mm, plan.foot_adapter_mm),
        ("foot", parts.foot_mm, plan.foot_mm),
        ("shoe heel", parts.shoe_heel_mm, parts.shoe_heel_mm),
    )
    return tuple(
        HeightItem(name, mm, Basis.GIVEN if given is not None else Basis.DEFAULT)
        for name, mm, given in named
    )


def _drop(upper: Vector, lower: Vector) -> float:
    return float(upper[2] - lower[2])


def _or_default(given: float | None, table: PartHeight) -> float:
    return given if given is not None else table.middle.value
