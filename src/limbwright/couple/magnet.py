"""Magnetic pull on a face: closed forms for a gap too narrow to matter."""

from __future__ import annotations

import math

from limbwright.couple.tables import SATURATION_T, VACUUM_PERMEABILITY


def flux_density_t(pull_n: float, diameter_mm: float) -> float:
    """Mean flux density that a round face needs to hold a pull: √(2·μ0·F / A), tesla."""
    area_m2 = math.pi * (diameter_mm / 2000.0) ** 2
    return math.sqrt(2.0 * VACUUM_PERMEABILITY.value * pull_n / area_m2)


def strongest_pull_n(diameter_mm: float) -> float:
    """Pull at which the iron behind a round face is saturated: B²·A / (2·μ0), N."""
    area_m2 = math.pi * (diameter_mm / 2000.0) ** 2
    return SATURATION_T.value**2 * area_m2 / (2.0 * VACUUM_PERMEABILITY.value)
