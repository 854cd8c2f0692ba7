"""The workshop's service: thin routes over the cases of a folder, for this machine only."""

from __future__ import annotations

import contextlib
import errno
from dataclasses import asdict
from pathlib import Path
from typing import Annotated, TypeVar

import numpy as np
from fastapi import APIRouter, Depends, FastAPI, HTTPException, Query, Request, Response, UploadFile
from fastapi.exceptions import RequestValidationError
from fastapi.responses import FileResponse, JSONResponse
from fastapi.staticfiles import StaticFiles
from numpy.typing import NDArray
from starlette.exceptions import HTTPException as StarletteHTTPException

from limbwright import __version__
from limbwright.capture.plan import LANDMARK_NAMES
from limbwright.case.changes import document_changes
from limbwright.case.folder import validation_problems
from limbwright.case.report import CAUTIONS
from limbwright.case.section import Reading
from limbwright.case.whatif import Move
from limbwright.core.errors import CannotWrite, Conflict, InvalidCase, LimbwrightError
from limbwright.core.frame import Side, points_to_patient
from limbwright.core.stages import STAGES
from limbwright.core.units import LengthUnit
from limbwright.couple.catalogue import AnyPart
from limbwright.couple.in_hand import LOCK_OF, ROLES
from limbwright.prove.strength_tables import MATERIALS
from limbwright.service import schema
from limbwright.service.arrays import ArrayShelf, sent, tried_arrays
from limbwright.service.cabinet import Cabinet, Entry, NewCase
from limbwright.service.guard import Guard, SealedService, problem
from limbwright.service.jobs import Job
from limbwright.service.workshop import Workshop
from limbwright.shape.plan import LOAD_AREAS, AreaName

MAX_BODY_BYTES = 2 * 2**20
"""Far above any case document."""
MAX_SCAN_BYTES = 1024 * 2**20
"""Above a scan of 2 million triangles as text."""
NO_REVISION = "There is no such revision."
WEB_FOLDER = Path(__file__).resolve().parent.parent / "_web"

router = APIRouter(prefix="/api")


def _cabinet(request: Request) -> Cabinet:
    cabinet: Cabinet = request.app.state.cabinet
    return cabinet


Cases = Annotated[Cabinet, Depends(_cabinet)]


def _case(case_id: str, cabinet: Cases) -> Workshop:
    return _known(cabinet.workshop(case_id))


Case = Annotated[Workshop, Depends(_case)]
LOOK_PATIENCE_S = 0.3
"""An answer to what is stored is not held up for longer by what else is computed of the case."""


@router.get("/info", operation_id="info")
def info() -> schema.Info:
    """Stages, areas, landmarks and cautions."""
    return schema.Info(
        version=__version__,
        stages=[schema.StageInfo(name=stage.name, question=stage.question) for stage in STAGES],
        areas=[schema.AreaInfo(name=area.value, loads=area in LOAD_AREAS) for area in AreaName],
        landmarks=list(LANDMARK_NAMES),
        cautions=list(CAUTIONS),
        materials=[
            schema.MaterialInfo(key=key, name=one.name, process=one.process)
            for key, one in MATERIALS.items()
        ],
    )


@router.get("/cases", operation_id="cases")
def cases(cabinet: Cases) -> schema.CaseList:
    """The cases of the folder."""
    return schema.CaseList(
        cases=[_summary(entry) for entry in cabinet.entries()], first=cabinet.first
    )


@router.post("/scans", operation_id="takeScan", max_body_size=MAX_SCAN_BYTES)
def take_scan(cabinet: Cases, file: UploadFile) -> schema.ScanOut:
    """Take in a scan that a case shall be begun from."""
    draft, view = cabinet.take_scan(file.filename or "", file.file)
    arrays = {"scan.positions": sent(view.positions_mm), "scan.faces": sent(view.faces)}
    offered = cabinet.shelf.offer(arrays)
    return schema.ScanOut(
        scan=draft,
        triangles=view.triangles,
        unit=LengthUnit(view.unit),
        sureness=view.sureness,
        text=view.text,
        turn=list(view.turn),
        arrays={name: schema.ArrayOut.model_validate(item) for name, item in offered.items()},
    )


