"""The socket's wall held against the reference load, level by level."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from limbwright.core.mesh import Scalars, Vertices
from limbwright.core.slicing import slice_loops, slice_moments
from limbwright.couple.hardware import boss_radius_mm, exit_level
from limbwright.couple.plan import CouplingPlan
from limbwright.couple.result import Seat
from limbwright.couple.tables import FIT_CLEARANCE_MM, KINDS_WITH_BODY, KINDS_WITH_VALVE
from limbwright.prove.materials import (
    LAYERED,
    Allowable,
    layer_thickness_mm,
    layers_of,
    wall_basis,
    wall_thickness_mm,
)
from limbwright.prove.open_wall import open_rings
from limbwright.prove.plan import ProvePlan
from limbwright.prove.rated import rated, weaker_basis
from limbwright.prove.reference_loads import ReferenceLoad
from limbwright.prove.result import Check, WallLevel
from limbwright.prove.sections import FIBRES, Keep, Ring, wall_ring
from limbwright.prove.strength_findings import EXIT, NOT_A_TEST, OPEN_WALL, WALL
from limbwright.prove.wall import (
    Bore,
    StressRound,
    WallRing,
    WallStress,
    beside,
    closed_rings,
    stress_rounds,
    whole_ring,
)
from limbwright.shape.places import direction_of, height_words
from limbwright.shape.result import SocketShape
from limbwright.shape.trim import TURN, angle_of

Loads = tuple[ReferenceLoad, ...]


@dataclass(frozen=True, slots=True, eq=False)
class WallCuts:
    """All level cuts of a socket's wall.

    Parameters
    ----------
    above : tuple of WallRing
        Above the lowest point of the trim line, from the brim down.
    below : tuple of WallRing
        From there down to the coupling's boss.
    at_exit : WallRing or None
        Through the hole for button, lanyard or valve.
    bore : Bore or None
        That hole.
    """

    above: tuple[WallRing, ...]
    below: tuple[WallRing, ...]
    at_exit: WallRing | None
    bore: Bore | None

    @property
    def all(self) -> tuple[WallRing, ...]:
        """From the brim down, the exit left out."""
        return (*self.above, *self.below)


@dataclass(frozen=True, slots=True, eq=False)
class LoadedWall:
    """Stress round every level cut; each a tuple by loading condition.

    Parameters
    ----------
    above, below, at_exit : tuple of tuple of StressRound
        Of the rings of `WallCuts`, in their order.
    bore : Bore or None
        The exit's hole.
    """

    above: tuple[tuple[StressRound, ...], ...]
    below: tuple[tuple[StressRound, ...], ...]
    at_exit: tuple[tuple[StressRound, ...], ...]
    bore: Bore | None

    @property
    def levels(self) -> tuple[tuple[StressRound, ...], ...]:
        """All conditions of each level, from the brim down, the exit left out."""
        by_load = (a + b for a, b in zip(self.above, self.below, strict=True))
        return tuple(zip(*by_load, strict=True))


def loaded_wall(cuts: WallCuts, loads: Loads, credit: Allowable) -> LoadedWall:
    """Stress round every cut under each condition."""
    at_exit = () if cuts.at_exit is None else (cuts.at_exit,)

    def loaded(rings: tuple[WallRing, ...]) -> tuple[tuple[StressRound, ...], ...]:
        return tuple(stress_rounds(rings, load, credit.failure) for load in loads)

    return LoadedWall(loaded(cuts.above), loaded(cuts.below), loaded(at_exit), cuts.bore)


def wall_cuts(shape: SocketShape, seat: Seat, coupling: CouplingPlan, wall_mm: float) -> WallCuts:
    """Cut the wall at every level.

    Parameters
    ----------
    shape : SocketShape
    seat : Seat
    coupling : CouplingPlan
        Where its exit goes through the wall.
    wall_mm : float
    """
    bore = exit_bore(seat, coupling)
    return WallCuts(
        open_rings(shape, wall_mm),
        closed_rings(shape, seat, wall_mm, bore),
        None if bore is None else _exit_ring(shape, seat, coupling, wall_mm, bore),
        bore,
    )


def exit_bore(seat: Seat, coupling: CouplingPlan) -> Bore | None:
    """The hole for button, lanyard or valve; None for a suspension without one."""
    if coupling.kind not in KINDS_WITH_BODY | KINDS_WITH_VALVE:
        return None
    return Bore(exit_level(seat, coupling), seat.exit_direction, coupling.exit_diameter_mm)


def wall_checks(wall: LoadedWall, plan: ProvePlan, credit: Allowable) -> list[Check]:
    """Wall below the trim line, wall above it, and wall beside the exit, for each condition.

    Parameters
    ----------
    wall : LoadedWall
    plan : ProvePlan
    credit : Allowable
    """
    groups = ((WALL, wall.below), (OPEN_WALL, wall.above), (EXIT, wall.at_exit))
    checks = []
    for name, by_load in groups:
        for rounds in by_load:
            if rounds:
                worst = max((each.worst for each in rounds), key=lambda found: found.stress_mpa)
                words = _wall_words(name, rounds[0].place.ring.wall_mm, wall.bore, plan)
                checks.append(_check(name, words, worst, rounds[0].load, plan, credit))
    return checks


def wall_levels(wall: LoadedWall, credit: Allowable) -> tuple[WallLevel, ...]:
    """The worse condition at each level, from the brim down."""
    levels = []
    for conditions in wall.levels:
        worst = max((each.worst for each in conditions), key=lambda found: found.stress_mpa)
        share = None if credit.wall_mpa is None else worst.stress_mpa / credit.wall_mpa
        levels.append(
            WallLevel(
                worst.level_mm,
                worst.stress_mpa,
                share,
                worst.angle_deg,
                worst.condition.value,
                worst.closed,
                conditions[0].place.ring.area_mm2,
            )
        )
    return tuple(levels)


def wall_share(vertices_mm: Vertices, wall: LoadedWall, credit: Allowable) -> Scalars:
    """Stress over what the wall is credited with, at the socket's inside, (n,); NaN elsewhere.

    The worse of both conditions and both faces; between two levels it is interpolated.

    Parameters
    ----------
    vertices_mm : (n, 3) float64, limb frame
    wall : LoadedWall
    credit : Allowable
    """
    nothing = np.full(len(vertices_mm), np.nan)
    levels = wall.levels[::-1]
    if credit.wall_mpa is None or len(levels) < 2:
        return nothing
    rows = np.stack([_stress_of_directions(each) for each in levels]) / credit.wall_mpa
    heights = np.array([conditions[0].place.u_mm for conditions in levels])
    at = np.interp(vertices_mm[:, 2], heights, np.arange(len(levels)))
    low = np.minimum(at.astype(int), len(levels) - 2)
    part = at - low
    angle = np.arctan2(vertices_mm[:, 1], vertices_mm[:, 0])
    column = np.round(angle / (2.0 * math.pi) * _COLUMNS).astype(int) % _COLUMNS
    share = (1.0 - part) * rows[low, column] + part * rows[low + 1, column]
    inside = (vertices_mm[:, 2] >= heights[0]) & (vertices_mm[:, 2] <= heights[-1])
    return np.where(inside, share, nothing)


_COLUMNS = 180
"""Directions round the wall of which the picture is made."""


def _stress_of_directions(conditions: tuple[StressRound, ...]) -> Scalars:
    """Stress in each direction about the limb's axis, (columns,) MPa; NaN where no wall is."""
    ring = conditions[0].place.ring
    both = [each.equivalent_mpa.reshape(2, FIBRES) for each in conditions]
    worst: Scalars = np.concatenate(both).max(axis=0)
    worst[~ring.in_wall[:FIBRES]] = np.nan
    wanted = np.arange(_COLUMNS) * TURN / _COLUMNS
    return np.interp(wanted, angle_of(ring.middle_mm + ring.centroid_mm), worst, period=TURN)


