"""A round-ended limb in a cup: balance, friction's limit, donning and load in any way."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from brick_bodies import stump
from limbwright.core.mesh import Vertices
from limbwright.prove.interface.finite_elements.contact import (
    ContactLaw,
    blocks_of,
    contact_surface,
)
from limbwright.prove.interface.finite_elements.equilibrium import (
    ACROSS_AND_TILT,
    NONE,
    Demand,
    Model,
    at_rest,
    model_of,
)
from limbwright.prove.interface.finite_elements.hexahedra import (
    bricks_of,
    moduli_mpa,
    respond,
)
from limbwright.prove.interface.finite_elements.linear_solver import analyse
from limbwright.prove.interface.finite_elements.newton import Effort, find_equilibrium
from limbwright.prove.interface.finite_elements.sequence import (
    ContactSettings,
    Load,
    NotReached,
    Reached,
    solve_equilibrium,
)
from limbwright.prove.interface.socket_field import SocketField, field_of_function

SETTINGS = ContactSettings(0.4)
WRENCH = np.array([30.0, 60.0, 500.0, 4000.0, 3000.0, 500.0])


def limb(poisson: float = 0.45) -> Model:
    body = stump(15.0, 45.0, 110.0, 8, 12, 3)
    nodes = body.nodes_mm
    low = np.minimum(nodes[:, 2], 0.0)
    bone = np.sqrt(nodes[:, 0] ** 2 + nodes[:, 1] ** 2 + low**2) < 15.0 + 1e-6
    held = np.repeat(bone[:, None], 3, axis=1)
    held[nodes[:, 2] > 110.0 - 1e-6, 2] = True
    cover = np.clip((95.0 - nodes[:, 2]) / 10.0, 0.0, 1.0)
    bricks = bricks_of(nodes, body.hexahedra, *moduli_mpa(0.2, poisson))
    return model_of(nodes, bricks, held, contact_surface(nodes, body.outer, cover))


def cup(wider_mm: float = 0.0) -> SocketField:
    """A cup that presses in by up to 2 mm, more on one side, and opens upward."""

    def depth(points: Vertices) -> np.ndarray:
        low = np.minimum(points[:, 2] + 1.0, 0.0)
        radius = np.hypot(points[:, 0] - 0.4, points[:, 1])
        wall = 43.5 + wider_mm + 0.03 * np.clip(points[:, 2], 0.0, 110.0)
        return np.sqrt(radius**2 + low**2) - wall

    return field_of_function(depth, np.array([[-70.0, -70, -75], [70, 70, 140]]))


@pytest.fixture(scope="module")
def donned() -> tuple[Model, SocketField, Reached]:
    model, field = limb(), cup()
    return model, field, solve_equilibrium(model, field, None, None, SETTINGS)


@pytest.fixture(scope="module")
def loaded(donned: tuple[Model, SocketField, Reached]) -> tuple[Model, Reached]:
    model, field, first = donned
    load = Load(WRENCH, np.zeros(model.pattern.unknowns), 500.0)
    return model, solve_equilibrium(model, field, load, first.found.standing, SETTINGS)


def contact_wrench(model: Model, reached: Reached) -> np.ndarray:
    """On the limb, about the socket's moved reference."""
    return -blocks_of(model.surface, reached.found.contact, tangent=False).wrench


def test_the_load_is_met_in_force_and_moment(loaded: tuple[Model, Reached]) -> None:
    model, reached = loaded
    assert reached.found.share < 1e-3
    missing = contact_wrench(model, reached) - WRENCH
    assert np.abs(missing[:3]).max() < 1e-3 * 500.0
    assert np.abs(missing[3:]).max() < 1e-3 * 500.0 * model.length_mm


