"""The cases of one folder: listed, opened, begun, copied and put away."""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import secrets
import shutil
import threading
import time
from collections import OrderedDict
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from limbwright.assess.plan import Person
from limbwright.capture.plan import CapturePlan, LandmarkSet, ScannedOver
from limbwright.case.cache import CACHE_FOLDER
from limbwright.case.create import begun_case, demo_case
from limbwright.case.document import CaseDocument
from limbwright.case.folder import (
    BEING_BUILT,
    CASE_FILE,
    new_folder,
    read_case,
    remove_half_built,
    write_case,
)
from limbwright.core.atomic import refuse_writing, write_atomically
from limbwright.core.errors import BadInput, Conflict, LimbwrightError
from limbwright.core.units import LengthUnit
from limbwright.record.store import RECORD_FILE, revision_list_of
from limbwright.service.apart import Run
from limbwright.service.arrays import ArrayShelf
from limbwright.service.capturer import capture_apart
from limbwright.service.jobs import Job
from limbwright.service.made import MADE_FOLDER
from limbwright.service.scan_reader import ScanView, read_apart
from limbwright.service.summary import SUMMARY_FILE, Summary, read_summary
from limbwright.service.workshop import Workshop

ARCHIVED = ".archived"
"""An empty file of this name in a case folder puts the case away; nothing else changes."""
DRAFTS = ".drafts"
"""Scans that were uploaded and belong to no case yet."""
DRAFT_LIFE_S = 24 * 3600.0
"""An uploaded scan that no case was begun from by then is removed; the person has the file."""
LIST_PATIENCE_S = 0.2
"""The list of cases is not held up for longer by a record that another program holds."""
MOST_AWAKE = 4
"""Open cases whose results stay in memory; the others compute again when they are next asked."""
_DRAFT = re.compile("[0-9a-f]{16}")
SCAN_ENDINGS = (".stl", ".ply", ".obj", ".3mf", ".glb")
_COPIED_NOT = (RECORD_FILE, ARCHIVED, CACHE_FOLDER, MADE_FOLDER)


@dataclass(frozen=True, slots=True)
class Entry:
    """One case in the list.

    Parameters
    ----------
    id : str
        Says nothing about the person: neither a name nor a code stands in an address.
    folder : str
        Name of the case folder.
    document : CaseDocument or None
        None when it cannot be read; `problem` then says why.
    problem : str or None
    archived : bool
    revision : int
    changed_at : str or None
        ISO 8601, UTC.
    summary : Summary or None
        Of the last evaluation in the workshop.
    """

    id: str
    folder: str
    document: CaseDocument | None
    problem: str | None
    archived: bool
    revision: int
    changed_at: str | None
    summary: Summary | None


@dataclass(frozen=True, slots=True)
class NewCase:
    """What a case is begun from, beside its scan."""

    title: str
    person: Person
    landmarks: LandmarkSet
    unit: LengthUnit | None
    scanned_over: ScannedOver


