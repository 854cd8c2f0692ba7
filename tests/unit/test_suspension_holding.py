"""What each suspension is taken to hold, and for whom that suffices."""

from types import SimpleNamespace

import numpy as np
import pytest

from limbwright.assess.plan import Activity
from limbwright.core.findings import Severity
from limbwright.core.sources import Basis, Origin
from limbwright.core.units import N_PER_LBF
from limbwright.couple.plan import CouplePlan, CouplingKind, CouplingPlan, PartsPlan
from limbwright.prove.suspension import (
    RUNNING,
    WALKING,
    holding,
    round_section_mm2,
    seal_force_n,
    suspension,
)
from proof_bodies import round_socket, shape_of

ROUND_300 = shape_of(round_socket(radius_mm=300.0 / (2.0 * np.pi)))
"""A socket of 300 mm girth."""


def held(kind, activity=Activity.K2, speed=0.6, mass=None, capacity=None):
    return suspension(
        ROUND_300,
        SimpleNamespace(activity=activity),
        SimpleNamespace(speed_m_s=speed),
        CouplePlan(
            coupling=CouplingPlan(kind=kind, capacity_n=capacity),
            parts=PartsPlan(prosthesis_mass_kg=mass),
        ),
    )


def told(result, what="walking"):
    return next(item for item in result.findings if item.code == f"suspension-{what}")


def check(result, name):
    return next(item for item in result.checks if item.name == name)


def test_44_pounds_force_are_195_7_newtons():
    # Common practice without a source: a magnetic coupling holds about 44 lbf.
    hold = holding(CouplingPlan(kind=CouplingKind.MAGNET), ROUND_300)
    assert pytest.approx(4.4482216, abs=1e-6) == N_PER_LBF
    assert hold.force_n == pytest.approx(195.7, abs=0.05)


def test_the_lower_of_trade_and_bench_figures_is_used_for_a_magnet():
    # Gholizadeh et al. 2014 pulled a magnetic system off at 350.9 N.
    hold = holding(CouplingPlan(kind=CouplingKind.MAGNET), ROUND_300)
    assert hold.force_n < 350.9
    assert hold.source.origin is Origin.TRADE
    assert "351 N" in hold.says


@pytest.mark.parametrize(("kind", "bench_n"), [(CouplingKind.PIN, 580), (CouplingKind.STRAP, 490)])
def test_bench_failures_stand_in_where_no_maker_states_a_force(kind, bench_n):
    # Gholizadeh et al. 2014, pull at failure on a tensile machine.
    hold = holding(CouplingPlan(kind=kind), ROUND_300)
    assert hold.force_n == bench_n
    assert "no working load" in hold.says
    assert hold.basis is Basis.DEFAULT
    assert hold.source.origin is Origin.PUBLISHED


@pytest.mark.parametrize(
    ("pressure_kpa", "force_n"), [(28.5, 204), (36.3, 260), (50.8, 364), (67.7, 485)]
)
def test_a_seal_round_300_mm_holds_the_forces_computed_by_hand(pressure_kpa, force_n):
    # Δp·C²/4π.
    found = seal_force_n(pressure_kpa, round_section_mm2(300.0))
    assert found == pytest.approx(force_n, abs=0.6)


def test_suction_is_taken_from_pressure_and_the_sockets_own_section():
    # 28.5 kPa (Beil et al. 2002) on 300 mm of girth: 204 N, less than 310 N on the bench.
    hold = holding(CouplingPlan(kind=CouplingKind.SUCTION), ROUND_300)
    assert hold.force_n == pytest.approx(204, abs=0.6)
    assert hold.at_least


def test_a_wide_socket_does_not_hold_more_by_suction_than_was_pulled_on_the_bench():
    # Gholizadeh et al. 2014: 310 N.
    wide = shape_of(round_socket(radius_mm=80.0))
    hold = holding(CouplingPlan(kind=CouplingKind.SUCTION), wide)
    assert hold.force_n == 310
    assert "Gholizadeh" in hold.source.citation
    assert not hold.at_least  # it failed there: it holds no more


