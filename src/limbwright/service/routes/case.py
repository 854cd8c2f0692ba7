"""The case that stands: its document, what is computed of it, and how that looks."""

from __future__ import annotations

import contextlib
from typing import Annotated

from fastapi import APIRouter, Query, Response

from limbwright.service import schema
from limbwright.service.routes.at_hand import Case, Keys, arrays_reply, case_at
from limbwright.service.workshop import Workshop

LOOK_PATIENCE_S = 0.3
"""An answer to what is stored is not held up for longer by what else is computed of the case."""

router = APIRouter()


@router.get("/cases/{case_id}", operation_id="readCase")
def read_case(workshop: Case) -> schema.CaseOut:
    """The document that stands; its limb, which is asked for next, is begun to be captured."""
    workshop.capture_ahead()
    return case_at(workshop, workshop.current)


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


@router.get("/cases/{case_id}/arrays", operation_id="arrays", response_class=Response)
def arrays(workshop: Case, keys: Keys) -> Response:
    """Arrays by their keys: raw, little-endian and one after the other."""
    return arrays_reply(workshop.shelf, keys)
