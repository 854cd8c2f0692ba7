"""Every kind of scan file, whole and broken."""

import ctypes
import json
import os
import re
import struct
import zipfile

import lib3mf
import numpy as np
import pytest
import trimesh

from capture_bodies import leg_mesh
from limbwright.capture.read import read_bone, read_scan
from limbwright.core.errors import CannotRead, InvalidScan
from limbwright.core.units import LengthUnit

LEG = leg_mesh(edge_mm=12.0)
PEER = trimesh.Trimesh(LEG.vertices, LEG.faces, process=False)
QUAD_FACES = ((0, 1, 2, 3), (0, 1, 4), (0, 4, 3, 2, 1))
QUAD_POINTS = ((0, 0, 0), (1, 0, 0), (1, 1, 0), (0, 1, 0), (0.5, 0.5, 1))
QUAD_TRIANGLES = [[0, 1, 2], [0, 2, 3], [0, 1, 4], [0, 4, 3], [0, 3, 2], [0, 2, 1]]


def write_3mf(path, unit=lib3mf.ModelUnit.MilliMeter, shift=0.0):
    wrapper = lib3mf.get_wrapper()
    model = wrapper.CreateModel()
    model.SetUnit(unit)
    mesh = model.AddMeshObject()
    positions = (lib3mf.Position * len(LEG.vertices))()
    np.frombuffer(positions, np.float32).reshape(-1, 3)[:] = LEG.vertices
    triangles = (lib3mf.Triangle * len(LEG.faces))()
    np.frombuffer(triangles, np.uint32).reshape(-1, 3)[:] = LEG.faces
    mesh.SetGeometry(positions, triangles)
    place = wrapper.GetTranslationTransform(shift, 0.0, 0.0)
    model.AddBuildItem(mesh, place)
    model.QueryWriter("3mf").WriteToFile(str(path))


def stl_text(mesh=PEER):
    return trimesh.exchange.stl.export_stl_ascii(mesh)


def ply_header(points, faces, form="ascii", corner_list="property list uchar int vertex_indices"):
    return (
        f"ply\nformat {form} 1.0\nelement vertex {points}\nproperty float x\nproperty float y\n"
        f"property float z\nelement face {faces}\n{corner_list}\nend_header\n"
    ).encode()


def triangles_of(scan):
    return scan.vertices[scan.faces]


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("a.stl", lambda: PEER.export(file_type="stl")),
        ("A.STL", lambda: PEER.export(file_type="stl")),
        ("text.stl", lambda: stl_text().encode()),
        ("shouting.stl", lambda: stl_text().upper().encode()),
        ("a.ply", lambda: PEER.export(file_type="ply")),
        ("text.ply", lambda: PEER.export(file_type="ply", encoding="ascii")),
        ("a.obj", lambda: PEER.export(file_type="obj").encode()),
        ("a.glb", lambda: PEER.export(file_type="glb")),
    ],
)
def test_every_kind_of_file_gives_the_triangles_that_were_written(tmp_path, name, content):
    (tmp_path / name).write_bytes(content())
    scan = read_scan(tmp_path / name)
    assert triangles_of(scan) == pytest.approx(LEG.vertices[LEG.faces], abs=2e-5)
    assert scan.declared_unit is (LengthUnit.M if name.endswith("glb") else None)


@pytest.mark.parametrize(
    ("unit", "declared", "factor"),
    [
        ("MilliMeter", LengthUnit.MM, 1.0),
        ("CentiMeter", LengthUnit.CM, 1.0),
        ("Inch", LengthUnit.INCH, 1.0),
        ("Meter", LengthUnit.M, 1.0),
        ("Foot", LengthUnit.INCH, 12.0),
        ("MicroMeter", LengthUnit.MM, 0.001),
    ],
)
def test_a_3mf_file_declares_its_unit_and_places_its_mesh(tmp_path, unit, declared, factor):
    write_3mf(tmp_path / "a.3mf", getattr(lib3mf.ModelUnit, unit), shift=7.0)
    scan = read_scan(tmp_path / "a.3mf")
    assert scan.declared_unit is declared
    wanted = (LEG.vertices + np.array([7.0, 0.0, 0.0]))[LEG.faces] * factor
    assert triangles_of(scan) == pytest.approx(wanted, abs=2e-5 * max(1.0, factor))


