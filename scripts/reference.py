"""Write the reference pages from the code: the case document, the command line, the constants.

python scripts/reference.py          write docs/reference
python scripts/reference.py --check  fail when a page differs from the code
"""

from __future__ import annotations

import argparse
import datetime
import importlib
import io
import pkgutil
import sys
from collections.abc import Iterator, Mapping
from contextlib import redirect_stdout, suppress
from dataclasses import fields, is_dataclass
from enum import Enum
from pathlib import Path
from types import UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

import limbwright
from limbwright.case.document import CaseDocument
from limbwright.cli import main as command_line
from limbwright.core.sources import Sourced
from limbwright.core.stages import STAGES
from limbwright.couple.catalogue import KINDS

FOLDER = Path(__file__).resolve().parent.parent / "docs" / "reference"
COMMANDS = (
    "demo",
    "new",
    "measure",
    "evaluate",
    "make",
    "serve",
    "coupon",
    "whatif",
    "hardware",
    "revisions",
)
NOTICE = "<!-- Written by scripts/reference.py from the code; edit the code instead. -->\n\n"


def case_page() -> str:
    """The case document, table by table."""
    lines = [
        "# The case document\n",
        "A case is a folder: `case.toml` and the meshes that it names. Lengths in mm, masses in kg,"
        " angles in degrees. A depth is positive where space is added (relief) and negative where"
        " the socket presses in (load). What is left out takes the default shown; a default of"
        " *marked default* is chosen by the engine and shown as a default wherever it is used."
        " Unknown entries are refused, and every problem is told at once with its path.\n",
    ]
    _describe(CaseDocument, "case.toml", lines, set())
    return NOTICE + "\n".join(lines)


def catalogue_page() -> str:
    """Every kind of catalogue entry."""
    lines = [
        "# The catalogue of parts\n",
        "A catalogue is a file `parts.toml` of `[[part]]` tables, in a case folder, or for all"
        " cases in the folder of the user's own settings (`limbwright/parts.toml` there; the"
        " environment variable `LIMBWRIGHT_PARTS` names another file). An entry of the case"
        " hides one of the same key of the user's, and both hide the invented examples"
        " that come with the program."
        " `limbwright hardware DIR --start` writes the examples into a folder to fill in."
        " Lengths in mm, masses in kg, forces in N, angles in degrees. What is left out is not"
        " established. Every problem is told at once with entry and field.\n",
    ]
    for model in dict.fromkeys(KINDS.values()):
        kinds = ", ".join(kind for kind, other in KINDS.items() if other is model)
        _describe(model, kinds, lines, set())
    return NOTICE + "\n".join(lines).replace("*marked default*", "*not established*")


def command_page() -> str:
    """What each command says of itself."""
    parts = ["# The command line\n"]
    parts.append(
        "Exit codes: 0 done; 1 done with findings that stop the job; 2 bad input; 3 a fault"
        " in the program. Every command takes `--json`.\n"
    )
    for words in ([], *[[name] for name in COMMANDS]):
        parts.append(f"## `{' '.join(['limbwright', *words])}`\n\n```\n{_help(words)}```\n")
    return NOTICE + "\n".join(parts)


def source_page() -> str:
    """Every constant with its value, unit, source and confidence."""
    lines = [
        "# Constants and their sources\n",
        "Each number stands in one place of the code. *From memory* means that the source was not"
        " opened: such a number is a default to be replaced, and one of low confidence decides"
        " nothing.\n",
    ]
    for name in _modules():
        module = importlib.import_module(name)
        rows = [
            row
            for key, item in sorted(vars(module).items())
            if not key.startswith("_") and _defined_in(module, key)
            for row in _sourced(key, item)
        ]
        if rows:
            lines.append(f"## `{name.removeprefix('limbwright.')}`\n")
            lines.append("| constant | value | unit | source | confidence |\n|---|---|---|---|---|")
            lines += [
                f"| `{key}` | {_value(item.value)} | {item.unit or '-'} | {item.source} |"
                f" {item.source.confidence.value} |"
                for key, item in rows
            ]
            lines.append("")
    return NOTICE + "\n".join(lines)


def stage_page() -> str:
    """The stages in the order of the job."""
    rows = [f"| `{stage.name}` | {stage.question} |" for stage in STAGES]
    return NOTICE + "# The stages\n\n| stage | question |\n|---|---|\n" + "\n".join(rows) + "\n"


def _sourced(name: str, item: Any) -> Iterator[tuple[str, Sourced[Any]]]:
    """Every sourced number in a constant: itself, or in a table of them, by its path."""
    if isinstance(item, Sourced):
        yield name, item
    elif isinstance(item, Mapping):
        for key, inner in item.items():
            yield from _sourced(f"{name}.{_value(key)}", inner)
    elif is_dataclass(item) and not isinstance(item, type):
        for field in fields(item):
            yield from _sourced(f"{name}.{field.name}", getattr(item, field.name))


