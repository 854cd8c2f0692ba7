"""A case folder: case.toml and the files it names, read with every problem told at once."""

from __future__ import annotations

import contextlib
import hashlib
import os
import shutil
import tempfile
import time
import tomllib
from collections.abc import Iterator, Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any, Protocol

import tomli_w
from pydantic import ValidationError

from limbwright.case.checks import document_problems
from limbwright.case.document import CaseDocument
from limbwright.core.atomic import refuse_writing, write_atomically
from limbwright.core.errors import BadInput, CannotRead, InvalidCase
from limbwright.core.plan import DAY_PATTERN
from limbwright.core.reading import read_bounded

CASE_FILE = "case.toml"
_LARGEST_CASE_BYTES = 16 << 20
HEADER = (
    "# A Limbwright case. Lengths in mm, masses in kg, angles in degrees.\n"
    "# Depths: positive = space added (relief), negative = the socket presses in (load).\n\n"
)
BEING_BUILT = ".limbwright-new-"
"""Beginning of the name of a folder that becomes a case when all of it is there."""


def read_case(folder: Path) -> CaseDocument:
    """The case document of a folder, checked as a whole.

    Raises
    ------
    CannotRead
        When there is no readable case.toml.
    InvalidCase
        With every problem and its path.
    """
    path = folder / CASE_FILE
    try:
        # A byte-order mark is what some editors put in front.
        text = read_bounded(path, _LARGEST_CASE_BYTES).decode("utf-8-sig")
    except (CannotRead, UnicodeDecodeError) as error:
        reason = (
            str(error).split("; ")[0] if isinstance(error, CannotRead) else f"{path} is no text"
        )
        raise CannotRead(
            f"{reason}; give a case folder made by `limbwright new` or `limbwright demo`.",
            where=str(path),
        ) from error
    try:
        data = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise InvalidCase([(CASE_FILE, f"is not valid TOML: {error}")]) from error
    document = parse_document(data)
    raise_problems(document, folder)
    return document


def parse_document(data: Any) -> CaseDocument:
    """A document from plain data.

    Raises
    ------
    InvalidCase
        With every problem and its path.
    """
    try:
        return CaseDocument.model_validate(data)
    except ValidationError as error:
        raise InvalidCase(validation_problems(error)) from error


class Refused(Protocol):
    """What a checker of types raises: for a document, or for a request that brings one."""

    def errors(self) -> Sequence[Any]:
        """Each with its place, kind and message."""


def validation_problems(error: Refused, prefix: str = "") -> list[tuple[str, str]]:
    """Every problem of what was refused with its path, in plain words."""
    return [_problem(dict(item), prefix) for item in error.errors()]


def raise_problems(document: CaseDocument, folder: Path | None) -> None:
    """Refuse a document whose parts contradict each other or name missing files.

    Raises
    ------
    InvalidCase
    """
    problems = document_problems(document, folder)
    if problems:
        raise InvalidCase(problems)


def dump_document(document: CaseDocument) -> bytes:
    """The text of case.toml; the same document always gives the same bytes."""
    data = document.model_dump(mode="json", exclude_none=True)
    return (HEADER + tomli_w.dumps(data)).encode()


def write_case(folder: Path, document: CaseDocument) -> None:
    """Store the document; on failure the old one stays.

    Raises
    ------
    InvalidCase, CannotWrite
    """
    raise_problems(document, folder)
    write_atomically(folder / CASE_FILE, dump_document(document))


@contextlib.contextmanager
def new_folder(folder: Path) -> Iterator[Path]:
    """Build a new case folder aside and move it into place when all of it is there.

    Raises
    ------
    BadInput
        When the folder exists and is not empty.
    CannotWrite
    """
    if folder.name in ("", ".."):
        raise BadInput(f"{folder} is no name for a new folder; choose one.", where=str(folder))
    building: Path | None = None
    try:
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            raise BadInput(
                f"{folder} already exists and is not empty; choose a new folder name.",
                where=str(folder),
            )
        folder.parent.mkdir(parents=True, exist_ok=True)
        building = Path(tempfile.mkdtemp(prefix=BEING_BUILT, dir=folder.parent))
        yield building
        building.chmod(0o755)
        os.replace(building, folder)
        building = None
    except OSError as error:
        refuse_writing(folder, error)
    finally:
        if building is not None:
            shutil.rmtree(building, ignore_errors=True)


