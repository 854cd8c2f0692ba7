"""Finite elements against closed forms: patches, annulus, cone, indenters, convergence, energy."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from brick_bodies import BrickBody, block, graded_block, skewed, tube
from limbwright.prove.interface.finite_elements.assembly import spread, summed
from limbwright.prove.interface.finite_elements.contact import (
    ContactLaw,
    Touch,
    contact_surface,
)
from limbwright.prove.interface.finite_elements.equilibrium import (
    NONE,
    Demand,
    Model,
    Standing,
    at_rest,
    model_of,
)
from limbwright.prove.interface.finite_elements.hexahedra import (
    CORNERS,
    bricks_of,
    moduli_mpa,
    respond,
    stored_energy_n_mm,
)
from limbwright.prove.interface.finite_elements.linear_solver import analyse
from limbwright.prove.interface.finite_elements.newton import Effort, Found, find_equilibrium
from limbwright.prove.interface.finite_elements.sequence import (
    ContactSettings,
    Load,
    solve_equilibrium,
)
from limbwright.prove.interface.socket_field import SocketField, field_of_function

PAGE = "pressure_finite_elements"
FAR = field_of_function(lambda p: p[:, 2] - 1e3, np.array([[-9.0, -9, -9], [9, 9, 9]]), 2.0)
"""A wall that nothing reaches."""
SMOOTH = ContactLaw(1.0, 0.2, 0.0)
Places = NDArray[np.float64]


def model_with(
    body: BrickBody,
    held: NDArray[np.bool_],
    young_mpa: float,
    poisson: float,
    cover: NDArray[np.float64] | None = None,
) -> Model:
    bricks = bricks_of(body.nodes_mm, body.hexahedra, *moduli_mpa(young_mpa, poisson))
    share = np.ones(len(body.nodes_mm)) if cover is None else cover
    return model_of(body.nodes_mm, bricks, held, contact_surface(body.nodes_mm, body.outer, share))


def balanced(
    model: Model,
    start: Standing,
    *,
    field: SocketField = FAR,
    law: ContactLaw = SMOOTH,
    free: NDArray[np.bool_] = NONE,
    wrench: NDArray[np.float64] | None = None,
    pull_n: NDArray[np.float64] | None = None,
    scale_n: float = 0.0,
    tolerance: float = 1e-9,
) -> Found:
    demand = Demand(
        law,
        free,
        np.zeros(6) if wrench is None else wrench,
        np.zeros(model.pattern.unknowns) if pull_n is None else pull_n,
        scale_n,
    )
    factors = analyse(model.pattern.starts, model.pattern.columns)
    try:
        return find_equilibrium(
            model, field, start, demand, factors, Effort(tolerance, most_steps=30)
        )
    finally:
        factors.close()


def moved(model: Model, displacement: Places) -> Standing:
    """Held nodes displaced; the others start there too."""
    return replace(at_rest(model), displacement_mm=displacement)


def reactions(model: Model, standing: Standing) -> Places:
    """Internal forces on all nodes, (n, 3) N."""
    force = respond(model.bricks, standing.displacement_mm, tangent=False).force_n
    out = np.zeros_like(model.nodes_mm)
    np.add.at(out, model.bricks.hexahedra.ravel(), force.reshape(-1, 3))
    return out


def on_border(nodes: Places) -> NDArray[np.bool_]:
    low, high = nodes.min(axis=0), nodes.max(axis=0)
    return ((nodes < low + 1e-9) | (nodes > high - 1e-9)).any(axis=1)


@pytest.mark.parametrize("poisson", [0.45, 0.499])
def test_a_patch_of_skewed_bricks_carries_a_constant_strain(poisson: float) -> None:
    # patch test (Irons and Razzaque 1972): nodes within follow the linear field of the border
    body = skewed(block((10.0, 10.0, 10.0), (4, 4, 4)), 0.25)
    border = on_border(body.nodes_mm)
    model = model_with(body, np.repeat(border[:, None], 3, axis=1), 0.2, poisson)
    slope = np.array([[0.02, 0.05, -0.03], [0.01, -0.04, 0.02], [0.0, 0.03, 0.015]])
    wanted = body.nodes_mm @ slope.T
    start = np.where(border[:, None], wanted, 0.0)
    found = balanced(model, moved(model, start))
    np.testing.assert_allclose(found.standing.displacement_mm, wanted, atol=2e-6)


@pytest.mark.parametrize("stretch", [0.8, 1.1])
def test_uniform_compression_is_that_of_the_law(
    stretch: float, record_validation: Callable[..., None]
) -> None:
    # confined stretch of the law itself: s = mu J^(-5/3) (2/3)(L^2 - 1) + kappa (J - 1), J = L
    body = block((10.0, 8.0, 6.0), (3, 3, 3))
    nodes = body.nodes_mm
    held = np.zeros(nodes.shape, bool)
    for axis in range(2):
        held[:, axis] = (nodes[:, axis] < 1e-9) | (nodes[:, axis] > nodes[:, axis].max() - 1e-9)
    top = nodes[:, 2] > 6.0 - 1e-9
    held[:, 2] = top | (nodes[:, 2] < 1e-9)
    model = model_with(body, held, 0.2, 0.45)
    start = np.zeros_like(nodes)
    start[top, 2] = 6.0 * (stretch - 1)
    found = balanced(model, moved(model, start))
    stress = reactions(model, found.standing)[top, 2].sum() / 80.0
    shear, bulk = moduli_mpa(0.2, 0.45)
    law = shear * stretch ** (-5 / 3) * 2 / 3 * (stretch**2 - 1) + bulk * (stretch - 1)
    assert stress == pytest.approx(law, rel=1e-6)
    record_validation(
        PAGE,
        f"Confined block, stretch {stretch}",
        "stress",
        computed=1e3 * stress,
        reference=1e3 * law,
        unit="kPa",
        source="the constitutive law itself",
    )


@pytest.mark.parametrize("poisson", [0.30, 0.45, 0.49, 0.499])
def test_lames_annulus_does_not_lock(
    poisson: float, record_validation: Callable[..., None]
) -> None:
    # plane strain, core bonded, outer radius pressed in (Lame; Timoshenko and Goodier 1970):
    # p = E d b / ((1 + v)(1 - 2v)(b^2 - a^2)) (1 + (1 - 2v) a^2/b^2)
    inner, outer, pressed, young = 15.0, 50.0, 1.0, 0.1
    body = tube(lambda h: inner + 0 * h, lambda h: outer + 0 * h, np.array([0.0, 4.0]), 64, 12)
    nodes = body.nodes_mm
    radius = np.hypot(nodes[:, 0], nodes[:, 1])
    bonded, skin = radius < inner + 1e-6, radius > outer - 1e-6
    held = np.zeros(nodes.shape, bool)
    held[:, 2] = True
    held[bonded | skin] = True
    model = model_with(body, held, young, poisson)
    small = 1e-4 * pressed
    start = np.zeros_like(nodes)
    start[skin, :2] = -small * nodes[skin, :2] / outer
    found = balanced(model, moved(model, start), tolerance=1e-8, scale_n=1.0)
    force = reactions(model, found.standing)[skin]
    inward = -(force[:, :2] * nodes[skin, :2]).sum() / outer
    pressure = inward / (2 * 64 * np.sin(np.pi / 64) * outer * 4.0) * (pressed / small)
    ratio = (inner / outer) ** 2
    lame = young * pressed * outer / ((1 + poisson) * (1 - 2 * poisson) * (outer**2 - inner**2))
    lame *= 1 + (1 - 2 * poisson) * ratio
    assert pressure == pytest.approx(lame, rel=0.01)
    record_validation(
        PAGE,
        f"Annulus on a bonded core, Poisson's ratio {poisson}",
        "pressure",
        computed=1e3 * pressure,
        reference=1e3 * lame,
        unit="kPa",
        source="Lamé; Timoshenko and Goodier 1970",
    )


SLOPE = np.arctan(15.0 / 180.0)


def cone_field() -> SocketField:
    def depth(points: Places) -> Places:
        wall = 40.0 + points[:, 2] * 15.0 / 180.0
        return (np.hypot(points[:, 0], points[:, 1]) - wall) * np.cos(SLOPE)

    return field_of_function(depth, np.array([[-75.0, -75, -30], [75, 75, 210]]))


@pytest.mark.slow
@pytest.mark.parametrize("friction", [0.2, 0.3, 0.5, 0.7])
def test_a_conical_socket_that_slides_carries_its_load_at_the_pressure_of_equilibrium(
    friction: float, record_validation: Callable[..., None]
) -> None:
    # Equilibrium of a rigid cone, Coulomb friction fully mobilised: p = F / (A (sin a + mu cos a));
    # it holds for the mean whatever the distribution.
    body = tube(
        lambda h: 28.0 + h * 15.0 / 180.0,
        lambda h: 40.0 + h * 15.0 / 180.0,
        np.linspace(0.0, 180.0, 19),
        48,
        2,
    )
    nodes = body.nodes_mm
    radius = np.hypot(nodes[:, 0], nodes[:, 1])
    bonded = radius < 28.0 + nodes[:, 2] * 15.0 / 180.0 + 1e-6
    model = model_with(body, np.repeat(bonded[:, None], 3, axis=1), 0.2, 0.45)
    load = Load(np.array([0, 0, 800.0, 0, 0, 0]), np.zeros(model.pattern.unknowns), 800.0)
    reached = solve_equilibrium(model, cone_field(), load, None, ContactSettings(friction))
    found = reached.found
    area = np.pi * (55.0 + 40.0) * np.hypot(180.0, 15.0)
    theory = 800.0 / (area * (np.sin(SLOPE) + friction * np.cos(SLOPE)))
    mean = (model.surface.areas_mm2 * found.contact.pressure_mpa).sum() / area
    assert mean == pytest.approx(theory, rel=0.01)
    assert slip_share(model, found.contact, friction) > 0.99
    record_validation(
        PAGE,
        f"Conical socket, 800 N, friction {friction}",
        "mean pressure",
        computed=1e3 * mean,
        reference=1e3 * theory,
        unit="kPa",
        source="equilibrium of a rigid cone, friction fully mobilised",
    )


def slip_share(model: Model, contact: Touch, friction: float) -> float:
    """Share of the normal force at which friction's limit is reached; it is passed nowhere."""
    shear = np.linalg.norm(contact.memory.shear_mpa, axis=-1)
    limit = friction * contact.pressure_mpa
    assert (shear <= limit * (1 + 1e-9) + 1e-15).all()
    force = model.surface.areas_mm2 * contact.pressure_mpa
    return float(force[shear > 0.999 * limit].sum() / force.sum())


