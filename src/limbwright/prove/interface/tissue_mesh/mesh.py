"""The mesh of soft tissue and liner between the bones and the socket, made without hand work.

Quadrilaterals over the skin are carried to the bone along lines of a potential that never cross
(`fields.py`); layers of hexahedra stand between. Surfaces are placed exactly: nodes of the skin
on the scan, held nodes on the bones.
"""

from __future__ import annotations

import contextlib
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from limbwright.assess.plan import Liner
from limbwright.capture.plan import ScannedOver
from limbwright.capture.result import Limb
from limbwright.core.errors import BadInput
from limbwright.core.mesh import Mesh, Vertices
from limbwright.core.proximity import DistanceTree
from limbwright.core.topology import boundary_loops
from limbwright.prove.interface.tissue_mesh.columns import (
    FINENESS,
    Columns,
    Fineness,
    columns_of,
)
from limbwright.prove.interface.tissue_mesh.fields import lines_to_bone, potential_between
from limbwright.prove.interface.tissue_mesh.layers import Lines, lines_with_ends
from limbwright.prove.interface.tissue_mesh.measure import measured
from limbwright.prove.interface.tissue_mesh.quality import MeshQuality, scaled_jacobians
from limbwright.prove.interface.tissue_mesh.rigid_body import RigidBody, rigid_body
from limbwright.prove.interface.tissue_mesh.skin_quads import SkinQuads, skin_quads
from limbwright.prove.interface.tissue_mesh.untangle import untangled
from limbwright.prove.plan import MeshLevel
from limbwright.prove.tables import THINNEST_COVER_MM
from limbwright.shape.basis import prepare_areas
from limbwright.shape.places import height_words, place_words

TISSUE, LINER = 0, 1

RIM_MARGIN_MM = 1.5
"""The upper cut plane stays this far below the scan's rim, so that its section is whole."""
HIGHEST_TOPS_MM = (110.0, 80.0, 60.0)
"""Above the first nothing of a below-knee socket stands; above the last, only grips over the knee.
The next is taken where the mesh folds below the one before; the quality says how high it is."""
SLIDING_STEPS = 2
"""Newton steps that bring a slid node back onto the bone, from which it is never far."""
SOUND = 0.05
"""Least scaled Jacobian that a mesh is given out with."""


class MeshFailed(BadInput):
    """No sound mesh fits between this skin and these bones; the message names the place."""


@dataclass(frozen=True, slots=True, eq=False)
class TissueMesh:
    """Hexahedra of tissue and liner between bones and socket.

    Parameters
    ----------
    nodes_mm : (n, 3) float64, mm, limb frame
    hexahedra : (m, 8) int32
        Corners in VTK's order, positive volume.
    layer : (m,) int8
        0 tissue, 1 liner.
    held : (n,) bool
        On tibia, fibula, the membrane between them and the knee above: one rigid body.
    top : (n,) bool
        On the upper cut plane.
    outer : (k, 4) int32
        Surface that meets the socket, counter-clockwise seen from outside.
    skin_node : (n,) int32
        For each node of `outer` the node on the skin under it (itself without a liner);
        -1 elsewhere.
    level : MeshLevel
    quality : MeshQuality
    """

    nodes_mm: Vertices
    hexahedra: NDArray[np.int32]
    layer: NDArray[np.int8]
    held: NDArray[np.bool_]
    top: NDArray[np.bool_]
    outer: NDArray[np.int32]
    skin_node: NDArray[np.int32]
    level: MeshLevel
    quality: MeshQuality


def mesh_tissue(
    limb: Limb,
    liner: Liner,
    scanned_over: ScannedOver,
    level: MeshLevel = MeshLevel.MEDIUM,
) -> TissueMesh:
    """Mesh what lies between a limb's bones and its socket.

    Parameters
    ----------
    limb : Limb
    liner : Liner
        Its allowance is that of the shape stage, cap included.
    scanned_over : ScannedOver
        Over skin, the liner is added outside the scan; over the liner, the scan is its outside.
    level : MeshLevel

    Raises
    ------
    MeshFailed
        When bone and skin do not leave room for tissue, or an element has no volume: names the
        place and what to check.
    """
    return mesh_as_fine_as(FINENESS[level], limb, liner, scanned_over, level)


def mesh_as_fine_as(
    fineness: Fineness, limb: Limb, liner: Liner, scanned_over: ScannedOver, level: MeshLevel
) -> TissueMesh:
    """The same with points and layers of one's own, for studies of the mesh itself."""
    rim_u = _rim(limb.surface) - RIM_MARGIN_MM
    tops = [min(rim_u, highest) for highest in HIGHEST_TOPS_MM]
    for top_u, lower_u in pairwise(tops):
        # A crease of the thigh is no reason to leave the whole limb without a mesh.
        if lower_u < top_u:
            with contextlib.suppress(MeshFailed):
                return _mesh_below(top_u, fineness, limb, liner, scanned_over, level)
    return _mesh_below(tops[-1], fineness, limb, liner, scanned_over, level)


def _mesh_below(
    top_u: float,
    fineness: Fineness,
    limb: Limb,
    liner: Liner,
    scanned_over: ScannedOver,
    level: MeshLevel,
) -> TissueMesh:
    skin = DistanceTree(limb.surface)
    _check_bones(limb, skin, top_u)
    body = rigid_body(limb.bones, limb.surface, top_u)
    quads = skin_quads(skin, limb.cover_mm, top_u, fineness.skin_points)
    lines = _lines(limb, skin, body, quads, top_u)
    basis = prepare_areas(limb)
    columns = columns_of(basis, quads, lines, liner, scanned_over, fineness)
    columns.points[:, quads.top, 2] = top_u
    return _assembled(limb, body, quads, columns, level)


