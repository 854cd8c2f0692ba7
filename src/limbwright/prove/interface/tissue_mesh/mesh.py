"""The mesh of soft tissue and liner between the bones and the socket, made without hand work.

Quadrilaterals over the skin are carried to the bone along lines of a potential that never cross
(`fields.py`); layers of hexahedra stand between. Surfaces are placed exactly: nodes of the skin
on the scan, held nodes on the bones.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from limbwright.assess.plan import Liner
from limbwright.capture.plan import ScannedOver
from limbwright.capture.result import Limb
from limbwright.core.errors import BadInput
from limbwright.core.mesh import Mesh, Scalars, Vertices
from limbwright.core.proximity import DistanceTree
from limbwright.core.topology import boundary_loops
from limbwright.prove.interface.tissue_mesh.fields import lines_to_bone, potential_between
from limbwright.prove.interface.tissue_mesh.layers import Lines, along, lines_with_ends, shares
from limbwright.prove.interface.tissue_mesh.quality import MeshQuality, scaled_jacobians
from limbwright.prove.interface.tissue_mesh.rigid_body import RigidBody, rigid_body
from limbwright.prove.interface.tissue_mesh.skin_quads import SkinQuads, skin_quads
from limbwright.prove.interface.tissue_mesh.untangle import untangled
from limbwright.prove.interface.tissue_mesh.weights import split, surface_weights
from limbwright.prove.plan import MeshLevel
from limbwright.prove.tables import THINNEST_COVER_MM
from limbwright.shape.basis import ShapeBasis, prepare_areas
from limbwright.shape.liner import liner_allowance
from limbwright.shape.places import height_words, place_words

TISSUE, LINER = 0, 1

RIM_MARGIN_MM = 1.5
"""The upper cut plane stays this far below the scan's rim, so that its section is whole."""
HIGHEST_TOP_MM = 110.0
"""Above this level nothing of a below-knee socket stands."""
LEAST_LINER_MM = 0.5
"""A liner is never taken thinner; where the scan leaves no such room the mesh fails."""
SLIDING_STEPS = 2
"""Newton steps that bring a slid node back onto the bone, from which it is never far."""
SOUND = 0.05
"""Least scaled Jacobian that a mesh is given out with."""


class MeshFailed(BadInput):
    """No sound mesh fits between this skin and these bones; the message names the place."""


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
    """

    skin_points: int
    tissue_layers: int
    liner_layers: int
    bare_layers: int


FINENESS: Mapping[MeshLevel, Fineness] = {
    MeshLevel.COARSE: Fineness(1500, 2, 1, 3),
    MeshLevel.MEDIUM: Fineness(2500, 3, 1, 4),
    MeshLevel.FINE: Fineness(4900, 5, 2, 7),
}
TOWARD_SKIN = 0.8
"""Thickness of a layer of tissue over that of the next one towards the bone."""


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


@dataclass(frozen=True, slots=True, eq=False)
class _Columns:
    """Points along each line from the bone to the socket, and what had to give way.

    points: (borders, n, 3) mm; skin: index of the border on the skin.
    """

    points: NDArray[np.float64]
    skin: int
    thinned: NDArray[np.bool_]
    liner_thinned: NDArray[np.bool_]


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
    top_u = _top(limb.surface)
    skin = DistanceTree(limb.surface)
    _check_bones(limb, skin, top_u)
    body = rigid_body(limb.bones, limb.surface, top_u)
    fineness = FINENESS[level]
    quads = skin_quads(skin, limb.cover_mm, top_u, fineness.skin_points)
    lines = _lines(limb, skin, body, quads, top_u)
    basis = prepare_areas(limb)
    columns = _columns(basis, quads, lines, liner, scanned_over, fineness)
    columns.points[:, quads.top, 2] = top_u
    return _assembled(limb, body, quads, columns, level)


def _top(surface: Mesh) -> float:
    loops = boundary_loops(surface)
    if not loops:
        raise MeshFailed(
            "The limb's surface is closed at its top; it must be open where the scan ended.",
            where="capture.scan",
        )
    rim = max(loops, key=lambda loop: float(surface.vertices[loop, 2].mean()))
    return min(float(surface.vertices[rim, 2].min()) - RIM_MARGIN_MM, HIGHEST_TOP_MM)


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


def _columns(
    basis: ShapeBasis,
    quads: SkinQuads,
    lines: Lines,
    liner: Liner,
    scanned_over: ScannedOver,
    fineness: Fineness,
) -> _Columns:
    """Points of every layer's border, bone first."""
    if liner.thickness_mm <= 0.0 and liner.cap_thickness_mm <= 0.0:
        room = np.zeros(len(lines.lengths_mm))
        kept, thinned = _with_cover(lines, room)
        depths = np.tile(shares(fineness.bare_layers, TOWARD_SKIN), (len(room), 1))
        points = along(kept, depths)[:, ::-1].transpose(1, 0, 2)
        none = np.zeros(len(room), bool)
        return _Columns(np.ascontiguousarray(points), fineness.bare_layers, thinned, none)
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


