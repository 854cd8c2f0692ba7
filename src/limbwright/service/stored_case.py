"""One case as it is stored: its document, and every revision of it in the record."""

from __future__ import annotations

import contextlib
import os
import threading
from pathlib import Path
from typing import Any

from limbwright.case.changes import change_note
from limbwright.case.document import CaseDocument
from limbwright.case.folder import (
    CASE_FILE,
    parse_document,
    raise_problems,
    read_case,
    write_case,
)
from limbwright.core.errors import Conflict, LimbwrightError
from limbwright.record.store import (
    RECORD_FILE,
    Revision,
    append_revision,
    open_record,
    record_id,
    revision,
    revision_list,
    stale_base,
    synchronise,
)


class StoredCase:
    """A case folder and its record; every method may be called from several threads.

    Parameters
    ----------
    folder : Path

    Raises
    ------
    LimbwrightError
        When the case cannot be read or its record not be opened.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._saving = threading.Lock()
        seen = _stamp(folder / CASE_FILE)
        document = read_case(folder)
        self._record = open_record(folder)
        self.record_id = record_id(self._record)
        self._opened = _identity(folder / RECORD_FILE)
        self._current = synchronise(self._record, document)
        self._seen = seen

    @property
    def current(self) -> Revision:
        """The revision that stands."""
        return self._current

    def still_stands(self) -> bool:
        """Whether the folder still holds what was opened: it may be another's by now, or gone."""
        return self._opened is not None and _identity(self.folder / RECORD_FILE) == self._opened

    def take_in(self) -> None:
        """Make a revision of a document that was changed in the folder meanwhile.

        Raises
        ------
        Conflict
            When it cannot be used as it stands.
        CannotRead, CannotWrite
        """
        if _stamp(self.folder / CASE_FILE) != self._seen:
            with self._saving:
                self._take_in_outside_changes()

    def revisions(self) -> tuple[tuple[int, str, str], ...]:
        """Number, time and note of all revisions, oldest first."""
        return revision_list(self._record)

    def revision(self, number: int) -> Revision | None:
        """One revision by number, or None."""
        return revision(self._record, number)

    def _document_of(self, number: int) -> CaseDocument | None:
        found = self.revision(number)
        return None if found is None else found.document

    def save(self, data: Any, base_revision: int, note: str = "") -> Revision:
        """Store a changed document as a new revision.

        Raises
        ------
        InvalidCase, Conflict, CannotWrite
            Nothing is stored then.
        """
        document = data if isinstance(data, CaseDocument) else parse_document(data)
        raise_problems(document, self.folder)
        with self._saving:
            self._take_in_outside_changes()
            before = self._current
            if document == before.document:
                # Whatever it was made from: a page may ask again when the first answer was lost.
                return before
            if base_revision != before.number:
                raise stale_base(base_revision, before.number)
            self._current = self._stored(
                document, before, note or change_note(before.document, document)
            )
            return self._current

    def _take_in_outside_changes(self) -> None:
        """Make a revision of a document that was changed by hand, before a change supersedes it.

        Raises
        ------
        Conflict
            When it cannot be used as it stands.
        """
        seen = _stamp(self.folder / CASE_FILE)
        if seen is None or seen == self._seen:
            return
        try:
            found = read_case(self.folder)
        except LimbwrightError as error:
            raise Conflict(
                f"{CASE_FILE} was changed outside the workshop and cannot be used as it stands:"
                f" {error.message} Correct or remove it; nothing was overwritten."
            ) from error
        if found != self._current.document:
            self._current = synchronise(self._record, found)
        self._seen = seen

    def _stored(self, document: CaseDocument, before: Revision, note: str) -> Revision:
        """The new revision, in the record and in the folder or in neither."""
        written = False

        def write() -> None:
            nonlocal written
            write_case(self.folder, document)
            written = True

        try:
            stored = append_revision(
                self._record, document, base=before.number, note=note, alongside=write
            )
            self._seen = _stamp(self.folder / CASE_FILE)
            return stored
        except LimbwrightError:
            if written:
                # The record did not take it in the end, so the file goes back to what it holds.
                write_case(self.folder, before.document)
            raise

    def take_again(self, number: int, base: int) -> Revision | None:
        """Store an earlier revision's document as a new one on top; None: there is no such one.

        Raises
        ------
        InvalidCase, Conflict, CannotWrite
            Nothing is stored then.
        """
        found = self.revision(number)
        if found is None:
            return None
        return self.save(found.document, base, note=f"revision {number} taken up again")


def _stamp(path: Path) -> tuple[int, int, int] | None:
    """What changes when a file is written anew; None where there is none."""
    known = _known(path)
    return None if known is None else (known.st_ino, known.st_size, known.st_mtime_ns)


def _identity(path: Path) -> tuple[int, int] | None:
    """What stays while a file is written to; None where there is none."""
    known = _known(path)
    return None if known is None else (known.st_dev, known.st_ino)


def _known(path: Path) -> os.stat_result | None:
    with contextlib.suppress(OSError):
        return path.stat()
    return None
