"""Tibia and fibula: estimated from landmarks and skin, or taken from segmented meshes.

A typical tibia is set under the skin so that it keeps a usual cover at tubercle, crest, flare
and lateral tubercle, and stands beside the fibular head; the fibula runs from its head to its
end. What is uncertain is the cover, and the result says by how much.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from limbwright.capture.bone_fit import (
    Anchor,
    Palpation,
    bone_anchors,
    lofted,
    outward_at,
    set_fibula,
    set_tibia,
    thin_cover_mm,
    usual_cover,
)
from limbwright.capture.bone_setting import SetBone, spread_mm
from limbwright.capture.bone_templates import DIRECTIONS_RAD
from limbwright.capture.leg_table import COVERS, LEAST_COVER_MM
from limbwright.capture.result import Bones, Landmark, PlaceCover
from limbwright.core.errors import InvalidLandmarks, InvalidScan
from limbwright.core.mesh import (
    Mesh,
    Scalars,
    Vector,
    Vertices,
    face_cross,
    flipped,
    vertex_areas,
    volume_mm3,
)
from limbwright.core.proximity import DistanceTree
from limbwright.core.sources import Basis
from limbwright.core.topology import boundary_loops, is_closed_manifold

_MOST_DRAWS = 60
_SLACK_MM = 0.1
_PATELLA = "patella_lower_pole"


@dataclass(frozen=True, slots=True, eq=False)
class Side:
    """A bone's solid, how it was set, and how sure the height of its end is."""

    solid: Mesh
    bone: SetBone
    end_sd_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class Covered:
    """Bones, and the tissue over them at each point of the skin.

    Parameters
    ----------
    bones : Bones
    cover_mm : (n,) float64
    spread_mm : (n,) float64
        One standard deviation of the cover.
    sides : tuple of Side
        Tibia and fibula as they were set; empty where they were given.
    """

    bones: Bones
    cover_mm: Scalars
    spread_mm: Scalars
    sides: tuple[Side, ...] = ()


def estimate_bones(
    surface: Mesh, landmarks: Mapping[str, Landmark], palpations: Sequence[Palpation] = ()
) -> Bones:
    """Estimate tibia and fibula from landmarks, skin and palpated depths.

    Parameters
    ----------
    surface : Mesh
        Skin of the limb, limb frame, open at the top, wound outward.
    landmarks : mapping of name to Landmark, limb frame
        From `complete_landmarks`.
    palpations : sequence of Palpation

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
    return estimate_cover(surface, landmarks, palpations).bones


def estimate_cover(
    surface: Mesh, landmarks: Mapping[str, Landmark], palpations: Sequence[Palpation] = ()
) -> Covered:
    """As `estimate_bones`, with the cover over the bones and how sure it is, place by place."""
    skin, rim_u = DistanceTree(surface), _rim_height(surface)
    anchors = bone_anchors(surface, landmarks, palpations)
    tibia = set_tibia(surface, anchors, landmarks, palpations)
    fibula = set_fibula(surface, anchors, palpations)
    solids = [_kept_inside(lofted(bone), skin, rim_u) for bone in (tibia, fibula)]
    sides = (
        Side(solids[0], tibia, anchors["distal_tibia"].sd_mm),
        Side(solids[1], fibula, anchors["distal_fibula"].sd_mm),
    )
    cover, spread = _cover_and_spread(sides, surface.vertices)
    below = surface.vertices[:, 2] < 0.0
    bones = Bones(
        solids[0],
        solids[1],
        Basis.ESTIMATED,
        float(np.sqrt(np.mean(spread[below] ** 2))),
        _places(sides, anchors, landmarks),
        _patella_pole(surface, landmarks, palpations),
        len(palpations),
    )
    return Covered(bones, cover, spread, sides)


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
            "The fibula lies medial to the tibia; check whether the two files were exchanged or"
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


def straight_cover(
    sides: Sequence[Side], skin_mm: Vertices, inward: Vertices
) -> tuple[Scalars, Scalars]:
    """Bone straight inward from points of the skin, else the nearest, and how sure it is.

    Parameters
    ----------
    sides : sequence of Side
    skin_mm, inward : (n, 3) float64, limb frame

    Returns
    -------
    (n,) float64, (n,) float64, mm
    """
    nearest, spread = _cover_and_spread(sides, skin_mm)
    hits = np.stack([DistanceTree(side.solid).ray_hits(skin_mm, inward)[0] for side in sides])
    straight = hits.min(axis=0)
    return np.where(np.isfinite(straight), straight, nearest), spread


def _cover_and_spread(sides: Sequence[Side], points_mm: Vertices) -> tuple[Scalars, Scalars]:
    """Distance to the nearest bone, and how sure that bone's surface is there."""
    told = [_one_cover(side, points_mm) for side in sides]
    distance = np.stack([item[0] for item in told])
    spread = np.stack([item[1] for item in told])
    nearest = distance.argmin(axis=0)[None]
    return (
        np.take_along_axis(distance, nearest, axis=0)[0],
        np.take_along_axis(spread, nearest, axis=0)[0],
    )


