import math
from dataclasses import replace

import pytest

from leg_bodies import straight_leg
from limbwright.align.adapters import adapters_of
from limbwright.align.adjust import adjust, leg_after_turns, moved_leg
from limbwright.align.chain import Tilt
from limbwright.align.moves import FootChange, change_between
from limbwright.align.plan import AdapterPlace, AdapterPlan
from limbwright.align.screws import angle_after, screw_to_drive, turns_for

ADAPTERS = adapters_of(())
STILL = FootChange(0.0, 0.0, 0.0, 0.0)


def turns_of(adjustment):
    return {(turn.adapter, turn.screw): turn.turns for turn in adjustment.turns}


def test_nothing_wanted_turns_nothing_and_is_feasible():
    adjustment = adjust(straight_leg(), STILL, ADAPTERS)
    assert adjustment.turns == ()
    assert adjustment.feasible
    assert adjustment.length_change_mm == pytest.approx(0.0, abs=1e-9)


def test_a_pure_shift_turns_both_adapters_by_the_same_against_each_other():
    adjustment = adjust(straight_leg(), FootChange(8.0, 0.0, 0.0, 0.0), ADAPTERS)
    assert turns_of(adjustment) == {("socket", "anterior"): 0.5, ("foot", "posterior"): 0.5}
    # half a turn of pitch 1 mm at an arm of 12 mm: 2.39 degrees, 200 sin 2.39 = 8.3 mm
    assert "socket adapter, anterior screw in by 1/2 turn;" in adjustment.text
    assert adjustment.reached_forward_mm == pytest.approx(8.33, abs=0.01)
    assert adjustment.reached_foot_flexion_deg == pytest.approx(0.0, abs=1e-9)
    assert adjustment.length_change_mm == pytest.approx(-0.17, abs=0.01)
    assert adjustment.feasible


def test_a_tilt_of_the_foot_alone_turns_the_foot_adapter_alone():
    adjustment = adjust(straight_leg(), FootChange(0.0, 0.0, -2.4, 0.0), ADAPTERS)
    assert turns_of(adjustment) == {("foot", "posterior"): 0.5}
    assert adjustment.reached_foot_flexion_deg == pytest.approx(-2.39, abs=0.01)
    assert adjustment.reached_forward_mm == pytest.approx(0.0, abs=1e-9)


def test_outward_drives_the_lateral_screw_above_and_the_medial_one_below():
    adjustment = adjust(straight_leg(), FootChange(0.0, 8.0, 0.0, 0.0), ADAPTERS)
    assert turns_of(adjustment) == {("socket", "lateral"): 0.5, ("foot", "medial"): 0.5}


def test_the_coronal_plane_is_set_last():
    adjustment = adjust(straight_leg(), FootChange(6.0, -6.0, 0.0, 0.0), ADAPTERS)
    sagittal = [turn.screw in ("anterior", "posterior") for turn in adjustment.turns]
    assert sagittal == sorted(sagittal, reverse=True)
    assert sum(sagittal) == 2


def test_every_turn_is_a_multiple_of_a_quarter():
    adjustment = adjust(straight_leg(), FootChange(5.3, -3.9, 1.1, -0.7), ADAPTERS)
    for turn in adjustment.turns:
        assert turn.turns > 0.0
        assert (turn.turns / 0.25).is_integer()


def test_the_rounded_turns_miss_by_no_more_than_half_a_quarter_turn_does():
    wanted = FootChange(5.3, -3.9, 1.1, -0.7)
    adjustment = adjust(straight_leg(), wanted, ADAPTERS)
    half = math.radians(0.5 * 0.25 * 4.8)
    worst_mm = 200.0 * half * 1.5
    assert abs(adjustment.reached_forward_mm - 5.3) < worst_mm
    assert abs(adjustment.reached_outward_mm + 3.9) < worst_mm
    assert abs(adjustment.reached_foot_flexion_deg - 1.1) < 1.2
    assert abs(adjustment.reached_foot_adduction_deg + 0.7) < 1.2


