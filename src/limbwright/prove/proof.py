"""All that is proved about a leg, put together."""

from __future__ import annotations

from collections.abc import Iterable

from limbwright.align.result import Alignment
from limbwright.assess.plan import Person
from limbwright.assess.result import Assessment
from limbwright.capture.result import Limb
from limbwright.core.errors import NotConverged
from limbwright.core.findings import Finding, Severity, worst_first
from limbwright.core.telling import Tell, silent
from limbwright.couple.misfit import misfit_findings, target_misfit
from limbwright.couple.plan import CouplePlan
from limbwright.couple.result import Coupling
from limbwright.prove.interface.balance import donned_balance, socket_middle
from limbwright.prove.interface.findings import interface_findings
from limbwright.prove.interface.pressure import Pressure, read_pressure
from limbwright.prove.interface.reading import ZoneMap, divide, skin_of
from limbwright.prove.interface.sensitivity import PoissonSensitivity
from limbwright.prove.plan import ProvePlan
from limbwright.prove.result import InterfaceResult, Proof
from limbwright.prove.strength import strength
from limbwright.prove.suspension import suspension
from limbwright.prove.tables import PRESSURE_MODEL
from limbwright.shape.result import SocketShape


def prove(
    limb: Limb,
    shape: SocketShape,
    coupling: Coupling,
    alignment: Alignment,
    assessment: Assessment,
    interface: InterfaceResult,
    plan: ProvePlan,
    couple_plan: CouplePlan,
    person: Person,
    *,
    zones: ZoneMap | None = None,
    refused: Iterable[NotConverged] = (),
    sensitivity: PoissonSensitivity | None = None,
    pressure: Pressure | None = None,
    tell: Tell = silent,
) -> Proof:
    """What each place carries and whether it holds: pressure, coupling, suspension, strength.

    Parameters
    ----------
    limb, shape, coupling, alignment, assessment : results of the stages before
    interface : InterfaceResult
        Pressure of all load cases, donned first.
    plan, couple_plan, person : plans
    zones : ZoneMap, optional
        The division of the surface that the engine used; made anew when not given.
    refused : iterable of NotConverged
        Load cases without equilibrium.
    sensitivity : PoissonSensitivity, optional
    pressure : Pressure, optional
        What was read of it; read without anatomical places when not given.
    tell : Tell, optional
    """
    divided = zones if zones is not None else divide(skin_of(limb.surface), shape)
    balance = donned_balance(interface, divided, shape.areas)
    misfits = {
        case.load_case: target_misfit(coupling.seat, couple_plan, case.pose)
        for case in interface.cases
    }
    holds = suspension(
        shape, person, assessment, couple_plan, plan, misfits=misfits, interface=interface
    )
    bears = strength(
        shape, coupling.seat, alignment, assessment, plan, couple_plan, interface, tell
    )
    read = pressure or read_pressure(interface, divided, shape, (), limb.bones.basis)
    pressed = interface_findings(
        interface, divided, shape.areas, limb.bones, balance, sensitivity, read
    )
    unsolved = tuple(_no_equilibrium(error) for error in refused)
    seated = misfit_findings(couple_plan, misfits, "prove")
    return Proof(
        interface=interface,
        suspension=holds.checks,
        strength=bears.checks,
        covered=shape.below_trim,
        coupling_tilt_deg={name: tilt for name, (tilt, _) in misfits.items()},
        coupling_offset_mm={name: offset for name, (_, offset) in misfits.items()},
        readings=read.readings,
        carried=read.carried,
        contact=read.contact,
        measured=read.measured,
        uncertainty=read.uncertainty,
        what_if=read.what_if,
        answer=read.answer,
        quick=read.quick,
        agreement=read.agreement,
        cautions=read.cautions,
        findings=worst_first((*unsolved, *pressed, *seated, *holds.findings, *bears.findings)),
        strength_detail=bears.detail,
        suspension_detail=holds.detail,
        socket_middle_mm=socket_middle(divided),
    )


def _no_equilibrium(error: NotConverged) -> Finding:
    """A load case without equilibrium has no number, and stops the job."""
    text = error.message[0].upper() + error.message[1:]
    return Finding(
        "prove", "no-equilibrium", Severity.STOP, text, where=error.where, source=PRESSURE_MODEL
    )
