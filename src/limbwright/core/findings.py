"""Findings: what a stage has to say about a case, as data."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
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
TO_ANSWER = (Severity.STOP, Severity.NOT_ESTABLISHED, Severity.WARNING)
"""What is open until it is answered, or accepted with a reason."""
HOLDING = ("strength-", "suspension-")
"""How codes begin of what says whether the socket bears its load and stays on the limb."""


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
        In the words of the trade: what it is, and where. Closed with a full stop: other sentences
        are printed behind it.
    where : str
        Place: an area, a level ("40 mm below MPT"), a part; "" when it concerns the whole.
    value, limit : float or None
        The number found and what it is held against, in `unit`.
    unit : str
    basis : Basis
        The weakest thing that the value rests on.
    source : Source or None
        Where the limit comes from, or without one what is said itself.
    accepted : str
        Why the practitioner accepts it as it stands; "" when they have not.
    remedy : str
        What would change it, as it reads after "Would change it:"; "" where the program knows of
        nothing, or the text is itself what to do.
    entry : str
        Path of the entry in the case document that would change it, for example "prove.wall_mm".
    at_least : bool
        The value is to reach the limit, as a gap or a share is, and not to stay under it.
    usual : bool
        The limit is only what is usual or was measured elsewhere: beside it, nothing is forbidden.
    margin : float
        Times by which the value is to stay on the good side of the limit.
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
    remedy: str = ""
    entry: str = ""
    at_least: bool = False
    margin: float = 1.0
    usual: bool = False

    def __post_init__(self) -> None:
        if not self.text.endswith((".", "!", "?")):
            object.__setattr__(self, "text", f"{self.text}.")

    @property
    def is_open(self) -> bool:
        """Whether it waits for an answer: it weighs, and nobody has accepted it."""
        return self.severity in TO_ANSWER and not self.accepted


def missed_by(finding: Finding) -> float | None:
    """How far a limit is missed: 1 at it, 2 at twice what it allows or at half of what it asks.

    The size of the value counts, whatever its sign. None without value or limit, and where a limit
    of nothing or below gives no ratio.
    """
    value, limit = finding.value, finding.limit
    if value is None or limit is None or limit <= 0.0:
        return None
    if not finding.at_least:
        return finding.margin * abs(value) / limit
    return finding.margin * limit / value if value > 0.0 else math.inf


def worst_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Findings by severity, then by how far the limit is missed, then as they were given.

    What has no limit stands behind what misses one. What was accepted stands behind all that is
    still open, and before the notes.
    """
    return tuple(sorted(findings, key=_weight))


def _weight(finding: Finding) -> tuple[int, int, float, bool]:
    accepted = bool(finding.accepted) and finding.severity in TO_ANSWER
    told = SEVERITY_ORDER.index(finding.severity)
    group = 0 if finding.is_open else 1 if accepted else 2
    missed = missed_by(finding)
    return group, told, math.inf if missed is None else -missed, finding.limit is None


def gives_way(finding: Finding) -> bool:
    """Whether it waits for an answer and says that something breaks or lets go below its demand."""
    missed = missed_by(finding)
    holds = finding.code.startswith(HOLDING)
    return finding.is_open and holds and missed is not None and missed > 1.0


def open_counts(findings: Iterable[Finding]) -> dict[Severity, int]:
    """How many findings of each weight wait for an answer, gravest first; all weights are named."""
    counts = Counter(finding.severity for finding in findings if finding.is_open)
    return {severity: counts[severity] for severity in TO_ANSWER}


def accepted_count(findings: Iterable[Finding]) -> int:
    """How many findings were accepted with a reason."""
    return sum(bool(finding.accepted) for finding in findings)


def stops_job(findings: tuple[Finding, ...]) -> bool:
    """True if any finding stops the job."""
    return any(finding.severity is Severity.STOP for finding in findings)
