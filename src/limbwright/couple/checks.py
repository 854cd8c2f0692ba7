"""What is to be said about a coupling's seat before anything is loaded."""

from __future__ import annotations

import math

import numpy as np

from limbwright.assess.plan import Activity, Person
from limbwright.core.findings import Finding, Severity
from limbwright.core.mesh import Mesh
from limbwright.core.sources import Basis
from limbwright.couple.axis import Line, exit_direction, meetings_mm
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
    SCREW_CLEARANCE_MM,
    SCREW_GAP_SHARE,
    SCREWS_STAY_OUTSIDE,
    SHIN_SECTOR_DEG,
    SMALL_TARGET_MM,
)
from limbwright.shape.places import direction_of
from limbwright.shape.result import SocketShape

_EXIT_STEP_DEG = 5
"""Turn by which directions for an exit are tried."""


def seat_findings(
    seat: Seat, cavity: Mesh, plan: CouplePlan, person: Person, shape: SocketShape
) -> tuple[Finding, ...]:
    """Exit, screws, target and for whom the coupling is; `cavity` as in `seat_solids`."""
    coupling = plan.coupling
    found: list[Finding] = []
    if coupling.kind in KINDS_WITH_BODY | KINDS_WITH_VALVE:
        found += [_exit_to_trim(seat, coupling, shape), *_exit_to_shin(seat, coupling, shape)]
    if coupling.kind in KINDS_WITH_BODY:
        found += [*_screws(seat, coupling), *_mouth(seat, coupling, shape), *_target(coupling)]
    found += [_screws_apart(coupling), *_screws_to_limb(seat, cavity, coupling)]
    if coupling.kind is CouplingKind.MAGNET:
        found += [_magnet_for(person), *_magnet_pull(coupling)]
    return tuple(found)


def free_exit_deg(seat: Seat, plan: CouplingPlan, shape: SocketShape) -> float | None:
    """The direction nearest to the plan's in which an exit is free of trim line and shin.

    Returns
    -------
    float or None
        Degrees from outward, anti-clockwise; the plan's own when it is free, None when none is.
    """
    turned = sorted(range(0, 360, _EXIT_STEP_DEG), key=lambda turn: (min(turn, 360 - turn), turn))
    for turn in turned:
        angle_deg = (plan.exit_angle_deg + turn) % 360.0
        if _on_shin_deg(angle_deg) < SHIN_SECTOR_DEG.value:
            continue
        if exit_gap_mm(seat, plan, shape, angle_deg) >= EXIT_TO_TRIM_MM.value:
            return angle_deg
    return None


def exit_gap_mm(seat: Seat, plan: CouplingPlan, shape: SocketShape, angle_deg: float) -> float:
    """Distance of an exit's rim from the trim line; negative where it cuts into it."""
    start, direction = exit_level(seat, plan), exit_direction(seat.axis, angle_deg)
    along = (shape.trim.points_mm - start) @ direction
    ray = start + np.maximum(along, 0.0)[:, None] * direction
    gap_mm = float(np.linalg.norm(shape.trim.points_mm - ray, axis=1).min())
    return gap_mm - 0.5 * plan.exit_diameter_mm


def _on_shin_deg(angle_deg: float) -> float:
    """How far a direction is from straight forward."""
    return abs(math.remainder(angle_deg - 90.0, 360.0))


def _instead(seat: Seat, plan: CouplingPlan, shape: SocketShape) -> str:
    """The free direction to turn an exit to."""
    free_deg = free_exit_deg(seat, plan, shape)
    if free_deg is None:
        return "another place of the exit: no direction is free of both trim line and shin"
    turn = math.remainder(free_deg - plan.exit_angle_deg, 360.0)
    side = direction_of(math.radians(free_deg))
    return f"the exit turned {abs(turn):.0f} degrees to {side} ({free_deg:.0f}), the nearest free"


def _exit_to_trim(seat: Seat, plan: CouplingPlan, shape: SocketShape) -> Finding:
    gap_mm = exit_gap_mm(seat, plan, shape, plan.exit_angle_deg)
    clear = gap_mm >= EXIT_TO_TRIM_MM.value
    text = (
        f"The exit passes {gap_mm:.0f} mm from the trim line."
        if gap_mm >= 0.0
        else "The exit cuts into the trim line."
    )
    return Finding(
        stage="couple",
        code="exit-clear-of-trim" if clear else "exit-meets-trim",
        severity=Severity.OK if clear else Severity.STOP if gap_mm < 0.0 else Severity.WARNING,
        text=text,
        where="exit",
        value=gap_mm,
        limit=EXIT_TO_TRIM_MM.value,
        unit="mm",
        basis=Basis.GIVEN,
        source=EXIT_TO_TRIM_MM.source,
        remedy="" if clear else f"{_instead(seat, plan, shape)}, or a higher trim line there",
        entry="" if clear else "couple.coupling.exit_angle_deg",
        at_least=True,
    )


