"""The distal attachment against hand figures for bolt groups and plates, and a numerical plate."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_bvp

from limbwright.prove.attachment import (
    clamp_bearing_mpa,
    floor_bending_mpa,
    floor_shear_mpa,
    pull_through_n,
    screw_proof_n,
    screw_shear_n,
    screw_tension_n,
    screw_tensions_n,
    screws_together,
)
from proof_bodies import seat_at

MOMENT = 396e3
"""N·mm: P5 condition II at its upper ultimate force, 300 mm over the floor."""


@pytest.mark.parametrize(("direction", "tension_n"), [((1, 0), 5500.0), ((1, 1), 7780.0)])
def test_screw_tension_meets_the_hand_figures_for_side_and_corner(direction, tension_n):
    # 396 N·m on a square of 36 mm: M/(2a) = 5.5 kN on each of two screws across a side,
    # M/(a√2) = 7.8 kN on the corner screw.
    seat = seat_at()
    about = np.array([*direction, 0.0]) / np.hypot(*direction)
    found = screw_tension_n(seat.screws_mm, seat.axis, MOMENT * about)
    assert found == pytest.approx(tension_n, rel=1e-3)


def test_a_moment_about_the_screws_own_axis_pulls_none():
    seat = seat_at()
    assert screw_tension_n(seat.screws_mm, seat.axis, np.array([0.0, 0.0, 50e3])) == 0.0


def test_an_m6_screw_of_class_8_8_has_the_tabled_proof_load():
    # ISO 898-1: 20.1 mm² and 11.6 kN for M6 (11.7 kN with a rounded stress area).
    assert screw_proof_n(6.0) == pytest.approx(11.7e3, rel=0.01)
    assert screw_proof_n(8.0) == pytest.approx(21.2e3, rel=0.01)
    assert screw_proof_n(7.3) is None


def test_pull_through_is_the_sheared_cylinder_under_the_washer():
    # π·d·t·τ with the 12 mm washer of M6.
    assert pull_through_n(6.0, 10.0, 8.0) == pytest.approx(math.pi * 12 * 10 * 8)
    assert pull_through_n(7.3, 10.0, 8.0) is None


@pytest.mark.parametrize(("hub_mm", "rim_mm"), [(10.0, 50.0), (25.5, 30.0), (25.5, 60.0)])
def test_floor_bending_agrees_with_a_numerical_solution_of_the_plate(hub_mm, rim_mm):
    # Oracle: the plate equation for one wave round the plate, as four first-order equations,
    # solved by collocation with unit tilt of the hub; the couple is then read off the solution.
    def right(r, y):
        w, w1, w2, w3 = y
        # expanding (d²/dr² + d/dr/r - 1/r²)² w = 0
        w4 = -2 * w3 / r + 3 * w2 / r**2 - 3 * w1 / r**3 + 3 * w / r**4
        return np.vstack([w1, w2, w3, w4])

    def ends(a, b):
        return np.array([a[0] - hub_mm, a[1] - 1.0, b[0], b[1]])

    mesh = np.linspace(hub_mm, rim_mm, 200)
    guess = np.vstack([hub_mm * (rim_mm - mesh) / (rim_mm - hub_mm), *np.zeros((3, 200))])
    solved = solve_bvp(right, ends, mesh, guess, tol=1e-9, max_nodes=100_000)
    assert solved.success
    w, w1, w2, w3 = solved.sol(mesh)
    poisson = 0.35
    # shear force Q, moments and effective edge shear, per unit stiffness and cosine of the angle
    shear = -(w3 + w2 / mesh - 2 * w1 / mesh**2 + 2 * w / mesh**3)
    radial = -(w2 + poisson * (w1 / mesh - w / mesh**2))
    twist = (1 - poisson) * (w1 / mesh - w / mesh**2)
    couple = np.pi * mesh * (mesh * (shear + twist / mesh) - radial)
    assert np.ptp(couple) < 1e-4 * abs(couple.mean())
    expected = 6 * np.abs(radial[[0, -1]]).max() / abs(couple.mean()) * MOMENT / 10.0**2
    assert floor_bending_mpa(MOMENT, hub_mm, rim_mm, 10.0) == pytest.approx(expected, rel=2e-3)


def test_floor_bending_falls_with_the_square_of_thickness_and_vanishes_without_a_span():
    thin = floor_bending_mpa(MOMENT, 25.5, 40.0, 5.0)
    assert thin == pytest.approx(4 * floor_bending_mpa(MOMENT, 25.5, 40.0, 10.0))
    assert floor_bending_mpa(MOMENT, 30.0, 30.0, 10.0) == 0.0


def test_floor_shear_carries_the_couple_and_the_force():
    # The line shear 1/1.5 of the stress times thickness, cosine round the rim, gives back M and N.
    angle = np.linspace(0, 2 * np.pi, 3600, endpoint=False)
    rim, thick = 30.0, 10.0
    bend = floor_shear_mpa(MOMENT, 0.0, rim, thick) / 1.5 * thick * np.cos(angle)
    assert (bend * rim * np.cos(angle) * rim * 2 * np.pi / 3600).sum() == pytest.approx(MOMENT)
    push = floor_shear_mpa(0.0, 4000.0, rim, thick) / 1.5 * thick
    assert push * 2 * np.pi * rim == pytest.approx(4000.0)


def test_a_bolted_bar_is_sheared_as_in_shigleys_example():
    # Shigley's Mechanical Engineering Design, example on bolts in shear under an eccentric load:
    # 16 kN at 425 mm from the middle of four bolts at ±75 and ±60 mm: 21.0 kN on the two nearer
    # the load, 14.8 kN on the other two; the greatest is the group's.
    bolts = np.array([(x, y, 0.0) for x in (75.0, -75.0) for y in (60.0, -60.0)])
    force, axis = np.array([0.0, -16e3, 0.0]), np.array([0.0, 0.0, -1.0])
    moment = np.cross([425.0, 0.0, 0.0], force)
    assert screw_shear_n(bolts, axis, force, moment) == pytest.approx(21.0e3, rel=2e-3)


def test_a_force_through_the_middle_is_shared_evenly_and_one_along_the_screws_shears_none():
    seat = seat_at()
    across = screw_shear_n(seat.screws_mm, seat.axis, np.array([300.0, 400.0, 0.0]), np.zeros(3))
    assert across == pytest.approx(125.0)
    along = screw_shear_n(seat.screws_mm, seat.axis, np.array([0.0, 0.0, 900.0]), np.zeros(3))
    assert along == pytest.approx(0.0, abs=1e-12)


def test_the_screw_that_is_pulled_is_on_the_side_that_the_moment_opens():
    # A force up in front of the leg lifts the plate's front to the socket and pulls on the back.
    seat = seat_at()
    moment = np.cross([0.0, 100.0, -300.0], [0.0, 0.0, 2000.0])
    tensions = screw_tensions_n(seat.screws_mm, seat.axis, moment)
    assert (tensions[seat.screws_mm[:, 1] < 0.0] > 0.0).all()
    assert tensions.sum() == pytest.approx(0.0, abs=1e-9)


def test_tension_and_shear_together_follow_en_1993_1_8():
    # Table 3.4, class 8.8, without the partial factor: M6, As = 20.1 mm²: Fv,R = 9.65 kN, Ft,R =
    # 14.5 kN; together Fv/Fv,R + Ft/(1.4·Ft,R).
    assert screws_together(6.0, 0.0, 9.66e3) == pytest.approx(1.0, rel=2e-3)
    assert screws_together(6.0, 14.49e3, 0.0) == pytest.approx(1.0, rel=2e-3)
    both = 7.8e3 / (1.4 * 14.49e3) + 2.0e3 / 9.66e3
    assert screws_together(6.0, 7.8e3, 2.0e3) == pytest.approx(both, rel=2e-3)
    assert screws_together(7.3, 100.0, 100.0) is None


def test_a_tube_presses_on_its_clamp_as_a_stiff_post_on_its_ground():
    # A couple M over a length L and width D, pressure in a straight line: p = M/(D·L²/6).
    assert clamp_bearing_mpa(244e3, 0.0, 30.0, 37.5) == pytest.approx(244e3 / (30 * 37.5**2 / 6))
    assert clamp_bearing_mpa(0.0, 900.0, 30.0, 37.5) == pytest.approx(0.8)
