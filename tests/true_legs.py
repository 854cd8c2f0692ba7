"""Limbs whose landmarks, axes and bones are known: the open test limbs and the demo limb."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest
import trimesh
from numpy.typing import NDArray

from limbwright.capture.frame import limb_frame
from limbwright.core.frame import LimbFrame, Side, mesh_to_limb, mesh_to_scan, to_limb, to_scan
from limbwright.core.mesh import Mesh, Vector
from limbwright.demo.limb import PALPATED, demo_truth
from limbwright.demo.scan import scanner_pose

TRUE_LEGS = ("limb_a", "limb_b", "demo")


@dataclass(frozen=True, slots=True, eq=False)
class TrueLeg:
    """Skin, bones and landmarks in the scan's frame (mm), and the true axes there."""

    side: Side
    skin: Mesh
    tibia: Mesh
    fibula: Mesh
    points_mm: dict[str, Vector]
    axes: NDArray[np.float64]

    def frame(self) -> LimbFrame:
        return _framed(self)[0]

    def in_limb(self) -> tuple[Mesh, dict[str, Vector]]:
        """Skin and landmarks in the limb frame that is estimated from them."""
        _, skin, points = _framed(self)
        return skin, dict(points)


@lru_cache(maxsize=4)
def _framed(leg: TrueLeg) -> tuple[LimbFrame, Mesh, dict[str, Vector]]:
    frame = limb_frame(leg.skin, leg.points_mm, leg.side)
    points = {name: to_limb(frame, p) for name, p in leg.points_mm.items()}
    return frame, mesh_to_limb(frame, leg.skin), points


def requested_leg(request: pytest.FixtureRequest) -> TrueLeg:
    """The leg that a fixture's parameter names; open test limbs skip where they are absent."""
    if request.param == "demo":
        return demo_leg()
    data: Path = request.getfixturevalue("shared_data")
    return open_leg(data / "limbs" / request.param)


@lru_cache(maxsize=1)
def demo_leg() -> TrueLeg:
    """The demo limb, somewhere in a scanner."""
    truth = demo_truth()
    frame = scanner_pose(np.random.default_rng(7), Side.RIGHT)
    meshes = (mesh_to_scan(frame, m) for m in (truth.skin, truth.tibia, truth.fibula))
    points = {name: to_scan(frame, truth.landmarks_mm[name]) for name in PALPATED}
    return TrueLeg(frame.side, *meshes, points, frame.axes)


@lru_cache(maxsize=2)
def open_leg(folder: Path) -> TrueLeg:
    truth = json.loads((folder / "landmarks.json").read_text(encoding="utf-8"))
    axes = np.array([truth["axes"][k] for k in ("lateral", "anterior", "proximal")])
    return TrueLeg(
        Side(truth["side"]),
        *(_mesh(folder / f"{part}.ply") for part in ("skin", "tibia", "fibula")),
        {key: np.array(point) for key, point in truth["points"].items()},
        axes,
    )


def _mesh(path: Path) -> Mesh:
    read = trimesh.load(path, process=False)
    return Mesh(np.array(read.vertices), np.array(read.faces, dtype=np.int32))


def angles_deg(axes: NDArray[np.float64], other: NDArray[np.float64]) -> NDArray[np.float64]:
    """Angle between each of three axes and its counterpart."""
    cosine = np.einsum("ij,ij->i", axes, other)
    return np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0)))