class Cabinet:
    """A folder of cases; every method may be called from several threads.

    Parameters
    ----------
    folder : Path
        A case folder: its neighbours are listed too. Or a folder that holds case folders.

    Raises
    ------
    LimbwrightError
        When the folder is none, or the case named cannot be opened.
    """

    def __init__(self, folder: Path) -> None:
        single = (folder / CASE_FILE).exists()
        if not folder.is_dir():
            # The same words as for any case folder that is not there.
            read_case(folder)
        self.root = folder.resolve().parent if single else folder.resolve()
        self.first = case_id(folder.resolve()) if single else None
        self.shelf = ArrayShelf()
        self._open: OrderedDict[str, Workshop] = OrderedDict()
        self._lock = threading.Lock()
        self._opening: dict[str, threading.Lock] = {}
        self._taken: set[str] = set()
        self._capturing: dict[str, tuple[str, float]] = {}
        self._remove_old_drafts()
        remove_half_built(self.root, DRAFT_LIFE_S)
        if single:
            self.workshop(case_id(folder.resolve()))

    def capture_ahead(self) -> None:
        """Begin to capture the limb of the one case named, which a page will open."""
        opened = None if self.first is None else self.workshop(self.first)
        if opened is not None:
            opened.capture_ahead()

    def entries(self) -> tuple[Entry, ...]:
        """All cases, the ones in use first, the last changed first."""
        found = [self._entry(folder) for folder in self._folders()]
        found.sort(key=lambda entry: entry.folder)
        found.sort(key=lambda entry: entry.changed_at or "", reverse=True)
        return tuple(sorted(found, key=lambda entry: entry.archived))

    def workshop(self, identifier: str) -> Workshop | None:
        """The open case of an identifier, opened on first use; None when there is none.

        Raises
        ------
        LimbwrightError
            When it cannot be opened.
        """
        with self._lock:
            opening = self._opening.setdefault(identifier, threading.Lock())
        # One that is long in opening holds up no other.
        with opening:
            found = self._open.get(identifier)
            if found is None or not found.still_stands():
                folder = self._folder(identifier)
                found = None if folder is None else Workshop(folder, identifier)
        with self._lock:
            if found is None:
                self._open.pop(identifier, None)
                return None
            self._open[identifier] = found
            self._open.move_to_end(identifier)
            for resting in list(self._open.values())[:-MOST_AWAKE]:
                resting.rest()
        return found

    def job(self, job_id: str) -> Job | None:
        """A job of any open case."""
        found = (workshop.jobs.get(job_id) for workshop in list(self._open.values()))
        return next((job for job in found if job is not None), None)

    def cancel(self, job_id: str) -> None:
        """Stop a job of any open case, if it can be stopped."""
        for workshop in list(self._open.values()):
            workshop.cancel(job_id)

    def take_scan(self, name: str, content: BinaryIO) -> tuple[str, ScanView]:
        """Keep an uploaded scan until a case is begun from it.

        Parameters
        ----------
        name : str
            As the person's file is called; only its ending is used.
        content : binary file
            As received; copied to the draft.

        Returns
        -------
        identifier of the draft, and what the page draws

        Raises
        ------
        BadInput, CannotWrite
        """
        ending = Path(name).suffix.lower()
        if ending not in SCAN_ENDINGS:
            known = ", ".join(SCAN_ENDINGS)
            raise BadInput(
                f'A scan file ends in one of {known}, not in "{ending}"; export it as one of these.'
            )
        self._remove_old_drafts()
        draft = secrets.token_hex(8)
        folder = self.root / DRAFTS / draft
        scan = folder / f"scan{ending}"
        try:
            _keep(content, scan)
            return draft, read_apart(scan, folder / "view.npz")
        except LimbwrightError:
            shutil.rmtree(folder, ignore_errors=True)
            raise

    def begin(self, draft: str, new: NewCase) -> str:
        """Begin a case from an uploaded scan; returns its identifier.

        Raises
        ------
        LimbwrightError
            When the limb cannot be captured; the draft stays, so that it can be tried again.
        """
        scan = self._draft_scan(draft)

        def capturing(building: Path, document: CaseDocument) -> None:
            def tell(doing: str, share: float) -> None:
                self._capturing[draft] = doing, share

            capture_apart(building, document, Run(), tell)

        with (
            self._kept_for_one(draft),
            self._free_folder(new.person.code) as folder,
            new_folder(folder) as building,
        ):
            shutil.copyfile(scan, building / scan.name)
            plan = CapturePlan(
                scan=scan.name,
                unit=new.unit,
                scanned_over=new.scanned_over,
                landmarks=new.landmarks,
            )
            begun_case(building, new.person, plan, title=new.title, capturing=capturing)
        shutil.rmtree(scan.parent, ignore_errors=True)
        return case_id(folder)

    def capturing(self, draft: str) -> tuple[str, float] | None:
        """What is done to begin a case from an uploaded scan, and the share; None: nothing."""
        return self._capturing.get(draft)

    def begin_demo(self) -> str:
        """Write the case of an invented person; returns its identifier.

        Raises
        ------
        CannotWrite
        """
        with self._free_folder("demo-case") as folder:
            demo_case(folder)
        return case_id(folder)

    def duplicate(self, identifier: str) -> str | None:
        """A new case with the same scan and plan and an empty record; returns its identifier.

        Raises
        ------
        LimbwrightError
        """
        source = self._folder(identifier)
        if source is None:
            return None
        document = read_case(source)
        with self._free_folder(f"{source.name}-copy") as folder, new_folder(folder) as building:
            for item in sorted(source.iterdir()):
                # Hidden files are the workshop's own: a copy starts without them.
                own = item.name in _COPIED_NOT or item.name[0] == "."
                # A link may lead out of the folder, to what is no part of the case.
                if item.is_file() and not item.is_symlink() and not own:
                    shutil.copyfile(item, building / item.name)
            title = f"{document.title or source.name} (copy)"
            write_case(building, document.model_copy(update={"title": title}))
        return case_id(folder)

    def archive(self, identifier: str, archived: bool) -> bool:
        """Put a case away, or take it back; False when there is none.

        Raises
        ------
        CannotWrite
        """
        folder = self._folder(identifier)
        if folder is None:
            return False
        marker = folder / ARCHIVED
        if archived:
            write_atomically(marker, b"")
        else:
            try:
                marker.unlink(missing_ok=True)
            except OSError as error:
                refuse_writing(marker, error)
        return True

    def _folders(self) -> list[Path]:
        with contextlib.suppress(OSError):
            return [
                item
                for item in self.root.iterdir()
                if (item / CASE_FILE).is_file() and not item.name.startswith(BEING_BUILT)
            ]
        return []

    def _folder(self, identifier: str) -> Path | None:
        return next((item for item in self._folders() if case_id(item) == identifier), None)

    def _entry(self, folder: Path) -> Entry:
        document, problem = None, None
        try:
            document = read_case(folder)
        except LimbwrightError as error:
            problem = error.message
        revisions: tuple[tuple[int, str, str], ...] = ()
        try:
            revisions = revision_list_of(folder, LIST_PATIENCE_S)
        except LimbwrightError as error:
            problem = problem or error.message
        number, changed_at = revisions[-1][:2] if revisions else (0, None)
        return Entry(
            case_id(folder),
            folder.name.encode(errors="replace").decode(),
            document,
            problem,
            (folder / ARCHIVED).exists(),
            number,
            changed_at,
            read_summary(folder / CACHE_FOLDER / SUMMARY_FILE),
        )

    def _draft_scan(self, draft: str) -> Path:
        if _DRAFT.fullmatch(draft):
            for scan in sorted((self.root / DRAFTS / draft).glob("scan.*")):
                return scan
        raise BadInput("The uploaded scan is no longer here; choose the file once more.")

    @contextlib.contextmanager
    def _free_folder(self, wanted: str) -> Iterator[Path]:
        """A folder of a name from a code, safe on every system; nobody else is given it meanwhile.

        Raises
        ------
        BadInput
        """
        stem = re.sub(r"[^A-Za-z0-9_-]+", "-", wanted).strip("-.")[:60] or "case"
        with self._lock:
            names = (stem if number == 1 else f"{stem}-{number}" for number in range(1, 1000))
            name = next((n for n in names if n not in self._taken and self._is_free(n)), None)
            if name is None:
                raise BadInput(
                    f'There are too many cases named "{stem}" here; choose another code.'
                )
            self._taken.add(name)
        try:
            yield self.root / name
        finally:
            self._taken.discard(name)

    def _is_free(self, name: str) -> bool:
        return not (self.root / name).exists()

    @contextlib.contextmanager
    def _kept_for_one(self, draft: str) -> Iterator[None]:
        """Only one case at a time is begun from an uploaded scan."""
        with self._lock:
            if draft in self._taken:
                raise Conflict("A case is being begun from this scan already; wait for it.")
            self._taken.add(draft)
        try:
            yield
        finally:
            self._taken.discard(draft)
            self._capturing.pop(draft, None)

    def _remove_old_drafts(self) -> None:
        with contextlib.suppress(OSError):
            for folder in (self.root / DRAFTS).iterdir():
                old = time.time() - folder.stat().st_mtime > DRAFT_LIFE_S
                if old and _DRAFT.fullmatch(folder.name) and folder.name not in self._taken:
                    shutil.rmtree(folder, ignore_errors=True)


def _keep(content: BinaryIO, path: Path) -> None:
    """Copy what was received to a file in a folder of its own.

    Raises
    ------
    CannotWrite
    """
    try:
        path.parent.mkdir(parents=True)
        with path.open("wb") as kept:
            shutil.copyfileobj(content, kept)
    except OSError as error:
        refuse_writing(path.parent, error)


def case_id(folder: Path) -> str:
    """Identifier of a case folder: the same for the same name, and telling nothing of it."""
    return hashlib.blake2s(os.fsencode(folder.name), digest_size=6).hexdigest()
