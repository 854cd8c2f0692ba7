"""Withdrawal against bodies whose catch is known, and one that girths alone would miss."""

import numpy as np
import pytest

from coupling_bodies import body, round_end
from limbwright.core.proximity import DistanceTree
from limbwright.core.slicing import slice_moments
from limbwright.couple.axis import Line
from limbwright.couple.withdrawal import easiest_path, withdrawal

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
    assert withdrawal(DistanceTree(cone), DOWN).catch_mm == pytest.approx(0.0, abs=1e-6)


def test_a_body_that_widens_downward_catches_by_the_difference_of_radii():
    # a bulbous end: 60 mm at 80 mm below the datum under a neck of 50 mm
    def bulb(u, a):
        return PLAIN(u, a) + 10.0 * np.exp(-(((u + 80.0) / 25.0) ** 2))

    found = withdrawal(DistanceTree(body(bulb, 150.0)), DOWN)
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
    found = withdrawal(DistanceTree(surface), DOWN)
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

    found = withdrawal(DistanceTree(fine(hollow)), DOWN)
    assert found.catch_mm == pytest.approx(6.5, abs=0.1)
    assert found.angle_deg == pytest.approx(90.0, abs=10.0)


def test_a_limb_need_not_yield_for_what_it_does_not_fill():
    def hollow(u, a):
        return PLAIN(u, a) - bump(u, a, 0.0, np.pi / 2, 6.5, width_mm=8.0)

    socket = DistanceTree(fine(hollow))
    thin = body(round_end(42.0, 142.0), 142.0)
    snug = body(round_end(48.0, 148.0), 148.0)
    assert withdrawal(socket, DOWN, DistanceTree(thin)).catch_mm == pytest.approx(0.0, abs=1e-6)
    assert withdrawal(socket, DOWN, DistanceTree(snug)).catch_mm == pytest.approx(4.5, abs=0.1)
    assert withdrawal(socket, DOWN).catch_mm == pytest.approx(6.5, abs=0.1)


def test_a_socket_bent_against_the_axis_comes_free_along_its_own():
    leaning = DistanceTree(
        body(lambda u, a: PLAIN(u, a) + 0.02 * (u + 150.0), 150.0, lean=(0.105, 0.0))
    )
    tip = Line(np.array([0.105 * 150.0, 0.0, -150.0]), np.array([0.0, 0.0, -1.0]))
    straight = withdrawal(leaning, tip)
    path = easiest_path(leaning, tip)
    assert straight.catch_mm > 5.0
    assert path.catch_mm < 0.3 * straight.catch_mm
    assert path.tilt_deg == 6.0
    assert path.angle_deg == pytest.approx(180.0)  # out and inward, as the limb leans


def test_the_catch_does_not_depend_on_how_the_limb_is_turned():
    def ledge(u, a, turn=0.0):
        return PLAIN(u, a) + bump(u, a, -80.0, 0.4 + turn, 5.0)

    first = withdrawal(DistanceTree(body(ledge, 150.0)), DOWN)
    second = withdrawal(DistanceTree(body(lambda u, a: ledge(u, a, np.pi / 2), 150.0)), DOWN)
    assert second.catch_mm == pytest.approx(first.catch_mm, abs=1e-6)
    assert second.angle_deg - first.angle_deg == pytest.approx(90.0)
