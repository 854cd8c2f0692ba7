"""Withdrawal against bodies whose catch is known, and one that girths alone would miss."""

from dataclasses import replace

import numpy as np
import pytest
import trimesh

from coupling_bodies import body, round_end
from limbwright.core.slicing import slice_moments
from limbwright.couple.axis import Line
from limbwright.couple.hardware import round_bar
from limbwright.couple.polar import PolarRadii, polar_radii, whole_height
from limbwright.couple.withdrawal import (
    dummy_in_cast,
    easiest_path,
    leaning,
    rigid_model,
    soft_limb,
    withdrawal,
)

DOWN = Line(np.array([0.0, 0.0, -150.0]), np.array([0.0, 0.0, -1.0]))
PLACE = 2 * np.pi * 11 / 96
"""About 41 degrees from outward, on a line of the body's net."""
PLAIN = round_end(50.0, 150.0)


def fine(profile, lean=(0.0, 0.0)):
    return body(profile, 150.0, lean=lean, step_mm=1.0)


def bump(u, angle, at_u, at_angle, height_mm, width_mm=15.0, spread=0.25):
    """A smooth rise or hollow of a wall around one place."""
    away = np.angle(np.exp(1j * (angle - at_angle)))
    return height_mm * np.exp(-(((u - at_u) / width_mm) ** 2) - (away / spread) ** 2)


def test_a_body_that_widens_upward_comes_free():
    cone = body(lambda u, a: PLAIN(u, a) + 0.1 * (u + 150.0), 150.0)
    assert withdrawal(rigid_model(cone), DOWN).catch_mm == pytest.approx(0.0, abs=1e-6)


def test_a_body_that_widens_downward_catches_by_the_difference_of_radii():
    # a bulbous end: 60 mm at 80 mm below the datum under a neck of 50 mm
    def bulb(u, a):
        return PLAIN(u, a) + 10.0 * np.exp(-(((u + 80.0) / 25.0) ** 2))

    found = withdrawal(rigid_model(body(bulb, 150.0)), DOWN)
    neck = 50.0 + 10.0 * np.exp(-((120.0 / 25.0) ** 2))
    assert found.catch_mm == pytest.approx(60.0 - neck, abs=0.05)
    assert found.level_mm == pytest.approx(80.0, abs=1.0)


def test_a_local_catch_is_found_where_the_girth_only_grows_upward():
    # a local swelling of 9.5 mm under a wall that opens upward: 6.5 mm too wide for the wall above
    def ledge(u, a):
        return PLAIN(u, a) / 50.0 * (45.0 + 0.1 * (u + 150.0)) + bump(u, a, -70.0, PLACE, 9.5)

    surface = fine(ledge)
    girths = slice_moments(surface, np.arange(-99.0, 39.0, 1.0)).perimeter_mm
    assert (np.diff(girths) > 0.0).all()
    found = withdrawal(rigid_model(surface), DOWN)
    heights = np.arange(-110.0, 40.0, 0.25)
    radii = ledge(heights, PLACE)
    passed = np.minimum.accumulate(radii[::-1])[::-1]
    assert found.catch_mm == pytest.approx((radii - passed).max(), abs=0.15)
    assert found.catch_mm == pytest.approx(6.5, abs=0.5)
    assert found.angle_deg == pytest.approx(np.degrees(PLACE), abs=4.0)
    assert found.level_mm == pytest.approx(70.0, abs=4.0)


def test_a_hollow_above_catches_everything_below_it():
    def hollow(u, a):
        return PLAIN(u, a) - bump(u, a, 0.0, np.pi / 2, 6.5, width_mm=8.0)

    found = withdrawal(rigid_model(fine(hollow)), DOWN)
    assert found.catch_mm == pytest.approx(6.5, abs=0.1)
    assert found.angle_deg == pytest.approx(90.0, abs=10.0)


def test_a_limb_need_not_yield_for_what_it_does_not_fill():
    def hollow(u, a):
        return PLAIN(u, a) - bump(u, a, 0.0, np.pi / 2, 6.5, width_mm=8.0)

    socket = fine(hollow)
    thin = body(round_end(42.0, 142.0), 142.0)
    snug = body(round_end(48.0, 148.0), 148.0)
    assert withdrawal(soft_limb(socket, thin), DOWN).catch_mm == pytest.approx(0.0, abs=1e-6)
    assert withdrawal(soft_limb(socket, snug), DOWN).catch_mm == pytest.approx(4.5, abs=0.1)
    assert withdrawal(rigid_model(socket), DOWN).catch_mm == pytest.approx(6.5, abs=0.1)


def test_a_socket_bent_against_the_axis_comes_free_along_its_own():
    leans = rigid_model(
        body(lambda u, a: PLAIN(u, a) + 0.02 * (u + 150.0), 150.0, lean=(0.105, 0.0))
    )
    tip = Line(np.array([0.105 * 150.0, 0.0, -150.0]), np.array([0.0, 0.0, -1.0]))
    straight = withdrawal(leans, tip)
    path = easiest_path(leans, tip)
    assert straight.catch_mm > 5.0
    assert path.catch_mm < 0.3 * straight.catch_mm
    assert path.tilt_deg == pytest.approx(np.degrees(np.arctan(0.105)), abs=1.0)
    assert path.angle_deg == pytest.approx(180.0, abs=1.0)  # out and inward, as the limb leans


