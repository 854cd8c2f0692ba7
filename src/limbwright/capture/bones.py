"""Tibia and fibula: estimated from landmarks and skin, or taken from segmented meshes.

A typical tibia is set under the skin so that it keeps a usual cover at tubercle, crest, flare
and lateral tubercle, and stands beside the fibular head; the fibula runs from its head to its
end. What is uncertain is the cover, and the result says by how much.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.capture.bone_templates import DIRECTIONS_RAD, FIBULA, TIBIA, loft, rings, support
from limbwright.capture.leg_table import (
    COVER_SD_MM,
    COVERS,
    FIBULA_FROM_TIBIA_MM,
    LEAN_SD,
    LEAST_COVER_MM,
    PLATEAU_OVER_MM,
    THIN_COVER_RADIUS_MM,
)
from limbwright.capture.result import Bones, Landmark
from limbwright.core.errors import InvalidLandmarks, InvalidScan
from limbwright.core.mesh import Mesh, Scalars, Vector, Vertices, flipped, vertex_areas, volume_mm3
from limbwright.core.proximity import DistanceTree
from limbwright.core.slicing import slice_moments
from limbwright.core.sources import Basis
from limbwright.core.topology import boundary_loops, is_closed_manifold

_LEVEL_STEP_MM = 4.0


@dataclass(frozen=True, slots=True, eq=False)
class _Anchor:
    """Where bone is expected under a landmark: a point on it and the way outward there."""

    point_mm: Vector
    outward: Vector
    sd_mm: float


def estimate_bones(surface: Mesh, landmarks: Mapping[str, Landmark]) -> Bones:
    """Estimate tibia and fibula from landmarks and skin.

    Parameters
    ----------
    surface : Mesh
        Skin of the limb, limb frame, open at the top, wound outward.
    landmarks : mapping of name to Landmark, limb frame
        From `complete_landmarks`.

    Returns
    -------
    Bones
        Closed meshes from the tibial plateau to the bones' ends, at least the least cover
        inside the skin; basis ESTIMATED.

    Raises
    ------
    InvalidLandmarks
        When the landmarks leave no room for a bone.
    """
    tree = DistanceTree(surface)
    anchors = _anchors(surface, tree, landmarks)
    tibia = _tibia(anchors, landmarks)
    fibula = _fibula(anchors)
    return Bones(
        _kept_inside(tibia, tree),
        _kept_inside(fibula, tree),
        Basis.ESTIMATED,
        COVER_SD_MM.value,
    )


def given_bones(surface: Mesh, tibia: Mesh, fibula: Mesh) -> Bones:
    """Take segmented bones, after checking that they are solids inside this limb.

    Parameters
    ----------
    surface : Mesh
        Skin of the limb, limb frame, open at the top.
    tibia, fibula : Mesh
        Limb frame.

    Raises
    ------
    InvalidScan
        When a bone is not closed, or not inside the skin, saying by how much.
    """
    tree = DistanceTree(surface)
    rim_u = _rim_height(surface)
    solids = {
        name: _checked_bone(name, bone, tree, rim_u)
        for name, bone in (("tibia", tibia), ("fibula", fibula))
    }
    outward = {name: float(bone.vertices[:, 0].mean()) for name, bone in solids.items()}
    if outward["fibula"] <= outward["tibia"]:
        raise InvalidScan(
            "The fibula lies medial of the tibia; check whether the two files were exchanged or"
            " the side is wrong.",
            where="bones",
            fields=outward,
        )
    return Bones(solids["tibia"], solids["fibula"], Basis.GIVEN, 0.0)


def cover_mm(surface: Mesh, bones: Bones) -> Scalars:
    """Tissue between each point of the skin and the nearest bone.

    Above the tibial plateau, where neither femur nor patella is modelled, this is the distance
    to the plateau: it overstates the cover there.

    Returns
    -------
    (n,) float64, mm, for the vertices of `surface`
    """
    tibia = DistanceTree(bones.tibia).closest(surface.vertices)[0]
    fibula = DistanceTree(bones.fibula).closest(surface.vertices)[0]
    return np.minimum(tibia, fibula)


@dataclass(frozen=True, slots=True)
class BoneError:
    """Distance of one bone surface from another, mean and 95th percentile, mm."""

    mean_mm: float
    p95_mm: float


def bone_error(estimated: Mesh, true: Mesh) -> BoneError:
    """How far an estimated bone's surface lies from the true one, weighted by area.

    Exchange the two for the other direction.
    """
    distance = DistanceTree(true).closest(estimated.vertices)[0]
    area = vertex_areas(estimated)
    order = np.argsort(distance)
    share = np.cumsum(area[order]) / area.sum()
    p95 = distance[order][int(np.searchsorted(share, 0.95))]
    return BoneError(float(area @ distance / area.sum()), float(p95))


def _anchors(
    surface: Mesh, tree: DistanceTree, landmarks: Mapping[str, Landmark]
) -> dict[str, _Anchor]:
    """Bone points under the landmarks, each the usual cover beneath the skin."""
    thin = _thin_cover_mm(surface)
    missing = [name for name in COVERS.value if name not in landmarks]
    if missing:
        raise InvalidLandmarks(
            f"The bones cannot be estimated without {', '.join(missing)}; propose or give them.",
            where="landmarks",
            fields={"missing": missing},
        )
    anchors = {}
    for name, cover in COVERS.value.items():
        point = landmarks[name].point_mm
        outward = _skin_normal(surface, point)
        depth = max(cover.share * thin, LEAST_COVER_MM.value)
        anchors[name] = _Anchor(point - depth * outward, outward, cover.sd_mm)
    return anchors


def _thin_cover_mm(surface: Mesh) -> float:
    """Cover where it is thin, from how much the knee exceeds a lean one at the datum."""
    section = slice_moments(surface, np.array([0.0]))
    low, high = section.low_mm[0], section.high_mm[0]
    radius = float(np.sqrt(np.prod(high - low)) / 2.0)
    return float(np.clip(radius - THIN_COVER_RADIUS_MM.value, 4.0, 16.0))


def _skin_normal(surface: Mesh, point: Vector, reach_mm: float = 12.0) -> Vector:
    """Outward normal of the skin around a point, averaged over its neighbourhood."""
    tri = surface.vertices[surface.faces]
    near = np.linalg.norm(tri.mean(axis=1) - point, axis=1) < reach_mm
    tri = tri[near]
    total = np.cross(tri[:, 1] - tri[:, 0], tri[:, 2] - tri[:, 0]).sum(axis=0)
    length = float(np.linalg.norm(total))
    if not length > 0.0:
        raise InvalidLandmarks(
            f"There is no skin within {reach_mm:.0f} mm of a landmark at"
            f" {-point[2]:.0f} mm below the datum.",
            where="landmarks",
        )
    return np.asarray(total / length)


def _tibia(anchors: Mapping[str, _Anchor], landmarks: Mapping[str, Landmark]) -> Mesh:
    plateau_u = _plateau_height(landmarks)
    axis = _tibia_axis(anchors, plateau_u)
    end_u = float(anchors["distal_tibia"].point_mm[2])
    levels = _levels(plateau_u, end_u)
    depths = plateau_u - levels
    outlines = rings(support(TIBIA.value, depths, DIRECTIONS_RAD))
    return loft(_rounded_ends(outlines + _along(axis, depths)[:, None], levels), levels)


def _plateau_height(landmarks: Mapping[str, Landmark]) -> float:
    """Height of the plateau over the datum: mean of what each landmark tells."""
    return float(
        np.mean(
            [landmarks[name].point_mm[2] + over for name, over in PLATEAU_OVER_MM.value.items()]
        )
    )


def _tibia_axis(anchors: Mapping[str, _Anchor], plateau_u: float) -> NDArray[np.float64]:
    """Axis of the tibia: (o, f) under the plateau and its lean per mm of depth, (2, 2).

    Linear least squares: in the direction of each anchor the axis lies the template's reach
    behind the anchor; the fibular head stands a usual distance outward; the lean is small.
    """
    rows, values, weights = [], [], []
    for name in (
        "tibial_tubercle",
        "crest_upper",
        "crest_lower",
        "medial_tibial_flare",
        "lateral_tibial_tubercle",
        "distal_tibia",
    ):
        anchor = anchors[name]
        flat = anchor.outward[:2]
        way = flat / np.linalg.norm(flat)
        depth = plateau_u - anchor.point_mm[2]
        reach = support(TIBIA.value, np.array([depth]), np.array([np.arctan2(way[1], way[0])]))
        rows.append([way[0], way[1], way[0] * depth, way[1] * depth])
        values.append(anchor.point_mm[:2] @ way - reach[0, 0])
        weights.append(1.0 / anchor.sd_mm)
    head = anchors["fibular_head"]
    depth = plateau_u - head.point_mm[2]
    beside = head.point_mm[:2] - FIBULA_FROM_TIBIA_MM.value[:2]
    for k in (0, 1):
        rows.append([float(k == j) for j in (0, 1)] + [depth * (k == j) for j in (0, 1)])
        values.append(beside[k])
        weights.append(1.0 / FIBULA_FROM_TIBIA_MM.value[2])
        rows.append([0.0, 0.0] + [float(k == j) for j in (0, 1)])
        values.append(0.0)
        weights.append(1.0 / LEAN_SD.value)
    weight = np.array(weights)
    solution = np.linalg.lstsq(
        np.array(rows) * weight[:, None], np.array(values) * weight, rcond=None
    )[0]
    return np.asarray(solution.reshape(2, 2))


def _along(axis: NDArray[np.float64], depths_mm: Scalars) -> NDArray[np.float64]:
    return np.asarray(axis[0] + depths_mm[:, None] * axis[1])


def _fibula(anchors: Mapping[str, _Anchor]) -> Mesh:
    """Straight fibula from the head to its end, its axis inside the anchors by its radius."""
    head, end = anchors["fibular_head"], anchors["distal_fibula"]
    apex_u = float(head.point_mm[2]) + 11.0
    levels = _levels(apex_u, float(end.point_mm[2]))
    depths = apex_u - levels
    reach = support(FIBULA.value, depths, DIRECTIONS_RAD)
    at = np.array([head.point_mm[2], end.point_mm[2]])
    radii = support(FIBULA.value, apex_u - at, np.array([0.0]))[:, 0]
    axis = []
    for anchor, radius in zip((head, end), radii, strict=True):
        way = anchor.outward[:2] / np.linalg.norm(anchor.outward[:2])
        axis.append(anchor.point_mm[:2] - radius * way)
    share = (at[0] - levels) / (at[0] - at[1])
    centres = axis[0] + share[:, None] * (axis[1] - axis[0])
    return loft(_rounded_ends(rings(reach) + centres[:, None], levels), levels)


def _levels(top_u: float, end_u: float) -> Scalars:
    if end_u > top_u - 30.0:
        raise InvalidLandmarks(
            f"The landmarks leave {top_u - end_u:.0f} mm of bone below the knee, which is less"
            " than 30 mm; check the distal ones.",
            where="landmarks",
            fields={"bone_mm": top_u - end_u},
        )
    return np.linspace(top_u, end_u, int(np.ceil((top_u - end_u) / _LEVEL_STEP_MM)) + 1)


def _rounded_ends(outlines: NDArray[np.float64], levels: Scalars) -> NDArray[np.float64]:
    """Draw the last rings in, so that the cut end has a rounded edge of about 3 mm."""
    last = np.minimum(np.abs(levels - levels[-1]), np.abs(levels - levels[0]))
    share = 1.0 - 0.15 * np.clip(1.0 - last / 3.0, 0.0, 1.0) ** 2
    middle = outlines.mean(axis=1, keepdims=True)
    return np.asarray(middle + share[:, None, None] * (outlines - middle))


def _kept_inside(bone: Mesh, skin: DistanceTree) -> Mesh:
    """Draw a bone in towards its axis where it would come nearer the skin than allowed."""
    vertices = bone.vertices.copy()
    around = len(DIRECTIONS_RAD)
    ring = vertices[:-2].reshape(-1, around, 3)
    for _ in range(40):
        depth = -skin.signed(vertices)
        short = np.clip(LEAST_COVER_MM.value + 0.05 - depth, 0.0, 4.0)
        if not (short > 0.0).any():
            return Mesh(vertices, bone.faces)
        middle = ring.mean(axis=1, keepdims=True)
        away = ring - middle
        radius = np.linalg.norm(away, axis=2, keepdims=True)
        share = 1.0 - np.clip(short[:-2].reshape(-1, around, 1) / radius, 0.0, 0.3)
        ring[:] = middle + share * away
        vertices[-2] = ring[0].mean(axis=0)
        vertices[-1] = ring[-1].mean(axis=0)
    raise InvalidLandmarks(
        "The landmarks leave no room for a bone inside the skin; check their places.",
        where="landmarks",
    )


def _rim_height(surface: Mesh) -> float:
    loops = boundary_loops(surface)
    if not loops:
        return float(surface.vertices[:, 2].max())
    return float(surface.vertices[loops[0], 2].min())


def _checked_bone(name: str, bone: Mesh, skin: DistanceTree, rim_u: float) -> Mesh:
    if not is_closed_manifold(bone):
        raise InvalidScan(
            f"The {name} mesh is not closed; close its holes in the program that made it.",
            where=f"bones.{name}",
        )
    solid = bone if volume_mm3(bone) > 0.0 else flipped(bone)
    below: Vertices = solid.vertices[solid.vertices[:, 2] < rim_u]
    outside = float(skin.signed(below).max()) if len(below) else np.inf
    if outside > 0.0:
        raise InvalidScan(
            f"The {name} lies up to {outside:.0f} mm outside the skin; check its unit and that"
            " it was segmented in the scan's own frame.",
            where=f"bones.{name}",
            fields={"outside_mm": outside},
        )
    return solid
