"""Open and closed walls against closed forms and a general section library."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from limbwright.prove.open_wall import open_rings
from limbwright.prove.sections import polygon_moments, stress_mpa, wall_ring
from limbwright.prove.shear import (
    shear_centre_mm,
    shear_stress_mpa,
    torsion_constant_mm4,
    twist_stress,
    warping_constant_mm6,
)
from limbwright.prove.wall import Bore, beside, closed_rings
from proof_bodies import round_socket, seat_at, shape_of

RADIUS, WALL = 50.0, 3.0


def circle(radius_mm=RADIUS - 0.5 * WALL, count=720):
    angle = np.linspace(0.0, 2 * np.pi, count, endpoint=False)
    return np.column_stack([np.cos(angle), np.sin(angle)]) * radius_mm


def limb_like(count=720):
    """A smooth, lopsided outline of a limb's size; the same that the section library was given."""
    angle = np.linspace(0.0, 2 * np.pi, count, endpoint=False)
    radius = 50 + 6 * np.cos(2 * angle + 0.3) + 4 * np.cos(3 * angle) - 3 * np.sin(4 * angle)
    return np.column_stack([12.0 + radius * np.cos(angle), radius * np.sin(angle) - 7.0])


def back_away(low_deg, high_deg, middle=(0.0, 0.0)):
    """Everything but a sector."""

    def keep(points):
        angle = np.degrees(np.arctan2(points[:, 1] - middle[1], points[:, 0] - middle[0])) % 360.0
        return (angle <= low_deg) | (angle >= high_deg)

    return keep


OPEN = back_away(230.0, 310.0, (12.0, -7.0))


def test_an_i_beam_has_the_second_moment_of_its_closed_form():
    # (B·H³ − (B − s)·h³)/12: flanges of 40 by 5, web of 4 by 50.
    b, h, s, t = 40.0, 60.0, 4.0, 5.0
    half, web, inner = 0.5 * b, 0.5 * s, 0.5 * h - t
    right = [(half, -0.5 * h), (half, -inner), (web, -inner), (web, inner), (half, inner)]
    outline = [*right, (half, 0.5 * h)]
    outline += [(-x, -y) for x, y in outline]
    area, first, second = polygon_moments(np.array(outline))
    assert area == pytest.approx(2 * b * t + s * (h - 2 * t))
    assert first == pytest.approx([0.0, 0.0], abs=1e-9)
    assert second[1, 1] == pytest.approx((b * h**3 - (b - s) * (h - 2 * t) ** 3) / 12.0)
    assert second[0, 0] == pytest.approx((2 * t * b**3 + (h - 2 * t) * s**3) / 12.0)


def test_a_closed_thin_tube_is_sheared_and_twisted_as_bredt_says():
    # Torsion: τ = T/(2·A·t), J = 4·A²·t/s = 2π·R³·t. Force across: τ = 2·V/A at the middle.
    ring = wall_ring(circle(), WALL)
    enclosed = math.pi * RADIUS**2
    twisted = shear_stress_mpa(ring, np.zeros(2), 50e3)
    assert twisted == pytest.approx(np.full(360, 50e3 / (2 * enclosed * WALL)), rel=2e-3)
    assert torsion_constant_mm4(ring) == pytest.approx(2 * math.pi * RADIUS**3 * WALL, rel=2e-3)
    pushed = shear_stress_mpa(ring, np.array([0.0, 1000.0]), 0.0)
    assert pushed.max() == pytest.approx(2 * 1000.0 / ring.area_mm2, rel=5e-3)


def test_a_slit_tube_twists_as_a_strip_and_turns_about_a_point_a_diameter_away():
    # Closed forms of a thin tube with a slit: J = 2π·R·t³/3; shear centre 2·R from the middle, on
    # the side away from the slit (Timoshenko).
    ring = wall_ring(circle(), WALL, back_away(269.5, 270.5))
    assert not ring.closed
    assert torsion_constant_mm4(ring) == pytest.approx(2 * math.pi * RADIUS * WALL**3 / 3, rel=6e-3)
    force = np.array([1000.0, 0.0])
    at_centre = -force[0] * (2 * RADIUS - ring.centroid_mm[1])
    least = shear_stress_mpa(ring, force, at_centre).max()
    for aside_mm in (-10.0, 10.0):
        assert shear_stress_mpa(ring, force, at_centre + force[0] * aside_mm).max() > least
    # through the shear centre nothing twists: τ = V·S/(I·t), 2·V/(π·R·t) opposite the slit
    assert least == pytest.approx(2 * 1000.0 / (math.pi * RADIUS * WALL), rel=0.03)


