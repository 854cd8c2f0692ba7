"""Units: everything inside is mm, N, MPa, kg, s, rad; conversion happens here and at borders."""

from __future__ import annotations

import math
from enum import Enum


class LengthUnit(str, Enum):
    """A unit of length that a scan or landmark file may use."""

    MM = "mm"
    CM = "cm"
    M = "m"
    INCH = "inch"

    @property
    def to_mm(self) -> float:
        """Millimetres in one unit."""
        return _MM_PER_UNIT[self]


_MM_PER_UNIT = {
    LengthUnit.MM: 1.0,
    LengthUnit.CM: 10.0,
    LengthUnit.M: 1000.0,
    LengthUnit.INCH: 25.4,
}

MM_PER_INCH = 25.4
KG_PER_LB = 0.45359237
"""International avoirdupois pound, exact by definition (1959 agreement)."""
STANDARD_GRAVITY_M_S2 = 9.80665
"""Standard acceleration of gravity, exact by definition (3rd CGPM, 1901)."""
N_PER_LBF = KG_PER_LB * STANDARD_GRAVITY_M_S2


def kpa_from_mpa(value_mpa: float) -> float:
    """Kilopascal from megapascal."""
    return value_mpa * 1000.0


def n_m_from_n_mm(value_n_mm: float) -> float:
    """Newton metre from newton millimetre."""
    return value_n_mm / 1000.0


def degrees(angle_rad: float) -> float:
    """Degrees from radians, for the edge of the engine."""
    return math.degrees(angle_rad)


def radians(angle_deg: float) -> float:
    """Radians from degrees, for the edge of the engine."""
    return math.radians(angle_deg)
