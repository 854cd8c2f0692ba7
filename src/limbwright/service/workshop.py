"""One open case: its document, revisions, evaluations and make jobs."""

from __future__ import annotations

import contextlib
import secrets
import tempfile
import threading
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np

from limbwright.capture.frame_change import FrameChange, frame_change
from limbwright.capture.landmarks import accepted_only, check_names, points_mm
from limbwright.capture.result import Limb
from limbwright.capture.tables import LANDMARK_OFF_SURFACE_MM
from limbwright.case.cache import CACHE_FOLDER
from limbwright.case.codec import plain
from limbwright.case.document import CaseDocument
from limbwright.case.evaluate import Evaluation, Outcome, State, evaluate
from limbwright.case.first_look import first_look
from limbwright.case.folder import (
    file_digest,
    parse_document,
)
from limbwright.case.interface import CONFIRMING, with_engine
from limbwright.case.measuring import MeasuredDistance, distance_between
from limbwright.case.memo import Memo, key_of
from limbwright.case.parts_file import read_catalogue
from limbwright.case.report import CAUTIONS, evaluation_json, stages_json
from limbwright.case.section import Section, section_at
from limbwright.case.whatif import Move, WhatIf, what_if
from limbwright.core.errors import BadInput, InvalidLandmarks, LimbwrightError
from limbwright.core.frame import Side, mesh_to_scan, points_to_patient, to_scan
from limbwright.core.mesh import Vector, Vertices
from limbwright.core.proximity import DistanceTree
from limbwright.core.stages import STAGE_NAMES
from limbwright.core.wording import words
from limbwright.couple.catalogue import Catalogue
from limbwright.prove.materials import wall_thickness_mm
from limbwright.prove.plan import MeshLevel
from limbwright.record.store import (
    Revision,
    stale_base,
)
from limbwright.service.apart import Cancelled, Run
from limbwright.service.arrays import (
    ArrayShelf,
    SentArray,
    confirmed_arrays,
    earlier_arrays,
    evaluation_arrays,
    pressure_arrays,
)
from limbwright.service.capturer import capture_apart
from limbwright.service.confirmer import Confirmation, confirm
from limbwright.service.jobs import Job, Jobs
from limbwright.service.made import folder_to_make_in, made_revisions, note_made
from limbwright.service.stored_case import StoredCase
from limbwright.service.summary import SUMMARY_FILE, read_summary, summarise, write_summary
from limbwright.shape.geodesics import surface_distance

LIVE_STAGE, ASKED_FOR = "fit", frozenset({"make"})
"""The last stage that every edit evaluates; making the part is asked for, and told once made."""


def _ms_since(start: float) -> float:
    return round((time.perf_counter() - start) * 1000, 1)


class _Overtaken(Exception):
    """Not a finding of any stage, so that none takes it for its own failure."""


