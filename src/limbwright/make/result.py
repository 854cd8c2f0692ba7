"""What is made."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.core.findings import Finding
from limbwright.core.frame import Side
from limbwright.core.mesh import Mesh


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """A solid as it is made: in the patient's right-handed frame, its side carried along.

    Parameters
    ----------
    name : str
        "socket shell" or "positive model".
    side : Side
    mesh : Mesh
        Closed, manifold, winding outward, mm; x right, y forward, z up.
    volume_ml : float
    drawn : Mesh
        The same with far fewer triangles, for pictures alone; see `making.DRAWN_MM`.
    """

    name: str
    side: Side
    mesh: Mesh
    volume_ml: float
    drawn: Mesh


@dataclass(frozen=True, slots=True, eq=False)
class Made:
    """The parts of a case and what checking them found.

    Parameters
    ----------
    shell : Part
    positive : Part
    wall_median_mm, wall_p02_mm, wall_p98_mm : float
        Wall measured on the finished shell away from brim and coupling seat.
    material_volume_ml : float
    findings : tuple of Finding
    wall_drawn_mm : (n,) float64
        Thickness of the shell at each vertex of its drawn mesh, square through it: the least of
        the faces around, so that rims and edges read as the wall they end.
    """

    shell: Part
    positive: Part
    wall_median_mm: float
    wall_p02_mm: float
    wall_p98_mm: float
    material_volume_ml: float
    findings: tuple[Finding, ...]
    wall_drawn_mm: NDArray[np.float64]