@router.get("/scans/arrays/{name}", operation_id="scanArray", response_class=Response)
def scan_array(cabinet: Cases, name: str, key: str) -> Response:
    """One array of an uploaded scan by its key."""
    return _array(cabinet.shelf, name, key)


@router.get("/scans/{scan}/capture", operation_id="capturing")
def capturing(cabinet: Cases, scan: str) -> schema.DoingOut | None:
    """How far a case is that is being begun from an uploaded scan; null when none is."""
    found = cabinet.capturing(scan)
    return None if found is None else schema.DoingOut(text=found[0], progress=found[1])


@router.post("/cases", operation_id="beginCase")
def begin_case(cabinet: Cases, new: schema.NewCaseIn) -> schema.BegunOut:
    """Begin a case from an uploaded scan."""
    begun = NewCase(new.title, new.person, new.landmarks, new.unit, new.scanned_over)
    return schema.BegunOut(id=cabinet.begin(new.scan, begun))


@router.post("/demo-case", operation_id="beginDemo")
def begin_demo(cabinet: Cases) -> schema.BegunOut:
    """Write the case of an invented person."""
    return schema.BegunOut(id=cabinet.begin_demo())


@router.post("/cases/{case_id}/duplicate", operation_id="duplicateCase")
def duplicate_case(cabinet: Cases, case_id: str) -> schema.BegunOut:
    """Begin a case with the same scan and plan."""
    return schema.BegunOut(id=_known(cabinet.duplicate(case_id)))


@router.post("/cases/{case_id}/archive", operation_id="archiveCase")
def archive_case(cabinet: Cases, case_id: str, wanted: schema.ArchiveIn) -> schema.BegunOut:
    """Put a case away or take it back; nothing of it changes."""
    _known(cabinet.archive(case_id, wanted.archived) or None)
    return schema.BegunOut(id=case_id)


@router.get("/cases/{case_id}/revisions", operation_id="revisions")
def revisions(workshop: Case) -> schema.RevisionList:
    """All revisions of a case, oldest first."""
    made = workshop.made_revisions()
    return schema.RevisionList(
        revisions=[
            schema.RevisionLine(number=number, saved_at=saved_at, note=note, made=number in made)
            for number, saved_at, note in workshop.revisions()
        ]
    )


@router.get("/cases/{case_id}/revisions/{number}", operation_id="readRevision")
def read_revision(workshop: Case, number: int) -> schema.CaseOut:
    """The document of one revision."""
    found = _known(workshop.revision(number), NO_REVISION)
    return schema.CaseOut(id=workshop.case_id, revision=found.number, document=found.document)


@router.get("/cases/{case_id}", operation_id="readCase")
def read_case(workshop: Case) -> schema.CaseOut:
    """The document that stands."""
    current = workshop.current
    return schema.CaseOut(id=workshop.case_id, revision=current.number, document=current.document)


@router.put("/cases/{case_id}", operation_id="saveCase")
def save_case(workshop: Case, change: schema.SaveIn) -> schema.SavedAndSeenOut:
    """Store a changed document as a new revision, and look at it if that can be done at once."""
    saved = workshop.save(change.document, change.base_revision)
    return schema.SavedAndSeenOut(
        revision=saved.number,
        document=saved.document,
        look=None if change.look is None else _look_at_once(workshop, change.look),
    )


def _look_at_once(workshop: Workshop, asked: schema.LookWanted) -> schema.FirstLookOut | None:
    # It is stored, whatever a look at it meets: the evaluation that follows tells of that.
    with contextlib.suppress(Exception):
        look = workshop.first_look(
            asked.since, asked.upto, asked.load_case, patience_s=LOOK_PATIENCE_S
        )
        return None if look is None else schema.FirstLookOut.model_validate(look)
    return None