class Workshop(StoredCase):
    """An open case folder and what is computed of it; methods may be called from several threads.

    Parameters
    ----------
    folder : Path
    identifier : str
        What the page calls the case.

    Raises
    ------
    LimbwrightError
        When the case cannot be read or its record not be opened.
    """

    def __init__(self, folder: Path, identifier: str) -> None:
        super().__init__(folder)
        self.case_id = identifier
        self.shelf = ArrayShelf()
        self._memo = Memo()
        self._computing = threading.Lock()
        self._summarising = threading.Lock()
        self.jobs = Jobs()
        self._summarised = 0
        self._confirmed: Confirmation | None = None
        self._looked: Any = None
        self._refused_ahead: tuple[CaseDocument, LimbwrightError] | None = None

    def made_revisions(self) -> frozenset[int]:
        """Numbers of the revisions whose files were made here."""
        return made_revisions(self.folder, self.record_id)

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

    def pick_landmark(self, name: str, point_patient_mm: list[float], base: int) -> Revision:
        """Move a landmark to the skin's nearest point and accept it.

        Raises
        ------
        LimbwrightError
        """
        check_names([name])
        current = self._current
        if base != current.number:
            if self._is_placed(name, np.array(point_patient_mm), base):
                return current
            raise stale_base(base, current.number)
        document = current.document
        with self._computing:
            stored = self._on_skin(document, name, np.array(point_patient_mm))
            changed = _with_landmark(document, name, stored)
            # A landmark that the limb cannot be captured with could not be picked again.
            self._captured(changed)
        return self.save(changed, base, note=f"landmark {words(name)} moved")

    def _is_placed(self, name: str, point_patient_mm: Vector, base: int) -> bool:
        """Whether what stands is a revision with just this landmark placed on it.

        A page asks again when the first answer was lost.
        """
        earlier = self._document_of(base)
        if earlier is None or self._current.number != base + 1:
            return False
        try:
            with self._computing:
                point = self._on_skin(earlier, name, point_patient_mm)
        except LimbwrightError:
            return False
        return _with_landmark(earlier, name, point) == self._current.document

    def landmark_preview(
        self, name: str, point_patient_mm: list[float]
    ) -> tuple[FrameChange, Side]:
        """What the limb frame becomes with a landmark moved, and its side; nothing is stored.

        Raises
        ------
        LimbwrightError
            When the limb is not captured, or the landmark cannot lie there.
        """
        check_names([name])
        with self._computing:
            document = self._current.document
            limb: Limb = self._captured(document).result
            at = self._on_skin(document, name, np.array(point_patient_mm))
        marks = document.capture.landmarks
        accepted = points_mm(accepted_only(marks))
        change = frame_change(limb, {**accepted, name: at * marks.unit.to_mm})
        return change, limb.side

    def touched(self, point_patient_mm: list[float]) -> tuple[float, float, float]:
        """A point touched on the limb, on the skin, in the scan's own frame, mm.

        Raises
        ------
        LimbwrightError
            When it lies off the skin.
        """
        with self._computing:
            document = self._current.document
            stored = self._on_skin(document, "the touched point", np.array(point_patient_mm))
        x, y, z = (round(float(part) * document.capture.landmarks.unit.to_mm, 2) for part in stored)
        return x, y, z

    def _on_skin(self, document: CaseDocument, name: str, point_patient_mm: Vector) -> Vector:
        """The skin's nearest point, in the scan's frame and the landmarks' unit."""
        limb: Limb = self._captured(document).result
        # In the scan's own frame the skin is the same wherever a landmark lies, but for its cut.
        scan = file_digest(self.folder / document.capture.scan)
        key = key_of("skin", [scan, limb.unit.unit.value, limb.side.value, len(limb.skin.faces)])
        tree: DistanceTree = self._memo.get(
            key, lambda: DistanceTree(mesh_to_scan(limb.frame, limb.skin))
        )
        point = to_scan(limb.frame, points_to_patient(point_patient_mm, limb.side))
        distance, _, foot = tree.closest(point[None, :])
        limit = LANDMARK_OFF_SURFACE_MM.value
        if not distance[0] <= limit:
            raise InvalidLandmarks(
                f"The picked point lies {distance[0]:.0f} mm off the skin (at most {limit:g} mm is"
                " taken); pick it on the limb.",
                where=f"capture.landmarks.points.{name}",
            )
        return np.asarray(foot[0] / document.capture.landmarks.unit.to_mm)

    def catalogue(self) -> Catalogue:
        """Every part to choose from: the case's, the user's, and invented examples.

        Raises
        ------
        LimbwrightError
            When a catalogue file cannot be used.
        """
        # Without the memo, which one evaluation at a time may use.
        return read_catalogue(self.folder)

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

    def casting_sheet(self) -> bytes | None:
        """The casting sheet of the case that stands, as PDF; None without a casting plan.

        Raises
        ------
        LimbwrightError
            When limb or shape have no result.
        """
        # Typesetting is loaded only where it is used.
        from limbwright.case.outputs import casting_sheet

        return casting_sheet(self._evaluated("shape"))

    def start_making(self, base: int) -> str:
        """Start writing all outputs of a revision that was seen; returns the job's identifier.

        Raises
        ------
        Conflict
            When another one stands by now, or case.toml cannot be used as it stands.
        CannotRead, CannotWrite
        """
        self._still_at(base)
        job = self.jobs.begin("make")
        threading.Thread(target=self._make, args=(job,), daemon=True).start()
        return job.job_id

    def _still_at(self, base: int) -> None:
        self.take_in()
        if base != self._current.number:
            raise stale_base(base, self._current.number)

    def start_confirming(self, base: int, mesh: MeshLevel | None) -> str:
        """Start a thorough evaluation aside; returns the job's identifier.

        Edits go on meanwhile. A run that is still going is stopped: the last one wins.

        Parameters
        ----------
        base : int
            Revision that was seen.
        mesh : MeshLevel or None
            How fine the finite elements are; None computes bands and what-if cases with the
            case's own engine.

        Raises
        ------
        Conflict
            When another revision stands by now, or case.toml cannot be used as it stands.
        CannotRead, CannotWrite
        """
        self._still_at(base)
        self.jobs.cancel("confirm")
        job = self.jobs.begin("confirm", Run())
        threading.Thread(target=self._confirm, args=(job, mesh), daemon=True).start()
        return job.job_id

    def confirmation(self) -> dict[str, Any] | None:
        """What the last confirming run found, with its arrays offered; None before any."""
        found = self._confirmed
        if found is None:
            return None
        return {
            "revision": found.revision,
            "finite_elements": found.finite_elements,
            "prove": found.proof,
            "arrays": self.shelf.offer(confirmed_arrays(found.pressure_mpa)),
        }

    def cancel(self, job_id: str) -> None:
        """Stop a job that can be stopped."""
        job = self.jobs.get(job_id)
        if job is not None and job.run is not None:
            job.run.cancel()

    def rest(self) -> None:
        """Let go of what is large and can be computed again, unless that goes on just now."""
        if not self._computing.acquire(blocking=False):
            return
        try:
            self._memo, self._looked = Memo(), None
            self.shelf.clear()
        finally:
            self._computing.release()

    def _confirm(self, job: Job, mesh: MeshLevel | None) -> None:
        assert job.run is not None
        standing = self._current
        document, job.revision = standing.document, standing.number
        if mesh is not None:
            document = with_engine(document, CONFIRMING, mesh.value)
        scratch = Path(tempfile.gettempdir()) / f"limbwright-{secrets.token_hex(8)}.npz"

        with job.failing("The run ended because of a fault in the program."):
            try:
                self._confirmed = confirm(
                    self.folder, document, standing.number, scratch, job.run, job.tell
                )
                job.finish(f"computed for revision {standing.number}")
            except Cancelled as stopped:
                job.stop(stopped.message)

    def _make(self, job: Job) -> None:
        # Typesetting and file formats are loaded only where they are used.
        from limbwright.case.outputs import write_outputs

        with job.failing("The parts could not be made because of a fault in the program."):
            with self._computing:
                standing = self._current
                result = self._evaluate(standing.document, progress=_teller(job))
            for error in result.errors:
                raise error
            job.tell("writing files", 0.8)
            job.revision = standing.number
            out = folder_to_make_in(self.folder, self.record_id, standing.number)
            job.files = list(write_outputs(result, out))
            note_made(out, self.record_id)
            job.finish(f"made from revision {standing.number}")

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

    def _captured(self, document: CaseDocument) -> Outcome:
        result = self._evaluate(document, upto="capture")
        outcome = result.outcomes["capture"]
        if outcome.state is not State.READY:
            raise outcome.error or BadInput("The limb is not captured yet.")
        return outcome


def _with_landmark(document: CaseDocument, name: str, point: Vector) -> CaseDocument:
    """The document with one landmark moved and accepted."""
    marks = document.capture.landmarks
    moved = {
        "points": {**marks.points, name: [round(float(x), 4) for x in point]},
        "guessed": [item for item in marks.guessed if item != name],
    }
    data = document.model_dump(mode="json")
    data["capture"]["landmarks"] |= moved
    return parse_document(data)


def _teller(job: Job) -> Any:
    steps = iter(range(1, 100))

    def tell(stage: str) -> None:
        doing = "building the parts" if stage == "make" else f"computing {stage}"
        job.tell(doing, min(0.7, next(steps) * 0.1))

    return tell
