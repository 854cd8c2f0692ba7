"""The binary STL record, and writing it: for scans as for parts."""

from __future__ import annotations

import numpy as np

from limbwright.core.mesh import Mesh, face_normals

RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
"""One triangle of a binary STL file, 50 bytes."""
HEADER_BYTES = 80


def stl_file(mesh: Mesh, header: str) -> bytes:
    """A mesh as binary STL, its corners as they are.

    Parameters
    ----------
    mesh : Mesh
    header : str
        Up to 80 characters; STL itself states no unit.
    """
    faces = np.zeros(len(mesh.faces), dtype=RECORD)
    faces["normal"] = face_normals(mesh)
    faces["corners"] = mesh.vertices[mesh.faces]
    start = header.encode("ascii", "replace")[:HEADER_BYTES].ljust(HEADER_BYTES, b" ")
    return start + np.uint32(len(faces)).tobytes() + faces.tobytes()
