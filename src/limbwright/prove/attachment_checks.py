"""Distal attachment and pylon held against the reference load."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from limbwright.align.result import Alignment
from limbwright.core.mesh import Vector
from limbwright.core.sources import Basis
from limbwright.core.units import n_m_from_n_mm
from limbwright.couple.catalogue import TubeClamp
from limbwright.couple.in_hand import PartsInHand
from limbwright.couple.plan import CouplingPlan, PartsPlan
from limbwright.couple.result import Seat
from limbwright.couple.tables import TUBE_INSERT_MM
from limbwright.prove.attachment import (
    clamp_bearing_mpa,
    floor_bending_mpa,
    floor_shear_mpa,
    pull_through_n,
    screw_proof_n,
    screw_shear_n,
    screw_tension_n,
    screw_tensions_n,
    screws_together,
)
from limbwright.prove.materials import Allowable, plate_basis, plate_thickness_mm
from limbwright.prove.plan import ProvePlan
from limbwright.prove.rated import rated, weaker_basis
from limbwright.prove.reference_loads import ReferenceLoad, height_over_floor_mm
from limbwright.prove.result import Check
from limbwright.prove.sections import tube_section
from limbwright.prove.strength_findings import (
    CLAMP,
    FLOOR,
    NOT_A_TEST,
    PULL_THROUGH,
    PYLON,
    SCREWS,
    SCREWS_BOTH,
)
from limbwright.prove.strength_tables import (
    COARSE_PITCH_MM,
    SCREW_PROOF_MPA,
    SCREWS_TOGETHER,
    SHEAR_OF_TENSION,
    TUBE_YIELD_MPA,
)

ATTACHMENT = "distal attachment"


@dataclass(frozen=True, slots=True, eq=False)
class BaseLoad:
    """What the distal attachment carries under one condition.

    Parameters
    ----------
    load : ReferenceLoad
    force_n : float
    moment_n_mm : (3,) float64
        About the seat's base.
    bending_n_mm : float
        Part of it across the seat's axis.
    height_mm : float
        Over the floor.
    """

    load: ReferenceLoad
    force_n: float
    moment_n_mm: Vector
    bending_n_mm: float
    height_mm: float

    @property
    def says(self) -> str:
        """The load in words."""
        return (
            f"{n_m_from_n_mm(self.bending_n_mm):.0f} N·m across the coupling's axis at the"
            f" socket's base, {self.height_mm:.0f} mm over the floor, under {self.load.named} at"
            f" {self.force_n:.0f} N"
        )


def base_load(load: ReferenceLoad, force_n: float, seat: Seat, alignment: Alignment) -> BaseLoad:
    """What a force on the load line does at the socket's base.

    Parameters
    ----------
    load : ReferenceLoad
    force_n : float
    seat : Seat
    alignment : Alignment
    """
    moment = load.moment_about(seat.base_mm, force_n)
    bending = float(np.linalg.norm(moment - (moment @ seat.axis) * seat.axis))
    return BaseLoad(load, force_n, moment, bending, height_over_floor_mm(alignment, seat.base_mm))


def attachment_checks(
    loads: tuple[ReferenceLoad, ...],
    seat: Seat,
    alignment: Alignment,
    plan: ProvePlan,
    coupling: CouplingPlan,
    credit: Allowable,
) -> list[Check]:
    """Screws, pull-through and distal plate under the worse condition.

    The screws themselves are always held against the upper ultimate force.
    """
    full = [base_load(load, load.forces.ultimate_brittle_n, seat, alignment) for load in loads]
    own = [base_load(load, load.force_n(credit.failure), seat, alignment) for load in loads]
    base = max(own, key=lambda item: item.bending_n_mm)
    return [
        _screws(max(full, key=lambda item: _tension(seat, item)), seat, coupling),
        _screws_both(full, seat, coupling),
        _pull_through(seat, base, plan, coupling, credit),
        _floor(seat, base, plan, coupling, credit),
    ]


def pylon_checks(
    loads: tuple[ReferenceLoad, ...], alignment: Alignment, parts: PartsPlan
) -> list[Check]:
    """The tube and its clamps at the proof force, which they must bear without yielding.

    Parameters
    ----------
    loads : tuple of ReferenceLoad
    alignment : Alignment
    parts : PartsPlan
    """
    top, bottom = (alignment.points_mm[name] for name in ("pylon_top", "pylon_bottom"))
    line = (top - bottom) / np.linalg.norm(top - bottom)
    ends = [_on_tube(load, end, line) for load in loads for end in (top, bottom)]
    clamps = [
        _held(load, end, into, parts, role, line)
        for load in loads
        for end, into, role in ((top, -line, "socket_adapter"), (bottom, line, "foot_adapter"))
    ]
    return [_pylon(ends, alignment, parts), _clamp(clamps, alignment, parts)]


@dataclass(frozen=True, slots=True, eq=False)
class _OnTube:
    """What the tube carries at one place of it."""

    load: ReferenceLoad
    point_mm: Vector
    bending_n_mm: float
    axial_n: float
    shear_n: float


@dataclass(frozen=True, slots=True, eq=False)
class _Held:
    """What a clamp holds: the tube's load at the middle of the length inside it."""

    middle: _OnTube
    insert_mm: float
    stated: bool


