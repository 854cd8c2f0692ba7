"""Taking scanner noise off a surface or a field without shrinking the limb."""

from __future__ import annotations

import numpy as np
import scipy.sparse as sp
from numpy.typing import NDArray

from limbwright.core.edges import BOUNDARY, edge_table, edge_vertices
from limbwright.core.mesh import Mesh, Scalars, with_vertices
from limbwright.core.topology import adjacency


def smooth(
    mesh: Mesh,
    iterations: int = 20,
    fixed: NDArray[np.bool_] | None = None,
    pass_band: float = 0.1,
) -> Mesh:
    """Take noise off a scan; long waves, and so girth and volume, stay.

    A windowed-sinc low-pass over the mesh (Taubin, Zhang and Golub 1996): a polynomial in the
    averaging operator, so that the shape does not shrink as with plain averaging. What it took
    away is passed through it once more and what comes out given back (twicing, Tukey 1977):
    without that its ripple changed the volume of a ball by up to 0.7 %, with it by 0.01 %.

    Parameters
    ----------
    mesh : Mesh
    iterations : int
        Averagings in all; more is a sharper cut between kept and removed waves.
    fixed : (n,) bool, optional
        Vertices that stay where they are; by default those on a rim.
    pass_band : float
        Cut-off, 0 to 2: 0.1 removes waves shorter than about 10 edges, 0.025 than 20.

    Raises
    ------
    ValueError
        When there is no face, iterations is negative, the pass band is not between 0 and 2,
        or `fixed` does not have one entry for each vertex.
    """
    if len(mesh.faces) == 0:
        raise ValueError("a mesh without faces cannot be smoothed")
    if fixed is None:
        fixed = rim_vertices(mesh)
    if iterations < 0:
        raise ValueError(f"iterations must not be negative, got {iterations}")
    if not 0.0 < pass_band < 2.0:
        raise ValueError(f"the pass band must lie between 0 and 2, got {pass_band}")
    average, degree = _averaging(mesh, fixed), (iterations + 1) // 2
    kept = _windowed_sinc(average, mesh.vertices, degree, pass_band)
    again = _windowed_sinc(average, mesh.vertices - kept, degree, pass_band)
    return with_vertices(mesh, kept + again)


def smooth_field(
    mesh: Mesh,
    values: Scalars,
    iterations: int = 10,
    fixed: NDArray[np.bool_] | None = None,
) -> Scalars:
    """Even out values given at the vertices; none leaves the range of its neighbours.

    Parameters
    ----------
    mesh : Mesh
    values : (n,) or (n, k) float64
    iterations : int
        Passes, each halfway to the mean of the neighbours.
    fixed : (n,) bool, optional
        Vertices that keep their value; by default none.

    Raises
    ------
    ValueError
        When values or `fixed` do not have one entry for each vertex, or iterations is negative.
    """
    out = np.array(values, dtype=np.float64)
    if len(out) != len(mesh.vertices):
        raise ValueError(f"{len(out)} values for {len(mesh.vertices)} vertices")
    if iterations < 0:
        raise ValueError(f"iterations must not be negative, got {iterations}")
    if fixed is None:
        fixed = np.zeros(len(out), dtype=np.bool_)
    average = _averaging(mesh, fixed)
    for _ in range(iterations):
        out = 0.5 * (out + average @ out)
    return out


def rim_vertices(mesh: Mesh) -> NDArray[np.bool_]:
    """(n,) True for vertices on a rim or hole."""
    out = np.zeros(len(mesh.vertices), dtype=np.bool_)
    twin = edge_table(mesh.faces, len(mesh.vertices)).twin
    out[edge_vertices(mesh.faces)[twin == BOUNDARY].ravel()] = True
    return out


def _averaging(mesh: Mesh, fixed: NDArray[np.bool_]) -> sp.csr_array:
    """Mean over neighbours as a matrix; a fixed or lone vertex keeps its own value."""
    count = len(mesh.vertices)
    if fixed.shape != (count,):
        raise ValueError(f"fixed must be ({count},), got {fixed.shape}")
    near = adjacency(mesh.faces, count)
    degree = np.diff(near.indptr)
    keep = fixed | (degree == 0)
    scale = np.where(keep, 0.0, 1.0 / np.maximum(degree, 1))
    kept = sp.diags_array(keep.astype(np.float64))
    return sp.csr_array(sp.diags_array(scale) @ near + kept)


def _windowed_sinc(
    average: sp.csr_array,
    values: NDArray[np.float64],
    degree: int,
    pass_band: float,
) -> NDArray[np.float64]:
    """Low-pass of values by a polynomial of a degree in the averaging operator."""
    n = np.arange(degree + 1)
    edge = np.arccos(1.0 - pass_band / 2.0)
    ideal = np.where(n == 0, edge / np.pi, 2.0 * np.sin(n * edge) / np.pi / np.maximum(n, 1))
    weight = ideal * (0.54 + 0.46 * np.cos(np.pi * n / (degree + 1)))
    weight = weight / weight.sum()  # what is constant, and what is fixed, passes unchanged
    # Chebyshev polynomials of 1 - K/2, K = 1 - average, by their three-term rule
    before, now = values, 0.5 * (values + average @ values)
    out = weight[0] * before + (weight[1] * now if degree else 0.0)
    for w in weight[2:]:
        before, now = now, now + average @ now - before
        out = out + w * now
    return np.asarray(out, dtype=np.float64)
