"""A lower trim line is offered as a way out only where the socket stays one."""

import math
from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest

from coupling_bodies import seat_on
from limbwright.assess.plan import Liner
from limbwright.capture.plan import ScannedOver
from limbwright.couple.plan import CouplingPlan
from limbwright.couple.result import Withdrawal
from limbwright.couple.trim_offer import offered
from limbwright.shape.plan import AreaName, ShapePlan, TrimPlan, TrimPoint
from limbwright.shape.rectify import rectify
from limbwright.shape.result import PlacedArea
from shape_limbs import cylinder_limb

PLAN = CouplingPlan()


@lru_cache
def socket(*extra):
    plan = ShapePlan(trim=TrimPlan(extra=extra))
    return rectify(cylinder_limb(), plan, Liner(), ScannedOver.LINER)


def lateral(trim_to_mm):
    """A body that catches on the lateral wall and would pass a trim line at a level."""
    return Withdrawal(15.0, 22.0, 0.0, -26.0, trim_to_mm, narrow_mm=np.array([56.0, 0.0, 26.0]))


def offer_mm(trim_to_mm, shape=None, plan=PLAN):
    seat = seat_on(PLAN)
    return offered(lateral(trim_to_mm), seat, plan, shape or socket()).trim_to_mm


def area(shape, low_mm, high_mm):
    """An area on the lateral wall between two heights."""
    points = shape.surface.vertices
    on = (points[:, 0] > 40.0) & (points[:, 2] > low_mm) & (points[:, 2] < high_mm)
    assert on.any()
    centre = np.array([56.0, 0.0, 0.5 * (low_mm + high_mm)])
    name = AreaName.FIBULAR_HEAD
    return PlacedArea(name, False, 3.0, centre, on.astype(float), 10.0, False)


def test_a_lower_side_wall_is_offered_down_to_where_the_line_is_lowest_already():
    assert offer_mm(0.0) == 0.0
    assert offer_mm(9.0) == 9.0


@pytest.mark.parametrize("level_mm", [15.0, 77.0])
def test_no_side_wall_is_offered_below_the_lowest_point_that_the_line_has_now(level_mm):
    assert offer_mm(level_mm) is None


def test_nothing_is_offered_that_would_cut_an_area_away():
    shape = socket()
    cut = replace(shape, areas=(area(shape, 0.0, 25.0),))
    assert offer_mm(8.0, cut) is None
    below = replace(shape, areas=(area(shape, -50.0, -15.0),))
    assert offer_mm(8.0, below) == 8.0


def test_nothing_is_offered_that_would_come_too_near_to_the_exit():
    shape, seat = socket(), seat_on(PLAN)
    high = replace(seat, face_mm=np.array([0.0, 0.0, -5.0]), axis=np.array([0.0, 0.0, -1.0]))
    towards = PLAN.model_copy(update={"exit_angle_deg": 0.0})
    assert offered(lateral(8.0), high, towards, shape).trim_to_mm is None
    away = PLAN.model_copy(update={"exit_angle_deg": 180.0})
    assert offered(lateral(8.0), high, away, shape).trim_to_mm == 8.0


def test_nothing_is_offered_on_which_the_line_would_double_back():
    beside = TrimPoint(angle_deg=math.degrees(8.0 / 56.0), height_mm=38.0)
    steep = socket(beside)
    assert offer_mm(8.0, steep) is None


def test_a_way_out_without_a_lower_line_stays_as_it_is():
    way = replace(lateral(None), catch_mm=3.0)
    assert offered(way, seat_on(PLAN), PLAN, socket()) is way
