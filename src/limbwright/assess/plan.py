"""What is known about the person and what they wear: part of the case document."""

from __future__ import annotations

from enum import Enum

from pydantic import Field

from limbwright.assess.condition import Condition
from limbwright.assess.description import LimbDescription
from limbwright.assess.measures import Score
from limbwright.core.frame import Side
from limbwright.core.plan import Plan


class Activity(str, Enum):
    """Functional classes as the US Medicare definition names them."""

    K0 = "K0"
    K1 = "K1"
    K2 = "K2"
    K3 = "K3"
    K4 = "K4"


class Person(Plan):
    """The person who will wear the leg. A code, never a name.

    Bounds are input guards, not clinical limits.
    """

    code: str = Field(min_length=1, max_length=40)
    side: Side
    mass_kg: float = Field(ge=20, le=250)
    stature_mm: float = Field(ge=1000, le=2300)
    activity: Activity
    walking_speed_m_s: float | None = Field(default=None, ge=0.1, le=2.5)
    foot_length_mm: float | None = Field(default=None, ge=150, le=350)
    flexion_contracture_deg: float = Field(default=0.0, ge=0, le=40)
    carried_load_kg: float | None = Field(default=None, ge=0, le=60)
    """Load that is carried often, beyond shoes and clothes: tools, a child, a rucksack. It counts
    for the load level and for the ratings of parts."""
    unusual_mass_confirmed: bool = False
    """True when mass and stature look unlikely together and were checked."""
    condition: Condition = Condition()
    limb: LimbDescription = LimbDescription()
    scores: tuple[Score, ...] = Field(default=(), max_length=100)
    """Totals of outcome measures with their dates; single answers are never kept."""

    @property
    def borne_mass_kg(self) -> float:
        """Body mass with shoes and what is often carried."""
        return self.mass_kg + (self.carried_load_kg or 0.0)


class LinerMaterial(str, Enum):
    """Classes of liner, by material."""

    SILICONE = "silicone"
    URETHANE = "urethane"
    TPE = "tpe"
    FOAM = "foam"
    NONE = "none"


class Liner(Plan):
    """The liner between skin and socket."""

    material: LinerMaterial = LinerMaterial.SILICONE
    thickness_mm: float = Field(default=6.0, ge=0, le=15)
    cap_thickness_mm: float = Field(default=10.0, ge=0, le=30)
    """Thickness at the distal end, cap included."""
    cap_diameter_mm: float = Field(default=50.0, ge=5, le=90)
    modulus_kpa: float | None = Field(default=None, ge=20, le=5000)
    friction: float | None = Field(default=None, ge=0.05, le=1.5)
    fabric_faced: bool | None = None
    """Whether its outside is covered with fabric; None when nobody said."""
