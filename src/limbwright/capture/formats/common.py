"""What every mesh file reader hands over, and how it refuses."""

from __future__ import annotations

from pathlib import Path
from typing import NoReturn

import numpy as np
from numpy.typing import NDArray

from limbwright.capture.result import RawScan
from limbwright.core.errors import InvalidScan


def refuse(path: Path, problem: str, advice: str) -> NoReturn:
    """Refuse a mesh file in one sentence.

    Raises
    ------
    InvalidScan
        Always.
    """
    raise InvalidScan(f"{path.name}: {problem}; {advice}.", where=str(path))


def refuse_truncated(path: Path, found: str) -> NoReturn:
    """Refuse a file that ends before what its header promises.

    Raises
    ------
    InvalidScan
        Always.
    """
    refuse(path, f"the file is cut off ({found})", "copy or export it again")


def refuse_size(path: Path, triangles: int, max_triangles: int) -> None:
    """Refuse a mesh with more triangles than the limit.

    Raises
    ------
    InvalidScan
        When there are too many.
    """
    if triangles > max_triangles:
        refuse(
            path,
            f"the mesh has {triangles:,} triangles and the limit is {max_triangles:,}",
            "reduce it in the scanner's own software and export it again",
        )


def fans(corner_counts: NDArray[np.int64], corners: NDArray[np.int64]) -> NDArray[np.int64]:
    """Triangles of polygons, each polygon as a fan about its first corner.

    Parameters
    ----------
    corner_counts : (p,) int64
        Corners of each polygon; those with fewer than three give no triangle.
    corners : (sum of corner_counts,) int64
        Vertex index of each corner, polygon after polygon.

    Returns
    -------
    (m, 3) int64
    """
    triangles = np.maximum(corner_counts - 2, 0)
    first = np.repeat(np.cumsum(corner_counts) - corner_counts, triangles)
    step = np.arange(int(triangles.sum())) - np.repeat(np.cumsum(triangles) - triangles, triangles)
    picks = np.stack([first, first + step + 1, first + step + 2], axis=1)
    return np.asarray(corners[picks])


def raw_scan(path: Path, vertices: NDArray[np.float64], faces: NDArray[np.int64]) -> RawScan:
    """A scan without a declared unit, its indices checked.

    Raises
    ------
    InvalidScan
        When a face names a vertex that the file does not have.
    """
    check_indices(path, faces, len(vertices))
    return RawScan(vertices, faces.astype(np.int32), None)


def check_indices(path: Path, faces: NDArray[np.int64], vertex_count: int) -> None:
    """Refuse faces that name a vertex which the file does not have.

    Raises
    ------
    InvalidScan
        When one does.
    """
    if len(faces) == 0:
        return
    outside = (faces < 0) | (faces >= vertex_count)
    if outside.any():
        row = int(np.flatnonzero(outside.any(axis=1))[0])
        name = int(faces[row][outside[row]][0])
        refuse(
            path,
            f"triangle {row + 1:,} names point {name:,} of {vertex_count:,}",
            "the file is damaged: export it again",
        )
