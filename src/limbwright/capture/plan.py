"""What is decided about a scan and its landmarks: part of the case document."""

from __future__ import annotations

from enum import Enum

from pydantic import Field

from limbwright.core.plan import Plan
from limbwright.core.units import LengthUnit

LANDMARK_NAMES: tuple[str, ...] = (
    "mid_patellar_tendon",
    "patella_lower_pole",
    "tibial_tubercle",
    "medial_tibial_flare",
    "lateral_tibial_tubercle",
    "fibular_head",
    "crest_upper",
    "crest_lower",
    "distal_tibia",
    "distal_fibula",
    "limb_end",
    "medial_hamstring_tendon",
    "lateral_hamstring_tendon",
    "popliteal_centre",
    "medial_epicondyle",
    "lateral_epicondyle",
)
"""Landmarks by their trade names, proximal ones first where the job starts."""

Point = tuple[float, float, float]


class LandmarkSet(Plan):
    """Landmarks in the scan's own frame, in their own unit."""

    unit: LengthUnit = LengthUnit.MM
    points: dict[str, Point]
    guessed: tuple[str, ...] = ()
    """Names among `points` that are proposals not yet accepted."""


class ScannedOver(str, Enum):
    """What was on the limb when it was scanned."""

    SKIN = "skin"
    LINER = "liner"


class BoneFiles(Plan):
    """Bone meshes from segmentation, in the scan's frame."""

    tibia: str
    fibula: str
    unit: LengthUnit = LengthUnit.MM


class CapturePlan(Plan):
    """The scan, its unit and what it was taken over."""

    scan: str
    """File name inside the case folder."""
    unit: LengthUnit | None = None
    """None: found from size and landmarks, and said so."""
    scanned_over: ScannedOver = ScannedOver.SKIN
    landmarks: LandmarkSet
    tape: str | None = None
    bones: BoneFiles | None = None
    level_step_mm: float = Field(default=20.0, ge=2, le=100)
    surface_edge_mm: float = Field(default=3.2, ge=2, le=8)
