"""The cases of the folder, and the scans that new ones begin from."""

from __future__ import annotations

from fastapi import APIRouter, Response, UploadFile

from limbwright import __version__
from limbwright.capture.plan import LANDMARK_NAMES
from limbwright.case.report import CAUTIONS
from limbwright.core.stages import STAGES
from limbwright.core.units import LengthUnit
from limbwright.prove.strength_tables import MATERIALS
from limbwright.service import schema
from limbwright.service.arrays import sent
from limbwright.service.cabinet import Entry, NewCase
from limbwright.service.routes.at_hand import Cases, Keys, arrays_reply, known, offered
from limbwright.shape.plan import LOAD_AREAS, AreaName

MAX_SCAN_BYTES = 1024 * 2**20
"""Above a scan of 2 million triangles as text."""

router = APIRouter()


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


def _summary(entry: Entry) -> schema.CaseSummary:
    document, summary = entry.document, entry.summary
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
        waits_at=summary.waits_at if summary else None,
        stands_at=summary.stands_at if summary else None,
        stop=summary.stop if summary else 0,
        not_established=summary.not_established if summary else 0,
        warning=summary.warning if summary else 0,
        accepted=summary.accepted if summary else 0,
        picture=summary.picture or None if summary else None,
        problem=entry.problem,
    )


@router.post("/scans", operation_id="takeScan", max_body_size=MAX_SCAN_BYTES)
def take_scan(cabinet: Cases, file: UploadFile) -> schema.ScanOut:
    """Take in a scan that a case shall be begun from."""
    draft, view = cabinet.take_scan(file.filename or "", file.file)
    arrays = {"scan.positions": sent(view.positions_mm), "scan.faces": sent(view.faces)}
    return schema.ScanOut(
        scan=draft,
        triangles=view.triangles,
        unit=LengthUnit(view.unit),
        sureness=view.sureness,
        text=view.text,
        turn=list(view.turn),
        arrays=offered(cabinet.shelf, arrays),
    )


@router.get("/scans/arrays", operation_id="scanArrays", response_class=Response)
def scan_arrays(cabinet: Cases, keys: Keys) -> Response:
    """Arrays of uploaded scans by their keys: raw, little-endian and one after the other."""
    return arrays_reply(cabinet.shelf, keys)


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
    return schema.BegunOut(id=known(cabinet.duplicate(case_id)))


@router.post("/cases/{case_id}/archive", operation_id="archiveCase")
def archive_case(cabinet: Cases, case_id: str, wanted: schema.ArchiveIn) -> schema.BegunOut:
    """Put a case away or take it back; nothing of it changes."""
    known(cabinet.archive(case_id, wanted.archived) or None)
    return schema.BegunOut(id=case_id)
