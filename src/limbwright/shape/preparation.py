"""All of a socket's shape but its depths: what an edit of a depth leaves untouched."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.assess.plan import Liner
from limbwright.capture.plan import ScannedOver
from limbwright.core.mesh import Mesh, Scalars
from limbwright.shape.areas import Footprint, place, placed_areas, shared_weights
from limbwright.shape.basis import ShapeBasis, offset_surface
from limbwright.shape.brim import brim_flare
from limbwright.shape.liner import liner_allowance
from limbwright.shape.plan import ShapePlan
from limbwright.shape.result import PlacedArea
from limbwright.shape.takeup import girths_at, take_up_offset, whole_levels
from limbwright.shape.trim import TrimCurve, trim_curve


@dataclass(frozen=True, slots=True, eq=False)
class Preparation:
    """All of a shape but its depths.

    Parameters
    ----------
    basis : ShapeBasis
    geometry : ShapePlan
        The plan it was made for, depths set to 0.
    liner : Liner
    scanned_over : ScannedOver
    footprints : tuple of Footprint
    areas : tuple of PlacedArea
        With the depths of the plan it was made for.
    weights : (areas, n) float64
        Weights of the areas, reliefs spared.
    liner_mm, take_up_mm, flare_mm : (n,) float64
    lined : Mesh
        The limb with its liner on.
    levels_mm : (k,) float64
        Levels at which girths are reported.
    limb_girths_mm, lined_girths_mm : (k,) float64
        Of the limb as scanned, and with its liner on; the same where there is none to add.
    trim : TrimCurve
    """

    basis: ShapeBasis
    geometry: ShapePlan
    liner: Liner
    scanned_over: ScannedOver
    footprints: tuple[Footprint, ...]
    areas: tuple[PlacedArea, ...]
    weights: NDArray[np.float64]
    liner_mm: Scalars
    take_up_mm: Scalars
    flare_mm: Scalars
    lined: Mesh
    levels_mm: Scalars
    limb_girths_mm: Scalars
    lined_girths_mm: Scalars
    trim: TrimCurve


def prepare(
    basis: ShapeBasis,
    plan: ShapePlan,
    liner: Liner,
    scanned_over: ScannedOver,
    earlier: Preparation | None = None,
) -> Preparation:
    """Do everything that depths leave untouched.

    Parameters
    ----------
    basis : ShapeBasis
        From `prepare_areas`; one for each limb.
    plan : ShapePlan
    liner : Liner
    scanned_over : ScannedOver
    earlier : Preparation, optional
        On the same basis: areas that did not move are taken from it.

    Raises
    ------
    As `rectify`, but for crossings of the rectified surface.
    """
    kept = earlier.footprints if earlier is not None and earlier.basis is basis else ()
    footprints = place(basis, plan, kept)
    weights = shared_weights(footprints)
    liner_mm = liner_allowance(basis, liner, scanned_over)
    lined = offset_surface(basis, liner_mm)
    trim = trim_curve(basis, plan.trim)
    levels = _levels(basis, trim)
    scanned = _scanned_girths(basis, levels)
    return Preparation(
        basis=basis,
        geometry=geometry_of(plan),
        liner=liner,
        scanned_over=scanned_over,
        footprints=footprints,
        areas=placed_areas(basis, plan, footprints, weights),
        weights=weights,
        liner_mm=liner_mm,
        take_up_mm=take_up_offset(basis, lined, plan.take_up),
        flare_mm=brim_flare(basis, trim, plan.brim),
        lined=lined,
        levels_mm=levels,
        limb_girths_mm=scanned,
        lined_girths_mm=girths_at(lined, levels) if bool(liner_mm.any()) else scanned,
        trim=trim,
    )


def geometry_of(plan: ShapePlan) -> ShapePlan:
    """A plan with its depths left out: two plans with the same share a preparation."""
    areas = tuple(area.model_copy(update={"depth_mm": 0.0}) for area in plan.areas)
    return plan.model_copy(update={"areas": areas})


def _scanned_girths(basis: ShapeBasis, levels: Scalars) -> Scalars:
    """The limb's own girths, as measured on the skin: the working surface cuts corners off it."""
    girths = {level.level_mm: level.perimeter_mm for level in basis.limb.measures.levels}
    return np.array([girths[float(level)] for level in levels])


def _levels(basis: ShapeBasis, trim: TrimCurve) -> Scalars:
    """The limb's own measuring levels that the socket covers, where the section is whole, mm."""
    whole = whole_levels(basis.surface)
    top_u = min(whole[-1], max(control.height_mm for control in trim.controls))
    wanted = np.array([level.level_mm for level in basis.limb.measures.levels])
    return np.asarray(wanted[(-wanted >= whole[0]) & (-wanted <= top_u)], dtype=np.float64)
