"""Palpation simulated on limbs whose bones are known, and what the bones then cost in error."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from limbwright.capture.bone_fit import Palpation, outward_at
from limbwright.capture.bones import BoneError, Covered, bone_error, cover_mm, estimate_cover
from limbwright.capture.landmarks import complete_landmarks
from limbwright.capture.leg_table import COVERS, PALPATED_SD_MM
from limbwright.capture.plan import PALPABLE, Bone, DepthBasis
from limbwright.capture.result import Bones
from limbwright.core.frame import mesh_to_limb
from limbwright.core.mesh import Mesh, Vector
from limbwright.core.proximity import DistanceTree
from limbwright.core.sources import Basis
from true_legs import TrueLeg

NOISE_MM = 1.5
"""Spread of a simulated hand's depths; the estimate assumes its own."""
LEAST_DEPTH_MM = 1.0
MEDIAL_OF_CREST_MM = 25.0
LOOSE_POINTS = 4


@dataclass(frozen=True, slots=True)
class Scores:
    """Errors of one estimate against true bones, mm."""

    tibia: BoneError
    tibia_back: BoneError
    fibula: BoneError
    fibula_back: BoneError
    cover_mean_mm: float
    cover_p95_mm: float


def true_bones(leg: TrueLeg) -> Bones:
    """The leg's own tibia and fibula in its limb frame."""
    frame = leg.frame()
    return Bones(mesh_to_limb(frame, leg.tibia), mesh_to_limb(frame, leg.fibula), Basis.GIVEN, 0.0)


def at_landmarks(leg: TrueLeg, seed: int, noise_mm: float = NOISE_MM) -> list[Palpation]:
    """A depth at each landmark that the bones hang on."""
    skin, points = leg.in_limb()
    names = [name for name in COVERS.value if name in points]
    return _palpated(leg, skin, names, [points[name] for name in names], seed, noise_mm)


def on_the_medial_face(leg: TrueLeg, seed: int, noise_mm: float = NOISE_MM) -> list[Palpation]:
    """A depth at four points of the shin's medial face, a thumb's breadth beside the crest."""
    skin, points = leg.in_limb()
    line = np.array([points[n] for n in ("tibial_tubercle", "crest_upper", "crest_lower")])
    line = np.vstack([line, points["distal_tibia"]])
    heights = np.linspace(line[0, 2] - 15.0, line[-1, 2] + 12.0, LOOSE_POINTS)
    crest = np.stack([np.interp(-heights, -line[:, 2], line[:, k]) for k in range(3)], axis=1)
    wanted = crest - np.array([MEDIAL_OF_CREST_MM, 4.0, 0.0])
    feet = DistanceTree(skin).closest(wanted)[2]
    return _palpated(leg, skin, [""] * LOOSE_POINTS, list(feet), seed + 100, noise_mm)


def _palpated(
    leg: TrueLeg, skin: Mesh, names: list[str], points: list[Vector], seed: int, noise_mm: float
) -> list[Palpation]:
    bones, noise = true_bones(leg), np.random.default_rng(seed)
    normals = outward_at(skin, points)
    found = []
    for name, point, normal in zip(names, points, normals, strict=True):
        bone = (PALPABLE[name] if name else None) or Bone.TIBIA
        depth = _depth_mm(bones.tibia if bone is Bone.TIBIA else bones.fibula, point, -normal)
        depth = max(depth + noise_mm * float(noise.standard_normal()), LEAST_DEPTH_MM)
        sd = PALPATED_SD_MM.value[DepthBasis.PALPATED]
        found.append(Palpation(name, point, bone, depth, sd))
    return found


def _depth_mm(bone: Mesh, point: Vector, inward: Vector) -> float:
    """Straight inward to the bone; the nearest of it where that passes the bone's end."""
    tree = DistanceTree(bone)
    straight = float(tree.ray_hits(point[None], inward[None])[0][0])
    nearest = float(tree.closest(point[None])[0][0])
    return straight if straight < nearest + 3.0 else nearest


def covered(leg: TrueLeg, palpations: list[Palpation]) -> Covered:
    """The estimate for a leg whose landmarks are all given."""
    skin, points = leg.in_limb()
    return estimate_cover(skin, complete_landmarks(skin, points), palpations)


def scores(leg: TrueLeg, estimate: Covered) -> Scores:
    """Bone surfaces both ways, and the cover over the skin below the datum."""
    true, own = true_bones(leg), estimate.bones
    skin, _ = leg.in_limb()
    below = skin.vertices[:, 2] < 0.0
    off = np.abs(estimate.cover_mm - cover_mm(skin, true))[below]
    return Scores(
        bone_error(own.tibia, true.tibia),
        bone_error(true.tibia, own.tibia),
        bone_error(own.fibula, true.fibula),
        bone_error(true.fibula, own.fibula),
        float(off.mean()),
        float(np.quantile(off, 0.95)),
    )
