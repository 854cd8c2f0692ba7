"""What crosses the border between page and engine."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

from limbwright.align.plan import AdapterPlan
from limbwright.assess.plan import Person
from limbwright.capture.plan import LandmarkSet, ScannedOver
from limbwright.case.document import CaseDocument
from limbwright.core.plan import Coordinate
from limbwright.core.stages import STAGE_NAMES
from limbwright.core.units import LengthUnit
from limbwright.prove.plan import MeshLevel, SocketProcess


class Sent(BaseModel):
    """Base of replies and requests."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


PointMm = tuple[Coordinate, Coordinate, Coordinate]
LookedAt = Literal["assess", "capture", "shape", "couple", "align"]
"""Stages that a first look may tell."""


class StageInfo(Sent):
    """One stage of the job."""

    name: str
    question: str


class AreaInfo(Sent):
    """One area that a shape plan may hold."""

    name: str
    loads: bool


class MaterialInfo(Sent):
    """One material of the table that a socket may be made of."""

    key: str
    name: str
    process: SocketProcess


class Info(Sent):
    """What the page needs to know once."""

    version: str
    stages: list[StageInfo]
    areas: list[AreaInfo]
    landmarks: list[str]
    cautions: list[str]
    materials: list[MaterialInfo]


class ArrayOut(Sent):
    """Where an array is and how to read it."""

    key: str
    dtype: Literal["float32", "uint32", "uint8"]
    shape: list[int]


class CaseSummary(Sent):
    """One line of the list of cases."""

    id: str
    folder: str
    title: str
    code: str
    side: Literal["right", "left"] | None
    invented: bool
    archived: bool
    revision: int
    changed_at: str | None
    waits_at: str | None
    """None before the first evaluation, "" when nothing stops the job."""
    stands_at: str | None
    """Where it waits, else the first stage that has something open, else the last."""
    stop: int
    not_established: int
    warning: int
    accepted: int
    """Findings that were accepted with a reason; the counts before are of open ones."""
    picture: str | None
    problem: str | None
    """Why the case cannot be opened, if it cannot."""


class CaseList(Sent):
    """The cases of the folder, and the one that the workshop was started on."""

    cases: list[CaseSummary]
    first: str | None


class ScanOut(Sent):
    """An uploaded scan that belongs to no case yet."""

    scan: str
    triangles: int
    unit: LengthUnit
    sureness: float
    text: str
    turn: list[tuple[float, float, float]]
    """Rotation from the scan's frame to that of the arrays, which are stood up for the picture."""
    arrays: dict[str, ArrayOut]


class NewCaseIn(Sent):
    """What a case is begun from; landmarks stand in the scan's frame, in mm or as they say."""

    scan: str
    title: str = Field(default="", max_length=200)
    person: Person
    landmarks: LandmarkSet
    unit: LengthUnit | None = None
    scanned_over: ScannedOver = ScannedOver.SKIN


class BegunOut(Sent):
    """The identifier of a case that was begun."""

    id: str


class ArchiveIn(Sent):
    """Whether a case is put away."""

    archived: bool


class CaseOut(Sent):
    """A case document at a revision."""

    id: str
    record: str
    revision: int
    document: CaseDocument


class RevisionLine(Sent):
    """One revision in the list."""

    number: int
    saved_at: str
    note: str
    made: bool
    """Whether files were made of it here."""


class RevisionList(Sent):
    """All revisions of a case, oldest first."""

    revisions: list[RevisionLine]


class PlanChangeOut(Sent):
    """One entry of the plan in two revisions; null where it is not stated or not there."""

    stage: str
    path: str
    place: str
    name: str
    kind: Literal["changed", "added", "removed", "moved", "order"]
    before: float | str | None
    after: float | str | None
    unit: str
    level_mm: float | None


class PlanChangesOut(Sent):
    """What was changed in the plan from one revision to another."""

    before: int
    after: int
    changes: list[PlanChangeOut]


class SeenIn(Sent):
    """The revision that was seen when something was asked for; it has to stand still."""

    base_revision: int = Field(ge=1)


