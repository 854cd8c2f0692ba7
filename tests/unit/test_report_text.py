"""What the command line prints of an evaluation, held against plain rules of reading."""

from __future__ import annotations

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
