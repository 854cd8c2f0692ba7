"""One open case: its document, revisions, evaluations and make jobs."""

from __future__ import annotations

import secrets
import threading
import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

import numpy as np

from limbwright.capture.result import Limb
from limbwright.case.document import CaseDocument
from limbwright.case.evaluate import Evaluation, State, evaluate
from limbwright.case.folder import parse_document, raise_problems, read_case, write_case
from limbwright.case.memo import Memo
from limbwright.case.report import evaluation_json
from limbwright.core.errors import BadInput, LimbwrightError
from limbwright.core.frame import points_to_patient, to_scan
from limbwright.core.proximity import DistanceTree
from limbwright.record.store import (
    Revision,
    append_revision,
    open_record,
    stale_base,
    synchronise,
)
from limbwright.service.arrays import ArrayShelf, evaluation_arrays

LIVE_STAGE = "prove"
"""The last stage that every edit evaluates; making the part is asked for."""
MADE_FOLDER = "made"


@dataclass(slots=True)
class Job:
    """One run of make, in its own thread."""

    state: Literal["running", "done", "failed"] = "running"
    progress: float = 0.0
    text: str = "starting"
    files: list[Path] = field(default_factory=list)
    error: str | None = None


class Workshop:
    """An open case folder; every method may be called from several threads.

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
        self.case_id = folder.resolve().name
        self.shelf = ArrayShelf()
        self._memo = Memo()
        self._saving = threading.Lock()
        self._computing = threading.Lock()
        document = read_case(folder)
        self._record = open_record(folder)
        self._current = synchronise(self._record, document)
        self._jobs: dict[str, Job] = {}

    @property
    def current(self) -> Revision:
        """The revision that stands."""
        return self._current

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
            before = self._current
            if document == before.document and base_revision == before.number:
                return before
            if base_revision != before.number:
                raise stale_base(base_revision, before.number)
            write_case(self.folder, document)
            try:
                self._current = append_revision(
                    self._record, document, base=base_revision, note=note
                )
            except LimbwrightError:
                # The record refused it, so the file goes back to what the record holds.
                write_case(self.folder, before.document)
                raise
            return self._current

    def evaluation(self) -> dict[str, Any]:
        """Evaluate the document that stands and offer its arrays."""
        with self._computing:
            revision = self._current
            start = time.perf_counter()
            result = evaluate(self.folder, revision.document, self._memo, upto=LIVE_STAGE)
            arrays = evaluation_arrays(result)
            elapsed_ms = (time.perf_counter() - start) * 1000
        for array in arrays.values():
            self.shelf.put(array)
        return {
            "revision": revision.number,
            "elapsed_ms": round(elapsed_ms, 1),
            **evaluation_json(result),
            "arrays": {
                name: {"key": item.key, "dtype": item.dtype, "shape": list(item.shape)}
                for name, item in arrays.items()
            },
        }

    def pick_landmark(self, name: str, point_patient_mm: list[float], base: int) -> Revision:
        """Move a landmark to the skin's nearest point and accept it.

        Raises
        ------
        LimbwrightError
        """
        document = self._current.document
        limb = self._limb(document)
        point = points_to_patient(np.array(point_patient_mm), document.person.side)
        tree: DistanceTree = self._memo.get(
            f"skin of {document.capture.scan} {limb.frame.origin_mm.tobytes().hex()}",
            lambda: DistanceTree(limb.skin),
        )
        on_skin = tree.closest(point[None, :])[2][0]
        stored = to_scan(limb.frame, on_skin) / document.capture.landmarks.unit.to_mm
        marks = document.capture.landmarks
        moved = marks.model_copy(
            update={
                "points": {**marks.points, name: tuple(round(float(x), 4) for x in stored)},
                "guessed": tuple(item for item in marks.guessed if item != name),
            }
        )
        capture = document.capture.model_copy(update={"landmarks": moved})
        changed = document.model_copy(update={"capture": capture})
        return self.save(changed.model_dump(mode="json"), base, note=f"landmark {name} moved")

    def start_making(self) -> str:
        """Start writing all outputs; returns the job's identifier."""
        job_id = secrets.token_hex(8)
        job = Job()
        self._jobs[job_id] = job
        threading.Thread(target=self._make, args=(job,), daemon=True).start()
        return job_id

    def job(self, job_id: str) -> Job | None:
        """A job by its identifier."""
        return self._jobs.get(job_id)

    def _make(self, job: Job) -> None:
        # Typesetting and file formats are loaded only where they are used.
        from limbwright.case.outputs import write_outputs

        try:
            with self._computing:
                revision = self._current
                result = evaluate(self.folder, revision.document, self._memo, progress=_teller(job))
            for error in result.errors:
                raise error
            job.progress, job.text = 0.8, "writing files"
            out = self.folder / MADE_FOLDER / f"revision-{revision.number}"
            job.files = list(write_outputs(result, out))
            job.state, job.progress, job.text = "done", 1.0, f"made from revision {revision.number}"
        except LimbwrightError as error:
            job.state, job.error, job.text = "failed", error.message, "failed"
        except Exception:
            # The thread's end must be told, whatever it was; the trace goes to the terminal.
            job.state, job.text = "failed", "failed"
            job.error = "The parts could not be made because of a fault in the program."
            raise

    def _limb(self, document: CaseDocument) -> Limb:
        result: Evaluation = evaluate(self.folder, document, self._memo, upto="capture")
        outcome = result.outcomes["capture"]
        if outcome.state is not State.READY:
            raise outcome.error or BadInput("The limb is not captured yet.")
        limb: Limb = outcome.result
        return limb


def _teller(job: Job) -> Any:
    steps = iter(range(1, 100))

    def tell(stage: str) -> None:
        job.progress, job.text = min(0.7, next(steps) * 0.1), stage

    return tell