def _rim(surface: Mesh) -> float:
    """Height of the lowest point of the rim where the scan ended, mm over the datum."""
    loops = boundary_loops(surface)
    if not loops:
        raise MeshFailed(
            "The limb's surface is closed at its top; it must be open where the scan ended.",
            where="capture.scan",
        )
    rim = max(loops, key=lambda loop: float(surface.vertices[loop, 2].mean()))
    return float(surface.vertices[rim, 2].min())


def _check_bones(limb: Limb, skin: DistanceTree, top_u: float) -> None:
    """Refuse bones that the scan does not hold."""
    for name, bone in (("tibia", limb.bones.tibia), ("fibula", limb.bones.fibula)):
        below = bone.vertices[bone.vertices[:, 2] < top_u]
        if len(below) == 0:
            raise MeshFailed(
                f"The scan ends {height_words(top_u)}, below the whole {name}; check that the"
                " bones were segmented in the scan's own frame and unit, or scan further up.",
                where=f"bones.{name}",
                fields={"top_u_mm": top_u},
            )
        outside = skin.signed(below)
        worst = int(outside.argmax())
        if outside[worst] > 0.0:
            raise MeshFailed(
                f"The {name} reaches {outside[worst]:.1f} mm outside the skin"
                f" {place_words(limb, below[worst])}; check the bone's place and unit, and that"
                " the scan is whole there.",
                where=f"bones.{name}",
                fields={"outside_mm": float(outside[worst]), "point_mm": below[worst].tolist()},
            )


def _lines(
    limb: Limb, skin: DistanceTree, body: RigidBody, quads: SkinQuads, top_u: float
) -> Lines:
    below = limb.surface.vertices[limb.surface.vertices[:, 2] < top_u]
    low, high = below.min(axis=0) - 6.0, below.max(axis=0) + 6.0
    high[2] = top_u
    field = potential_between(body.distance, lambda points: -skin.signed(points), low, high)
    ways, counts = lines_to_bone(field, quads.points_mm)
    if (counts < 2).any():
        point = quads.points_mm[int(np.argmin(counts))]
        raise MeshFailed(
            f"No way leads from the skin to the bones {place_words(limb, point)}; look for a"
            " fold or a loose part of the scan there.",
            where="capture.scan",
            fields={"point_mm": point.tolist()},
        )
    last = ways[np.arange(len(counts)), counts - 1]
    return lines_with_ends(ways, counts, _placed(body, last, quads.top, top_u))


def _placed(body: RigidBody, points: Vertices, top: NDArray[np.bool_], top_u: float) -> Vertices:
    """On the rigid body; points of the upper cut plane stay in it."""
    placed = body.placed(points)
    ring = placed[top]
    for _ in range(3):
        ring[:, 2] = top_u
        ring = body.placed(ring)
    ring[:, 2] = top_u
    placed[top] = ring
    return placed


def _assembled(
    limb: Limb, body: RigidBody, quads: SkinQuads, columns: Columns, level: MeshLevel
) -> TissueMesh:
    """Number nodes border by border from the bone out, and measure what came out."""
    borders, count = columns.points.shape[:2]
    nodes = columns.points.reshape(-1, 3)
    base = count * np.arange(borders - 1, dtype=np.int32)[:, None, None]
    hexahedra = np.concatenate([quads.quads + base, quads.quads + base + count], axis=2)
    layer = np.where(np.arange(borders - 1) < columns.skin, TISSUE, LINER)
    held = np.arange(len(nodes)) < count
    skin_node = np.full(len(nodes), -1, np.int32)
    skin_node[-count:] = count * columns.skin + np.arange(count)
    hexahedra = hexahedra.reshape(-1, 8).astype(np.int32)
    inside = np.arange(len(nodes)) < count * columns.skin
    movable = inside & ~np.tile(quads.top, borders)
    cover = np.linalg.norm(columns.points[columns.skin] - columns.points[0], axis=1)
    movable[:count] &= cover > 1.5 * THINNEST_COVER_MM.value
    nodes = untangled(
        nodes, hexahedra, movable, held, lambda points: body.placed(points, SLIDING_STEPS)
    )
    columns = replace(columns, points=nodes.reshape(columns.points.shape))
    _check_sound(limb, nodes, hexahedra)
    quality = measured(limb, body, hexahedra, quads, columns)
    return TissueMesh(
        nodes,
        hexahedra,
        np.repeat(layer, len(quads.quads)).astype(np.int8),
        held,
        np.tile(quads.top, borders),
        (quads.quads + np.int32(count * (borders - 1))).astype(np.int32),
        skin_node,
        level,
        quality,
    )


def _check_sound(limb: Limb, nodes: Vertices, hexahedra: NDArray[np.int32]) -> None:
    """Refuse a mesh with an element that is folded or nearly so."""
    scaled = scaled_jacobians(nodes, hexahedra)
    worst = int(scaled.argmin())
    if scaled[worst] >= SOUND:
        return
    place = nodes[hexahedra[worst]].mean(axis=0)
    raise MeshFailed(
        f"An element between bone and skin folds {place_words(limb, place)} (scaled Jacobian"
        f" {scaled[worst]:.2f}); look there for a crease of the scan or a bone that nearly touches"
        " the skin.",
        where="capture.scan",
        fields={"scaled_jacobian": float(scaled[worst]), "point_mm": place.tolist()},
    )
