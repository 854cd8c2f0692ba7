"""Swing pull against a leg at rest, its hand bound, and a table from measured walking."""

import numpy as np
import pytest

from limbwright.align.swing import prosthesis_mass_kg, swing_pull
from limbwright.core.sources import Basis
from limbwright.couple.plan import PartsPlan


def test_a_leg_that_hangs_still_pulls_with_its_weight_exactly():
    still = swing_pull(1.8, 0.0)
    assert still.table_n == pytest.approx(1.8 * 9.80665, abs=1e-12)
    assert still.bound_n == pytest.approx(17.66, abs=0.01)


@pytest.mark.parametrize(
    ("speed", "newton"),
    # 1.8 kg, from Winter's marker data scaled by cadence squared times stride
    [(0.8, 23.0), (1.0, 25.0), (1.2, 28.0), (1.42, 31.0), (1.6, 33.0), (1.8, 37.0)],
)
def test_the_pull_by_speed_is_that_of_measured_walking(speed, newton):
    assert swing_pull(1.8, speed).table_n == pytest.approx(newton, abs=0.6)


def test_between_slow_and_fast_walking_the_pull_grows_by_half():
    assert 1.4 <= swing_pull(1.8, 1.6).table_n / swing_pull(1.8, 0.8).table_n <= 1.5


def test_the_pull_is_in_proportion_to_mass():
    assert swing_pull(3.0, 1.3).table_n == pytest.approx(2.0 * swing_pull(1.5, 1.3).table_n)
    assert swing_pull(3.0, 1.3).bound_n == pytest.approx(2.0 * swing_pull(1.5, 1.3).bound_n)


def test_the_pull_grows_with_speed_and_the_hand_bound_is_never_below_it():
    pulls = [swing_pull(1.8, speed) for speed in np.linspace(0.0, 2.5, 51)]
    table = np.array([pull.table_n for pull in pulls])
    bound = np.array([pull.bound_n for pull in pulls])
    assert (np.diff(table) > 0.0).all()
    assert (np.diff(bound) > 0.0).all()
    assert (bound >= table - 1e-9).all()


@pytest.mark.parametrize(
    ("turning_deg_s", "newton"),
    # m (g + w^2 c), 1.8 kg, centre of mass 0.35 m below the knee, by hand
    [(220.0, 27.0), (310.0, 36.1)],
)
def test_the_hand_bound_is_the_pull_of_a_turning_mass(turning_deg_s, newton):
    speed = turning_deg_s / 353.0 * 1.42
    pull = swing_pull(1.8, speed, mass_below_knee_mm=350.0)
    by_hand = 1.8 * (9.80665 + np.radians(turning_deg_s) ** 2 * 0.35)
    assert by_hand == pytest.approx(newton, abs=0.2)
    assert pull.bound_n == pytest.approx(by_hand, rel=0.01)


def test_a_weighed_prosthesis_is_given_and_a_default_one_carries_its_shoe():
    assert prosthesis_mass_kg(PartsPlan(prosthesis_mass_kg=2.3)) == (2.3, Basis.GIVEN)
    mass, basis = prosthesis_mass_kg(PartsPlan(shoe_mass_kg=0.5))
    assert basis is Basis.DEFAULT
    assert mass == pytest.approx(prosthesis_mass_kg(PartsPlan(shoe_mass_kg=0.0))[0] + 0.5)
