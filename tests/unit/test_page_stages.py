"""What the page takes for old after an edit, held to what the engine's steps read."""

import re
from pathlib import Path
from types import SimpleNamespace

import pytest

from limbwright.case import casting
from limbwright.case.document import CaseDocument
from limbwright.case.folder import read_case
from limbwright.case.memo import Memo
from limbwright.case.stepping import Step, StepInputs
from limbwright.case.steps import STEPS
from limbwright.core.stages import STAGE_NAMES

TABLE = Path(__file__).parents[2] / "web" / "src" / "state" / "touched.ts"
NO_EDIT = {"schema_version", "invented"}


def told_by_the_page() -> dict[str, list[str]]:
    _, _, rest = TABLE.read_text("utf-8").partition("export const TOUCHED")
    body, _, _ = rest.partition("};")
    lines = re.findall(r"^  (\w+): \[(.*?)\],$", body, re.MULTILINE | re.DOTALL)
    return {section: re.findall(r'"(\w+)"', stages) for section, stages in lines}


class Watched:
    """A document that notes which of its sections are read."""

    def __init__(self, document: CaseDocument) -> None:
        self.document = document
        self.seen: set[str] = set()

    def __getattr__(self, name: str) -> object:
        self.seen.add(name)
        return getattr(self.document, name)


def keyed_by(step: Step, folder: Path, document: CaseDocument) -> set[str]:
    """Sections whose edit gives the step another key, and so all that needs its result."""
    watched = Watched(document)
    step.reads(folder, watched)
    return watched.seen


def finished_by(step: Step, folder: Path, document: CaseDocument) -> set[str]:
    """Sections whose edit changes what is added to the step's result."""
    watched = Watched(document)
    if step.finish is not None:
        step.finish(StepInputs(folder, watched, {}, {}, "", Memo()), SimpleNamespace())
    return watched.seen


@pytest.fixture
def touched(monkeypatch, demo_copy) -> dict[str, set[str]]:
    """Stages whose result an edit may change, by the section that is edited."""
    monkeypatch.setattr(casting, "_planned", lambda limb, document, coupling: limb)
    document = read_case(demo_copy)
    rests_on: dict[str, set[str]] = {}
    stages: dict[str, set[str]] = {section: set() for section in CaseDocument.model_fields}
    for step in STEPS:
        needed = [rests_on[name] for name in step.needs]
        rests_on[step.stage] = keyed_by(step, demo_copy, document).union(*needed)
        for section in rests_on[step.stage] | finished_by(step, demo_copy, document):
            stages[section].add(step.stage)
    return stages


def test_the_page_takes_for_old_just_the_stages_that_read_an_edited_section(touched):
    told = told_by_the_page()
    assert set(told) == set(touched) - NO_EDIT
    for section, stages in told.items():
        expected = [name for name in STAGE_NAMES if name in touched[section]]
        assert stages == expected, f"an edit of {section}, in {TABLE.name}"


def test_what_is_read_backwards_is_found(touched):
    # The casting plan reads the trim line, the seat the bench, the assessment the coupling.
    assert "capture" in touched["shape"]
    assert "couple" in touched["align"]
    assert "assess" in touched["couple"]
    assert "shape" not in touched["couple"]
