"""Rules that hold for every coupling, whatever its figures."""

import math
from dataclasses import replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from coupling_bodies import person, seat_on
from limbwright.couple.axis import Line
from limbwright.couple.balance import BenchStand, Hang, adapter_deg, balanced_line
from limbwright.couple.build_height import build_height, short_mm
from limbwright.couple.figures import disc_overlap, offset_for_overlap_mm
from limbwright.couple.magnet import flux_density_t, strongest_pull_n
from limbwright.couple.misfit import edge_gap_mm, misfit_findings
from limbwright.couple.plan import CouplePlan, CouplingPlan, PartsPlan
from limbwright.couple.tables import ADAPTER_RANGE_DEG

diameters = st.floats(5.0, 90.0)
tilts = st.floats(0.0, 30.0)
shares = st.floats(0.0, 1.0)
PARTS = PartsPlan(
    datum_floor_mm=420.0,
    plate_mm=15.0,
    socket_adapter_mm=20.0,
    foot_adapter_mm=20.0,
    foot_mm=70.0,
    pylon_minimum_mm=70.0,
)


@given(diameters, shares, shares)
def test_two_discs_share_less_the_farther_they_stand_apart(diameter, first, second):
    near, far = sorted((first * diameter, second * diameter))
    assert 0.0 <= disc_overlap(far, diameter) <= disc_overlap(near, diameter) <= 1.0


@given(diameters, st.floats(0.05, 0.999))
def test_the_offset_for_a_share_gives_that_share(diameter, share):
    offset = offset_for_overlap_mm(diameter, share)
    assert math.isclose(disc_overlap(offset, diameter), share, abs_tol=1e-6)


@given(diameters, tilts, tilts)
def test_a_flat_target_opens_wider_the_more_it_tilts(diameter, first, second):
    less, more = sorted((first, second))
    assert edge_gap_mm(diameter, less) <= edge_gap_mm(diameter, more)


@given(diameters, st.floats(1.0, 500.0), st.floats(1.0, 500.0))
def test_a_face_needs_more_flux_for_more_pull_and_a_larger_one_carries_more(diameter, a, b):
    less, more = sorted((a, b))
    assert flux_density_t(less, diameter) <= flux_density_t(more, diameter)
    assert strongest_pull_n(diameter) < strongest_pull_n(1.01 * diameter)


@given(st.floats(0.0, 20.0), st.floats(0.0, 20.0), st.floats(0.5, 20.0))
def test_what_is_within_at_a_tilt_is_within_at_any_lesser_one(first, second, limit):
    less, more = sorted((first, second))
    plan = CouplePlan(coupling=CouplingPlan(tolerance_tilt_deg=limit))
    by_tilt = {
        tilt: misfit_findings(plan, {"unloaded": (tilt, 0.0)})[0].severity.value
        for tilt in (less, more)
    }
    assert not (by_tilt[more] == "ok" and by_tilt[less] != "ok")


@given(st.floats(5.0, 60.0), st.floats(5.0, 60.0))
def test_every_millimetre_of_body_is_a_millimetre_less_of_tube(first, second):
    plan = CouplePlan(coupling=CouplingPlan(body_height_mm=first), parts=PARTS)
    seat = seat_on(CouplingPlan(body_height_mm=30.0))
    low, high = (
        build_height(_lowered(seat, mm), plan, person()).pylon_mm for mm in (first, second)
    )
    assert math.isclose(low - high, second - first, abs_tol=1e-6)
    height = build_height(_lowered(seat, first), plan, person())
    assert math.isclose(short_mm(height), 70.0 - low, abs_tol=1e-9)


def _lowered(seat, body_mm):
    base = seat.face_mm + (body_mm + seat.floor_mm) * seat.axis
    return replace(seat, body_height_mm=body_mm, base_mm=base)


@given(st.floats(-15.0, 15.0), st.floats(-15.0, 15.0), st.floats(0.0, 10.0))
def test_a_balanced_seat_never_leaves_the_adapters_worse_nor_tilts_beyond_what_it_may(o, f, most):
    way = np.array([math.tan(math.radians(o)), math.tan(math.radians(f)), -1.0])
    way = way / np.linalg.norm(way)
    target = Line(np.array([0.0, 0.0, -160.0]), way)
    stand = BenchStand(np.array([0.0, 0.0, -420.0]), np.array([0.0, 0.0, 1.0]))
    hanging = Hang(stand, 60.0, 8.0, ADAPTER_RANGE_DEG.source)
    line = balanced_line(target, hanging, most)
    before, after = (
        float(adapter_deg(target.point_mm, seat[None], hanging)[0])
        for seat in (way, line.direction)
    )
    assert after <= max(before, 6.0) + 1e-9
    tilt = math.degrees(math.acos(min(1.0, float(line.direction @ way))))
    assert tilt <= most + 1e-5
    assert line.point_mm is target.point_mm
