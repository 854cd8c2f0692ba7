"""Places on the limb: touched, measured, cut, and put where landmarks are."""

from __future__ import annotations

from dataclasses import asdict
from typing import Annotated

import numpy as np
from fastapi import APIRouter, Query, Response
from numpy.typing import NDArray

from limbwright.case.section import Reading
from limbwright.core.frame import Side, points_to_patient
from limbwright.service import schema
from limbwright.service.routes.at_hand import Case, known

router = APIRouter()


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


@router.post("/cases/{case_id}/measure", operation_id="measure")
def measure(workshop: Case, where: schema.MeasureIn) -> schema.MeasureOut:
    """Distance between two touched points, straight and along the skin."""
    found, way = workshop.measured(list(where.start_patient_mm), list(where.end_patient_mm))
    return schema.MeasureOut(
        straight_mm=found.straight_mm,
        surface_mm=found.surface_mm,
        way_patient_mm=None if way is None else _line(way),
    )


@router.get("/cases/{case_id}/section", operation_id="section")
def section(
    workshop: Case, level_mm: Annotated[float, Query(ge=-1000, le=1000)]
) -> schema.SectionOut:
    """Limb and socket cut at a level below the mid-patellar tendon."""
    cut, side = workshop.section(level_mm)
    # A left limb is mirrored in the limb frame.
    to_right = 1.0 if side is Side.RIGHT else -1.0

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


@router.get("/cases/{case_id}/casting-sheet", operation_id="castingSheet", response_class=Response)
def casting_sheet(workshop: Case) -> Response:
    """The casting sheet as PDF."""
    content = known(workshop.casting_sheet(), "This case holds no casting plan.")
    return Response(content, media_type="application/pdf")


def _line(points_mm: NDArray[np.float64]) -> list[tuple[float, float, float]]:
    """Points as they are sent, to the hundredth of a millimetre."""
    return [(x, y, z) for x, y, z in points_mm.round(2).tolist()]
