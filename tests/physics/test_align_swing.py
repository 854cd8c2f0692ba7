"""Swing pull against a leg at rest, its hand bound, and a table from measured walking."""

import numpy as np
import pytest
from scipy.signal import argrelextrema, butter, filtfilt

from limbwright.align.swing import swing_pull
from limbwright.core.sources import Basis
from limbwright.couple.hanging_mass import hanging_mass
from limbwright.couple.plan import PartsPlan
from limbwright.prove.suspension_tables import (
    SWING_KNEE_ALONG_M_S2,
    SWING_LEAN_DEG,
    SWING_SPEED_M_S,
    SWING_TURNING_RAD_S,
)
from limbwright.prove.swing_curve import swing_curve


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
    weighed = hanging_mass(PartsPlan(prosthesis_mass_kg=2.3))
    assert (weighed.kg, weighed.sure_kg, weighed.basis) == (2.3, 2.3, Basis.GIVEN)
    mass = hanging_mass(PartsPlan(shoe_mass_kg=0.5))
    assert mass.basis is Basis.DEFAULT
    assert mass.sure_kg == 0.0
    assert mass.kg == pytest.approx(hanging_mass(PartsPlan(shoe_mass_kg=0.0)).kg + 0.5)


def swings_of_walker_2(folder):
    """Shank kinematics through each swing of one open walk: lean, turning, knee along the shank.

    Swing runs from the toe furthest behind the pelvis to the heel furthest in front of it (Zeni
    et al. 2008); markers are low-passed at 6 Hz without lag.
    """
    lines = (folder / "gait/walker_2/walk1.trc").read_text().splitlines()
    names = [name for name in lines[3].split("\t")[2:] if name.strip()]
    rows = np.array(
        [[float(x) for x in line.split("\t")[: 2 + 3 * len(names)]] for line in lines[5:] if line]
    )
    b, a = butter(2, 6.0 / 75.0 / 0.802)
    marks = {
        name: filtfilt(b, a, rows[:, 2 + 3 * k : 5 + 3 * k], axis=0) / 1000.0
        for k, name in enumerate(names)
    }

    def rate(values):
        return np.gradient(values, 1.0 / 150.0, axis=0)

    pelvis = np.mean([marks[side + name] for side in "RL" for name in (".ASIS", ".PSIS")], axis=0)
    found = []
    for side in "RL":
        knee, ankle = (
            0.5 * (marks[f"{side}.{joint}"] + marks[f"{side}.{joint}.Medial"])
            for joint in ("Knee", "Ankle")
        )
        strikes = argrelextrema((marks[side + ".Heel"] - pelvis)[:, 0], np.greater, order=40)[0]
        leaves = argrelextrema((marks[side + ".MT2"] - pelvis)[:, 0], np.less, order=40)[0]
        down = (ankle - knee)[:, :2]
        down = down / np.linalg.norm(down, axis=1)[:, None]
        lean = np.unwrap(np.arctan2(down[:, 0], -down[:, 1]))
        along = np.einsum("ij,ij->i", rate(rate(knee[:, :2])), down)
        for first in leaves:
            last = next((strike for strike in strikes if strike > first), None)
            if last is not None:
                at = np.linspace(first, last, 21)
                found.append(
                    [
                        np.interp(at, np.arange(len(lean)), values)
                        for values in (np.degrees(lean), rate(lean), along)
                    ]
                )
    speed = np.polyfit(np.arange(len(pelvis)) / 150.0, pelvis[:, 0], 1)[0]
    return np.array(found), float(speed)


def test_the_curve_of_swing_is_that_of_the_open_walk(shared_data):
    swings, speed = swings_of_walker_2(shared_data)
    assert len(swings) == 4
    lean, turning, along = swings.mean(axis=0)
    assert speed == pytest.approx(SWING_SPEED_M_S.value, abs=0.005)
    assert SWING_LEAN_DEG.value == pytest.approx(lean, abs=0.06)
    assert SWING_TURNING_RAD_S.value == pytest.approx(turning, abs=0.006)
    assert SWING_KNEE_ALONG_M_S2.value == pytest.approx(along, abs=0.006)
    by_hand = 9.80665 * np.cos(np.radians(lean)) + turning**2 * 0.3 - along
    curve = swing_curve(1.0, speed, 300.0)
    assert curve.pull_n == pytest.approx(by_hand, abs=0.05)


def test_two_walkers_pull_alike():
    # The open walk against Winter's table A.1, scaled to its speed: within a tenth.
    curve = swing_curve(1.0, 1.18, 300.0)
    assert curve.peak_n == pytest.approx(swing_pull(1.0, 1.18).table_n, rel=0.1)
    assert 70.0 <= curve.peak_percent <= 90.0
    assert min(curve.pull_n) > 0.0


def test_the_harder_walker_s_pull_grows_by_half_too():
    # As Winter's scaled: F(1.6)/F(0.8) = 1.4 to 1.5.
    ratio = swing_curve(1.8, 1.6, 300.0).peak_n / swing_curve(1.8, 0.8, 300.0).peak_n
    assert ratio == pytest.approx(1.45, abs=0.06)


def test_a_leg_that_hangs_still_pulls_at_most_with_its_weight():
    still = swing_curve(1.8, 0.0, 300.0)
    assert still.bound_n == pytest.approx(1.8 * 9.80665)
    assert still.pull_n == pytest.approx(1.8 * 9.80665 * np.cos(np.radians(still.lean_deg)))
