"""The live model against equilibrium and closed forms, and what must hold of any equilibrium."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest
from numpy.typing import NDArray

from brick_bodies import stump, tube
from condensed_bodies import fitted_body, prepared_body
from interface_bodies import area_at, load, socket_of, with_pull
from limbwright.align.result import LoadCase
from limbwright.capture.result import Limb
from limbwright.core.errors import NotConverged
from limbwright.prove.interface.condensed import body as body_module
from limbwright.prove.interface.condensed.compressed import compress, multiply
from limbwright.prove.interface.condensed.equilibrium import (
    Contact,
    Demand,
    Found,
    Stand,
    find_equilibrium,
    yielded,
)
from limbwright.prove.interface.condensed.live import (
    LIVE,
    LiveFitted,
    LivePrepared,
    carry,
    demand_of,
    seat_limb,
)
from limbwright.prove.interface.condensed.motion import rotation_of
from limbwright.prove.interface.engine import run_all, unloaded
from limbwright.prove.interface.socket_field import field_of_function
from limbwright.prove.plan import TissuePlan
from limbwright.shape.plan import AreaName

SLOPE = np.arctan(15.0 / 180.0)


@lru_cache(maxsize=8)
def bullet(friction: float = 0.5) -> tuple[Limb, LivePrepared]:
    """A round-ended limb, 30 mm of tissue on a rod; the cut plane keeps its height."""
    body = stump(12.0, 42.0, 90.0, 8, 10, 2)
    radius = np.hypot(body.nodes_mm[:, 0], body.nodes_mm[:, 1])
    ball = np.where(body.nodes_mm[:, 2] < 0, np.linalg.norm(body.nodes_mm, axis=1), radius)
    return prepared_body(body, ball < 12.1, body.nodes_mm[:, 2] > 89.9, friction)


def usual_socket(
    limb: Limb, prepared: LivePrepared, press_mm: float = 1.5, medial_mm: float = -3.0
) -> LiveFitted:
    at = limb.surface.vertices
    medial = area_at(
        limb, AreaName.MEDIAL_TIBIAL_FLARE, np.array([-42.0, 0.0, 45.0]), medial_mm, 18.0
    )
    relief = area_at(limb, AreaName.FIBULAR_HEAD, np.array([40.0, 10.0, 60.0]), 3.0, 15.0)
    shape = socket_of(limb, press_mm, areas=(medial, relief), below_trim=at[:, 2] < 80.0)
    return fitted_body(prepared, shape)


WALKING = (
    load("standing", (0, 0, 400.0)),
    load("early_stance", (30, -80, 700.0), (-8000, 12000, 0)),
    load("late_stance", (20, 90, 700.0), (20000, 9000, 2000)),
    with_pull(load("swing", (0, 5, -40.0), (600, 0, 0)), 35.0),
)


def solved(fitted: LiveFitted, case: LoadCase) -> Found:
    start = LIVE.solve(fitted, unloaded())[1]
    return carry(fitted, case, start)


def pressures(found: Found) -> NDArray[np.float64]:
    return -np.einsum("ni,ni->n", found.look.traction, found.look.normal)


def annulus_kpa(modulus_kpa: float, nu: float, inner: float, outer: float, pressed: float) -> float:
    """Pressure on an elastic annulus bonded to a rigid core, plane strain (Lame's solution)."""
    ratio = (inner / outer) ** 2
    return (modulus_kpa * pressed * outer / ((1 + nu) * (1 - 2 * nu) * (outer**2 - inner**2))) * (
        1 + (1 - 2 * nu) * ratio
    )


@pytest.mark.parametrize("nu", [0.30, 0.45, 0.49])
def test_a_pressed_tube_carries_lames_pressure(nu: float) -> None:
    # Lame, plane strain: 4.379, 15.294 and 73.885 kPa for 1 mm at 100 kPa, core 15, outside 50 mm
    body = tube(
        lambda u: np.full_like(u, 15.0), lambda u: np.full_like(u, 50.0), np.array([0.0, 10]), 48, 8
    )
    radius = np.hypot(body.nodes_mm[:, 0], body.nodes_mm[:, 1])
    everywhere = np.ones(len(radius), bool)
    tissue = TissuePlan(modulus_kpa=100, poisson=nu)
    limb, prepared = prepared_body(body, radius < 15.1, everywhere, 0.5, tissue)
    contact = fitted_body(prepared, socket_of(limb, 1.0)).contact
    wall = field_of_function(
        lambda points: np.hypot(points[:, 0], points[:, 1]) - 49.0,
        np.array([[-60.0, -60.0, -10.0], [60.0, 60.0, 20.0]]),
    )
    contact = replace(contact, field=wall)
    fixed = Demand(np.zeros(6), 0.0, 0.0, np.array([0, 1]))
    at_rest = Stand(np.zeros(3), np.eye(3), *(np.zeros_like(contact.points_mm),) * 2)
    found = find_equilibrium(contact, fixed, at_rest, None)
    pressure = pressures(found)
    # of the millimetre the contact layer takes p / (1 MPa/mm)
    expected = annulus_kpa(100.0, nu, 15.0, 50.0, 1.0 - pressure.mean())
    assert 1e3 * pressure.mean() == pytest.approx(expected, rel=0.015)
    assert np.ptp(pressure) < 0.01 * pressure.mean()
    shear = found.look.traction + pressure[:, None] * found.look.normal
    assert np.abs(shear).max() < 1e-4 * pressure.mean()


@lru_cache(maxsize=4)
def cone(friction: float) -> tuple[Limb, LivePrepared]:
    """Radius 40 to 55 mm over 180 mm, 12 mm of tissue."""
    heights = np.linspace(0.0, 180.0, 13)
    body = tube(lambda u: 28 + u / 12, lambda u: 40 + u / 12, heights, 36, 2)
    inner = np.hypot(body.nodes_mm[:, 0], body.nodes_mm[:, 1]) < 28.1 + body.nodes_mm[:, 2] / 12
    return prepared_body(body, inner, body.nodes_mm[:, 2] > 179.9, friction)


@pytest.mark.parametrize("friction", [0.05, 0.2, 0.4])
def test_a_conical_socket_that_slides_carries_its_load_at_the_pressure_of_equilibrium(
    friction: float,
) -> None:
    # Equilibrium of a rigid cone with Coulomb friction fully mobilised: mean pressure
    # p = F / (A (sin a + mu cos a)), whatever the tissue
    limb, prepared = cone(friction)
    fitted = fitted_body(prepared, socket_of(limb, 0.0))
    found = solved(fitted, load("standing", (0, 0, 300.0)))
    pressure, weights = pressures(found), fitted.contact.weights_mm2
    shear = np.linalg.norm(found.look.traction + pressure[:, None] * found.look.normal, axis=1)
    slid = weights @ shear / (weights @ pressure)
    assert slid == pytest.approx(friction, rel=0.02)
    mean = weights @ pressure / weights.sum()
    expected = 300.0 / (weights.sum() * (np.sin(SLOPE) + friction * np.cos(SLOPE)))
    assert mean == pytest.approx(expected, rel=0.02)


def test_tractions_balance_each_load_and_agree_with_the_body() -> None:
    limb, prepared = bullet()
    fitted = usual_socket(limb, prepared)
    contact = fitted.contact
    for case in WALKING:
        found = solved(fitted, case)
        stand = found.stand
        force = contact.weights_mm2[:, None] * stand.traction_mpa + (
            case.coupling_pull_n * fitted.pull
        )
        # along the limb's axes, about where the socket's reference has gone to
        arms = contact.points_mm + stand.displaced_mm - contact.reference_mm
        arms = arms + stand.rotation.T @ stand.shift_mm
        wrench = case.wrench_on_limb
        wanted = wrench.moment_n_mm - np.cross(contact.reference_mm, wrench.force_n)
        size = np.linalg.norm(wrench.force_n)
        assert np.linalg.norm(force.sum(axis=0) - wrench.force_n) < 1e-3 * size
        turning = np.cross(arms, force).sum(axis=0)
        pulled = np.cross(arms - (contact.points_mm - contact.reference_mm), fitted.pull)
        turning = turning - case.coupling_pull_n * pulled.sum(axis=0)
        assert np.linalg.norm(turning - wanted) < 1e-3 * size * contact.length_mm
        # what the body yields to these forces is where its places stand
        np.testing.assert_allclose(yielded(contact, force), stand.displaced_mm, atol=2e-3)


def test_pressure_is_one_sided_and_shear_stays_in_coulombs_cone() -> None:
    limb, prepared = bullet()
    fitted = usual_socket(limb, prepared)
    for case in WALKING:
        found = solved(fitted, case)
        pressure = pressures(found)
        most = pressure.max()
        assert pressure.min() > -1e-3 * most
        shear = np.linalg.norm(found.look.traction + pressure[:, None] * found.look.normal, axis=1)
        assert (shear <= 0.5 * np.maximum(pressure, 0) + 1e-3 * most).all()
        # closed places stand in the wall by what the contact layer yields, open ones off it
        np.testing.assert_array_less(found.look.depth[fitted.contact.weights_mm2 > 0], most + 1e-3)


def test_without_friction_a_symmetric_limb_feels_no_shear_and_goes_straight_down() -> None:
    limb, prepared = bullet(0.05)
    shape = socket_of(limb, 1.0, below_trim=limb.surface.vertices[:, 2] < 80.0)
    fitted = fitted_body(prepared, shape)
    slick = replace(fitted, contact=replace(fitted.contact, friction=0.0))
    found = solved(slick, load("standing", (0, 0, 300.0)))
    pressure = pressures(found)
    shear = found.look.traction + pressure[:, None] * found.look.normal
    assert np.abs(shear).max() < 1e-4 * pressure.max()
    assert np.abs(found.stand.shift_mm[:2]).max() < 0.01
    assert found.stand.shift_mm[2] < -0.1


def area_mean(fitted: LiveFitted, case: LoadCase, name: str) -> float:
    result = run_all(LIVE, fitted, [case]).cases[1]
    return next(area.mean_kpa for area in result.areas if area.area == name)


def test_a_deeper_load_area_carries_more() -> None:
    limb, prepared = bullet()
    means = [
        area_mean(usual_socket(limb, prepared, 1.5, depth), WALKING[0], "medial_tibial_flare")
        for depth in (0.0, -1.5, -3.0, -4.5)
    ]
    assert (np.diff(means) > 1.0).all()


def test_more_load_gives_more_mean_pressure_and_a_deeper_limb() -> None:
    limb, prepared = bullet()
    fitted = usual_socket(limb, prepared)
    found = [solved(fitted, load("load", (0, 0, force))) for force in (100.0, 400.0, 800.0)]
    means = [fitted.contact.weights_mm2 @ pressures(one) for one in found]
    assert (np.diff(means) > 0).all()
    assert (np.diff([one.stand.shift_mm[2] for one in found]) < 0).all()


def test_any_sensible_start_ends_in_the_same_equilibrium() -> None:
    limb, prepared = bullet()
    fitted = usual_socket(limb, prepared)
    contact = fitted.contact
    state = LIVE.solve(fitted, unloaded())[1]
    demand = demand_of(fitted, WALKING[1])
    first = find_equilibrium(contact, demand, state.stand, state.memory)
    rng = np.random.default_rng(2)
    for _ in range(4):
        traction = state.stand.traction_mpa * rng.uniform(0, 2, (len(contact.points_mm), 1))
        start = Stand(
            state.stand.shift_mm + rng.uniform(-4, 4, 3),
            rotation_of(np.deg2rad(rng.uniform(-3, 3, 3))),
            traction,
            yielded(contact, traction * contact.weights_mm2[:, None]),
        )
        other = find_equilibrium(contact, demand, start, state.memory)
        most = pressures(first).max()
        np.testing.assert_allclose(pressures(other), pressures(first), atol=5e-3 * most)
        np.testing.assert_allclose(other.stand.shift_mm, first.stand.shift_mm, atol=0.01)


def test_turning_limb_and_load_about_the_long_axis_changes_no_pressure() -> None:
    # the compliance, the wall and the solver know no direction but the limb's own
    limb, prepared = bullet()
    quarter = np.array([[0.0, -1, 0], [1, 0, 0], [0, 0, 1]])
    first = usual_socket(limb, prepared)
    at = limb.surface.vertices
    medial = area_at(limb, AreaName.MEDIAL_TIBIAL_FLARE, quarter @ [-42.0, 0.0, 45.0], -3.0, 18.0)
    relief = area_at(limb, AreaName.FIBULAR_HEAD, quarter @ [40.0, 10.0, 60.0], 3.0, 15.0)
    shape = socket_of(limb, 1.5, areas=(medial, relief), below_trim=at[:, 2] < 80.0)
    second = fitted_body(prepared, shape)
    case = WALKING[1]
    wrench = case.wrench_on_limb
    turned = replace(
        case,
        wrench_on_limb=replace(
            wrench,
            force_n=quarter @ wrench.force_n,
            moment_n_mm=quarter @ wrench.moment_n_mm,
        ),
    )
    one, two = run_all(LIVE, first, [case]).cases[1], run_all(LIVE, second, [turned]).cases[1]
    for here, there in zip(one.areas, two.areas, strict=True):
        assert there.mean_kpa == pytest.approx(here.mean_kpa, abs=0.02 * one.areas[0].mean_kpa)


def slippery(contact: Contact) -> Contact:
    return replace(contact, friction=0.0)


def test_a_limb_that_nothing_holds_falls_through() -> None:
    # a straight tube without friction carries nothing along its axis
    body = tube(
        lambda u: np.full_like(u, 20.0),
        lambda u: np.full_like(u, 40.0),
        np.linspace(0, 100, 8),
        24,
        2,
    )
    radius = np.hypot(body.nodes_mm[:, 0], body.nodes_mm[:, 1])
    limb, prepared = prepared_body(body, radius < 20.1, body.nodes_mm[:, 2] > 99.9)
    fitted = fitted_body(prepared, socket_of(limb, 1.0))
    fitted = replace(fitted, contact=slippery(fitted.contact))
    with pytest.raises(NotConverged) as caught:
        LIVE.solve(fitted, load("standing", (0, 0, 400.0)))
    assert "standing" in caught.value.message
    assert "falls through" in caught.value.message


def test_a_limb_drawn_out_of_a_wide_socket_is_said_to_be_pulled_out() -> None:
    limb, prepared = bullet()
    fitted = usual_socket(limb, prepared, press_mm=-3.0, medial_mm=0.0)
    with pytest.raises(NotConverged) as caught:
        LIVE.solve(fitted, load("swing", (0, 0, -60.0)))
    assert "pulled out" in caught.value.message


def test_a_limb_that_does_not_touch_yet_goes_down_until_it_is_carried() -> None:
    limb, prepared = bullet()
    fitted = usual_socket(limb, prepared, press_mm=-3.0, medial_mm=0.0)
    donned, state = LIVE.solve(fitted, unloaded())
    assert not donned.pressure_mpa.any()
    loaded, _ = LIVE.solve(fitted, load("standing", (0, 0, 300.0)), state)
    assert loaded.residual < 1e-3
    assert loaded.pose.shift_mm[2] < -2.0


def test_the_same_input_gives_the_same_bytes() -> None:
    limb, prepared = bullet()
    one, two = (run_all(LIVE, usual_socket(limb, prepared), WALKING).cases[-1] for _ in range(2))
    assert one.pressure_mpa.tobytes() == two.pressure_mpa.tobytes()


def test_seating_holds_depth_and_turn_as_designed() -> None:
    limb, prepared = bullet()
    stand = seat_limb(usual_socket(limb, prepared)).stand
    assert stand.shift_mm[2] == 0.0
    assert abs(stand.rotation[1, 0] - stand.rotation[0, 1]) < 1e-3


def test_the_compressed_body_carries_as_the_whole_one() -> None:
    # the same limb and cases with every block of the compliance kept as it is
    limb, prepared = bullet()
    body = prepared.body
    count = len(body.points_mm)
    units = np.eye(3 * count).reshape(3 * count, count, 3)
    whole = np.array([multiply(body.compliance, unit).ravel() for unit in units])
    captured: list[NDArray[np.float32]] = []

    def kept(compliance, points):  # type: ignore[no-untyped-def]
        captured.append(compliance)
        return compress(compliance, points, leave_out=0.0)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(body_module, "compress", kept)
        bullet.cache_clear()
        exact_limb, exact = bullet()
    bullet.cache_clear()
    assert np.abs(whole - captured[0]).max() < 2e-4 * np.diag(captured[0]).mean()
    found = run_all(LIVE, usual_socket(limb, prepared), WALKING)
    expected = run_all(LIVE, usual_socket(exact_limb, exact), WALKING)
    for ours, theirs in zip(found.cases, expected.cases, strict=True):
        means = np.array(
            [[a.mean_kpa, b.mean_kpa] for a, b in zip(ours.areas, theirs.areas, strict=True)]
        )
        np.testing.assert_allclose(means[:, 0], means[:, 1], atol=0.005 * means.max())
        np.testing.assert_allclose(ours.pose.shift_mm, theirs.pose.shift_mm, atol=0.02)
        np.testing.assert_allclose(ours.pose.turn_rad, theirs.pose.turn_rad, atol=np.deg2rad(0.02))
