"""What each suspension is taken to hold, and for whom that suffices."""

from types import SimpleNamespace

import numpy as np
import pytest

from limbwright.align.swing import swing_pull
from limbwright.assess.plan import Activity
from limbwright.core.findings import Severity
from limbwright.core.sources import Basis, Origin
from limbwright.core.units import N_PER_LBF
from limbwright.couple.catalogue import Catalogue
from limbwright.couple.hanging_mass import hanging_mass
from limbwright.couple.in_hand import in_hand
from limbwright.couple.plan import CouplePlan, CouplingKind, CouplingPlan, PartChoice, PartsPlan
from limbwright.prove.holding import holding, round_section_mm2, seal_force_n
from limbwright.prove.pistoning import pistoning_findings, pistoning_mm
from limbwright.prove.plan import ProvePlan, SocketProcess, SuspensionPlan
from limbwright.prove.suspension import suspension
from limbwright.prove.suspension_findings import RUNNING, STAIRS, TOE_CATCH, WALKING
from limbwright.prove.swing_curve import swing_curve, walking_pull
from proof_bodies import round_socket, shape_of

ROUND_300 = shape_of(round_socket(radius_mm=300.0 / (2.0 * np.pi)))
"""A socket of 300 mm girth."""

NOT_WEIGHED = PartsPlan()


