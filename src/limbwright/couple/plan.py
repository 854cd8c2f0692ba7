"""Coupling, suspension and the parts under the socket: part of the case document.

Heights and capacities are those of the parts in hand; what is left out is a marked default.
"""

from __future__ import annotations

from enum import Enum

from pydantic import Field

from limbwright.core.plan import Plan
from limbwright.couple.catalogue import KEY_PATTERN


class CouplingKind(str, Enum):
    """How the liner is held in the socket."""

    PIN = "pin"
    MAGNET = "magnet"
    LANYARD = "lanyard"
    SUCTION = "suction"
    VACUUM = "vacuum"
    SLEEVE = "sleeve"
    STRAP = "strap"


class SeatAxis(str, Enum):
    """Which axis the coupling is set on."""

    LIMB = "limb"
    """The long axis of the limb (u)."""
    DISTAL = "distal"
    """The axis of the distal limb, its rounded end left out."""
    SOCKET = "socket"
    """The axis of the socket's inside."""
    BALANCED = "balanced"
    """The distal limb's axis, turned about the liner's target by the least tilt that keeps the
    adapters in range."""
    CHOSEN = "chosen"
    """Tilt given by the practitioner."""


class CouplingPlan(Plan):
    """The coupling body under the limb. Dimensions left None take marked defaults."""

    kind: CouplingKind = CouplingKind.MAGNET
    axis: SeatAxis = SeatAxis.BALANCED
    tilt_forward_deg: float = Field(default=0.0, ge=-25, le=25)
    """Only with axis "chosen": tilt of the axis, its distal end going forward."""
    tilt_inward_deg: float = Field(default=0.0, ge=-25, le=25)
    """Only with axis "chosen": tilt of the axis, its distal end going inward."""
    offset_o_mm: float = Field(default=0.0, ge=-30, le=30)
    offset_f_mm: float = Field(default=0.0, ge=-30, le=30)
    spacing_mm: float = Field(default=2.0, ge=0, le=30)
    """Gap between the liner cap's distal face and the coupling's face."""
    body_diameter_mm: float | None = Field(default=None, ge=20, le=100)
    body_height_mm: float | None = Field(default=None, ge=5, le=100)
    target_diameter_mm: float | None = Field(default=None, ge=2, le=90)
    capacity_n: float | None = Field(default=None, ge=1, le=5000)
    """Holding force along the axis as the part's maker states it."""
    tolerance_tilt_deg: float | None = Field(default=None, ge=0, le=30)
    tolerance_offset_mm: float | None = Field(default=None, ge=0, le=40)
    self_seating: bool | None = None
    """Whether the target swivels or is guided onto the face; None when not known."""
    screw_square_mm: float = Field(default=36.0, ge=20, le=80)
    """Side of the square of the four screws."""
    screw_diameter_mm: float = Field(default=6.0, ge=3, le=12)
    exit_angle_deg: float = Field(default=180.0, ge=-180, le=360)
    """Direction of the button, lanyard or valve exit on either side: 0 lateral, 90 forward,
    180 medial, 270 back (from outward, anti-clockwise seen from above in the limb frame)."""
    exit_diameter_mm: float = Field(default=14.0, ge=2, le=40)


class PartsPlan(Plan):
    """Heights of the parts between coupling and floor. None takes a marked default."""

    datum_floor_mm: float | None = Field(default=None, ge=150, le=700)
    """Mid-patellar tendon to floor on the sound side, in the shoe."""
    plate_mm: float | None = Field(default=None, ge=3, le=60)
    socket_adapter_mm: float | None = Field(default=None, ge=5, le=120)
    foot_adapter_mm: float | None = Field(default=None, ge=5, le=120)
    foot_mm: float | None = Field(default=None, ge=20, le=250)
    """Foot with its shell, pyramid centre to the sole."""
    shoe_heel_mm: float = Field(default=10.0, ge=0, le=80)
    shoe_mass_kg: float = Field(default=0.4, ge=0, le=2)
    pylon_minimum_mm: float | None = Field(default=None, ge=0, le=200)
    """Shortest tube that both clamps can hold."""
    pylon_outside_mm: float = Field(default=30.0, ge=15, le=60)
    pylon_wall_mm: float = Field(default=2.0, ge=0.5, le=10)
    prosthesis_mass_kg: float | None = Field(default=None, ge=0.3, le=8)
    """Whole prosthesis with shoe, if weighed."""


class PartChoice(Plan):
    """Parts taken from the catalogue, each by its key. None: not taken from there.

    What the case states itself goes before the entry's figure; the screw square, the exit and the
    tube are the part's own.
    """

    coupling: str | None = Field(default=None, pattern=KEY_PATTERN)
    """A lock of the coupling's kind; a valve for suction and vacuum."""
    square_plate: str | None = Field(default=None, pattern=KEY_PATTERN)
    plate: str | None = Field(default=None, pattern=KEY_PATTERN)
    socket_adapter: str | None = Field(default=None, pattern=KEY_PATTERN)
    pylon: str | None = Field(default=None, pattern=KEY_PATTERN)
    foot_adapter: str | None = Field(default=None, pattern=KEY_PATTERN)
    foot: str | None = Field(default=None, pattern=KEY_PATTERN)
    dummy: str | None = Field(default=None, pattern=KEY_PATTERN)
    dummy_ring: str | None = Field(default=None, pattern=KEY_PATTERN)


class CouplePlan(Plan):
    """Coupling and parts together."""

    coupling: CouplingPlan = CouplingPlan()
    parts: PartsPlan = PartsPlan()
    catalogue: PartChoice = PartChoice()
