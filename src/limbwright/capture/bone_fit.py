"""A typical tibia and fibula set under the skin by landmarks.

Under each landmark bone is expected at a usual depth along the skin's normal. The tibia's axis
is the one that fits these points best in the least-squares sense; the fibula runs straight from
its head to its end.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.capture.bone_templates import DIRECTIONS_RAD, FIBULA, TIBIA, loft, rings, support
from limbwright.capture.leg_table import (
    APEX_OVER_HEAD_MM,
    COVERS,
    FIBULA_FROM_TIBIA_MM,
    LEAN_SD,
    LEAST_COVER_MM,
    PLATEAU_OVER_MM,
    THIN_COVER_MM,
    THIN_COVER_RADIUS_MM,
)
from limbwright.capture.result import Landmark
from limbwright.core.errors import InvalidLandmarks
from limbwright.core.mesh import Mesh, Scalars, Vector, face_cross
from limbwright.core.slicing import slice_moments

_LEVEL_STEP_MM = 4.0
_LEAST_BONE_MM = 30.0
_NORMAL_REACH_MM = 12.0
_CUT_EDGE_MM = 3.0
"""Radius to which the edge of a cut bone is rounded."""
_TIBIA_NAMES = (
    "tibial_tubercle",
    "crest_upper",
    "crest_lower",
    "medial_tibial_flare",
    "lateral_tibial_tubercle",
    "distal_tibia",
)


@dataclass(frozen=True, slots=True, eq=False)
class Anchor:
    """Where bone is expected under a landmark.

    Parameters
    ----------
    point_mm : (3,) float64, mm, limb frame, on the bone
    outward : (3,) float64, unit normal of the skin there
    sd_mm : float
        How sure the place is along the normal.
    """

    point_mm: Vector
    outward: Vector
    sd_mm: float

    def across(self) -> Vector:
        """Outward direction in the section, (2,) unit."""
        flat = self.outward[:2]
        return np.asarray(flat / np.linalg.norm(flat))


def bone_anchors(surface: Mesh, landmarks: Mapping[str, Landmark]) -> dict[str, Anchor]:
    """Bone points under the landmarks, each the usual cover beneath the skin.

    Raises
    ------
    InvalidLandmarks
        When a landmark that the bones hang on is missing.
    """
    missing = [name for name in COVERS.value if name not in landmarks]
    if missing:
        raise InvalidLandmarks(
            f"The bones cannot be estimated without {', '.join(missing)}; propose or give them.",
            where="landmarks",
            fields={"missing": missing},
        )
    thin = _thin_cover_mm(surface)
    cross, middles = face_cross(surface), surface.vertices[surface.faces].mean(axis=1)
    anchors = {}
    for name, cover in COVERS.value.items():
        point = landmarks[name].point_mm
        away = np.linalg.norm(middles - point, axis=1)
        outward = cross[away < max(_NORMAL_REACH_MM, 1.01 * float(away.min()))].sum(axis=0)
        outward = outward / np.linalg.norm(outward)
        depth = max(cover.share * thin, LEAST_COVER_MM.value)
        anchors[name] = Anchor(point - depth * outward, outward, cover.sd_mm)
    return anchors


def _thin_cover_mm(surface: Mesh) -> float:
    """Cover where it is thin, from how much the knee exceeds a lean one at the datum."""
    section = slice_moments(surface, np.array([0.0]))
    breadths = section.high_mm[0] - section.low_mm[0]
    radius = 0.5 * float(np.sqrt(breadths[0] * breadths[1]))
    return float(np.clip(radius - THIN_COVER_RADIUS_MM.value, *THIN_COVER_MM.value))


def fitted_tibia(anchors: Mapping[str, Anchor], landmarks: Mapping[str, Landmark]) -> Mesh:
    """The typical tibia from its plateau to the cut end, along the axis that fits best."""
    told = [landmarks[name].point_mm[2] + over for name, over in PLATEAU_OVER_MM.value.items()]
    plateau_u = float(np.mean(told))
    axis = _tibia_axis(anchors, plateau_u)
    levels = _levels(plateau_u, float(anchors["distal_tibia"].point_mm[2]))
    depths = plateau_u - levels
    middles = axis[0] + depths[:, None] * axis[1]
    reach = support(TIBIA.value, depths, DIRECTIONS_RAD)
    return _solid(reach, middles, levels)


def _tibia_axis(anchors: Mapping[str, Anchor], plateau_u: float) -> NDArray[np.float64]:
    """Axis of the tibia: (o, f) under the plateau, and its change per mm of depth, (2, 2)."""
    equations = [*_anchor_equations(anchors, plateau_u), *_usual_equations(anchors, plateau_u)]
    spread = np.array([sd for _, _, sd in equations])
    left = np.array([row for row, _, _ in equations]) / spread[:, None]
    right = np.array([value for _, value, _ in equations]) / spread
    return np.asarray(np.linalg.lstsq(left, right, rcond=None)[0].reshape(2, 2))


_Equation = tuple[list[float], float, float]
"""Factors of (o, f, o per depth, f per depth), value, standard deviation."""


def _anchor_equations(anchors: Mapping[str, Anchor], plateau_u: float) -> Iterator[_Equation]:
    """Across the skin, the axis lies the template's reach inside each anchor."""
    for name in _TIBIA_NAMES:
        anchor = anchors[name]
        way = anchor.across()
        depth = plateau_u - float(anchor.point_mm[2])
        angle = np.arctan2(way[1], way[0])
        reach = float(support(TIBIA.value, np.array([depth]), np.array([angle]))[0, 0])
        row = [*way, *(depth * way)]
        yield row, float(anchor.point_mm[:2] @ way) - reach, anchor.sd_mm


