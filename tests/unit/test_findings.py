"""Findings: their order, what is open, what each of them has to say."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from pydantic import BaseModel

from limbwright.case.document import CaseDocument
from limbwright.core.findings import (
    Finding,
    Severity,
    accepted_count,
    gives_way,
    missed_by,
    open_counts,
    worst_first,
)

ROOT = Path(__file__).parents[2]
SOURCE = ROOT / "src" / "limbwright"
PAGE = ROOT / "web" / "src"


def finding(
    code: str,
    value: float | None = None,
    limit: float | None = None,
    severity: Severity = Severity.WARNING,
    *,
    at_least: bool = False,
    margin: float = 1.0,
    accepted: str = "",
) -> Finding:
    return Finding(
        "prove",
        code,
        severity,
        code,
        value=value,
        limit=limit,
        at_least=at_least,
        margin=margin,
        accepted=accepted,
    )


@pytest.mark.parametrize(
    ("said", "read"),
    [
        ("The foot is a default", "The foot is a default."),
        ("It holds. It was not tested.", "It holds. It was not tested."),
    ],
)
def test_what_a_finding_says_can_be_followed_by_another_sentence(said: str, read: str) -> None:
    told = Finding("align", "a", Severity.NOTE, said)
    assert told.text == read
    assert replace(told, accepted="seen").text == read


def codes(*findings: Finding) -> list[str]:
    return [one.code for one in worst_first(findings)]


def test_of_two_warnings_the_one_that_misses_its_limit_further_stands_first() -> None:
    # a plate that bears 27 % of its load, a hole that bears 82 %, guesses without a limit
    plate = finding("plate", 42.326, 11.4)
    hole = finding("hole", 27.92, 22.8)
    guesses = finding("guesses", 5.0)
    assert codes(guesses, hole, plate) == ["plate", "hole", "guesses"]


def test_too_little_and_too_much_are_weighed_on_one_scale() -> None:
    gap = finding("gap", 2.0, 10.0, at_least=True)
    load = finding("load", 40.0, 10.0)
    assert codes(load, gap) == ["gap", "load"]
    assert missed_by(gap) == pytest.approx(5.0)
    assert missed_by(load) == pytest.approx(4.0)


def test_a_margin_that_is_asked_counts_as_missed() -> None:
    assert missed_by(finding("pull", 150.0, 200.0, margin=2.0)) == pytest.approx(1.5)


def test_a_difference_counts_by_its_size_and_nothing_of_what_is_asked_misses_most() -> None:
    smaller = finding("smaller than the tape", -12.0, 5.0)
    cut = finding("cuts into the trim line", -3.0, 10.0, at_least=True)
    assert missed_by(smaller) == pytest.approx(2.4)
    assert codes(smaller, cut) == ["cuts into the trim line", "smaller than the tape"]


def test_a_limit_of_nothing_gives_no_ratio_and_stands_before_what_has_no_limit() -> None:
    none, zero = finding("none", 3.0), finding("zero", 3.0, 0.0)
    assert missed_by(zero) is None
    assert codes(none, zero, finding("held", 1.0, 10.0)) == ["held", "zero", "none"]


def test_severity_weighs_more_than_any_ratio() -> None:
    unknown = finding("unknown", severity=Severity.NOT_ESTABLISHED)
    stop = finding("stop", 11.0, 10.0, Severity.STOP)
    assert codes(finding("far", 900.0, 1.0), unknown, stop) == ["stop", "unknown", "far"]


def test_what_was_accepted_stands_below_all_that_is_open_and_above_the_notes() -> None:
    accepted = finding("accepted", 90.0, 10.0, Severity.NOT_ESTABLISHED, accepted="looked at")
    note = finding("note", severity=Severity.NOTE)
    assert codes(note, accepted, finding("open", 11.0, 10.0)) == ["open", "accepted", "note"]


def test_accepting_takes_a_finding_off_what_is_open_and_counts_it_apart() -> None:
    found = (finding("one"), finding("two"), finding("note", severity=Severity.NOTE))
    assert open_counts(found)[Severity.WARNING] == 2
    answered = (replace(found[0], accepted="weighed again"), *found[1:])
    assert open_counts(answered)[Severity.WARNING] == 1
    assert accepted_count(answered) == 1


def _calls() -> Iterator[tuple[Path, ast.Call]]:
    for path in SOURCE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Finding":
                yield path, node


def test_every_finding_names_where_it_comes_from() -> None:
    calls = list(_calls())
    without = [
        f"{path.relative_to(SOURCE)}:{call.lineno}"
        for path, call in calls
        if len(call.args) < 10 and "source" not in {word.arg for word in call.keywords}
    ]
    assert len(calls) > 60
    assert without == []


def _entries() -> set[str]:
    """Every path that the code gives as an entry; a formatted part of it reads "*"."""
    heads = "|".join(CaseDocument.model_fields)
    path = re.compile(rf"({heads})(\.[a-z_0-9*]+)+")
    texts = {text for node in _entry_nodes() for text in _texts(node)}
    return {text for text in texts if path.fullmatch(text)}


def _entry_nodes() -> Iterator[ast.expr]:
    """What is given as `entry`, returned by a function named so, or paired with a remedy."""
    for file in SOURCE.rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text("utf-8"))):
            if isinstance(node, ast.keyword) and node.arg == "entry":
                yield node.value
            elif isinstance(node, ast.FunctionDef) and node.name.endswith("_entry"):
                yield from (one.value for one in ast.walk(node) if isinstance(one, ast.Return))
            elif isinstance(node, ast.Tuple) and len(node.elts) == 2:
                yield node.elts[1]


def _texts(node: ast.expr) -> Iterator[str]:
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.JoinedStr):
        parts = node.values
        yield "".join(str(one.value) if isinstance(one, ast.Constant) else "*" for one in parts)
    elif isinstance(node, ast.IfExp):
        yield from (*_texts(node.body), *_texts(node.orelse))


def _is_in_document(path: str, model: type[BaseModel] = CaseDocument) -> bool:
    """Whether a path leads through the document's tables; lists and mappings take any name."""
    head, _, rest = path.partition(".")
    pattern = re.compile(head.replace("*", "[a-z_]+"))
    for name, field in model.model_fields.items():
        if not pattern.fullmatch(name):
            continue
        inner = field.annotation
        if not rest or not (isinstance(inner, type) and issubclass(inner, BaseModel)):
            return True
        if _is_in_document(rest, inner):
            return True
    return False


def test_every_entry_that_would_change_a_finding_is_one_of_the_document() -> None:
    entries = _entries()
    assert "prove.wall_mm" in entries
    assert "couple.coupling.tolerance_*_*" in entries
    assert len(entries) > 25
    assert [path for path in entries if not _is_in_document(path)] == []
    assert not _is_in_document("prove.wall")


def test_what_breaks_or_lets_go_below_its_demand_gives_way_until_it_is_accepted():
    plate = finding("strength-distal-plate", 42.3, 11.4)
    reaches = finding("strength-compared", 0.27, 1.0, at_least=True)
    hold = finding("suspension-walking", 150.0, 120.0)
    assert all(gives_way(one) for one in (plate, reaches, hold))
    # 1 of its limit is not beyond it; what is no matter of holding, and notes, do not count
    assert not gives_way(finding("strength-distal-plate", 11.4, 11.4))
    assert not gives_way(finding("distal-end", 16.0, 6.4))
    assert not gives_way(replace(plate, severity=Severity.NOTE))
    assert not gives_way(replace(plate, accepted="tested at twice the load"))
    assert not gives_way(replace(plate, limit=None))
