"""Liner target against coupling axis: how far it tilts and shifts, unloaded and under load."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Protocol

import numpy as np
from scipy.spatial.transform import Rotation

from limbwright.core.findings import Finding, Severity
from limbwright.core.mesh import Vector
from limbwright.core.sources import STATED_IN_CASE, Basis, Confidence, Origin, Source
from limbwright.couple.axis import Line
from limbwright.couple.figures import CouplingFigures, Figure, coupling_figures, disc_overlap
from limbwright.couple.plan import CouplePlan, CouplingKind, CouplingPlan
from limbwright.couple.result import Seat
from limbwright.couple.tables import KINDS_WITH_BODY

UNLOADED = "unloaded"
_NO_GAP_MM = 0.05
"""What is shown as 0.1 mm and more is worth a word."""


class LimbPose(Protocol):
    """How the limb stands in the socket: shift of the datum and a small turn (o, f, u)."""

    @property
    def shift_mm(self) -> Vector:
        """Shift of the limb frame's origin, (3,) float64, mm."""

    @property
    def turn_rad(self) -> Vector:
        """Rotation vector, (3,) float64."""


def target_misfit(seat: Seat, plan: CouplePlan, pose: LimbPose | None) -> tuple[float, float]:
    """How far the liner's target stands off the coupling when the limb moves in the socket.

    The target rides with the limb; the coupling is fixed to the socket.

    Parameters
    ----------
    seat : Seat
    plan : CouplePlan
    pose : LimbPose or None
        Pose of the limb in one load case; None for the limb as designed, unloaded.

    Returns
    -------
    tilt_deg : float
        Angle between target and coupling axis; 0 for a suspension without a target.
    offset_mm : float
        Distance of the target's middle from the coupling's axis.
    """
    if plan.coupling.kind not in KINDS_WITH_BODY:
        return 0.0, 0.0
    target, direction = seat.target_mm, seat.target_axis
    if pose is not None:
        turn = Rotation.from_rotvec(np.array(pose.turn_rad)).as_matrix()
        target = pose.shift_mm + turn @ target
        direction = turn @ direction
    return stand_off(Line(seat.face_mm, seat.axis), Line(target, direction))


def stand_off(coupling: Line, target: Line) -> tuple[float, float]:
    """Tilt in degrees and sideways offset in mm of a target against the coupling's axis."""
    cross = float(np.linalg.norm(np.cross(target.direction, coupling.direction)))
    tilt = math.atan2(cross, float(target.direction @ coupling.direction))
    aside = target.point_mm - coupling.point_mm
    aside = aside - (aside @ coupling.direction) * coupling.direction
    return math.degrees(tilt), float(np.linalg.norm(aside))


def edge_gap_mm(diameter_mm: float, tilt_deg: float) -> float:
    """How far a flat disc that stands on one edge opens at the other, D·sin(tilt)."""
    return diameter_mm * math.sin(math.radians(tilt_deg))


def misfit_findings(
    plan: CouplePlan, misfits: Mapping[str, tuple[float, float]], stage: str = "couple"
) -> tuple[Finding, ...]:
    """Hold tilt and offset of each case against the coupling's tolerance.

    Parameters
    ----------
    plan : CouplePlan
    misfits : mapping of case name to (tilt_deg, offset_mm)
        The worst one is reported.
    stage : str
        The stage that says it: "couple" unloaded, "prove" under load.
    """
    if plan.coupling.kind not in KINDS_WITH_BODY or not misfits:
        return ()
    figures = coupling_figures(plan.coupling)
    tilts = {case: tilt for case, (tilt, _) in misfits.items()}
    offsets = {case: offset for case, (_, offset) in misfits.items()}
    tilt_says = _opens(plan.coupling, figures, max(tilts.values()))
    offset_says = _shares(plan.coupling, figures, max(offsets.values()))
    return (
        _finding("tilt", tilts, figures.tolerance_tilt_deg, "deg", stage, tilt_says),
        _finding("offset", offsets, figures.tolerance_offset_mm, "mm", stage, offset_says),
    )