def remove_half_built(parent: Path, older_than_s: float) -> None:
    """Remove what was left of new case folders when the program was ended in the midst of one.

    They hold a copy of somebody's scan, and no case that could be opened.
    """
    with contextlib.suppress(OSError):
        for left in parent.glob(f"{BEING_BUILT}*"):
            if time.time() - left.stat().st_mtime > older_than_s:
                shutil.rmtree(left, ignore_errors=True)


def file_digest(path: Path) -> str:
    """SHA-256 of a file.

    Raises
    ------
    CannotRead
    """
    try:
        known = path.stat()
        return _digest(path, known.st_ino, known.st_size, known.st_mtime_ns)
    except OSError as error:
        raise CannotRead(
            f"{path} cannot be read ({error.strerror}); put the file back or correct its name.",
            where=str(path),
        ) from error


@lru_cache(maxsize=64)
def _digest(path: Path, inode: int, size: int, changed_ns: int) -> str:
    """Read once for as long as the file stays what it is: a scan is large, and edits are many."""
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


_PLAIN_PROBLEMS = {
    "extra_forbidden": "is not a known entry; check its spelling",
    "missing": "is missing",
    "greater_than_equal": "must be at least {ge:g}",
    "greater_than": "must be above {gt:g}",
    "less_than_equal": "must be at most {le:g}",
    "less_than": "must be below {lt:g}",
    "float_parsing": "must be a number",
    "float_type": "must be a number",
    "int_parsing": "must be a whole number",
    "int_type": "must be a whole number",
    "int_from_float": "must be a whole number",
    "bool_parsing": "must be true or false",
    "bool_type": "must be true or false",
    "finite_number": "must be a finite number",
    "string_type": "must be text",
    "string_too_short": "must not be empty",
    "string_too_long": "must be at most {max_length} characters long",
    "string_pattern_mismatch": "must be small letters and digits, joined as in the examples",
    "string_unicode": "must be text",
    "tuple_type": "must be a list",
    "dict_type": "must be a table",
    "model_type": "must be a table",
    "date_type": "must be a date such as 2026-03-01",
    "date_parsing": "must be a date such as 2026-03-01",
    "date_from_datetime_parsing": "must be a date such as 2026-03-01",
    "date_from_datetime_inexact": "must be a date such as 2026-03-01, without a time",
    "too_long": "must have at most {max_length} entries",
    "enum": "must be one of {expected}",
}
"""What the checker of types reports, in the words of people; others keep its own."""


_BOUNDS = ("greater_than_equal", "greater_than", "less_than_equal", "less_than")
_UNITS = {
    "mm": " mm",
    "kg": " kg",
    "deg": " degrees",
    "percent": " %",
    "n": " N",
    "mpa": " MPa",
    "kpa": " kPa",
    "m_s": " m/s",
}
"""Ends of an entry's name and the unit that they say: a bound without it misleads in lb or inch."""


def _problem(error: dict[str, Any], prefix: str) -> tuple[str, str]:
    path = prefix
    for part in error["loc"]:
        path += f"[{part}]" if isinstance(part, int) else (f".{part}" if path else str(part))
    kind, given = error["type"], error.get("input")
    if kind == "string_pattern_mismatch" and error["ctx"]["pattern"] == DAY_PATTERN:
        kind = "date_type"
    message = str(error["msg"])
    text = _PLAIN_PROBLEMS.get(kind, message[0].lower() + message[1:])
    text = text.format(**error.get("ctx", {})) if kind in _PLAIN_PROBLEMS else text
    if kind in _BOUNDS:
        text += _unit_of(path)
    told = kind not in ("missing", "extra_forbidden") and isinstance(given, str | int | float)
    return path, text + (f", not {_shown(given)}" if told else "")


def _unit_of(path: str) -> str:
    name = path.rsplit(".", 1)[-1].split("[", 1)[0]
    return next((unit for end, unit in _UNITS.items() if name.endswith(f"_{end}")), "")


def _shown(given: object) -> str:
    """What was given, short: a whole file pasted into a field is not said back."""
    text = repr(given)
    return text if len(text) <= 40 else text[:37] + "..."
