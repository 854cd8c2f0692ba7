"""What is decided about a scan and its landmarks: part of the case document."""

from __future__ import annotations

from enum import Enum

from pydantic import Field, model_validator

from limbwright.capture.casting.plan import CastingPlan
from limbwright.core.plan import Coordinate, Plan
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


class Bone(str, Enum):
    """Bones of the leg below the knee."""

    TIBIA = "tibia"
    FIBULA = "fibula"


class DepthBasis(str, Enum):
    """How a depth of bone under the skin was found."""

    PALPATED = "palpated"
    """By hand, or with a calliper."""
    MEASURED = "measured"
    """By ultrasound or another image."""


PALPABLE: dict[str, Bone | None] = {
    "tibial_tubercle": Bone.TIBIA,
    "crest_upper": Bone.TIBIA,
    "crest_lower": Bone.TIBIA,
    "medial_tibial_flare": Bone.TIBIA,
    "lateral_tibial_tubercle": Bone.TIBIA,
    "distal_tibia": Bone.TIBIA,
    "fibular_head": Bone.FIBULA,
    "distal_fibula": Bone.FIBULA,
    "patella_lower_pole": None,
}
"""Landmarks that may be given a depth, and the bone below the knee that lies under them."""


class PalpatedDepth(Plan):
    """Depth of bone under the skin, straight inward, at a landmark or at another point."""

    landmark: str | None = None
    point: tuple[Coordinate, Coordinate, Coordinate] | None = None
    """On the skin, in the landmarks' frame and unit, when it is no landmark."""
    bone: Bone = Bone.TIBIA
    """Bone under the point; that of a landmark is known."""
    depth_mm: float = Field(ge=0.5, le=60)
    basis: DepthBasis = DepthBasis.PALPATED
    confirmed: bool = False
    """True when a depth that looks unlikely at its place was checked."""

    @model_validator(mode="after")
    def _one_place(self) -> PalpatedDepth:
        if (self.landmark is None) == (self.point is None):
            raise ValueError("must name either a landmark or a point")
        if self.landmark is not None and self.landmark not in PALPABLE:
            raise ValueError(
                f"no bone of this limb lies under {self.landmark}; depths are taken at "
                + ", ".join(PALPABLE)
            )
        return self


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
    palpated: tuple[PalpatedDepth, ...] = Field(default=(), max_length=60)
    """Depths that the estimate of the bones holds on to; not used where bones are given."""
    casting: CastingPlan = CastingPlan()
    level_step_mm: float = Field(default=20.0, ge=2, le=100)
    surface_edge_mm: float = Field(default=3.2, ge=2, le=8)
