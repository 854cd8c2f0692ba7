"""Tibia, fibula, the membrane between them and the knee above them as one rigid body.

Above the plateau nothing is known of femur and patella: the section just below the plateau is
drawn upward and follows the middle of the skin's sections. Between the bones stands the
interosseous membrane, a sheet from bone to bone; where bones and membrane meet, the hollow is
rounded, so that the body's surface has no groove that no element could enter.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from limbwright.capture.result import Bones
from limbwright.core.mesh import Mesh, Scalars, Vertices
from limbwright.core.proximity import DistanceTree
from limbwright.core.slicing import slice_loops, slice_moments
from limbwright.prove.interface.tissue_mesh.tables import (
    BELOW_PLATEAU_MM,
    KNEE_COVER_MM,
    MEMBRANE_MM,
    ROUNDING_MM,
)

_INTO_FIBULA = 0.7
"""The sheet ends this share of the fibula's radius beside its middle, on the tibia's side."""
_LEVEL_MM = 4.0
_AROUND = 72
_PLACING_STEPS = 6


@dataclass(frozen=True, slots=True, eq=False)
class RigidBody:
    """What moves as one with the bones.

    Parameters
    ----------
    tibia, fibula, knee : DistanceTree
    membrane : DistanceTree or None
        A sheet without thickness; None where the bones touch all along.
    plateau_u_mm : float
        Above this level the knee is drawn up from the tibia and not known.
    """

    tibia: DistanceTree
    fibula: DistanceTree
    knee: DistanceTree | None
    membrane: DistanceTree | None
    plateau_u_mm: float

    def distance(self, points: Vertices) -> Scalars:
        """Distance to the body, (n,) mm, negative inside; exact outside the rounded hollows."""
        total = self.bone_distance(points)
        if self.membrane is not None:
            sheet = self.membrane.closest(points)[0] - 0.5 * MEMBRANE_MM.value
            total = _joined(total, sheet)[0]
        return total

    def bone_distance(self, points: Vertices) -> Scalars:
        """Distance to tibia, fibula and knee alone, (n,) mm, negative inside."""
        parts = [self.tibia.signed(points), self.fibula.signed(points)]
        if self.knee is not None:
            parts.append(self.knee.signed(points))
        return np.asarray(np.min(parts, axis=0))

    def near_membrane(self, points: Vertices) -> NDArray[np.bool_]:
        """True for points (n, 3) of the surface that the membrane or its rounding shapes."""
        if self.membrane is None:
            return np.zeros(len(points), dtype=np.bool_)
        sheet = self.membrane.closest(points)[0] - 0.5 * MEMBRANE_MM.value
        return np.asarray(sheet - self.bone_distance(points) < ROUNDING_MM.value)

    def placed(self, points: Vertices, steps: int = _PLACING_STEPS) -> Vertices:
        """Points (n, 3) mm brought onto the body's surface the shortest way, by Newton steps."""
        points = np.array(points)
        for _ in range(steps):
            value, slope = self._with_slope(points)
            size = np.einsum("ij,ij->i", slope, slope)
            points -= (value / np.maximum(size, 0.25))[:, None] * slope
        return points

    def _with_slope(self, points: Vertices) -> tuple[Scalars, Vertices]:
        trees = [tree for tree in (self.tibia, self.fibula, self.knee) if tree is not None]
        found = [_signed_with_slope(tree, points) for tree in trees]
        values = np.stack([value for value, _ in found])
        first = values.argmin(axis=0)
        pick = np.arange(len(points))
        value = values[first, pick]
        slope = np.stack([slope for _, slope in found])[first, pick]
        if self.membrane is None:
            return value, slope
        distance, _, foot = self.membrane.closest(points)
        away = _unit(points - foot, distance)
        value, share = _joined(value, distance - 0.5 * MEMBRANE_MM.value)
        return value, (1.0 - share)[:, None] * slope + share[:, None] * away


def rigid_body(bones: Bones, skin: Mesh, top_u_mm: float) -> RigidBody:
    """The rigid body of a limb's bones, up to a level above them.

    Parameters
    ----------
    bones : Bones
        Closed meshes, limb frame.
    skin : Mesh
        Limb frame.
    top_u_mm : float
        The mesh's upper cut plane.
    """
    heights = bones.tibia.vertices[:, 2]
    plateau = float(heights.max() - min(BELOW_PLATEAU_MM.value, 0.5 * np.ptp(heights)))
    knee = _knee(bones.tibia, skin, plateau, top_u_mm) if top_u_mm > plateau else None
    sheet = _membrane(bones)
    return RigidBody(
        DistanceTree(bones.tibia),
        DistanceTree(bones.fibula),
        None if knee is None else DistanceTree(knee),
        None if sheet is None else DistanceTree(sheet),
        plateau,
    )


def _joined(bone: Scalars, sheet: Scalars) -> tuple[Scalars, Scalars]:
    """The smaller of two distances, rounded where they are alike, and the second one's share."""
    alike = np.clip(1.0 - np.abs(bone - sheet) / ROUNDING_MM.value, 0.0, None)
    value = np.minimum(bone, sheet) - 0.25 * ROUNDING_MM.value * alike**2
    share = np.where(sheet < bone, 1.0 - 0.5 * alike, 0.5 * alike)
    return value, share


def _signed_with_slope(tree: DistanceTree, points: Vertices) -> tuple[Scalars, Vertices]:
    distance, face, foot = tree.closest(points)
    signed = tree.signed(points)
    slope = _unit(points - foot, signed)
    on = distance < 1e-6
    tri = tree.mesh.vertices[tree.mesh.faces[face[on]]]
    normal = np.cross(tri[:, 1] - tri[:, 0], tri[:, 2] - tri[:, 0])
    # A face without area has no normal: a point that lies on it stays where it is.
    slope[on] = _unit(normal, np.linalg.norm(normal, axis=1))
    return signed, slope