def test_too_large_a_shift_says_what_is_missing_and_where():
    # 24 mm over 200 mm ask for 6.9 degrees; 8 less a reserve of 2 leave 6
    adjustment = adjust(straight_leg(), FootChange(24.0, 0.0, 0.0, 0.0), ADAPTERS)
    assert not adjustment.feasible
    assert "socket flexion would stand at 6.9 degrees, 0.9 beyond" in adjustment.text
    assert "foot flexion" in adjustment.text


def test_a_wider_range_makes_the_same_shift_feasible():
    wide = adapters_of([AdapterPlan(place=place, range_deg=10.0) for place in AdapterPlace])
    assert adjust(straight_leg(), FootChange(24.0, 0.0, 0.0, 0.0), wide).feasible


def test_an_adapter_beyond_its_reserve_may_still_be_turned_back():
    leg = replace(straight_leg(), socket=Tilt(math.radians(7.5), 0.0))
    back = adjust(leg, FootChange(-10.0, 0.0, 0.0, 0.0), ADAPTERS)
    assert back.feasible
    assert not adjust(leg, FootChange(3.0, 0.0, 0.0, 0.0), ADAPTERS).feasible


def test_a_shift_beyond_the_pylon_s_reach_says_the_offset_that_is_missing():
    # 60 mm apart and 6 degrees to each side: 6.3 mm each way
    adjustment = adjust(straight_leg(60.0), FootChange(60.0, 60.0, 0.0, 0.0), ADAPTERS)
    reach = 60.0 * math.sin(math.radians(6.0))
    assert not adjustment.feasible
    assert adjustment.missing_forward_mm == pytest.approx(60.0 - reach, abs=0.2)
    assert adjustment.missing_outward_mm == pytest.approx(60.0 - reach, abs=0.2)
    missing = math.hypot(adjustment.missing_forward_mm, adjustment.missing_outward_mm)
    assert f"offset adapter of {missing:.1f} mm" in adjustment.text


@pytest.mark.parametrize("start_deg", [-5.0, 0.0, 3.0])
def test_turns_give_back_the_angle_they_were_worked_out_for(start_deg):
    start, end = math.radians(start_deg), math.radians(2.6)
    turns = turns_for(start, end, 1.25, 11.0)
    assert angle_after(start, turns, 1.25, 11.0) == pytest.approx(end, abs=1e-12)


def test_screws_are_named_by_the_way_they_lean_the_part_above():
    assert screw_to_drive("flexion", 0.5) == "anterior"
    assert screw_to_drive("flexion", -0.5) == "posterior"
    assert screw_to_drive("adduction", 0.5) == "lateral"
    assert screw_to_drive("adduction", -0.5) == "medial"


def test_turning_the_named_screws_gives_what_the_adjustment_says():
    leg = straight_leg()
    adjustment = adjust(leg, FootChange(7.0, -9.0, 1.5, 2.0), ADAPTERS)
    reached = change_between(leg, leg_after_turns(leg, adjustment.turns, ADAPTERS))
    assert reached.forward_mm == pytest.approx(adjustment.reached_forward_mm)
    assert reached.outward_mm == pytest.approx(adjustment.reached_outward_mm)
    assert reached.adduction_deg == pytest.approx(adjustment.reached_foot_adduction_deg)


def test_undoing_a_change_comes_back():
    leg = straight_leg(toe_out_rad=0.1)
    there = moved_leg(leg, FootChange(9.0, -7.0, 0.0, 0.0), ADAPTERS)
    back = moved_leg(there, FootChange(-9.0, 7.0, 0.0, 0.0), ADAPTERS)
    assert back.socket.flexion_rad == pytest.approx(0.0, abs=1e-5)
    assert back.socket.adduction_rad == pytest.approx(0.0, abs=1e-5)