def test_a_binary_stl_whose_header_says_solid_is_read_as_binary(tmp_path):
    content = bytearray(PEER.export(file_type="stl"))
    content[:80] = b"solid leg".ljust(80)
    (tmp_path / "a.stl").write_bytes(content)
    assert len(read_scan(tmp_path / "a.stl").faces) == len(LEG.faces)


def test_a_text_stl_longer_than_one_piece_is_read_whole(tmp_path, monkeypatch):
    monkeypatch.setattr("limbwright.capture.formats.stl._CHUNK_BYTES", 5000)
    (tmp_path / "a.stl").write_text(stl_text())
    assert triangles_of(read_scan(tmp_path / "a.stl")) == pytest.approx(
        LEG.vertices[LEG.faces], abs=2e-5
    )


def test_polygons_in_text_ply_become_fans(tmp_path):
    rows = "".join(f"{x} {y} {z}\n" for x, y, z in QUAD_POINTS)
    rows += "".join(" ".join(map(str, (len(f), *f))) + "\n" for f in QUAD_FACES)
    (tmp_path / "a.ply").write_bytes(ply_header(5, 3) + rows.encode())
    scan = read_scan(tmp_path / "a.ply")
    assert scan.faces.tolist() == QUAD_TRIANGLES
    assert scan.vertices.tolist() == [list(map(float, p)) for p in QUAD_POINTS]


@pytest.mark.parametrize(("form", "order"), [("little", "<"), ("big", ">")])
def test_polygons_in_binary_ply_of_either_byte_order_become_fans(tmp_path, form, order):
    rows = b"".join(struct.pack(f"{order}3f", *p) for p in QUAD_POINTS)
    rows += b"".join(struct.pack(f"{order}B{len(f)}i", len(f), *f) for f in QUAD_FACES)
    header = ply_header(5, 3, f"binary_{form}_endian")
    (tmp_path / "a.ply").write_bytes(header + rows)
    assert read_scan(tmp_path / "a.ply").faces.tolist() == QUAD_TRIANGLES


def test_ply_with_colours_quality_and_texture_lists_keeps_its_shape(tmp_path):
    header = (
        b"ply\nformat binary_little_endian 1.0\ncomment scanned\nelement vertex 5\n"
        b"property double x\nproperty double y\nproperty double z\nproperty uchar red\n"
        b"element face 2\nproperty list uchar uint vertex_index\n"
        b"property list uchar float texcoord\nproperty uchar flags\nend_header\n"
    )
    rows = b"".join(struct.pack("<3dB", *p, 9) for p in QUAD_POINTS)
    rows += struct.pack("<B3IB6fB", 3, 0, 1, 4, 6, *range(6), 1)
    rows += struct.pack("<B3IB0fB", 3, 1, 2, 4, 0, 1)
    (tmp_path / "a.ply").write_bytes(header + rows)
    assert read_scan(tmp_path / "a.ply").faces.tolist() == [[0, 1, 4], [1, 2, 4]]


def test_polygons_and_backward_indices_in_obj_are_read(tmp_path):
    lines = [f"v {x} {y} {z}" for x, y, z in QUAD_POINTS] + ["f 1 2 3 4", "f -5//1 -4//1 -1//1"]
    (tmp_path / "a.obj").write_text("\n".join(lines) + "\n")
    scan = read_scan(tmp_path / "a.obj")
    corners = {tuple(map(tuple, tri)) for tri in triangles_of(scan)}
    assert len(scan.faces) == 3
    assert tuple(map(lambda i: tuple(map(float, QUAD_POINTS[i])), (0, 1, 4))) in corners


def test_all_parts_of_a_glb_scene_are_placed(tmp_path):
    scene = trimesh.Scene()
    scene.add_geometry(PEER, transform=np.diag([2.0, 2.0, 2.0, 1.0]))
    scene.add_geometry(PEER, transform=trimesh.transformations.translation_matrix([500, 0, 0]))
    (tmp_path / "a.glb").write_bytes(scene.export(file_type="glb"))
    scan = read_scan(tmp_path / "a.glb")
    assert len(scan.faces) == 2 * len(LEG.faces)
    wanted = np.maximum(
        2 * LEG.vertices.max(axis=0), LEG.vertices.max(axis=0) + np.array([500, 0, 0])
    )
    assert scan.vertices.max(axis=0) == pytest.approx(wanted, abs=1e-3)