def _unit(away: Vertices, length: Scalars) -> Vertices:
    out = np.zeros_like(away)
    return np.asarray(np.divide(away, length[:, None], out=out, where=length[:, None] != 0.0))


def _membrane(bones: Bones) -> Mesh | None:
    """Sheet between the middles of the bones' sections, wherever both have one.

    Its lower edge runs from end to end of the two bones, level or not.
    """
    solids = (bones.tibia, bones.fibula)
    ends = [float(bone.vertices[:, 2].min()) for bone in solids]
    low, high = max(ends), min(float(bone.vertices[:, 2].max()) for bone in solids)
    if high - low < 3.0 * _LEVEL_MM:
        return None
    inner = np.linspace(low, high, int((high - low) / _LEVEL_MM))[1:-1]
    tibia, fibula = (
        _middles(bone, np.concatenate([[end + 0.4 * _LEVEL_MM], inner]))
        for bone, end in zip(solids, ends, strict=True)
    )
    toward = tibia[0] - fibula[0]
    length = np.linalg.norm(toward[:, :2], axis=1)
    if not (length > fibula[1]).all():
        return None
    near = fibula[0] + toward * (_INTO_FIBULA * fibula[1] / length)[:, None]
    rows = np.stack([tibia[0], near], axis=1)
    corner = 2 * np.arange(len(rows) - 1)[:, None]
    pair = np.array([[0, 1, 3], [0, 3, 2]])
    faces = (corner[:, :, None] + pair).reshape(-1, 3)
    return Mesh(rows.reshape(-1, 3), faces.astype(np.int32))


def _middles(bone: Mesh, levels_u: Scalars) -> tuple[Vertices, Scalars]:
    """Middles (k, 3) mm of a bone's sections, and the radius of discs of the same area."""
    sections = slice_moments(bone, levels_u)
    radius = np.sqrt(np.abs(sections.area_mm2) / np.pi)
    return np.column_stack([sections.centroid_mm, levels_u]), radius


def _knee(tibia: Mesh, skin: Mesh, plateau_u_mm: float, top_u_mm: float) -> Mesh:
    """The section below the plateau drawn up past the top, inside the skin with some cover."""
    levels = np.arange(plateau_u_mm, top_u_mm + 3.0 * _LEVEL_MM, _LEVEL_MM)
    outline = _evenly(slice_loops(tibia, plateau_u_mm)[0], _AROUND)
    rim = float(skin.vertices[:, 2].max())
    middle = slice_moments(skin, np.minimum(levels, min(top_u_mm, rim - 0.5))).centroid_mm
    drift = gaussian_filter1d(middle - middle[0], 2.0, axis=0, mode="nearest")
    rings = outline[None] + (drift - drift[0])[:, None]
    rings = _kept_inside(rings, levels, DistanceTree(skin), top_u_mm)
    return _tube(rings, levels)


def _kept_inside(
    rings: NDArray[np.float64], levels: Scalars, skin: DistanceTree, top_u_mm: float
) -> NDArray[np.float64]:
    """Narrow rings towards their middle until the cover is kept, evenly along the limb."""
    heights = np.broadcast_to(np.minimum(levels, top_u_mm)[:, None, None], (*rings.shape[:2], 1))
    middle = rings.mean(axis=1, keepdims=True)
    factor = np.ones((len(rings), 1, 1))
    for _ in range(20):
        now = middle + factor * (rings - middle)
        points = np.concatenate([now, heights], axis=2).reshape(-1, 3)
        short = KNEE_COVER_MM.value + skin.signed(points).reshape(rings.shape[:2]).max(axis=1)
        short[0] = 0.0
        if not (short > 0.0).any():
            break
        factor[:, 0, 0] -= np.where(short > 0.0, 0.05, 0.0)
    narrow = np.minimum(factor[:, 0, 0], gaussian_filter1d(factor[:, 0, 0], 1.0, mode="nearest"))
    narrow[0] = 1.0
    return np.asarray(middle + narrow[:, None, None] * (rings - middle))


def _evenly(outline: NDArray[np.float64], count: int) -> NDArray[np.float64]:
    closed = np.concatenate([outline, outline[:1]])
    gone = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(closed, axis=0), axis=1))])
    at = np.arange(count) * (gone[-1] / count)
    return np.column_stack([np.interp(at, gone, column) for column in closed.T])


def _tube(rings: NDArray[np.float64], levels: Scalars) -> Mesh:
    """Closed solid over rings (k, n, 2) at rising levels."""
    count, around = rings.shape[:2]
    heights = np.broadcast_to(levels[:, None, None], (count, around, 1))
    wall = np.concatenate([rings, heights], axis=2).reshape(-1, 3)
    ends = np.stack([wall[:around].mean(axis=0), wall[-around:].mean(axis=0)])
    here = np.arange(around)
    after = np.roll(here, -1)
    base = around * np.arange(count - 1)[:, None]
    sides = np.concatenate(
        [
            np.stack([base + here, base + after, base + around + after], axis=2).reshape(-1, 3),
            np.stack([base + here, base + around + after, base + around + here], axis=2).reshape(
                -1, 3
            ),
        ]
    )
    last = around * (count - 1)
    caps = [
        np.stack([np.full(around, len(wall)), after, here], axis=1),
        np.stack([np.full(around, len(wall) + 1), last + here, last + after], axis=1),
    ]
    return Mesh(np.concatenate([wall, ends]), np.concatenate([sides, *caps]).astype(np.int32))