def _modules() -> list[str]:
    found = pkgutil.walk_packages(limbwright.__path__, "limbwright.")
    return sorted(item.name for item in found if not item.name.endswith("__main__"))


def _defined_in(module: Any, key: str) -> bool:
    source = Path(module.__file__ or "").read_text(encoding="utf-8")
    return f"\n{key}:" in source or f"\n{key} =" in source


def _value(value: Any) -> str:
    if isinstance(value, Enum):
        return str(value.value)
    if isinstance(value, float | int | str):
        return f"{value:g}" if isinstance(value, float) else str(value)
    if isinstance(value, tuple | list):
        return ", ".join(_value(item) for item in value)
    if hasattr(value, "items"):
        return "; ".join(f"{_value(key)}: {_value(item)}" for key, item in value.items())
    return str(value).replace("|", "/").replace("\n", " ")


def _help(words: list[str]) -> str:
    out = io.StringIO()
    with redirect_stdout(out), suppress(SystemExit):
        command_line([*words, "--help"])
    return out.getvalue()


def _describe(model: type[BaseModel], path: str, lines: list[str], seen: set[str]) -> None:
    if model.__name__ in seen:
        return
    seen.add(model.__name__)
    lines.append(f"## `{path}`\n\n{_first_lines(model)}\n")
    lines.append("| entry | kind | default | bounds |\n|---|---|---|---|")
    inner: list[tuple[str, type[BaseModel]]] = []
    for name, field in model.model_fields.items():
        kind, models = _kind(field.annotation)
        lines.append(f"| `{name}` | {kind} | {_default(field)} | {_bounds(field)} |")
        inner += [(f"{path}.{name}".removeprefix("case.toml."), item) for item in models]
    lines.append("")
    for place, item in inner:
        _describe(item, place, lines, seen)


def _first_lines(model: type[BaseModel]) -> str:
    return " ".join(line.strip() for line in (model.__doc__ or "").strip().splitlines() if line)


def _kind(annotation: Any) -> tuple[str, list[type[BaseModel]]]:
    origin = get_origin(annotation)
    if origin in (Union, UnionType):
        kinds = [_kind(item) for item in get_args(annotation) if item is not type(None)]
        return " or ".join(kind for kind, _ in kinds), [m for _, models in kinds for m in models]
    if origin in (tuple, dict):
        inner = [item for item in get_args(annotation) if item is not Ellipsis]
        kind, models = _kind(inner[-1])
        word = "table of" if origin is dict else "list of"
        return f"{word} {kind}", models
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return "table", [annotation]
    if isinstance(annotation, type) and issubclass(annotation, Enum):
        return "one of " + ", ".join(f"`{item.value}`" for item in annotation), []
    if origin is Literal:
        return "one of " + ", ".join(f"`{item.value}`" for item in get_args(annotation)), []
    if origin is Annotated:
        return _kind(get_args(annotation)[0])
    words = {
        float: "number",
        int: "whole number",
        str: "text",
        bool: "true or false",
        datetime.date: "date",
    }
    return words.get(annotation, str(annotation)), []


def _default(field: FieldInfo) -> str:
    if field.is_required():
        return "required"
    default = field.default
    if default is None:
        return "*marked default*"
    if isinstance(default, BaseModel) or default == ():
        return "empty" if default == () else "see below"
    if isinstance(default, tuple):
        return "see the code"
    return f"`{default.value if isinstance(default, Enum) else default}`"


def _bounds(field: FieldInfo) -> str:
    words = {"ge": "at least", "gt": "above", "le": "at most", "lt": "below"}
    parts = [
        f"{words[name]} {value:g}"
        for item in field.metadata
        for name in words
        if (value := getattr(item, name, None)) is not None
    ]
    return ", ".join(parts) or "-"


def main() -> int:
    """Write or check all pages."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--check", action="store_true")
    check = parser.parse_args().check
    pages = {
        "case.md": case_page(),
        "catalogue.md": catalogue_page(),
        "command-line.md": command_page(),
        "sources.md": source_page(),
        "stages.md": stage_page(),
    }
    stale = [
        name
        for name, text in pages.items()
        if not (FOLDER / name).is_file() or (FOLDER / name).read_text(encoding="utf-8") != text
    ]
    if check:
        if stale:
            print(f"docs/reference is behind the code: {', '.join(stale)}; run `make reference`.")
        return 1 if stale else 0
    FOLDER.mkdir(parents=True, exist_ok=True)
    for name in stale:
        (FOLDER / name).write_text(pages[name], encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
