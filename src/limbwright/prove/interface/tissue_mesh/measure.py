"""What a finished mesh is worth, in numbers and in words with the places."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from limbwright.capture.result import Limb
from limbwright.core.mesh import Mesh, Scalars, Vertices
from limbwright.core.proximity import DistanceTree
from limbwright.prove.interface.tissue_mesh.columns import Columns
from limbwright.prove.interface.tissue_mesh.quality import MeshQuality, scaled_jacobians
from limbwright.prove.interface.tissue_mesh.rigid_body import RigidBody
from limbwright.prove.interface.tissue_mesh.skin_quads import SkinQuads
from limbwright.prove.interface.tissue_mesh.weights import split
from limbwright.prove.tables import THINNEST_COVER_MM
from limbwright.shape.places import height_words, place_words


def measured(
    limb: Limb,
    body: RigidBody,
    hexahedra: NDArray[np.int32],
    quads: SkinQuads,
    columns: Columns,
) -> MeshQuality:
    """Measure a mesh on itself, against the scan and against the bones.

    Parameters
    ----------
    limb : Limb
    body : RigidBody
    hexahedra : (m, 8) int32
        Over the columns' points, bone first.
    quads : SkinQuads
    columns : Columns
        As they stand in the mesh.
    """
    nodes = columns.points.reshape(-1, 3)
    bone, skin = columns.points[0], columns.points[columns.skin]
    scaled = scaled_jacobians(nodes, hexahedra)
    known = np.maximum(skin[:, 2], bone[:, 2]) < body.plateau_u_mm
    cover = np.where(known, np.linalg.norm(skin - bone, axis=1), np.inf)
    miss = _scan_to_mesh(limb.surface, quads)
    bridged = body.near_membrane(bone)
    off = np.abs(body.bone_distance(bone)[known & ~bridged & ~columns.thinned])
    unknowns = 3 * (len(nodes) - len(bone)) - int(quads.top.sum()) * (len(columns.points) - 1)
    worst = nodes[hexahedra[int(scaled.argmin())]].mean(axis=0)
    first = float(np.percentile(scaled, 1.0))
    words = [
        f"{len(hexahedra)} elements, {len(nodes)} nodes, {unknowns} unknowns; smallest scaled"
        f" Jacobian {scaled.min():.2f} {place_words(limb, worst)}, 1st percentile {first:.2f}",
        f"thinnest cover {cover.min():.1f} mm {place_words(limb, skin[int(cover.argmin())])}",
        f"the scan lies {miss.mean():.2f} mm from the mesh on average, {miss.max():.2f} mm at most",
        f"from {height_words(body.plateau_u_mm)} upward the knee is drawn up from the tibia, not"
        f" known; the mesh ends {height_words(float(quads.points_mm[:, 2].max()))}",
        *_gave_way(limb, skin, columns),
    ]
    return MeshQuality(
        elements=len(hexahedra),
        nodes=len(nodes),
        unknowns=unknowns,
        smallest_scaled_jacobian=float(scaled.min()),
        percentile_1_scaled_jacobian=first,
        thinnest_cover_mm=float(cover.min()),
        skin_mean_mm=float(miss.mean()),
        skin_largest_mm=float(miss.max()),
        bone_mean_mm=float(off.mean()) if len(off) else 0.0,
        bone_largest_mm=float(off.max()) if len(off) else 0.0,
        membrane_share=float(bridged[known].mean()) if known.any() else 0.0,
        thinned=int(columns.thinned.sum()),
        liner_thinned=int(columns.liner_thinned.sum()),
        text="; ".join(words) + ".",
    )


def _scan_to_mesh(surface: Mesh, quads: SkinQuads) -> Scalars:
    """Distance of each scanned vertex below the cut plane from the flat-sided mesh, mm."""
    tree = DistanceTree(Mesh(quads.points_mm, split(quads.quads)))
    below = surface.vertices[surface.vertices[:, 2] < quads.points_mm[:, 2].max()]
    return tree.closest(below)[0]


def _gave_way(limb: Limb, skin: Vertices, columns: Columns) -> list[str]:
    """Where bone or liner had to give way, in words."""
    words = []
    least = f"{THINNEST_COVER_MM.value:g} mm"
    if columns.thinned.any():
        first = skin[int(columns.thinned.argmax())]
        words.append(
            f"at {int(columns.thinned.sum())} points the bone was moved in to keep a cover of"
            f" {least}, first {place_words(limb, first)}: check scan and bones there"
        )
    if columns.liner_thinned.any():
        first = skin[int(columns.liner_thinned.argmax())]
        words.append(
            f"at {int(columns.liner_thinned.sum())} points the scanned outside leaves no room for"
            f" the whole liner and {least} of tissue, and the liner was taken thinner, first"
            f" {place_words(limb, first)}"
        )
    return words
