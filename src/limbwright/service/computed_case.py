"""One case and what is computed of it: evaluations, first looks, and its limb captured apart."""

from __future__ import annotations

import contextlib
import threading
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np

from limbwright.capture.result import Limb
from limbwright.case.cache import CACHE_FOLDER
from limbwright.case.codec import plain
from limbwright.case.document import CaseDocument
from limbwright.case.evaluate import Evaluation, Outcome, State, evaluate
from limbwright.case.first_look import first_look
from limbwright.case.measuring import MeasuredDistance, distance_between
from limbwright.case.memo import Memo
from limbwright.case.report import CAUTIONS, evaluation_json, stages_json
from limbwright.case.section import Section, section_at
from limbwright.case.whatif import Move, WhatIf, what_if
from limbwright.core.errors import BadInput, LimbwrightError
from limbwright.core.frame import Side, points_to_patient
from limbwright.core.mesh import Vertices
from limbwright.core.proximity import DistanceTree
from limbwright.core.stages import STAGE_NAMES
from limbwright.prove.materials import wall_thickness_mm
from limbwright.record.store import Revision
from limbwright.service.apart import Cancelled, Run
from limbwright.service.arrays import (
    ArrayShelf,
    SentArray,
    earlier_arrays,
    evaluation_arrays,
    pressure_arrays,
)
from limbwright.service.capturer import capture_apart
from limbwright.service.jobs import Jobs
from limbwright.service.stored_case import StoredCase
from limbwright.service.summary import SUMMARY_FILE, read_summary, summarise, write_summary
from limbwright.shape.geodesics import surface_distance

LIVE_STAGE, ASKED_FOR = "fit", frozenset({"make"})
"""The last stage that every edit evaluates; making the part is asked for, and told once made."""


def _ms_since(start: float) -> float:
    return round((time.perf_counter() - start) * 1000, 1)


class _Overtaken(Exception):
    """Not a finding of any stage, so that none takes it for its own failure."""


