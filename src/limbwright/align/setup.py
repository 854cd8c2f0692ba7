"""The aligned leg: chain, load cases, moments and the screws for what is wanted."""

from __future__ import annotations

import math

import numpy as np

from limbwright.align.adapters import adapters_of
from limbwright.align.adjust import adjust
from limbwright.align.bench import BenchSettings, bench_leg, bench_settings, with_settings
from limbwright.align.chain import Leg, LegPose, datum_height_mm, stand, turned_out_rad
from limbwright.align.chain_view import chain_of, screws_seen
from limbwright.align.checks import (
    adapter_findings,
    added_height_findings,
    adjustment_findings,
    band_finding,
    datum_finding,
    load_findings,
    moment_finding,
    pylon_finding,
    pylon_lean_deg,
)
from limbwright.align.effects import effects_of, small_changes
from limbwright.align.guide import guide_findings, guide_for, readings_of
from limbwright.align.heel import heel_finding, heel_of
from limbwright.align.load_line import knee_centre, load_line, load_line_finding
from limbwright.align.loads import Walker, ground_loads, load_cases, moment_curve
from limbwright.align.plan import AlignPlan
from limbwright.align.result import Alignment, LoadCase
from limbwright.align.wanted import wanted_change
from limbwright.assess.fast_walk import fast_walk_m_s
from limbwright.assess.plan import Person
from limbwright.assess.result import Assessment
from limbwright.capture.result import Limb
from limbwright.core.findings import worst_first
from limbwright.core.mesh import Vector
from limbwright.core.slicing import slice_moments
from limbwright.core.sources import Basis
from limbwright.couple.build_height import part_heights, pylon_length_mm
from limbwright.couple.hanging_mass import hanging_mass
from limbwright.couple.plan import PartsPlan
from limbwright.couple.result import BuildHeight, Coupling, Seat
from limbwright.shape.result import SocketShape


def set_up(
    limb: Limb,
    shape: SocketShape,
    coupling: Coupling,
    plan: AlignPlan,
    person: Person,
    assessment: Assessment,
    parts: PartsPlan,
) -> Alignment:
    """The leg set up on the bench: where everything stands, what it carries, which screws to turn.

    Parameters
    ----------
    limb : Limb
    shape : SocketShape
    coupling : Coupling
    plan : AlignPlan
    person : Person
    assessment : Assessment
    parts : PartsPlan

    Raises
    ------
    DoesNotFit
        When the parts leave no tube; the message says how many millimetres are missing.
    InvalidCase
        When two adapters stand at the same place.
    """
    adapters = adapters_of(plan.adapters, parts)
    settings = bench_settings(plan, person)
    plumb = socket_centre(shape)
    heel = heel_of(plan, parts, assessment.foot_length_mm)
    leg = _leg(coupling.seat, coupling.height, plan, person, assessment, parts, plumb)
    pose = stand(leg)
    walker = _walker(assessment)
    moments = moment_curve(leg, walker)
    wanted = wanted_change(plan, leg, walker)
    adjustment = adjust(leg, wanted, adapters)
    knee, knee_basis = knee_centre(limb)
    line = load_line(leg, pose, limb, knee, knee_basis)
    readings = readings_of(
        pose,
        plumb,
        person.flexion_contracture_deg,
        heel.tilt_deg,
        _length_off_mm(pose, coupling),
    )
    guide = guide_for(plan.observed, leg, adapters, readings, walker, knee)
    cases = _load_cases(leg, coupling.seat, person, assessment, parts)
    findings = (
        *adapter_findings(leg, adapters),
        pylon_finding(pose),
        moment_finding(moments),
        *adjustment_findings(wanted, adjustment, adapters),
        *load_findings(walker),
        *datum_finding(limb),
        heel_finding(heel),
        load_line_finding(line),
        band_finding(leg, walker),
        *added_height_findings(adapters),
        *guide_findings(guide),
    )
    return Alignment(
        points_mm=pose.points_mm,
        up=pose.ground_axes[:, 2],
        forward=pose.ground_axes[:, 1],
        load_cases=cases,
        ground_loads=ground_loads(cases, pose),
        moments=moments,
        adjustment=adjustment,
        settings=_settings(settings, leg, pose, coupling),
        findings=worst_first(findings),
        leg=leg,
        chain=chain_of(leg, pose, adapters),
        screws=screws_seen(adapters, person.side),
        load_line=line,
        effects=effects_of(leg, small_changes(), walker, knee),
        guide=guide,
    )


