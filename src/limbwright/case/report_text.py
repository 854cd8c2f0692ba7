"""An evaluation as lines of text: what weighs most first, then stage by stage."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Iterator, Sequence

from limbwright.case.evaluate import Evaluation, Outcome, State
from limbwright.case.report import CAUTIONS
from limbwright.case.report_pressure import comparison_lines, pressure_lines
from limbwright.core.findings import (
    SEVERITY_ORDER,
    TO_ANSWER,
    Finding,
    Severity,
    accepted_count,
    stops_job,
    worst_first,
)
from limbwright.core.stages import STAGES
from limbwright.make.workorder.wording import (
    SourceList,
    finding_text,
    limit_word,
    remedy_text,
    short,
    unit_word,
)
from limbwright.prove.pressure_result import Comparison
from limbwright.prove.result import Proof

_WORDS = {Severity.OK: "holds"}


def evaluation_lines(
    evaluation: Evaluation, width: int, against: Comparison | None = None
) -> Iterator[str]:
    """All that an evaluation has to say.

    Parameters
    ----------
    evaluation : Evaluation
    width : int
        Letters in a line of the reader's window.
    against : Comparison, optional
        Pressures beside those of another revision or case.
    """
    sources = SourceList()
    yield from summary_lines(evaluation, width)
    yield from _grave_lines(evaluation.findings, sources, width)
    for stage in STAGES:
        outcome = evaluation.outcomes[stage.name]
        if outcome.state is not State.NOT_ASKED:
            yield ""
            yield from _wrapped(f"{stage.name.upper()}  {stage.question}", width, "", "")
            yield from _stage_lines(outcome, sources, width)
            if isinstance(outcome.result, Proof):
                yield from pressure_lines(outcome.result, width)
    if against is not None:
        yield from comparison_lines("AGAINST", against, width)
    yield from _source_lines(sources, width)
    yield from caution_lines(width)


def first_lines(evaluation: Evaluation, width: int) -> Iterator[str]:
    """What weighs most of an evaluation, and the cautions."""
    sources = SourceList()
    yield from summary_lines(evaluation, width)
    yield from _grave_lines(evaluation.findings, sources, width)
    yield from _source_lines(sources, width)
    yield from caution_lines(width)


def summary_lines(evaluation: Evaluation, width: int) -> Iterator[str]:
    """Whose leg it is and how many findings weigh how much."""
    person = evaluation.document.person
    yield f"{person.side.value.upper()} limb, case {person.code}."
    counts = Counter(one.severity for one in evaluation.findings if not one.accepted)
    parts = [
        _counted(counts[severity], severity) for severity in SEVERITY_ORDER if counts[severity]
    ]
    accepted = accepted_count(evaluation.findings)
    parts += [f"{accepted} accepted"] if accepted else []
    stopped = stops_job(evaluation.findings) or bool(evaluation.errors)
    verdict = "The job is stopped" if stopped else "Nothing stops the job by itself"
    yield from _wrapped(f"{verdict}. Findings: {', '.join(parts) or 'none'}.", width, "", "")


def finding_lines(findings: Sequence[Finding], width: int) -> Iterator[str]:
    """Findings worst first, with their sources below them."""
    sources = SourceList()
    for finding in worst_first(tuple(findings)):
        yield from _finding_lines(finding, _word(finding.severity), sources, width)
    yield from _source_lines(sources, width)


def caution_lines(width: int) -> Iterator[str]:
    """What stands wherever results appear."""
    yield ""
    yield "CAUTIONS"
    for caution in CAUTIONS:
        yield from _wrapped(caution, width, "  ", "  ")


def _grave_lines(findings: Sequence[Finding], sources: SourceList, width: int) -> Iterator[str]:
    grave = [finding for finding in worst_first(tuple(findings)) if finding.severity in TO_ANSWER]
    if not grave:
        return
    yield ""
    yield "LOOK AT THESE FIRST"
    for finding in grave:
        yield from _finding_lines(
            finding, f"{_word(finding.severity)} ({finding.stage})", sources, width
        )


def _stage_lines(outcome: Outcome, sources: SourceList, width: int) -> Iterator[str]:
    if outcome.state is not State.READY:
        why = outcome.error.message if outcome.error is not None else ""
        told = "waits for" if outcome.state is State.BLOCKED else "refused"
        yield from _wrapped(f"{told}: {why}", width, "  ", "    ")
    grave = sum(finding.severity in TO_ANSWER for finding in outcome.findings)
    if grave:
        yield f"  {grave} above, to look at first"
    for finding in worst_first(outcome.findings):
        if finding.severity not in TO_ANSWER:
            yield from _finding_lines(finding, _word(finding.severity), sources, width)


def _finding_lines(finding: Finding, head: str, sources: SourceList, width: int) -> Iterator[str]:
    yield from _wrapped(f"{head}: {finding_text(finding)}", width, "  ", "    ")
    if finding.remedy:
        yield from _wrapped(_remedy(finding), width, "      ", "        ")
    held = _held_against(finding, sources.mark(finding.source) if finding.source else "")
    yield from _wrapped(held, width, "      ", "      ")


def _remedy(finding: Finding) -> str:
    entry = f" ({finding.entry})" if finding.entry else ""
    return f"{remedy_text(finding)}{entry}"


def _held_against(finding: Finding, mark: str) -> str:
    if finding.value is None:
        return f"{finding.basis.value} {mark}".rstrip()
    text = _quantity(finding.value, finding.unit)
    if finding.limit is not None:
        side = limit_word(finding)
        text += f", {side} {_quantity(finding.limit, finding.unit)}"
    return f"{text}; {finding.basis.value} {mark}".rstrip()


def _quantity(value: float, unit: str) -> str:
    sign = unit_word(unit)
    return f"{short(value)}{sign}" if sign == "°" else f"{short(value)} {sign}".rstrip()


def _source_lines(sources: SourceList, width: int) -> Iterator[str]:
    if not sources.texts:
        return
    yield ""
    yield "SOURCES"
    for number, text in enumerate(sources.texts, 1):
        yield from _wrapped(f"[{number}] {text}", width, "  ", "      ")


def _word(severity: Severity) -> str:
    return _WORDS.get(severity, severity.value)


def _counted(count: int, severity: Severity) -> str:
    if severity is Severity.OK:
        return f"{count} that hold{'s' if count == 1 else ''}"
    plural = count > 1 and severity is not Severity.NOT_ESTABLISHED
    return f"{count} {severity.value}{'s' if plural else ''}"


def _wrapped(text: str, width: int, first: str, then: str) -> list[str]:
    return textwrap.wrap(
        text,
        width,
        initial_indent=first,
        subsequent_indent=then,
        break_long_words=False,
        break_on_hyphens=False,
    )
