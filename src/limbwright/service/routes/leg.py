"""Parts to build the leg from, and what a change of its alignment would do."""

from __future__ import annotations

from dataclasses import asdict

from fastapi import APIRouter

from limbwright.case.whatif import Move
from limbwright.couple.catalogue import AnyPart
from limbwright.couple.in_hand import LOCK_OF, ROLES
from limbwright.service import schema
from limbwright.service.arrays import tried_arrays
from limbwright.service.routes.at_hand import Case, offered

router = APIRouter()


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
    found, number = workshop.what_if(
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
        arrays=offered(workshop.shelf, tried_arrays(found.pressure_after_mpa)),
    )
