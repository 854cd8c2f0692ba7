"""The brim forced open: what opens it, how it gives, and the rules that both follow."""

from types import SimpleNamespace

import numpy as np
import pytest

from limbwright.core.errors import NotConverged
from limbwright.core.findings import Severity
from limbwright.core.sources import Basis
from limbwright.couple.plan import CouplePlan
from limbwright.prove.brim import brim_check, brim_opening, opening_force
from limbwright.prove.materials import allowable
from limbwright.prove.plan import MaterialPlan, ProvePlan, SocketProcess
from limbwright.prove.strength import strength
from limbwright.prove.strength_findings import BRIM
from limbwright.prove.wall import closed_rings
from proof_bodies import RADIUS_MM, round_socket, seat_at, shape_of, straight_leg


def trimmed(posterior_mm=-15.0, side_mm=30.0):
    """A round socket whose trim line is low behind and high at both sides."""
    angle = np.linspace(0.0, 2 * np.pi, 72, endpoint=False)
    height = side_mm - (side_mm - posterior_mm) * np.clip(-np.sin(angle), 0.0, 1.0) ** 2
    shape = shape_of(round_socket())
    shape.trim.points_mm = np.column_stack([60 * np.cos(angle), 60 * np.sin(angle), height])
    shape.below_trim = shape.surface.vertices[:, 2] < side_mm
    return shape


def opened(wall_mm=5.0, **trim):
    shape = trimmed(**trim)
    return brim_opening(shape, closed_rings(shape, seat_at(), wall_mm), wall_mm)


def test_a_thicker_brim_gives_and_is_stressed_less():
    found = [opened(wall) for wall in (3.0, 5.0, 8.0)]
    gives = [item.opening_per_mpa for item in found]
    stress = [item.stress_mpa for item in found]
    assert gives == sorted(gives, reverse=True)
    assert stress == sorted(stress, reverse=True)
    # bending: the opening falls with between the first and the third power of the wall
    assert (5.0 / 3.0) < gives[0] / gives[1] < (5.0 / 3.0) ** 3


def test_a_lower_trim_line_behind_lets_the_brim_open_further():
    gives = [opened(posterior_mm=low).opening_per_mpa for low in (10.0, -15.0, -40.0)]
    assert gives == sorted(gives)


def test_the_brim_of_a_socket_that_is_alike_on_both_sides_is_stressed_in_the_wall():
    found = opened()
    assert found.opening_per_mpa > 0.0
    away = float(np.hypot(*found.point_mm[:2]))
    assert RADIUS_MM - 1.0 < away < RADIUS_MM + 6.0


def test_without_closed_wall_below_nothing_is_said():
    assert brim_opening(trimmed(), (), 5.0) is None


def test_pressure_on_both_sides_of_the_brim_opens_it_when_it_is_more_than_a_pair_of_hands():
    # A hydrostatic pressure p on a tube of radius R and height h pushes each half with 2·p·R·h.
    shape = trimmed(posterior_mm=-15.0, side_mm=30.0)
    vertices = shape.surface.vertices
    shape.below_trim = (vertices[:, 2] < 25.0) & (np.hypot(vertices[:, 0], vertices[:, 1]) > 40.0)
    pressure = np.full(len(vertices), 0.05)
    case = SimpleNamespace(load_case="mid_stance", pressure_mpa=pressure)
    found = opening_force(shape, SimpleNamespace(cases=(case,), label="first estimate"))
    low = vertices[(vertices[:, 2] > -15.0) & shape.below_trim][:, 2]
    height = low.max() - low.min() + 5.0
    assert found.force_n == pytest.approx(2 * 0.05 * RADIUS_MM * height, rel=0.03)
    assert "mid stance" in found.says
    weak = SimpleNamespace(load_case="swing", pressure_mpa=0.01 * pressure)
    hands = opening_force(shape, SimpleNamespace(cases=(weak,), label="first estimate"))
    assert hands.basis is Basis.DEFAULT
    assert "by hand" in hands.says


def test_a_one_sided_push_does_not_open_the_brim():
    shape = trimmed()
    pushed = np.where(shape.surface.vertices[:, 0] > 0.0, 0.5, 0.0)
    case = SimpleNamespace(load_case="mid_stance", pressure_mpa=pushed)
    assert "by hand" in opening_force(shape, SimpleNamespace(cases=(case,), label="x")).says


def test_a_brim_is_held_against_the_strength_round_the_wall_and_gives_by_its_modulus():
    opening, force = opened(), opening_force(trimmed(), None)
    carbon = ProvePlan(process=SocketProcess.LAMINATED, material="carbon_laminate", wall_mm=5.0)
    check = brim_check(opening, force, carbon, allowable(carbon))
    # 25.45 MPa round a carbon socket lay-up, Journal of Composite Materials,
    # doi 10.1177/00219983261463688
    assert check.capacity == pytest.approx(25.45)
    assert check.demand == pytest.approx(2.0 * 100.0 * opening.stress_mpa)
    gives = 100.0 * opening.opening_per_mpa / 11900.0
    assert f"it gives {gives:.1f} mm" in check.text
    unknown = MaterialPlan(strength_mpa=60.0, source="own coupon test")
    knit = carbon.model_copy(update={"material": "knit_laminate", "own_material": unknown})
    assert "not established" in brim_check(opening, force, knit, allowable(knit)).text


def test_a_brim_that_cannot_be_computed_is_not_established_and_stops_nothing_else(monkeypatch):
    def folds(*_):
        raise NotConverged("the wall folds over itself")

    monkeypatch.setattr("limbwright.prove.strength.brim_opening", folds)
    result = strength(
        trimmed(),
        seat_at(),
        straight_leg(),
        SimpleNamespace(load_level="P4"),
        ProvePlan(),
        CouplePlan(),
    )
    told = next(item for item in result.findings if item.code == "strength-brim")
    assert told.severity is Severity.NOT_ESTABLISHED
    assert "folds over itself" in told.text
    assert len(result.checks) > 8


def test_the_pressure_model_s_brim_is_told_with_stress_strength_and_place():
    result = strength(
        trimmed(),
        seat_at(),
        straight_leg(),
        SimpleNamespace(load_level="P4"),
        ProvePlan(),
        CouplePlan(),
    )
    told = next(item for item in result.findings if item.code == "strength-brim")
    assert told.unit == "MPa"
    assert told.limit == 38.0
    check = next(item for item in result.checks if item.name == BRIM)
    assert check.point_mm is not None
    assert "by hand" in check.text
    assert told.text.startswith("The brim bears what opens it")
    assert "reference load" not in told.text
    thin = ProvePlan(
        wall_mm=1.5, own_material=MaterialPlan(strength_mpa=10.0, source="own coupon test")
    )
    weak = strength(
        trimmed(),
        seat_at(),
        straight_leg(),
        SimpleNamespace(load_level=None),
        thin,
        CouplePlan(),
    )
    told = next(item for item in weak.findings if item.code == "strength-brim")
    assert told.severity is Severity.WARNING
    assert "may not bear" in told.text
