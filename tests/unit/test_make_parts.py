"""The made parts are closed solids of the wall asked for, on the right side, in readable files."""

import io
import re
import zipfile

import manifold3d
import numpy as np
import pytest
import trimesh

from core_bodies import box, moved, sphere
from limbwright.core.errors import DesignRefused
from limbwright.core.frame import Side
from limbwright.core.mesh import Mesh, flipped, merged, volume_mm3
from limbwright.core.topology import boundary_loops, is_closed_manifold, oriented
from limbwright.make.formats import stl_bytes, threemf_bytes
from limbwright.make.making import make_parts, thickness
from limbwright.make.marking import side_letter
from limbwright.make.plan import MakePlan
from limbwright.make.positive import positive_model
from limbwright.make.shell import shell_surface

RADIUS_MM = 42.0
WALL_MM = 4.0
PLAN = MakePlan(field_spacing_mm=1.5)


def bullet(brim_wave_mm: float = 12.0, bulge_mm: float = 6.0) -> Mesh:
    """A cylinder with a hemispherical end, an open wavy brim and a bulge outward (+x)."""
    around, rings = 96, 60
    angle = np.linspace(0, 2 * np.pi, around, endpoint=False)
    quarter = RADIUS_MM * np.pi / 2
    rows = []
    for share in np.linspace(0, 1, rings)[1:]:
        arc = share * (quarter + 90 + brim_wave_mm * np.cos(2 * angle))
        bend = np.minimum(arc, quarter) / RADIUS_MM
        radius = RADIUS_MM * np.sin(bend)
        height = -RADIUS_MM * np.cos(bend) + np.maximum(arc - quarter, 0) - 80
        radius = radius + bulge_mm * np.exp(-(((height + 70) / 15) ** 2)) * (np.cos(angle) > 0.9)
        rows.append(np.column_stack([radius * np.cos(angle), radius * np.sin(angle), height]))
    vertices = np.concatenate([[[0, 0, -80 - RADIUS_MM]], *rows])
    first = np.arange(around)
    after = (first + 1) % around
    faces = [np.column_stack([np.zeros(around), 1 + after, 1 + first])]
    for ring in range(rings - 2):
        low, high = 1 + ring * around, 1 + (ring + 1) * around
        faces.append(np.column_stack([low + first, low + after, high + first]))
        faces.append(np.column_stack([low + after, high + after, high + first]))
    return oriented(Mesh(vertices, np.concatenate(faces).astype(np.int32)))[0]


def cylinder(radius: float, height: float, centre: tuple[float, float, float]) -> Mesh:
    body = trimesh.creation.cylinder(radius, height, sections=48)
    return Mesh(body.vertices + np.array(centre), body.faces)


@pytest.fixture(scope="module")
def model() -> Mesh:
    return bullet()


@pytest.fixture(scope="module", params=list(Side))
def made(model, request):
    boss = cylinder(30, 24, (0, 0, -124))
    bore = cylinder(3, 80, (15, 15, -124))
    return make_parts(model, model, [boss], [bore], request.param, WALL_MM, PLAN)


def as_trimesh(mesh: Mesh) -> trimesh.Trimesh:
    return trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)


def test_the_wall_stands_off_the_model_by_the_thickness_asked_for(model):
    wall = shell_surface(model, WALL_MM, 1.0)
    assert is_closed_manifold(wall)
    # Second library: trimesh measures from points of the wall to the model.
    _, distance, _ = trimesh.proximity.closest_point(as_trimesh(model), wall.vertices[::7])
    below_brim = wall.vertices[::7, 2] < -20
    outer = distance[below_brim & (distance > WALL_MM / 2)]
    inner = distance[below_brim & (distance <= WALL_MM / 2)]
    assert np.abs(np.quantile(outer, [0.01, 0.99]) - WALL_MM).max() < 0.3
    assert np.quantile(inner, 0.99) < 0.1


def test_a_shell_around_a_hemisphere_and_cylinder_has_their_volume():
    model = bullet(brim_wave_mm=0.0, bulge_mm=0.0)
    outer = RADIUS_MM + WALL_MM
    wanted = np.pi * (outer**2 - RADIUS_MM**2) * 90 + 2 / 3 * np.pi * (outer**3 - RADIUS_MM**3)
    # The rounded brim takes less than a percent off.
    assert volume_mm3(shell_surface(model, WALL_MM, 1.0)) == pytest.approx(wanted, rel=0.012)


def test_both_parts_are_watertight_solids_by_an_independent_library(made):
    for part in (made.shell, made.positive):
        body = as_trimesh(part.mesh)
        assert body.is_watertight
        assert body.is_winding_consistent
        assert body.volume > 0
        assert len(body.split(only_watertight=False)) == 1


def test_the_bulge_is_lateral_on_either_side_and_the_part_says_which(made):
    lateral = 1.0 if made.shell.side is Side.RIGHT else -1.0
    reach = (made.shell.mesh.vertices[:, 0] * lateral).max()
    other = (-made.shell.mesh.vertices[:, 0] * lateral).max()
    assert reach > other + 4.0


