"""The shape plan that a new case starts from."""

from __future__ import annotations

from enum import Enum

import numpy as np

from limbwright.assess.plan import Liner
from limbwright.shape.plan import LOAD_AREAS, AreaName, AreaPlan, ShapePlan, TakeUpPoint
from limbwright.shape.tables import (
    AREA_TEMPLATES,
    TAKE_UP_BY_LINER,
    TENDON_BEARING_TAKE_UP_PERCENT,
)


class ShapeStyle(str, Enum):
    """How the socket takes the load, as ISO 13405-2 asks it to be told.

    Most sockets are something between the two (Dickinson and others 2024).
    """

    TENDON_BEARING = "tendon_bearing"
    """Axial load taken proximally, at the tendon and beside the tibia (trade word: PTB)."""
    SURFACE_BEARING = "surface_bearing"
    """Axial load spread over the whole surface by take-up over a liner (trade word: TSB)."""


_PLACED = {
    ShapeStyle.TENDON_BEARING: tuple(
        name for name in AreaName if name is not AreaName.BELOW_FIBULAR_HEAD
    ),
    ShapeStyle.SURFACE_BEARING: (
        AreaName.MEDIAL_TIBIAL_FLARE,
        AreaName.LATERAL_PRETIBIAL,
        AreaName.FIBULAR_SHAFT,
        AreaName.FIBULAR_HEAD,
        AreaName.TIBIAL_CREST,
        AreaName.TIBIAL_TUBERCLE,
        AreaName.DISTAL_TIBIA,
        AreaName.DISTAL_FIBULA,
    ),
}


def default_shape_plan(liner: Liner, style: ShapeStyle = ShapeStyle.SURFACE_BEARING) -> ShapePlan:
    """A shape plan to start from: depths from memory, to be edited for the person.

    A tendon-bearing plan takes the template's depths. A surface-bearing one keeps the reliefs,
    takes each load at the shallow end of what is usual, leaves the tendon and the popliteal
    area alone, and lets the take-up do the holding; the medial flare keeps its lateral answer
    (anterior compartment and fibular shaft).

    Parameters
    ----------
    liner : Liner
        Its thickness sets the take-up.
    style : ShapeStyle
    """
    return ShapePlan(
        areas=tuple(
            AreaPlan(name=name, depth_mm=_depth_mm(name, style)) for name in _PLACED[style]
        ),
        take_up=(TakeUpPoint(level_mm=0.0, girth_percent=default_take_up(liner, style)),),
    )


def default_take_up(liner: Liner, style: ShapeStyle) -> float:
    """Take-up in percent of girth.

    Surface bearing: the low end of the range published for the liner's thickness, because
    the text leaves open whether it means girth or volume (half as much girth). Thicknesses
    between are interpolated; without a liner there is none; beyond 9 mm it stays.
    """
    if style is ShapeStyle.TENDON_BEARING:
        return TENDON_BEARING_TAKE_UP_PERCENT.value if liner.thickness_mm > 0 else 0.0
    return round(usual_take_up(liner.thickness_mm)[0], 1)


def usual_take_up(thickness_mm: float) -> tuple[float, float]:
    """Least and greatest usual take-up for a liner, percent of girth, linear in thickness."""
    rows = np.array([(0.0, 0.0, 0.0), *TAKE_UP_BY_LINER.value])
    low, high = (float(np.interp(thickness_mm, rows[:, 0], rows[:, k])) for k in (1, 2))
    return low, high


def _depth_mm(name: AreaName, style: ShapeStyle) -> float:
    template = AREA_TEMPLATES[name]
    if style is ShapeStyle.SURFACE_BEARING and name in LOAD_AREAS:
        return template.usual_mm.value[1]
    return template.depth_mm.value