def test_a_slit_tube_shears_far_more_when_twisted_than_a_closed_one():
    # τ_open/τ_closed = 3·R/t.
    closed, slit = wall_ring(circle(), WALL), wall_ring(circle(), WALL, back_away(269.0, 271.0))
    ratio = (
        shear_stress_mpa(slit, np.zeros(2), 1e3).max()
        / shear_stress_mpa(closed, np.zeros(2), 1e3).max()
    )
    assert ratio == pytest.approx(3.0 * RADIUS / WALL, rel=0.02)


@pytest.mark.parametrize(
    ("keep", "area", "centroid", "second", "torsion"),
    # Oracle: sectionproperties 3.10.2, finite elements of 1.5 mm² on the same walls of 5 mm.
    [
        (None, 1713.70, (12.847, -7.523), (2846640, 2058939, -166950), 4518023),
        (OPEN, 1357.46, (13.704, 4.119), (2707343, 1166481, -254354), 11175),
    ],
)
def test_lopsided_walls_agree_with_a_general_section_library(keep, area, centroid, second, torsion):
    ring = wall_ring(limb_like(), 5.0, keep)
    assert ring.area_mm2 == pytest.approx(area, rel=2e-3)
    assert ring.centroid_mm == pytest.approx(centroid, abs=0.05)
    found = ring.second_mm4
    assert [found[0, 0], found[1, 1], found[0, 1]] == pytest.approx(second, rel=3e-3)
    assert torsion_constant_mm4(ring) == pytest.approx(torsion, rel=0.015)


def test_the_shear_centre_of_an_open_wall_is_that_of_the_section_library():
    # sectionproperties 3.10.2: shear centre of the open wall at (8.187, 77.363).
    ring = wall_ring(limb_like(), 5.0, OPEN)
    assert shear_centre_mm(ring) + ring.centroid_mm == pytest.approx([8.187, 77.363], abs=0.1)


def test_a_slit_tube_has_the_warping_constant_of_its_closed_form():
    # I_ω = 2π·R⁵·t·(π²/3 − 2) about the shear centre of a thin tube with a slit (Timoshenko).
    ring = wall_ring(circle(), WALL, back_away(269.5, 270.5))
    expected = 2 * math.pi * RADIUS**5 * WALL * (math.pi**2 / 3 - 2)
    assert warping_constant_mm6(ring) == pytest.approx(expected, rel=0.03)


def test_a_short_opening_is_twisted_through_warping_and_adds_up_to_the_moment():
    # The flow's moment about the centroid is the moment; its stress along the limb adds up to no
    # force and no bending, and to the bimoment: T·l while λ·l is small.
    ring = wall_ring(limb_like(), 5.0, OPEN)
    twisted = twist_stress(ring, np.zeros(2), 10e3, 40.0)
    middle = ring.middle_mm
    after = np.roll(middle, -1, axis=0)
    areas = np.linalg.norm(after - middle, axis=1) * 5.0 * ring.there
    size = np.abs(twisted.warping_mpa).max() * areas.sum()
    assert abs(twisted.warping_mpa @ areas) < 1e-9 * size
    lever = (twisted.warping_mpa * areas) @ (0.5 * (middle + after))
    assert np.abs(lever).max() < 5e-3 * size * 50.0
    squared = float(twisted.warping_mpa**2 @ areas)
    assert squared == pytest.approx((10e3 * 40.0) ** 2 / warping_constant_mm6(ring), rel=5e-3)
    # and it is stressed far less than a strip that is free to warp
    assert twisted.shear_mpa.max() < 0.2 * shear_stress_mpa(ring, np.zeros(2), 10e3).max()


