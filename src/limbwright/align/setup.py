"""The aligned leg: chain, load cases, moments and the screws for what is wanted."""

from __future__ import annotations

import numpy as np

from limbwright.align.adapters import adapters_of
from limbwright.align.adjust import adjust, adjustment_steps
from limbwright.align.bench import bench_leg, bench_settings, with_settings
from limbwright.align.chain import Leg, LegPose, datum_height_mm, stand
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
)
from limbwright.align.effects import effects_of, small_changes
from limbwright.align.freedoms import freedoms_of
from limbwright.align.guide import guide_findings, guide_for, readings_of
from limbwright.align.heel import heel_finding, heel_of
from limbwright.align.load_line import knee_centre, load_line, load_line_finding
from limbwright.align.loads import Walker, ground_loads, load_cases, moment_curve
from limbwright.align.plan import AlignPlan
from limbwright.align.result import Alignment, LoadCase
from limbwright.align.standing import planned_settings, standing_settings
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
    plumb = socket_centre(shape)
    heel = heel_of(plan, parts, assessment.foot_length_mm)
    bench = _on_bench(coupling.seat, coupling.height, plan, person, assessment, parts, plumb)
    leg = with_settings(bench, adapters)
    turned = adjustment_steps(bench, leg, freedoms_of(adapters))
    planned = planned_settings(bench_settings(plan, person))
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
        settings=standing_settings(planned, leg, pose, plumb, coupling.height, turned=bool(turned)),
        planned=planned,
        turned=turned,
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
    bench = _on_bench(seat, height, plan, person, assessment, parts, socket_centre(shape))
    leg = with_settings(bench, adapters_of(plan.adapters, parts))
    return _load_cases(leg, seat, person, assessment, parts)


def _load_cases(
    leg: Leg, seat: Seat, person: Person, assessment: Assessment, parts: PartsPlan
) -> tuple[LoadCase, ...]:
    """The leg's load cases, swung with the mass and speed that its suspension is judged by."""
    fast_m_s = fast_walk_m_s(person.activity, assessment.speed_m_s)
    walker = _walker(assessment)
    return load_cases(leg, stand(leg), walker, seat, hanging_mass(parts), fast_m_s)


def _on_bench(
    seat: Seat,
    height: BuildHeight,
    plan: AlignPlan,
    person: Person,
    assessment: Assessment,
    parts: PartsPlan,
    plumb: Vector,
) -> Leg:
    """The leg as the bench sets it, plumb line through the socket's centre; nothing turned yet."""
    pylon_length_mm(height)
    return bench_leg(
        seat,
        part_heights(parts),
        bench_settings(plan, person),
        height,
        assessment.foot_length_mm,
        plumb,
        adapters_of(plan.adapters, parts),
        heel_of(plan, parts, assessment.foot_length_mm).tilt_rad,
    )


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
