"""Findings that the practitioner has looked at and accepted, each with the reason."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from pydantic import Field

from limbwright.core.findings import Finding, Severity
from limbwright.core.plan import Plan

ACCEPTABLE = (Severity.WARNING, Severity.NOT_ESTABLISHED)
"""What stops the job is changed, not accepted; notes need no acceptance."""
_SAME_SHARE = 0.02
"""A value that moved by no more than this share is the one that was accepted."""


class AcceptedFinding(Plan):
    """A finding as it stood when it was accepted. It lapses when the finding changes."""

    stage: str = Field(min_length=1, max_length=40)
    code: str = Field(min_length=1, max_length=80)
    where: str = Field(default="", max_length=200)
    severity: Severity
    value: float | None = None
    reason: str = Field(min_length=3, max_length=500)


def with_acceptances(
    findings: Iterable[Finding], accepted: Iterable[AcceptedFinding]
) -> tuple[Finding, ...]:
    """Findings with the reason beside each that stands as it was accepted."""
    known = {(one.stage, one.code, one.where): one for one in accepted}
    return tuple(
        replace(finding, accepted=one.reason)
        if (one := known.get((finding.stage, finding.code, finding.where))) and _holds(one, finding)
        else finding
        for finding in findings
    )


def _holds(accepted: AcceptedFinding, finding: Finding) -> bool:
    if finding.severity not in ACCEPTABLE or finding.severity is not accepted.severity:
        return False
    if accepted.value is None or finding.value is None:
        return accepted.value is finding.value
    return abs(finding.value - accepted.value) <= _SAME_SHARE * abs(accepted.value)