AROUND = 12
INDENTED = (0.1, 0.45)
"""Young's modulus (MPa) and Poisson's ratio of the half-space."""


def half_space(rings_mm: NDArray[np.float64]) -> BrickBody:
    """A thick disc under u = 0, its axis a hole too small to matter, graded with depth."""
    depth = -60.0 * np.linspace(1.0, 0.0, 19) ** 2.6
    body = tube(lambda h: 0 * h, lambda h: 1 + 0 * h, depth, AROUND, len(rings_mm) - 1)
    share = np.round(np.hypot(body.nodes_mm[:, 0], body.nodes_mm[:, 1]) * (len(rings_mm) - 1))
    number = np.arange(len(body.nodes_mm)) % len(rings_mm)
    angle = 2 * np.pi * ((np.arange(len(body.nodes_mm)) // len(rings_mm)) % AROUND) / AROUND
    assert np.array_equal(share[number > 0], number[number > 0])
    radius = rings_mm[number]
    nodes = np.stack([radius * np.cos(angle), radius * np.sin(angle), body.nodes_mm[:, 2]], axis=1)
    quads = body.hexahedra[:, [4, 5, 6, 7]]
    top = (nodes[quads][:, :, 2] > -1e-9).all(axis=1)
    return BrickBody(nodes, body.hexahedra, quads[top])


def far_field(nodes: Places, load_n: float) -> Places:
    """Displacement under a point load pushing down at the origin (Boussinesq; Johnson 1985)."""
    young, poisson = INDENTED
    r, z = np.hypot(nodes[:, 0], nodes[:, 1]), -nodes[:, 2]
    away = np.maximum(np.hypot(r, z), 1e-9)
    unit = load_n * (1 + poisson) / (2 * np.pi * young)
    down = unit * (2 * (1 - poisson) / away + z**2 / away**3)
    out = unit * (r * z / away**3 - (1 - 2 * poisson) * r / (away * (away + z) + 1e-12))
    across = nodes[:, :2] / np.maximum(r, 1e-9)[:, None]
    return np.concatenate([out[:, None] * across, -down[:, None]], axis=1)


def indented(
    body: BrickBody, field: SocketField, cover: NDArray[np.float64], load_n: float, wall: float
) -> tuple[Model, Found]:
    nodes = body.nodes_mm
    radius = np.hypot(nodes[:, 0], nodes[:, 1])
    far = (radius > radius.max() - 1e-6) | (nodes[:, 2] < nodes[:, 2].min() + 1e-6)
    model = model_with(body, np.repeat(far[:, None], 3, axis=1), *INDENTED, cover)
    start = moved(model, np.where(far[:, None], far_field(nodes, load_n), 0.0))
    return model, balanced(
        model, start, field=field, law=ContactLaw(wall, wall, 0.0), tolerance=1e-7
    )


def normal_force(model: Model, found: Found) -> float:
    weights = model.surface.areas_mm2 * model.surface.cover
    return float((weights * found.contact.traction_mpa[..., 2]).sum())


@pytest.mark.slow
def test_a_flat_ended_indenter_needs_the_force_of_theory(
    record_validation: Callable[..., None],
) -> None:
    # P = 2 E a w / (1 - v^2), frictionless (Sneddon 1965; Johnson 1985, Contact Mechanics, 3.5):
    # a = 5.5 mm, E = 100 kPa, v = 0.45; 1.379 N at w = 1 mm, pressed here a hundredth of that
    radius, pressed = 5.5, 0.01
    young, poisson = INDENTED
    theory = 2 * young * radius * pressed / (1 - poisson**2)
    assert theory == pytest.approx(1.379 * pressed, rel=1e-3)
    inside = radius * (1 - np.linspace(1.0, 0.0, 11) ** 1.8)
    inside[0] = 0.01
    outside = radius + 54.5 * np.linspace(0.0, 1.0, 16)[1:] ** 2.5
    body = half_space(np.concatenate([inside, [radius + 0.02], outside[outside > radius + 0.1]]))
    cover = (np.hypot(body.nodes_mm[:, 0], body.nodes_mm[:, 1]) < radius + 1e-6).astype(float)
    flat = field_of_function(
        lambda p: p[:, 2] + pressed, np.array([[-70.0, -70, -20], [70, 70, 20]]), 5.0
    )
    model, found = indented(body, flat, cover, theory, 2.0)
    force = normal_force(model, found)
    assert force == pytest.approx(theory, rel=0.03)
    record_validation(
        PAGE,
        "Flat-ended indenter, radius 5.5 mm, 100 kPa, Poisson's ratio 0.45",
        "force per mm",
        computed=force / pressed,
        reference=theory / pressed,
        unit="N/mm",
        source="Sneddon 1965; Johnson 1985",
    )


@pytest.mark.slow
def test_a_ball_on_a_block_presses_as_hertz_says(
    record_validation: Callable[..., None],
) -> None:
    # P = (4/3) E* sqrt(R) w^(3/2), p0 = (2/pi) E* sqrt(w/R) (Hertz; Johnson 1985, section 4.2)
    ball, pressed = 20.0, 0.2
    stiff = INDENTED[0] / (1 - INDENTED[1] ** 2)
    theory = 4 / 3 * stiff * np.sqrt(ball) * pressed**1.5
    highest = 2 / np.pi * stiff * np.sqrt(pressed / ball)
    near = np.linspace(0.0, 3.0, 16)
    near[0] = 0.01
    body = half_space(np.concatenate([near, 3.0 + 57.0 * np.linspace(0.0, 1.0, 14)[1:] ** 2.2]))
    middle = np.array([0.0, 0.0, ball - pressed])
    around = field_of_function(
        lambda p: ball - np.linalg.norm(p - middle, axis=1),
        np.array([[-16.0, -16, -6], [16, 16, 6]]),
        0.5,
    )
    close = np.hypot(body.nodes_mm[:, 0], body.nodes_mm[:, 1]) < 6.0
    model, found = indented(body, around, close.astype(float), theory, 5.0)
    force = normal_force(model, found)
    peak = float(found.contact.pressure_mpa.max())
    assert force == pytest.approx(theory, rel=0.03)
    assert peak == pytest.approx(highest, rel=0.05)
    for quantity, computed, reference, unit in (
        ("force", 1e3 * force, 1e3 * theory, "mN"),
        ("highest pressure", 1e3 * peak, 1e3 * highest, "kPa"),
    ):
        record_validation(
            PAGE,
            "Ball of radius 20 mm pressed 0.2 mm into a half-space",
            quantity,
            computed=computed,
            reference=reference,
            unit=unit,
            source="Hertz; Johnson 1985",
        )


def manufactured_error(count: int, poisson: float) -> float:
    """Root mean square error against u = e sin(πx) sin(πy) sin(πz) along every axis."""
    body = block((1.0, 1.0, 1.0), (count, count, count))
    border = on_border(body.nodes_mm)
    model = model_with(body, np.repeat(border[:, None], 3, axis=1), 1.0, poisson)
    shear, bulk = moduli_mpa(1.0, poisson)
    lame = bulk - 2 * shear / 3
    size = 1e-6

    def exact(points: Places) -> Places:
        return np.repeat(size * np.sin(np.pi * points).prod(axis=-1)[..., None], 3, axis=-1)

    def body_force(points: Places) -> Places:
        # -(shear ∇²u + (lame + shear) ∇ div u)
        s, c = np.sin(np.pi * points), np.cos(np.pi * points)
        whole = s.prod(axis=-1)
        out = np.empty(points.shape)
        for i in range(3):
            j, k = (i + 1) % 3, (i + 2) % 3
            mixed = -whole + c[..., i] * (c[..., j] * s[..., k] + s[..., j] * c[..., k])
            out[..., i] = np.pi**2 * size * (3 * shear * whole - (lame + shear) * mixed)
        return out

    points = CORNERS / np.sqrt(3.0)
    shapes = np.prod(1 + CORNERS * points[:, None, :], axis=-1) / 8
    places = np.einsum("qa,mai->mqi", shapes, body.nodes_mm[body.hexahedra])
    weighted = model.bricks.weights_mm3[..., None] * body_force(places)
    parts = np.einsum("mqi,qa->mai", weighted, shapes).reshape(len(body.hexahedra), 24)
    load = summed(model.pattern, model.pattern.element_unknowns, parts)
    found = balanced(model, at_rest(model), pull_n=load, scale_n=1e-4, tolerance=1e-7)
    within = np.einsum("qa,mai->mqi", shapes, found.standing.displacement_mm[body.hexahedra])
    wrong = ((within - exact(places)) ** 2).sum(axis=-1)
    return float(np.sqrt((model.bricks.weights_mm3 * wrong).sum()) / size)


@pytest.mark.parametrize("poisson", [0.45, 0.499])
def test_the_error_falls_with_the_square_of_the_element_size(
    poisson: float, record_validation: Callable[..., None]
) -> None:
    # manufactured solution (Roache 2002, J Fluids Eng 124:4); trilinear bricks: order 2 in L2
    errors = [manufactured_error(count, poisson) for count in (4, 8, 16)]
    rates = np.log2(np.array(errors[:-1]) / errors[1:])
    assert rates[-1] == pytest.approx(2.0, abs=0.15)
    record_validation(
        PAGE,
        f"Manufactured solution, Poisson's ratio {poisson}, 8 to 16 bricks an edge",
        "order of convergence",
        computed=rates[-1],
        reference=2.0,
        unit="",
        source="order of trilinear interpolation in L2",
    )


def test_the_work_done_on_a_body_is_the_energy_that_it_stores() -> None:
    # first law for an elastic body: the integral of force over way, by Simpson's rule
    body = graded_block([np.linspace(0, 10, 4), np.linspace(0, 8, 4), np.linspace(0, 6, 4)])
    nodes = body.nodes_mm
    top, bottom = nodes[:, 2] > 6 - 1e-9, nodes[:, 2] < 1e-9
    model = model_with(body, np.repeat((top | bottom)[:, None], 3, axis=1), 0.2, 0.45)
    ways, forces = np.linspace(0.0, 1.2, 9), []
    standing = at_rest(model)
    for way in ways:
        shift = standing.displacement_mm.copy()
        shift[top] = [0.3 * way, 0.0, -way]
        standing = balanced(model, moved(model, shift)).standing
        forces.append(reactions(model, standing)[top].sum(axis=0) @ [0.3, 0.0, -1.0])
    weight = np.array([1, 4, 2, 4, 2, 4, 2, 4, 1]) * (ways[1] - ways[0]) / 3
    stored = stored_energy_n_mm(model.bricks, standing.displacement_mm)
    assert float(weight @ forces) == pytest.approx(stored, rel=1e-4)


def test_spread_and_summed_are_inverse_where_nothing_is_held() -> None:
    body = block((1.0, 1.0, 1.0), (2, 2, 2))
    model = model_with(body, np.zeros(body.nodes_mm.shape, bool), 0.2, 0.45)
    values = np.arange(float(model.pattern.unknowns))
    back = summed(model.pattern, model.pattern.unknown, spread(model.pattern, values))
    np.testing.assert_array_equal(back, values)
