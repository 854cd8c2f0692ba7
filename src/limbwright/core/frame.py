"""Side of the body and the limb's own frame.

Inside the engine every limb lives in (o, f, u): outward (lateral), forward (anterior), up
(proximal), as ISO 10328 names them, origin on the limb's long axis at the mid-patellar-tendon
level. For a left limb this is a reflection, so that left and right share all of the engine;
`to_patient` undoes it on the way out. Levels are counted distally from the origin.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from limbwright.core.mesh import Mesh, Vector, Vertices


class Side(str, Enum):
    """The side of the body that the limb is on."""

    RIGHT = "right"
    LEFT = "left"


@dataclass(frozen=True, slots=True, eq=False)
class LimbFrame:
    """Where the limb frame stands in the scan.

    Parameters
    ----------
    origin_mm : (3,) float64, mm, scan frame
    axes : (3, 3) float64, rows o, f, u as unit vectors in the scan frame;
        determinant +1 for a right limb, -1 for a left limb
    side : Side

    Raises
    ------
    ValueError
        When the axes are not orthonormal or their handedness contradicts the side.
    """

    origin_mm: Vector
    axes: NDArray[np.float64]
    side: Side

    def __post_init__(self) -> None:
        axes = np.array(self.axes, dtype=np.float64)
        origin = np.array(self.origin_mm, dtype=np.float64)
        if not np.allclose(axes @ axes.T, np.eye(3), atol=1e-6):
            raise ValueError("limb axes must be orthonormal")
        if np.linalg.det(axes) * (1.0 if self.side is Side.RIGHT else -1.0) < 0:
            raise ValueError(f"limb axes do not belong to a {self.side.value} limb")
        axes.setflags(write=False)
        origin.setflags(write=False)
        object.__setattr__(self, "axes", axes)
        object.__setattr__(self, "origin_mm", origin)


def to_limb(frame: LimbFrame, points_mm: Vertices) -> Vertices:
    """Points of the scan in the limb frame, (n, 3) or (3,) mm."""
    return np.asarray((points_mm - frame.origin_mm) @ frame.axes.T, dtype=np.float64)


def to_scan(frame: LimbFrame, points_mm: Vertices) -> Vertices:
    """Points of the limb frame in the scan, (n, 3) or (3,) mm."""
    return np.asarray(points_mm @ frame.axes + frame.origin_mm, dtype=np.float64)


def mesh_to_limb(frame: LimbFrame, mesh: Mesh) -> Mesh:
    """A mesh of the scan in the limb frame; winding stays outward on either side."""
    faces = mesh.faces if frame.side is Side.RIGHT else mesh.faces[:, ::-1]
    return Mesh(to_limb(frame, mesh.vertices), faces)


def mesh_to_scan(frame: LimbFrame, mesh: Mesh) -> Mesh:
    """A mesh of the limb frame in the scan frame; winding stays outward on either side."""
    faces = mesh.faces if frame.side is Side.RIGHT else mesh.faces[:, ::-1]
    return Mesh(to_scan(frame, mesh.vertices), faces)


def points_to_patient(points_mm: Vertices, side: Side) -> Vertices:
    """Limb-frame points in a right-handed frame of the patient, (n, 3) or (3,) mm.

    x to the patient's right, y forward, z up: o of a right limb is +x, of a left limb -x.
    """
    sign = 1.0 if side is Side.RIGHT else -1.0
    return np.asarray(points_mm * np.array([sign, 1.0, 1.0]), dtype=np.float64)


def mesh_to_patient(mesh: Mesh, side: Side) -> Mesh:
    """A limb-frame mesh as it is made: reflected back for a left limb, winding outward."""
    faces = mesh.faces if side is Side.RIGHT else mesh.faces[:, ::-1]
    return Mesh(points_to_patient(mesh.vertices, side), faces)