def _opens(plan: CouplingPlan, figures: CouplingFigures, tilt_deg: float) -> str:
    """What a tilt does to a magnet's flat target; whether it seats itself is the part's own."""
    target_mm = figures.target_diameter_mm.value
    if plan.kind is not CouplingKind.MAGNET or target_mm is None:
        return ""
    if figures.self_seating:
        return " Its target seats itself on the face."
    gap_mm = edge_gap_mm(target_mm, tilt_deg)
    if gap_mm < _NO_GAP_MM:
        return ""
    opens = f"a flat target of {target_mm:.0f} mm opens {gap_mm:.1f} mm at one edge"
    if figures.self_seating is None:
        return f" Unless it seats itself, {opens}: ask its maker."
    return f" It does not seat itself: {opens}, and what it holds then is not established."


def _shares(plan: CouplingPlan, figures: CouplingFigures, offset_mm: float) -> str:
    """What an offset leaves of the faces of a magnet and its target."""
    target_mm = figures.target_diameter_mm.value
    if plan.kind is not CouplingKind.MAGNET or target_mm is None:
        return ""
    share = disc_overlap(offset_mm, target_mm)
    return f" The faces share {100.0 * share:.0f} % of a disc of {target_mm:.0f} mm."


def _finding(
    what: str, cases: Mapping[str, float], limit: Figure, unit: str, stage: str, more: str
) -> Finding:
    case = max(cases, key=lambda name: cases[name])
    value = cases[case]
    shown = "degrees" if unit == "deg" else unit
    says = f"The liner's target stands off the coupling by {value:.1f} {shown} of {what}"
    says += f" ({case.replace('_', ' ')}{_others(cases, case, unit)})"
    if limit.value is None:
        severity = Severity.NOT_ESTABLISHED
        text = f"{says}; no tolerance is established."
    elif value <= limit.value:
        # what rests on a default is told, not approved
        severity = Severity.OK if limit.basis is Basis.GIVEN else Severity.NOTE
        spare = limit.value - value
        text = f"{says}, within its {limit.value:.1f} {shown} ({_told(spare, unit)} to spare)."
    else:
        severity = _beyond(limit)
        text = (
            f"{says}, {value - limit.value:.1f} {shown} beyond what it tolerates"
            f" ({_told(limit.value, unit)})."
        )
    code = f"target-{what}-{case}".replace("_", "-")
    return Finding(
        stage=stage,
        code=code,
        severity=severity,
        text=text + more,
        where="coupling",
        value=value,
        limit=limit.value,
        unit=unit,
        basis=Basis.ESTIMATED if limit.basis is Basis.GIVEN else limit.basis,
        source=_source(limit),
        remedy="a seat on the distal limb's axis, or moved"
        if limit.value is not None
        else "what the coupling's maker states",
        entry="couple.coupling.axis"
        if limit.value is not None
        else f"couple.coupling.tolerance_{what}_{unit}",
    )


_NO_TOLERANCE = Source(
    Origin.PROJECT, "no tolerance of such couplings was found stated", Confidence.MEDIUM
)


def _source(limit: Figure) -> Source:
    """Where a limit comes from; without one, that none is known."""
    if limit.value is None:
        return _NO_TOLERANCE
    return limit.source if limit.source is not None else STATED_IN_CASE


def _told(value: float, unit: str) -> str:
    """A figure beside another of its kind; a length never without its unit, for it is converted."""
    return f"{value:.1f} mm" if unit == "mm" else f"{value:.1f}"


def _others(cases: Mapping[str, float], worst: str, unit: str) -> str:
    """The other load cases with their values, in their order."""
    rest = [
        f"{name.replace('_', ' ')} {_told(value, unit)}"
        for name, value in cases.items()
        if name != worst
    ]
    return "; " + ", ".join(rest) if rest else ""


def _beyond(limit: Figure) -> Severity:
    """Only a stated figure ends the job; what nobody is sure of decides nothing."""
    if limit.basis is Basis.GIVEN:
        return Severity.STOP
    weak = limit.source is None or limit.source.confidence is Confidence.LOW
    return Severity.NOT_ESTABLISHED if weak else Severity.WARNING
