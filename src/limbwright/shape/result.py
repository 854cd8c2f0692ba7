"""What the shape plan makes of a limb."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.core.findings import Finding
from limbwright.core.mesh import Mesh, Scalars, Vector, Vertices
from limbwright.shape.plan import AreaName


@dataclass(frozen=True, slots=True, eq=False)
class PlacedArea:
    """An area on the limb's surface.

    Parameters
    ----------
    name : AreaName
    loads : bool
        True for a load area, False for a relief area.
    depth_mm : float
        Signed depth at full weight; positive = space added.
    centre_mm : (3,) float64, mm, limb frame
    weight : (n,) float64, 0 to 1
        Smooth fall-off by distance along the surface, per vertex of `Limb.surface`.
    area_cm2 : float
        Surface where the weight is at least one half.
    rests_on_guess : bool
        True when a landmark that placed it is a guess.
    length_mm, width_mm : float
        Full depth along and around the limb, as used; 0 where the limb leaves no room.
    blend_mm : float
        Over which the depth falls off to nothing, as used.
    """

    name: AreaName
    loads: bool
    depth_mm: float
    centre_mm: Vector
    weight: Scalars
    area_cm2: float
    rests_on_guess: bool
    length_mm: float = 0.0
    width_mm: float = 0.0
    blend_mm: float = 0.0


def depth_entry(areas: Sequence[PlacedArea], name: str) -> str:
    """Entry of the case document that holds an area's depth; that of all areas for other places."""
    for number, area in enumerate(areas):
        if area.name.value == name:
            return f"shape.areas.{number}.depth_mm"
    return "shape.areas"


@dataclass(frozen=True, slots=True, eq=False)
class TrimLine:
    """The trim line on the rectified surface.

    Parameters
    ----------
    points_mm : (k, 3) float64, mm, limb frame, closed (last joins first)
    controls_mm : mapping of control name to (3,) float64
    """

    points_mm: Vertices
    controls_mm: Mapping[str, Vector]


@dataclass(frozen=True, slots=True)
class GirthChange:
    """Girth of limb and rectified model at one level, mm.

    Parameters
    ----------
    level_mm : float
        Below the mid-patellar tendon.
    limb_mm : float
        As scanned.
    model_mm : float
        Rectified, areas included.
    take_up_percent : float
        Take-up asked for at this level, counted from `lined_mm`.
    lined_mm : float
        Limb with its liner on; the limb itself when the liner was scanned along.
    """

    level_mm: float
    limb_mm: float
    model_mm: float
    take_up_percent: float
    lined_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class SocketShape:
    """The rectified model: the shape of the socket's inside.

    Parameters
    ----------
    surface : Mesh
        Rectified surface over the topology of `Limb.surface`, uncut, limb frame.
    displacement_mm : (n,) float64
        Signed offset of each vertex of `Limb.surface` along its outward normal,
        liner allowance, take-up and areas together; positive = space added.
    liner_mm : (n,) float64
        The part of the displacement that is liner allowance (0 when scanned over the liner).
    flare_mm : (n,) float64
        How far the brim rolls outward beyond the displacement, along the same normals; in
        `model` and not in `surface`.
    areas : tuple of PlacedArea
    trim : TrimLine
    below_trim : (n,) bool
        Vertices of `surface` that the socket covers.
    model : Mesh
        Rectified surface cut at the trim line with the flared brim, open at the top,
        winding outward: the inside of the socket.
    limb_volume_ml, model_volume_ml : float
        Volume below the lowest point of the trim line, limb and model.
    lined_volume_ml : float
        The same for the limb with its liner on.
    girths : tuple of GirthChange
    findings : tuple of Finding
    """

    surface: Mesh
    displacement_mm: Scalars
    liner_mm: Scalars
    flare_mm: Scalars
    areas: tuple[PlacedArea, ...]
    trim: TrimLine
    below_trim: NDArray[np.bool_]
    model: Mesh
    limb_volume_ml: float
    model_volume_ml: float
    lined_volume_ml: float
    girths: tuple[GirthChange, ...]
    findings: tuple[Finding, ...]