class LookWanted(Sent):
    """Which stages a first look shall tell, and the load case whose pressure it shall tell."""

    since: LookedAt
    upto: LookedAt
    load_case: str | None = Field(default=None, max_length=40)

    @model_validator(mode="after")
    def _in_order(self) -> LookWanted:
        if STAGE_NAMES.index(self.since) > STAGE_NAMES.index(self.upto):
            raise ValueError(f"{self.since} comes after {self.upto} in the order of the job")
        return self


class SaveIn(Sent):
    """A changed document and the revision it was made from; on request with a first look at it."""

    base_revision: int = Field(ge=1)
    document: dict[str, Any]
    look: LookWanted | None = None


class LandmarkIn(Sent):
    """A landmark picked on the limb, in the patient's frame."""

    base_revision: int = Field(ge=1)
    name: str
    point_patient_mm: PointMm


class LandmarkPreviewIn(Sent):
    """A place that a landmark is held at, in the patient's frame."""

    name: str
    point_patient_mm: PointMm


class LandmarkPreviewOut(Sent):
    """What the limb frame becomes with the landmark there; lines in the patient's frame."""

    lower_mm: float
    tilt_deg: float
    turn_deg: float
    length_below_datum_mm: float
    axis_patient_mm: list[PointMm]
    datum_patient_mm: list[list[PointMm]]


class TouchedIn(Sent):
    """A point touched on the limb, in the patient's frame."""

    point_patient_mm: PointMm


class TouchedOut(Sent):
    """The same on the skin, in the scan's own frame, as a plan keeps it."""

    point_mm: tuple[float, float, float]


class MeasureIn(Sent):
    """Two points touched on the limb, in the patient's frame."""

    start_patient_mm: PointMm
    end_patient_mm: PointMm


class MeasureOut(Sent):
    """How far they lie apart; along the skin null where no way joins them.

    The way itself in the patient's frame, from the first point to the second.
    """

    straight_mm: float
    surface_mm: float | None
    way_patient_mm: list[tuple[float, float, float]] | None


class PartOut(Sent):
    """One part of the catalogue."""

    key: str
    kind: str
    example: bool
    provenance: str
    date: str
    note: str
    height_mm: float
    mass_kg: float | None
    capacity_n: float | None
    max_body_mass_kg: float | None
    max_activity: str | None


class CatalogueOut(Sent):
    """Every part to choose from, and which kind of part each place takes."""

    parts: list[PartOut]
    roles: dict[str, str]
    locks: dict[str, str]
    """Kind of part by kind of coupling; a coupling that is not named has none."""


class MoveIn(Sent):
    """A change of the alignment, from where the case has it."""

    foot_forward_mm: float = Field(default=0.0, ge=-60, le=60)
    foot_out_mm: float = Field(default=0.0, ge=-60, le=60)
    foot_up_mm: float = Field(default=0.0, ge=-40, le=40)
    toe_out_deg: float = Field(default=0.0, ge=-30, le=30)
    dorsiflexion_deg: float = Field(default=0.0, ge=-15, le=15)
    outer_border_up_deg: float = Field(default=0.0, ge=-15, le=15)
    socket_flexion_deg: float = Field(default=0.0, ge=-15, le=15)
    socket_adduction_deg: float = Field(default=0.0, ge=-15, le=15)
    by_adapters: bool = False
    """Turned and slid at the adapters as the leg stands; else the bench is set anew."""


class MomentChangeOut(Sent):
    """One moment before and after a change."""

    place: str
    phase: str
    plane: str
    before_n_m: float
    after_n_m: float


class AreaChangeOut(Sent):
    """What one area carries before and after a change; null without an equilibrium."""

    load_case: str
    area: str
    mean_before_kpa: float | None
    mean_after_kpa: float | None
    peak_before_kpa: float | None
    peak_after_kpa: float | None
    limit_kpa: float | None


class AdjustmentStepOut(Sent):
    """One thing to turn or slide at one adapter."""

    number: int
    adapter: str
    kind: str
    what: str
    undo: str
    do: str
    screw: str
    amount: float
    unit: str
    change: float
    change_unit: str
    start: float
    end: float


