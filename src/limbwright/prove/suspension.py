"""Suspension: how hard the prosthesis pulls in swing, and what holds it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from limbwright.align.tables import MASS_BELOW_KNEE_MM
from limbwright.assess.fast_walk import fast_walk_m_s
from limbwright.assess.plan import Person
from limbwright.assess.result import Assessment
from limbwright.core.findings import Finding
from limbwright.core.sources import Basis
from limbwright.core.units import STANDARD_GRAVITY_M_S2
from limbwright.couple.hanging_mass import HangingMass, hanging_mass
from limbwright.couple.plan import CouplePlan
from limbwright.prove.holding import Holding, Misfit, holding
from limbwright.prove.pistoning import pistoning_findings, pistoning_mm
from limbwright.prove.plan import ProvePlan
from limbwright.prove.result import Check, InterfaceResult, SuspensionDetail, SwingCurve
from limbwright.prove.seal import seal_findings
from limbwright.prove.suspension_findings import (
    RUNNING,
    STAIRS,
    TOE_CATCH,
    WALKING,
    Demand,
    for_whom,
    judged,
    suspension_findings,
)
from limbwright.prove.suspension_tables import (
    COMFORTABLE_MARGIN,
    PISTONING_RANK,
    RUNNING_PULL_N_PER_KG,
    STAIR_RISE_MM,
    STAIR_TIME_S,
    SWING_RESERVE,
    TOE_CATCH_OF_RUNNING,
)
from limbwright.prove.swing_curve import WalkingPull, walking_pull
from limbwright.shape.result import SocketShape


@dataclass(frozen=True, slots=True, eq=False)
class Suspension:
    """The suspension checks of a case.

    Parameters
    ----------
    checks : tuple of Check
        Walking, running-type moves, stairs, a caught toe.
    findings : tuple of Finding
    detail : SuspensionDetail or None
    """

    checks: tuple[Check, ...]
    findings: tuple[Finding, ...]
    detail: SuspensionDetail | None = None


def suspension(
    shape: SocketShape,
    person: Person,
    assessment: Assessment,
    couple_plan: CouplePlan,
    plan: ProvePlan | None = None,
    *,
    misfits: Mapping[str, tuple[float, float]] | None = None,
    interface: InterfaceResult | None = None,
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
    plan : ProvePlan, optional
        What more is known of the suspension, and how the socket is made.
    misfits : mapping of load case to (tilt_deg, offset_mm), optional
        How the liner's target stands on the coupling; swing is read.
    interface : InterfaceResult, optional
        Poses of the limb in swing and standing.
    """
    proved = plan if plan is not None else ProvePlan()
    known = proved.suspension
    in_swing = (misfits or {}).get("swing")
    misfit = None if in_swing is None else Misfit(*in_swing)
    hold = holding(couple_plan.coupling, shape, known, misfit)
    mass = hanging_mass(couple_plan.parts)
    speed = fast_walk_m_s(person.activity, assessment.speed_m_s)
    centre_mm = (
        known.centre_of_mass_mm if known.centre_of_mass_mm is not None else MASS_BELOW_KNEE_MM.value
    )
    pull = walking_pull(mass.kg, speed, centre_mm)
    curve = pull.curve
    leg = f"{mass.kg:.1f} kg of prosthesis with shoe ({mass.says})"
    demands = (
        _walking(mass, leg, speed, pull),
        _running(mass, leg),
        _stairs(mass, leg, curve),
        _toe_catch(mass, leg),
    )
    checks = tuple(_check(demand, hold) for demand in demands)
    toe = checks[-1]
    bases = (mass.basis, assessment.speed_basis, hold.basis)
    basis = Basis.DEFAULT if Basis.DEFAULT in bases else Basis.ESTIMATED
    kind = couple_plan.coupling.kind
    risen_mm = pistoning_mm(interface)
    walking_n = pull.pull_n
    return Suspension(
        checks,
        (
            *suspension_findings(
                checks,
                demands,
                hold,
                basis,
                judged(
                    kind,
                    person.activity,
                    assessment.speed_m_s,
                    toe_short=toe.margin is not None and toe.margin < toe.required_margin,
                    toe_missed=demands[-1].missed_by(hold),
                ),
            ),
            for_whom(hold, mass.kg, centre_mm, speed, basis),
            *seal_findings(shape, couple_plan.coupling, proved, walking_n),
            *pistoning_findings(kind, risen_mm, curve.peak_n),
        ),
        SuspensionDetail(
            mass.kg,
            mass.basis,
            centre_mm,
            speed,
            curve,
            hold.force_n,
            risen_mm,
            PISTONING_RANK.value[kind],
        ),
    )


