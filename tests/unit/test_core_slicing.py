from __future__ import annotations

import manifold3d
import numpy as np
import pytest
import shapely
import trimesh
from scipy.special import ellipe

from core_bodies import cup, moved, sphere, torus
from limbwright.core.mesh import Mesh, flipped, merged, volume_mm3, with_vertices
from limbwright.core.slicing import (
    convex_perimeter,
    slice_loops,
    slice_moments,
    volumes_below,
)

LEVELS = np.array([-20.0, -150.0, -77.7, -1.0])


def limb_with_a_groove() -> Mesh:
    """A cup with a lengthwise groove, so that the taut tape reads less than the outline."""
    body = cup(around=400)
    away = np.hypot(body.vertices[:, 0] - 60.0, body.vertices[:, 1])
    dent = np.exp(-((away / 12.0) ** 2))[:, None] * np.array([-15.0, 0.0, 0.0])
    return with_vertices(body, body.vertices + dent)


def test_girth_and_area_of_a_frustum_are_those_of_its_circles() -> None:
    found = slice_moments(cup(60.0, 40.0, 200.0, around=720), LEVELS)
    radius = 60.0 + 20.0 * LEVELS / 200.0
    assert found.perimeter_mm == pytest.approx(2 * np.pi * radius, rel=1e-5)
    assert found.area_mm2 == pytest.approx(np.pi * radius**2, rel=2e-5)
    assert found.centroid_mm == pytest.approx(np.zeros((4, 2)), abs=1e-9)
    assert found.high_mm[:, 0] == pytest.approx(radius, rel=1e-5)
    assert found.low_mm[:, 1] == pytest.approx(-radius, rel=1e-5)
    assert (found.gap_mm == 0.0).all()


def test_girth_of_an_elliptic_limb_is_that_of_the_elliptic_integral() -> None:
    ratio = 0.8
    found = slice_moments(cup(60.0, 60.0, around=720, depth_to_width=ratio), LEVELS)
    exact = 4 * 60.0 * ellipe(1 - ratio**2)
    assert found.perimeter_mm == pytest.approx(np.full(4, exact), rel=1e-5)
    assert found.area_mm2 == pytest.approx(np.full(4, np.pi * 60.0**2 * ratio), rel=2e-5)


def test_sections_agree_with_a_general_library_and_with_planar_geometry() -> None:
    body = limb_with_a_groove()
    tilted = Mesh(body.vertices @ np.array([[1, 0, 0.2], [0, 1, 0.1], [0, 0, 1]]), body.faces)
    levels = np.array([-30.0, -150.0, -77.7])
    found = slice_moments(tilted, levels)
    peer = trimesh.Trimesh(tilted.vertices, tilted.faces, process=False)
    for row, level in enumerate(levels):
        section = peer.section(plane_origin=[0, 0, level], plane_normal=[0, 0, 1])
        assert found.perimeter_mm[row] == pytest.approx(section.length, rel=1e-9)
        (outline,) = slice_loops(tilted, float(level))
        polygon = shapely.Polygon(outline)
        assert polygon.exterior.is_ccw
        assert polygon.length == pytest.approx(found.perimeter_mm[row], rel=1e-9)
        assert polygon.area == pytest.approx(found.area_mm2[row], rel=1e-9)
        assert [polygon.centroid.x, polygon.centroid.y] == pytest.approx(found.centroid_mm[row])
        assert polygon.bounds == pytest.approx([*found.low_mm[row], *found.high_mm[row]])
        tape = convex_perimeter(outline)
        assert tape == pytest.approx(polygon.convex_hull.length, rel=1e-9)
        assert tape < polygon.length


def test_a_level_through_vertices_counts_each_crossing_once() -> None:
    body = cup(60.0, 40.0, 200.0, around=96, rings=21)
    at_ring = slice_moments(body, np.array([-100.0]))
    beside = slice_moments(body, np.array([-100.0 + 1e-9]))
    assert at_ring.perimeter_mm == pytest.approx(beside.perimeter_mm)
    assert at_ring.area_mm2 == pytest.approx(beside.area_mm2)
    assert [len(loop) for loop in slice_loops(body, -100.0)] == [192]


def test_sections_through_several_outlines_add_up() -> None:
    pair = merged((sphere(20.0), moved(sphere(10.0), [50, 0, 0])))
    both = slice_moments(pair, np.array([3.0]))
    one = slice_moments(sphere(20.0), np.array([3.0]))
    loops = slice_loops(pair, 3.0)
    assert len(loops) == 2
    assert (np.ptp(loops[0], axis=0) > np.ptp(loops[1], axis=0)).all()
    exact = np.pi * (400 - 9 + 100 - 9)
    assert both.area_mm2 == pytest.approx(exact, rel=3e-3)
    assert one.area_mm2[0] < both.area_mm2[0]