def test_a_bone_comes_in_millimetres(tmp_path):
    (tmp_path / "tibia.stl").write_bytes(PEER.export(file_type="stl"))
    bone = read_bone(tmp_path / "tibia.stl", LengthUnit.CM)
    assert np.ptp(bone.vertices[:, 2]) == pytest.approx(10 * np.ptp(LEG.vertices[:, 2]), rel=1e-6)


def refused(path, words, kind=InvalidScan, **options):
    with pytest.raises(kind, match=words) as caught:
        read_scan(path, **options)
    assert caught.value.where == str(path)
    # One sentence for a person: it ends like one and shows no program text.
    assert caught.value.message.endswith(".")
    assert not re.search(r"Traceback|Error\(|np\.|dtype", caught.value.message)
    return caught.value


def test_a_missing_file_is_named(tmp_path):
    refused(tmp_path / "none.stl", "does not exist", CannotRead)


def test_a_folder_in_place_of_a_file_is_refused(tmp_path):
    (tmp_path / "a.stl").mkdir()
    refused(tmp_path / "a.stl", "is a folder", CannotRead)


@pytest.mark.skipif(os.geteuid() == 0, reason="the super-user may read everything")
def test_a_file_that_may_not_be_read_is_refused(tmp_path):
    (tmp_path / "a.stl").write_bytes(PEER.export(file_type="stl"))
    (tmp_path / "a.stl").chmod(0)
    refused(tmp_path / "a.stl", "check its permissions", CannotRead)


def test_a_read_that_fails_half_way_is_refused(tmp_path, monkeypatch):
    (tmp_path / "a.ply").write_bytes(PEER.export(file_type="ply"))

    def fail(self):
        raise OSError(5, "Input/output error")

    monkeypatch.setattr("pathlib.Path.read_bytes", fail)
    refused(tmp_path / "a.ply", "Input/output error", CannotRead)


def test_an_unknown_ending_lists_the_known_ones(tmp_path):
    (tmp_path / "a.step").write_text("x")
    refused(tmp_path / "a.step", r"\.stl, \.ply, \.obj, \.3mf and \.glb", CannotRead)


@pytest.mark.parametrize("kind", ["stl", "ply", "obj", "3mf", "glb"])
def test_an_empty_file_is_refused(tmp_path, kind):
    (tmp_path / f"a.{kind}").write_bytes(b"")
    refused(tmp_path / f"a.{kind}", "empty")


@pytest.mark.parametrize("kind", ["stl", "ply", "obj", "3mf", "glb"])
def test_text_that_is_no_mesh_is_refused(tmp_path, kind):
    (tmp_path / f"a.{kind}").write_text("Dear colleague,\nthe scan follows.\n" * 40)
    refused(tmp_path / f"a.{kind}", "not|no triangles|cannot be read")


@pytest.mark.parametrize("kind", ["stl", "ply", "obj", "3mf", "glb"])
def test_random_bytes_are_refused(tmp_path, kind):
    noise = np.random.default_rng(3).integers(0, 256, 5000, dtype=np.uint8).tobytes()
    (tmp_path / f"a.{kind}").write_bytes(noise)
    refused(tmp_path / f"a.{kind}", "cut off|not|cannot be read")


def whole_files(tmp_path):
    write_3mf(tmp_path / "whole.3mf")
    return {
        "binary.stl": PEER.export(file_type="stl"),
        "text.stl": stl_text().encode(),
        "binary.ply": PEER.export(file_type="ply"),
        "text.ply": PEER.export(file_type="ply", encoding="ascii"),
        "a.glb": PEER.export(file_type="glb"),
        "a.3mf": (tmp_path / "whole.3mf").read_bytes(),
    }