def _held(
    load: ReferenceLoad, end: Vector, into: Vector, parts: PartsPlan, role: str, line: Vector
) -> _Held:
    """By the length that the catalogue's entry states, else the default."""
    named = parts.named.get(role) if isinstance(parts, PartsInHand) else None
    insert_mm, stated = TUBE_INSERT_MM.value, False
    if isinstance(named, TubeClamp):
        insert_mm, stated = named.insert_mm, not named.example
    return _Held(_on_tube(load, end + 0.5 * insert_mm * into, line), insert_mm, stated)


def _on_tube(load: ReferenceLoad, point: Vector, line: Vector) -> _OnTube:
    force_n = load.forces.proof_n
    moment = load.moment_about(point, force_n)
    axial = force_n * float(load.direction @ line)
    return _OnTube(
        load,
        point,
        float(np.linalg.norm(moment - (moment @ line) * line)),
        abs(axial),
        math.sqrt(max(force_n**2 - axial**2, 0.0)),
    )


def _tension(seat: Seat, base: BaseLoad) -> float:
    return screw_tension_n(seat.screws_mm, seat.axis, base.moment_n_mm)


def _worst_screw(seat: Seat, base: BaseLoad) -> Vector:
    tensions = screw_tensions_n(seat.screws_mm, seat.axis, base.moment_n_mm)
    return np.asarray(seat.screws_mm[int(tensions.argmax())])


def _screws(base: BaseLoad, seat: Seat, plan: CouplingPlan) -> Check:
    capacity = screw_proof_n(plan.screw_diameter_mm)
    text = (
        f"Tension of the most loaded of four M{plan.screw_diameter_mm:g} screws on a square of"
        f" {plan.screw_square_mm:g} mm, {base.height_mm:.0f} mm over the floor, under"
        f" {base.load.named} at {base.force_n:.0f} N, beside the"
        f" proof load of class 8.8, which is assumed.{_odd_thread(capacity)} {NOT_A_TEST}."
    )
    return rated(
        SCREWS,
        ATTACHMENT,
        _tension(seat, base),
        capacity,
        "N",
        Basis.DEFAULT,
        SCREW_PROOF_MPA.source,
        text,
        point_mm=_worst_screw(seat, base),
    )


def _screws_both(bases: list[BaseLoad], seat: Seat, plan: CouplingPlan) -> Check:
    found = []
    for base in bases:
        force = base.force_n * base.load.direction
        shear = screw_shear_n(seat.screws_mm, seat.axis, force, base.moment_n_mm)
        used = screws_together(plan.screw_diameter_mm, _tension(seat, base), shear)
        found.append((used, shear, base))
    used, shear, base = max(found, key=lambda item: (item[0] or 0.0, item[1]))
    text = (
        f"Tension {_tension(seat, base):.0f} N and shear {shear:.0f} N of one"
        f" M{plan.screw_diameter_mm:g} screw together, as the share that is used of class 8.8,"
        f" which is assumed, under {base.load.named} at {base.force_n:.0f} N; friction under the"
        f" plate is not credited.{_odd_thread(used)} {NOT_A_TEST}."
    )
    return rated(
        SCREWS_BOTH,
        ATTACHMENT,
        used if used is not None else shear,
        None if used is None else 1.0,
        "" if used is not None else "N",
        Basis.DEFAULT,
        SCREWS_TOGETHER,
        text,
        point_mm=_worst_screw(seat, base),
    )


