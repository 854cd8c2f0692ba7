"""Rules that swing pull and holding force follow whatever the numbers."""

import math
from types import SimpleNamespace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limbwright.align.swing import swing_pull
from limbwright.assess.plan import Activity
from limbwright.core.findings import SEVERITY_ORDER, Severity
from limbwright.core.sources import Basis
from limbwright.couple.figures import coupling_figures
from limbwright.couple.plan import CouplePlan, CouplingKind, CouplingPlan, PartsPlan
from limbwright.prove.holding import holding, magnet_share, round_section_mm2, seal_force_n
from limbwright.prove.pistoning import seal_give_mm
from limbwright.prove.plan import SuspensionPlan
from limbwright.prove.suspension import suspension
from limbwright.prove.suspension_findings import WALKING
from limbwright.prove.suspension_tables import PISTONING_RANK
from limbwright.prove.swing_curve import swing_curve, walking_pull
from proof_bodies import round_socket, shape_of

SHAPE = shape_of(round_socket())
masses = st.floats(0.5, 6.0)
speeds = st.floats(0.0, 2.5)
capacities = st.floats(5.0, 3000.0)


def held(capacity_n, mass_kg, activity, kind=CouplingKind.PIN, speed=0.5):
    return suspension(
        SHAPE,
        SimpleNamespace(activity=activity),
        SimpleNamespace(speed_m_s=speed, speed_basis=Basis.GIVEN),
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
    wanted = 2.5 * walking_pull(mass, max(speed, 0.4), 300.0).pull_n
    assert wanted >= 2.5 * swing_pull(mass, max(speed, 0.4)).table_n
    assert check.demand == pytest.approx(wanted)
    assert check.margin == pytest.approx(capacity / wanted)


@given(masses, speeds, st.floats(100.0, 450.0), st.floats(1.1, 3.0))
def test_the_curve_of_swing_is_proportional_to_mass_and_under_its_hand_bound(
    mass, speed, centre, times
):
    light, heavy = (swing_curve(part * mass, speed, centre) for part in (1.0, times))
    assert heavy.pull_n == pytest.approx([times * pull for pull in light.pull_n])
    assert light.bound_n >= max(light.pull_n) - 1e-12
    assert light.peak_n == max(light.pull_n)


@given(masses, speeds, speeds, st.floats(100.0, 450.0), st.floats(100.0, 450.0))
def test_faster_walking_and_a_lower_centre_of_mass_never_pull_less(mass, one, other, up, down):
    slow, fast = sorted((one, other))
    near, far = sorted((up, down))
    assert walking_pull(mass, fast, near).pull_n >= walking_pull(mass, slow, near).pull_n - 1e-9
    assert walking_pull(mass, fast, far).pull_n >= walking_pull(mass, fast, near).pull_n - 1e-9


gaps = st.floats(0.0, 20.0)
offsets = st.floats(0.0, 45.0)
tilts = st.floats(0.0, 60.0)


@given(gaps, gaps, offsets, offsets, tilts, tilts, st.sampled_from([None, 0.0, 10.0, 30.0, 40.0]))
def test_a_magnet_never_holds_more_over_a_wider_gap_or_further_aside_or_more_tilted(
    gap, gap_too, offset, offset_too, tilt, tilt_too, allowed
):
    # A maker may tolerate more than the target is wide: then there is nothing to divide by.
    figures = coupling_figures(
        CouplingPlan(kind=CouplingKind.MAGNET, target_diameter_mm=30.0, tolerance_offset_mm=allowed)
    )
    near = magnet_share(min(gap, gap_too), min(offset, offset_too), min(tilt, tilt_too), figures)
    far = magnet_share(max(gap, gap_too), max(offset, offset_too), max(tilt, tilt_too), figures)
    assert 0.0 <= far <= near <= 1.0


@given(
    st.sampled_from(list(CouplingKind)),
    st.sampled_from(list(CouplingKind)),
    capacities,
    capacities,
)
def test_a_second_suspension_never_holds_less_and_two_are_never_added(kind, other, first, second):
    plan = CouplingPlan(kind=kind, capacity_n=first)
    both = holding(plan, SHAPE, SuspensionPlan(second=other, second_capacity_n=second))
    if other is kind:
        assert both.force_n == pytest.approx(first)
    else:
        assert both.force_n == pytest.approx(max(first, second))


@given(capacities, masses, st.sampled_from(list(Activity)))
def test_a_lock_under_three_times_the_running_load_is_warned_of(capacity, mass, activity):
    # Running-type pull 30 N/kg, assumed; three times that is asked of every lock.
    told = severity(held(capacity, mass, activity), "suspension-toe-catch")
    if capacity < 3.0 * 30.0 * mass:
        assert told is Severity.WARNING
    else:
        assert told is Severity.NOTE


def test_published_pistoning_runs_from_vacuum_over_suction_and_pin_to_sleeve_and_strap():
    # Stevens et al. 2019, clinical practice guideline: vacuum < suction < pin < sleeve, cuff.
    order = [CouplingKind.VACUUM, CouplingKind.SUCTION, CouplingKind.PIN, CouplingKind.SLEEVE]
    ranks = [PISTONING_RANK.value[kind] for kind in order]
    assert ranks == sorted(set(ranks))
    assert PISTONING_RANK.value[CouplingKind.STRAP] == ranks[-1]


@given(st.floats(1.0, 300.0))
def test_what_a_seal_gives_follows_the_published_order(pull):
    assert seal_give_mm(CouplingKind.VACUUM, pull) < seal_give_mm(CouplingKind.SUCTION, pull)


@given(st.floats(1.0, 95.0), st.floats(1.0, 95.0), st.floats(0.0, 90.0))
def test_more_pressure_difference_never_holds_less(one, other, level):
    low, high = sorted((one, other))
    weak, strong = (
        holding(
            CouplingPlan(kind=CouplingKind.VACUUM),
            SHAPE,
            SuspensionPlan(pressure_kpa=value, seal_level_mm=level),
        )
        for value in (low, high)
    )
    assert weak.force_n <= strong.force_n
    assert strong.force_n == pytest.approx(high / 1000.0 * math.pi * 50.0**2, rel=1e-3)


@given(st.floats(1.0, 100.0), st.floats(150.0, 600.0))
def test_a_seal_holds_its_pressure_over_the_section_of_the_girth(pressure, girth):
    # Δp·C²/4π, the same as Δp·π·r² with r = C/2π.
    expected = pressure / 1000 * math.pi * (girth / (2 * math.pi)) ** 2
    assert seal_force_n(pressure, round_section_mm2(girth)) == pytest.approx(expected)
