"""How far the limb moves up and down in the socket, and what is published of its kind."""

from __future__ import annotations

from limbwright.core.findings import Finding, Severity
from limbwright.core.sources import Basis
from limbwright.couple.plan import CouplingKind
from limbwright.prove.result import InterfaceResult
from limbwright.prove.suspension_tables import PISTONING_RANK, SEAL_GIVE_MM_PER_N

STAGE = "prove"
_AMONG = {
    1: "least of all kinds",
    2: "second least, after vacuum",
    3: "more than suction and vacuum, less than sleeve, cuff and strap",
    4: "most, with sleeve, cuff and strap",
}


def pistoning_mm(interface: InterfaceResult | None) -> float | None:
    """How far the limb rises in the socket from standing to swing, mm; None without both.

    From the poses of the pressure model, in which the coupling itself does not give.

    Parameters
    ----------
    interface : InterfaceResult or None
    """
    if interface is None:
        return None
    heights = {case.load_case: float(case.pose.shift_mm[2]) for case in interface.cases}
    if "swing" not in heights or "standing" not in heights:
        return None
    return heights["swing"] - heights["standing"]


def seal_give_mm(kind: CouplingKind, pull_n: float) -> float | None:
    """What a seal of a kind gives under a pull, mm; None for kinds without a published figure."""
    give = SEAL_GIVE_MM_PER_N.get(kind)
    return None if give is None else give.value * pull_n


def pistoning_findings(
    kind: CouplingKind, risen_mm: float | None, pull_n: float
) -> tuple[Finding, ...]:
    """The model's movement, with the place of its kind in published comparisons.

    Parameters
    ----------
    kind : CouplingKind
    risen_mm : float or None
        From `pistoning_mm`.
    pull_n : float
        Of walking.
    """
    rank = PISTONING_RANK.value[kind]
    published = f"in published comparisons a {kind.value} lets the limb move {_AMONG[rank]}"
    give = seal_give_mm(kind, pull_n)
    seal = "" if give is None else f"; the seal itself gives about {give:.1f} mm at {pull_n:.0f} N"
    if risen_mm is None:
        severity = Severity.NOT_ESTABLISHED
        text = f"How far the limb moves in the socket is not established; {published}{seal}"
    else:
        severity = Severity.NOTE
        text = (
            f"The limb {'rises' if risen_mm >= 0.0 else 'sinks'} {abs(risen_mm):.1f} mm in the"
            " socket from standing to swing by the pressure model, the coupling taken as stiff;"
            f" {published}{seal}. Mark the liner at the brim and measure it"
        )
    return (
        Finding(
            STAGE,
            "suspension-pistoning",
            severity,
            text,
            where="suspension",
            value=risen_mm,
            unit="mm",
            basis=Basis.ESTIMATED,
            source=PISTONING_RANK.source,
        ),
    )