def loads_of(
    shape: SocketShape,
    seat: Seat,
    height: BuildHeight,
    plan: AlignPlan,
    person: Person,
    assessment: Assessment,
    parts: PartsPlan,
) -> tuple[LoadCase, ...]:
    """The load cases as `set_up` finds them, without what is said of the leg.

    Raises
    ------
    DoesNotFit, InvalidCase
        As `set_up`.
    """
    leg = _leg(seat, height, plan, person, assessment, parts, socket_centre(shape))
    return _load_cases(leg, seat, person, assessment, parts)


def _load_cases(
    leg: Leg, seat: Seat, person: Person, assessment: Assessment, parts: PartsPlan
) -> tuple[LoadCase, ...]:
    """The leg's load cases, swung with the mass and speed that its suspension is judged by."""
    fast_m_s = fast_walk_m_s(person.activity, assessment.speed_m_s)
    walker = _walker(assessment)
    return load_cases(leg, stand(leg), walker, seat, hanging_mass(parts), fast_m_s)


def _leg(
    seat: Seat,
    height: BuildHeight,
    plan: AlignPlan,
    person: Person,
    assessment: Assessment,
    parts: PartsPlan,
    plumb: Vector,
) -> Leg:
    """The leg as the bench sets it, plumb line through the socket's centre."""
    pylon_length_mm(height)
    adapters = adapters_of(plan.adapters, parts)
    bench = bench_leg(
        seat,
        part_heights(parts),
        bench_settings(plan, person),
        height,
        assessment.foot_length_mm,
        plumb,
        adapters,
        heel_of(plan, parts, assessment.foot_length_mm).tilt_rad,
    )
    return with_settings(bench, adapters)


def _walker(assessment: Assessment) -> Walker:
    return Walker(assessment.body_weight_n, assessment.speed_m_s, assessment.speed_basis)


def _length_off_mm(pose: LegPose, coupling: Coupling) -> float | None:
    """How much longer the leg stands than the sound side was measured; None when it was not."""
    if coupling.height.datum_basis not in (Basis.GIVEN, Basis.MEASURED):
        return None
    return datum_height_mm(pose) - coupling.height.datum_floor_mm


def socket_centre(shape: SocketShape) -> Vector:
    """Middle of the socket's section at the datum, where the plumb line starts, (3,) mm."""
    section = slice_moments(shape.surface, np.array([0.0]))
    centre = section.centroid_mm[0]
    if not np.isfinite(centre).all() or section.gap_mm[0] > 0.0:
        return np.zeros(3)
    return np.array([centre[0], centre[1], 0.0])


def _settings(
    bench: BenchSettings, leg: Leg, pose: LegPose, coupling: Coupling
) -> dict[str, tuple[float, str, Basis]]:
    """What the leg is set to, and what follows from it."""
    basis = bench.bases
    toe_out = bench.toe_out_deg + math.degrees(turned_out_rad(leg))
    forward_deg, outward_deg = pylon_lean_deg(pose)
    bases = {item.basis for item in coupling.height.items}
    height_basis = Basis.DEFAULT if Basis.DEFAULT in bases else coupling.height.datum_basis
    return {
        "socket flexion": (bench.socket_flexion_deg, "deg", basis["socket_flexion"]),
        "socket adduction": (bench.socket_adduction_deg, "deg", basis["socket_adduction"]),
        "foot inset": (bench.foot_inset_mm, "mm", basis["foot_inset"]),
        "ankle forward of plumb line": (bench.ankle_forward_mm, "mm", basis["ankle_forward"]),
        "toe-out": (toe_out, "deg", basis["toe_out"]),
        "socket adapter flexion": _angle(leg.socket.flexion_rad),
        "socket adapter adduction": _angle(leg.socket.adduction_rad),
        "foot adapter flexion": _angle(leg.foot.flexion_rad),
        "foot adapter adduction": _angle(leg.foot.adduction_rad),
        "tube turned outward": _angle(leg.twist_rad),
        "pylon leans forward": (forward_deg, "deg", Basis.ESTIMATED),
        "pylon leans outward": (outward_deg, "deg", Basis.ESTIMATED),
        "pylon": (leg.pylon_mm, "mm", height_basis),
        "datum to floor": (datum_height_mm(pose), "mm", coupling.height.datum_basis),
    }


def _angle(angle_rad: float) -> tuple[float, str, Basis]:
    return math.degrees(angle_rad), "deg", Basis.ESTIMATED