def _exit_ring(
    shape: SocketShape, seat: Seat, coupling: CouplingPlan, wall_mm: float, bore: Bore
) -> WallRing | None:
    """The wall cut through the exit's middle: of the boss round a body, else of the socket."""
    u_mm = float(bore.start_mm[2])
    keep = beside(bore, u_mm)
    if coupling.kind in KINDS_WITH_BODY:
        inside_mm = 0.5 * seat.body_diameter_mm + FIT_CLEARANCE_MM.value
        angle = 2.0 * math.pi * np.arange(FIBRES) / FIBRES
        circle = np.column_stack([np.cos(angle), np.sin(angle)]) * inside_mm + bore.start_mm[:2]
        thick_mm = boss_radius_mm(seat, coupling, wall_mm) - inside_mm
        return whole_ring(u_mm, wall_ring(circle, thick_mm, keep), 0.5 * bore.diameter_mm)
    if slice_moments(shape.surface, np.array([u_mm])).gap_mm[0] != 0.0:
        return None
    loops = slice_loops(shape.surface, u_mm)
    if not loops:
        return None
    ring = _ring_with_hole(loops[0], wall_mm, keep)
    return None if ring is None else whole_ring(u_mm, ring, 0.5 * bore.diameter_mm)


def _ring_with_hole(inside: Vertices, wall_mm: float, keep: Keep) -> Ring | None:
    return wall_ring(inside, wall_mm, keep) if keep(inside).any() else None


_WHAT = {
    WALL: "closed rings below the trim line",
    OPEN_WALL: (
        "open where the trim line cuts it; each piece carries what the limb hands to it above, and"
        " how it bends round between its edges is left out"
    ),
}


def _wall_words(name: str, thick_mm: float, bore: Bore | None, plan: ProvePlan) -> str:
    """What carries the load, how thick it is, and what cuts it: "Wall of 5.0 mm (closed rings".

    Round a coupling's body the exit goes through the boss, which is thicker than the wall.
    """
    what = _WHAT.get(name, "")
    if name == EXIT and bore is not None:
        side = direction_of(math.atan2(bore.direction[1], bore.direction[0]))
        what = f"cut by the hole for button, lanyard or valve, which lies {side}"
    if abs(thick_mm - wall_thickness_mm(plan)) > _SAME_MM:
        return f"Boss of {thick_mm:.1f} mm round the coupling ({what}"
    if plan.process in LAYERED:
        what = f"{layers_of(plan)} layers of {layer_thickness_mm(plan):g} mm: {what}"
    return f"Wall of {thick_mm:.1f} mm ({what}"


_SAME_MM = 1e-9


def _check(
    name: str,
    wall: str,
    worst: WallStress,
    load: ReferenceLoad,
    plan: ProvePlan,
    credit: Allowable,
) -> Check:
    pulled = "tension" if worst.tension else "compression"
    text = (
        f"{wall}; bending, axial load, shear and twisting"
        f" by the true section, {pulled} governs) under {load.named} at"
        f" {load.force_n(credit.failure):.0f} N: {credit.says}. {NOT_A_TEST}."
    )
    side = direction_of(math.radians(worst.angle_deg))
    most = "most stressed in the " if name == EXIT else ""
    return rated(
        name,
        f"{height_words(-worst.level_mm)}, {most}{side} wall",
        worst.stress_mpa,
        credit.wall_mpa,
        "MPa",
        weaker_basis(credit, wall_basis(plan)),
        credit.source,
        text,
        point_mm=np.array(worst.point_mm),
        angle_deg=worst.angle_deg,
    )
