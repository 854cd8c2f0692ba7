"""What is said about suspension: each demand, for whom it suffices, and what was not looked at."""

from __future__ import annotations

from dataclasses import dataclass

from limbwright.assess.plan import Activity
from limbwright.assess.tables import FASTEST_SPEED_M_S
from limbwright.core.findings import Finding, Severity
from limbwright.core.sources import Basis, Source
from limbwright.couple.plan import CouplingKind
from limbwright.couple.tables import MAGNET_FOR_WHOM
from limbwright.prove.holding import Holding
from limbwright.prove.result import Check
from limbwright.prove.suspension_tables import (
    BRISK_SPEED_M_S,
    COMFORTABLE_MARGIN,
    RUNNING_PULL_N_PER_KG,
    STAIR_TIME_S,
    SWING_RESERVE,
    TOE_CATCH_OF_RUNNING,
)
from limbwright.prove.swing_curve import walking_pull

STAGE = "prove"
WALKING = "swing pull, walking"
RUNNING = "swing pull, running-type"
STAIRS = "swing pull, stairs"
TOE_CATCH = "swing pull, caught toe"

RUNS = frozenset({Activity.K3, Activity.K4})
"""Classes that are warned of too small a margin for running-type moves; others are told."""


@dataclass(frozen=True, slots=True)
class Demand:
    """A pull, and how often it is to be held.

    Parameters
    ----------
    name : str
    pull_n : float
    factor : float
        Times the pull that is to be held.
    required : float
        Margin that is wanted beyond that.
    text : str
    sure : float
        Part of the pull that is there whatever a leg nobody weighed may weigh, 0 to 1: usual
        masses may doubt a suspension and never refuse it.
    """

    name: str
    pull_n: float
    factor: float
    required: float
    text: str
    sure: float

    def missed_by(self, hold: Holding) -> bool:
        """Whether the margin is missed whatever stands in for what nobody stated."""
        if hold.most_n is None:
            return False
        return hold.most_n < self.required * self.factor * self.sure * self.pull_n


@dataclass(frozen=True, slots=True)
class Judged:
    """The person, and what holds the leg.

    Parameters
    ----------
    kind : CouplingKind
    activity : Activity
    very_active : bool
        K4; K3 who walks briskly or whose leg is so heavy that a caught toe pulls it off.
    surely_very_active : bool
        Whether that is so whatever stands in for what nobody stated.
    """

    kind: CouplingKind
    activity: Activity
    very_active: bool
    surely_very_active: bool


def judged(
    kind: CouplingKind, activity: Activity, speed_m_s: float, toe_short: bool, toe_missed: bool
) -> Judged:
    """The person as far as the refusal of a magnet asks.

    Parameters
    ----------
    kind : CouplingKind
    activity : Activity
    speed_m_s : float
        Of the person, not of the class; the class's usual speed never makes a walker brisk.
    toe_short, toe_missed : bool
        Whether a caught toe pulls the leg off, and whether it does whatever stands in.
    """
    third = activity is Activity.K3
    known = activity is Activity.K4 or (third and speed_m_s >= BRISK_SPEED_M_S.value)
    return Judged(kind, activity, known or (third and toe_short), known or (third and toe_missed))


def suspension_findings(
    checks: tuple[Check, ...],
    demands: tuple[Demand, ...],
    hold: Holding,
    basis: Basis,
    who: Judged,
) -> tuple[Finding, ...]:
    """Each demand judged for this person.

    Parameters
    ----------
    checks, demands : tuples, in the order walking, running-type, stairs, caught toe
    hold : Holding
    basis : Basis
        Of mass, speed and force together, the weakest.
    who : Judged
    """
    walking, running, stairs, toe = checks
    return (
        _walking(walking, demands[0], hold, basis),
        _running(running, demands[1], hold, basis, who),
        _extra("suspension-stairs", "stairs", stairs, hold, basis, STAIR_TIME_S.source),
        _extra(
            "suspension-toe-catch", "a caught toe", toe, hold, basis, TOE_CATCH_OF_RUNNING.source
        ),
        _left_out(),
    )


