"""Revisions of a case: listed, read, computed, held against each other, taken up again."""

from __future__ import annotations

from dataclasses import asdict

from fastapi import APIRouter

from limbwright.case.changes import document_changes
from limbwright.service import schema
from limbwright.service.routes.at_hand import Case, case_at, known

NO_REVISION = "There is no such revision."

router = APIRouter()


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
    return case_at(workshop, known(workshop.revision(number), NO_REVISION))


@router.get("/cases/{case_id}/revisions/{number}/evaluation", operation_id="revisionEvaluation")
def revision_evaluation(workshop: Case, number: int) -> schema.EvaluationOut:
    """Evaluate any stored revision; the one that stands goes on standing."""
    found = known(workshop.revision_evaluation(number), NO_REVISION)
    return schema.EvaluationOut.model_validate(found)


@router.get("/cases/{case_id}/revisions/{number}/pressures", operation_id="earlierPressures")
def earlier_pressures(workshop: Case, number: int) -> schema.EarlierOut:
    """Pressures of another revision, computed again where nothing remembers them."""
    found = known(workshop.earlier_pressures(number), NO_REVISION)
    return schema.EarlierOut.model_validate(found)


@router.get("/cases/{case_id}/revisions/{number}/changes/{after}", operation_id="planChanges")
def plan_changes(workshop: Case, number: int, after: int) -> schema.PlanChangesOut:
    """What was changed in the plan from one revision to another."""
    first, second = (known(workshop.revision(one), NO_REVISION) for one in (number, after))
    changes = document_changes(first.document, second.document)
    told = [schema.PlanChangeOut.model_validate(asdict(one)) for one in changes]
    return schema.PlanChangesOut(before=number, after=after, changes=told)


@router.post("/cases/{case_id}/revisions/{number}/again", operation_id="takeAgain")
def take_again(workshop: Case, number: int, wanted: schema.SeenIn) -> schema.SavedOut:
    """Store an earlier revision's document as a new revision on top; nothing is overwritten."""
    saved = known(workshop.take_again(number, wanted.base_revision), NO_REVISION)
    return schema.SavedOut(revision=saved.number, document=saved.document)