def _exit_to_shin(seat: Seat, plan: CouplingPlan, shape: SocketShape) -> list[Finding]:
    """An exit near straight forward comes out on the shin side."""
    from_forward = _on_shin_deg(plan.exit_angle_deg)
    if from_forward >= SHIN_SECTOR_DEG.value:
        return []
    return [
        Finding(
            stage="couple",
            code="exit-on-shin-side",
            severity=Severity.WARNING,
            text=(
                f"The exit comes out on the shin side, {from_forward:.0f} degrees from straight"
                " forward, where it is knocked and shows."
            ),
            where="exit",
            value=from_forward,
            limit=SHIN_SECTOR_DEG.value,
            unit="deg",
            basis=Basis.GIVEN,
            source=SHIN_SECTOR_DEG.source,
            remedy=_instead(seat, plan, shape),
            entry="couple.coupling.exit_angle_deg",
            at_least=True,
        )
    ]


def _screws_apart(plan: CouplingPlan) -> Finding:
    """Between two screws at least a screw's width must stand."""
    gap_mm = plan.screw_square_mm - plan.screw_diameter_mm - SCREW_CLEARANCE_MM.value
    needed_mm = SCREW_GAP_SHARE.value * plan.screw_diameter_mm
    clear = gap_mm >= needed_mm
    return Finding(
        stage="couple",
        code="screws-apart" if clear else "screws-too-close",
        severity=Severity.OK if clear else Severity.WARNING,
        text=f"Between neighbouring screw holes stand {gap_mm:.1f} mm"
        + ("." if clear else f", less than {needed_mm:.1f} mm."),
        where="screw square",
        value=gap_mm,
        limit=needed_mm,
        unit="mm",
        basis=Basis.GIVEN,
        source=SCREW_GAP_SHARE.source,
        remedy="" if clear else "a wider screw square",
        entry="" if clear else "couple.coupling.screw_square_mm",
        at_least=True,
    )


def _screws_to_limb(seat: Seat, cavity: Mesh, plan: CouplingPlan) -> list[Finding]:
    """Screws that pass beside the body must end under the room of limb and liner, not in it."""
    rim = plan.screw_square_mm / math.sqrt(2.0) + 0.5 * plan.screw_diameter_mm
    if plan.kind in KINDS_WITH_BODY and rim <= 0.5 * seat.body_diameter_mm:
        return []
    # from below, the first meeting with the inside is where a screw would come out
    gaps = [
        float(met.min(initial=np.inf))
        for met in (
            meetings_mm(cavity, Line(top, -seat.axis))
            for top in seat.screws_mm - seat.floor_mm * seat.axis
        )
    ]
    gap_mm = min(gaps)
    if not math.isfinite(gap_mm):
        return []
    clear = gap_mm > 0.0
    return [
        Finding(
            stage="couple",
            code="screws-clear-of-limb" if clear else "screws-open-into-socket",
            severity=Severity.OK if clear else Severity.STOP,
            text=f"A screw from below may reach {gap_mm:.1f} mm past the floor before it comes out"
            " inside the socket."
            if clear
            else f"A screw hole opens {-gap_mm:.1f} mm into the socket.",
            where="screw square",
            value=gap_mm,
            unit="mm",
            basis=Basis.MEASURED,
            source=SCREWS_STAY_OUTSIDE,
            remedy="" if clear else "a narrower screw square, or a thicker floor",
            entry="" if clear else "couple.coupling.screw_square_mm",
            at_least=True,
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
        else f"The screws would cut the rim of the coupling's body by {-inside:.1f} mm."
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
            source=SCREWS_STAY_OUTSIDE,
            remedy="another screw square, or a wider or narrower body",
            entry="couple.coupling.screw_square_mm",
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
                " its pocket would reach the trim line."
                f"{_body_stated(plan)}"
            ),
            where="coupling",
            value=seat.mouth_mm,
            unit="mm",
            basis=Basis.MEASURED if plan.body_diameter_mm is not None else Basis.DEFAULT,
            source=EXIT_TO_TRIM_MM.source,
            remedy="a narrower coupling",
            entry="couple.coupling.body_diameter_mm",
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
            remedy="a coupling with a larger target",
            entry="couple.coupling.target_diameter_mm",
            at_least=True,
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
