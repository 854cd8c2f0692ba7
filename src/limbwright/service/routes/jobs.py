"""What takes its time: making the parts, confirming the pressures, and how far it is."""

from __future__ import annotations

from fastapi import APIRouter, HTTPException
from fastapi.responses import FileResponse

from limbwright.service import schema
from limbwright.service.cabinet import Cabinet
from limbwright.service.jobs import Job
from limbwright.service.routes.at_hand import Case, Cases, known

router = APIRouter()


@router.post("/cases/{case_id}/make", operation_id="make")
def make(workshop: Case, seen: schema.SeenIn) -> schema.JobStarted:
    """Start writing all outputs of the revision that was seen."""
    return schema.JobStarted(job=workshop.start_making(seen.base_revision))


@router.post("/cases/{case_id}/confirm", operation_id="confirm")
def confirm(workshop: Case, wanted: schema.WantedConfirmation) -> schema.JobStarted:
    """Start confirming the pressures, with bands and what-if cases, while edits go on."""
    mesh = wanted.mesh if wanted.finite_elements else None
    return schema.JobStarted(job=workshop.start_confirming(wanted.base_revision, mesh))


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
    return known(cabinet.job(job_id), "There is no such job.")