def for_whom(
    hold: Holding, mass_kg: float, centre_mm: float, speed_m_s: float, basis: Basis
) -> Finding:
    """Whose walking it holds, by class, and up to which mass of the leg.

    Parameters
    ----------
    hold : Holding
    mass_kg, centre_mm : float
        Of the prosthesis.
    speed_m_s : float
        At which the person is judged.
    basis : Basis
    """
    if hold.force_n is None:
        return _told(
            "suspension-for-whom",
            Severity.NOT_ESTABLISHED,
            "For whom this suspension suffices is not established: its holding force is not known",
            Basis.DEFAULT,
            SWING_RESERVE.source,
        )
    margins = {
        activity: hold.force_n
        / (SWING_RESERVE.value * walking_pull(mass_kg, fastest, centre_mm).pull_n)
        for activity, fastest in FASTEST_SPEED_M_S.value.items()
    }
    ample = [item.value for item, margin in margins.items() if margin >= COMFORTABLE_MARGIN.value]
    barely = [
        item.value for item, margin in margins.items() if 1.0 <= margin < COMFORTABLE_MARGIN.value
    ]
    per_kg = SWING_RESERVE.value * walking_pull(1.0, speed_m_s, centre_mm).pull_n
    heaviest_kg = hold.force_n / per_kg
    parts = [
        f"ample for {_listed(ample)}" if ample else "",
        f"with little in hand for {_listed(barely)}" if barely else "",
    ]
    whom = ", ".join(part for part in parts if part) or "for nobody's walking"
    needed_n = COMFORTABLE_MARGIN.value * SWING_RESERVE.value * RUNNING_PULL_N_PER_KG.value
    runs = hold.force_n >= needed_n * mass_kg
    return _told(
        "suspension-for-whom",
        Severity.NOTE,
        f"With a leg of {mass_kg:.1f} kg this suspension is {whom}, in walking alone, and"
        f" {'also' if runs else 'not'} for running-type moves; at this person's speed it holds a"
        f" leg of up to {heaviest_kg:.1f} kg with the reserve",
        basis,
        SWING_RESERVE.source,
        mass_kg,
        heaviest_kg,
        "kg",
    )


def _walking(check: Check, demand: Demand, hold: Holding, basis: Basis) -> Finding:
    margin = check.margin
    if margin is None:
        severity, lead = Severity.NOT_ESTABLISHED, "Whether the leg stays on is not established"
    elif margin < check.required_margin:
        known = demand.missed_by(hold)
        severity = Severity.STOP if known else Severity.NOT_ESTABLISHED
        lead = f"Too little to keep the leg on in walking (margin {margin:.1f})"
        lead += "" if known else f"; {_rests_on(demand, hold)}"
    elif margin < COMFORTABLE_MARGIN.value:
        severity = Severity.WARNING
        lead = f"Keeps the leg on in walking with little in hand (margin {margin:.1f})"
    else:
        severity, lead = _holds(basis), f"Ample for walking (margin {margin:.1f})"
    return _of_check("suspension-walking", severity, lead, check, basis)


def _running(check: Check, demand: Demand, hold: Holding, basis: Basis, who: Judged) -> Finding:
    """Running-type moves: the assumed load only warns; a magnet is refused as the trade does."""
    margin = check.margin
    runs = who.activity in RUNS
    source = check.capacity_source
    if margin is None:
        severity = Severity.NOT_ESTABLISHED if runs else Severity.NOTE
        lead = "Whether it holds running-type moves is not established"
    elif margin >= check.required_margin:
        severity, lead = _holds(basis), f"Holds running-type moves too (margin {margin:.1f})"
    elif who.kind is CouplingKind.MAGNET and who.very_active:
        source = MAGNET_FOR_WHOM
        severity, lead = _refusal(check, demand, hold, who)
    elif runs and hold.at_least:
        severity = Severity.NOT_ESTABLISHED
        lead = (
            "Whether it holds running-type moves is not established"
            f" (margin {margin:.1f}, perhaps more)"
        )
    else:
        severity = Severity.WARNING if runs else Severity.NOTE
        lead = f"Not for running-type moves (margin {margin:.1f}, asked {check.required_margin:g})"
    return _of_check("suspension-running", severity, lead, check, basis, source)