def held(kind, activity=Activity.K2, speed=0.6, mass=None, capacity=None, speed_basis=Basis.GIVEN):
    return suspension(
        ROUND_300,
        SimpleNamespace(activity=activity),
        SimpleNamespace(speed_m_s=speed, speed_basis=speed_basis),
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
    # 1.0 m/s, Winter's walker) is a margin of 3.1, and 2.9 by the walker who pulls 7 % harder.
    result = held(CouplingKind.MAGNET, Activity.K2, mass=1.8)
    assert 195.7 / (2.5 * swing_pull(1.8, 1.0).table_n) == pytest.approx(3.1, abs=0.05)
    assert check(result, WALKING).margin == pytest.approx(2.9, abs=0.05)
    assert told(result).severity in (Severity.OK, Severity.NOTE)
    assert "Ample for walking" in told(result).text
    assert told(held(CouplingKind.MAGNET, Activity.K2)).severity is Severity.NOTE


def test_a_magnet_for_an_active_walker_with_a_heavy_leg_has_little_in_hand():
    # 2.5 kg at 1.6 m/s: 46 N, times 2.5 is 116 N: a margin of 1.7 by Winter's walker, 1.5 by the
    # one who pulls harder; running-type, 188 N, leaves 1.04: refuse.
    result = held(CouplingKind.MAGNET, Activity.K3, speed=1.0, mass=2.5, capacity=195.7)
    assert 195.7 / (2.5 * swing_pull(2.5, 1.6).table_n) == pytest.approx(1.7, abs=0.05)
    assert check(result, WALKING).margin == pytest.approx(1.5, abs=0.05)
    assert told(result).severity is Severity.WARNING
    assert told(result, "running").severity is Severity.STOP


def test_whose_hand_bound_a_pull_is_told_with_is_said():
    # The load case of swing takes one walker's, the suspension the larger of two.
    both = walking_pull(2.0, 1.6, 300.0)
    one = swing_pull(2.0, 1.6, 300.0)
    assert both.bound_n > one.bound_n
    text = told(held(CouplingKind.MAGNET, Activity.K3, speed=1.0, mass=2.0)).text
    assert f"the larger of their hand bounds {both.bound_n:.0f} N" in text


def test_a_brisk_community_walker_is_refused_the_magnet_and_an_average_one_is_warned():
    brisk = held(CouplingKind.MAGNET, Activity.K3, speed=1.3, mass=2.0, capacity=195.7)
    assert told(brisk, "running").severity is Severity.STOP
    average = held(CouplingKind.MAGNET, Activity.K3, speed=1.0, mass=2.0, capacity=195.7)
    assert told(average, "running").severity is Severity.WARNING


def test_a_magnet_is_refused_to_the_very_active_with_reason_and_margin():
    # Common practice without a source: not for very active users; running-type moves of 2.5 kg,
    # assumed at 30 N/kg, times 2.5 are 188 N: a margin of 1.04.
    result = held(CouplingKind.MAGNET, Activity.K4, speed=1.3, mass=2.5)
    assert check(result, RUNNING).margin == pytest.approx(1.04, abs=0.01)
    running = told(result, "running")
    assert running.severity is Severity.STOP
    assert "not for very active users" in running.text
    assert "margin of 1.04 where 2 is asked" in running.text
    assert "196 N against 188 N" in running.text
    assert "2.5 times that (project choice)" in running.text
    assert running.value == pytest.approx(187.5)
    assert running.limit == pytest.approx(195.7, abs=0.05)
    assert running.source.origin is Origin.TRADE


def test_a_leg_nobody_weighed_does_not_refuse_the_very_active_their_magnet():
    result = told(held(CouplingKind.MAGNET, Activity.K4, speed=1.3, capacity=195.7), "running")
    assert result.severity is Severity.NOT_ESTABLISHED
    assert result.basis is Basis.DEFAULT
    assert "weigh the leg with its shoe" in result.text
    assert "not for very active users" in result.text


def test_a_magnet_nobody_knows_is_refused_only_where_the_strongest_on_the_bench_falls_short():
    # Gholizadeh et al. 2014: 350.9 N; running-type moves of 2.0 kg ask twice 150 N, of 2.5 kg
    # twice 187.5 N.
    light = told(held(CouplingKind.MAGNET, Activity.K4, speed=1.3, mass=2.0), "running")
    assert light.severity is Severity.NOT_ESTABLISHED
    assert "enter the force that the maker states" in light.text
    heavy = told(held(CouplingKind.MAGNET, Activity.K4, speed=1.3, mass=2.5), "running")
    assert heavy.severity is Severity.STOP


def test_parts_of_known_mass_alone_may_be_too_heavy_for_a_coupling():
    # 4 kg of stated parts at 1.0 m/s ask more than 60 N whatever the rest weighs.
    entry = {
        "provenance": "weighed on the bench",
        "date": "2026-10-02",
        "kind": "foot",
        "key": "my-foot",
        "height_mm": 70,
        "length_mm": 260,
        "mass_kg": 4.0,
    }
    pin = CouplingPlan(kind=CouplingKind.PIN, capacity_n=60.0)
    plan = CouplePlan(coupling=pin, catalogue=PartChoice(foot="my-foot"))
    for example, severity in ((False, Severity.STOP), (True, Severity.NOT_ESTABLISHED)):
        parts = Catalogue.model_validate({"parts": [{**entry, "example": example}]})
        result = suspension(
            ROUND_300,
            SimpleNamespace(activity=Activity.K2),
            SimpleNamespace(speed_m_s=0.6, speed_basis=Basis.GIVEN),
            in_hand(plan, parts),
        )
        assert told(result).severity is severity


def test_a_second_suspension_of_unknown_strength_leaves_the_refusal_open():
    known = SuspensionPlan(second=CouplingKind.SLEEVE)
    weighed = PartsPlan(prosthesis_mass_kg=2.0)
    result = suspended(CouplingKind.PIN, known, weighed=weighed, capacity_n=30.0)
    assert told(result).severity is Severity.NOT_ESTABLISHED
    assert "spring balance" in told(result).text


def test_a_speed_that_nobody_timed_is_told_and_not_approved():
    result = held(CouplingKind.PIN, mass=2.0, capacity=600.0, speed_basis=Basis.DEFAULT)
    assert told(result).severity is Severity.NOTE
    assert told(result).basis is Basis.DEFAULT


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


def test_a_leg_nobody_weighed_is_doubted_and_not_refused():
    result = held(CouplingKind.PIN, Activity.K2, capacity=30.0)
    assert check(result, WALKING).margin < 1.0
    assert told(result).severity is Severity.NOT_ESTABLISHED
    assert "weigh the leg" in told(result).text


def test_a_seal_that_is_only_known_to_hold_at_least_so_much_is_not_refused():
    result = held(CouplingKind.SUCTION, Activity.K4, speed=1.3, mass=4.0)
    assert told(result, "running").severity is Severity.NOT_ESTABLISHED


def test_every_finding_on_suspension_says_what_it_rests_on():
    for kind in CouplingKind:
        for item in held(kind).findings:
            assert item.source is not None
            assert item.basis in (Basis.DEFAULT, Basis.ESTIMATED)
            assert item.where in ("suspension", "trim line", "brim", "socket")
            assert item.where == "suspension" or item.code.startswith("seal-")


def test_a_weighed_leg_and_a_stated_force_are_judged_and_defaults_only_told():
    both = held(CouplingKind.PIN, mass=2.0, capacity=600.0)
    assert told(both).severity is Severity.OK
    assert told(held(CouplingKind.PIN, capacity=600.0)).severity is Severity.NOTE
    assert "weigh the leg" in told(held(CouplingKind.PIN, capacity=600.0)).text


def suspended(
    kind,
    known,
    trim_u_mm=20.0,
    misfit=None,
    process=SocketProcess.LAMINATED,
    weighed=NOT_WEIGHED,
    **more,
):
    """With what else is known of the suspension."""
    shape = shape_of(round_socket(radius_mm=300.0 / (2.0 * np.pi)), trim_u_mm)
    return suspension(
        shape,
        SimpleNamespace(activity=Activity.K2),
        SimpleNamespace(speed_m_s=0.8, speed_basis=Basis.GIVEN),
        CouplePlan(coupling=CouplingPlan(kind=kind, **more), parts=weighed),
        ProvePlan(process=process, suspension=known),
        misfits=None if misfit is None else {"swing": misfit},
    )


def test_a_gauge_reading_on_a_stated_seal_holds_pressure_times_section():
    # Δp·C²/4π: 50.8 kPa (15 inHg) on 300 mm of girth hold 364 N.
    known = SuspensionPlan(pressure_kpa=50.8, seal_level_mm=40.0)
    result = suspended(CouplingKind.VACUUM, known)
    assert check(result, WALKING).capacity == pytest.approx(364, abs=1.0)
    assert check(result, WALKING).capacity_basis is Basis.GIVEN


def test_a_weak_gauge_reading_refuses_only_where_the_seal_s_level_was_stated():
    weighed = PartsPlan(prosthesis_mass_kg=2.0)
    weak = SuspensionPlan(pressure_kpa=5.0)
    stated = weak.model_copy(update={"seal_level_mm": 40.0})
    doubted = told(suspended(CouplingKind.VACUUM, weak, weighed=weighed))
    refused = told(suspended(CouplingKind.VACUUM, stated, weighed=weighed))
    assert doubted.severity is Severity.NOT_ESTABLISHED
    assert refused.severity is Severity.STOP


def test_walking_asks_for_less_suction_than_was_measured_in_swing():
    # Beil, Street and Covey 2002: up to 28.5 kPa in swing with suction.
    told = code(
        suspended(CouplingKind.SUCTION, SuspensionPlan(seal_level_mm=40.0)), "seal-pressure"
    )
    section = 300.0**2 / (4.0 * np.pi)
    assert told.limit == 28.5
    assert told.value * section / 1000.0 == pytest.approx(
        swing_curve(2.0, 1.0, 300.0).peak_n, rel=0.01
    )
    assert told.unit == "kPa"
    assert told.severity is Severity.NOTE


def code(result, wanted):
    return next(item for item in result.findings if item.code == wanted)


def test_a_seal_above_the_trim_line_s_lowest_point_stops_the_job_unless_a_sleeve_closes_it():
    high = SuspensionPlan(seal_level_mm=-10.0)
    result = suspended(CouplingKind.SUCTION, high, trim_u_mm=-20.0)
    told = code(result, "seal-closed-wall")
    assert told.severity is Severity.STOP
    assert "30 mm above the lowest point" in told.text
    sleeved = high.model_copy(update={"second": CouplingKind.SLEEVE})
    over = suspended(CouplingKind.SUCTION, sleeved, trim_u_mm=-20.0)
    assert code(over, "seal-closed-wall").severity is Severity.NOTE
    assert "reach over the brim" in code(over, "seal-at-brim").text


def test_a_seal_close_under_the_trim_line_is_warned_of_and_a_deep_one_told():
    near = suspended(CouplingKind.VACUUM, SuspensionPlan(seal_level_mm=0.0))
    assert code(near, "seal-closed-wall").severity is Severity.WARNING
    deep = suspended(CouplingKind.VACUUM, SuspensionPlan(seal_level_mm=60.0))
    assert code(deep, "seal-closed-wall").severity is Severity.NOTE


def test_a_printed_wall_is_warned_of_as_a_leak_and_a_laminate_is_told():
    printed = suspended(CouplingKind.VACUUM, SuspensionPlan(), process=SocketProcess.PRINTED)
    assert code(printed, "seal-airtight").severity is Severity.WARNING
    assert code(suspended(CouplingKind.VACUUM, SuspensionPlan()), "seal-airtight").severity is (
        Severity.NOTE
    )


def test_a_pin_needs_no_seal():
    codes = [item.code for item in held(CouplingKind.PIN).findings]
    assert not [item for item in codes if item.startswith("seal-")]


def test_a_magnet_over_a_gap_is_doubted_and_never_refused_by_a_rule_of_thumb():
    # 1/(1 + 9/3)² of 195.7 N are 12 N; the rule is a project choice that nobody is sure of.
    result = suspended(CouplingKind.MAGNET, SuspensionPlan(magnet_gap_mm=9.0))
    assert check(result, WALKING).capacity == pytest.approx(195.7 / 16.0, abs=0.1)
    assert told(result).severity is Severity.NOT_ESTABLISHED


def test_a_magnet_within_its_tolerance_keeps_its_force_and_one_that_cannot_seat_does_not():
    # Common practice: a target of 50 mm holds fully up to 10 degrees.
    within = suspended(CouplingKind.MAGNET, SuspensionPlan(), misfit=(9.0, 2.0))
    assert check(within, WALKING).capacity == pytest.approx(195.7, abs=0.05)
    stiff = suspended(CouplingKind.MAGNET, SuspensionPlan(), misfit=(9.0, 2.0), self_seating=False)
    assert check(stiff, WALKING).capacity < 0.5 * 195.7


def test_a_sleeve_over_a_pin_is_named_as_what_is_left():
    known = SuspensionPlan(second=CouplingKind.SLEEVE, second_capacity_n=90.0)
    result = suspended(CouplingKind.PIN, known, capacity_n=400.0)
    assert check(result, WALKING).capacity == 400.0
    assert "if it lets go, the sleeve is left with 90 N" in check(result, WALKING).text


def test_lifting_a_leg_up_a_step_pulls_with_weight_and_the_harmonic_lift():
    # h/2·(π/T)² of 180 mm in 0.4 s: 5.55 m/s²; 2.0 kg pull with 30.7 N.
    result = held(CouplingKind.PIN, Activity.K0, speed=0.2)
    assert check(result, STAIRS).demand == pytest.approx(2.0 * (9.80665 + 5.55), abs=0.05)
    assert check(result, TOE_CATCH).demand == pytest.approx(3.0 * 30.0 * 2.0)


def test_it_says_for_whom_it_suffices_and_up_to_which_leg():
    result = held(CouplingKind.MAGNET, Activity.K2, mass=1.8)
    told = code(result, "suspension-for-whom")
    assert "ample for K0, K1, K2" in told.text
    assert "not for running-type moves" in told.text
    per_kg = 2.5 * walking_pull(1.0, 1.0, 300.0).pull_n
    assert told.limit == pytest.approx(195.7 / per_kg, abs=0.05)
    unknown = code(held(CouplingKind.LANYARD), "suspension-for-whom")
    assert unknown.severity is Severity.NOT_ESTABLISHED


def test_parts_of_a_catalogue_add_up_to_the_leg_that_hangs():
    own = {"provenance": "weighed on the bench", "date": "2026-10-02"}
    entries = Catalogue.model_validate(
        {
            "parts": [
                {
                    **own,
                    "kind": "foot",
                    "key": "my-foot",
                    "height_mm": 70,
                    "length_mm": 260,
                    "mass_kg": 0.6,
                },
                {
                    **own,
                    "kind": "pylon",
                    "key": "my-tube",
                    "outside_mm": 30,
                    "wall_mm": 2,
                    "length_mm": 200,
                    "mass_kg": 0.1,
                },
            ]
        }
    )
    plan = in_hand(CouplePlan(catalogue=PartChoice(foot="my-foot", pylon="my-tube")), entries)
    mass = hanging_mass(plan.parts)
    # named 0.7; lock 0.2, plate 0.085, two clamps 0.28 and socket 0.7 by usual masses; shoe 0.4
    assert mass.kg == pytest.approx(0.7 + 0.2 + 0.085 + 0.28 + 0.7 + 0.4)
    assert mass.sure_kg == pytest.approx(0.7)
    assert mass.basis is Basis.DEFAULT
    assert "2 parts of the catalogue" in mass.says


def test_the_limb_s_rise_from_standing_to_swing_is_told_with_the_rank_of_its_kind():
    poses = {"standing": -6.0, "swing": -1.5}
    cases = tuple(
        SimpleNamespace(load_case=name, pose=SimpleNamespace(shift_mm=np.array([0.0, 0.0, u])))
        for name, u in poses.items()
    )
    assert pistoning_mm(SimpleNamespace(cases=cases)) == pytest.approx(4.5)
    assert pistoning_mm(SimpleNamespace(cases=cases[:1])) is None
    (told,) = pistoning_findings(CouplingKind.PIN, 4.5, 30.0)
    assert "less than sleeve, cuff and strap" in told.text
    assert told.value == 4.5