def _pull_through(
    seat: Seat, base: BaseLoad, plan: ProvePlan, coupling: CouplingPlan, credit: Allowable
) -> Check:
    plate_mm = plate_thickness_mm(plan)
    shear_mpa = (credit.bolted_mpa or 0.0) * SHEAR_OF_TENSION.value
    held = pull_through_n(coupling.screw_diameter_mm, plate_mm, shear_mpa)
    text = (
        f"A screw's washer shearing through the distal plate of {plate_mm:g} mm, with"
        f" {base.says}: {credit.says}; shear strength is taken as half of that. A part inside that"
        f" spreads the pull is not credited.{_odd_thread(held)} {NOT_A_TEST}."
    )
    return rated(
        PULL_THROUGH,
        ATTACHMENT,
        _tension(seat, base),
        held if credit.bolted_mpa is not None else None,
        "N",
        weaker_basis(credit, plate_basis(plan)),
        credit.source,
        text,
        point_mm=_worst_screw(seat, base),
    )


def _floor(
    seat: Seat, base: BaseLoad, plan: ProvePlan, coupling: CouplingPlan, credit: Allowable
) -> Check:
    plate_mm = plate_thickness_mm(plan)
    hub_mm, rim_mm = coupling.screw_square_mm / math.sqrt(2.0), 0.5 * seat.body_diameter_mm
    rim_mm = max(rim_mm, hub_mm)
    bending = floor_bending_mpa(base.bending_n_mm, hub_mm, rim_mm, plate_mm)
    axial = base.force_n * abs(float(base.load.direction @ seat.axis))
    shear = floor_shear_mpa(base.bending_n_mm, axial, rim_mm, plate_mm)
    twice_shear = shear / SHEAR_OF_TENSION.value
    governs = "bending" if bending > twice_shear else "shear at its rim"
    text = (
        f"Distal plate of {plate_mm:g} mm over {2.0 * rim_mm:.0f} mm, clamped at its"
        f" rim and tilted by the plate that is screwed to it; {governs} governs, with {base.says}:"
        f" {credit.says}. {NOT_A_TEST}."
    )
    return rated(
        FLOOR,
        ATTACHMENT,
        max(bending, twice_shear),
        credit.bolted_mpa,
        "MPa",
        weaker_basis(credit, plate_basis(plan)),
        credit.source,
        text,
        point_mm=seat.base_mm,
    )


def _pylon(found: list[_OnTube], alignment: Alignment, parts: PartsPlan) -> Check:
    area_mm2, modulus_mm3 = tube_section(parts.pylon_outside_mm, parts.pylon_wall_mm)
    stresses = [item.bending_n_mm / modulus_mm3 + item.axial_n / area_mm2 for item in found]
    worst = found[int(np.argmax(stresses))]
    text = (
        f"Tube of {parts.pylon_outside_mm:g} by {parts.pylon_wall_mm:g} mm at"
        f" {height_over_floor_mm(alignment, worst.point_mm):.0f} mm over the floor, bending and"
        f" axial, under {worst.load.named} at the proof force of {worst.load.forces.proof_n:.0f} N,"
        " beside the yield stress of 6061-T6 aluminium, which is assumed; what the tube's maker"
        f" states comes first. {NOT_A_TEST}."
    )
    return rated(
        PYLON,
        "pylon",
        max(stresses),
        TUBE_YIELD_MPA.value,
        "MPa",
        Basis.DEFAULT,
        TUBE_YIELD_MPA.source,
        text,
        point_mm=worst.point_mm,
    )


def _clamp(found: list[_Held], alignment: Alignment, parts: PartsPlan) -> Check:
    pressures = [
        clamp_bearing_mpa(
            item.middle.bending_n_mm, item.middle.shear_n, parts.pylon_outside_mm, item.insert_mm
        )
        for item in found
    ]
    governing = found[int(np.argmax(pressures))]
    worst = governing.middle
    assumed = "" if governing.stated else " (by default)"
    text = (
        f"Tube pressing on the clamp that holds {governing.insert_mm:g} mm of it{assumed}, at"
        f" {height_over_floor_mm(alignment, worst.point_mm):.0f} mm over the floor:"
        f" {n_m_from_n_mm(worst.bending_n_mm):.0f} N·m under {worst.load.named} at the proof force"
        f" of {worst.load.forces.proof_n:.0f} N, beside the tube's yield stress. Whether the clamp"
        f" itself holds and does not slip is for its maker to state. {NOT_A_TEST}."
    )
    return rated(
        CLAMP,
        "pylon",
        max(pressures),
        TUBE_YIELD_MPA.value,
        "MPa",
        Basis.DEFAULT,
        TUBE_YIELD_MPA.source,
        text,
        point_mm=worst.point_mm,
    )


def _odd_thread(known: float | None) -> str:
    if known is not None:
        return ""
    sizes = ", ".join(f"M{size:g}" for size in COARSE_PITCH_MM.value)
    return f" No figure is known for this screw diameter; choose one of {sizes}."
