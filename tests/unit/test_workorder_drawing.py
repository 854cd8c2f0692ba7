"""Drawings keep their scale, their letters' size and their leaders apart; views show true sides."""

import io
import xml.etree.ElementTree as ET

import numpy as np
import pdfplumber
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image
from scipy.optimize import isotonic_regression

from limbwright.core.frame import Side, points_to_patient
from limbwright.core.mesh import Mesh
from limbwright.make.workorder.alignment_drawing import bench_turn
from limbwright.make.workorder.drawing import Drawing, Note, spread
from limbwright.make.workorder.limb_pictures import PRESSURE_STOPS, pressure_bands
from limbwright.make.workorder.picture import Body, View, on_paper, render, view_in_limb
from limbwright.make.workorder.screw_drawing import plate_axes
from limbwright.make.workorder.template import bar_drawing
from limbwright.make.workorder.typeset import compiled, image

SVG = "{http://www.w3.org/2000/svg}"


def drawn(drawing):
    return ET.fromstring(drawing.svg())


@given(
    st.lists(st.floats(-200, 200), min_size=1, max_size=12),
    st.floats(0.5, 30),
)
def test_labels_give_way_to_each_other_as_little_as_they_can(wanted, gap):
    """Oracle: isotonic regression of scipy on the places less their share of the gaps."""
    wanted = sorted(wanted, reverse=True)
    places = np.array(spread(wanted, gap))
    steps = gap * np.arange(len(wanted))
    best = isotonic_regression(np.array(wanted) + steps, increasing=False).x - steps
    np.testing.assert_allclose(places, best, atol=1e-9)
    assert (places[:-1] - places[1:] >= gap - 1e-9).all()


@pytest.mark.parametrize("scale", [1.0, 2.5, 10.0])
def test_letters_have_one_size_on_paper_at_every_scale(scale):
    drawing = Drawing(scale)
    drawing.line([[0, 0], [100, 0]])
    drawing.notes([Note((10.0, 5.0), "body"), Note((12.0, 5.5), "floor")], 60.0)
    root = drawn(drawing)
    paper = float(root.get("width").removesuffix("mm"))
    view = [float(value) for value in root.get("viewBox").split()]
    assert view[2] / paper == pytest.approx(scale, rel=1e-3)
    for text in root.iter(f"{SVG}text"):
        points = float(text.get("font-size")) / scale * 72 / 25.4
        assert points == pytest.approx(8.5, abs=0.02)


def test_the_bar_of_the_template_measures_100_mm_in_the_pdf():
    bar = bar_drawing()
    source = image("bar.svg", bar.paper_mm[0], "bar")
    with pdfplumber.open(io.BytesIO(compiled(source, {"bar.svg": bar.svg()}))) as pdf:
        marks = [*pdf.pages[0].lines, *pdf.pages[0].curves]
    lengths = [mark["x1"] - mark["x0"] for mark in marks if mark["height"] < 0.5]
    assert max(lengths) == pytest.approx(100 * 72 / 25.4, abs=0.02)
    ticks = sorted(mark["x0"] for mark in marks if mark["height"] > 5 and mark["width"] < 0.1)
    assert np.diff(ticks) == pytest.approx(10 * 72 / 25.4, abs=0.02)
    assert len(ticks) == 11


def test_leaders_end_on_what_they_name_and_their_texts_do_not_touch():
    drawing = Drawing()
    notes = [Note((0.0, height), f"part {height}") for height in (0.0, 0.4, 0.8, 20.0)]
    drawing.notes(notes, 40.0)
    root = drawn(drawing)
    heights = sorted(float(text.get("y")) for text in root.iter(f"{SVG}text"))
    assert np.diff(heights).min() > 3.0
    starts = {line.get("points").split()[0] for line in root.iter(f"{SVG}polyline")}
    assert starts == {f"0.000,{-note.place[1]:.3f}" for note in notes}


def test_a_vertical_dimension_stands_beside_its_line():
    drawing = Drawing()
    drawing.dimension((0.0, 0.0), (0.0, 50.0), "50.0", offset_mm=-10.0)
    text = next(drawn(drawing).iter(f"{SVG}text"))
    assert float(text.get("x")) > 10.0
    assert float(text.get("y")) == pytest.approx(-25.0, abs=2.0)