def test_the_inside_of_a_hollow_counts_against_the_area() -> None:
    ring = torus(40.0, 12.0)
    found = slice_moments(ring, np.array([5.0]))
    half = np.sqrt(12.0**2 - 5.0**2)
    exact = np.pi * ((40 + half) ** 2 - (40 - half) ** 2)
    assert found.area_mm2 == pytest.approx(exact, rel=5e-3)
    outer, inner = slice_loops(ring, 5.0)
    assert shapely.LinearRing(outer).is_ccw
    assert not shapely.LinearRing(inner).is_ccw


def test_levels_may_come_in_any_order_and_beside_the_limb() -> None:
    body = cup()
    found = slice_moments(body, np.array([50.0, -120.0, -500.0, -30.0]))
    assert (found.perimeter_mm[[0, 2]] == 0.0).all()
    assert np.isnan(found.centroid_mm[[0, 2]]).all()
    assert np.isnan(found.low_mm[[0, 2]]).all()
    alone = slice_moments(body, np.array([-30.0]))
    assert found.perimeter_mm[3] == alone.perimeter_mm[0]
    assert slice_loops(body, 50.0) == []


def test_a_hole_in_the_section_shows_as_a_gap_and_an_unfinished_outline() -> None:
    body = cup(60.0, 60.0)
    middle = body.vertices[body.faces].mean(axis=1)
    torn = Mesh(
        body.vertices,
        body.faces[~((middle[:, 0] > 55.0) & (middle[:, 2] < -80) & (middle[:, 2] > -120))],
    )
    found = slice_moments(torn, np.array([-100.0, -50.0]))
    assert found.gap_mm[0] == pytest.approx(
        np.linalg.norm(slice_loops(torn, -100.0)[0][0] - slice_loops(torn, -100.0)[0][-1])
    )
    assert found.gap_mm[0] > 20.0
    assert found.gap_mm[1] == 0.0
    assert len(slice_loops(torn, -100.0)) == 1


def test_volume_below_levels_of_an_open_limb_is_that_of_stacked_frusta() -> None:
    body = cup(60.0, 40.0, 200.0, around=720)
    radius = 60.0 + 20.0 * LEVELS / 200.0
    height = LEVELS + 200.0
    exact = np.pi * height / 3 * (radius**2 + 40.0 * radius + 40.0**2)
    assert volumes_below(body, LEVELS) == pytest.approx(exact, rel=2e-5)


def test_volume_below_levels_is_the_exact_volume_of_the_cut_polyhedron() -> None:
    body = sphere(50.0, fineness=3)
    levels = np.array([-49.0, -10.0, 0.0, 33.3, 60.0])
    solid = manifold3d.Manifold(
        manifold3d.Mesh64(np.array(body.vertices), np.array(body.faces, dtype=np.uint64))
    )
    exact = [solid.trim_by_plane((0.0, 0.0, -1.0), -float(u)).volume() for u in levels]
    assert volumes_below(body, levels) == pytest.approx(exact, rel=1e-9)
    assert volumes_below(body, np.array([60.0]))[0] == pytest.approx(volume_mm3(body), rel=1e-12)


def test_volume_far_from_the_origin_loses_no_figures() -> None:
    body = cup()
    far = moved(body, [1e4, -2e4, 3e4])
    assert volumes_below(far, LEVELS + 3e4) == pytest.approx(volumes_below(body, LEVELS), rel=1e-9)


def test_an_inward_surface_shows_as_negative_area_and_volume() -> None:
    inward = flipped(cup())
    assert slice_moments(inward, LEVELS).area_mm2.max() < 0
    assert volumes_below(inward, LEVELS).max() < 0


def test_a_taut_tape_round_points_in_a_line_runs_there_and_back() -> None:
    line = np.outer(np.linspace(0, 1, 5), [3.0, 4.0])
    assert convex_perimeter(line) == pytest.approx(10.0)
    assert convex_perimeter(line[:1]) == 0.0
    assert convex_perimeter(np.array([[0, 0], [1, 0], [1, 1], [0, 1.0], [0.5, 0.5]])) == 4.0


def test_empty_and_unusable_input_is_refused() -> None:
    nothing = Mesh(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int32))
    for question in (slice_moments, volumes_below):
        with pytest.raises(ValueError, match="without faces"):
            question(nothing, LEVELS)
        with pytest.raises(ValueError, match="finite"):
            question(cup(), np.array([np.nan]))
    with pytest.raises(ValueError, match="without faces"):
        slice_loops(nothing, 0.0)
    with pytest.raises(ValueError, match="not empty"):
        convex_perimeter(np.zeros((0, 2)))
