"""What landmarks, skin and palpation tell of tibia and fibula, and the bones lofted from it.

Under each landmark bone is expected at a usual depth along the skin's normal, or at the depth
that was palpated. The tibia is set by its own landmarks and by the fibular head beside it; the
fibula runs straight from its head to its end.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.capture.bone_setting import (
    Beside,
    SetBone,
    Sights,
    Task,
    set_bone,
    surface_mm,
)
from limbwright.capture.bone_templates import (
    DIRECTIONS_RAD,
    fibula_reach,
    loft,
    rings,
    tibia_reach,
)
from limbwright.capture.leg_table import (
    APEX_OVER_HEAD_MM,
    BUILD_SD,
    COVERS,
    FIBULA_BEND_SD_MM,
    FIBULA_FROM_TIBIA_MM,
    GUESSED_PLACE_SD_MM,
    LEAST_COVER_MM,
    PALPATED_FACING_SD_MM,
    PATELLA_COVER,
    PLATEAU_OVER_MM,
    THIN_COVER_MM,
    THIN_COVER_RADIUS_MM,
)
from limbwright.capture.plan import Bone
from limbwright.capture.result import Landmark
from limbwright.core.errors import InvalidLandmarks
from limbwright.core.mesh import Mesh, Scalars, Vector, face_cross
from limbwright.core.slicing import slice_moments
from limbwright.core.sources import Basis

_LEVEL_STEP_MM = 4.0
_LEAST_BONE_MM = 30.0
_NORMAL_REACH_MM = 12.0
_CUT_EDGE_MM = 3.0
"""Radius to which the edge of a cut bone is rounded."""
TIBIA_NAMES = (
    "tibial_tubercle",
    "crest_upper",
    "crest_lower",
    "medial_tibial_flare",
    "lateral_tibial_tubercle",
    "distal_tibia",
)
FIBULA_NAMES = ("fibular_head", "distal_fibula")


@dataclass(frozen=True, slots=True, eq=False)
class Anchor:
    """A point of the skin with bone under it.

    Parameters
    ----------
    skin_mm : (3,) float64, mm, limb frame
    outward : (3,) float64, unit normal of the skin there, averaged
    share : float
        Usual cover as a share of the thin cover; 0 where the depth was palpated.
    depth_mm : float
        Expected depth of the bone along the normal.
    sd_mm : float
        How sure that is.
    """

    skin_mm: Vector
    outward: Vector
    share: float
    depth_mm: float
    sd_mm: float

    @property
    def point_mm(self) -> Vector:
        """Bone point expected there."""
        return np.asarray(self.skin_mm - self.depth_mm * self.outward)

    @property
    def palpated(self) -> bool:
        """True when the depth is not the usual one."""
        return self.share == 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Palpation:
    """A depth of bone under the skin that the practitioner found.

    Parameters
    ----------
    name : str
        Landmark it was found at; "" at another point.
    skin_mm : (3,) float64, mm, limb frame
    bone : Bone
    depth_mm, sd_mm : float
    confirmed : bool
        An unlikely depth was checked.
    """

    name: str
    skin_mm: Vector
    bone: Bone
    depth_mm: float
    sd_mm: float
    confirmed: bool = False


def bone_anchors(
    surface: Mesh, landmarks: Mapping[str, Landmark], palpations: Sequence[Palpation] = ()
) -> dict[str, Anchor]:
    """Bone points under the landmarks, at the usual depth or the palpated one.

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
    thin = thin_cover_mm(surface)
    found = {item.name: item for item in palpations if item.name}
    outward = outward_at(surface, [landmarks[name].point_mm for name in COVERS.value])
    anchors = {}
    for (name, cover), normal in zip(COVERS.value.items(), outward, strict=True):
        skin = landmarks[name].point_mm
        if name in found:
            anchors[name] = Anchor(skin, normal, 0.0, found[name].depth_mm, found[name].sd_mm)
        else:
            depth = max(cover.share * thin, LEAST_COVER_MM.value)
            guessed = landmarks[name].basis is Basis.GUESSED
            sd = np.hypot(cover.sd_mm, GUESSED_PLACE_SD_MM.value if guessed else 0.0)
            anchors[name] = Anchor(skin, normal, cover.share, depth, float(sd))
    return anchors


def outward_at(surface: Mesh, points_mm: Sequence[Vector]) -> list[Vector]:
    """Unit normals of the skin at points, each averaged over 12 mm."""
    cross, middles = face_cross(surface), surface.vertices[surface.faces].mean(axis=1)
    normals = []
    for point in points_mm:
        away = np.linalg.norm(middles - point, axis=1)
        outward = cross[away < max(_NORMAL_REACH_MM, 1.01 * float(away.min()))].sum(axis=0)
        normals.append(np.asarray(outward / np.linalg.norm(outward)))
    return normals


