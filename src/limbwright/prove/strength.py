"""Strength of socket, distal attachment and pylon beside the ISO 10328 forces of the load level.

A comparison, never a conformity test: sockets are outside that standard.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from limbwright.align.result import Alignment
from limbwright.assess.result import Assessment
from limbwright.core.findings import Finding
from limbwright.core.mesh import Vector
from limbwright.core.sources import Basis
from limbwright.core.units import n_m_from_n_mm
from limbwright.couple.plan import CouplePlan, CouplingPlan, PartsPlan
from limbwright.couple.result import Seat
from limbwright.prove.attachment import (
    floor_bending_mpa,
    floor_shear_mpa,
    pull_through_n,
    screw_proof_n,
    screw_tension_n,
)
from limbwright.prove.materials import (
    LAYERED,
    Allowable,
    allowable,
    layer_thickness_mm,
    layers_of,
    plate_basis,
    plate_thickness_mm,
    wall_basis,
    wall_thickness_mm,
)
from limbwright.prove.plan import ProvePlan
from limbwright.prove.reference_loads import (
    ReferenceLoad,
    height_over_floor_mm,
    reference_loads,
)
from limbwright.prove.result import Check
from limbwright.prove.sections import tube_section
from limbwright.prove.strength_findings import (
    FLOOR,
    NOT_A_TEST,
    PULL_THROUGH,
    PYLON,
    SCREWS,
    WALL,
    strength_findings,
)
from limbwright.prove.strength_tables import (
    COARSE_PITCH_MM,
    SCREW_PROOF_MPA,
    SHEAR_OF_TENSION,
    TUBE_YIELD_MPA,
)
from limbwright.prove.wall import WallStress, closed_rings, worst_stress
from limbwright.shape.places import direction_of, height_words
from limbwright.shape.result import SocketShape


@dataclass(frozen=True, slots=True, eq=False)
class Strength:
    """The strength checks of a case.

    Parameters
    ----------
    checks : tuple of Check
        Empty where no reference load is established for the person.
    findings : tuple of Finding
    """

    checks: tuple[Check, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Base:
    """What the distal attachment carries under the worse condition at its ultimate force."""

    load: ReferenceLoad
    force_n: float
    moment_n_mm: Vector
    bending_n_mm: float
    height_mm: float

    @property
    def says(self) -> str:
        return (
            f"{n_m_from_n_mm(self.bending_n_mm):.0f} N·m at the socket's base,"
            f" {self.height_mm:.0f} mm over the floor, under {_named(self.load)} at"
            f" {self.force_n:.0f} N"
        )


def strength(
    shape: SocketShape,
    seat: Seat,
    alignment: Alignment,
    assessment: Assessment,
    plan: ProvePlan,
    couple_plan: CouplePlan,
) -> Strength:
    """Whether wall, screws, distal plate and pylon bear the reference forces of the load level.

    Parameters
    ----------
    shape : SocketShape
    seat : Seat
    alignment : Alignment
    assessment : Assessment
        Its load level; without one nothing is compared.
    plan : ProvePlan
    couple_plan : CouplePlan
    """
    if assessment.load_level is None:
        return Strength((), strength_findings((), (), allowable(plan), plan, shape))
    credit = allowable(plan)
    loads = reference_loads(assessment.load_level, alignment)
    base = _at_base(loads, seat, alignment, credit)
    checks = (
        *_wall(shape, seat, loads, plan, credit),
        _screws(seat, loads, couple_plan.coupling, alignment),
        _pull_through(seat, base, plan, couple_plan.coupling, credit),
        _floor(seat, base, plan, couple_plan.coupling, credit),
        _pylon(loads, alignment, couple_plan.parts),
    )
    return Strength(checks, strength_findings(checks, loads, credit, plan, shape))


def _wall(
    shape: SocketShape,
    seat: Seat,
    loads: tuple[ReferenceLoad, ...],
    plan: ProvePlan,
    credit: Allowable,
) -> tuple[Check, ...]:
    wall_mm = wall_thickness_mm(plan)
    rings = closed_rings(shape, seat, wall_mm)
    checks = []
    for load in loads:
        worst = worst_stress(rings, load, credit.failure)
        if worst is not None:
            checks.append(_wall_check(worst, load, wall_mm, plan, credit))
    return tuple(checks)


def _wall_check(
    worst: WallStress, load: ReferenceLoad, wall_mm: float, plan: ProvePlan, credit: Allowable
) -> Check:
    layered = plan.process in LAYERED
    layers = f"{layers_of(plan)} layers of {layer_thickness_mm(plan):g} mm: " if layered else ""
    pulled = "tension" if worst.tension else "compression"
    text = (
        f"Wall of {wall_mm:.1f} mm ({layers}closed rings below the trim line; bending and axial"
        f" load by the true section, {pulled} governs) under {_named(load)} at"
        f" {load.force_n(credit.failure):.0f} N: {credit.says}. {NOT_A_TEST}."
    )
    return _check(
        WALL,
        f"{height_words(-worst.level_mm)}, {direction_of(math.radians(worst.angle_deg))} wall",
        worst.stress_mpa,
        credit.wall_mpa,
        "MPa",
        credit,
        wall_basis(plan),
        text,
    )


def _screws(
    seat: Seat, loads: tuple[ReferenceLoad, ...], plan: CouplingPlan, alignment: Alignment
) -> Check:
    """The screws themselves, always at the upper ultimate force."""
    tensions = [
        screw_tension_n(
            seat.screws_mm,
            seat.axis,
            load.moment_about(seat.base_mm, load.forces.ultimate_brittle_n),
        )
        for load in loads
    ]
    worst = int(np.argmax(tensions))
    capacity = screw_proof_n(plan.screw_diameter_mm)
    height_mm = height_over_floor_mm(alignment, seat.base_mm)
    text = (
        f"Tension of the most loaded of four M{plan.screw_diameter_mm:g} screws on a square of"
        f" {plan.screw_square_mm:g} mm, {height_mm:.0f} mm over the floor, under"
        f" {_named(loads[worst])} at {loads[worst].forces.ultimate_brittle_n:.0f} N, beside the"
        f" proof load of class 8.8, which is assumed.{_odd_thread(capacity)} {NOT_A_TEST}."
    )
    return Check(
        SCREWS,
        "distal attachment",
        tensions[worst],
        capacity,
        "N",
        _ratio(capacity, tensions[worst]),
        1.0,
        Basis.DEFAULT,
        SCREW_PROOF_MPA.source,
        text,
    )


def _pull_through(
    seat: Seat, base: _Base, plan: ProvePlan, coupling: CouplingPlan, credit: Allowable
) -> Check:
    tension = screw_tension_n(seat.screws_mm, seat.axis, base.moment_n_mm)
    shear_mpa = (credit.bolted_mpa or 0.0) * SHEAR_OF_TENSION.value
    held = pull_through_n(coupling.screw_diameter_mm, plate_thickness_mm(plan), shear_mpa)
    capacity = held if credit.bolted_mpa is not None else None
    text = (
        f"A screw's washer shearing through the distal plate of {plate_thickness_mm(plan):g} mm,"
        f" with {base.says}: {credit.says}; shear strength is taken as half of that. A part inside"
        f" that spreads the pull is not credited.{_odd_thread(held)} {NOT_A_TEST}."
    )
    return _check(
        PULL_THROUGH, "distal attachment", tension, capacity, "N", credit, plate_basis(plan), text
    )


def _floor(
    seat: Seat, base: _Base, plan: ProvePlan, coupling: CouplingPlan, credit: Allowable
) -> Check:
    hub_mm, rim_mm = coupling.screw_square_mm / math.sqrt(2.0), 0.5 * seat.body_diameter_mm
    rim_mm = max(rim_mm, hub_mm)
    bending = floor_bending_mpa(base.bending_n_mm, hub_mm, rim_mm, plate_thickness_mm(plan))
    axial = base.force_n * abs(float(base.load.direction @ seat.axis))
    shear = floor_shear_mpa(base.bending_n_mm, axial, rim_mm, plate_thickness_mm(plan))
    twice_shear = shear / SHEAR_OF_TENSION.value
    governs = "bending" if bending > twice_shear else "shear at its rim"
    text = (
        f"Distal plate of {plate_thickness_mm(plan):g} mm over {2.0 * rim_mm:.0f} mm, clamped at"
        f" its rim and tilted by the plate that is screwed to it; {governs} governs, with"
        f" {base.says}: {credit.says}. {NOT_A_TEST}."
    )
    return _check(
        FLOOR,
        "distal attachment",
        max(bending, twice_shear),
        credit.bolted_mpa,
        "MPa",
        credit,
        plate_basis(plan),
        text,
    )


def _pylon(loads: tuple[ReferenceLoad, ...], alignment: Alignment, parts: PartsPlan) -> Check:
    """The tube at its clamps, at the proof force, which it must bear without yielding."""
    area_mm2, modulus_mm3 = tube_section(parts.pylon_outside_mm, parts.pylon_wall_mm)
    ends = [alignment.points_mm[name] for name in ("pylon_top", "pylon_bottom")]
    line = (ends[0] - ends[1]) / np.linalg.norm(ends[0] - ends[1])
    cases = [(load, end) for load in loads for end in ends]
    stresses = []
    for load, end in cases:
        moment = load.moment_about(end, load.forces.proof_n)
        bending = float(np.linalg.norm(moment - (moment @ line) * line))
        axial = load.forces.proof_n * abs(float(load.direction @ line))
        stresses.append(bending / modulus_mm3 + axial / area_mm2)
    worst = int(np.argmax(stresses))
    load, end = cases[worst]
    text = (
        f"Tube of {parts.pylon_outside_mm:g} by {parts.pylon_wall_mm:g} mm at"
        f" {height_over_floor_mm(alignment, end):.0f} mm over the floor, bending and axial, under"
        f" {_named(load)} at the proof force of {load.forces.proof_n:.0f} N, beside the yield"
        " stress of 6061-T6 aluminium, which is assumed; what the tube's maker states comes first."
        f" {NOT_A_TEST}."
    )
    return Check(
        PYLON,
        "pylon",
        stresses[worst],
        TUBE_YIELD_MPA.value,
        "MPa",
        _ratio(TUBE_YIELD_MPA.value, stresses[worst]),
        1.0,
        Basis.DEFAULT,
        TUBE_YIELD_MPA.source,
        text,
    )


def _at_base(
    loads: tuple[ReferenceLoad, ...], seat: Seat, alignment: Alignment, credit: Allowable
) -> _Base:
    found = []
    for load in loads:
        force_n = load.force_n(credit.failure)
        moment = load.moment_about(seat.base_mm, force_n)
        bending = float(np.linalg.norm(moment - (moment @ seat.axis) * seat.axis))
        height_mm = height_over_floor_mm(alignment, seat.base_mm)
        found.append(_Base(load, force_n, moment, bending, height_mm))
    return max(found, key=lambda base: base.bending_n_mm)


def _check(
    name: str,
    place: str,
    demand: float,
    capacity: float | None,
    unit: str,
    credit: Allowable,
    thickness: Basis,
    text: str,
) -> Check:
    margin = _ratio(capacity, demand)
    basis = Basis.DEFAULT if thickness is Basis.DEFAULT else credit.basis
    return Check(name, place, demand, capacity, unit, margin, 1.0, basis, credit.source, text)


def _ratio(capacity: float | None, demand: float) -> float | None:
    return capacity / demand if capacity is not None and demand > 0.0 else None


def _odd_thread(known: float | None) -> str:
    if known is not None:
        return ""
    sizes = ", ".join(f"M{size:g}" for size in COARSE_PITCH_MM.value)
    return f" No figure is known for this screw diameter; choose one of {sizes}."


def _named(load: ReferenceLoad) -> str:
    own = "" if load.own_line else " (load line of P4: none is established for P3)"
    return f"{load.level} condition {load.condition.value}{own}"