def test_the_catch_does_not_depend_on_how_the_limb_is_turned():
    def ledge(u, a, turn=0.0):
        return PLAIN(u, a) + bump(u, a, -80.0, 0.4 + turn, 5.0)

    first = withdrawal(rigid_model(body(ledge, 150.0)), DOWN)
    second = withdrawal(rigid_model(body(lambda u, a: ledge(u, a, np.pi / 2), 150.0)), DOWN)
    assert second.catch_mm == pytest.approx(first.catch_mm, abs=1e-6)
    assert second.angle_deg - first.angle_deg == pytest.approx(90.0)


def test_what_is_found_along_a_leaning_way_is_looked_at_closely():
    leans = rigid_model(
        body(lambda u, a: PLAIN(u, a) + 0.02 * (u + 150.0), 150.0, lean=(0.105, 0.0))
    )
    tip = Line(np.array([0.105 * 150.0, 0.0, -150.0]), np.array([0.0, 0.0, -1.0]))
    found = withdrawal(leans, tip)
    path = easiest_path(leans, tip)
    assert found.free_tilt_deg == path.tilt_deg
    along = withdrawal(leans, leaning(tip, path))
    assert found.free_catch_mm == pytest.approx(along.catch_mm, abs=1e-9)


def test_the_trim_line_that_frees_a_bulb_is_where_the_wall_above_it_narrows_to_its_width():
    # widest 60 mm at 80 mm below the datum; above, the wall narrows to 59.5 mm (0.5 mm is free)
    def bulb(u, a):
        return PLAIN(u, a) + 10.0 * np.exp(-(((u + 80.0) / 25.0) ** 2))

    found = withdrawal(rigid_model(fine(bulb)), DOWN)
    level = 80.0 - 25.0 * np.sqrt(np.log(10.0 / 9.5))
    assert found.trim_to_mm == pytest.approx(level, abs=1.5)  # rows stand 1.5 mm apart
    assert found.narrow_level_mm == pytest.approx(-40.0, abs=1.0)
    assert found.narrow_mm[2] == pytest.approx(-found.narrow_level_mm)


def test_a_dummy_catches_by_what_a_neck_above_it_is_too_narrow():
    # an end of 50 mm, a neck of 36 mm at 40 mm below the datum, a dummy of 40 mm radius
    def neck(u, a):
        return PLAIN(u, a) - 14.0 * np.exp(-(((u + 40.0) / 20.0) ** 2))

    socket = fine(neck)
    wide = np.array([0.0, 0.0, -120.0])  # where the end is 40 mm wide: 150 - 50 + 30 = 130
    dummy = round_bar(DOWN.direction, np.array([0.0, 0.0, -190.0]), wide, 40.0)
    found = withdrawal(dummy_in_cast(socket, dummy), DOWN)
    assert found.catch_mm == pytest.approx(4.0, abs=0.1)
    assert found.narrow_level_mm == pytest.approx(40.0, abs=1.0)
    slim = round_bar(DOWN.direction, np.array([0.0, 0.0, -190.0]), wide, 35.0)
    assert withdrawal(dummy_in_cast(socket, slim), DOWN).catch_mm == 0.0


def test_radii_seen_from_a_leaning_line_are_those_that_rays_meet():
    surface = fine(lambda u, a: PLAIN(u, a) + bump(u, a, -60.0, PLACE, 8.0))
    direction = np.array([0.15, -0.08, -1.0])
    line = Line(np.array([3.0, -2.0, -60.0]), direction / np.linalg.norm(direction))
    heights = whole_height(surface, line, 7.3)
    seen = polar_radii(surface, line, heights, 36)
    mesh = trimesh.Trimesh(surface.vertices, surface.faces, process=False)
    for row in range(2, len(heights) - 2, 4):
        for column in range(0, 36, 5):
            far = seen.place(row, column, 200.0)
            inward = seen.place(row, column, 0.0) - far
            hits, _, _ = mesh.ray.intersects_location([far], [inward / 200.0], multiple_hits=True)
            radius = 200.0 - np.linalg.norm(hits - far, axis=1).min() if len(hits) else np.nan
            radius = radius if radius > 0.0 else np.nan
            assert seen.radii_mm[row, column] == pytest.approx(radius, abs=1e-6, nan_ok=True)


def test_where_the_line_sees_no_wall_there_is_no_place_to_trim_to():
    # A wedge that widens downward; just below where it catches, a window in the wall.
    radii = np.repeat(np.linspace(40.0, 44.0, 21)[:, None], 8, axis=1)
    seen = PolarRadii(DOWN, np.arange(20.0, -1.0, -1.0), radii)
    level = withdrawal(lambda *_: (seen, radii), DOWN).trim_to_mm
    assert level is not None
    holed = radii.copy()
    row = round(20.0 - (150.0 - level))
    holed[row] = np.nan
    windowed = replace(seen, radii_mm=holed)
    lower = withdrawal(lambda *_: (windowed, radii), DOWN).trim_to_mm
    assert lower == pytest.approx(level + 1.0)