class WhatIfOut(Sent):
    """A case before and after a change of its alignment, of the revision that was asked."""

    revision: int
    moments: list[MomentChangeOut]
    areas: list[AreaChangeOut]
    length_before_mm: float
    length_after_mm: float
    pylon_before_mm: float
    pylon_after_mm: float
    new_findings: list[str]
    gone_findings: list[str]
    label: str
    feasible: bool
    """Whether the adapters reach what was asked; else the steps come as near as they can."""
    steps: list[AdjustmentStepOut]
    adapters: list[AdapterPlan]
    arrays: dict[str, ArrayOut]
    """Pressures after it."""


class EarlierOut(Sent):
    """Pressures of another revision."""

    revision: int
    arrays: dict[str, ArrayOut]


class FindingOut(Sent):
    """A finding as shown."""

    stage: str
    code: str
    severity: Literal["ok", "note", "warning", "not established", "stop"]
    text: str
    where: str
    value: float | None
    limit: float | None
    unit: str
    basis: Literal["measured", "given", "estimated", "guessed", "default"]
    source: str | None
    accepted: str
    remedy: str
    """What would change it, as it reads after "Would change it:"; "" where nothing is known to."""
    entry: str
    """Path of the entry in the case document that would change it, or ""."""
    at_least: bool
    """The value is to reach the limit, and not to stay under it."""
    margin: float
    usual: bool
    """The limit is only what is usual: beside it, nothing is forbidden."""


class ErrorOut(Sent):
    """Why a stage has no result."""

    kind: str
    message: str
    where: str | None
    fields: dict[str, Any] | None = None


class StageOut(Sent):
    """One stage of an evaluation; results mirror the engine's result dataclass."""

    state: Literal["ready", "failed", "blocked", "not asked"]
    error: ErrorOut | None
    findings: list[FindingOut]
    results: dict[str, Any] | None


class CaseLine(Sent):
    """Whose evaluation it is."""

    title: str
    code: str
    side: Literal["right", "left"]
    invented: bool


class ComputedOut(Sent):
    """Stages of a revision, and the arrays that belong to them."""

    revision: int
    elapsed_ms: float
    stages: dict[str, StageOut]
    cautions: list[str]
    arrays: dict[str, ArrayOut]


class EvaluationOut(ComputedOut):
    """All stages of a revision."""

    engine_version: str
    case: CaseLine
    stops_job: bool
    findings: list[FindingOut]


class FirstLookOut(ComputedOut):
    """Some stages of a revision, and the pressure under one load case."""

    pressure: dict[str, Any] | None


class SavedOut(Sent):
    """A document as saved."""

    revision: int
    document: CaseDocument


class SavedAndSeenOut(SavedOut):
    """The same with a first look; without where none was asked for or could be had at once."""

    look: FirstLookOut | None


class SectionReading(Sent):
    """What lies along one way from the middle of a section, by its angle from outward to front."""

    angle_deg: float
    space_mm: float | None
    wall_mm: float | None
    cover_mm: float | None


class SectionOut(Sent):
    """A cross-section in the patient's frame: x to the right, y forward."""

    level_mm: float
    outlines: dict[str, list[list[tuple[float, float]]]]
    middle_mm: tuple[float, float]
    readings: dict[str, SectionReading]
    around: list[SectionReading]


class WantedConfirmation(SeenIn):
    """What is computed aside: finite elements and how fine, or the case's own engine with bands."""

    finite_elements: bool = True
    mesh: MeshLevel = MeshLevel.MEDIUM


class ConfirmationOut(Sent):
    """What the last confirming run found, and of which revision."""

    revision: int
    finite_elements: bool
    prove: StageOut
    arrays: dict[str, ArrayOut]


class JobStarted(Sent):
    """A job's identifier."""

    job: str


class JobFile(Sent):
    """A file that a job wrote."""

    name: str
    url: str
    bytes: int


class JobOut(Sent):
    """How far a job is."""

    job: str
    kind: Literal["capture", "make", "confirm"]
    revision: int | None
    state: Literal["running", "done", "failed", "cancelled"]
    progress: float
    text: str
    files: list[JobFile]
    error: str | None


class JobList(Sent):
    """What a case is busy with and the last of what it was, the newest first."""

    jobs: list[JobOut]


class DoingOut(Sent):
    """What is being done, and the share done."""

    text: str
    progress: float


class Problem(Sent):
    """RFC 9457 problem details."""

    type: str
    title: str
    status: int
    detail: str
    where: str | None = None
    problems: list[dict[str, str]] | None = None
