"""Strength of socket, distal attachment and pylon beside the ISO 10328 forces of the load level.

A comparison, never a conformity test: sockets are outside that standard.
"""

from __future__ import annotations

from dataclasses import dataclass

from limbwright.align.result import Alignment
from limbwright.assess.iso_10328 import MASS_LIMIT_KG
from limbwright.assess.result import Assessment
from limbwright.core.errors import NotConverged
from limbwright.core.findings import Finding
from limbwright.core.telling import Tell, silent
from limbwright.couple.plan import CouplePlan
from limbwright.couple.result import Seat
from limbwright.prove.attachment_checks import attachment_checks, pylon_checks
from limbwright.prove.brim import brim_check, brim_opening, opening_force
from limbwright.prove.cast import cast_findings
from limbwright.prove.materials import Allowable, allowable, wall_thickness_mm
from limbwright.prove.plan import ProvePlan
from limbwright.prove.rated import unknown
from limbwright.prove.reference_loads import ReferenceLoad, reference_loads
from limbwright.prove.result import Check, InterfaceResult, StrengthDetail, WeakestPlace
from limbwright.prove.section_forces import section_forces, stations_of
from limbwright.prove.strength_findings import (
    BRIM,
    WALL_BY_ELEMENTS,
    governing_checks,
    strength_findings,
    weakest_check,
)
from limbwright.prove.wall_checks import (
    LoadedWall,
    WallCuts,
    loaded_wall,
    wall_checks,
    wall_cuts,
    wall_levels,
    wall_share,
)
from limbwright.prove.wall_confirmed import confirmed_check
from limbwright.shape.result import SocketShape


@dataclass(frozen=True, slots=True, eq=False)
class Strength:
    """The strength checks of a case.

    Parameters
    ----------
    checks : tuple of Check
    findings : tuple of Finding
    detail : StrengthDetail or None
        What the picture is drawn from.
    """

    checks: tuple[Check, ...]
    findings: tuple[Finding, ...]
    detail: StrengthDetail | None = None


def strength(
    shape: SocketShape,
    seat: Seat,
    alignment: Alignment,
    assessment: Assessment,
    plan: ProvePlan,
    couple_plan: CouplePlan,
    interface: InterfaceResult | None = None,
    tell: Tell = silent,
) -> Strength:
    """Whether wall, screws, distal plate and pylon bear the reference forces of the load level.

    A person above the highest level is held against that level: what it breaks does not suffice,
    what holds it is not established.

    Parameters
    ----------
    shape : SocketShape
    seat : Seat
    alignment : Alignment
    assessment : Assessment
        Its load level.
    plan : ProvePlan
    couple_plan : CouplePlan
    interface : InterfaceResult, optional
        Pressure on both sides of the brim, which opens it.
    tell : Tell, optional
    """
    tell("strength of the wall", 0.0)
    highest, limit_kg = max(MASS_LIMIT_KG.value.items(), key=lambda item: item[1])
    level = assessment.load_level if assessment.load_level is not None else highest
    beyond_kg = None if assessment.load_level is not None else limit_kg
    credit = allowable(plan)
    loads = reference_loads(level, alignment)
    coupling = couple_plan.coupling
    cuts = wall_cuts(shape, seat, coupling, wall_thickness_mm(plan))
    wall = loaded_wall(cuts, loads, credit)
    checks = (
        *wall_checks(wall, plan, credit),
        *attachment_checks(loads, seat, alignment, plan, coupling, credit),
        *pylon_checks(loads, alignment, couple_plan.parts),
    )
    tell("strength of the brim", 0.3)
    checks += (
        *_brim(shape, cuts, plan, credit, interface),
        *_confirmed(shape, cuts, loads, plan, credit),
    )
    tell("strength by level", 0.7)
    return Strength(
        checks,
        (
            *strength_findings(checks, loads, credit, plan, shape, beyond_kg=beyond_kg),
            *cast_findings(shape, seat, alignment, loads, plan, coupling, credit),
        ),
        _detail(shape, seat, alignment, credit, cuts, wall, loads, checks),
    )


def _brim(
    shape: SocketShape,
    cuts: WallCuts,
    plan: ProvePlan,
    credit: Allowable,
    interface: InterfaceResult | None,
) -> tuple[Check, ...]:
    """The brim forced open; nothing where the trim line is level or no ring is closed below it."""
    try:
        opening = brim_opening(shape, cuts.below, wall_thickness_mm(plan)) if cuts.above else None
    except NotConverged as error:
        return (unknown(BRIM, "brim", credit.round_mpa, credit, error),)
    if opening is None:
        return ()
    return (brim_check(opening, opening_force(shape, interface), plan, credit),)


def _confirmed(
    shape: SocketShape,
    cuts: WallCuts,
    loads: tuple[ReferenceLoad, ...],
    plan: ProvePlan,
    credit: Allowable,
) -> tuple[Check, ...]:
    """The wall by finite elements where the plan asks for it."""
    if not plan.wall_by_elements:
        return ()
    try:
        check = confirmed_check(shape, cuts.below, loads, plan, credit)
    except NotConverged as error:
        return (unknown(WALL_BY_ELEMENTS, "wall", credit.wall_mpa, credit, error),)
    return () if check is None else (check,)


def _detail(
    shape: SocketShape,
    seat: Seat,
    alignment: Alignment,
    credit: Allowable,
    cuts: WallCuts,
    wall: LoadedWall,
    loads: tuple[ReferenceLoad, ...],
    checks: tuple[Check, ...],
) -> StrengthDetail:
    stations = stations_of(cuts.all, seat, alignment)
    return StrengthDetail(
        tuple(section_forces(load, credit.failure, stations, alignment) for load in loads),
        wall_levels(wall, credit),
        _weakest(checks),
        wall_share(shape.surface.vertices, wall, credit),
    )


def _weakest(checks: tuple[Check, ...]) -> WeakestPlace | None:
    found = weakest_check(governing_checks(checks))
    if found is None or not found.margin:
        return None
    return WeakestPlace(
        found.name, found.place, 1.0 / found.margin, found.point_mm, found.level_mm, found.angle_deg
    )
