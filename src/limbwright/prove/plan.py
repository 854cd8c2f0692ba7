"""What the proof assumes: tissue, socket process and suspension. Part of the case document."""

from __future__ import annotations

from enum import Enum

from pydantic import Field

from limbwright.core.plan import Plan


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
    source: str = ""
    """Where the figure comes from, for example "own coupon test 2026-10-02"."""


class ProvePlan(Plan):
    """What the proof assumes."""

    process: SocketProcess = SocketProcess.PRINTED
    material: str = "petg_print"
    """Key of the material table, or any name with own figures."""
    own_material: MaterialPlan = MaterialPlan()
    layers: int = Field(default=6, ge=1, le=40)
    """Layers of cast tape or cloth, for layered processes."""
    layer_mm: float = Field(default=0.9, ge=0.1, le=3)
    wall_mm: float = Field(default=5.0, ge=1, le=15)
    distal_plate_mm: float = Field(default=10.0, ge=2, le=40)
    tissue: TissuePlan = TissuePlan()
    engine: str = Field(default="spring_bed", pattern="^[a-z_]+$")
    mesh: MeshLevel = MeshLevel.MEDIUM
    """Read by the finite elements alone."""