@router.get("/cases/{case_id}/evaluation", operation_id="evaluation")
def evaluation(workshop: Case) -> schema.EvaluationOut | None:
    """Evaluate the document that stands; null where the case was changed meanwhile."""
    found = workshop.evaluation()
    return None if found is None else schema.EvaluationOut.model_validate(found)


@router.get("/cases/{case_id}/first-look", operation_id="firstLook")
def first_look(workshop: Case, asked: Annotated[schema.LookWanted, Query()]) -> schema.FirstLookOut:
    """The document that stands up to a stage, and the pressure under one load case."""
    look = workshop.first_look(asked.since, asked.upto, asked.load_case)
    return schema.FirstLookOut.model_validate(look)


@router.get("/cases/{case_id}/arrays/{name}", operation_id="array", response_class=Response)
def array(workshop: Case, name: str, key: str) -> Response:
    """One array by its key, raw and little-endian."""
    return _array(workshop.shelf, name, key)


@router.get("/cases/{case_id}/section", operation_id="section")
def section(
    workshop: Case, level_mm: Annotated[float, Query(ge=-1000, le=1000)]
) -> schema.SectionOut:
    """Limb and socket cut at a level below the mid-patellar tendon."""
    cut = workshop.section(level_mm)
    # A left limb is mirrored in the limb frame.
    to_right = 1.0 if workshop.current.document.person.side is Side.RIGHT else -1.0

    def point(at: NDArray[np.float64]) -> tuple[float, float]:
        return round(to_right * float(at[0]), 2), round(float(at[1]), 2)

    def told(one: Reading) -> schema.SectionReading:
        return schema.SectionReading(**asdict(one))

    return schema.SectionOut(
        level_mm=level_mm,
        outlines={
            name: [[point(at) for at in outline] for outline in outlines]
            for name, outlines in cut.outlines.items()
        },
        middle_mm=point(cut.middle_mm),
        readings={name: told(one) for name, one in cut.readings.items()},
        around=[told(one) for one in cut.around],
    )


@router.get("/cases/{case_id}/catalogue", operation_id="catalogue")
def catalogue(workshop: Case) -> schema.CatalogueOut:
    """Parts to choose from, by the catalogue of the case and the user's."""
    return schema.CatalogueOut(
        parts=[_part(part) for part in workshop.catalogue().parts],
        roles={role: kind.value for role, kind in ROLES.items()},
        locks={kind.value: part.value for kind, part in LOCK_OF.items()},
    )


def _part(part: AnyPart) -> schema.PartOut:
    return schema.PartOut(
        key=part.key,
        kind=part.kind.value,
        example=part.example,
        provenance=part.provenance,
        date=part.date.isoformat(),
        note=part.note,
        height_mm=part.height_mm,
        mass_kg=part.mass_kg,
        capacity_n=getattr(part, "capacity_n", None),
        max_body_mass_kg=part.max_body_mass_kg,
        max_activity=part.max_activity.value if part.max_activity else None,
    )


@router.post("/cases/{case_id}/what-if", operation_id="whatIf")
def what_if(workshop: Case, move: schema.MoveIn) -> schema.WhatIfOut:
    """Moments and pressures before and after a change of the alignment; nothing is stored."""
    number = workshop.current.number
    found = workshop.what_if(
        Move(**move.model_dump(exclude={"by_adapters"})), by_adapters=move.by_adapters
    )
    steps = found.adjustment.steps if found.adjustment is not None else ()
    return schema.WhatIfOut(
        revision=number,
        moments=[schema.MomentChangeOut(**asdict(one)) for one in found.moments],
        areas=[schema.AreaChangeOut(**asdict(one)) for one in found.areas],
        length_before_mm=found.length_before_mm,
        length_after_mm=found.length_after_mm,
        pylon_before_mm=found.pylon_before_mm,
        pylon_after_mm=found.pylon_after_mm,
        new_findings=[one.text for one in found.new_findings],
        gone_findings=[one.text for one in found.gone_findings],
        label=found.label,
        feasible=found.adjustment is None or found.adjustment.feasible,
        steps=[schema.AdjustmentStepOut(**asdict(one)) for one in steps],
        adapters=list(found.adapters),
        arrays={
            name: schema.ArrayOut(**entry)
            for name, entry in workshop.shelf.offer(tried_arrays(found.pressure_after_mpa)).items()
        },
    )


