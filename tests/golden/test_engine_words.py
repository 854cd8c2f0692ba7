"""Every sentence of real evaluations reads as a person would write it.

The demo's limb and two open ones, each evaluated whole: right singulars, no keys and paths of the
document, no idle digits, and no length that lacks its unit.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterator
from enum import Enum
from pathlib import Path

import pytest

from limbwright.assess.plan import Activity, Person
from limbwright.case.create import demo_case, new_case
from limbwright.case.evaluate import Evaluation, evaluate
from limbwright.case.memo import Memo
from limbwright.core.frame import Side

pytestmark = pytest.mark.slow

CASES = ("demo", "limb_a", "limb_b")
SIDES = {"limb_a": Side.RIGHT, "limb_b": Side.LEFT}
SENTENCES = ("text", "remedy", "says", "tried", "do", "undo", "predicted", "label", "place")
"""Fields of results that a person reads as they are."""
_NOUNS = "turn|degree|finding|landmark|layer|hole|level|point|triangle|part|step|roll|adapter|place"
WRONG = {
    "one of many": rf"(?<![\d.,])1(\.0+)? (?:{_NOUNS})s\b(?<!1\.0 degrees)",
    "many of one": rf"(?<![\d.,])(?:[2-9]|\d\d+) (?:{_NOUNS})\b",
    "minus nothing": r"[-−]0(\.0+)?(?![\d.])",
    "a key": r"\b[a-z]+_[a-z_]+\b",
    "a path": r"\b(?:shape|capture|prove|couple|align|person|fit)\.[a-z]",
    "idle digits": r"\d\.\d{4,}",
    "no more than nothing": r"\b0 % of [^.]*more than 0 %",
    "something unset": r"\b(?:None|nan|inf|NaN)\b",
    "a range without a unit": r"usual is \d[\d.]* to \d[\d.]*(?! mm)(?![\d.])",
    "twice a space": r"\S {2,}\S",
}
ACCEPTED = ("docs/method/pressure_*",)


@pytest.fixture(scope="module", params=CASES)
def evaluation(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Evaluation:
    name = request.param
    folder = tmp_path_factory.mktemp("words") / "case"
    if name == "demo":
        return evaluate(folder, demo_case(folder), Memo())
    files: Path = request.getfixturevalue("shared_data") / "limbs" / name
    person = Person(
        code="words", side=SIDES[name], mass_kg=74.0, stature_mm=1750.0, activity=Activity.K3
    )
    document, _ = new_case(
        folder,
        scan=files / "skin.ply",
        landmarks=files / "landmarks.json",
        person=person,
        tape=files / "tape.csv",
    )
    return evaluate(folder, document, Memo())


def sentences(found: object, field: str = "") -> Iterator[str]:
    """Texts of a result, wherever they stand in it."""
    if isinstance(found, str) and not isinstance(found, Enum):
        # a name alone is a key of the results, which the page words itself
        if field in SENTENCES and " " in found:
            yield found
    elif dataclasses.is_dataclass(found):
        for one in dataclasses.fields(found):
            yield from sentences(getattr(found, one.name), one.name)
    elif isinstance(found, dict):
        for value in found.values():
            yield from sentences(value, field)
    elif isinstance(found, list | tuple):
        for value in found:
            yield from sentences(value, field)


def wrong(sentence: str) -> list[str]:
    for known in ACCEPTED:
        sentence = sentence.replace(known, "")
    return [f"{what}: {sentence}" for what, form in WRONG.items() if re.search(form, sentence)]


def test_no_sentence_of_a_real_evaluation_reads_wrong(evaluation: Evaluation) -> None:
    said = {text for out in evaluation.outcomes.values() for text in sentences(out.result)}
    said |= set(sentences(evaluation.findings))
    assert len(said) > 80
    assert [fault for text in sorted(said) for fault in wrong(text)] == []


@pytest.mark.parametrize(
    "sentence",
    [
        "1 landmarks are guesses",
        "turn it 1.0 turns",
        "2 turn each",
        "the limb shifts -0.0 mm",
        "printed in petg_print",
        "see shape.areas[0]",
        "a gap of 0.12345 mm",
        "usual is 6 to 15; the next",
        "a depth of nan mm",
    ],
)
def test_what_reads_wrong_is_seen(sentence: str) -> None:
    assert wrong(sentence)
