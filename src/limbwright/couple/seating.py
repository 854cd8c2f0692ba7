"""The coupling set under the limb: where it sits, whether it fits and comes apart again."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from limbwright.assess.plan import Liner, LinerMaterial, Person
from limbwright.capture.result import Limb
from limbwright.core.findings import worst_first
from limbwright.core.mesh import (
    Mesh,
    Scalars,
    Vector,
    Vertices,
    vertex_normals,
    with_vertices,
)
from limbwright.couple.alternatives import alternative_findings, alternatives
from limbwright.couple.axis import (
    SOCKET_PART,
    Line,
    distal_axis,
    exit_direction,
    leaves_at,
    seat_frame,
    seat_line,
    shifted,
)
from limbwright.couple.balance import (
    BenchStand,
    Hang,
    axis_choices,
    axis_finding,
    balanced_line,
    hang,
    most_tilt_deg,
    reserve_deg,
)
from limbwright.couple.build_height import build_height, height_finding
from limbwright.couple.catalogue import Catalogue
from limbwright.couple.checks import free_exit_deg, seat_findings
from limbwright.couple.figures import coupling_figures
from limbwright.couple.hardware import cavity_of, round_bar, seat_solids
from limbwright.couple.misfit import UNLOADED, misfit_findings, stand_off
from limbwright.couple.plan import CouplePlan, CouplingPlan, SeatAxis
from limbwright.couple.polar import polar_radii
from limbwright.couple.ratings import part_findings
from limbwright.couple.result import (
    Alternative,
    AxisChoice,
    BuildHeight,
    Coupling,
    Seat,
    Withdrawal,
)
from limbwright.couple.tables import (
    FIT_CLEARANCE_MM,
    FLOOR_MM,
    KINDS_WITH_BODY,
    KINDS_WITH_VALVE,
)
from limbwright.couple.trim_offer import offered
from limbwright.couple.way_out import withdrawal_findings
from limbwright.couple.withdrawal import (
    dummy_in_cast,
    middle_line,
    rigid_model,
    soft_limb,
    withdrawal,
)
from limbwright.shape.result import SocketShape

COMMON_WALL_MM = 5.0
"""Wall for which the solids are drawn before the wall is decided."""
MOUTH_LIMIT_MM = 60.0
"""How far up the socket the way in for a coupling body is looked for."""


@dataclass(frozen=True, slots=True, eq=False)
class SeatBasis:
    """What a limb and its liner give to every seat, whatever the socket's depths.

    Parameters
    ----------
    skin, lined : Mesh
        The limb, and the limb in its liner before the socket shapes it.
    distal : Line
        Axis of the distal limb.
    end_mm : (3,) float64
        Where that axis leaves the limb.
    """

    skin: Mesh
    lined: Mesh
    distal: Line
    end_mm: Vector


def seat_basis(limb: Limb, liner_mm: Scalars) -> SeatBasis:
    """Prepare a limb for seating; `liner_mm` is (n,) room for the liner per vertex."""
    lined = _in_liner(limb, liner_mm) if bool(liner_mm.any()) else limb.surface
    distal = distal_axis(limb.surface)
    return SeatBasis(limb.surface, lined, distal, leaves_at(limb.surface, distal, "limb"))


def seat_coupling(
    limb: Limb,
    shape: SocketShape,
    plan: CouplePlan,
    person: Person,
    liner: Liner,
    floor_mm: float = FLOOR_MM.value,
    basis: SeatBasis | None = None,
    stand: BenchStand | None = None,
    catalogue: Catalogue | None = None,
) -> Coupling:
    """The coupling placed under the limb: its seat, its fit, its height and the way out.

    Parameters
    ----------
    limb : Limb
    shape : SocketShape
    plan : CouplePlan
    person : Person
    liner : Liner
    floor_mm : float
        Thickness of the socket's floor between coupling and plate.
    basis : SeatBasis, optional
        As `seat_basis` prepares it; made anew when not given.
    stand : BenchStand, optional
        Where the bench wants the foot. Without it nothing is known of the adapters, and the
        balanced axis is that of the distal limb.
    catalogue : Catalogue, optional
        Parts to look for alternatives in when those in hand do not fit; none without it.

    Raises
    ------
    DesignRefused
        When the axis passes beside the limb's end, or the socket's inside is no solid.
    """
    basis = basis if basis is not None else seat_basis(limb, shape.liner_mm)
    hanging = hang(plan, stand, floor_mm) if stand is not None else None
    target = _target(basis, shape, liner)
    lines = _lines(basis, shape, plan, target, hanging)
    seat = place_seat(basis, shape, plan.coupling, liner, floor_mm, lines[plan.coupling.axis])
    height = build_height(seat, plan, person)
    way = middle_line(shape.model, seat.axis)
    rigid = offered(withdrawal(rigid_model(shape.model), way), seat, plan.coupling, shape)
    soft = withdrawal(soft_limb(shape.model, basis.lined), way, rigid)
    dummy = _dummy_withdrawal(seat, shape.model)
    if dummy is not None:
        dummy = offered(dummy, seat, plan.coupling, shape)
    cavity = cavity_of(seat, shape.model)
    additions, cutters = seat_solids(seat, cavity, plan, COMMON_WALL_MM, floor_mm)
    axes: tuple[AxisChoice, ...] = ()
    if hanging is not None:
        axes = axis_choices(lines, target, basis.skin, hanging, plan)
    others: tuple[Alternative, ...] = ()
    if catalogue is not None:
        others = alternatives(height, seat, plan, person, catalogue)
    findings = (
        height_finding(height),
        *(alternative_findings(others, height) if catalogue is not None else ()),
        *(axis_finding(axes, hanging) if hanging is not None else ()),
        *misfit_findings(plan, {UNLOADED: (seat.tilt_deg, seat.offset_mm)}),
        *seat_findings(seat, cavity, plan, person, shape),
        *part_findings(plan, person, floor_mm),
        *withdrawal_findings(rigid, soft, dummy, shape),
    )
    return Coupling(
        seat=seat,
        height=height,
        withdrawal=rigid,
        limb_withdrawal=soft,
        additions=additions,
        cutters=cutters,
        findings=worst_first(findings),
        dummy_withdrawal=dummy,
        axes=axes,
        alternatives=others,
        free_exit_deg=free_exit_deg(seat, plan.coupling, shape)
        if plan.coupling.kind in KINDS_WITH_BODY | KINDS_WITH_VALVE
        else None,
    )


def seat_and_height(
    basis: SeatBasis,
    shape: SocketShape,
    plan: CouplePlan,
    person: Person,
    liner: Liner,
    floor_mm: float,
    stand: BenchStand,
) -> tuple[Seat, BuildHeight]:
    """Seat and build height as `seat_coupling` finds them, without what is said of them."""
    lines = _lines(basis, shape, plan, _target(basis, shape, liner), hang(plan, stand, floor_mm))
    seat = place_seat(basis, shape, plan.coupling, liner, floor_mm, lines[plan.coupling.axis])
    return seat, build_height(seat, plan, person)


def place_seat(
    basis: SeatBasis,
    shape: SocketShape,
    plan: CouplingPlan,
    liner: Liner,
    floor_mm: float,
    line: Line | None = None,
) -> Seat:
    """Where the coupling sits: liner cap, exact spacing, face, base, screws and exit.

    The liner cap lies under the skin at the thickness that the liner has there; on a limb that
    was scanned in its liner it is the scanned surface itself. Without a `line` the axis is the
    one that the limb alone gives.
    """
    distal, skin = basis.distal, basis.skin
    figures = coupling_figures(plan)
    line = shifted(line if line is not None else seat_line(plan, distal), plan)
    under_mm = _cap_mm(shape, liner)
    cap = leaves_at(skin, line, "limb") + under_mm * line.direction
    with_body = plan.kind in KINDS_WITH_BODY
    face = (
        cap + plan.spacing_mm * line.direction
        if with_body
        else leaves_at(shape.model, line, "socket")
    )
    target = _target(basis, shape, liner)
    base = face + (figures.body_height_mm + floor_mm) * line.direction
    tilt_deg, offset_mm = stand_off(Line(face, line.direction), target) if with_body else (0.0, 0.0)
    mouth = _mouth_mm(shape.model, Line(face, line.direction), figures.body_diameter_mm, with_body)
    return Seat(
        kind=plan.kind,
        axis=line.direction,
        cap_mm=cap,
        face_mm=face,
        base_mm=base,
        screws_mm=_screw_square(line.direction, base, plan.screw_square_mm),
        exit_direction=exit_direction(line.direction, plan.exit_angle_deg),
        tilt_deg=tilt_deg,
        offset_mm=offset_mm,
        body_diameter_mm=figures.body_diameter_mm,
        body_height_mm=figures.body_height_mm,
        target_mm=target.point_mm,
        target_axis=target.direction,
        floor_mm=floor_mm,
        mouth_mm=mouth,
    )


def _lines(
    basis: SeatBasis, shape: SocketShape, plan: CouplePlan, target: Line, hanging: Hang | None
) -> dict[SeatAxis, Line]:
    """The axes to weigh, and that of the plan whatever it is."""
    own, distal = plan.coupling.axis, basis.distal
    lines = {
        SeatAxis.DISTAL: distal,
        SeatAxis.LIMB: seat_line(CouplingPlan(axis=SeatAxis.LIMB), distal),
    }
    if hanging is not None:
        figures = coupling_figures(plan.coupling)
        most_deg, left_deg = most_tilt_deg(plan, figures), reserve_deg(plan, figures)
        lines[SeatAxis.BALANCED] = balanced_line(target, hanging, most_deg, left_deg)
    if own is SeatAxis.SOCKET:
        lines[own] = distal_axis(shape.model, SOCKET_PART)
    if own not in lines:
        lines[own] = seat_line(plan.coupling, distal)
    return lines


def _target(basis: SeatBasis, shape: SocketShape, liner: Liner) -> Line:
    """Middle of the liner's target, and the distal limb's axis, which it is square to."""
    distal = basis.distal
    return Line(basis.end_mm + _cap_mm(shape, liner) * distal.direction, distal.direction)


def _cap_mm(shape: SocketShape, liner: Liner) -> float:
    """Liner between skin and cap face; nothing when the scan shows the liner already."""
    scanned_over_liner = not bool((shape.liner_mm > 0.0).any())
    if scanned_over_liner or liner.material is LinerMaterial.NONE:
        return 0.0
    return liner.cap_thickness_mm


def _in_liner(limb: Limb, liner_mm: Scalars) -> Mesh:
    """The limb in its liner, before the socket shapes it."""
    normals = vertex_normals(limb.surface)
    return with_vertices(limb.surface, limb.surface.vertices + liner_mm[:, None] * normals)


def _screw_square(axis: Vector, base: Vector, side_mm: float) -> Vertices:
    """Four screw centres on a square with sides outward and forward, anti-clockwise, (4, 3)."""
    outward, forward, _ = seat_frame(axis).T
    half = 0.5 * side_mm
    corners = ((half, half), (-half, half), (-half, -half), (half, -half))
    return np.array([base + o * outward + f * forward for o, f in corners])


def _dummy_withdrawal(seat: Seat, model: Mesh) -> Withdrawal | None:
    """Whether a dummy of the coupling's size comes out of a cast that is shaped as the socket.

    Up to where the inside is as wide as the dummy the cast was wrapped over it, so that it stands
    free there.
    """
    if seat.kind not in KINDS_WITH_BODY:
        return None
    floor_top = seat.face_mm + seat.body_height_mm * seat.axis
    top = seat.face_mm - seat.mouth_mm * seat.axis
    column = round_bar(seat.axis, floor_top, top, 0.5 * seat.body_diameter_mm)
    return withdrawal(dummy_in_cast(model, column), Line(seat.face_mm, seat.axis))


def _mouth_mm(inside: Mesh, face: Line, diameter_mm: float, with_body: bool) -> float:
    """How far above the face the inside of the socket is first as wide as the body's pocket."""
    if not with_body:
        return 0.0
    heights = np.arange(0.0, MOUTH_LIMIT_MM + 0.5, 1.0)
    radii = polar_radii(inside, face, heights[::-1], angles=90).radii_mm[::-1]
    narrowest = np.nan_to_num(radii, nan=0.0).min(axis=1)
    wide = np.flatnonzero(narrowest >= 0.5 * diameter_mm + FIT_CLEARANCE_MM.value)
    return float(heights[wide[0]]) if len(wide) else MOUTH_LIMIT_MM
