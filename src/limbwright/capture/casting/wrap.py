"""Tape: wrapped area, layers, rolls."""

from __future__ import annotations

import math

from limbwright.capture.casting.plan import CastingPlan
from limbwright.capture.casting.result import Rolls, Wrap
from limbwright.capture.casting.tables import COMMON_WIDTHS_MM, LAYERS_CARRIED, LAYERS_WALKED
from limbwright.core.clipping import clip_by_scalar
from limbwright.core.mesh import Mesh, vertex_areas, vertex_normals, with_vertices


def wrapped_area_mm2(surface: Mesh, over_mm: float, upper_mm: float) -> float:
    """Area of limb and liner up to a height over the datum.

    Parameters
    ----------
    surface : Mesh
        Limb frame, open at the top.
    over_mm : float
        Liner between the surface and the tape.
    upper_mm : float
    """
    outside = with_vertices(surface, surface.vertices + over_mm * vertex_normals(surface))
    below = clip_by_scalar(outside, outside.vertices[:, 2], upper_mm).mesh
    return float(vertex_areas(below).sum())


def usual_layers(mass_kg: float, walked_in: bool) -> int:
    """Layers by body mass and by whether the cast is walked in; never fewer for more mass."""
    table = (LAYERS_WALKED if walked_in else LAYERS_CARRIED).value
    return next(layers for limit, layers in table if mass_kg <= limit)


def rolls_needed(
    layers: int, area_mm2: float, waste: float, width_mm: float, length_mm: float
) -> float:
    """Rolls of tape: layers times area and waste over what one roll covers.

    Overlapping turns count as layers, so that overlap costs nothing more.
    """
    return layers * area_mm2 * (1.0 + waste) / (width_mm * length_mm)


def wrap(
    surface: Mesh,
    over_mm: float,
    upper_mm: float,
    mass_kg: float,
    walked_in: bool,
    plan: CastingPlan,
) -> Wrap:
    """The wrap up to a height over the datum, in rolls of the chosen and of the usual widths."""
    area = wrapped_area_mm2(surface, over_mm, upper_mm)
    layers = plan.layers if plan.layers is not None else usual_layers(mass_kg, walked_in)
    use = "walked in" if walked_in else "not walked in"
    stated = "stated" if plan.layers is not None else f"usual for {mass_kg:g} kg, {use}"
    widths = dict.fromkeys((plan.tape_width_mm, *COMMON_WIDTHS_MM.value))
    rolls = []
    for width in widths:
        waste = plan.waste_percent / 100.0
        needed = rolls_needed(layers, area, waste, width, plan.tape_length_mm)
        # to the digits that are told: a hundredth of a roll opens no further one
        rolls.append(Rolls(width, needed, math.ceil(round(needed, 2))))
    return Wrap(area / 100.0, upper_mm, layers, stated, tuple(rolls))
