"""Where a coupling pulls: one rule, which the live model and the finite elements both follow."""

from __future__ import annotations

from functools import lru_cache
from types import SimpleNamespace

import numpy as np
import pytest

from brick_bodies import stump
from condensed_bodies import mesh_of, prepared_body
from interface_bodies import socket_of
from limbwright.capture.result import Limb
from limbwright.couple.plan import CouplingKind
from limbwright.prove.interface.condensed.live import LIVE, LivePrepared
from limbwright.prove.interface.coupling_pull import Surface, pull_of_one_newton
from limbwright.prove.interface.finite_elements.body import body_of, pull_on_nodes
from limbwright.prove.interface.finite_elements.equilibrium import Model

RADIUS_MM = 42.0
CAP_MM = 25.0
DOWN = np.array([0.0, 0.0, -1.0])
BY_AIR = [CouplingKind.SUCTION, CouplingKind.VACUUM]


def seat(kind: CouplingKind, lean_deg: float = 0.0) -> SimpleNamespace:
    """A coupling under the end of a ball about the origin, its axis leant about f."""
    lean = np.radians(lean_deg)
    axis = np.array([np.sin(lean), 0.0, -np.cos(lean)])
    return SimpleNamespace(kind=kind, axis=axis, cap_mm=RADIUS_MM * axis)


def ball(count: int = 20000) -> Surface:
    """Pieces of equal area on a half-ball under the origin and a tube above it (Fibonacci)."""
    height = -RADIUS_MM * (np.arange(count) + 0.5) / count
    turn = np.pi * (3.0 - np.sqrt(5.0)) * np.arange(count)
    across = np.sqrt(RADIUS_MM**2 - height**2)
    dome = np.column_stack([across * np.cos(turn), across * np.sin(turn), height])
    tube = np.column_stack([RADIUS_MM * np.cos(turn), RADIUS_MM * np.sin(turn), -2.0 * height])
    points = np.vstack([dome, tube])
    normals = np.vstack([dome / RADIUS_MM, tube * [1, 1, 0] / RADIUS_MM])
    area = np.full(count, 2.0 * np.pi * RADIUS_MM**2 / count)
    lowest = np.array([0.0, 0.0, -RADIUS_MM])
    return Surface(points, normals, np.concatenate([area, 2.0 * area]), lowest)


@pytest.mark.parametrize("kind", [None, *CouplingKind])
def test_one_newton_is_pulled_along_the_axis_whatever_holds(kind: CouplingKind | None) -> None:
    held = None if kind is None else seat(kind, 8.0)
    force = pull_of_one_newton(ball(), held, CAP_MM)
    along = DOWN if held is None else held.axis
    assert force.sum(axis=0) @ along == pytest.approx(1.0)
    assert np.linalg.norm(force.sum(axis=0)) == pytest.approx(1.0, abs=0.02)


def test_a_pin_draws_the_cap_evenly_by_its_area_across_and_nothing_beside_it() -> None:
    surface = ball()
    force = pull_of_one_newton(surface, seat(CouplingKind.PIN), CAP_MM)
    away = np.linalg.norm(surface.points_mm[:, :2], axis=1)
    drawn = np.linalg.norm(force, axis=1) > 0
    assert away[drawn].max() <= CAP_MM
    # even over a disc: half of the force lies within its radius over the root of two
    inner = -force[away <= CAP_MM / np.sqrt(2.0), 2].sum()
    assert inner == pytest.approx(0.5, abs=0.01)


@pytest.mark.parametrize("kind", BY_AIR)
def test_air_draws_along_the_normals_within_45_degrees(kind: CouplingKind) -> None:
    surface = ball()
    force = pull_of_one_newton(surface, seat(kind), CAP_MM)
    drawn = np.linalg.norm(force, axis=1) > 0
    assert surface.points_mm[drawn, 2].max() == pytest.approx(-RADIUS_MM * np.sqrt(0.5), abs=0.1)
    way = force[drawn] / np.linalg.norm(force[drawn], axis=1, keepdims=True)
    np.testing.assert_allclose(way, surface.normals[drawn])


def test_a_cap_beside_the_limb_draws_on_the_nearest_place() -> None:
    surface = ball()
    aside = seat(CouplingKind.PIN)
    aside.cap_mm = np.array([90.0, 0.0, -10.0])
    force = pull_of_one_newton(surface, aside, 5.0)
    (only,) = np.flatnonzero(np.linalg.norm(force, axis=1))
    nearest = np.linalg.norm(surface.points_mm - aside.cap_mm, axis=1).argmin()
    assert only == nearest
    np.testing.assert_allclose(force[only], DOWN)


@lru_cache
def round_ended() -> tuple[Limb, LivePrepared, Model]:
    """One mesh of a round-ended limb, ready for both engines."""
    body = stump(12.0, RADIUS_MM, 40.0, 12, 4, 1)
    held = np.linalg.norm(body.nodes_mm, axis=1) < 12.1
    level = body.nodes_mm[:, 2] > 39.9
    limb, prepared = prepared_body(body, held, level)
    cover = np.zeros(len(body.nodes_mm))
    cover[np.unique(body.outer)] = 1.0
    return limb, prepared, body_of(mesh_of(body, held, level), prepared.assumed, cover)


@pytest.mark.parametrize("kind", [None, CouplingKind.PIN, *BY_AIR])
@pytest.mark.parametrize("lean_deg", [0.0, 8.0])
def test_live_model_and_finite_elements_pull_at_the_same_place(kind, lean_deg: float) -> None:
    limb, prepared, model = round_ended()
    holds = None if kind is None else seat(kind, lean_deg)
    live = LIVE.with_socket(prepared, socket_of(limb, 1.0), holds)
    fine = pull_on_nodes(model, holds, prepared.cap_radius_mm)
    np.testing.assert_allclose(live.pull.sum(axis=0), fine.sum(axis=0), atol=0.03)
    # moments of one newton about the ball's middle: within 1.5 mm of arm
    arms = [
        np.cross(points, force).sum(axis=0)
        for points, force in ((live.contact.points_mm, live.pull), (model.nodes_mm, fine))
    ]
    np.testing.assert_allclose(arms[0], arms[1], atol=1.5)
    # spread alike: the same mean distance from the axis, within half a brick
    along = DOWN if holds is None else holds.axis
    spreads = [
        force @ along @ np.linalg.norm(np.cross(points, along), axis=1)
        for points, force in ((live.contact.points_mm, live.pull), (model.nodes_mm, fine))
    ]
    assert spreads[0] == pytest.approx(spreads[1], abs=3.0)