def test_shear_stress_agrees_with_the_section_library_but_for_tight_bends():
    # sectionproperties 3.10.2, greatest stress: 1.411 and 1.742 MPa for 1000 N through the shear
    # centre; 0.1343 and 4.624 MPa for 10 N·m. A thin wall's mean leaves out the inner face of
    # tight bends, up to a sixth here.
    force = np.array([0.0, 1000.0])
    for keep, centre, across, twisted in (
        (None, 11.348, 1.411, 0.1343),
        (OPEN, 8.187, 1.742, 4.624),
    ):
        ring = wall_ring(limb_like(), 5.0, keep)
        torque = (centre - ring.centroid_mm[0]) * force[1]
        assert 0.84 < shear_stress_mpa(ring, force, torque).max() / across < 1.02
        assert 0.84 < shear_stress_mpa(ring, np.zeros(2), 10e3).max() / twisted < 1.02


def test_bending_of_an_open_wall_about_a_slanting_axis_adds_up_to_its_moment():
    ring = wall_ring(limb_like(), 5.0, OPEN)
    moment = np.array([120e3, -40e3])
    stress = stress_mpa(ring, 2000.0, moment)
    slope = np.linalg.lstsq(
        np.column_stack([ring.fibres_mm, np.ones(len(stress))]), stress, rcond=None
    )[0]
    pulled = ring.second_mm4 @ slope[:2]
    assert [-pulled[1], pulled[0]] == pytest.approx(moment, rel=1e-9)
    assert slope[2] * ring.area_mm2 == pytest.approx(-2000.0, rel=1e-9)


def test_a_hole_takes_its_width_from_the_wall():
    # A bore of 14 mm through one side of a tube: chord of 14 mm at the wall's middle.
    bore = Bore(np.array([0.0, 0.0, -20.0]), np.array([-1.0, 0.0, 0.0]), 14.0)
    whole = wall_ring(circle(), WALL)
    cut = wall_ring(circle(), WALL, beside(bore, -20.0))
    lost = 2 * RADIUS * math.asin(7.0 / RADIUS) * WALL
    assert whole.area_mm2 - cut.area_mm2 == pytest.approx(lost, rel=0.08)
    assert cut.centroid_mm[0] > 0.5
    flank = wall_ring(circle(), WALL, beside(bore, -26.0))
    assert cut.area_mm2 < flank.area_mm2 < whole.area_mm2


def test_levels_run_from_the_brim_to_the_boss_and_the_load_fades_to_the_edge():
    shape = shape_of(round_socket())
    shape.trim.points_mm = np.array(
        [[60.0, 0.0, 30.0], [0.0, 60.0, 20.0], [-60.0, 0.0, 30.0], [0.0, -60.0, -10.0]]
    )
    above = open_rings(shape, 5.0)
    heights = [place.u_mm for place in above]
    assert heights == sorted(heights, reverse=True)
    assert -10.0 < min(heights) < max(heights) < 30.0
    shares = [place.handed.share for place in above]
    assert shares == sorted(shares)
    assert shares[0] < 0.05
    assert shares[-1] > 0.95
    areas = [place.ring.area_mm2 for place in above]
    assert areas == sorted(areas)
    assert all(not place.ring.closed for place in above)
    below = closed_rings(shape, seat_at(), 5.0)
    assert all(place.ring.closed for place in below)
    assert max(place.u_mm for place in below) < min(heights)


def test_a_level_trim_line_leaves_no_open_wall():
    assert open_rings(shape_of(round_socket()), 5.0) == ()


@given(st.floats(2.0, 12.0), st.floats(2.0, 12.0), st.floats(5.0, 170.0), st.floats(5.0, 170.0))
def test_more_wall_is_never_twisted_harder(one, other, gap, wider):
    thin, thick = sorted((one, other))
    narrow, wide = sorted((gap, wider))

    def worst(wall_mm, gap_deg):
        keep = back_away(270.0 - 0.5 * gap_deg, 270.0 + 0.5 * gap_deg)
        return shear_stress_mpa(wall_ring(circle(50.0), wall_mm, keep), np.zeros(2), 10e3).max()

    assert worst(thick, narrow) <= worst(thin, narrow) + 1e-9
    assert worst(thin, wide) >= worst(thin, narrow) - 1e-9
