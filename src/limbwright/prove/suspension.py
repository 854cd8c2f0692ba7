"""Suspension: how hard the prosthesis pulls in swing, and what holds it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from limbwright.align.swing import prosthesis_mass_kg, swing_pull
from limbwright.assess.plan import Activity, Person
from limbwright.assess.result import Assessment
from limbwright.core.findings import Finding, Severity
from limbwright.core.slicing import slice_moments
from limbwright.core.sources import Basis, Source
from limbwright.couple.figures import Figure, coupling_figures
from limbwright.couple.plan import CouplePlan, CouplingKind, CouplingPlan
from limbwright.couple.tables import MAGNET_FOR_WHOM
from limbwright.prove.result import Check
from limbwright.prove.suspension_tables import (
    COMFORTABLE_MARGIN,
    FASTEST_SPEED_M_S,
    MAGNET_BENCH_N,
    RUNNING_PULL_N_PER_KG,
    SEAL_DEPTH_SHARE,
    SEAL_PRESSURE_KPA,
    SWING_RESERVE,
)
from limbwright.shape.result import SocketShape

STAGE = "prove"
WALKING = "swing pull, walking"
RUNNING = "swing pull, running-type"

RUNS = frozenset({Activity.K3, Activity.K4})
"""Classes that are warned of too small a margin for running-type moves; others are told."""


@dataclass(frozen=True, slots=True)
class Holding:
    """What the suspension holds along its axis.

    Parameters
    ----------
    force_n : float or None
        None where no figure is established.
    at_least : bool
        True when it holds that much and perhaps more.
    basis : Basis
    source : Source or None
    says : str
    """

    force_n: float | None
    at_least: bool
    basis: Basis
    source: Source | None
    says: str


@dataclass(frozen=True, slots=True, eq=False)
class Suspension:
    """The suspension checks of a case.

    Parameters
    ----------
    checks : tuple of Check
        Walking, then running-type moves.
    findings : tuple of Finding
    """

    checks: tuple[Check, ...]
    findings: tuple[Finding, ...]


def suspension(
    shape: SocketShape, person: Person, assessment: Assessment, couple_plan: CouplePlan
) -> Suspension:
    """Whether the suspension holds the leg in swing, for this person.

    Parameters
    ----------
    shape : SocketShape
        Its section carries the pressure of a seal.
    person : Person
        Activity class.
    assessment : Assessment
        Walking speed.
    couple_plan : CouplePlan
    """
    hold = holding(couple_plan.coupling, shape)
    mass_kg, mass_basis = prosthesis_mass_kg(couple_plan.parts)
    speed = max(assessment.speed_m_s, FASTEST_SPEED_M_S.value[person.activity])
    weighed = "as weighed" if mass_basis is Basis.GIVEN else "by default; weigh the leg"
    leg = f"{mass_kg:.1f} kg of prosthesis with shoe ({weighed})"
    walking = _walking(mass_kg, leg, speed, hold)
    running = _running(mass_kg, leg, hold)
    basis = Basis.DEFAULT if Basis.DEFAULT in (mass_basis, hold.basis) else Basis.ESTIMATED
    kind = couple_plan.coupling.kind
    return Suspension(
        (walking, running),
        (
            _walking_finding(walking, hold, basis),
            _running_finding(running, hold, basis, kind, person.activity),
            _left_out(),
        ),
    )


def holding(plan: CouplingPlan, shape: SocketShape) -> Holding:
    """What the suspension holds: as its maker states, else the marked default of its kind.

    For suction and vacuum the default is the lower of the bench figure and pressure times
    section.
    """
    figure = coupling_figures(plan).capacity_n
    kind = plan.kind.value
    if figure.basis is Basis.GIVEN:
        says = f"{figure.value:g} N as entered for the {kind}"
        return Holding(figure.value, False, Basis.GIVEN, figure.source, says)
    if plan.kind in SEAL_PRESSURE_KPA:
        return _sealed(plan.kind, figure, shape)
    if figure.value is None:
        says = (
            f"no holding force of a {kind} is established; enter what its maker states, or pull it"
            " with a spring balance"
        )
        return Holding(None, False, Basis.DEFAULT, None, says)
    says = f"{figure.value:.1f} N by default for a {kind}"
    if plan.kind is CouplingKind.MAGNET:
        says += f" (one was pulled off at {MAGNET_BENCH_N.value:.0f} N on the bench)"
    else:
        says += ", at which such suspensions failed on the bench: no working load"
    if plan.kind is CouplingKind.STRAP:
        says += " (a hook-and-loop strap at the liner's end, not a cuff above the knee)"
    says += "; enter what its maker states"
    return Holding(figure.value, False, Basis.DEFAULT, figure.source, says)


def seal_force_n(pressure_kpa: float, section_mm2: float) -> float:
    """Force that a pressure difference over a section holds, N."""
    return pressure_kpa / 1000.0 * section_mm2


def round_section_mm2(girth_mm: float) -> float:
    """Area inside a girth if it were round, C²/4π: the most that it can enclose, mm²."""
    return girth_mm**2 / (4.0 * math.pi)


def _sealed(kind: CouplingKind, bench: Figure, shape: SocketShape) -> Holding:
    pressure = SEAL_PRESSURE_KPA[kind]
    level = SEAL_DEPTH_SHARE.value * float(shape.surface.vertices[:, 2].min())
    section_mm2 = float(slice_moments(shape.surface, np.array([level])).area_mm2[0])
    force = seal_force_n(pressure.value, section_mm2)
    says = (
        f"{force:.0f} N from {pressure.value:g} kPa on the section {-level:.0f} mm below the datum,"
        " where the seal is assumed; it holds at least that while it stays airtight, so enter what"
        " yours holds"
    )
    if bench.value is not None and bench.value < force:
        says = (
            f"{bench.value:.0f} N on the bench, less than pressure times section; enter what yours"
            " holds"
        )
        return Holding(bench.value, False, Basis.DEFAULT, bench.source, says)
    return Holding(force, True, Basis.DEFAULT, pressure.source, says)


def _walking(mass_kg: float, leg: str, speed_m_s: float, hold: Holding) -> Check:
    pull = swing_pull(mass_kg, speed_m_s)
    demand = SWING_RESERVE.value * pull.table_n
    text = (
        f"{leg}, walked at up to {speed_m_s:.1f} m/s, pulls with {pull.table_n:.0f} N (measured"
        f" walking, scaled; hand bound {pull.bound_n:.0f} N); {SWING_RESERVE.value:g} times that is"
        f" to be held. Held: {hold.says}"
    )
    return _check(WALKING, demand, hold, 1.0, text)


def _running(mass_kg: float, leg: str, hold: Holding) -> Check:
    pull_n = RUNNING_PULL_N_PER_KG.value * mass_kg
    demand = SWING_RESERVE.value * pull_n
    text = (
        f"{leg} pulls with {pull_n:.0f} N in running-type moves (assumed);"
        f" {SWING_RESERVE.value:g} times that is to be held. Held: {hold.says}"
    )
    return _check(RUNNING, demand, hold, COMFORTABLE_MARGIN.value, text)


def _check(name: str, demand_n: float, hold: Holding, required: float, text: str) -> Check:
    margin = hold.force_n / demand_n if hold.force_n is not None else None
    return Check(
        name,
        "suspension",
        demand_n,
        hold.force_n,
        "N",
        margin,
        required,
        hold.basis,
        hold.source,
        text,
    )


def _walking_finding(check: Check, hold: Holding, basis: Basis) -> Finding:
    margin = check.margin
    if margin is None:
        severity, lead = Severity.NOT_ESTABLISHED, "Whether the leg stays on is not established"
    elif margin < check.required_margin:
        severity = Severity.NOT_ESTABLISHED if hold.at_least else Severity.STOP
        lead = f"Too little to keep the leg on in walking (margin {margin:.1f})"
    elif margin < COMFORTABLE_MARGIN.value:
        severity = Severity.WARNING
        lead = f"Keeps the leg on in walking with little in hand (margin {margin:.1f})"
    else:
        severity, lead = _holds(basis), f"Ample for walking (margin {margin:.1f})"
    return _finding("suspension-walking", severity, lead, check, basis)


def _running_finding(
    check: Check, hold: Holding, basis: Basis, kind: CouplingKind, activity: Activity
) -> Finding:
    """Running-type moves: the assumed load only warns; a magnet is refused as the trade does."""
    margin = check.margin
    runs = activity in RUNS
    source = check.capacity_source
    if margin is None:
        severity = Severity.NOT_ESTABLISHED if runs else Severity.NOTE
        lead = "Whether it holds running-type moves is not established"
    elif margin >= check.required_margin:
        severity, lead = _holds(basis), f"Holds running-type moves too (margin {margin:.1f})"
    elif kind is CouplingKind.MAGNET and activity is Activity.K4:
        severity, source = Severity.STOP, MAGNET_FOR_WHOM
        lead = (
            f"Refused: a magnet with a margin of {margin:.1f}, where {check.required_margin:g} is"
            " asked, is not for very active users; choose a pin, or a magnet that its maker states"
            " to hold more"
        )
    elif runs and hold.at_least:
        severity = Severity.NOT_ESTABLISHED
        lead = (
            f"Whether it holds running-type moves is not established (margin at least {margin:.1f})"
        )
    else:
        severity = Severity.WARNING if runs else Severity.NOTE
        lead = f"Not for running-type moves (margin {margin:.1f}, asked {check.required_margin:g})"
    return _finding("suspension-running", severity, lead, check, basis, source)


def _holds(basis: Basis) -> Severity:
    """What rests on a default is told, not approved."""
    return Severity.NOTE if basis is Basis.DEFAULT else Severity.OK


def _finding(
    code: str,
    severity: Severity,
    lead: str,
    check: Check,
    basis: Basis,
    source: Source | None = None,
) -> Finding:
    return Finding(
        STAGE,
        code,
        severity,
        f"{lead}. {check.text}.",
        where=check.place,
        value=check.demand,
        limit=check.capacity,
        unit=check.unit,
        basis=basis,
        source=source or check.capacity_source or SWING_RESERVE.source,
    )


def _left_out() -> Finding:
    return Finding(
        STAGE,
        "suspension-not-looked-at",
        Severity.NOTE,
        "Not looked at: a foot stuck in mud, kicking, play, wear of cord or strap, dirt on a"
        " magnet, a pull from the side or at a tilt, a seal that lets go. Pull the donned leg off"
        " once by hand at every visit",
        where="suspension",
        value=SWING_RESERVE.value,
        basis=Basis.DEFAULT,
        source=SWING_RESERVE.source,
    )