@router.post("/cases/{case_id}/measure", operation_id="measure")
def measure(workshop: Case, where: schema.MeasureIn) -> schema.MeasureOut:
    """Distance between two touched points, straight and along the skin."""
    found, way = workshop.measured(list(where.start_patient_mm), list(where.end_patient_mm))
    return schema.MeasureOut(
        straight_mm=found.straight_mm,
        surface_mm=found.surface_mm,
        way_patient_mm=None if way is None else _line(way),
    )


@router.get("/cases/{case_id}/revisions/{number}/pressures", operation_id="earlierPressures")
def earlier_pressures(workshop: Case, number: int) -> schema.EarlierOut:
    """Pressures of another revision, computed again where nothing remembers them."""
    found = _known(workshop.earlier_pressures(number), NO_REVISION)
    return schema.EarlierOut.model_validate(found)


@router.get("/cases/{case_id}/revisions/{number}/evaluation", operation_id="revisionEvaluation")
def revision_evaluation(workshop: Case, number: int) -> schema.EvaluationOut:
    """Evaluate any stored revision; the one that stands goes on standing."""
    found = _known(workshop.revision_evaluation(number), NO_REVISION)
    return schema.EvaluationOut.model_validate(found)


@router.get("/cases/{case_id}/revisions/{number}/changes/{after}", operation_id="planChanges")
def plan_changes(workshop: Case, number: int, after: int) -> schema.PlanChangesOut:
    """What was changed in the plan from one revision to another."""
    first, second = (_known(workshop.revision(one), NO_REVISION) for one in (number, after))
    changes = document_changes(first.document, second.document)
    told = [schema.PlanChangeOut.model_validate(asdict(one)) for one in changes]
    return schema.PlanChangesOut(before=number, after=after, changes=told)


@router.post("/cases/{case_id}/revisions/{number}/again", operation_id="takeAgain")
def take_again(workshop: Case, number: int, wanted: schema.TakeAgainIn) -> schema.SavedOut:
    """Store an earlier revision's document as a new revision on top; nothing is overwritten."""
    saved = _known(workshop.take_again(number, wanted.base_revision), NO_REVISION)
    return schema.SavedOut(revision=saved.number, document=saved.document)


@router.get("/cases/{case_id}/casting-sheet", operation_id="castingSheet", response_class=Response)
def casting_sheet(workshop: Case) -> Response:
    """The casting sheet as PDF."""
    content = _known(workshop.casting_sheet(), "This case holds no casting plan.")
    return Response(content, media_type="application/pdf")


@router.post("/cases/{case_id}/pick-landmark", operation_id="pickLandmark")
def pick_landmark(workshop: Case, pick: schema.LandmarkIn) -> schema.SavedOut:
    """Move a landmark to where it was picked on the skin."""
    saved = workshop.pick_landmark(pick.name, list(pick.point_patient_mm), pick.base_revision)
    return schema.SavedOut(revision=saved.number, document=saved.document)


