"""The brim: how the socket's edge rolls outward, and the cut along the trim line."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.core.clipping import ClippedMesh, clip_by_scalar
from limbwright.core.errors import DesignRefused
from limbwright.core.mesh import Mesh, Vertices, with_vertices
from limbwright.shape.basis import ShapeBasis
from limbwright.shape.places import place_words
from limbwright.shape.plan import BrimPlan
from limbwright.shape.trim import TrimCurve, angle_of

ABOVE = 0.5
"""Share of the brim's height over which the roll goes on above the line, for a clean cut."""


@dataclass(frozen=True, slots=True, eq=False)
class CutModel:
    """The rectified surface, flared and cut.

    Parameters
    ----------
    clipped : ClippedMesh
    below : (n,) bool
        Vertices of the uncut surface at or below the trim line.
    """

    clipped: ClippedMesh
    below: NDArray[np.bool_]

    @property
    def rim_mm(self) -> Vertices:
        """The brim's edge, (k, 3) mm, closed."""
        return self.clipped.mesh.vertices[self.clipped.cut_loops[0]]


def brim_flare(basis: ShapeBasis, curve: TrimCurve, brim: BrimPlan) -> NDArray[np.float64]:
    """How far the brim rolls outward at each vertex, (n,) mm.

    flare (1 - d / height)^2 at distance d below the trim line: it leaves the wall without a
    kink and rolls out more and more towards the edge.
    """
    points = basis.surface.vertices
    radius = np.hypot(points[:, 0], points[:, 1])
    lean = curve.slope_mm(angle_of(points)) / np.maximum(radius, 1.0)
    below_mm = curve.below_mm(points) / np.hypot(1.0, lean)
    left = np.clip(1.0 - below_mm / brim.height_mm, 0.0, 1.0 + ABOVE)
    return np.asarray(brim.flare_mm * left**2, dtype=np.float64)


def cut_at_trim(
    basis: ShapeBasis, surface: Mesh, flare_mm: NDArray[np.float64], curve: TrimCurve
) -> CutModel:
    """Flare a rectified surface and cut it along the trim line.

    Raises
    ------
    DesignRefused
        When the cut does not leave one piece with one edge.
    """
    flared = with_vertices(surface, surface.vertices + flare_mm[:, None] * basis.normals)
    above = -curve.below_mm(flared.vertices)
    clipped = clip_by_scalar(flared, above)
    if len(clipped.cut_loops) != 1:
        _refuse(basis, clipped)
    return CutModel(clipped, above <= 0.0)


def _refuse(basis: ShapeBasis, clipped: ClippedMesh) -> None:
    if not clipped.cut_loops:
        raise DesignRefused(
            "The trim line does not meet the limb: nothing is cut. Check its heights.",
            where="shape.trim",
        )
    stray = clipped.mesh.vertices[clipped.cut_loops[-1]].mean(axis=0)
    raise DesignRefused(
        f"The trim line cuts the limb in {len(clipped.cut_loops)} places instead of one: also"
        f" {place_words(basis.limb, stray)}. Move the line away from there.",
        where="shape.trim",
    )
