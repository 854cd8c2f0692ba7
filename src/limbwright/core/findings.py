"""Findings: what a stage has to say about a case, as data."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from limbwright.core.sources import Basis, Source


class Severity(str, Enum):
    """How a finding weighs. STOP ends the job until it is answered."""

    OK = "ok"
    NOTE = "note"
    WARNING = "warning"
    NOT_ESTABLISHED = "not established"
    STOP = "stop"


SEVERITY_ORDER = (
    Severity.STOP,
    Severity.NOT_ESTABLISHED,
    Severity.WARNING,
    Severity.NOTE,
    Severity.OK,
)


@dataclass(frozen=True, slots=True)
class Finding:
    """One statement about a case.

    Parameters
    ----------
    stage : str
        Name of the stage (core.stages) that says it.
    code : str
        Stable identifier, lower-case with dashes, for example "girth-differs-from-tape".
    severity : Severity
    text : str
        One sentence in the words of the trade: what, where, and what would change it.
    where : str
        Place: an area, a level ("40 mm below MPT"), a part; "" when it concerns the whole.
    value, limit : float or None
        The number found and what it is held against, in `unit`.
    unit : str
    basis : Basis
        The weakest thing that the value rests on.
    source : Source or None
        Where the limit comes from; None only when there is no limit.
    accepted : str
        Why the practitioner accepts it as it stands; "" when they have not.
    """

    stage: str
    code: str
    severity: Severity
    text: str
    where: str = ""
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    basis: Basis = Basis.ESTIMATED
    source: Source | None = None
    accepted: str = ""


def worst_first(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Findings ordered by severity, then by stage order as given."""
    return tuple(sorted(findings, key=lambda finding: SEVERITY_ORDER.index(finding.severity)))


def stops_job(findings: tuple[Finding, ...]) -> bool:
    """True if any finding stops the job."""
    return any(finding.severity is Severity.STOP for finding in findings)
