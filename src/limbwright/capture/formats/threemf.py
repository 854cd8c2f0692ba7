"""3MF; the file itself states its unit."""

from __future__ import annotations

import zipfile
from pathlib import Path
from typing import Any

import lib3mf
import numpy as np

from limbwright.capture.formats.common import check_indices, refuse, refuse_size
from limbwright.capture.result import RawScan
from limbwright.core.units import LengthUnit

_UNITS = {
    lib3mf.ModelUnit.MicroMeter: (0.001, LengthUnit.MM),
    lib3mf.ModelUnit.MilliMeter: (1.0, LengthUnit.MM),
    lib3mf.ModelUnit.CentiMeter: (1.0, LengthUnit.CM),
    lib3mf.ModelUnit.Inch: (1.0, LengthUnit.INCH),
    lib3mf.ModelUnit.Foot: (12.0, LengthUnit.INCH),
    lib3mf.ModelUnit.Meter: (1.0, LengthUnit.M),
}
"""Factor to, and name of, the unit that is handed on for each unit of the format."""


_MAX_BYTES_PER_TRIANGLE = 200
"""Twice what a triangle takes with half a point, in long decimals and with a colour."""


def read_3mf(path: Path, max_triangles: int) -> RawScan:
    """Everything that the build of a 3MF file places, as one mesh.

    Parameters
    ----------
    path : Path
    max_triangles : int

    Raises
    ------
    InvalidScan
        When the file is not 3MF, has no mesh or is too large.
    """
    _check_unpacked(path, max_triangles)
    model = _model(path)
    triangles = _placed(model)
    refuse_size(path, triangles, max_triangles)
    if triangles == 0:
        refuse(path, "the file has no triangles", "export the scan as a surface")
    factor, unit = _UNITS[model.GetUnit()]
    merged = model.MergeToModel()
    vertices, faces, offset = [], [], 0
    meshes = merged.GetMeshObjects()
    while meshes.MoveNext():
        mesh = meshes.GetCurrentMeshObject()
        points = _numbers(mesh.GetVertices(), np.float32)
        faces.append(_numbers(mesh.GetTriangleIndices(), np.uint32).astype(np.int64) + offset)
        vertices.append(points.astype(np.float64) * factor)
        offset += len(points)
    corners = np.concatenate(faces)
    check_indices(path, corners, offset)
    return RawScan(np.concatenate(vertices), corners.astype(np.int32), unit)


def _model(path: Path) -> Any:
    model = lib3mf.get_wrapper().CreateModel()
    try:
        model.QueryReader("3mf").ReadFromFile(str(path))
    except lib3mf.ELib3MFException:
        refuse(path, "this cannot be read as 3MF", "export the scan again")
    return model


def _check_unpacked(path: Path, max_triangles: int) -> None:
    """Refuse a small file that unpacks to far more than a scan needs."""
    try:
        with zipfile.ZipFile(path) as packed:
            size = sum(item.file_size for item in packed.infolist())
    except zipfile.BadZipFile:
        return  # the reader says so in its own words
    if size > max_triangles * _MAX_BYTES_PER_TRIANGLE:
        refuse(
            path,
            f"it unpacks to {size / 2**20:,.0f} MB, more than {max_triangles:,} triangles need",
            "reduce it in the scanner's own software and export it again",
        )


def _placed(model: Any) -> int:
    """Triangles that the build places, those of repeated parts as often as they stand there."""
    known: dict[int, int] = {}
    items, total = model.GetBuildItems(), 0
    while items.MoveNext():
        total += _triangles(items.GetCurrent().GetObjectResource(), known)
    return total


def _triangles(part: Any, known: dict[int, int]) -> int:
    name = part.GetUniqueResourceID()
    if name not in known:
        if part.IsComponentsObject():
            inner = (part.GetComponent(i) for i in range(part.GetComponentCount()))
            known[name] = sum(_triangles(item.GetObjectResource(), known) for item in inner)
        else:
            known[name] = int(part.GetTriangleCount()) if part.IsMeshObject() else 0
    return known[name]


def _numbers(structs: list[Any], dtype: type) -> np.ndarray[Any, Any]:
    """Rows of three from the library's records."""
    return np.frombuffer(b"".join(structs), dtype=dtype).reshape(-1, 3)