def _walking(mass: HangingMass, leg: str, speed_m_s: float, pull: WalkingPull) -> Demand:
    """The harder of two measured walkers, times the reserve."""
    text = (
        f"{leg}, walked at up to {speed_m_s:.2f} m/s, pulls with {pull.pull_n:.0f} N at"
        f" {pull.curve.peak_percent:.0f} % of swing (the harder of two measured walkers, scaled;"
        f" the other {pull.other_n:.0f} N, the larger of their hand bounds {pull.bound_n:.0f} N);"
        f" {SWING_RESERVE.value:g} times that ({SWING_RESERVE.source.origin.value}) is to be held"
    )
    return Demand(WALKING, pull.pull_n, SWING_RESERVE.value, 1.0, text, _sure(mass))


def _running(mass: HangingMass, leg: str) -> Demand:
    pull_n = RUNNING_PULL_N_PER_KG.value * mass.kg
    text = (
        f"{leg} pulls with {pull_n:.0f} N in running-type moves (assumed);"
        f" {SWING_RESERVE.value:g} times that ({SWING_RESERVE.source.origin.value}) is to be held"
    )
    return Demand(RUNNING, pull_n, SWING_RESERVE.value, COMFORTABLE_MARGIN.value, text, _sure(mass))


def _stairs(mass: HangingMass, leg: str, curve: SwingCurve) -> Demand:
    """Weight and the harmonic lift of one step, h/2·(π/T)²; never under the pull of walking."""
    lift = 0.5 * STAIR_RISE_MM.value / 1000.0 * (math.pi / STAIR_TIME_S.value) ** 2
    lifted_n = mass.kg * (STANDARD_GRAVITY_M_S2 + lift)
    pull_n = max(lifted_n, curve.peak_n)
    text = (
        f"{leg}, lifted by a step of {STAIR_RISE_MM.value:g} mm in {STAIR_TIME_S.value:g} s, pulls"
        f" with {lifted_n:.0f} N by a hand estimate; taken is {pull_n:.0f} N, not less than in"
        " walking; twice that is wanted"
    )
    return Demand(STAIRS, pull_n, 1.0, COMFORTABLE_MARGIN.value, text, _sure(mass))


def _toe_catch(mass: HangingMass, leg: str) -> Demand:
    pull_n = RUNNING_PULL_N_PER_KG.value * mass.kg
    text = (
        f"{leg} with its toe caught: nobody measured the pull; {TOE_CATCH_OF_RUNNING.value:g} times"
        f" that of running-type moves ({TOE_CATCH_OF_RUNNING.source.origin.value}) is asked"
    )
    return Demand(TOE_CATCH, pull_n, TOE_CATCH_OF_RUNNING.value, 1.0, text, _sure(mass))


def _sure(mass: HangingMass) -> float:
    """Part of a pull that is there whatever a leg nobody weighed may weigh."""
    return mass.sure_kg / mass.kg


def _check(demand: Demand, hold: Holding) -> Check:
    needed_n = demand.factor * demand.pull_n
    margin = hold.force_n / needed_n if hold.force_n is not None else None
    return Check(
        demand.name,
        "suspension",
        needed_n,
        hold.force_n,
        "N",
        margin,
        demand.required,
        hold.basis,
        hold.source,
        f"{demand.text}. Held: {hold.says}",
    )
