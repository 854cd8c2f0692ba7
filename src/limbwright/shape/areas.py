"""Load and relief areas on the limb's surface: where each acts, and how they share a place."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from limbwright.core.errors import InvalidCase, InvalidLandmarks
from limbwright.core.mesh import Scalars, Vector, Vertices
from limbwright.core.sources import Basis
from limbwright.shape.basis import Heading, ShapeBasis, moved_along, on_surface
from limbwright.shape.guides import GUIDES, length_of, middle_of, spine
from limbwright.shape.plan import LOAD_AREAS, AreaName, AreaPlan, ShapePlan
from limbwright.shape.result import PlacedArea
from limbwright.shape.tables import AREA_TEMPLATES

ROUNDING = 0.2
"""Share of the blend, at either end, over which the slope of the fall-off builds up."""
SHARPNESS = 4.0
"""Exponent with which areas that meet share a place; greater is nearer to a plain greatest."""


@dataclass(frozen=True, slots=True, eq=False)
class Footprint:
    """An area by itself, before its neighbours are asked.

    Parameters
    ----------
    geometry : AreaPlan
        What placed it, the depth left out.
    centre_mm : (3,) float64, mm, limb frame
    weight : (n,) float64, 0 to 1
        All 0 where the limb leaves no room.
    rests_on_guess : bool
    length_mm, width_mm : float
        Full depth along and around the limb, as used.
    blend_mm : float
        Over which the depth falls off, as used.
    """

    geometry: AreaPlan
    centre_mm: Vector
    weight: Scalars
    rests_on_guess: bool
    length_mm: float
    width_mm: float
    blend_mm: float


def place(
    basis: ShapeBasis, plan: ShapePlan, earlier: tuple[Footprint, ...] = ()
) -> tuple[Footprint, ...]:
    """Place each area of a plan by its landmarks; depths play no part.

    Parameters
    ----------
    basis : ShapeBasis
    plan : ShapePlan
    earlier : tuple of Footprint
        Footprints on the same basis: those whose geometry is unchanged are used again.

    Raises
    ------
    InvalidCase
        When an area stands twice or has a depth against its kind; all are listed.
    InvalidLandmarks
        When an area needs a landmark that the limb does not have.
    """
    check_areas(plan)
    known = {kept.geometry: kept for kept in earlier}
    found = []
    for number, area in enumerate(plan.areas):
        geometry = area.model_copy(update={"depth_mm": 0.0})
        found.append(known.get(geometry) or _footprint(basis, geometry, number))
    return tuple(found)


def check_areas(plan: ShapePlan) -> None:
    """Refuse areas that stand twice or press where they should spare.

    Raises
    ------
    InvalidCase
    """
    problems: list[tuple[str, str]] = []
    seen: set[AreaName] = set()
    for number, area in enumerate(plan.areas):
        path = f"shape.areas[{number}]"
        if area.name in seen:
            problems.append((f"{path}.name", f"{area.name.value} stands twice; keep one"))
        seen.add(area.name)
        if area.name in LOAD_AREAS and area.depth_mm > 0:
            text = f"a load area presses in: give 0 or less, not {area.depth_mm:+g} mm"
            problems.append((f"{path}.depth_mm", f"{area.name.value}: {text}"))
        if area.name not in LOAD_AREAS and area.depth_mm < 0:
            text = f"a relief area spares: give 0 or more, not {area.depth_mm:+g} mm"
            problems.append((f"{path}.depth_mm", f"{area.name.value}: {text}"))
    if problems:
        raise InvalidCase(problems)


def shared_weights(footprints: tuple[Footprint, ...]) -> NDArray[np.float64]:
    """Weight of each area once reliefs are spared, (areas, n).

    A relief keeps its own weight w. A load with weight a keeps
    (a^-4 + sum over reliefs of ((1 - w)^-4 - 1))^(-1/4): its own where no relief claims the
    place, nothing on a relief's core, and between them smoothly no more than the lesser of
    what it claims and what the reliefs leave. A relief spares its place at depth 0 too.
    """
    if not footprints:
        return np.empty((0, 0))
    own = np.stack([footprint.weight for footprint in footprints])
    loads = np.array([footprint.geometry.name in LOAD_AREAS for footprint in footprints])
    left = 1.0 - own[~loads]
    with np.errstate(divide="ignore", over="ignore"):
        taken = (left**-SHARPNESS - 1.0).sum(axis=0)
        own[loads] = (own[loads] ** -SHARPNESS + taken) ** (-1.0 / SHARPNESS)
    own.setflags(write=False)
    return own


def area_offset(
    weights: NDArray[np.float64], depths_mm: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Signed offset that areas together give each vertex, (n,) mm.

    Loads that meet do not add up, and neither do reliefs: of depths d the place takes
    (sum of |d|^4)^(1/4), which is nearly the deepest. Relief minus load is what remains.

    Parameters
    ----------
    weights : (areas, n) float64
        From `shared_weights`.
    depths_mm : (areas,) float64
        Signed depths.
    """
    parts = weights * depths_mm[:, None]
    squares = parts * parts
    fourth = squares * squares
    relief = np.sqrt(np.sqrt(fourth[depths_mm > 0].sum(axis=0)))
    load = np.sqrt(np.sqrt(fourth[depths_mm < 0].sum(axis=0)))
    return np.asarray(relief - load, dtype=np.float64)