@pytest.mark.parametrize("share", [0.02, 0.4, 0.97])
def test_a_cut_off_file_is_refused_and_not_read_in_part(tmp_path, share):
    for name, content in whole_files(tmp_path).items():
        (tmp_path / name).write_bytes(content[: int(share * len(content))])
        refused(tmp_path / name, "cut off|cannot be read|number is missing")


def test_a_cut_off_stl_says_how_much_is_there(tmp_path):
    content = PEER.export(file_type="stl")
    (tmp_path / "a.stl").write_bytes(content[: 84 + 50 * 100 + 7])
    refused(tmp_path / "a.stl", rf"100 of {len(LEG.faces):,} triangles")


@pytest.mark.parametrize("word", ["nan", "inf", "-inf"])
@pytest.mark.parametrize("kind", ["stl", "ply", "obj"])
def test_coordinates_that_are_not_numbers_are_refused(tmp_path, word, kind):
    text = {
        "stl": stl_text(),
        "ply": PEER.export(file_type="ply", encoding="ascii").decode(),
        "obj": PEER.export(file_type="obj"),
    }[kind]
    (tmp_path / f"a.{kind}").write_text(re.sub(r"(?<= )[\d.]+(?= [\d.]+\n)", word, text, count=1))
    refused(tmp_path / f"a.{kind}", "not a number")


@pytest.mark.parametrize("bad", [float("nan"), float("inf")])
def test_a_binary_scan_with_a_coordinate_that_is_not_a_number_is_refused(tmp_path, bad):
    content = bytearray(PEER.export(file_type="stl"))
    content[84 + 50 * 7 + 12 : 84 + 50 * 7 + 16] = struct.pack("<f", bad)
    (tmp_path / "a.stl").write_bytes(content)
    refused(tmp_path / "a.stl", "1 of .* points have .* not a number .the first is point 21.")


@pytest.mark.parametrize("kind", ["stl", "ply", "obj"])
def test_words_in_place_of_numbers_are_refused(tmp_path, kind):
    text = {
        "stl": stl_text(),
        "ply": PEER.export(file_type="ply", encoding="ascii").decode(),
        "obj": PEER.export(file_type="obj"),
    }[kind]
    (tmp_path / f"a.{kind}").write_text(re.sub(r"(\d)\.(\d+)", r"\1.x\2", text, count=3))
    refused(tmp_path / f"a.{kind}", "number|cannot be read")


def test_a_face_that_names_a_missing_point_is_refused(tmp_path):
    rows = b"0 0 0\n1 0 0\n0 1 1\n3 0 1 7\n"
    (tmp_path / "a.ply").write_bytes(ply_header(3, 1) + rows)
    refused(tmp_path / "a.ply", "triangle 1 names point 7 of 3")
    (tmp_path / "a.obj").write_text("v 0 0 0\nv 1 0 0\nv 0 1 1\nf 1 2 7\n")
    refused(tmp_path / "a.obj", "OBJ")


def test_points_without_triangles_are_refused(tmp_path):
    (tmp_path / "a.stl").write_bytes(b"\0" * 84)
    refused(tmp_path / "a.stl", "no triangles")
    (tmp_path / "b.stl").write_text("solid leg\nendsolid leg\n")
    refused(tmp_path / "b.stl", "no triangle")
    cloud = b"ply\nformat ascii 1.0\nelement vertex 1\nproperty float x\nproperty float y\n"
    (tmp_path / "a.ply").write_bytes(cloud + b"property float z\nend_header\n0 0 0\n")
    refused(tmp_path / "a.ply", "no triangles")
    (tmp_path / "a.obj").write_text("v 0 0 0\nv 1 0 0\nv 0 1 1\n")
    refused(tmp_path / "a.obj", "no triangles")


@pytest.mark.parametrize("flat", [1, 3])
def test_a_scan_without_extent_is_refused(tmp_path, flat):
    points = LEG.vertices * np.where(np.arange(3) < 3 - flat, 1.0, 0.0)
    content = trimesh.Trimesh(points, LEG.faces, process=False).export(file_type="stl")
    (tmp_path / "a.stl").write_bytes(content)
    refused(tmp_path / "a.stl", "one plane, line or point")


