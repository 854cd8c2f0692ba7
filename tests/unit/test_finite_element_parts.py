"""Bricks, their assembly and the sparse solver, each against what it must equal."""

from __future__ import annotations

import numpy as np
import pytest

from brick_bodies import block, skewed, stump, tube
from limbwright.prove.interface.finite_elements.assembly import (
    assemble,
    matrix_of,
    pattern_of,
    spread,
    summed,
    times,
)
from limbwright.prove.interface.finite_elements.hexahedra import (
    Bricks,
    bricks_of,
    moduli_mpa,
    respond,
    stored_energy_n_mm,
)
from limbwright.prove.interface.finite_elements.linear_solver import (
    Factors,
    Pardiso,
    SuperLu,
    pardiso_present,
)

BODY = skewed(block((1.0, 1.0, 1.0), (3, 3, 3)), 0.2)
CHANCE = np.random.default_rng(0)
SHIFT = 0.05 * CHANCE.normal(size=BODY.nodes_mm.shape)
WAY = CHANCE.normal(size=BODY.nodes_mm.shape)


def bricks(poisson: float = 0.45) -> Bricks:
    return bricks_of(BODY.nodes_mm, BODY.hexahedra, *moduli_mpa(0.2, poisson))


def test_bodies_of_revolution_have_their_volumes() -> None:
    ring = tube(lambda h: 15 + 0 * h, lambda h: 50 + 0 * h, np.array([0.0, 10.0]), 96, 4)
    whole = bricks_of(ring.nodes_mm, ring.hexahedra, 1.0, 1.0).weights_mm3.sum()
    assert whole == pytest.approx(np.pi * (50**2 - 15**2) * 10, rel=1e-3)
    limb = stump(15.0, 45.0, 120.0, 12, 20, 5)
    whole = bricks_of(limb.nodes_mm, limb.hexahedra, 1.0, 1.0).weights_mm3.sum()
    assert whole == pytest.approx(
        np.pi * (45**2 - 15**2) * 120 + 2 / 3 * np.pi * (45**3 - 15**3), rel=5e-3
    )


def test_the_force_is_the_slope_of_the_stored_energy() -> None:
    body, step = bricks(), 1e-6
    force = respond(body, SHIFT, tangent=False).force_n
    work = float((force * WAY[BODY.hexahedra].reshape(-1, 24)).sum())
    ahead = stored_energy_n_mm(body, SHIFT + step * WAY)
    behind = stored_energy_n_mm(body, SHIFT - step * WAY)
    assert (ahead - behind) / (2 * step) == pytest.approx(work, rel=1e-7)


def test_the_tangent_is_the_slope_of_the_force_and_symmetric() -> None:
    body, step = bricks(0.49), 1e-6
    held = np.zeros(SHIFT.shape, bool)
    held[0], held[5, 1] = True, True
    pattern = pattern_of(BODY.hexahedra, held)
    tangent = respond(body, SHIFT).tangent
    np.testing.assert_allclose(tangent, tangent.transpose(0, 2, 1), atol=1e-14)
    way = WAY.ravel()[: pattern.unknowns]
    moved = spread(pattern, way)

    def force(displacement: np.ndarray) -> np.ndarray:
        parts = respond(body, displacement, tangent=False).force_n
        return summed(pattern, pattern.element_unknowns, parts)

    slope = (force(SHIFT + step * moved) - force(SHIFT - step * moved)) / (2 * step)
    entries = assemble(pattern, tangent)
    np.testing.assert_allclose(times(pattern, entries, way), slope, atol=1e-8)
    upper = matrix_of(pattern, entries)
    whole = upper + upper.T
    whole.setdiag(upper.diagonal())
    np.testing.assert_allclose(whole @ way, times(pattern, entries, way), atol=1e-12)


def test_a_rigid_motion_strains_nothing() -> None:
    # objectivity: a turn of 40 degrees and a shift leave every force at zero
    angle = np.deg2rad(40.0)
    turn = np.array(
        [[np.cos(angle), -np.sin(angle), 0], [np.sin(angle), np.cos(angle), 0], [0, 0, 1]]
    )
    moved = BODY.nodes_mm @ turn.T + [3.0, -2.0, 5.0] - BODY.nodes_mm
    answer = respond(bricks(), moved, tangent=False)
    np.testing.assert_allclose(answer.force_n, 0.0, atol=1e-14)
    np.testing.assert_allclose(answer.smallest_change, 1.0, atol=1e-14)


def test_an_element_turned_inside_out_is_told() -> None:
    shift = np.zeros_like(SHIFT)
    shift[BODY.hexahedra[4, 6]] = -1.5 * (
        BODY.nodes_mm[BODY.hexahedra[4, 6]] - BODY.nodes_mm[BODY.hexahedra[4, 0]]
    )
    assert respond(bricks(), shift).smallest_change[4] <= 0.0
    flat = BODY.nodes_mm.copy()
    flat[:, 2] *= -1
    with pytest.raises(ValueError, match="turned inside out"):
        bricks_of(flat, BODY.hexahedra, 1.0, 1.0)


@pytest.mark.parametrize("kind", [Pardiso, SuperLu])
def test_each_solver_solves_an_indefinite_system_again_and_again(kind: type[Factors]) -> None:
    if kind is Pardiso and not pardiso_present():
        pytest.skip("the extra 'fast' is not installed")
    held = np.zeros(SHIFT.shape, bool)
    held[:4] = True
    pattern = pattern_of(BODY.hexahedra, held)
    entries = assemble(pattern, respond(bricks(), SHIFT).tangent)
    right = CHANCE.normal(size=(pattern.unknowns, 3))
    factors = kind(pattern.starts, pattern.columns)
    on_diagonal = pattern.columns == np.repeat(np.arange(pattern.unknowns), np.diff(pattern.starts))
    for shift in (0.0, 0.05):
        now = entries - shift * on_diagonal
        factors.factor(now)
        found = factors.solve(right)
        for k in range(3):
            np.testing.assert_allclose(times(pattern, now, found[:, k]), right[:, k], atol=1e-9)
        np.testing.assert_array_equal(found[:, 0], factors.solve(right)[:, 0])
    factors.close()
