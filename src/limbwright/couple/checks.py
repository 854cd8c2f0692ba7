"""What is to be said about a coupling's seat before anything is loaded."""

from __future__ import annotations

import math

import numpy as np

from limbwright.assess.plan import Activity, Person
from limbwright.core.findings import Finding, Severity
from limbwright.core.sources import Basis
from limbwright.couple.figures import coupling_figures
from limbwright.couple.hardware import exit_level
from limbwright.couple.magnet import strongest_pull_n
from limbwright.couple.plan import CouplePlan, CouplingKind, CouplingPlan
from limbwright.couple.result import Seat
from limbwright.couple.tables import (
    EXIT_TO_TRIM_MM,
    KINDS_WITH_BODY,
    KINDS_WITH_VALVE,
    MAGNET_FOR_WHOM,
    SATURATION_T,
    SHIN_SECTOR_DEG,
    SMALL_TARGET_MM,
)
from limbwright.shape.result import SocketShape


def seat_findings(
    seat: Seat, plan: CouplePlan, person: Person, shape: SocketShape
) -> tuple[Finding, ...]:
    """Exit, screws, target and for whom the coupling is."""
    coupling = plan.coupling
    found: list[Finding] = []
    if coupling.kind in KINDS_WITH_BODY | KINDS_WITH_VALVE:
        found += [_exit_to_trim(seat, coupling, shape), *_exit_to_shin(coupling)]
    if coupling.kind in KINDS_WITH_BODY:
        found += [*_screws(seat, coupling), *_mouth(seat, coupling, shape), *_target(coupling)]
    if coupling.kind is CouplingKind.MAGNET:
        found += [_magnet_for(person), *_magnet_pull(coupling)]
    return tuple(found)


def _exit_to_trim(seat: Seat, plan: CouplingPlan, shape: SocketShape) -> Finding:
    """Distance from the exit's bore to the trim line, less the bore's radius."""
    start = exit_level(seat, plan)
    along = (shape.trim.points_mm - start) @ seat.exit_direction
    ray = start + np.maximum(along, 0.0)[:, None] * seat.exit_direction
    gap_mm = float(np.linalg.norm(shape.trim.points_mm - ray, axis=1).min())
    gap_mm -= 0.5 * plan.exit_diameter_mm
    clear = gap_mm >= EXIT_TO_TRIM_MM.value
    return Finding(
        stage="couple",
        code="exit-clear-of-trim" if clear else "exit-meets-trim",
        severity=Severity.OK if clear else Severity.STOP if gap_mm < 0.0 else Severity.WARNING,
        text=(
            f"The exit passes {gap_mm:.0f} mm from the trim line."
            if gap_mm >= 0.0
            else "The exit cuts into the trim line; turn the exit or raise the trim line there."
        ),
        where="exit",
        value=gap_mm,
        limit=EXIT_TO_TRIM_MM.value,
        unit="mm",
        basis=Basis.GIVEN,
        source=EXIT_TO_TRIM_MM.source,
    )


def _exit_to_shin(plan: CouplingPlan) -> list[Finding]:
    """An exit near straight forward comes out on the shin side."""
    from_forward = abs(math.remainder(plan.exit_angle_deg - 90.0, 360.0))
    if from_forward >= SHIN_SECTOR_DEG.value:
        return []
    return [
        Finding(
            stage="couple",
            code="exit-on-shin-side",
            severity=Severity.WARNING,
            text=(
                f"The exit comes out on the shin side, {from_forward:.0f} degrees from straight"
                " forward, where it is knocked and shows; turn it inward, outward or back."
            ),
            where="exit",
            value=from_forward,
            limit=SHIN_SECTOR_DEG.value,
            unit="deg",
            basis=Basis.GIVEN,
            source=SHIN_SECTOR_DEG.source,
        )
    ]


def _screws(seat: Seat, plan: CouplingPlan) -> list[Finding]:
    """Screws must hold in the body or pass clear beside it, never cut its rim."""
    corner = plan.screw_square_mm / math.sqrt(2.0)
    inside = 0.5 * seat.body_diameter_mm - corner - 0.5 * plan.screw_diameter_mm
    beside = corner - 0.5 * plan.screw_diameter_mm - 0.5 * seat.body_diameter_mm
    if inside >= 0.0:
        return []
    text = (
        f"The screws stand {beside:.1f} mm beside the coupling's body and hold in the socket alone."
        if beside >= 0.0
        else f"The screws would cut the rim of the coupling's body by {-inside:.1f} mm; use a wider"
        " or a narrower body, or another screw square."
    )
    return [
        Finding(
            stage="couple",
            code="screws-beside-body" if beside >= 0.0 else "screws-cut-body",
            severity=Severity.NOTE if beside >= 0.0 else _stop_if_stated(plan),
            text=text + _body_stated(plan),
            where="screw square",
            value=plan.screw_square_mm,
            unit="mm",
            basis=Basis.GIVEN if plan.body_diameter_mm is not None else Basis.DEFAULT,
        )
    ]


