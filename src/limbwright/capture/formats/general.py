"""OBJ and GLB, through a general mesh library; GLB is in metres by its standard."""

from __future__ import annotations

import io
import json
import logging
from pathlib import Path
from typing import Any

import numpy as np
import trimesh

from limbwright.capture.formats.common import raw_scan, refuse, refuse_size
from limbwright.capture.result import RawScan
from limbwright.core.units import LengthUnit

# What the library says about a file is said here in a refusal, not beside it.
logging.getLogger("trimesh").addHandler(logging.NullHandler())

_APPEARANCE = ("KHR_materials", "KHR_texture", "EXT_texture", "KHR_lights")
"""What a GLB file may ask of a reader without its shape being at stake."""
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
        When the file is not GLB, is compressed, has no triangles or is too large.
    """
    _check_glb(path, max_triangles)
    scan = _read(path, "glb", max_triangles)
    return RawScan(scan.vertices, scan.faces, LengthUnit.M)


def _read(path: Path, kind: str, max_triangles: int) -> RawScan:
    try:
        # From memory, so that no file which this one names is opened.
        content = io.BytesIO(path.read_bytes())
        mesh = trimesh.load_mesh(content, file_type=kind, process=False, skip_materials=True)
        vertices = np.asarray(mesh.vertices, dtype=np.float64)
        faces = np.asarray(mesh.faces, dtype=np.int64)
    except (OSError, MemoryError):
        raise
    # The library lets through whatever its parsers stumble over, of any type and in its words.
    except Exception:
        refuse(path, f"this cannot be read as {kind.upper()}", "export the scan again")
    refuse_size(path, len(faces), max_triangles)
    return raw_scan(path, vertices, faces)


def _check_glb(path: Path, max_triangles: int) -> None:
    """Refuse a GLB whose shape the library would misread, look for elsewhere or make room for."""
    description = _glb_json(path)
    names = _list(description, "extensionsRequired", str)
    needed = [name for name in names if not name.startswith(_APPEARANCE)]
    if needed:
        refuse(
            path,
            f"its shape is stored with {', '.join(needed)}, which is not read here",
            "export the scan without compression",
        )
    if any("uri" in buffer for buffer in _list(description, "buffers", dict)):
        refuse(path, "its shape is stored in another file", "export the scan as one file")
    counts = [item.get("count") for item in _list(description, "accessors", dict)]
    largest = max((count for count in counts if isinstance(count, int)), default=0)
    refuse_size(path, largest // 3, max_triangles)


def _list(description: dict[str, Any], name: str, kind: type) -> list[Any]:
    """Entries of the expected kind; what else stands there, the library refuses."""
    found = description.get(name)
    return [item for item in found if isinstance(item, kind)] if isinstance(found, list) else []


def _glb_json(path: Path) -> dict[str, Any]:
    """The description at the head of a GLB; empty where there is none to read."""
    with path.open("rb") as stream:
        head = stream.read(20)
        text = stream.read(int.from_bytes(head[12:16], "little")) if head[:4] == b"glTF" else b""
    try:
        found = json.loads(text)
    except (ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}
