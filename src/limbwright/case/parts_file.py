"""Catalogues of parts: the case's own file, the user's, and invented examples after both."""

from __future__ import annotations

import hashlib
import os
import tomllib
from collections.abc import Iterable, Iterator
from importlib.resources import files
from pathlib import Path
from typing import Any

import tomli_w
from pydantic import ValidationError

from limbwright.case.folder import validation_problems
from limbwright.case.memo import Memo
from limbwright.core.atomic import write_atomically
from limbwright.core.errors import BadInput, InvalidCatalogue
from limbwright.core.reading import read_bounded
from limbwright.couple.catalogue import KINDS, AnyPart, Catalogue, contradictions

PARTS_FILE = "parts.toml"
"""Name of the catalogue in a case folder and in the user's own folder."""
PARTS_VARIABLE = "LIMBWRIGHT_PARTS"
"""Environment variable that names the user's catalogue in another place."""
EXAMPLES = "example_parts.toml"
_LARGEST_BYTES = 4 << 20

Problems = list[tuple[str, str]]


def user_parts_file() -> Path | None:
    """Where the user's own catalogue is looked for, in the folder for settings."""
    if named := os.environ.get(PARTS_VARIABLE):
        return Path(named)
    base = os.environ.get("APPDATA" if os.name == "nt" else "XDG_CONFIG_HOME")
    try:
        folder = Path(base) if base else Path.home() / ".config"
    except RuntimeError:
        return None
    return folder / "limbwright" / PARTS_FILE


def read_catalogue(folder: Path | None, memo: Memo | None = None) -> Catalogue:
    """Every part to choose from: of the case folder, then the user's, then invented examples.

    An entry hides those of the same key in the files after its own.

    Parameters
    ----------
    folder : Path or None
        Case folder; None leaves its file out.
    memo : Memo, optional
        Keeps what was read, by the files' content.

    Raises
    ------
    CannotRead
        When a file is there and cannot be read.
    InvalidCatalogue
        With every problem of a file, by entry and field.
    """
    sources = list(_files(folder))
    if memo is None:
        return _merged(sources)
    return memo.get(f"catalogue {_digest(sources)}", lambda: _merged(sources))


def catalogue_digest(folder: Path | None) -> str:
    """A hash of all that `read_catalogue` would read."""
    return _digest(list(_files(folder)))


def example_parts() -> bytes:
    """The catalogue of invented parts, as a file to start one's own from."""
    return files("limbwright.couple").joinpath(EXAMPLES).read_bytes()


def start_parts_file(folder: Path) -> Path:
    """Write a catalogue of examples into a folder, to fill one's own parts in.

    Raises
    ------
    BadInput
        When there is one already.
    CannotWrite
    """
    path = folder / PARTS_FILE
    if path.exists():
        raise BadInput(f"{path} is there already; it was not changed.", where=str(path))
    if not folder.is_dir():
        raise BadInput(f"{folder} is no folder; name a case folder.", where=str(folder))
    write_atomically(path, example_parts())
    return path


def dump_parts(parts: Iterable[AnyPart]) -> bytes:
    """Entries as a catalogue file that reads back to the same; each once, in their order."""
    entries = []
    for part in dict.fromkeys(parts):
        entry = part.model_dump(mode="json", exclude_none=True)
        entries.append({**entry, "date": part.date})
    return tomli_w.dumps({"part": entries}).encode()


def parse_parts(content: bytes, name: str) -> tuple[AnyPart, ...]:
    """The entries of one catalogue file.

    Parameters
    ----------
    content : bytes
        TOML text.
    name : str
        What the file is called, for the message.

    Raises
    ------
    InvalidCatalogue
        With every problem, by entry and field.
    """
    try:
        data = tomllib.loads(content.decode("utf-8-sig"))
    except (ValueError, RecursionError) as error:
        raise InvalidCatalogue(name, [("file", f"is not valid TOML: {error}")]) from error
    entries = data.pop("part", [])
    problems = [(key, "is not a known entry; parts are listed as [[part]]") for key in data]
    if not isinstance(entries, list):
        raise InvalidCatalogue(name, [*problems, ("part", "must be a list of [[part]] tables")])
    parts: list[AnyPart] = []
    for number, entry in enumerate(entries, start=1):
        part, wrong = _part(entry, f"part {number}")
        problems += wrong
        if part is not None:
            parts.append(part)
    problems += _repeated([part.key for part in parts])
    if problems:
        raise InvalidCatalogue(name, problems)
    return tuple(parts)


def _part(entry: Any, place: str) -> tuple[AnyPart | None, Problems]:
    """One entry, or all that is wrong with it."""
    if not isinstance(entry, dict):
        return None, [(place, "must be a [[part]] table")]
    if isinstance(entry.get("key"), str):
        place = f"{place} ({entry['key'][:60]})"
    kind = KINDS.get(str(entry.get("kind")))
    if kind is None:
        told = f", not {entry['kind']!r}" if "kind" in entry else ""
        return None, [(f"{place}.kind", f"must be one of {', '.join(KINDS)}{told}")]
    try:
        part: AnyPart = kind.model_validate(entry)
    except ValidationError as error:
        return None, validation_problems(error, place)
    return part, [(f"{place}.{name}", text) for name, text in contradictions(part)]


def _repeated(keys: list[str]) -> Problems:
    return [
        (key, f"is the key of {keys.count(key)} entries; each needs its own")
        for key in dict.fromkeys(keys)
        if keys.count(key) > 1
    ]


def _files(folder: Path | None) -> Iterator[tuple[str, bytes]]:
    """Name and content of each catalogue file that is there, examples last."""
    for path in (folder / PARTS_FILE if folder is not None else None, user_parts_file()):
        if path is not None and path.exists():
            yield str(path), read_bounded(path, _LARGEST_BYTES)
    yield EXAMPLES, example_parts()


def _merged(sources: list[tuple[str, bytes]]) -> Catalogue:
    parts: dict[str, AnyPart] = {}
    for name, content in sources:
        for part in parse_parts(content, name):
            parts.setdefault(part.key, part)
    return Catalogue(parts=tuple(parts.values()))


def _digest(sources: list[tuple[str, bytes]]) -> str:
    whole = hashlib.sha256()
    for _, content in sources:
        whole.update(hashlib.sha256(content).digest())
    return whole.hexdigest()
