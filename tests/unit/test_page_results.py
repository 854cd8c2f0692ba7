"""The results as the page declares them, held to the dataclasses that the stages compute."""

import dataclasses
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple, get_args, get_type_hints

import pytest

from limbwright.align.result import Alignment
from limbwright.assess.result import Assessment
from limbwright.capture.result import Limb
from limbwright.couple.result import Coupling
from limbwright.fit.result import FitResult
from limbwright.make.result import Made
from limbwright.prove.result import Proof
from limbwright.shape.result import SocketShape

DECLARED = Path(__file__).parents[2] / "web" / "src" / "api" / "results"
RESULTS = (Assessment, Limb, SocketShape, Coupling, Alignment, Proof, Made, FitResult)
INTERFACE = re.compile(r"^export interface (\w+) \{\n(.*?)^\}", re.MULTILINE | re.DOTALL)
ENTRY = re.compile(r"^( +)readonly (\w+)\??: ", re.MULTILINE)


class Declared(NamedTuple):
    """An interface of the page; an entry that is declared within another one has a longer path."""

    name: str
    file: str
    paths: tuple[tuple[str, ...], ...]


def paths_in(body: str) -> Iterator[tuple[str, ...]]:
    path: tuple[str, ...] = ()
    for indent, name in ENTRY.findall(body):
        path = (*path[: len(indent) // 2 - 1], name)
        yield path


def declared() -> list[Declared]:
    return [
        Declared(name, file.name, tuple(paths_in(body)))
        for file in sorted(DECLARED.glob("*.ts"))
        for name, body in INTERFACE.findall(file.read_text("utf-8"))
    ]


def classes_in(hint: Any) -> list[type]:
    """Dataclasses that a type names, within lists, mappings and unions too."""
    if isinstance(hint, type) and dataclasses.is_dataclass(hint):
        return [hint]
    return [found for part in get_args(hint) for found in classes_in(part)]


def computed() -> dict[str, list[type]]:
    """Every dataclass that the stages' results are made of, by its name: stages may share one."""
    known: set[type] = set()
    waiting: list[type] = list(RESULTS)
    while waiting:
        one = waiting.pop()
        known.add(one)
        inner = [found for hint in get_type_hints(one).values() for found in classes_in(hint)]
        waiting += [found for found in inner if found not in known]
    by_name: dict[str, list[type]] = {}
    for one in known:
        by_name.setdefault(one.__name__, []).append(one)
    return by_name


def lacking(kind: type, path: tuple[str, ...]) -> str:
    """What no class has of a path of entries from a class; "" where all is there."""
    kinds = [kind]
    for name in path:
        having = [one for one in kinds if name in {field.name for field in dataclasses.fields(one)}]
        if not having:
            return (
                f"{'.'.join(path)} (no {name} in {' or '.join(one.__qualname__ for one in kinds)})"
            )
        kinds = [inner for one in having for inner in classes_in(get_type_hints(one)[name])]
    return ""


@pytest.mark.parametrize("page", declared(), ids=lambda page: page.name)
def test_the_page_reads_no_entry_that_a_result_does_not_have(page):
    kinds = computed().get(page.name, [])
    assert kinds, f"{page.file}: no result is a {page.name}"
    missing = {
        kind.__module__: [words for path in page.paths if (words := lacking(kind, path))]
        for kind in kinds
    }
    assert [] in missing.values(), (
        f"{page.name} of {page.file} declares what no result has: {missing}"
    )


def test_every_interface_of_the_page_is_found_with_its_entries():
    pages = declared()
    written = sum(file.read_text("utf-8").count("interface ") for file in DECLARED.glob("*.ts"))
    assert len(pages) == written
    assert {one.__name__ for one in RESULTS} <= {page.name for page in pages}
    assert all(page.paths for page in pages)


def test_an_entry_within_an_entry_is_followed():
    assert lacking(FitResult, ("answers", "causes", "says")) == ""
    assert "no wisdom in CauseReading" in lacking(FitResult, ("answers", "causes", "wisdom"))
