"""Reference loads of ISO 10328 for lower-limb prostheses, to compare with and never to certify by.

The standard itself says that it does not serve to select a prosthesis for an individual, and
sockets are outside its scope. Frame: o outward, f forward, u up from the bottom plane, mm.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from limbwright.core.sources import Confidence, Origin, Source, Sourced


class Condition(str, Enum):
    """Loading conditions: heel strike and push-off."""

    HEEL = "I"
    FOREFOOT = "II"


@dataclass(frozen=True, slots=True)
class TestForces:
    """Static test forces, N.

    Parameters
    ----------
    proof_n : float
        Held without damage.
    ultimate_ductile_n : float
        Lower ultimate force, enough if failure is ductile.
    ultimate_brittle_n : float
        Upper ultimate force, required if failure is brittle.
    """

    proof_n: float
    ultimate_ductile_n: float
    ultimate_brittle_n: float


@dataclass(frozen=True, slots=True)
class LoadLine:
    """Straight load line by its offsets at four planes, mm.

    Parameters
    ----------
    f_mm, o_mm : tuple of 4 floats
        At the bottom, ankle, knee and top planes.
    """

    f_mm: tuple[float, float, float, float]
    o_mm: tuple[float, float, float, float]


_FORCES_SOURCE = Source(
    Origin.MEMORY,
    "ISO 10328:2016 tables of test forces; 4025 N for level P5 (A100) condition II read in Current,"
    " Kogler and Barth 1999, Prosthet Orthot Int 23:113",
    Confidence.HIGH,
)
_OFFSETS_SOURCE = Source(
    Origin.MEMORY,
    "ISO 10328:2016 table of offsets; consistent as straight lines within 0.4 mm",
    Confidence.MEDIUM,
)
_PLANES_SOURCE = Source(
    Origin.PUBLISHED,
    "GOST R ISO 10328-2021, table 6 (identical adoption), as cited in test-stand software; top"
    " plane from memory",
    Confidence.HIGH,
)
_MASS_SOURCE = Source(
    Origin.PUBLISHED,
    "body mass limits of levels P3, P4, P5 as cited from ISO 10328:2016 in public project notes",
    Confidence.HIGH,
)

PLANES_MM: Sourced[tuple[float, float, float, float]] = Sourced(
    (0.0, 80.0, 500.0, 650.0), "mm", _PLANES_SOURCE
)
"""Heights of the bottom, ankle, knee and top planes."""

MASS_LIMIT_KG: Sourced[Mapping[str, float]] = Sourced(
    {"P3": 60.0, "P4": 80.0, "P5": 100.0}, "kg", _MASS_SOURCE
)

FORCES: Sourced[Mapping[tuple[str, Condition], TestForces]] = Sourced(
    {
        ("P5", Condition.HEEL): TestForces(2240, 3360, 4480),
        ("P5", Condition.FOREFOOT): TestForces(2013, 3019, 4025),
        ("P4", Condition.HEEL): TestForces(2065, 3098, 4130),
        ("P4", Condition.FOREFOOT): TestForces(1811, 2717, 3623),
        ("P3", Condition.HEEL): TestForces(1610, 2415, 3220),
        ("P3", Condition.FOREFOOT): TestForces(1395, 2092, 2790),
    },
    "N",
    _FORCES_SOURCE,
)

LOAD_LINES: Sourced[Mapping[tuple[str, Condition], LoadLine]] = Sourced(
    {
        ("P5", Condition.HEEL): LoadLine((-48, -32, 52, 82), (45, 30, -50, -79)),
        ("P5", Condition.FOREFOOT): LoadLine((129, 120, 72, 55), (-19, -22, -35, -40)),
        ("P4", Condition.HEEL): LoadLine((-52, -35, 56, 89), (39, 25, -48, -74)),
        ("P4", Condition.FOREFOOT): LoadLine((124, 115, 68, 51), (-21, -24, -43, -49)),
    },
    "mm",
    _OFFSETS_SOURCE,
)
"""Offsets of the load line. None is established for P3: P4's are used, and that is said."""


def level_for_mass(mass_kg: float) -> str | None:
    """The lowest level whose mass limit holds the person; None above P5.

    Forces of the levels above P5 are not established here.
    """
    for level, limit in sorted(MASS_LIMIT_KG.value.items(), key=lambda item: item[1]):
        if mass_kg <= limit:
            return level
    return None


def load_line(level: str, condition: Condition) -> tuple[LoadLine, bool]:
    """The load line of a level, and whether it is the level's own.

    P3 borrows P4's offsets, since its own are not established here.
    """
    own = (level, condition) in LOAD_LINES.value
    return LOAD_LINES.value[(level if own else "P4", condition)], own


def offsets_at(line: LoadLine, u_mm: float) -> tuple[float, float]:
    """Forward and outward offset of the load line at a height, mm.

    The straight line through its ankle and knee points.
    """
    _, ankle, knee, _ = PLANES_MM.value
    share = (u_mm - ankle) / (knee - ankle)
    f_mm = line.f_mm[1] + share * (line.f_mm[2] - line.f_mm[1])
    o_mm = line.o_mm[1] + share * (line.o_mm[2] - line.o_mm[1])
    return f_mm, o_mm


def axial_share(line: LoadLine) -> float:
    """Component of the test force along u, as a share of it."""
    _, ankle, knee, _ = PLANES_MM.value
    height = knee - ankle
    sway = math.hypot(line.f_mm[2] - line.f_mm[1], line.o_mm[2] - line.o_mm[1])
    return height / math.hypot(height, sway)


def bending_n_mm(line: LoadLine, force_n: float, u_mm: float) -> float:
    """Bending moment about the u axis at a height, N·mm: axial force times its arm.

    Parameters
    ----------
    line : LoadLine
    force_n : float
        Test force along the load line.
    u_mm : float
        Height above the bottom plane.
    """
    f_mm, o_mm = offsets_at(line, u_mm)
    return force_n * axial_share(line) * math.hypot(f_mm, o_mm)
