"""Bent specimens against a textbook beam, published factors, and what a socket is credited with."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from limbwright.core.sources import Basis
from limbwright.prove.coupons import (
    bending_modulus_mpa,
    bending_strength_mpa,
    coupon_result,
    lower_value_mpa,
    summarise,
)
from limbwright.prove.materials import allowable, plate_basis, wall_basis, wall_thickness_mm
from limbwright.prove.plan import (
    CouponDirection,
    CouponPlan,
    CouponTest,
    MaterialPlan,
    ProvePlan,
    SocketProcess,
)

CAST = {"process": SocketProcess.WALKING_CAST, "material": "cast_tape"}


def coupon(force_n=500.0, thickness_mm=6.0, **more):
    return CouponPlan(
        span_mm=96.0, width_mm=15.0, thickness_mm=thickness_mm, force_n=force_n, **more
    )


def test_strength_is_moment_over_section_modulus_of_a_simple_beam():
    # Simple beam with a load in the middle: M = F·L/4; rectangle: W = b·h²/6; sigma = M/W.
    moment, modulus = 500.0 * 96.0 / 4.0, 15.0 * 6.0**2 / 6.0
    assert bending_strength_mpa(500.0, 96.0, 15.0, 6.0) == pytest.approx(moment / modulus)
    assert coupon_result(coupon()).strength_mpa == pytest.approx(133.33, abs=0.01)


def test_modulus_is_that_of_a_beam_that_bends_by_f_l3_over_48_e_i():
    # Simple beam with a load in the middle: d = F·L³/(48·E·I), I = b·h³/12.
    youngs, inertia = 8000.0, 15.0 * 6.0**3 / 12.0
    deflection = 200.0 * 96.0**3 / (48.0 * youngs * inertia)
    assert bending_modulus_mpa(200.0, deflection, 96.0, 15.0, 6.0) == pytest.approx(youngs)
    bent = coupon(deflection_mm=deflection, deflection_force_n=200.0)
    assert coupon_result(bent).modulus_mpa == pytest.approx(youngs)


@pytest.mark.parametrize(
    ("count", "factor"),
    [(3, 3.37), (4, 2.63), (5, 2.33), (6, 2.18), (8, 2.00), (10, 1.92), (20, 1.76), (30, 1.73)],
)
def test_the_lower_value_uses_the_factors_of_en_1990_table_d1(count, factor):
    # EN 1990:2002, table D.1, coefficient of variation unknown, rounded there to two decimals.
    # A sample of mean 100 and SD 10.
    values = [100.0 + 10.0 * (-1) ** k for k in range(count - count % 2)] + [100.0] * (count % 2)
    spread = math.sqrt(sum((value - 100.0) ** 2 for value in values) / (count - 1))
    scaled = tuple(100.0 + (value - 100.0) * 10.0 / spread for value in values)
    assert lower_value_mpa(scaled) == pytest.approx(100.0 - 10.0 * factor, abs=0.15)


@pytest.mark.parametrize("count", [1, 2])
def test_fewer_than_three_coupons_credit_nothing(count):
    test = CouponTest(specimens=(coupon(),) * count, source="own lay-up")
    assert summarise(test.specimens).lower_mpa is None
    credit = allowable(ProvePlan(**CAST, coupons=test))
    assert credit.wall_mpa is None
    assert "at least 3" in credit.says


def test_coupons_that_scatter_too_much_credit_nothing():
    test = CouponTest(specimens=tuple(map(coupon, (100.0, 500.0, 900.0))), source="own lay-up")
    assert allowable(ProvePlan(**CAST, coupons=test)).wall_mpa is None
    assert "scatter too much" in summarise(test.specimens).says


def test_coupons_without_a_source_credit_nothing():
    test = CouponTest(specimens=(coupon(), coupon(510.0), coupon(490.0)))
    credit = allowable(ProvePlan(**CAST, coupons=test))
    assert credit.wall_mpa is None
    assert "source" in credit.says


def test_cast_tape_is_credited_with_its_coupons_lower_value_cut_for_a_pulled_wall():
    # Weibull: pulled to bent over two supports 1/[2(m+1)²]^(1/m), 0.70 at m = 20.
    pulled = (2.0 * 21.0**2) ** (-1.0 / 20.0)
    assert pulled == pytest.approx(0.71, abs=0.005)
    test = CouponTest(specimens=(coupon(), coupon(510.0), coupon(490.0)), source="own lay-up")
    credit = allowable(ProvePlan(**CAST, coupons=test))
    lower = summarise(test.specimens).lower_mpa
    assert credit.undiminished_mpa == pytest.approx(lower)
    assert credit.wall_mpa == pytest.approx(0.7 * lower)
    assert credit.basis is Basis.MEASURED
    assert "own lay-up" in credit.source.citation


def test_coupons_cut_round_the_socket_replace_the_share_of_a_published_lay_up():
    along = (coupon(), coupon(510.0), coupon(490.0))
    across = tuple(coupon(force, direction="round") for force in (250.0, 255.0, 245.0))
    credit = allowable(ProvePlan(**CAST, coupons=CouponTest(specimens=along + across, source="x")))
    lower = summarise(across, CouponDirection.ROUND).lower_mpa
    assert credit.round_mpa == pytest.approx(lower)
    assert credit.bolted_mpa == pytest.approx(0.5 * lower)


def test_an_own_stated_figure_comes_before_coupons():
    test = CouponTest(specimens=(coupon(),) * 3, source="own lay-up")
    stated = MaterialPlan(strength_mpa=60.0, source="laboratory report")
    assert allowable(ProvePlan(**CAST, coupons=test, own_material=stated)).wall_mpa == 60.0


def test_a_stubby_specimen_and_one_that_bends_deep_are_cautioned():
    # ISO 178: span of 16 ± 1 times the thickness; ASTM D790: deflection to a tenth of the span.
    assert "span is only 12 times" in coupon_result(coupon(thickness_mm=8.0)).cautions[0]
    assert "tenth of the span" in coupon_result(coupon(deflection_mm=10.0)).cautions[0]
    assert coupon_result(coupon(deflection_mm=4.0)).cautions == ()


@given(st.lists(st.floats(50.0, 150.0), min_size=3, max_size=12), st.floats(1.0, 60.0))
def test_stronger_specimens_never_lower_the_lower_value(strengths, more):
    low = lower_value_mpa(tuple(strengths))
    raised = lower_value_mpa(tuple(value + more for value in strengths))
    if low is not None:
        assert raised == pytest.approx(low + more, abs=1e-9)
        assert low <= min(sum(strengths) / len(strengths), max(strengths))


def test_a_document_that_states_its_socket_still_reads_and_one_that_does_not_keeps_it_open():
    old = {"process": "laminated", "material": "carbon_laminate", "layers": 6, "layer_mm": 0.9}
    stated = ProvePlan.model_validate({**old, "wall_mm": 5.0, "distal_plate_mm": 10.0})
    assert wall_thickness_mm(stated) == pytest.approx(5.4)
    assert (wall_basis(stated), plate_basis(stated)) == (Basis.GIVEN, Basis.GIVEN)
    left_open = ProvePlan.model_validate(ProvePlan().model_dump(mode="json", exclude_none=True))
    assert (wall_basis(left_open), plate_basis(left_open)) == (Basis.DEFAULT, Basis.DEFAULT)
    assert wall_thickness_mm(left_open) == 5.0


@pytest.mark.parametrize("slip", [{"deflection_mm": 1e-300}, {"force_n": 1e-300}])
def test_a_specimen_that_did_not_bend_or_bear_is_refused(slip):
    with pytest.raises(ValidationError):
        CouponPlan(
            **{"span_mm": 96.0, "width_mm": 15.0, "thickness_mm": 6.0, "force_n": 500.0} | slip
        )