def placed_areas(
    basis: ShapeBasis,
    plan: ShapePlan,
    footprints: tuple[Footprint, ...],
    weights: NDArray[np.float64],
) -> tuple[PlacedArea, ...]:
    """The areas of a plan as placed, with the plan's depths."""
    return tuple(
        PlacedArea(
            name=area.name,
            loads=area.name in LOAD_AREAS,
            depth_mm=area.depth_mm,
            centre_mm=footprint.centre_mm,
            weight=weight,
            area_cm2=float(basis.areas_mm2[weight >= 0.5].sum()) / 100.0,
            rests_on_guess=footprint.rests_on_guess,
            length_mm=footprint.length_mm,
            width_mm=footprint.width_mm,
            blend_mm=footprint.blend_mm,
        )
        for area, footprint, weight in zip(plan.areas, footprints, weights, strict=True)
    )


def with_depths(areas: tuple[PlacedArea, ...], plan: ShapePlan) -> tuple[PlacedArea, ...]:
    """The same areas with a plan's depths."""
    return tuple(
        replace(placed, depth_mm=area.depth_mm)
        for placed, area in zip(areas, plan.areas, strict=True)
    )


def fall_off(share: Scalars) -> Scalars:
    """Weight across the blend, 1 at 0 and 0 at 1, with a slope that has no jumps.

    The slope builds up over a fifth of the blend, stays at 1.25 and dies away over the last
    fifth: the gentlest blend for its width that is still smooth.
    """
    t = np.clip(share, 0.0, 1.0)
    steepest = 1.0 / (1.0 - ROUNDING)
    bend = 0.5 * steepest / ROUNDING
    return np.asarray(
        np.select(
            [t < ROUNDING, t > 1.0 - ROUNDING],
            [1.0 - bend * t * t, bend * (1.0 - t) ** 2],
            1.0 - steepest * (t - 0.5 * ROUNDING),
        ),
        dtype=np.float64,
    )


def _footprint(basis: ShapeBasis, area: AreaPlan, number: int) -> Footprint:
    template = AREA_TEMPLATES[area.name]
    points, guessed = _landmarks(basis, area, number)
    width_mm = template.width_mm.value if area.width_mm is None else area.width_mm
    length_mm = area.length_mm
    if length_mm is None and template.length_mm is not None:
        length_mm = template.length_mm.value
    blend_mm = template.blend_mm.value if area.blend_mm is None else area.blend_mm
    guide = GUIDES[area.name].draw(basis, points, width_mm)
    if len(guide) == 0:
        middle = on_surface(basis, np.mean(list(points.values()), axis=0))[0]
        nothing = np.zeros(len(basis.surface.vertices))
        return Footprint(area, middle, nothing, guessed, 0.0, 0.0, blend_mm)
    moved = _moved(basis, guide, area)
    curve, half_mm = spine(basis, moved, length_mm, width_mm)
    if length_mm is None:
        length_mm = max(length_of(moved), width_mm)
    distance = basis.distance.from_curve(curve, half_mm + blend_mm)
    weight = fall_off((distance - half_mm) / blend_mm)
    weight.setflags(write=False)
    return Footprint(area, middle_of(curve), weight, guessed, length_mm, width_mm, blend_mm)


def _moved(basis: ShapeBasis, guide: Vertices, area: AreaPlan) -> Vertices:
    lower = moved_along(basis, guide, Heading.DISTAL, area.move_distal_mm)
    return moved_along(basis, lower, Heading.AROUND, area.move_around_mm)


def _landmarks(basis: ShapeBasis, area: AreaPlan, number: int) -> tuple[dict[str, Vector], bool]:
    """The landmarks that place an area, and whether any of them is a guess."""
    known = basis.limb.landmarks
    needs = GUIDES[area.name].needs
    missing = [name for name in needs if name not in known]
    if missing:
        raise InvalidLandmarks(
            f"{area.name.value} is placed by {' and '.join(missing)}, which the limb does not"
            " have: mark it on the limb or take the area out of the plan.",
            where=f"shape.areas[{number}].name",
            fields={"missing": missing},
        )
    guessed = any(known[name].basis is Basis.GUESSED for name in needs)
    return {name: known[name].point_mm for name in needs}, guessed
