"""Filling the cast: plaster, water, and what must come out first."""

from __future__ import annotations

import math

from limbwright.capture.casting.result import Filling, SealedDummy
from limbwright.capture.casting.tables import (
    PLASTER_EXPANSION,
    PLASTER_RESERVE,
    POWDER_DENSITY_KG_L,
)


def powder_kg_per_litre(water_share: float) -> float:
    """Powder for one litre of slurry, volumes of powder and water added.

    Parameters
    ----------
    water_share : float
        Water over powder, by mass.
    """
    return 1.0 / (1.0 / POWDER_DENSITY_KG_L.value + water_share)


def filling(
    inside_ml: float,
    dummy: SealedDummy | None,
    in_place: bool,
    water_share: float,
    largest_diameter_mm: float,
) -> Filling:
    """Quantities and order of filling.

    Parameters
    ----------
    inside_ml : float
        Of limb and liner up to where the cast is filled.
    dummy : SealedDummy or None
    in_place : bool
        Whether the dummy stays in: else its hollow is filled as well.
    water_share : float
    largest_diameter_mm : float
    """
    hollow_ml = 0.0
    if dummy is not None and not in_place:
        hollow_ml = math.pi / 4.0 * dummy.body_mm**2 * dummy.height_mm / 1000.0
    volume_ml = inside_ml + hollow_ml
    powder = powder_kg_per_litre(water_share) * volume_ml / 1000.0 * (1.0 + PLASTER_RESERVE.value)
    return Filling(
        volume_ml=volume_ml,
        powder_kg=powder,
        water_kg=water_share * powder,
        dummy_in_place=dummy is not None and in_place,
        order=_order(dummy, in_place),
        growth_mm=PLASTER_EXPANSION.value * largest_diameter_mm,
    )


def _order(dummy: SealedDummy | None, in_place: bool) -> tuple[str, ...]:
    common = ("separate the inside of the cast", "fill, tap out the air, set the mandrel")
    if dummy is None:
        return (*common, "take the model out")
    exit_out = ("draw the exit's dummy outward first: it locks all else",) if dummy.exit_mm else ()
    if in_place:
        return (
            "leave dummy and ring in, the ring greased",
            *common,
            *exit_out,
            "take the model out",
            "then draw the dummy out of the cast, and the ring",
        )
    return (
        *exit_out,
        "draw the dummy out of the cast, then the ring",
        "close the exit's hole from outside",
        *common,
        "take the model out, the dummy's shape standing on its end",
    )
