"""Measures against analytic bodies, worked examples and other libraries."""

import numpy as np
import pytest
import shapely
import trimesh
from scipy.special import ellipe

from capture_bodies import cone, ellipsoid, leg_mesh, leg_skin_point, with_hole
from limbwright.capture.measure import (
    choose_levels,
    frustum_volume_ml,
    measure,
    volume_below_ml,
    volume_between_ml,
)
from limbwright.core.errors import InvalidScan
from limbwright.core.mesh import Mesh


def test_a_cylinder_has_the_girth_width_area_and_volume_of_its_radius():
    found = measure(cone(50.0, 50.0, 120.0), np.array([0.0, 60.0, 110.0]))
    for row in found.levels:
        assert row.perimeter_mm == pytest.approx(2 * np.pi * 50, rel=2e-4)
        assert row.tape_mm == pytest.approx(row.perimeter_mm, rel=1e-9)
        assert row.ml_mm == pytest.approx(100.0, rel=2e-4)
        assert row.ap_mm == pytest.approx(100.0, rel=2e-4)
        assert row.area_mm2 == pytest.approx(np.pi * 2500, rel=3e-4)
    assert found.volume_below_datum_ml == pytest.approx(np.pi * 2.5 * 120, rel=3e-4)
    assert found.length_below_datum_mm == pytest.approx(120.0)


def test_a_frustum_has_the_volume_of_its_formula_and_between_levels_too():
    body = cone(55.0, 30.0, 150.0)
    formula = np.pi * 150 / 3 * (55**2 + 55 * 30 + 30**2) / 1000
    assert volume_below_ml(body, 0.0) == pytest.approx(formula, rel=3e-4)
    upper, lower = 55 - 25 / 150 * 40, 55 - 25 / 150 * 90
    part = np.pi * 50 / 3 * (upper**2 + upper * lower + lower**2) / 1000
    assert volume_between_ml(body, 40.0, 90.0) == pytest.approx(part, rel=3e-4)
    row = measure(body, np.array([40.0])).levels[0]
    assert row.perimeter_mm == pytest.approx(2 * np.pi * upper, rel=2e-4)


def test_half_an_ellipsoid_has_the_volume_and_elliptic_girths_of_its_axes():
    body = ellipsoid(60.0, 50.0, 140.0)
    assert volume_below_ml(body, 0.0) == pytest.approx(
        2 / 3 * np.pi * 60 * 50 * 140 / 1000, rel=5e-4
    )
    row = measure(body, np.array([70.0])).levels[0]
    share = np.sqrt(1 - 0.25)
    assert row.ml_mm == pytest.approx(120 * share, rel=2e-4)
    assert row.ap_mm == pytest.approx(100 * share, rel=2e-4)
    girth = 4 * 60 * share * ellipe(1 - (50 / 60) ** 2)
    assert row.perimeter_mm == pytest.approx(girth, rel=2e-4)
    assert row.area_mm2 == pytest.approx(np.pi * 60 * 50 * share**2, rel=4e-4)


def test_frustums_from_girths_give_the_worked_examples():
    # One frustum, girths 30 and 28 cm, 10 cm apart; a stack of six girths every 3 cm.
    assert frustum_volume_ml([300.0, 280.0], 100.0) == pytest.approx(669.51, abs=0.005)
    girths = [340.0, 360.0, 350.0, 320.0, 280.0, 220.0]
    assert frustum_volume_ml(girths, 30.0) == pytest.approx(1226.61, abs=0.005)


def test_a_frustum_stack_of_a_round_limb_agrees_with_its_mesh():
    body = cone(55.0, 30.0, 150.0)
    rows = measure(body, np.arange(0.0, 141.0, 10.0)).levels
    stack = frustum_volume_ml(np.array([row.perimeter_mm for row in rows]), 10.0)
    assert stack == pytest.approx(volume_between_ml(body, 0.0, 140.0), rel=5e-4)


@pytest.mark.parametrize("girths", [[300.0], [300.0, 0.0], [300.0, float("nan")]])
def test_a_frustum_of_too_few_or_impossible_girths_is_refused(girths):
    with pytest.raises(ValueError, match="frustum"):
        frustum_volume_ml(girths, 30.0)


def test_sections_agree_with_a_second_geometry_library_on_a_hollowed_limb():
    body = leg_mesh()
    v = body.vertices.copy()
    # A hollow behind, so that the tape bridges what the outline follows.
    bearing = np.arctan2(v[:, 1], v[:, 0])
    v[:, :2] *= (1 - 0.2 * np.exp(-(((bearing + np.pi / 2) / 0.3) ** 2)))[:, None]
    hollow = Mesh(v, body.faces)
    peer = trimesh.Trimesh(v, body.faces, process=False)
    levels = np.array([-40.0, 13.0, 61.0, 120.0])
    rows = measure(hollow, levels).levels
    assert rows[1].tape_mm < rows[1].perimeter_mm - 1.0
    for row in rows:
        path = peer.section(plane_origin=[0, 0, -row.level_mm], plane_normal=[0, 0, 1])
        outline = shapely.Polygon(path.discrete[0][:, :2])
        assert row.perimeter_mm == pytest.approx(outline.length, rel=1e-6)
        assert row.area_mm2 == pytest.approx(outline.area, rel=1e-6)
        assert row.tape_mm == pytest.approx(outline.convex_hull.length, rel=1e-6)
        west, south, east, north = outline.bounds
        assert (row.ml_mm, row.ap_mm) == pytest.approx((east - west, north - south), rel=1e-6)


def test_volume_agrees_with_a_second_geometry_library():
    body = leg_mesh()
    peer = trimesh.Trimesh(body.vertices, body.faces, process=False)
    cut = peer.slice_plane([0, 0, 0], [0, 0, -1], cap=True)
    assert volume_below_ml(body, 0.0) == pytest.approx(cut.volume / 1000, rel=1e-6)


def test_levels_are_multiples_of_the_step_from_the_open_top_to_the_end():
    assert choose_levels(leg_mesh(), 20.0).tolist() == list(range(-80, 141, 20))
    low_rim = with_hole(leg_mesh(), leg_skin_point(-80.0, 90.0), 12.0)
    assert choose_levels(low_rim, 20.0)[0] == -60.0


def test_a_level_that_misses_the_limb_is_refused_by_name():
    with pytest.raises(InvalidScan, match="170 mm below MPT"):
        measure(leg_mesh(), np.array([0.0, 170.0]))


def test_a_section_through_a_hole_is_refused_and_not_measured():
    body = with_hole(leg_mesh(), leg_skin_point(40.0, 0.0), 10.0)
    with pytest.raises(InvalidScan, match="40 mm below MPT runs through a gap"):
        measure(body, np.array([40.0]))
