"""Section properties and bending stress against closed forms and a general geometry library."""

import math

import numpy as np
import pytest
import shapely
from scipy.spatial import Delaunay

from limbwright.prove.sections import polygon_moments, stress_mpa, tube_section, wall_ring


def circle(radius_mm, count=720, middle=(0.0, 0.0)):
    angle = np.linspace(0.0, 2 * np.pi, count, endpoint=False)
    return np.column_stack([np.cos(angle), np.sin(angle)]) * radius_mm + middle


def limb_like(count=500):
    """A smooth, lopsided, partly hollow outline of a limb's size."""
    angle = np.linspace(0.0, 2 * np.pi, count, endpoint=False)
    radius = 50 + 6 * np.cos(2 * angle + 0.3) + 4 * np.cos(3 * angle) - 3 * np.sin(4 * angle)
    return np.column_stack([12.0 + radius * np.cos(angle), radius * np.sin(angle) - 7.0])


@pytest.mark.parametrize(("radius_mm", "wall_mm"), [(50.0, 2.0), (50.0, 5.0), (30.0, 15.0)])
def test_a_round_wall_has_the_area_and_second_moment_of_a_tube(radius_mm, wall_mm):
    # Closed form of a tube: A = π(R² - r²), I = π/4·(R⁴ - r⁴), thin or thick.
    ring = wall_ring(circle(radius_mm, middle=(20.0, -10.0)), wall_mm)
    outer = radius_mm + wall_mm
    second = math.pi / 4 * (outer**4 - radius_mm**4)
    assert ring.area_mm2 == pytest.approx(math.pi * (outer**2 - radius_mm**2), rel=1e-3)
    assert ring.centroid_mm == pytest.approx([20.0, -10.0], abs=1e-6)
    assert np.diag(ring.second_mm4) == pytest.approx([second, second], rel=1e-3)
    assert abs(ring.second_mm4[0, 1]) < 1e-6 * second


def test_a_lopsided_wall_agrees_with_a_general_geometry_library():
    # Oracle: shapely's outline grown by the wall, and moments by its triangles.
    inside, wall_mm = limb_like(), 6.0
    wall = shapely.Polygon(inside).buffer(wall_mm, quad_segs=64) - shapely.Polygon(inside)
    area, first, second = moments_by_triangles(wall)
    ring = wall_ring(inside, wall_mm)
    assert ring.area_mm2 == pytest.approx(area, rel=3e-3)
    assert ring.centroid_mm == pytest.approx(first / area, abs=0.05)
    about = second - np.outer(first, first) / area
    assert ring.second_mm4 == pytest.approx(about, rel=5e-3)


def moments_by_triangles(shape):
    """Moments of any polygon from a triangulation and the three-point rule, exact for squares."""
    area, first, second = 0.0, np.zeros(2), np.zeros((2, 2))
    for triangle in shapely.delaunay_triangles(shape).geoms:
        for part in getattr(triangle.intersection(shape), "geoms", [triangle.intersection(shape)]):
            if part.geom_type != "Polygon":
                continue
            corners = np.array(part.exterior.coords)[:-1]
            for simplex in Delaunay(corners).simplices:
                a, b, c = corners[simplex]
                size = 0.5 * abs((b - a)[0] * (c - a)[1] - (b - a)[1] * (c - a)[0])
                area += size
                for middle in ((a + b) / 2, (b + c) / 2, (c + a) / 2):
                    first += size / 3 * middle
                    second += size / 3 * np.outer(middle, middle)
    return area, first, second


def test_moments_of_a_rectangle_are_those_of_the_textbook():
    # b·h³/12 about its middle, moved to the origin by Steiner's rule.
    rectangle = np.array([[10.0, 5.0], [50.0, 5.0], [50.0, 25.0], [10.0, 25.0]])
    area, first, second = polygon_moments(rectangle)
    assert area == pytest.approx(800.0)
    assert first / area == pytest.approx([30.0, 15.0])
    assert second[0, 0] == pytest.approx(20 * 40**3 / 12 + 800 * 30**2)
    assert second[1, 1] == pytest.approx(40 * 20**3 / 12 + 800 * 15**2)
    assert second[0, 1] == pytest.approx(800 * 30 * 15)


def test_a_round_wall_bends_as_a_tube_does():
    # σ = N/A + M·R/I; a moment that pulls the front pushes the back.
    ring = wall_ring(circle(50.0), 5.0)
    area, modulus = tube_section(110.0, 5.0)
    stress = stress_mpa(ring, 1000.0, np.array([200e3, 0.0]))
    assert stress.max() == pytest.approx(200e3 / modulus - 1000.0 / area, rel=2e-3)
    assert stress.min() == pytest.approx(-200e3 / modulus - 1000.0 / area, rel=2e-3)


def test_a_push_up_in_front_of_the_axis_presses_the_front_and_opens_the_back():
    # A column loaded off its axis is pressed most on the loaded side: r × F with F up.
    ring = wall_ring(circle(50.0), 5.0)
    moment = np.cross([0.0, 100.0, -300.0], [0.0, 0.0, 2000.0])
    stress = stress_mpa(ring, 2000.0, moment[:2])
    front = stress[ring.fibres_mm[:, 1].argmax()]
    back = stress[ring.fibres_mm[:, 1].argmin()]
    assert front < 0.0 < back


def test_stress_adds_up_to_the_load_it_carries():
    # ∫σ dA = -N and ∫ r × (-σ u) dA = M over a lopsided wall, by summing over its outline.
    inside = limb_like()
    ring = wall_ring(inside, 4.0)
    force, moment = 3000.0, np.array([150e3, -90e3])
    slope = np.linalg.lstsq(
        np.column_stack([ring.fibres_mm, np.ones(len(ring.fibres_mm))]),
        stress_mpa(ring, force, moment),
        rcond=None,
    )[0]
    pulled = ring.second_mm4 @ slope[:2]
    assert slope[2] * ring.area_mm2 == pytest.approx(-force, rel=1e-9)
    assert [-pulled[1], pulled[0]] == pytest.approx(moment, rel=1e-9)


@pytest.mark.parametrize(
    ("outside_mm", "wall_mm", "stresses_mpa"),
    [
        (30.0, 2.0, (211, 317, 422)),
        (30.0, 2.5, (178, 267, 356)),
        (30.0, 3.0, (156, 234, 312)),
        (34.0, 2.0, (161, 241, 321)),
    ],
)
def test_pylon_tubes_reach_the_elastic_stresses_computed_by_hand(outside_mm, wall_mm, stresses_mpa):
    # M·R/I at 244, 366 and 488 N·m, the P5 condition II ankle moments of ISO 10328.
    _, modulus = tube_section(outside_mm, wall_mm)
    found = [moment / modulus for moment in (244e3, 366e3, 488e3)]
    assert found == pytest.approx(stresses_mpa, abs=1.0)


def test_an_outline_without_an_inside_is_refused():
    with pytest.raises(ValueError, match="clockwise"):
        wall_ring(circle(50.0)[::-1], 5.0)