@router.post("/cases/{case_id}/landmark-preview", operation_id="landmarkPreview")
def landmark_preview(workshop: Case, held: schema.LandmarkPreviewIn) -> schema.LandmarkPreviewOut:
    """What the limb frame becomes with a landmark held elsewhere."""
    found, side = workshop.landmark_preview(held.name, list(held.point_patient_mm))
    return schema.LandmarkPreviewOut(
        lower_mm=found.lower_mm,
        tilt_deg=found.tilt_deg,
        turn_deg=found.turn_deg,
        length_below_datum_mm=found.length_below_datum_mm,
        axis_patient_mm=_line(points_to_patient(found.axis_mm, side)),
        datum_patient_mm=[_line(points_to_patient(one, side)) for one in found.datum_mm],
    )


@router.post("/cases/{case_id}/touched", operation_id="touched")
def touched(workshop: Case, where: schema.TouchedIn) -> schema.TouchedOut:
    """Where on the scan a touched point lies; nothing is stored."""
    x, y, z = workshop.touched(list(where.point_patient_mm))
    return schema.TouchedOut(point_mm=(x, y, z))


@router.post("/cases/{case_id}/make", operation_id="make")
def make(workshop: Case) -> schema.JobStarted:
    """Start writing all outputs."""
    return schema.JobStarted(job=workshop.start_making())


@router.post("/cases/{case_id}/confirm", operation_id="confirm")
def confirm(workshop: Case, wanted: schema.WantedConfirmation) -> schema.JobStarted:
    """Start confirming the pressures, with bands and what-if cases, while edits go on."""
    mesh = wanted.mesh if wanted.finite_elements else None
    return schema.JobStarted(job=workshop.start_confirming(mesh))


@router.get("/cases/{case_id}/confirmation", operation_id="confirmation")
def confirmation(workshop: Case) -> schema.ConfirmationOut | None:
    """What the last confirming run found; null before any."""
    found = workshop.confirmation()
    return None if found is None else schema.ConfirmationOut.model_validate(found)


@router.get("/cases/{case_id}/jobs", operation_id="jobs")
def jobs(workshop: Case) -> schema.JobList:
    """What the case is busy with and the last of what it was, the newest first."""
    return schema.JobList(jobs=[_job(found) for found in workshop.jobs.newest_first()])


@router.delete("/jobs/{job_id}", operation_id="cancelJob")
def cancel_job(cabinet: Cases, job_id: str) -> schema.JobStarted:
    """Stop a job that can be stopped."""
    cabinet.cancel(job_id)
    return schema.JobStarted(job=job_id)


@router.get("/jobs/{job_id}", operation_id="job")
def job(cabinet: Cases, job_id: str) -> schema.JobOut:
    """How far a job is."""
    return _job(_found_job(cabinet, job_id))


@router.get("/jobs/{job_id}/files/{name}", operation_id="jobFile", response_class=FileResponse)
def job_file(cabinet: Cases, job_id: str, name: str) -> FileResponse:
    """One file that a job wrote."""
    for path in _found_job(cabinet, job_id).files:
        if path.name == name and path.is_file():
            return FileResponse(path, filename=name)
    raise HTTPException(404, "There is no such file.")


def _line(points_mm: NDArray[np.float64]) -> list[tuple[float, float, float]]:
    """Points as they are sent, to the hundredth of a millimetre."""
    return [(x, y, z) for x, y, z in points_mm.round(2).tolist()]


def _job(found: Job) -> schema.JobOut:
    files = [
        schema.JobFile(
            name=path.name,
            url=f"/api/jobs/{found.job_id}/files/{path.name}",
            bytes=path.stat().st_size,
        )
        for path in found.files
        if path.is_file()
    ]
    return schema.JobOut(
        job=found.job_id,
        kind=found.kind,
        revision=found.revision,
        state=found.state,
        progress=found.progress,
        text=found.text,
        files=files,
        error=found.error,
    )


def _found_job(cabinet: Cabinet, job_id: str) -> Job:
    return _known(cabinet.job(job_id), "There is no such job.")


Found = TypeVar("Found")


