"""Outcome measures against their published cut-offs (Gailey 2002, Dite 2007, Sawers 2020)."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from limbwright.assess.measures import Measure, Score
from limbwright.assess.scores import class_of, nearest_class, readings, score_findings
from limbwright.core.findings import Severity


def score(measure: Measure, value: float, on: str = "2026-03-01") -> Score:
    return Score(measure=measure, value=value, on=on)


@pytest.mark.parametrize(
    ("total", "name"),
    [
        (26, "K1"),
        (27, "K2"),
        (36, "K2"),
        (37, "K3"),
        (42, "K3"),
        (43, "K4"),
        (47, "K4"),
        (14, None),
    ],
)
def test_the_predictor_with_prosthesis_gives_gaileys_classes(total: int, name: str | None) -> None:
    assert class_of(Measure.AMPPRO, total) == name


@pytest.mark.parametrize(
    ("total", "name"), [(8, "K0"), (9, "K1"), (20, "K1"), (21, "K2"), (29, "K3"), (37, "K4")]
)
def test_the_predictor_without_prosthesis_gives_gaileys_classes(total: int, name: str) -> None:
    assert class_of(Measure.AMPNOPRO, total) == name


@pytest.mark.parametrize(
    ("measure", "value"),
    [
        (Measure.AMPPRO, 48),
        (Measure.AMPNOPRO, 44),
        (Measure.SOCKET_COMFORT, 10.5),
        (Measure.AMPPRO, -1),
        (Measure.AMPPRO, 30.5),
    ],
)
def test_a_total_that_cannot_be_is_refused(measure: Measure, value: float) -> None:
    with pytest.raises(ValidationError, match=r"runs from|whole number"):
        score(measure, value)


@pytest.mark.parametrize("day", ["2026-13-01", "1.3.2026", "2026-03-32"])
def test_a_date_that_cannot_be_is_refused(day: str) -> None:
    with pytest.raises(ValidationError):
        score(Measure.AMPPRO, 30, day)


def test_a_class_that_the_score_contradicts_is_told_and_one_it_supports_is_noted() -> None:
    scores = (score(Measure.AMPPRO, 36),)
    (against,) = score_findings(scores, "K3")
    assert (against.code, against.severity) == ("class-contradicts-score", Severity.WARNING)
    (agrees,) = score_findings(scores, "K2")
    assert (agrees.code, agrees.severity) == ("class-from-score", Severity.NOTE)


def test_two_minutes_of_walking_lie_nearest_a_group_mean_and_that_is_no_cut_off() -> None:
    # Gaunaurd 2020: K2 81.7, K3 138.4, K4 177.9 m
    assert [nearest_class(Measure.TWO_MINUTE_WALK, metres) for metres in (90, 140, 175)] == [
        "K2",
        "K3",
        "K4",
    ]
    (finding,) = score_findings((score(Measure.TWO_MINUTE_WALK, 90.0),), "K3")
    assert finding.severity is Severity.NOTE
    assert "no cut-offs" in finding.text


def test_twenty_metres_more_in_two_minutes_are_below_the_least_detectable_change() -> None:
    scores = (
        score(Measure.TWO_MINUTE_WALK, 140.0, "2026-04-01"),
        score(Measure.TWO_MINUTE_WALK, 120.0, "2026-03-01"),
    )
    finding = next(f for f in score_findings(scores, "K3") if f.code.startswith("change"))
    assert finding.code == "change-below-detectable"
    assert (finding.value, finding.limit) == (20.0, 34.3)
    assert readings(scores)[0].value == 140.0  # the latest by date, whatever the order


def test_each_of_the_two_cut_offs_for_falls_is_named_with_whom_it_is_for() -> None:
    found = score_findings((score(Measure.TIMED_UP_AND_GO, 12.0),), "K3")
    assert {(f.code, f.limit) for f in found} == {
        ("fall-cut-off-not-reached", 19.0),
        ("fall-cut-off-reached", 8.17),
    }
    assert len({f.source for f in found}) == 2


@pytest.mark.parametrize("value", [8.16, 8.17, 19.0])
def test_longer_times_never_reach_fewer_cut_offs(value: float) -> None:
    def reached(seconds: float) -> int:
        found = score_findings((score(Measure.TIMED_UP_AND_GO, seconds),), "K3")
        return sum(f.code == "fall-cut-off-reached" for f in found)

    assert reached(value) <= reached(value + 0.01)
