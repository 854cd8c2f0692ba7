"""The residual limb in the terms of ISO 8548-2:2020 and the socket in those of ISO 13405-2:2015.

The standards' terms are kept; the trade's words stand beside them (assess/words.py). None: not
examined. ISO 13405-2 discourages the names "total contact" and "total surface bearing".
"""

from __future__ import annotations

from enum import Enum

from pydantic import Field

from limbwright.core.plan import Plan


class LimbShape(str, Enum):
    """Shape of the residual limb."""

    CONICAL = "conical"
    BULBOUS = "bulbous"
    CYLINDRICAL = "cylindrical"


class TissueAmount(str, Enum):
    """Amount of soft tissue."""

    SUFFICIENT = "sufficient"
    INSUFFICIENT = "insufficient"
    EXCESSIVE = "excessive"


class TissueConsistency(str, Enum):
    """Consistency of soft tissue."""

    NORMAL = "normal"
    FLABBY = "flabby"
    INDURATED = "indurated"


class Musculature(str, Enum):
    """How the muscles end."""

    ATTACHED = "attached"
    DETACHED = "detached"
    DISPLACED = "displaced"


class Sensation(str, Enum):
    """Sensation of the skin."""

    NORMAL = "normal"
    REDUCED = "reduced"
    ABSENT = "absent"


class ScarMobility(str, Enum):
    """Whether the scar moves on what lies under it."""

    MOBILE = "mobile"
    ADHERENT = "adherent"


class SkinColour(str, Enum):
    """Circulation as its colour shows it."""

    NORMAL = "normal"
    CYANOTIC = "cyanotic"
    DISCOLOURED = "discoloured"


class LimbDescription(Plan):
    """ISO 8548-2:2020, description of a lower-limb residual limb."""

    shape: LimbShape | None = None
    tissue_amount: TissueAmount | None = None
    tissue_consistency: TissueConsistency | None = None
    musculature: Musculature | None = None
    bony_prominences: str = Field(default="", max_length=200)
    foreign_bodies: str = Field(default="", max_length=200)
    end_bearing: bool | None = None
    skin_intact: bool | None = None
    sensation: Sensation | None = None
    scar_position: str = Field(default="", max_length=120)
    scar_healed: bool | None = None
    scar_mobility: ScarMobility | None = None
    scar_invaginated: bool | None = None
    grafts: bool | None = None
    dermatitis: bool | None = None
    allergy: str = Field(default="", max_length=200)
    hyperhidrosis: bool | None = None
    colour: SkinColour | None = None
    warm: bool | None = None
    excessive_oedema: bool | None = None
    pain_0_10: float | None = Field(default=None, ge=0, le=10)
    phantom_pain_0_10: float | None = Field(default=None, ge=0, le=10)
    neuroma: bool | None = None
    knee_flexion_deg: float | None = Field(default=None, ge=0, le=170)
    """Largest flexion of the knee."""
    knee_stable: bool | None = None


class AxialStabilization(str, Enum):
    """Where the socket takes the load along the limb."""

    PROXIMAL = "proximal"
    DISTAL = "distal"
    TOTAL_SOCKET = "total socket"


class SocketDescription(Plan):
    """ISO 13405-2:2015, description of a socket; the three directions in the writer's words."""

    axial_stabilization: AxialStabilization | None = None
    antero_posterior: str = Field(default="", max_length=120)
    """What stabilizes the limb forward and back."""
    medio_lateral: str = Field(default="", max_length=120)
    rotational: str = Field(default="", max_length=120)
    liner_modifies: bool | None = None
    """Whether a liner modifies how forces are transmitted."""