def _refusal(check: Check, demand: Demand, hold: Holding, who: Judged) -> tuple[Severity, str]:
    """A magnet for a very active user: refused, but not where what stands in decides it."""
    known = who.surely_very_active and demand.missed_by(hold)
    why = (
        f"a magnet that holds {check.capacity:.0f} N against {check.demand:.0f} N has a margin of"
        f" {check.margin:.2f} where {check.required_margin:g} is asked; it is not for very active"
        " users; choose a pin, or a magnet that its maker states to hold"
        f" {check.required_margin * (check.demand or 0.0):.0f} N or more"
    )
    if known:
        return Severity.STOP, f"Refused: {why}"
    return Severity.NOT_ESTABLISHED, f"As far as is known, {why}; {_rests_on(demand, hold)}"


def _rests_on(demand: Demand, hold: Holding) -> str:
    """What stands in for what nobody stated, and what to do about it."""
    asked = []
    if demand.sure < 1.0:
        asked.append("weigh the leg with its shoe and enter its mass")
    if hold.basis is Basis.DEFAULT or hold.most_n is None:
        asked.append("enter the force that the maker states or a spring balance shows")
    return f"this rests on defaults and decides nothing: {' and '.join(asked)}"


def _extra(
    code: str, what: str, check: Check, hold: Holding, basis: Basis, source: Source
) -> Finding:
    """A margin that rests on an assumed pull: it warns, and decides nothing."""
    margin = check.margin
    if margin is None:
        severity = Severity.NOT_ESTABLISHED
        lead = f"Whether it holds {what} is not established"
    elif margin < check.required_margin and hold.at_least:
        severity = Severity.NOT_ESTABLISHED
        lead = f"Whether it holds {what} is not established (margin {margin:.1f}, perhaps more)"
    elif margin < check.required_margin:
        severity = Severity.WARNING
        lead = f"May let go at {what} (margin {margin:.1f}, asked {check.required_margin:g})"
    else:
        severity = _holds(Basis.DEFAULT)
        lead = f"Holds {what} by an assumed pull (margin {margin:.1f})"
    return _of_check(code, severity, lead, check, basis, source)


def _holds(basis: Basis) -> Severity:
    """What rests on a default is told, not approved."""
    return Severity.NOTE if basis is Basis.DEFAULT else Severity.OK


def _of_check(
    code: str,
    severity: Severity,
    lead: str,
    check: Check,
    basis: Basis,
    source: Source | None = None,
) -> Finding:
    return _told(
        code,
        severity,
        f"{lead}. {check.text}.",
        basis,
        source or check.capacity_source or SWING_RESERVE.source,
        check.demand,
        check.capacity,
        check.unit,
        check.required_margin,
    )


def _told(
    code: str,
    severity: Severity,
    text: str,
    basis: Basis,
    source: Source,
    value: float | None = None,
    limit: float | None = None,
    unit: str = "",
    margin: float = 1.0,
) -> Finding:
    remedy, entry = _REMEDIES.get(code, ("", ""))
    return Finding(
        stage=STAGE,
        code=code,
        severity=severity,
        text=text,
        where="suspension",
        value=value,
        limit=limit,
        unit=unit,
        basis=basis,
        source=source,
        remedy=remedy,
        entry=entry,
        margin=margin,
    )


_HOLD_MORE = (
    "a coupling that holds more, a second suspension, or a lighter leg; sure becomes what its maker"
    " states and a scale shows",
    "couple.coupling.capacity_n",
)
_REMEDIES = {
    f"suspension-{what}": _HOLD_MORE
    for what in ("walking", "running", "stairs", "toe-catch", "for-whom")
}
"""What the margins hang on, and the entry that holds it."""


def _left_out() -> Finding:
    return _told(
        "suspension-not-looked-at",
        Severity.NOTE,
        "Not looked at: a foot stuck in mud, kicking, play, wear of cord or strap, dirt on a"
        " magnet, a pull from the side, a seal that lets go. Pull the donned leg off once by hand"
        " at every visit",
        Basis.DEFAULT,
        SWING_RESERVE.source,
        SWING_RESERVE.value,
    )


def _listed(names: list[str]) -> str:
    *first, last = names
    return f"{', '.join(first)} and {last}" if first else last
