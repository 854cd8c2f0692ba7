"""What the outcome measures say: a class from a total, a risk of falls, whether a change is one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from limbwright.assess.measures import SCALES, Measure, Score
from limbwright.assess.result import ScoreReading
from limbwright.assess.score_tables import CLASS_FROM, CLASS_MEANS, FALL_CUT_OFFS, LEAST_CHANGE
from limbwright.core.findings import Finding, Severity
from limbwright.core.sources import Basis

STAGE = "assess"


def class_of(measure: Measure, value: float) -> str | None:
    """Functional class by a total's cut-offs; None where the measure has none or says nothing."""
    found = None
    for least, name in CLASS_FROM.value.get(measure, ()):
        if value >= least:
            found = name
    return found


def nearest_class(measure: Measure, value: float) -> str | None:
    """Class whose group mean lies nearest; None where no means are known."""
    known = CLASS_MEANS.get(measure)
    if known is None:
        return None
    return min(known.means, key=lambda name: abs(known.means[name] - value))


def readings(scores: Sequence[Score]) -> tuple[ScoreReading, ...]:
    """The latest score of each measure, its class, and its change since the one before."""
    return tuple(_reading(measure, scores) for measure in Measure if _of(measure, scores))


def score_findings(scores: Sequence[Score], stated_class: str) -> tuple[Finding, ...]:
    """A class beside the stated one, fall cut-offs, and changes too small to be known as such."""
    found: list[Finding] = []
    for reading in readings(scores):
        measure = Measure(reading.measure)
        found += _class_findings(measure, reading, stated_class)
        found += _fall_findings(measure, reading)
        found += _change_findings(measure, reading)
    return tuple(found)


def _of(measure: Measure, scores: Sequence[Score]) -> list[Score]:
    """Scores of one measure, oldest first."""
    return sorted((s for s in scores if s.measure is measure), key=lambda s: (s.on, s.value))


def _reading(measure: Measure, scores: Sequence[Score]) -> ScoreReading:
    *before, last = _of(measure, scores)
    change = last.value - before[-1].value if before else None
    least = LEAST_CHANGE.get(measure)
    return ScoreReading(
        measure=measure.value,
        value=last.value,
        unit=SCALES[measure].unit,
        on=last.on,
        class_by_cut_off=class_of(measure, last.value),
        class_by_nearest_mean=nearest_class(measure, last.value),
        change=change,
        least_change=least.value if least is not None else None,
    )


def _class_findings(measure: Measure, reading: ScoreReading, stated: str) -> Iterator[Finding]:
    name = SCALES[measure].name
    if measure in CLASS_FROM.value:
        told = reading.class_by_cut_off
        agrees = told == stated
        text = (
            f"{name} {reading.value:g} ({reading.on}) speaks for {told}, as stated"
            if agrees
            else f"{name} {reading.value:g} ({reading.on}) speaks for {told}, but {stated} is"
            " stated"
            if told is not None
            else f"{name} {reading.value:g} ({reading.on}) lies below its lowest class; {stated} is"
            " stated"
        )
        yield Finding(
            STAGE,
            "class-from-score" if agrees else "class-contradicts-score",
            # never OK: the cut-offs are from memory
            Severity.NOTE if agrees else Severity.WARNING,
            text,
            where=name,
            value=reading.value,
            unit=reading.unit,
            basis=Basis.MEASURED,
            source=CLASS_FROM.source,
            remedy="" if agrees else "another look at both, the score and the stated class",
            entry="" if agrees else "person.activity",
        )
    elif measure in CLASS_MEANS:
        near = reading.class_by_nearest_mean
        assert near is not None
        yield Finding(
            STAGE,
            "class-near-score",
            Severity.NOTE,
            f"{name} {reading.value:g} {reading.unit} ({reading.on}) lies nearest the mean of"
            f" {near}; {stated} is stated. Group means are no cut-offs",
            where=name,
            value=reading.value,
            limit=CLASS_MEANS[measure].means[near],
            unit=reading.unit,
            basis=Basis.MEASURED,
            source=CLASS_MEANS[measure].source,
        )


def _fall_findings(measure: Measure, reading: ScoreReading) -> Iterator[Finding]:
    for cut in FALL_CUT_OFFS.get(measure, ()):
        reached = reading.value >= cut.value
        yield Finding(
            STAGE,
            "fall-cut-off-reached" if reached else "fall-cut-off-not-reached",
            Severity.WARNING if reached else Severity.OK,
            f"{SCALES[measure].name} {reading.value:g} s {'reaches' if reached else 'stays under'}"
            f" the cut-off of {cut.value:g} s for {cut.says}",
            where=SCALES[measure].name,
            value=reading.value,
            limit=cut.value,
            unit="s",
            basis=Basis.MEASURED,
            source=cut.source,
        )


def _change_findings(measure: Measure, reading: ScoreReading) -> Iterator[Finding]:
    least = LEAST_CHANGE.get(measure)
    if reading.change is None or least is None:
        return
    small = abs(reading.change) < least.value
    better = (reading.change > 0.0) == SCALES[measure].higher_is_better
    yield Finding(
        STAGE,
        "change-below-detectable" if small else "change-detectable",
        Severity.NOTE,
        f"{SCALES[measure].name} changed by {reading.change:+g} {reading.unit}: "
        + (
            f"below the least detectable change of {least.value:g} {reading.unit}, so it may be"
            " none"
            if small
            else f"a change for the {'better' if better else 'worse'}, above the least detectable"
            f" {least.value:g} {reading.unit}"
        ),
        where=SCALES[measure].name,
        value=reading.change,
        limit=least.value,
        unit=reading.unit,
        basis=Basis.MEASURED,
        source=least.source,
    )
