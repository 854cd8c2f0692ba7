"""Strength and stiffness of a lay-up from specimens bent over two supports.

The three-point form of ISO 178 and ASTM D790, for specimens that are slender and bend little.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.special import stdtrit

from limbwright.prove.plan import CouponDirection, CouponPlan
from limbwright.prove.strength_tables import (
    DEEPEST_BEND,
    FEWEST_COUPONS,
    LOWER_SHARE,
    SHORTEST_SPAN,
)


@dataclass(frozen=True, slots=True)
class CouponResult:
    """One specimen.

    Parameters
    ----------
    strength_mpa : float
        Bending stress at the greatest force.
    modulus_mpa : float or None
        None without a deflection.
    span_to_thickness : float
    cautions : tuple of str
        Why the simple form may not hold for it; empty when it does.
    """

    strength_mpa: float
    modulus_mpa: float | None
    span_to_thickness: float
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CouponSummary:
    """Several specimens of one lay-up in one direction.

    Parameters
    ----------
    count : int
    mean_mpa : float
    sd_mpa : float or None
        None for a single specimen.
    lower_mpa : float or None
        The value that 19 of 20 further specimens are expected to reach; None for too few, or
        where they scatter so much that it is not above zero.
    modulus_mpa : float or None
        Mean of those with a deflection.
    says : str
    """

    count: int
    mean_mpa: float
    sd_mpa: float | None
    lower_mpa: float | None
    modulus_mpa: float | None
    says: str


def bending_strength_mpa(
    force_n: float, span_mm: float, width_mm: float, thickness_mm: float
) -> float:
    """Stress at the outer face under a force in the middle, 3·F·L/(2·b·h²), MPa."""
    return 3.0 * force_n * span_mm / (2.0 * width_mm * thickness_mm**2)


def bending_modulus_mpa(
    force_n: float, deflection_mm: float, span_mm: float, width_mm: float, thickness_mm: float
) -> float:
    """Modulus from force and deflection of the middle, F·L³/(4·b·h³·d), MPa."""
    return force_n * span_mm**3 / (4.0 * width_mm * thickness_mm**3 * deflection_mm)


def lower_value_mpa(values_mpa: tuple[float, ...]) -> float | None:
    """What 19 of 20 further specimens are expected to reach, mean − t·s·√(1 + 1/n), MPa.

    EN 1990:2002, annex D.7.2 with unknown coefficient of variation; t is Student's 95 % point
    at n − 1. None for fewer than three specimens, for which that annex gives no factor, and where
    the result is not above zero.
    """
    count = len(values_mpa)
    if count < FEWEST_COUPONS.value:
        return None
    factor = float(stdtrit(count - 1, LOWER_SHARE.value)) * math.sqrt(1.0 + 1.0 / count)
    lower = float(np.mean(values_mpa) - factor * np.std(values_mpa, ddof=1))
    return lower if lower > 0.0 else None


def coupon_result(coupon: CouponPlan) -> CouponResult:
    """Strength and modulus of one specimen, and whether the simple form holds for it."""
    ratio = coupon.span_mm / coupon.thickness_mm
    modulus = None
    cautions = []
    if ratio < SHORTEST_SPAN.value:
        cautions.append(
            f"the span is only {ratio:.0f} times the thickness: use {SHORTEST_SPAN.value:g} or"
            " more, else layers shear apart instead of breaking and the modulus comes out low"
        )
    if coupon.deflection_mm is not None:
        at_n = (
            coupon.deflection_force_n if coupon.deflection_force_n is not None else coupon.force_n
        )
        modulus = bending_modulus_mpa(
            at_n, coupon.deflection_mm, coupon.span_mm, coupon.width_mm, coupon.thickness_mm
        )
        if coupon.deflection_mm > DEEPEST_BEND.value * coupon.span_mm:
            cautions.append(
                f"it bent by more than a tenth of the span ({coupon.deflection_mm:g} mm over"
                f" {coupon.span_mm:g} mm): the simple form is no longer right"
            )
    strength = bending_strength_mpa(
        coupon.force_n, coupon.span_mm, coupon.width_mm, coupon.thickness_mm
    )
    return CouponResult(strength, modulus, ratio, tuple(cautions))


def summarise(
    coupons: tuple[CouponPlan, ...], direction: CouponDirection = CouponDirection.ALONG
) -> CouponSummary | None:
    """Mean, scatter and lower value of the specimens that lie one way; None when there is none.

    Parameters
    ----------
    coupons : tuple of CouponPlan
    direction : CouponDirection
    """
    found = [coupon_result(item) for item in coupons if item.direction is direction]
    if not found:
        return None
    strengths = tuple(item.strength_mpa for item in found)
    moduli = [item.modulus_mpa for item in found if item.modulus_mpa is not None]
    count, mean = len(strengths), float(np.mean(strengths))
    sd = float(np.std(strengths, ddof=1)) if count > 1 else None
    lower = lower_value_mpa(strengths)
    return CouponSummary(
        count,
        mean,
        sd,
        lower,
        float(np.mean(moduli)) if moduli else None,
        _words(count, mean, sd, lower),
    )


def _words(count: int, mean: float, sd: float | None, lower: float | None) -> str:
    if sd is None:
        return f"one coupon of {mean:.1f} MPa; bend at least {FEWEST_COUPONS.value} of one lay-up"
    spread = f"{count} coupons of {mean:.1f} MPa in the mean (SD {sd:.1f})"
    if count < FEWEST_COUPONS.value:
        return f"{spread}; bend at least {FEWEST_COUPONS.value} of one lay-up"
    if lower is None:
        return f"{spread}, which scatter too much for a lower value; bend more"
    return f"{spread}, of which {lower:.1f} MPa are what 19 of 20 are expected to reach"
