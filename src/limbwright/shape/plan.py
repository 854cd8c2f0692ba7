"""The shape plan: load and relief areas, take-up, trim line, brim. Part of the case document."""

from __future__ import annotations

from enum import Enum

from pydantic import Field

from limbwright.core.plan import Plan


class AreaName(str, Enum):
    """Areas of the socket by the place of the limb they answer to."""

    PATELLAR_TENDON = "patellar_tendon"
    MEDIAL_TIBIAL_FLARE = "medial_tibial_flare"
    MEDIAL_PRETIBIAL = "medial_pretibial"
    LATERAL_PRETIBIAL = "lateral_pretibial"
    FIBULAR_SHAFT = "fibular_shaft"
    BELOW_FIBULAR_HEAD = "below_fibular_head"
    POPLITEAL = "popliteal"
    FIBULAR_HEAD = "fibular_head"
    TIBIAL_CREST = "tibial_crest"
    TIBIAL_TUBERCLE = "tibial_tubercle"
    DISTAL_TIBIA = "distal_tibia"
    DISTAL_FIBULA = "distal_fibula"
    MEDIAL_HAMSTRING = "medial_hamstring"
    LATERAL_HAMSTRING = "lateral_hamstring"


LOAD_AREAS: frozenset[AreaName] = frozenset(
    {
        AreaName.PATELLAR_TENDON,
        AreaName.MEDIAL_TIBIAL_FLARE,
        AreaName.MEDIAL_PRETIBIAL,
        AreaName.LATERAL_PRETIBIAL,
        AreaName.FIBULAR_SHAFT,
        AreaName.BELOW_FIBULAR_HEAD,
        AreaName.POPLITEAL,
    }
)
"""Areas that may only press in (depth <= 0); all others only spare (depth >= 0)."""


class AreaPlan(Plan):
    """One load or relief area.

    depth_mm: positive = space added (relief), negative = the socket presses in (load).
    length_mm and width_mm: extent of full depth along and across the limb's surface.
    blend_mm: distance over which the depth falls off smoothly to nothing.
    move_*_mm: shift of the centre from where the landmarks put it.
    """

    name: AreaName
    depth_mm: float = Field(ge=-20, le=20)
    length_mm: float | None = Field(default=None, ge=0, le=250)
    width_mm: float | None = Field(default=None, ge=0, le=150)
    blend_mm: float | None = Field(default=None, ge=4, le=60)
    move_distal_mm: float = Field(default=0.0, ge=-60, le=60)
    move_around_mm: float = Field(default=0.0, ge=-60, le=60)
    """Along the surface, positive anti-clockwise seen from above in the limb frame
    (outward -> forward -> medial)."""


class TakeUpPoint(Plan):
    """Take-up at one level, in percent of girth (not of volume)."""

    level_mm: float = Field(ge=-150, le=400)
    girth_percent: float = Field(ge=-5, le=15)


class TrimPoint(Plan):
    """An extra control point of the trim line at an angle from outward, anti-clockwise."""

    angle_deg: float = Field(ge=-180, le=360)
    height_mm: float = Field(ge=-150, le=200)


class TrimPlan(Plan):
    """Heights of the trim line above the mid-patellar-tendon level, mm (negative: below)."""

    anterior_mm: float = Field(default=25.0, ge=-150, le=200)
    medial_mm: float = Field(default=30.0, ge=-150, le=200)
    lateral_mm: float = Field(default=30.0, ge=-150, le=200)
    posterior_mm: float = Field(default=-10.0, ge=-150, le=200)
    extra: tuple[TrimPoint, ...] = ()


class BrimPlan(Plan):
    """How the brim rolls outward at the trim line."""

    flare_mm: float = Field(default=5.0, ge=0, le=20)
    height_mm: float = Field(default=10.0, ge=2, le=40)


class ShapePlan(Plan):
    """What the practitioner decides about the socket's shape."""

    areas: tuple[AreaPlan, ...] = ()
    take_up: tuple[TakeUpPoint, ...] = ()
    trim: TrimPlan = TrimPlan()
    brim: BrimPlan = BrimPlan()
