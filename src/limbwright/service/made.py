"""Folders of what was made of a case: one per revision, each told from those of another record.

A set counts as made once all of it is written. What is left of an earlier record, whose revisions
bear the same numbers, is neither counted nor written into.
"""

from __future__ import annotations

import contextlib
from itertools import chain, count
from pathlib import Path

from limbwright.core.atomic import write_atomically

MADE_FOLDER, _REVISION = "made", "revision-"
_MARK = ".made-of"
"""File that names the record of a set; written when the set is whole."""


def made_revisions(case: Path, record_id: str) -> frozenset[int]:
    """Numbers of the record's revisions whose files were made here."""
    found = (mark.parent for mark in (case / MADE_FOLDER).glob(f"{_REVISION}*/{_MARK}"))
    heads = (
        folder.name.removeprefix(_REVISION).split("-")[0]
        for folder in found
        if _record_of(folder) == record_id
    )
    return frozenset(int(number) for number in heads if number.isdecimal())


def folder_to_make_in(case: Path, record_id: str, revision: int) -> Path:
    """Where a revision's files go: a folder of its own, or that of the same revision's last set."""
    stem = f"{_REVISION}{revision}"
    names = chain([stem], (f"{stem}-{number}" for number in count(2)))
    folders = (case / MADE_FOLDER / name for name in names)
    return next(one for one in folders if _is_free(one) or _record_of(one) == record_id)


def note_made(folder: Path, record_id: str) -> None:
    """Note that a set is whole, and of which record it is.

    Raises
    ------
    CannotWrite
    """
    write_atomically(folder / _MARK, record_id.encode())


def _is_free(folder: Path) -> bool:
    """Whether nothing stands there, or only what an interrupted run left in hiding."""
    if not folder.exists():
        return True
    with contextlib.suppress(OSError):
        return folder.is_dir() and all(one.name.startswith(".writing-") for one in folder.iterdir())
    return False


def _record_of(folder: Path) -> str | None:
    with contextlib.suppress(OSError, ValueError):
        return (folder / _MARK).read_text("utf-8")
    return None