class ComputedCase(StoredCase):
    """A stored case and what is computed of it; methods may be called from several threads.

    Parameters
    ----------
    folder : Path

    Raises
    ------
    LimbwrightError
        When the case cannot be read or its record not be opened.
    """

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self.shelf = ArrayShelf()
        self.jobs = Jobs()
        self._memo = Memo()
        self._computing = threading.Lock()
        self._summarising = threading.Lock()
        self._summarised = 0
        self._looked: Any = None
        self._refused_ahead: tuple[CaseDocument, LimbwrightError] | None = None

    def evaluation(self) -> dict[str, Any] | None:
        """Evaluate the document that stands and offer its arrays.

        None where the case was changed meanwhile: it is given up, and whoever changed it asks anew.
        """
        with self._computing:
            standing = self._current
            start = time.perf_counter()
            try:
                result = self._evaluate(
                    standing.document,
                    upto=LIVE_STAGE,
                    leave=ASKED_FOR,
                    progress=lambda _: self._go_on(standing),
                    tell=lambda *_: self._go_on(standing),
                )
            except _Overtaken:
                return None
        # An edit that comes now need not wait until all of this is put into words.
        reply = self._reply(standing, result, evaluation_arrays(result), start)
        self._summarise(result, standing.number)
        return reply

    def first_look(
        self, since: str, upto: str, load_case: str | None, patience_s: float = -1.0
    ) -> dict[str, Any] | None:
        """Some stages of the document that stands, and the pressure under one load case.

        What the page shows at once; the whole evaluation follows. None where something else of the
        case is still being computed when patience, if there is an end to it, is over.
        """
        if not self._computing.acquire(timeout=patience_s):
            return None
        try:
            standing = self._current
            start = time.perf_counter()
            seen = first_look(
                self.folder,
                standing.document,
                self._memo,
                upto,
                load_case,
                self._looked,
                self._capture_apart,
            )
            self._looked = seen.ended
            arrays = evaluation_arrays(seen.evaluation)
            if seen.pressure is not None:
                arrays |= pressure_arrays((seen.pressure,))
            told = STAGE_NAMES[STAGE_NAMES.index(since) : STAGE_NAMES.index(upto) + 1]
            return {
                "revision": standing.number,
                "stages": stages_json(seen.evaluation, told),
                "cautions": list(CAUTIONS),
                "pressure": None if seen.pressure is None else plain(seen.pressure),
                "arrays": self.shelf.offer(arrays),
                "elapsed_ms": _ms_since(start),
            }
        finally:
            self._computing.release()

    def section(self, level_mm: float) -> tuple[Section, Side]:
        """Limb and socket of the document that stands, cut at a level, and the limb's side.

        Raises
        ------
        LimbwrightError
            When limb or shape have no result, or the level misses the limb.
        """
        result = self._evaluated("shape")
        limb, shape = (result.outcomes[name].result for name in ("capture", "shape"))
        cut = section_at(limb, shape, wall_thickness_mm(result.document.prove), level_mm)
        return cut, limb.side

    def measured(
        self, start_mm: list[float], end_mm: list[float]
    ) -> tuple[MeasuredDistance, Vertices | None]:
        """Distance between two points touched on the limb, and the way, in the patient's frame.

        Raises
        ------
        LimbwrightError
            When the limb is not captured.
        """
        with self._computing:
            document = self._current.document
            outcome = self._captured(document)
            limb: Limb = outcome.result
            tree = self._memo.get(f"surface {outcome.key}", lambda: DistanceTree(limb.surface))
            along = self._memo.get(f"along {outcome.key}", lambda: surface_distance(limb.surface))
        start, end = points_to_patient(np.array([start_mm, end_mm]), document.person.side)
        found = distance_between(limb, tree, along, start, end)
        way = found.way_mm
        return found, None if way is None else points_to_patient(way, document.person.side)

    def what_if(self, move: Move, *, by_adapters: bool = False) -> tuple[WhatIf, int]:
        """What a change of the alignment would do to the case that stands, and its revision.

        Nothing is stored.

        Raises
        ------
        LimbwrightError
        """
        with self._computing:
            standing = self._current
            # Remembered from here on: a limb is never captured within an answer.
            self._captured(standing.document)
            found = what_if(
                self.folder, standing.document, self._memo, move, by_adapters=by_adapters
            )
            return found, standing.number

    def earlier_pressures(self, number: int) -> dict[str, Any] | None:
        """Pressures of another revision, to be held against those that stand; None: no such one.

        Raises
        ------
        LimbwrightError
            When that revision cannot be evaluated, or is of another limb's surface.
        """
        found = self.revision(number)
        if found is None:
            return None
        with self._computing:
            now = self._captured(self._current.document)
        result = self._evaluated("prove", found.document)
        if result.outcomes["capture"].key != now.key:
            raise BadInput(
                f"Revision {number} was computed on another surface of the limb: its scan,"
                " landmarks or bones differ, so that places cannot be held against each other."
            )
        cases = result.outcomes["prove"].result.interface.cases
        arrays = earlier_arrays({case.load_case: case.pressure_mpa for case in cases})
        return {"revision": number, "arrays": self.shelf.offer(arrays)}

    def revision_evaluation(self, number: int) -> dict[str, Any] | None:
        """All of a stored revision computed, and its arrays offered; it does not stand for that.

        None: there is no such revision. A stage that fails says so in its place.
        """
        found = self.revision(number)
        if found is None:
            return None
        with self._computing:
            start = time.perf_counter()
            result = self._evaluate(found.document, upto=LIVE_STAGE, leave=ASKED_FOR)
            return self._reply(found, result, evaluation_arrays(result), start)

    def capture_ahead(self) -> None:
        """Begin to capture the limb aside: whoever opens a case asks for it next."""

        def capture() -> None:
            # A fault of the program is met again, and told, by whoever asks.
            with contextlib.suppress(Exception), self._computing:
                document = self._current.document
                try:
                    self._captured(document)
                except LimbwrightError as error:
                    self._refused_ahead = document, error

        threading.Thread(target=capture, daemon=True).start()

    def rest(self) -> None:
        """Let go of what is large and can be computed again, unless that goes on just now."""
        if not self._computing.acquire(blocking=False):
            return
        try:
            self._memo, self._looked = Memo(), None
            self.shelf.clear()
        finally:
            self._computing.release()

    def _go_on(self, standing: Revision) -> None:
        """Give up an evaluation that nobody waits for any more."""
        if self._current is not standing:
            raise _Overtaken

    def _reply(
        self,
        standing: Revision,
        result: Evaluation,
        arrays: Mapping[str, SentArray],
        start: float,
    ) -> dict[str, Any]:
        return {
            "revision": standing.number,
            "elapsed_ms": _ms_since(start),
            **evaluation_json(result),
            "arrays": self.shelf.offer(arrays),
        }

    def _summarise(self, result: Evaluation, revision: int) -> None:
        """Keep what the list of cases tells, aside: nobody waits for it."""
        path = self.folder / CACHE_FOLDER / SUMMARY_FILE

        def keep() -> None:
            with self._summarising:
                if revision < self._summarised:
                    return
                self._summarised = revision
                before = read_summary(path)
                summary = summarise(result, before)
                if summary != before:
                    write_summary(path, summary)

        threading.Thread(target=keep, daemon=True).start()

    def _evaluated(self, upto: str, document: CaseDocument | None = None) -> Evaluation:
        """A document, that which stands if none is given, up to a stage; its failure is raised."""
        with self._computing:
            chosen = self._current.document if document is None else document
            result = self._evaluate(chosen, upto=upto)
        for error in result.errors:
            raise error
        return result

    def _evaluate(self, document: CaseDocument, **wanted: Any) -> Evaluation:
        """As `evaluate`, with this case's revisions at hand.

        A limb that is not known yet is captured in a process of its own.
        """
        return evaluate(
            self.folder,
            document,
            self._memo,
            capturing=self._capture_apart,
            revisions=self._document_of,
            **wanted,
        )

    def _captured(self, document: CaseDocument) -> Outcome:
        result = self._evaluate(document, upto="capture")
        outcome = result.outcomes["capture"]
        if outcome.state is not State.READY:
            raise outcome.error or BadInput("The limb is not captured yet.")
        return outcome

    def _capture_apart(self, folder: Path, document: CaseDocument) -> None:
        ahead, self._refused_ahead = self._refused_ahead, None
        if ahead is not None and ahead[0] == document:
            # Whoever waited for it is told how it ended; who asks again has it tried anew.
            raise ahead[1]
        run = Run()
        job = self.jobs.begin("capture", run)
        try:
            capture_apart(folder, document, run, job.tell)
            job.finish("captured")
        except Cancelled as stopped:
            job.stop(stopped.message)
            raise
        except LimbwrightError as error:
            job.fail(error.message)
            raise
        except Exception:
            job.fail("The limb could not be captured because of a fault in the program.")
            raise