def _liner_outside(lines: Lines, liner_mm: Vertices, fineness: Fineness) -> _Columns:
    """Liner as vectors (n, 3) mm on top of the scanned skin."""
    none = np.zeros(len(liner_mm), bool)
    kept, thinned = _with_cover(lines, np.zeros(len(liner_mm)))
    depths = np.tile(shares(fineness.tissue_layers, TOWARD_SKIN), (len(none), 1))
    tissue = along(kept, depths)[:, ::-1].transpose(1, 0, 2)
    steps = np.arange(1, fineness.liner_layers + 1) / fineness.liner_layers
    outside = tissue[-1] + steps[:, None, None] * liner_mm
    return _Columns(np.concatenate([tissue, outside]), fineness.tissue_layers, thinned, none)


def _liner_inside(lines: Lines, liner_mm: Scalars, fineness: Fineness) -> _Columns:
    """Liner of thickness (n,) mm under the scanned outside, thinner where the bone is close."""
    length = np.linalg.norm(lines.ends_mm - lines.ways[:, 0], axis=1)
    room = np.clip(length - THINNEST_COVER_MM.value, LEAST_LINER_MM, liner_mm)
    kept, thinned = _with_cover(lines, room)
    longer = np.maximum(lines.lengths_mm, room + THINNEST_COVER_MM.value)
    border = (room / longer)[:, None]
    steps = np.arange(fineness.liner_layers) / fineness.liner_layers
    depths = np.concatenate(
        [border * steps, border + (1.0 - border) * shares(fineness.tissue_layers, TOWARD_SKIN)],
        axis=1,
    )
    points = along(kept, depths)[:, ::-1].transpose(1, 0, 2)
    return _Columns(
        np.ascontiguousarray(points), fineness.tissue_layers, thinned, room < liner_mm - 1e-9
    )


def _assembled(
    limb: Limb, body: RigidBody, quads: SkinQuads, columns: _Columns, level: MeshLevel
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
    quality = _quality(limb, body, nodes, hexahedra, quads, columns)
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


def _quality(
    limb: Limb,
    body: RigidBody,
    nodes: Vertices,
    hexahedra: NDArray[np.int32],
    quads: SkinQuads,
    columns: _Columns,
) -> MeshQuality:
    scaled = scaled_jacobians(nodes, hexahedra)
    worst = int(scaled.argmin())
    place = nodes[hexahedra[worst]].mean(axis=0)
    if scaled[worst] < SOUND:
        raise MeshFailed(
            f"An element between bone and skin folds {place_words(limb, place)} (scaled Jacobian"
            f" {scaled[worst]:.2f}); look there for a crease of the scan or a bone that"
            " nearly touches the skin.",
            where="capture.scan",
            fields={"scaled_jacobian": float(scaled[worst]), "point_mm": place.tolist()},
        )
    bone, skin = columns.points[0], columns.points[columns.skin]
    known = (skin[:, 2] < body.plateau_u_mm) & (bone[:, 2] < body.plateau_u_mm)
    cover = np.linalg.norm(skin - bone, axis=1)
    thinnest = int(np.where(known, cover, np.inf).argmin())
    above = body.bone_distance(bone)
    scanned = quads.points_mm
    tree = DistanceTree(Mesh(scanned, split(quads.quads)))
    below = limb.surface.vertices[limb.surface.vertices[:, 2] < scanned[:, 2].max()]
    miss = tree.closest(below)[0]
    membrane = known & (above > 0.05)
    off = np.abs(above[known & ~membrane & ~columns.thinned])
    first = float(np.percentile(scaled, 1.0))
    unknowns = 3 * (len(nodes) - len(bone)) - int(quads.top.sum()) * (len(columns.points) - 1)
    words = [
        f"{len(hexahedra)} elements, {len(nodes)} nodes, about {unknowns} unknowns; smallest"
        f" scaled Jacobian {scaled[worst]:.2f} {place_words(limb, place)}, 1st percentile"
        f" {first:.2f}",
        f"thinnest cover {cover[thinnest]:.1f} mm {place_words(limb, skin[thinnest])}",
        f"the scan lies {miss.mean():.2f} mm from the mesh on average, {miss.max():.2f} mm at most",
        f"above {height_words(body.plateau_u_mm)} the knee is drawn up from the tibia, not known",
    ]
    if columns.thinned.any():
        at = int(np.flatnonzero(columns.thinned)[0])
        words.append(
            f"at {int(columns.thinned.sum())} points the bone was moved in to keep a cover of"
            f" {THINNEST_COVER_MM.value:g} mm, first {place_words(limb, skin[at])}: check scan and"
            " bones there"
        )
    if columns.liner_thinned.any():
        at = int(np.flatnonzero(columns.liner_thinned)[0])
        words.append(
            f"at {int(columns.liner_thinned.sum())} points the scanned outside leaves no room for"
            f" the whole liner and {THINNEST_COVER_MM.value:g} mm of tissue, and the liner was"
            f" taken thinner, first {place_words(limb, skin[at])}"
        )
    return MeshQuality(
        elements=len(hexahedra),
        nodes=len(nodes),
        unknowns=unknowns,
        smallest_scaled_jacobian=float(scaled[worst]),
        percentile_1_scaled_jacobian=first,
        thinnest_cover_mm=float(cover[thinnest]),
        skin_mean_mm=float(miss.mean()),
        skin_largest_mm=float(miss.max()),
        bone_mean_mm=float(off.mean()) if len(off) else 0.0,
        bone_largest_mm=float(off.max()) if len(off) else 0.0,
        membrane_share=float(membrane[known].mean()) if known.any() else 0.0,
        thinned=int(columns.thinned.sum()),
        liner_thinned=int(columns.liner_thinned.sum()),
        text="; ".join(words) + ".",
    )
