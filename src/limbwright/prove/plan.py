"""What the proof assumes: tissue, socket process and suspension. Part of the case document."""

from __future__ import annotations

from enum import Enum

from pydantic import Field

from limbwright.core.plan import Plan
from limbwright.couple.plan import CouplingKind

NEW_CASE_ENGINE = "live"
"""What a new case computes pressure with; a document that names none means the first estimate."""


class SocketProcess(str, Enum):
    """How the socket is made."""

    WALKING_CAST = "walking_cast"
    CHECK_SOCKET = "check_socket"
    PRINTED = "printed"
    LAMINATED = "laminated"


class MeshLevel(str, Enum):
    """How fine the finite elements are: about 10 000, 30 000 and 100 000 unknowns."""

    COARSE = "coarse"
    MEDIUM = "medium"
    FINE = "fine"


class TissuePlan(Plan):
    """Soft tissue as a linear body. None takes a marked default."""

    modulus_kpa: float | None = Field(default=None, ge=5, le=2000)
    poisson: float | None = Field(default=None, ge=0.3, le=0.495)


class MaterialPlan(Plan):
    """Figures of the practitioner's own material, if known: they replace the table."""

    strength_mpa: float | None = Field(default=None, ge=1, le=2000)
    modulus_mpa: float | None = Field(default=None, ge=10, le=300000)
    source: str = ""
    """Where the figures come from, for example "own coupon test 2026-10-02"."""


class CouponDirection(str, Enum):
    """Which way of the socket a coupon lies."""

    ALONG = "along"
    """Up and down the socket."""
    ROUND = "round"
    """Round the socket."""


class CouponPlan(Plan):
    """One specimen of the socket's own lay-up, bent to failure over two supports."""

    span_mm: float = Field(ge=10, le=500)
    width_mm: float = Field(ge=1, le=100)
    thickness_mm: float = Field(ge=0.2, le=30)
    force_n: float = Field(ge=0.1, le=50000)
    """Greatest force in the middle."""
    deflection_mm: float | None = Field(default=None, ge=0.001, le=200)
    """Of the middle, on the straight part of the curve; gives the modulus."""
    deflection_force_n: float | None = Field(default=None, ge=0.1, le=50000)
    """Force at that deflection; the greatest force when left out."""
    direction: CouponDirection = CouponDirection.ALONG


class CouponTest(Plan):
    """The specimens of one lay-up, and where and when they were bent."""

    specimens: tuple[CouponPlan, ...] = Field(default=(), max_length=60)
    source: str = Field(default="", max_length=200)
    """For example "own lay-up of eight layers, bent 2026-10-02"."""


class SuspensionPlan(Plan):
    """What is known of the suspension beyond the coupling itself. None takes a marked default."""

    second: CouplingKind | None = None
    """A second suspension worn with the first, for example a sleeve over a pin."""
    second_capacity_n: float | None = Field(default=None, ge=1, le=5000)
    """Holding force of the second as its maker states it."""
    pressure_kpa: float | None = Field(default=None, ge=1, le=95)
    """Pressure difference that a gauge reads at the socket, for suction and vacuum."""
    seal_level_mm: float | None = Field(default=None, ge=-60, le=300)
    """Where the seal stands, below the mid-patellar tendon."""
    magnet_gap_mm: float | None = Field(default=None, ge=0, le=30)
    """Cloth, film or dirt between a magnet and its target."""
    centre_of_mass_mm: float | None = Field(default=None, ge=50, le=500)
    """Centre of mass of the prosthesis with shoe below the knee's axis, from balancing it."""


class CastPlan(Plan):
    """What a walking cast is wrapped with. None takes a marked default."""

    roll_width_mm: float | None = Field(default=None, ge=20, le=200)
    roll_length_mm: float | None = Field(default=None, ge=500, le=10000)
    waste_percent: float | None = Field(default=None, ge=0, le=100)


class ProvePlan(Plan):
    """What the proof assumes. None takes a marked default."""

    process: SocketProcess = SocketProcess.PRINTED
    material: str = "petg_print"
    """Key of the material table, or any name with own figures."""
    own_material: MaterialPlan = MaterialPlan()
    coupons: CouponTest = CouponTest()
    layers: int | None = Field(default=None, ge=1, le=40)
    """Layers of cast tape or cloth, for layered processes."""
    layer_mm: float | None = Field(default=None, ge=0.1, le=3)
    wall_mm: float | None = Field(default=None, ge=1, le=15)
    distal_plate_mm: float | None = Field(default=None, ge=2, le=40)
    wanted_margin: float = Field(default=1.0, ge=0.1, le=5)
    """Times the reference force that a walking cast's layers are counted for."""
    wall_by_elements: bool = False
    """Look at the wall under the reference load by finite elements too; takes a second."""
    cast: CastPlan = CastPlan()
    suspension: SuspensionPlan = SuspensionPlan()
    tissue: TissuePlan = TissuePlan()
    engine: str = Field(default="spring_bed", pattern="^[a-z_]+$")
    mesh: MeshLevel = MeshLevel.MEDIUM
    """Read by the finite elements alone."""
