"""A walking cast's layers and rolls, by the coupons of its lay-up."""

from types import SimpleNamespace

import pytest

from limbwright.core.findings import Severity
from limbwright.couple.plan import CouplePlan
from limbwright.prove.cast import rolls_needed
from limbwright.prove.plan import CastPlan, CouponPlan, CouponTest, ProvePlan, SocketProcess
from limbwright.prove.strength import strength
from limbwright.prove.strength_findings import EXIT, FLOOR, OPEN_WALL, PULL_THROUGH, WALL
from proof_bodies import round_socket, seat_at, shape_of, straight_leg

LAYER_MM = 0.9


def coupons(mpa):
    """Five specimens about a mean strength: F = 2·b·h²·σ/(3·L)."""
    forces = [2 * 15.0 * 36.0 * mpa * part / (3 * 96.0) for part in (0.98, 0.99, 1.0, 1.01, 1.02)]
    return CouponTest(
        specimens=tuple(
            CouponPlan(span_mm=96.0, width_mm=15.0, thickness_mm=6.0, force_n=force)
            for force in forces
        ),
        source="own lay-up of eight layers",
    )


def cast(mpa=100.0, **more):
    given = {"layers": 6, "layer_mm": LAYER_MM, "distal_plate_mm": 12.0, **more}
    return ProvePlan(
        process=SocketProcess.WALKING_CAST, material="cast_tape", coupons=coupons(mpa), **given
    )


def proved(plan, level="P4"):
    return strength(
        shape_of(round_socket()),
        seat_at(),
        straight_leg(),
        SimpleNamespace(load_level=level),
        plan,
        CouplePlan(),
    )


def finding(result, code):
    return next(item for item in result.findings if item.code == code)


def least(result, names):
    return min(check.margin for check in result.checks if check.name in names)


@pytest.mark.parametrize("wanted", [0.7, 1.0])
def test_the_counted_layers_reach_the_wanted_margin_and_one_less_does_not(wanted):
    told = finding(proved(cast(wanted_margin=wanted)), "cast-layers")
    layers = int(told.limit)
    walls = (WALL, OPEN_WALL, EXIT)
    enough = proved(cast(wanted_margin=wanted, layers=layers))
    assert least(enough, walls) >= wanted
    assert finding(enough, "cast-layers").severity is Severity.NOTE
    if layers > 1:
        fewer = proved(cast(wanted_margin=wanted, layers=layers - 1))
        assert least(fewer, walls) < wanted
        assert finding(fewer, "cast-layers").severity is Severity.WARNING


def test_the_counted_plate_reaches_the_wanted_margin_and_a_layer_less_does_not():
    told = finding(proved(cast(mpa=250.0)), "cast-plate")
    plates = (PULL_THROUGH, FLOOR)
    assert least(proved(cast(mpa=250.0, distal_plate_mm=told.limit)), plates) >= 1.0
    assert least(proved(cast(mpa=250.0, distal_plate_mm=told.limit - LAYER_MM)), plates) < 1.0


def test_weaker_tape_never_needs_fewer_layers():
    needed = [finding(proved(cast(mpa)), "cast-layers").limit for mpa in (400, 200, 100, 50)]
    assert needed == sorted(needed)


def test_tape_that_never_suffices_is_told_without_a_number():
    told = finding(proved(cast(mpa=1.0)), "cast-layers")
    assert told.limit is None
    assert told.severity is Severity.WARNING
    assert "Even 40 layers" in told.text


def test_without_coupons_no_layer_is_counted():
    plan = ProvePlan(process=SocketProcess.WALKING_CAST, material="cast_tape", layers=40)
    told = finding(proved(plan), "cast-layers")
    assert told.severity is Severity.NOT_ESTABLISHED
    assert "coupon" in told.text


def test_a_cast_with_coupons_is_still_for_supervised_use_between_bars_and_never_a_test():
    result = proved(cast(mpa=400.0, layers=20, distal_plate_mm=40.0))
    assert "between bars" in finding(result, "walking-cast-supervised").text
    assert "between bars only" in finding(result, "cast-layers").text
    assert all("pass" not in item.text.lower() for item in result.findings)


@pytest.mark.parametrize(("area_mm2", "rolls"), [(84e3, 2), (94e3, 2), (104e3, 2), (30e3, 1)])
def test_rolls_are_counted_whole(area_mm2, rolls):
    # 5 layers from a roll of 10 cm by 3.6 m: 1.2, 1.3 and 1.4 rolls for 0.084 to 0.104 m², so two
    # are opened.
    plan = CastPlan(roll_width_mm=100, roll_length_mm=3600, waste_percent=0)
    assert rolls_needed(area_mm2, 5, plan) == rolls


def test_other_sockets_have_no_layers_to_count():
    codes = [item.code for item in proved(ProvePlan()).findings]
    assert "cast-layers" not in codes