def _mouth(seat: Seat, plan: CouplingPlan, shape: SocketShape) -> list[Finding]:
    """The body goes in from inside: the socket's end must be wide enough not far above it."""
    top = seat.face_mm - seat.mouth_mm * seat.axis
    lowest_trim = float(shape.trim.points_mm[:, 2].min())
    if float(top[2]) < lowest_trim - EXIT_TO_TRIM_MM.value:
        return []
    return [
        Finding(
            stage="couple",
            code="body-wider-than-end",
            severity=_stop_if_stated(plan),
            text=(
                f"The socket's end is narrower than the coupling's body of"
                f" {seat.body_diameter_mm:.0f} mm up to {seat.mouth_mm:.0f} mm above it, so that"
                f" its pocket would reach the trim line; choose a narrower coupling."
                f"{_body_stated(plan)}"
            ),
            where="coupling",
            value=seat.mouth_mm,
            unit="mm",
            basis=Basis.MEASURED if plan.body_diameter_mm is not None else Basis.DEFAULT,
        )
    ]


def _target(plan: CouplingPlan) -> list[Finding]:
    figure = coupling_figures(plan).target_diameter_mm
    if figure.value is None or figure.value >= SMALL_TARGET_MM.value:
        return []
    return [
        Finding(
            stage="couple",
            code="target-is-small",
            severity=Severity.NOTE,
            text=(
                f"A target of {figure.value:.0f} mm has to be aimed at when donning; one of 50 mm"
                " is found far more easily. Consider sight and hand function."
            ),
            where="coupling",
            value=figure.value,
            limit=SMALL_TARGET_MM.value,
            unit="mm",
            basis=figure.basis,
            source=SMALL_TARGET_MM.source,
        )
    ]


def _magnet_for(person: Person) -> Finding:
    """What the trade says about magnets by activity; the margin itself is the proof's."""
    level = person.activity
    ample = level in (Activity.K0, Activity.K1, Activity.K2)
    very = level is Activity.K4
    text = (
        "A magnetic coupling is ample for the average walking of limited-community walkers."
        if ample
        else "A magnetic coupling is not for very active users; choose a pin, a seal or vacuum."
        if very
        else "A magnetic coupling is known to suffice for limited-community walkers; for this"
        " activity look at the margin in swing."
    )
    return Finding(
        stage="couple",
        code="magnet-and-activity",
        severity=Severity.OK if ample else Severity.WARNING if very else Severity.NOTE,
        text=text,
        where="coupling",
        basis=Basis.GIVEN,
        source=MAGNET_FOR_WHOM,
    )


def _magnet_pull(plan: CouplingPlan) -> list[Finding]:
    """A stated pull beyond what iron can carry on that face is a slip of the pen."""
    figures = coupling_figures(plan)
    target, capacity = figures.target_diameter_mm.value, figures.capacity_n.value
    if target is None or capacity is None:
        return []
    limit = strongest_pull_n(target)
    if capacity <= limit:
        return []
    return [
        Finding(
            stage="couple",
            code="magnet-pull-impossible",
            severity=Severity.WARNING,
            text=(
                f"No magnet holds {capacity:.0f} N on a face of {target:.0f} mm: saturated iron"
                f" ends at {limit:.0f} N; check holding force and target diameter."
            ),
            where="coupling",
            value=capacity,
            limit=limit,
            unit="N",
            basis=figures.capacity_n.basis,
            source=SATURATION_T.source,
        )
    ]


def _stop_if_stated(plan: CouplingPlan) -> Severity:
    """A default diameter is from memory: it does not end the job by itself."""
    return Severity.STOP if plan.body_diameter_mm is not None else Severity.NOT_ESTABLISHED


def _body_stated(plan: CouplingPlan) -> str:
    if plan.body_diameter_mm is not None:
        return ""
    return " The body's diameter is a default: enter your part's."