def test_left_and_right_parts_mirror_each_other_but_for_the_letter(model):
    plan = MakePlan(field_spacing_mm=2.0, mark_side=False)
    right, left = (
        make_parts(model, model, [], [], side, WALL_MM, plan).shell
        for side in (Side.RIGHT, Side.LEFT)
    )
    mirrored = Mesh(left.mesh.vertices * [-1, 1, 1], left.mesh.faces[:, ::-1])
    assert volume_mm3(mirrored) == pytest.approx(volume_mm3(right.mesh), rel=1e-6)
    assert np.allclose(np.sort(mirrored.vertices, axis=0), np.sort(right.mesh.vertices, axis=0))


def test_the_seat_does_not_reach_into_the_limbs_room(made, model):
    sign = 1.0 if made.shell.side is Side.RIGHT else -1.0
    inside = model.vertices * 0.97 * [sign, 1, 1] + [0, 0, -2.0]
    inside = inside[inside[:, 2] < -30]
    assert not as_trimesh(made.shell.mesh).contains(inside[::50]).any()


def test_screw_holes_go_through_the_seat(made):
    sign = 1.0 if made.shell.side is Side.RIGHT else -1.0
    axis = np.array([[15.0 * sign, 15.0, height] for height in np.linspace(-134, -116, 7)])
    assert not as_trimesh(made.shell.mesh).contains(axis).any()


def test_stl_and_3mf_hold_the_same_solid_with_unit_and_side(made):
    stl = trimesh.load(io.BytesIO(stl_bytes(made.shell)), file_type="stl")
    archive = zipfile.ZipFile(io.BytesIO(threemf_bytes(made.shell)))
    text = archive.read("3D/3dmodel.model").decode()
    again = trimesh.load(io.BytesIO(threemf_bytes(made.shell)), file_type="3mf", force="mesh")
    assert stl.is_watertight
    assert again.is_watertight
    assert len(stl.vertices) == len(again.vertices)
    assert stl.volume / 1000 == pytest.approx(made.shell.volume_ml, rel=1e-6)
    assert 'unit="millimeter"' in text
    assert f"socket shell, {made.shell.side.value}" in text
    assert text.count("<triangle ") == len(made.shell.mesh.faces)


def test_the_letters_read_r_and_l():
    # An L lies left of its own middle at the top; an R has a closed bowl, an L has none.
    right, left = side_letter(Side.RIGHT), side_letter(Side.LEFT)
    assert len(right.to_polygons()) == 2
    assert len(left.to_polygons()) == 1
    top = left ^ manifold3d.CrossSection([[(-20, 2), (20, 2), (20, 20), (-20, 20)]])
    assert top.bounds()[2] < 0


def test_the_positive_model_is_the_surface_with_a_flat_top(model):
    solid = positive_model(model)
    assert is_closed_manifold(solid)
    top = solid.vertices[:, 2].max()
    loop = boundary_loops(model)[0]
    assert top == pytest.approx(model.vertices[loop, 2].min() - 1.0, abs=0.2)


def test_a_model_without_a_brim_is_refused(model):
    closed = positive_model(model)
    with pytest.raises(DesignRefused, match="0 open rims"):
        shell_surface(closed, WALL_MM, 2.0)


def test_an_addition_that_is_no_solid_is_refused_by_name(model):
    broken = Mesh(model.vertices, flipped(model).faces)
    with pytest.raises(DesignRefused, match="coupling seat"):
        make_parts(model, model, [broken], [], Side.RIGHT, WALL_MM, PLAN)


def test_the_same_part_gives_the_same_bytes_and_another_does_not(made):
    first = threemf_bytes(made.shell)
    assert threemf_bytes(made.shell) == first
    identifiers = set(re.findall(rb'UUID="([^"]+)"', first_model(first)))
    assert len(identifiers) == 3
    other = first_model(threemf_bytes(made.positive))
    assert identifiers.isdisjoint(re.findall(rb'UUID="([^"]+)"', other))


def first_model(content: bytes) -> bytes:
    return zipfile.ZipFile(io.BytesIO(content)).read("3D/3dmodel.model")


def test_the_wall_of_a_made_part_is_read_at_each_place_of_it() -> None:
    hollow = flipped(sphere(45.0))
    assert thickness(merged((sphere(50.0), hollow))) == pytest.approx(5.0, abs=0.1)
    assert thickness(box(10.0)) == pytest.approx(10.0)
    shifted = merged((sphere(50.0), moved(hollow, [2.0, 0.0, 0.0])))
    away = shifted.vertices[:, 0] / np.linalg.norm(shifted.vertices, axis=1)
    read = thickness(shifted)
    assert read[away > 0.99] == pytest.approx(3.0, abs=0.2)
    assert read[away < -0.99] == pytest.approx(7.0, abs=0.2)
