"""A case that is worked on: landmarks, runs aside, and what is made."""

from __future__ import annotations

import secrets
import tempfile
import threading
from pathlib import Path
from typing import Any

import numpy as np

from limbwright.capture.frame_change import FrameChange, frame_change
from limbwright.capture.landmarks import accepted_only, check_names, points_mm
from limbwright.capture.result import Limb
from limbwright.capture.tables import LANDMARK_OFF_SURFACE_MM
from limbwright.case.document import CaseDocument
from limbwright.case.folder import file_digest, parse_document
from limbwright.case.interface import CONFIRMING, with_engine
from limbwright.case.memo import key_of
from limbwright.case.parts_file import read_catalogue
from limbwright.core.errors import InvalidLandmarks, LimbwrightError
from limbwright.core.frame import Side, mesh_to_scan, points_to_patient, to_scan
from limbwright.core.mesh import Vector
from limbwright.core.proximity import DistanceTree
from limbwright.core.wording import words
from limbwright.couple.catalogue import Catalogue
from limbwright.prove.plan import MeshLevel
from limbwright.record.store import Revision, stale_base
from limbwright.service.apart import Cancelled, Run
from limbwright.service.arrays import confirmed_arrays
from limbwright.service.computed_case import ComputedCase
from limbwright.service.confirmer import Confirmation, confirm
from limbwright.service.jobs import Job
from limbwright.service.made import folder_to_make_in, made_revisions, note_made


class Workshop(ComputedCase):
    """A case that is worked on: landmarks placed on it, runs started of it, parts made of it.

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
        self._confirmed: Confirmation | None = None

    def made_revisions(self) -> frozenset[int]:
        """Numbers of the revisions whose files were made here."""
        return made_revisions(self.folder, self.record_id)

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