def _known(found: Found | None, problem: str = "There is no such case here.") -> Found:
    if found is None:
        raise HTTPException(404, problem)
    return found


def _array(shelf: ArrayShelf, name: str, key: str) -> Response:
    found = shelf.get(key)
    if found is None:
        raise HTTPException(404, f"The array {name} is no longer offered; evaluate again.")
    return Response(found.content, media_type="application/octet-stream")


def _summary(entry: Entry) -> schema.CaseSummary:
    document, known = entry.document, entry.summary
    return schema.CaseSummary(
        id=entry.id,
        folder=entry.folder,
        title=document.title if document else "",
        code=document.person.code if document else "",
        side=document.person.side.value if document else None,
        invented=document.invented if document else False,
        archived=entry.archived,
        revision=entry.revision,
        changed_at=entry.changed_at,
        waits_at=known.waits_at if known else None,
        stands_at=known.stands_at if known else None,
        stop=known.stop if known else 0,
        not_established=known.not_established if known else 0,
        warning=known.warning if known else 0,
        accepted=known.accepted if known else 0,
        picture=known.picture or None if known else None,
        problem=entry.problem,
    )


def create_app(folder: Path | None, token: str) -> FastAPI:
    """The service for a folder of cases, or one case and its neighbours.

    Parameters
    ----------
    folder : Path or None
        None only to describe the routes.
    token : str
        What every request to /api must carry.

    Raises
    ------
    LimbwrightError
        When the case cannot be opened.
    """
    app = SealedService(
        title="Limbwright workshop",
        version=__version__,
        docs_url=None,
        redoc_url=None,
        openapi_url=None,
        max_body_size=MAX_BODY_BYTES,
        # Nothing leaves the machine, whatever the environment asks for.
        telemetry={
            "tracing": False,
            "metrics": False,
            "logs": False,
            "operation_spans": False,
            "auto_configure": False,
        },
    )
    if folder is not None:
        app.state.cabinet = Cabinet(folder)
    app.include_router(router)
    app.add_middleware(Guard, token=token)
    app.add_exception_handler(LimbwrightError, _refused)
    app.add_exception_handler(StarletteHTTPException, _http_problem)
    app.add_exception_handler(RequestValidationError, _malformed)
    app.add_exception_handler(Exception, _fault)
    if WEB_FOLDER.is_dir():
        app.mount("/", StaticFiles(directory=WEB_FOLDER, html=True))
    return app


async def _refused(request: Request, error: Exception) -> JSONResponse:
    assert isinstance(error, LimbwrightError)
    status = 409 if isinstance(error, Conflict) else 422
    if isinstance(error, CannotWrite):
        status = 507
    problems = None
    if isinstance(error, InvalidCase):
        problems = [{"path": path, "text": text} for path, text in error.problems]
    return problem(status, error.message, where=error.where or None, problems=problems)


async def _fault(request: Request, error: Exception) -> Response:
    if _is_disk_full(error):
        return problem(507, _DISK_FULL)
    # The server shows the trace in its own window; the page is told that there is one.
    return problem(500, "A fault in the program stopped this; nothing was changed by it.")


_DISK_FULL = "The disk of this machine is full; free some space and try again."


def _is_disk_full(error: BaseException | None) -> bool:
    """Whether the system had no room, where no file of a case was written: for what comes in."""
    full = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
    return isinstance(error, OSError) and error.errno in full


async def _http_problem(request: Request, error: Exception) -> JSONResponse:
    assert isinstance(error, StarletteHTTPException)
    if _is_disk_full(error.__cause__):
        return problem(507, _DISK_FULL)
    return problem(error.status_code, str(error.detail))


async def _malformed(request: Request, error: Exception) -> JSONResponse:
    assert isinstance(error, RequestValidationError)
    problems = [{"path": path, "text": text} for path, text in validation_problems(error)]
    return problem(422, "The request cannot be read.", problems=problems)
