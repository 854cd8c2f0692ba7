"""What is logged at a fitting: part of the case document. Codes and figures, never names."""

from __future__ import annotations

from enum import Enum

from pydantic import Field, model_validator

from limbwright.align.plan import Observation
from limbwright.core.plan import DAY_PATTERN, Coordinate, Plan
from limbwright.shape.plan import AreaName

Point = tuple[Coordinate, Coordinate, Coordinate]


class FitPhase(str, Enum):
    """When something is felt or seen."""

    DONNED = "donned"
    STANDING = "standing"
    EARLY_STANCE = "early_stance"
    MID_STANCE = "mid_stance"
    LATE_STANCE = "late_stance"
    SWING = "swing"
    AFTER = "after_doffing"
    """What the skin shows once the socket is off."""


class Sign(str, Enum):
    """What is felt or seen on the limb."""

    PAIN = "pain"
    PRESSURE = "pressure"
    RUBBING = "rubbing"
    PINCHING = "pinching"
    NUMBNESS = "numbness"
    REDNESS = "redness_that_stays"
    BLISTER = "blister_or_broken_skin"
    DISCOLOURED_END = "discoloured_or_swollen_end"
    LOOSE = "loose"
    TURNS = "socket_turns"
    PISTONS = "limb_moves_up_and_down"
    BOTTOMS_OUT = "end_bottoms_out"
    GAPS = "brim_gapes"


WHOLE_SOCKET = frozenset({Sign.LOOSE, Sign.TURNS, Sign.PISTONS})
"""Signs of the whole socket: they need no place."""


class Complaint(Plan):
    """One thing that the person feels or that is seen on the limb."""

    sign: Sign
    phase: FitPhase
    landmark: str | None = None
    """Landmark that it is at, or nearest to."""
    point: Point | None = None
    """Where it was touched on the limb: in the scan's own frame, mm."""
    severity: int | None = Field(default=None, ge=0, le=10)
    note: str = Field(default="", max_length=300)

    @model_validator(mode="after")
    def _one_place(self) -> Complaint:
        if self.landmark is not None and self.point is not None:
            raise ValueError("name a landmark or a point, not both")
        if self.sign not in WHOLE_SOCKET and self.landmark is None and self.point is None:
            raise ValueError("say where it is: a landmark or a point")
        return self


class HandChange(Plan):
    """Something changed by hand at the fitting: the plan does not know it until it is entered."""

    what: str = Field(default="", max_length=300)
    area: AreaName | None = None
    depth_mm: float | None = Field(default=None, ge=-20, le=20)
    """How much the wall was moved there: space added is positive, pressed in is negative."""
    entered: bool = False
    """True once the plan holds it."""

    @model_validator(mode="after")
    def _says_something(self) -> HandChange:
        if not self.what.strip() and self.area is None:
            raise ValueError("say what was changed: an area, or in words")
        return self


class AppliedEdit(Plan):
    """One entry of the plan as a suggestion changed it."""

    path: str = Field(min_length=1, max_length=120)
    before: float | None = None
    after: float


class AppliedSuggestion(Plan):
    """A suggestion that was put into the plan at the press of a button, so that it is put once."""

    cause: str = Field(max_length=120)
    text: str = Field(max_length=300)
    date: str = Field(pattern=DAY_PATTERN)
    revision: int = Field(ge=1)
    """First revision that holds it."""
    edits: tuple[AppliedEdit, ...] = Field(min_length=1, max_length=60)


class Fitting(Plan):
    """One fitting."""

    date: str = Field(pattern=DAY_PATTERN)
    revision: int | None = Field(default=None, ge=1)
    """Revision of the case that was made and worn."""
    comfort: int | None = Field(default=None, ge=0, le=10)
    """Socket comfort now, 0 to 10, higher is better."""
    comfort_best: int | None = Field(default=None, ge=0, le=10)
    comfort_worst: int | None = Field(default=None, ge=0, le=10)
    ply: int | None = Field(default=None, ge=0, le=20)
    """Sock ply worn over the liner."""
    worn_minutes: float | None = Field(default=None, ge=0, le=1440)
    complaints: tuple[Complaint, ...] = Field(default=(), max_length=60)
    observed: tuple[Observation, ...] = Field(default=(), max_length=30)
    """Deviations of the walk, answered as those of the alignment are."""
    changes: tuple[HandChange, ...] = Field(default=(), max_length=60)
    applied: tuple[AppliedSuggestion, ...] = Field(default=(), max_length=60)
    """What its answers led to in the plan."""
    note: str = Field(default="", max_length=1000)


class FitPlan(Plan):
    """All fittings, the first first."""

    fittings: tuple[Fitting, ...] = Field(default=(), max_length=200)
