"""Points of every layer's border along the lines, with the liner, and what had to give way."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.assess.plan import Liner
from limbwright.capture.plan import ScannedOver
from limbwright.core.mesh import Scalars, Vertices
from limbwright.prove.interface.tissue_mesh.layers import Lines, along, lines_with_ends, shares
from limbwright.prove.interface.tissue_mesh.skin_quads import SkinQuads
from limbwright.prove.interface.tissue_mesh.weights import surface_weights
from limbwright.prove.plan import MeshLevel
from limbwright.prove.tables import THINNEST_COVER_MM
from limbwright.shape.basis import ShapeBasis
from limbwright.shape.liner import liner_allowance

LEAST_LINER_MM = 0.5
"""A liner is never taken thinner; where the scan leaves no such room the bone is moved in."""


@dataclass(frozen=True, slots=True)
class Fineness:
    """How many points over the skin and layers under it.

    Parameters
    ----------
    skin_points : int
        At least so many.
    tissue_layers, liner_layers : int
    bare_layers : int
        Layers of tissue where there is no liner.
    toward_skin : float
        Thickness of a layer of tissue over that of the next one towards the bone.
    """

    skin_points: int
    tissue_layers: int
    liner_layers: int
    bare_layers: int
    toward_skin: float = 0.8


FINENESS: Mapping[MeshLevel, Fineness] = {
    MeshLevel.COARSE: Fineness(1500, 2, 1, 3),
    MeshLevel.MEDIUM: Fineness(2500, 3, 1, 4),
    MeshLevel.FINE: Fineness(4900, 5, 2, 7),
}


@dataclass(frozen=True, slots=True, eq=False)
class Columns:
    """Points along each line from the bone to the socket, and what had to give way.

    points: (borders, n, 3) mm; skin: index of the border on the skin.
    """

    points: NDArray[np.float64]
    skin: int
    thinned: NDArray[np.bool_]
    liner_thinned: NDArray[np.bool_]


def columns_of(
    basis: ShapeBasis,
    quads: SkinQuads,
    lines: Lines,
    liner: Liner,
    scanned_over: ScannedOver,
    fineness: Fineness,
) -> Columns:
    """Points of every layer's border, bone first."""
    if liner.thickness_mm <= 0.0 and liner.cap_thickness_mm <= 0.0:
        room = np.zeros(len(lines.lengths_mm))
        kept, thinned = _with_cover(lines, room)
        depths = np.tile(shares(fineness.bare_layers, fineness.toward_skin), (len(room), 1))
        points = along(kept, depths)[:, ::-1].transpose(1, 0, 2)
        none = np.zeros(len(room), bool)
        return Columns(np.ascontiguousarray(points), fineness.bare_layers, thinned, none)
    thickness = liner_allowance(basis, liner, ScannedOver.SKIN)
    here = surface_weights(basis.tree, quads.points_mm)
    wanted = here @ thickness
    if scanned_over is ScannedOver.SKIN:
        normals = here @ basis.normals
        normals[quads.top, 2] = 0.0
        normals /= np.linalg.norm(normals, axis=1, keepdims=True)
        return _liner_outside(lines, wanted[:, None] * normals, fineness)
    return _liner_inside(lines, wanted, fineness)


def _with_cover(lines: Lines, room_mm: Scalars) -> tuple[Lines, NDArray[np.bool_]]:
    """Lines whose ends keep the least cover below a room for the liner; True where moved."""
    start = lines.ways[:, 0]
    way = lines.ends_mm - start
    length = np.linalg.norm(way, axis=1)
    least = room_mm + THINNEST_COVER_MM.value
    short = length < least
    first = lines.ways[:, 1] - start
    toward = np.where((length > 0.25 * least)[:, None], way, first)
    toward /= np.maximum(np.linalg.norm(toward, axis=1, keepdims=True), 1e-12)
    ends = np.where(short[:, None], start + least[:, None] * toward, lines.ends_mm)
    return lines_with_ends(lines.ways, lines.counts, ends), short


def _liner_outside(lines: Lines, liner_mm: Vertices, fineness: Fineness) -> Columns:
    """Liner as vectors (n, 3) mm on top of the scanned skin."""
    none = np.zeros(len(liner_mm), bool)
    kept, thinned = _with_cover(lines, np.zeros(len(liner_mm)))
    depths = np.tile(shares(fineness.tissue_layers, fineness.toward_skin), (len(none), 1))
    tissue = along(kept, depths)[:, ::-1].transpose(1, 0, 2)
    steps = np.arange(1, fineness.liner_layers + 1) / fineness.liner_layers
    outside = tissue[-1] + steps[:, None, None] * liner_mm
    return Columns(np.concatenate([tissue, outside]), fineness.tissue_layers, thinned, none)


def _liner_inside(lines: Lines, liner_mm: Scalars, fineness: Fineness) -> Columns:
    """Liner of thickness (n,) mm under the scanned outside, thinner where the bone is close."""
    length = np.linalg.norm(lines.ends_mm - lines.ways[:, 0], axis=1)
    room = np.clip(length - THINNEST_COVER_MM.value, LEAST_LINER_MM, liner_mm)
    kept, thinned = _with_cover(lines, room)
    longer = np.maximum(lines.lengths_mm, room + THINNEST_COVER_MM.value)
    border = (room / longer)[:, None]
    steps = np.arange(fineness.liner_layers) / fineness.liner_layers
    depths = np.concatenate(
        [
            border * steps,
            border + (1.0 - border) * shares(fineness.tissue_layers, fineness.toward_skin),
        ],
        axis=1,
    )
    points = along(kept, depths)[:, ::-1].transpose(1, 0, 2)
    return Columns(
        np.ascontiguousarray(points), fineness.tissue_layers, thinned, room < liner_mm - 1e-9
    )
