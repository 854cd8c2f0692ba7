"""Parts as 3MF and STL bytes, in millimetres, the side in the part's name."""

from __future__ import annotations

import lib3mf
import numpy as np

from limbwright.core.stl import stl_file
from limbwright.make.result import Part


def part_title(part: Part) -> str:
    """Name with side, as written into files."""
    return f"{part.name}, {part.side.value}"


def stl_bytes(part: Part) -> bytes:
    """Binary STL; the header names part, side and unit."""
    return stl_file(part.mesh, f"{part_title(part)}, mm")


def threemf_bytes(part: Part) -> bytes:
    """3MF with the unit stated and the side in object name and title."""
    wrapper = lib3mf.get_wrapper()
    model = wrapper.CreateModel()
    model.SetUnit(lib3mf.ModelUnit.MilliMeter)
    group = model.GetMetaDataGroup()
    group.AddMetaData("", "Title", part_title(part), "xs:string", True)
    body = model.AddMeshObject()
    body.SetName(part_title(part))
    vertices = np.ascontiguousarray(part.mesh.vertices, dtype=np.float32)
    faces = np.ascontiguousarray(part.mesh.faces, dtype=np.uint32)
    positions = (lib3mf.Position * len(vertices)).from_buffer_copy(vertices.tobytes())
    triangles = (lib3mf.Triangle * len(faces)).from_buffer_copy(faces.tobytes())
    body.SetGeometry(positions, triangles)
    model.AddBuildItem(body, wrapper.GetIdentityTransform())
    return bytes(model.QueryWriter("3mf").WriteToBuffer())
