"""Rules that swing pull and holding force follow whatever the numbers."""

import math
from types import SimpleNamespace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limbwright.align.swing import swing_pull
from limbwright.assess.plan import Activity
from limbwright.core.findings import SEVERITY_ORDER
from limbwright.couple.plan import CouplePlan, CouplingKind, CouplingPlan, PartsPlan
from limbwright.prove.suspension import (
    WALKING,
    round_section_mm2,
    seal_force_n,
    suspension,
)
from proof_bodies import round_socket, shape_of

SHAPE = shape_of(round_socket())
masses = st.floats(0.5, 6.0)
speeds = st.floats(0.0, 2.5)
capacities = st.floats(5.0, 3000.0)


def held(capacity_n, mass_kg, activity, kind=CouplingKind.PIN, speed=0.5):
    return suspension(
        SHAPE,
        SimpleNamespace(activity=activity),
        SimpleNamespace(speed_m_s=speed),
        CouplePlan(
            coupling=CouplingPlan(kind=kind, capacity_n=capacity_n),
            parts=PartsPlan(prosthesis_mass_kg=mass_kg),
        ),
    )


def severity(result, code="suspension-walking"):
    return next(f.severity for f in result.findings if f.code == code)


def test_a_leg_that_hangs_still_pulls_with_its_weight():
    # 1.8 kg under standard gravity: 17.652 N (17.66 N with 9.81 m/s²).
    assert swing_pull(1.8, 0.0).table_n == pytest.approx(1.8 * 9.80665, rel=1e-12)
    assert swing_pull(1.8, 0.0).table_n == pytest.approx(17.66, abs=0.01)
    assert swing_pull(1.8, 0.0).bound_n == pytest.approx(1.8 * 9.80665, rel=1e-12)


def test_twice_the_walking_speed_pulls_less_than_half_as_much_again():
    # Scaled from Winter's table A.1: F(1.6)/F(0.8) = 1.4 to 1.5.
    ratio = swing_pull(1.8, 1.6).table_n / swing_pull(1.8, 0.8).table_n
    assert 1.4 <= ratio <= 1.5


def test_swing_pull_of_1_8_kg_meets_the_scaled_walking_data():
    # Scaled from Winter's table A.1, N for 1.8 kg at 0.8 to 1.8 m/s.
    speeds = (0.8, 1.0, 1.2, 1.42, 1.6, 1.8)
    found = [swing_pull(1.8, speed).table_n for speed in speeds]
    assert found == pytest.approx([23, 25, 28, 31, 33, 37], abs=0.6)


@given(masses, speeds, st.floats(1.1, 3.0))
def test_the_pull_is_proportional_to_mass(mass, speed, times):
    light, heavy = swing_pull(mass, speed), swing_pull(times * mass, speed)
    assert heavy.table_n == pytest.approx(times * light.table_n, rel=1e-12)
    assert heavy.bound_n == pytest.approx(times * light.bound_n, rel=1e-12)


@given(masses, speeds)
def test_the_hand_bound_is_never_under_measured_walking(mass, speed):
    pull = swing_pull(mass, speed)
    assert pull.bound_n >= pull.table_n - 1e-12


@given(masses, speeds, speeds)
def test_faster_never_pulls_less(mass, one, other):
    slow, fast = sorted((one, other))
    assert swing_pull(mass, fast).table_n >= swing_pull(mass, slow).table_n - 1e-12


@given(capacities, capacities, masses, st.sampled_from(list(Activity)))
def test_a_stronger_coupling_is_never_judged_worse(one, other, mass, activity):
    weak, strong = sorted((one, other))
    for code in ("suspension-walking", "suspension-running"):
        ranks = [
            SEVERITY_ORDER.index(severity(held(force, mass, activity), code))
            for force in (weak, strong)
        ]
        assert ranks[1] >= ranks[0]


@given(capacities, masses, masses)
def test_a_heavier_leg_is_never_judged_better(capacity, one, other):
    light, heavy = sorted((one, other))
    ranks = [
        SEVERITY_ORDER.index(severity(held(capacity, mass, Activity.K3))) for mass in (light, heavy)
    ]
    assert ranks[1] <= ranks[0]


@given(capacities, masses)
def test_a_more_active_class_never_asks_for_less(capacity, mass):
    demands = [held(capacity, mass, activity).checks[0].demand for activity in Activity]
    assert demands == sorted(demands)


@given(capacities, masses, st.floats(0.1, 2.5))
def test_the_margin_is_capacity_over_two_and_a_half_times_walking(capacity, mass, speed):
    check = held(capacity, mass, Activity.K0, speed=speed).checks[0]
    assert check.name == WALKING
    wanted = 2.5 * swing_pull(mass, max(speed, 0.4)).table_n
    assert check.demand == pytest.approx(wanted)
    assert check.margin == pytest.approx(capacity / wanted)


@given(st.floats(1.0, 100.0), st.floats(150.0, 600.0))
def test_a_seal_holds_its_pressure_over_the_section_of_the_girth(pressure, girth):
    # Δp·C²/4π, the same as Δp·π·r² with r = C/2π.
    expected = pressure / 1000 * math.pi * (girth / (2 * math.pi)) ** 2
    assert seal_force_n(pressure, round_section_mm2(girth)) == pytest.approx(expected)
