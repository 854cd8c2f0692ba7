"""Hardware solids: meshes against closed forms and against the exact solids of a CAD kernel."""

import math
import sys
from itertools import product

import numpy as np
import pytest
import trimesh

from limbwright.case.parts_file import example_parts, parse_parts
from limbwright.cli import main
from limbwright.core.errors import BadInput
from limbwright.core.mesh import volume_mm3
from limbwright.core.topology import is_closed_manifold
from limbwright.couple.part_solid import SEGMENTS, part_mesh
from limbwright.couple.part_step import step_bytes, step_volume_mm3

PARTS = {part.key: part for part in parse_parts(example_parts(), "examples")}
FACETS = SEGMENTS / (2 * math.pi) * math.sin(2 * math.pi / SEGMENTS)
"""Section of a round drawn with flats, as a share of the round."""


def disc(diameter_mm, height_mm):
    return math.pi / 4 * diameter_mm**2 * height_mm


def closed_form_mm3(key):
    """Volume by hand, of parts whose bodies do not cross."""
    part = PARTS[key]
    if key == "example-pylon":
        inner = part.outside_mm - 2 * part.wall_mm
        return disc(part.outside_mm, part.length_mm) - disc(inner, part.length_mm)
    if key == "example-dummy-ring":
        return disc(part.outside_mm, part.height_mm) - disc(part.inside_mm, part.height_mm)
    if key == "example-foot":
        return part.length_mm * part.width_mm * part.height_mm
    holes = 4 * disc(part.screw_diameter_mm, part.thickness_mm)
    holes += disc(part.centre_hole_mm, part.thickness_mm)
    return part.side_mm**2 * part.thickness_mm - holes


@pytest.mark.parametrize(
    "key", ["example-pylon", "example-dummy-ring", "example-foot", "example-square-plate"]
)
def test_volumes_are_those_of_the_closed_forms(key):
    assert step_volume_mm3(PARTS[key]) == pytest.approx(closed_form_mm3(key), rel=1e-9)
    assert volume_mm3(part_mesh(PARTS[key])) == pytest.approx(
        closed_form_mm3(key), rel=1.0 - FACETS + 1e-6
    )


@pytest.mark.parametrize("key", list(PARTS))
def test_every_mesh_is_closed_and_holds_what_the_exact_solid_holds(key):
    part = PARTS[key]
    mesh = part_mesh(part)
    assert is_closed_manifold(mesh)
    checked = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
    assert checked.is_watertight
    assert checked.body_count == 1
    assert volume_mm3(mesh) == pytest.approx(step_volume_mm3(part), rel=2e-3)


@pytest.mark.parametrize("key", list(PARTS))
def test_sizes_are_those_of_the_entry(key):
    part, mesh = PARTS[key], part_mesh(PARTS[key])
    size = np.ptp(mesh.vertices, axis=0)
    widths = ("body_diameter_mm", "side_mm", "outside_mm", "width_mm", "diameter_mm")
    width = next(getattr(part, name) for name in widths if hasattr(part, name))
    if part.kind.value == "offset-adapter":
        assert size[0] == pytest.approx(width + part.offset_mm, abs=0.02)
    elif part.kind.value != "dummy":
        assert size[0] == pytest.approx(width, abs=0.02)
    tall = {
        "valve": lambda p: p.length_mm,
        "square-plate": lambda p: p.thickness_mm,
        "pyramid-plate": lambda p: p.height_mm + p.pyramid_height_mm,
        "tube-clamp": lambda p: p.height_mm + p.insert_mm,
        "pylon": lambda p: p.length_mm,
    }
    height = tall.get(part.kind.value, lambda p: p.height_mm)(part)
    assert size[2] == pytest.approx(height, abs=1e-6)


def test_the_plate_s_screws_go_through_on_their_square():
    part = PARTS["example-square-plate"]
    mesh = part_mesh(part)
    solid = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
    half = 0.5 * part.screw_square_mm
    middle = -0.5 * part.thickness_mm
    holes = [(o * half, f * half, middle) for o, f in product((1, -1), repeat=2)]
    beside = [
        (o * half + part.screw_diameter_mm, f * half, middle) for o, f in product((1, -1), repeat=2)
    ]
    assert not solid.contains(holes).any()
    assert solid.contains(beside).all()


def test_a_step_file_is_in_millimetres_and_the_same_each_time():
    part = PARTS["example-pyramid-plate"]
    first = step_bytes(part)
    assert first == step_bytes(part)
    assert b"ISO-10303-21" in first
    assert b"SI_UNIT(.MILLI.,.METRE.)" in first
    assert b"example-pyramid-plate" in first
    assert b"/tmp" not in first


def test_a_step_file_read_back_by_the_kernel_has_the_same_volume(tmp_path):
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps
    from OCP.STEPControl import STEPControl_Reader

    part = PARTS["example-tube-clamp"]
    path = tmp_path / "part.step"
    path.write_bytes(step_bytes(part))
    reader = STEPControl_Reader()
    reader.ReadFile(str(path))
    reader.TransferRoots()
    found = GProp_GProps()
    BRepGProp.VolumeProperties_s(reader.OneShape(), found)
    assert found.Mass() == pytest.approx(step_volume_mm3(part), rel=1e-6)


def test_the_command_writes_the_solids_that_are_asked_for(tmp_path, capsys):
    asked = ["--part", "example-pylon", "--part", "example-dummy-ring"]
    assert main(["hardware", "--out", str(tmp_path), *asked, "--step"]) == 0
    names = {path.name for path in tmp_path.iterdir()}
    assert names == {
        f"example-{part}.{kind}" for part in ("pylon", "dummy-ring") for kind in ("3mf", "step")
    }
    mesh = trimesh.load(tmp_path / "example-pylon.3mf", force="mesh")
    assert mesh.is_watertight
    assert mesh.volume == pytest.approx(step_volume_mm3(PARTS["example-pylon"]), rel=1e-3)
    assert "Written" in capsys.readouterr().out


def test_the_command_takes_what_the_case_names_and_lists_the_catalogue(demo_copy, tmp_path, capsys):
    assert main(["hardware", str(demo_copy), "--out", str(tmp_path / "out")]) == 2
    assert "No part is asked for" in capsys.readouterr().err
    case = demo_copy / "case.toml"
    named = '[couple.catalogue]\nfoot = "example-foot-low"\n'
    case.write_text(case.read_text().replace("[couple.catalogue]\n", named))
    assert main(["hardware", str(demo_copy), "--out", str(tmp_path / "out")]) == 0
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["example-foot-low.3mf"]
    assert main(["hardware", "--list"]) == 0
    assert "invented example" in capsys.readouterr().out
    assert main(["hardware", "--out", str(tmp_path), "--part", "nothing"]) == 2
    assert "nothing" in capsys.readouterr().err


def test_the_command_starts_a_catalogue_and_never_overwrites_one(tmp_path, capsys):
    assert main(["hardware", str(tmp_path), "--start"]) == 0
    assert (tmp_path / "parts.toml").read_bytes() == example_parts()
    assert main(["hardware", str(tmp_path), "--start"]) == 2
    assert "already" in capsys.readouterr().err


def test_without_the_extra_step_is_refused_in_plain_words(monkeypatch):
    monkeypatch.setitem(sys.modules, "OCP.BRepAlgoAPI", None)
    with pytest.raises(BadInput, match=r"limbwright\[step\]"):
        step_bytes(PARTS["example-pylon"])
