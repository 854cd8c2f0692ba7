"""The docs show the page as the browser tests saw it."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest
from PIL import Image

ROOT = Path(__file__).resolve().parents[2]
TUTORIAL = ROOT / "docs" / "tutorial"
LARGEST_BYTES = 120_000
WIDEST_PX = 1366


def shown_in(page: Path) -> dict[Path, str]:
    """Each picture that a page shows, with the words for those who do not see it."""
    found = re.findall(r"!\[([^\]]*)\]\(([^)]+)\)", page.read_text("utf-8"))
    return {(page.parent / target).resolve(): words for words, target in found}


def taken_by_the_browser_tests() -> set[str]:
    """Names of the pictures that the guided case is photographed in."""
    source = (ROOT / "tests" / "browser" / "test_guide.py").read_text("utf-8")
    return {
        argument.value
        for call in ast.walk(ast.parse(source))
        if isinstance(call, ast.Call)
        and isinstance(call.func, ast.Attribute)
        and call.func.attr == "take"
        for argument in call.args
        if isinstance(argument, ast.Constant) and isinstance(argument.value, str)
    }


SHOWN = shown_in(TUTORIAL / "first-case.md") | shown_in(ROOT / "README.md")


def test_the_tutorial_shows_every_stage_and_the_readme_the_workshop() -> None:
    stages = {"assess", "capture", "shape", "couple", "align", "prove", "make", "fit"}
    assert {path.stem for path in SHOWN} >= stages | {"workshop"}


def test_every_picture_taken_is_shown_and_every_picture_shown_is_taken() -> None:
    assert {path.stem for path in SHOWN} == taken_by_the_browser_tests()


def test_no_picture_lies_there_that_nothing_shows() -> None:
    lying = {*(TUTORIAL / "pictures").iterdir(), *(ROOT / "docs" / "pictures").iterdir()}
    assert {path.resolve() for path in lying} == set(SHOWN)


@pytest.mark.parametrize("path", sorted(SHOWN), ids=lambda path: path.stem)
def test_a_picture_is_there_is_small_and_is_told_in_words(path: Path) -> None:
    assert path.stat().st_size <= LARGEST_BYTES
    with Image.open(path) as image:
        assert image.format == "PNG"
        assert image.width <= WIDEST_PX
    assert len(SHOWN[path].split()) > 4