@pytest.mark.parametrize("side", list(Side))
def test_views_show_the_patient_as_an_onlooker_sees_them(side):
    """Facing the patient, their right is on the left; from their right, the front is right."""
    toward_right = np.array([[1.0 if side is Side.RIGHT else -1.0, 0.0, 0.0]])
    assert points_to_patient(toward_right, side)[0, 0] == 1.0
    front = np.array([[0.0, 1.0, 0.0]])
    assert on_paper(toward_right, View.FRONT, side)[0, 0] == -1.0
    assert on_paper(toward_right, View.BACK, side)[0, 0] == 1.0
    from_right = View.LATERAL if side is Side.RIGHT else View.MEDIAL
    from_left = View.MEDIAL if side is Side.RIGHT else View.LATERAL
    assert on_paper(front, from_right, side)[0, 0] == 1.0
    assert on_paper(front, from_left, side)[0, 0] == -1.0


@pytest.mark.parametrize("side", list(Side))
def test_the_socket_seen_from_below_has_the_patients_right_on_the_left(side):
    straight_down = np.array([0.0, 0.0, -1.0])
    right, up = plate_axes(straight_down, side)
    patients_right = np.array([1.0 if side is Side.RIGHT else -1.0, 0.0, 0.0])
    assert right @ patients_right == pytest.approx(-1.0)
    assert up == pytest.approx([0.0, 1.0, 0.0])


def test_the_bench_stands_upright_and_keeps_its_handedness():
    up = np.array([0.1, -0.2, 0.97])
    up /= np.linalg.norm(up)
    turn = bench_turn(up, np.array([0.05, 1.0, 0.1]))
    assert turn @ up == pytest.approx([0.0, 0.0, 1.0])
    assert np.linalg.det(turn) == pytest.approx(1.0)
    assert turn @ turn.T == pytest.approx(np.eye(3), abs=1e-12)


def block(low, high):
    """A closed box between two corners, wound outward."""
    box = trimesh.creation.box(bounds=[low, high])
    return Mesh(np.asarray(box.vertices, dtype=float), np.asarray(box.faces, dtype=np.int32))


@pytest.mark.parametrize("side", list(Side))
def test_a_picture_shows_what_is_near_where_it_is_and_at_its_size(side):
    """A red block lateral of a grey one: seen from lateral, hidden from medial, aside in front."""
    grey, red = block([-10, -10, 0], [10, 10, 40]), block([10, -5, 10], [20, 5, 20])
    bodies = [
        Body(mesh, np.tile(colour, (8, 1)), lambda seen: seen, shade=0.0)
        for mesh, colour in ((grey, (0.5, 0.5, 0.5)), (red, (1.0, 0.0, 0.0)))
    ]

    def seen(view):
        picture = render(bodies, side, view)
        pixels = np.asarray(Image.open(io.BytesIO(picture.png))).astype(float) / 255
        reddish = (pixels[..., 0] > 0.9) & (pixels[..., 1] < 0.1) & (pixels[..., 3] > 0.9)
        cell = picture.width_mm / pixels.shape[1] * picture.height_mm / pixels.shape[0]
        where = np.argwhere(reddish)
        across = (
            picture.left_mm + where[:, 1].mean() * picture.width_mm / pixels.shape[1]
            if len(where)
            else 0
        )
        return reddish.sum() * cell, across

    assert seen(View.LATERAL)[0] == pytest.approx(100.0, rel=0.1)
    assert seen(View.MEDIAL)[0] == 0.0
    area, across = seen(View.FRONT)
    assert area == pytest.approx(100.0, rel=0.1)
    lateral_right, _ = view_in_limb(View.FRONT, side)
    assert across == pytest.approx(15.0 * lateral_right[0], abs=0.5)


def luminance(colour):
    """Relative luminance of WCAG 2."""
    linear = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in colour
    ]
    return float(np.dot([0.2126, 0.7152, 0.0722], linear))


@given(st.floats(1.0, 3000.0))
def test_bands_of_pressure_darken_step_by_step_and_reach_the_largest(largest):
    """Order shows in lightness alone, so in grey print and to any colour sight."""
    bands = pressure_bands(largest)
    light = [luminance(colour) for colour in bands.colours]
    assert (np.diff(light) < -0.01).all()
    assert 2 <= len(bands.colours) <= 9
    assert bands.edges_kpa[-1] < largest <= bands.edges_kpa[-1] + bands.step_kpa + 1e-9
    assert len(PRESSURE_STOPS) == len(set(PRESSURE_STOPS))
