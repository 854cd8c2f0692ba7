"""OBJ and GLB, through a general mesh library; GLB is in metres by its standard."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import trimesh

from limbwright.capture.formats.common import raw_scan, refuse, refuse_size
from limbwright.capture.result import RawScan
from limbwright.core.units import LengthUnit

_MAX_OBJ_BYTES_PER_TRIANGLE = 300
"""Twice what a triangle takes with half a point, texture place and normal in long decimals."""


def read_obj(path: Path, max_triangles: int) -> RawScan:
    """Vertices and faces of an OBJ file; polygons become fans of triangles.

    Raises
    ------
    InvalidScan
        When the file is not OBJ, has no faces or is too large.
    """
    size = path.stat().st_size
    if size > max_triangles * _MAX_OBJ_BYTES_PER_TRIANGLE:
        refuse_size(path, size // _MAX_OBJ_BYTES_PER_TRIANGLE, max_triangles)
    return _read(path, "obj", max_triangles)


def read_glb(path: Path, max_triangles: int) -> RawScan:
    """All meshes of a GLB file, placed as its scene places them.

    Raises
    ------
    InvalidScan
        When the file is not GLB, has no triangles or is too large.
    """
    scan = _read(path, "glb", max_triangles)
    return RawScan(scan.vertices, scan.faces, LengthUnit.M)


def _read(path: Path, kind: str, max_triangles: int) -> RawScan:
    try:
        with path.open("rb") as stream:
            mesh = trimesh.load_mesh(stream, file_type=kind, process=False)
        vertices = np.asarray(mesh.vertices, dtype=np.float64)
        faces = np.asarray(mesh.faces, dtype=np.int64)
    # The library lets through whatever its parsers stumble over, of any type.
    except Exception as error:
        refuse(path, f"this cannot be read as {kind.upper()} ({error})", "export the scan again")
    refuse_size(path, len(faces), max_triangles)
    return raw_scan(path, vertices, faces)