def _usual_equations(anchors: Mapping[str, Anchor], plateau_u: float) -> Iterator[_Equation]:
    """The fibular head stands a usual way off the axis, and the axis leans little."""
    head = anchors["fibular_head"].point_mm
    depth = plateau_u - float(head[2])
    *beside, spread = FIBULA_FROM_TIBIA_MM.value
    for k, unit in enumerate(((1.0, 0.0), (0.0, 1.0))):
        yield [*unit, depth * unit[0], depth * unit[1]], float(head[k]) - beside[k], spread
        yield [0.0, 0.0, *unit], 0.0, LEAN_SD.value


def fitted_fibula(anchors: Mapping[str, Anchor]) -> Mesh:
    """The typical fibula, straight from its head to its cut end."""
    head, end = anchors["fibular_head"], anchors["distal_fibula"]
    heights = np.array([head.point_mm[2], end.point_mm[2]])
    apex_u = float(heights[0]) + APEX_OVER_HEAD_MM.value
    levels = _levels(apex_u, float(heights[1]))
    radii = support(FIBULA.value, apex_u - heights, np.zeros(1))[:, 0]
    inner = [
        anchor.point_mm[:2] - radius * anchor.across()
        for anchor, radius in zip((head, end), radii, strict=True)
    ]
    share = (heights[0] - levels) / (heights[0] - heights[1])
    middles = inner[0] + share[:, None] * (inner[1] - inner[0])
    return _solid(support(FIBULA.value, apex_u - levels, DIRECTIONS_RAD), middles, levels)


def _levels(top_u: float, end_u: float) -> Scalars:
    if top_u - end_u < _LEAST_BONE_MM:
        raise InvalidLandmarks(
            f"The landmarks leave {top_u - end_u:.0f} mm of bone below the knee (at least"
            f" {_LEAST_BONE_MM:.0f} mm is needed); check distal_tibia and distal_fibula.",
            where="landmarks",
            fields={"bone_mm": top_u - end_u},
        )
    count = int(np.ceil((top_u - end_u) / _LEVEL_STEP_MM)) + 1
    even = np.linspace(top_u, end_u, count)
    return np.concatenate([even[:-1], [end_u + 0.4 * (even[-2] - end_u)], even[-1:]])


def _solid(reach: NDArray[np.float64], middles: NDArray[np.float64], levels: Scalars) -> Mesh:
    """Bone over its sections, the edge of the cut end rounded."""
    outlines = rings(reach)
    over = np.clip(_CUT_EDGE_MM - (levels - levels[-1]), 0.0, None)
    drawn_in = _CUT_EDGE_MM - np.sqrt(_CUT_EDGE_MM**2 - over**2)
    radius = np.linalg.norm(outlines, axis=2, keepdims=True)
    outlines = outlines * (1.0 - drawn_in[:, None, None] / radius)
    return loft(outlines + middles[:, None], levels)