def thin_cover_mm(surface: Mesh) -> float:
    """Cover where it is thin, from how much the knee exceeds a lean one at the datum."""
    section = slice_moments(surface, np.array([0.0]))
    breadths = section.high_mm[0] - section.low_mm[0]
    radius = 0.5 * float(np.sqrt(breadths[0] * breadths[1]))
    return float(np.clip(radius - THIN_COVER_RADIUS_MM.value, *THIN_COVER_MM.value))


def usual_cover(name: str, thin_mm: float) -> tuple[float, float]:
    """Usual cover at a palpable landmark and its spread, that of the thin cover included."""
    cover = COVERS.value.get(name, PATELLA_COVER.value)
    usual = max(cover.share * thin_mm, LEAST_COVER_MM.value)
    thin_sd = BUILD_SD.value[Bone.TIBIA].thin_cover_mm
    return usual, float(np.hypot(cover.sd_mm, cover.share * thin_sd))


def set_tibia(
    surface: Mesh,
    anchors: Mapping[str, Anchor],
    landmarks: Mapping[str, Landmark],
    palpations: Sequence[Palpation],
) -> SetBone:
    """The typical tibia where landmarks, palpation and the fibular head want it."""
    told = [landmarks[name].point_mm[2] + over for name, over in PLATEAU_OVER_MM.value.items()]
    head = anchors["fibular_head"]
    *beside, spread = FIBULA_FROM_TIBIA_MM.value
    return set_bone(
        Task(
            reach=tibia_reach(),
            top_u_mm=float(np.mean(told)),
            end_u_mm=float(anchors["distal_tibia"].point_mm[2]),
            thin_mm=thin_cover_mm(surface),
            least_mm=LEAST_COVER_MM.value,
            build=BUILD_SD.value[Bone.TIBIA],
            sights=_sights(
                surface, [anchors[name] for name in TIBIA_NAMES], palpations, Bone.TIBIA
            ),
            beside=(_beside(head, np.array(beside), np.eye(2), spread),),
        )
    )


def set_fibula(
    surface: Mesh, anchors: Mapping[str, Anchor], palpations: Sequence[Palpation]
) -> SetBone:
    """The typical fibula, straight from its head to its cut end."""
    ends = [anchors[name] for name in FIBULA_NAMES]
    aside = [np.array([[-end.outward[1], end.outward[0]]]) for end in ends]
    return set_bone(
        Task(
            reach=fibula_reach(),
            top_u_mm=float(ends[0].point_mm[2]) + APEX_OVER_HEAD_MM.value,
            end_u_mm=float(ends[1].point_mm[2]),
            thin_mm=thin_cover_mm(surface),
            least_mm=LEAST_COVER_MM.value,
            build=BUILD_SD.value[Bone.FIBULA],
            sights=_sights(surface, ends, palpations, Bone.FIBULA),
            beside=tuple(
                _beside(end, np.zeros(2), way / np.linalg.norm(way), FIBULA_BEND_SD_MM.value)
                for end, way in zip(ends, aside, strict=True)
            ),
        )
    )


def _beside(
    anchor: Anchor, offset_mm: NDArray[np.float64], ways: NDArray[np.float64], sd_mm: float
) -> Beside:
    return Beside(
        anchor.skin_mm, anchor.outward, anchor.share, anchor.depth_mm, offset_mm, ways, sd_mm
    )


def _sights(
    surface: Mesh, anchors: Sequence[Anchor], palpations: Sequence[Palpation], bone: Bone
) -> Sights:
    """Every anchor faces as the skin does; what was palpated is passed through besides."""
    facing_sd = PALPATED_FACING_SD_MM.value
    rows = [
        (a.skin_mm, a.outward, a.share, a.depth_mm, facing_sd if a.palpated else a.sd_mm, True)
        for a in anchors
    ]
    rows += [(a.skin_mm, a.outward, 0.0, a.depth_mm, a.sd_mm, False) for a in anchors if a.palpated]
    loose = [item for item in palpations if not item.name and item.bone is bone]
    normals = outward_at(surface, [item.skin_mm for item in loose])
    rows += [
        (item.skin_mm, normal, 0.0, item.depth_mm, item.sd_mm, False)
        for item, normal in zip(loose, normals, strict=True)
    ]
    skin, outward, share, depth, sd, faces = zip(*rows, strict=True)
    return Sights(
        np.array(skin),
        np.array(outward),
        np.array(share),
        np.array(depth),
        np.array(sd),
        np.array(faces),
    )


def lofted(bone: SetBone) -> Mesh:
    """The solid of a bone that was set."""
    levels = _levels(bone.top_u_mm, bone.task.end_u_mm)
    middles, reach = surface_mm(bone, bone.top_u_mm - levels, DIRECTIONS_RAD)
    return _solid(reach, middles, levels)


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