def test_what_the_bones_bear_is_what_the_socket_exerts(loaded: tuple[Model, Reached]) -> None:
    # equilibrium of the tissue as a free body: reactions at the held nodes against the contact
    model, reached = loaded
    standing = reached.found.standing
    force = respond(model.bricks, standing.displacement_mm, tangent=False).force_n
    nodal = np.zeros_like(model.nodes_mm)
    np.add.at(nodal, model.bricks.hexahedra.ravel(), force.reshape(-1, 3))
    held = model.pattern.unknown < 0
    onto_bones = np.where(held, -nodal, 0.0)
    places = model.nodes_mm + standing.displacement_mm
    about = model.reference_mm + standing.pose.shift_mm
    moment = np.cross(places - about, onto_bones).sum(axis=0)
    np.testing.assert_allclose(onto_bones.sum(axis=0), WRENCH[:3], atol=0.5)
    np.testing.assert_allclose(moment, WRENCH[3:], atol=0.5 * model.length_mm)


def test_friction_never_holds_more_than_coulomb_allows(loaded: tuple[Model, Reached]) -> None:
    _, reached = loaded
    contact = reached.found.contact
    shear = np.linalg.norm(contact.memory.shear_mpa, axis=-1)
    assert (shear <= 0.4 * contact.pressure_mpa * (1 + 1e-12) + 1e-15).all()
    pressed = contact.pressure_mpa > 0
    assert (shear[pressed] > 0.4 * 0.999 * contact.pressure_mpa[pressed]).any()
    assert (shear[pressed] < 0.4 * 0.9 * contact.pressure_mpa[pressed]).any()


def test_a_hardening_wall_seats_the_limb_as_a_shrinking_socket_does() -> None:
    # without friction the seated state does not depend on the way there
    model = limb()
    law = ContactLaw(1.0, 0.2, 0.0)
    nothing = np.zeros(model.pattern.unknowns)
    factors = analyse(model.pattern.starts, model.pattern.columns)

    def seat(field: SocketField, start, wall: float, free):
        demand = Demand(replace(law, normal=wall), free, np.zeros(6), nothing)
        effort = Effort(1e-6, most_steps=30)
        found = find_equilibrium(model, field, start, demand, factors, effort)
        return replace(found.standing, memory=None)

    shrunk, hardened = at_rest(model), at_rest(model)
    for wider in (1.5, 1.0, 0.5, 0.0):
        shrunk = seat(cup(wider), shrunk, 1.0, NONE)
    shrunk = seat(cup(), shrunk, 1.0, ACROSS_AND_TILT)
    for wall in (0.05, 0.2, 1.0):
        hardened = seat(cup(), hardened, wall, ACROSS_AND_TILT)
    factors.close()
    assert np.abs(hardened.displacement_mm).max() > 0.5
    np.testing.assert_allclose(hardened.displacement_mm, shrunk.displacement_mm, atol=2e-4)
    np.testing.assert_allclose(hardened.pose.shift_mm, shrunk.pose.shift_mm, atol=2e-4)


def test_the_same_input_gives_the_same_bytes(
    donned: tuple[Model, SocketField, Reached], loaded: tuple[Model, Reached]
) -> None:
    model, field, first = donned
    load = Load(WRENCH, np.zeros(model.pattern.unknowns), 500.0)
    again = solve_equilibrium(model, field, load, first.found.standing, SETTINGS)
    standing, before = again.found.standing, loaded[1].found.standing
    assert standing.displacement_mm.tobytes() == before.displacement_mm.tobytes()
    assert standing.pose.rotation.tobytes() == before.pose.rotation.tobytes()


def test_a_limb_that_nothing_holds_is_refused() -> None:
    model = limb()
    tubes = field_of_function(
        lambda p: np.hypot(p[:, 0], p[:, 1]) - 60.0, np.array([[-75.0, -75, -80], [75, 75, 150]])
    )
    load = Load(WRENCH * [0, 0, 1, 0, 0, 0], np.zeros(model.pattern.unknowns), 500.0)
    with pytest.raises(NotReached) as caught:
        solve_equilibrium(model, tubes, load, None, SETTINGS)
    assert caught.value.stage == "loading"
    assert caught.value.cause.gone


def test_cancelling_stops_at_once() -> None:
    told: list[float] = []

    def stop(share: float) -> None:
        told.append(share)
        if len(told) == 3:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        solve_equilibrium(limb(), cup(), None, None, SETTINGS, stop)
    assert told == sorted(told)
    assert 0.0 < told[0] < told[-1] < 1.0
