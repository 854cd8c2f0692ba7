"""What the command line prints of an evaluation, held against plain rules of reading."""

from __future__ import annotations

from dataclasses import replace

from limbwright.case.report_text import finding_lines
from limbwright.core.findings import Finding, Severity
from limbwright.core.sources import Basis, Origin, Source
from limbwright.core.sources import Confidence as Sure

MEMORY = Source(Origin.MEMORY, "a usual range", Sure.LOW)
NOTE = Finding(
    "couple",
    "tilt",
    Severity.NOTE,
    "The target faces the coupling.",
    value=2e-15,
    limit=10.0,
    unit="deg",
    basis=Basis.DEFAULT,
    source=MEMORY,
)
LONG = Finding(
    "prove",
    "plate",
    Severity.WARNING,
    "The plate gives way " + "and gives way " * 20,
    where="distal plate",
    value=11671.6,
    limit=2149.0,
    unit="N",
    source=MEMORY,
)


def test_the_gravest_finding_is_said_first() -> None:
    lines = list(finding_lines([NOTE, LONG], 80))
    assert lines[0].startswith("  warning: ")
    assert any(line.startswith("  note: ") for line in lines[1:])


def test_no_line_is_wider_than_the_window() -> None:
    for width in (40, 60, 100):
        assert max(len(line) for line in finding_lines([NOTE, LONG], width)) <= width


def test_figures_are_rounded_as_people_write_them() -> None:
    text = "\n".join(finding_lines([NOTE, LONG], 100))
    assert "0°, limit 10°; default [1]" in text
    assert "11672 N, limit 2149 N" in text
    assert "e-" not in text
    assert "e+" not in text


def test_a_source_that_several_findings_share_is_said_once() -> None:
    text = "\n".join(finding_lines([NOTE, NOTE, LONG], 100))
    assert text.count("a usual range") == 1


def test_what_would_change_a_finding_has_a_line_of_its_own_with_its_entry() -> None:
    told = replace(LONG, remedy="a thicker plate", entry="prove.distal_plate_mm")
    lines = list(finding_lines([told], 100))
    assert "      Would change it: a thicker plate. (prove.distal_plate_mm)" in lines


def test_a_finding_without_a_value_names_what_it_rests_on_and_its_source() -> None:
    told = replace(NOTE, value=None, limit=None)
    assert "      default [1]" in list(finding_lines([told], 80))


def test_what_a_value_must_reach_is_not_called_a_limit_to_stay_under() -> None:
    text = "\n".join(finding_lines([replace(NOTE, at_least=True)], 80))
    assert "at least 10°" in text
    assert "limit" not in text


def test_what_is_only_usual_is_not_called_a_limit() -> None:
    text = "\n".join(finding_lines([replace(NOTE, usual=True)], 80))
    assert "usual up to 10°" in text
    assert "limit" not in text