def _one_cover(side: Side, points_mm: Vertices) -> tuple[Scalars, Scalars]:
    distance, face, foot = DistanceTree(side.solid).closest(points_mm)
    normal = face_cross(side.solid)[face]
    normal = normal / np.linalg.norm(normal, axis=1, keepdims=True)
    across = np.hypot(normal[:, 0], normal[:, 1])
    angle = np.arctan2(normal[:, 1], normal[:, 0])
    top_u, end_u = side.bone.top_u_mm, side.bone.task.end_u_mm
    sideways = spread_mm(side.bone, top_u - foot[:, 2], angle)
    lower = foot[:, 2] < 0.5 * (top_u + end_u)
    lengthways = np.where(lower, side.end_sd_mm, side.bone.task.build.rise_mm)
    return distance, np.hypot(across * sideways, normal[:, 2] * lengthways)


def _places(
    sides: Sequence[Side], anchors: Mapping[str, Anchor], landmarks: Mapping[str, Landmark]
) -> dict[str, PlaceCover]:
    """Cover straight inward from each landmark that the bones hang on."""
    thin_mm = sides[0].bone.task.thin_mm
    names = list(COVERS.value)
    skin = np.array([anchors[name].skin_mm for name in names])
    inward = np.array([-anchors[name].outward for name in names])
    cover, spread = straight_cover(sides, skin, inward)
    return {
        name: PlaceCover(
            float(cover[k]),
            float(spread[k]),
            _place_basis(anchors[name], landmarks[name]),
            *usual_cover(name, thin_mm),
        )
        for k, name in enumerate(names)
    }


def _place_basis(anchor: Anchor, landmark: Landmark) -> Basis:
    if anchor.palpated:
        return Basis.MEASURED
    return Basis.GUESSED if landmark.basis is Basis.GUESSED else Basis.ESTIMATED


def _patella_pole(
    surface: Mesh, landmarks: Mapping[str, Landmark], palpations: Sequence[Palpation]
) -> Vector | None:
    """Bone under the patella's lower pole, at the usual depth or the palpated one."""
    if _PATELLA not in landmarks:
        return None
    point = landmarks[_PATELLA].point_mm
    usual, _ = usual_cover(_PATELLA, thin_cover_mm(surface))
    found = [item.depth_mm for item in palpations if item.name == _PATELLA]
    return np.asarray(point - (found[0] if found else usual) * outward_at(surface, [point])[0])


def _kept_inside(bone: Mesh, skin: DistanceTree, rim_u: float) -> Mesh:
    """Draw a lofted bone in towards its axis, and its end up, until it keeps the least cover.

    Above the scan's rim nothing is known of the skin and the bone stays as it is.
    """
    vertices = bone.vertices.copy()
    ring = vertices[:-2].reshape(-1, len(DIRECTIONS_RAD), 3)
    for _ in range(_MOST_DRAWS):
        short = LEAST_COVER_MM.value + skin.signed(vertices)
        short = np.where(vertices[:, 2] < rim_u, np.clip(short + _SLACK_MM, 0.0, None), 0.0)
        if not (short > _SLACK_MM).any():
            return Mesh(vertices, bone.faces)
        middle = ring.mean(axis=1, keepdims=True)
        radius = np.linalg.norm(ring - middle, axis=2, keepdims=True)
        share = short[:-2].reshape(ring.shape[0], -1, 1) / radius
        ring[:] = ring + np.clip(share, 0.0, 0.3) * (middle - ring)
        top, end = ring[0, 0, 2], ring[-1, 0, 2]
        ring[:, :, 2] = top - (top - ring[:, :, 2]) * (1.0 - short[-1] / (top - end))
        vertices[-2], vertices[-1] = ring[0].mean(axis=0), ring[-1].mean(axis=0)
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
    end_u = float(solid.vertices[:, 2].min())
    if end_u > 0.0:
        raise InvalidScan(
            f"The {name} ends {end_u:.0f} mm above the mid-patellar-tendon level, where no bone of"
            " the limb is left; check that it is this bone, its unit, and that it was segmented in"
            " the scan's own frame.",
            where=f"bones.{name}",
            fields={"end_u_mm": end_u},
        )
    outside = float(skin.signed(solid.vertices[solid.vertices[:, 2] < rim_u]).max())
    if outside > 0.0:
        raise InvalidScan(
            f"The {name} lies up to {outside:.0f} mm outside the skin; check its unit and that"
            " it was segmented in the scan's own frame.",
            where=f"bones.{name}",
            fields={"outside_mm": outside},
        )
    return solid