def test_too_many_triangles_are_refused_with_count_and_limit(tmp_path):
    for name, content in whole_files(tmp_path).items():
        (tmp_path / name).write_bytes(content)
        refused(tmp_path / name, "limit is 1,000|limit is 1000", max_triangles=1000)
    refused(tmp_path / "binary.stl", f"has {len(LEG.faces):,} triangles", max_triangles=1000)


def test_a_coordinate_no_scan_can_have_is_refused(tmp_path):
    text = PEER.export(file_type="obj")
    (tmp_path / "a.obj").write_text(re.sub(r"(?<= )[\d.]+(?= [\d.]+\n)", "1e300", text, count=1))
    refused(tmp_path / "a.obj", "1 of .* points have a coordinate beyond")


def test_a_damaged_count_in_a_ply_header_does_not_set_how_long_reading_takes(tmp_path):
    header = ply_header(99_999_999_999, 1, "binary_little_endian")
    (tmp_path / "a.ply").write_bytes(header + b"\0" * 100)
    refused(tmp_path / "a.ply", "fewer than 99,999,999,999 vertex rows")


@pytest.mark.parametrize("word", ["1e30", "nan", "1.5"])
def test_a_corner_in_text_ply_that_is_no_whole_number_is_refused(tmp_path, word):
    rows = f"0 0 0\n1 0 0\n0 1 1\n3 0 1 {word}\n".encode()
    (tmp_path / "a.ply").write_bytes(ply_header(3, 1) + rows)
    refused(tmp_path / "a.ply", "a triangle names point")


def glb(description: dict) -> bytes:
    text = json.dumps(description).encode()
    text += b" " * (-len(text) % 4)
    body = struct.pack("<I4s", len(text), b"JSON") + text
    return b"glTF" + struct.pack("<II", 2, 12 + len(body)) + body


@pytest.mark.parametrize(
    ("description", "words"),
    [
        ({"extensionsRequired": ["KHR_draco_mesh_compression"]}, "KHR_draco_mesh_compression"),
        ({"buffers": [{"uri": "elsewhere.bin", "byteLength": 36}]}, "in another file"),
        ({"accessors": [{"count": 10**9, "type": "VEC3"}]}, "333,333,333 triangles"),
        ({"accessors": ["x"], "buffers": 5, "extensionsRequired": None}, "GLB|no triangles"),
    ],
)
def test_a_glb_that_would_be_misread_is_refused(tmp_path, description, words):
    (tmp_path / "a.glb").write_bytes(glb({"asset": {"version": "2.0"}, **description}))
    refused(tmp_path / "a.glb", words)


def test_a_small_3mf_that_unpacks_to_very_much_is_refused_unread(tmp_path):
    with zipfile.ZipFile(tmp_path / "a.3mf", "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("3D/3dmodel.model", b" " * 500_000)
    assert (tmp_path / "a.3mf").stat().st_size < 5_000
    refused(tmp_path / "a.3mf", "unpacks to 0 MB, more than 1,000", max_triangles=1000)


def test_parts_that_a_3mf_repeats_count_as_often_as_they_are_placed(tmp_path):
    wrapper = lib3mf.get_wrapper()
    model = wrapper.CreateModel()
    part = model.AddMeshObject()
    corners = [lib3mf.Position((ctypes.c_float * 3)(*p)) for p in QUAD_POINTS]
    triangles = [lib3mf.Triangle((ctypes.c_uint32 * 3)(*t)) for t in QUAD_TRIANGLES]
    part.SetGeometry(corners, triangles)
    for _ in range(4):
        group = model.AddComponentsObject()
        for _ in range(10):
            group.AddComponent(part, wrapper.GetIdentityTransform())
        part = group
    model.AddBuildItem(part, wrapper.GetIdentityTransform())
    model.QueryWriter("3mf").WriteToFile(str(tmp_path / "a.3mf"))
    refused(tmp_path / "a.3mf", "60,000 triangles", max_triangles=1000)


def test_the_count_in_a_header_alone_is_enough_to_refuse(tmp_path):
    (tmp_path / "a.ply").write_bytes(ply_header(10, 3_000_000, "binary_little_endian"))
    refused(tmp_path / "a.ply", "3,000,000 triangles and the limit is 2,000,000")