@pytest.mark.parametrize("kind", [CouplingKind.SLEEVE, CouplingKind.LANYARD])
@pytest.mark.parametrize("activity", list(Activity))
def test_without_a_figure_nothing_is_approved(kind, activity):
    result = held(kind, activity)
    assert all(item.capacity is None and item.margin is None for item in result.checks)
    assert told(result).severity is Severity.NOT_ESTABLISHED
    assert all(item.severity is not Severity.OK for item in result.findings)


def test_what_the_maker_states_replaces_every_default():
    for kind in CouplingKind:
        hold = holding(CouplingPlan(kind=kind, capacity_n=777.0), ROUND_300)
        assert hold.force_n == 777.0
        assert hold.basis is Basis.GIVEN


def test_a_magnet_is_ample_for_the_average_walking_of_a_limited_community_walker():
    # Common practice without a source; by the figures 195.7 N against 2.5 times 25 N (1.8 kg at
    # 1.0 m/s) is a margin of 3.1.
    result = held(CouplingKind.MAGNET, Activity.K2, mass=1.8)
    assert check(result, WALKING).margin == pytest.approx(3.1, abs=0.05)
    assert told(result).severity in (Severity.OK, Severity.NOTE)
    assert "Ample for walking" in told(result).text
    assert told(held(CouplingKind.MAGNET, Activity.K2)).severity is Severity.NOTE


def test_a_magnet_for_an_active_walker_with_a_heavy_leg_has_little_in_hand():
    # 2.5 kg at 1.6 m/s: 46 N, times 2.5 is 116 N: a margin of 1.7.
    result = held(CouplingKind.MAGNET, Activity.K3, speed=1.2, mass=2.5)
    assert check(result, WALKING).margin == pytest.approx(1.7, abs=0.05)
    assert told(result).severity is Severity.WARNING
    assert told(result, "running").severity is Severity.WARNING


def test_a_magnet_is_refused_to_the_very_active_with_reason_and_margin():
    # Common practice without a source: not for very active users; running-type moves of 2.5 kg,
    # assumed at 30 N/kg, times 2.5 are 188 N: a margin of 1.04.
    result = held(CouplingKind.MAGNET, Activity.K4, speed=1.3, mass=2.5)
    assert check(result, RUNNING).margin == pytest.approx(1.04, abs=0.01)
    running = told(result, "running")
    assert running.severity is Severity.STOP
    assert "not for very active users" in running.text
    assert "1.0" in running.text
    assert running.source.origin is Origin.TRADE


def test_a_pin_is_not_refused_to_the_very_active():
    result = held(CouplingKind.PIN, Activity.K4, speed=1.3, mass=2.5)
    assert check(result, RUNNING).margin == pytest.approx(3.1, abs=0.05)
    assert told(result, "running").severity is Severity.NOTE


def test_a_stronger_magnet_that_its_maker_states_is_not_refused():
    result = held(CouplingKind.MAGNET, Activity.K4, mass=2.0, capacity=400.0)
    assert told(result, "running").severity is not Severity.STOP


def test_a_coupling_that_cannot_hold_walking_stops_the_job():
    result = held(CouplingKind.PIN, Activity.K2, mass=2.0, capacity=30.0)
    assert told(result).severity is Severity.STOP


def test_a_seal_that_is_only_known_to_hold_at_least_so_much_is_not_refused():
    result = held(CouplingKind.SUCTION, Activity.K4, speed=1.3, mass=4.0)
    assert told(result, "running").severity is Severity.NOT_ESTABLISHED


def test_every_finding_on_suspension_says_what_it_rests_on():
    for kind in CouplingKind:
        for item in held(kind).findings:
            assert item.source is not None
            assert item.basis in (Basis.DEFAULT, Basis.ESTIMATED)
            assert item.where == "suspension"


def test_a_weighed_leg_and_a_stated_force_are_judged_and_defaults_only_told():
    both = held(CouplingKind.PIN, mass=2.0, capacity=600.0)
    assert told(both).severity is Severity.OK
    assert told(held(CouplingKind.PIN, capacity=600.0)).severity is Severity.NOTE
    assert "weigh the leg" in told(held(CouplingKind.PIN, capacity=600.0)).text
