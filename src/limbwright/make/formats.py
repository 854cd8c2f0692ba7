"""Parts as 3MF and STL bytes, in millimetres, the side in the part's name."""

from __future__ import annotations

import hashlib
import uuid

import lib3mf
import numpy as np

from limbwright.core.mesh import Mesh
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
    return threemf_of(part.mesh, part_title(part))


def threemf_of(mesh: Mesh, title: str) -> bytes:
    """3MF of a closed mesh, mm; the title stands in the file and on its object."""
    wrapper = lib3mf.get_wrapper()
    model = wrapper.CreateModel()
    model.SetUnit(lib3mf.ModelUnit.MilliMeter)
    group = model.GetMetaDataGroup()
    group.AddMetaData("", "Title", title, "xs:string", True)
    body = model.AddMeshObject()
    body.SetName(title)
    vertices = np.ascontiguousarray(mesh.vertices, dtype=np.float32)
    faces = np.ascontiguousarray(mesh.faces, dtype=np.uint32)
    positions = (lib3mf.Position * len(vertices)).from_buffer_copy(vertices.tobytes())
    triangles = (lib3mf.Triangle * len(faces)).from_buffer_copy(faces.tobytes())
    body.SetGeometry(positions, triangles)
    item = model.AddBuildItem(body, wrapper.GetIdentityTransform())
    # The library's own identifiers are drawn anew each time: the same part gives the same file.
    content = title.encode() + vertices.tobytes() + faces.tobytes()
    model.SetBuildUUID(_identifier(b"build", content))
    body.SetUUID(_identifier(b"body", content))
    item.SetUUID(_identifier(b"item", content))
    return bytes(model.QueryWriter("3mf").WriteToBuffer())


def _identifier(role: bytes, content: bytes) -> str:
    digest = hashlib.sha256(role + content).digest()
    return str(uuid.UUID(bytes=digest[:16], version=5))
