"""From a limb and a shape plan to the socket's inside.

`prepare` (preparation.py) does what does not depend on depths: areas, take-up, liner, trim line,
brim. `apply` turns depths into the socket's shape, so that an edit of a depth costs only that.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from limbwright.assess.plan import Liner
from limbwright.capture.plan import ScannedOver
from limbwright.capture.result import Limb
from limbwright.core.errors import SelfIntersection
from limbwright.core.intersections import self_intersections
from limbwright.core.mesh import Mesh
from limbwright.core.slicing import volumes_below
from limbwright.shape.areas import area_offset, check_areas, with_depths
from limbwright.shape.basis import offset_surface, prepare_areas
from limbwright.shape.brim import CutModel, cut_at_trim
from limbwright.shape.findings import shape_findings
from limbwright.shape.places import place_words
from limbwright.shape.plan import ShapePlan
from limbwright.shape.preparation import Preparation, geometry_of, prepare
from limbwright.shape.result import GirthChange, SocketShape, TrimLine
from limbwright.shape.takeup import girths_at, take_up_percent
from limbwright.shape.trim import control_points

ML_PER_MM3 = 1e-3


def rectify(limb: Limb, plan: ShapePlan, liner: Liner, scanned_over: ScannedOver) -> SocketShape:
    """Rectify a limb: the shape of the socket's inside, cut at the trim line.

    Displacement along the limb's evened normals = liner allowance + take-up + areas. Take-up
    is counted from the girth with the liner on.

    Parameters
    ----------
    limb : Limb
    plan : ShapePlan
    liner : Liner
    scanned_over : ScannedOver
        Over skin, the socket leaves room for the liner; over the liner, it is in the scan.

    Raises
    ------
    InvalidCase
        When an area stands twice or its depth is against its kind.
    InvalidLandmarks
        When an area lacks a landmark.
    SelfIntersection
        When the surface or the trim line crosses itself; the message says where.
    DesignRefused
        When the trim line leaves the scan.
    """
    return apply(prepare(prepare_areas(limb), plan, liner, scanned_over), plan)


def displacement(prepared: Preparation, plan: ShapePlan) -> NDArray[np.float64]:
    """Signed offset of each vertex along the basis's normals, (n,) mm: the live part of an edit.

    Raises
    ------
    ValueError
        When the plan differs in more than depths from the one prepared for.
    InvalidCase
        When a depth is against its area's kind.
    """
    if geometry_of(plan) != prepared.geometry:
        raise ValueError("the plan differs in more than depths from the one prepared for")
    check_areas(plan)
    depths = np.array([area.depth_mm for area in plan.areas])
    fixed = prepared.liner_mm + prepared.take_up_mm
    return fixed + area_offset(prepared.weights, depths) if len(depths) else fixed


def apply(prepared: Preparation, plan: ShapePlan) -> SocketShape:
    """The socket's shape for a plan's depths.

    Raises
    ------
    ValueError
        When the plan differs in more than depths from the one prepared for.
    InvalidCase, SelfIntersection, DesignRefused
        As `rectify`.
    """
    basis = prepared.basis
    moved_mm = displacement(prepared, plan)
    surface = offset_surface(basis, moved_mm)
    cut = cut_at_trim(basis, surface, prepared.flare_mm, prepared.trim)
    _refuse_crossing(basis.limb, cut)
    limb_ml, lined_ml, model_ml = _volumes(prepared, surface, cut)
    shape = SocketShape(
        surface=surface,
        displacement_mm=moved_mm,
        liner_mm=prepared.liner_mm,
        flare_mm=prepared.flare_mm,
        areas=with_depths(prepared.areas, plan),
        trim=TrimLine(cut.rim_mm, control_points(prepared.trim, cut.rim_mm)),
        below_trim=cut.below,
        model=cut.clipped.mesh,
        limb_volume_ml=limb_ml,
        model_volume_ml=model_ml,
        lined_volume_ml=lined_ml,
        girths=_girth_changes(prepared, plan, surface),
        findings=(),
    )
    return replace(shape, findings=shape_findings(prepared, plan, shape))


def _volumes(prepared: Preparation, surface: Mesh, cut: CutModel) -> tuple[float, float, float]:
    """Volumes of limb, limb with liner, and model below the trim line's lowest point, ml."""
    lowest_u = np.array([cut.rim_mm[:, 2].min()])
    limb, lined, model = (
        float(volumes_below(mesh, lowest_u)[0]) * ML_PER_MM3
        for mesh in (prepared.basis.surface, prepared.lined, surface)
    )
    return limb, lined, model


def _girth_changes(
    prepared: Preparation, plan: ShapePlan, surface: Mesh
) -> tuple[GirthChange, ...]:
    rows = zip(
        prepared.levels_mm,
        prepared.limb_girths_mm,
        girths_at(surface, prepared.levels_mm),
        take_up_percent(plan.take_up, prepared.levels_mm),
        prepared.lined_girths_mm,
        strict=True,
    )
    return tuple(GirthChange(*(float(value) for value in row)) for row in rows)


def _refuse_crossing(limb: Limb, cut: CutModel) -> None:
    model = cut.clipped.mesh
    crossings = self_intersections(model, limit=64)
    if len(crossings) == 0:
        return
    # named by where the surface came from: the crossing itself may lie anywhere
    corners = cut.clipped.parents[model.faces[crossings.faces[0, 0]], 0]
    spot = limb.surface.vertices[corners].mean(axis=0)
    raise SelfIntersection(
        f"The socket's surface folds over itself {place_words(limb, spot)}: make the areas there"
        " shallower, blend them wider or move them apart.",
        where="shape.areas",
        fields={"point_mm": [round(float(x), 1) for x in spot], "pairs": len(crossings)},
    )
