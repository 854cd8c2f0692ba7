"""Bench alignment and adapters: part of the case document.

Angles in degrees, shifts in mm, as a practitioner states them. None takes a marked default.
"""

from __future__ import annotations

from enum import Enum

from pydantic import Field

from limbwright.core.plan import Plan


class AdapterPlace(str, Enum):
    """Where an adapter sits in the chain."""

    SOCKET = "socket"
    FOOT = "foot"


class AdapterPlan(Plan):
    """A four-screw pyramid adapter.

    Its angles count from where bench alignment put it: 0 is the leg as it left the bench. They
    are positive when the part above leans forward (flexion) or outward (adduction) over the part
    below; at the foot, positive flexion is dorsiflexion.
    """

    place: AdapterPlace
    flexion_deg: float = Field(default=0.0, ge=-20, le=20)
    adduction_deg: float = Field(default=0.0, ge=-20, le=20)
    range_deg: float = Field(default=8.0, ge=1, le=20)
    screw_pitch_mm: float = Field(default=1.0, ge=0.3, le=3)
    screw_arm_mm: float = Field(default=12.0, ge=4, le=40)


class AlignPlan(Plan):
    """What the practitioner sets on the bench."""

    socket_flexion_deg: float | None = Field(default=None, ge=-10, le=50)
    socket_adduction_deg: float | None = Field(default=None, ge=-15, le=20)
    foot_inset_mm: float | None = Field(default=None, ge=-60, le=60)
    """Foot medial of the plumb line through the socket's centre at datum: positive."""
    foot_forward_mm: float | None = Field(default=None, ge=-80, le=80)
    """Foot's bench point forward of where the default puts it: positive."""
    toe_out_deg: float | None = Field(default=None, ge=-20, le=30)
    adapters: tuple[AdapterPlan, ...] = (
        AdapterPlan(place=AdapterPlace.SOCKET),
        AdapterPlan(place=AdapterPlace.FOOT),
    )
    wanted_forward_mm: float = Field(default=0.0, ge=-60, le=60)
    """A wanted change of foot position and tilt, answered with screw turns; signs as above."""
    wanted_outward_mm: float = Field(default=0.0, ge=-60, le=60)
    wanted_foot_flexion_deg: float = Field(default=0.0, ge=-15, le=15)
    wanted_foot_adduction_deg: float = Field(default=0.0, ge=-15, le=15)
