"""Bricks of the wall against a patch test and closed forms of beam, plate and ring."""

import math

import numpy as np
import pytest

from limbwright.core.errors import NotConverged
from limbwright.prove.wall_elements import displaced, elements_of, face_stress_mpa, principal_mpa

YOUNG, POISSON = 2000.0, 0.3


def grid(columns, rows, place, closed=False):
    """Bricks one thick over a grid; `place(c, r, face)` gives the nodes."""
    around = columns if closed else columns + 1
    index = np.arange(around * (rows + 1) * 2).reshape(2, rows + 1, around)
    nodes = np.array(
        [
            place(c / columns, r / rows, face)
            for face in (0, 1)
            for r in range(rows + 1)
            for c in range(around)
        ]
    )
    c = np.arange(columns)
    after = (c + 1) % around
    hexes = []
    for r in range(rows):
        for low, high in zip(c, after, strict=True):
            face = [(r, low), (r, high), (r + 1, high), (r + 1, low)]
            hexes.append([index[k][at] for k in (0, 1) for at in face])
    return nodes, np.array(hexes, np.int32), index


def macneal_cube():
    """A cube of seven crooked bricks round an inner one (MacNeal and Harder 1985)."""
    inner = [(0.249, 0.342, 0.192), (0.826, 0.288, 0.288), (0.850, 0.649, 0.263)]
    inner += [(0.273, 0.750, 0.230), (0.320, 0.186, 0.643), (0.677, 0.305, 0.683)]
    inner += [(0.788, 0.693, 0.644), (0.165, 0.745, 0.702)]
    outer = [(x, y, z) for z in (0, 1) for x, y in ((0, 0), (1, 0), (1, 1), (0, 1))]
    sides = [(0, 1, 2, 3), (4, 7, 6, 5), (0, 4, 5, 1), (1, 5, 6, 2), (2, 6, 7, 3), (3, 7, 4, 0)]
    hexes = [list(range(8, 16))]
    hexes += [[*side, *(8 + k for k in side)] for side in sides]
    return np.array(outer + inner, float), np.array(hexes, np.int32)


def test_any_linear_field_is_met_exactly_on_crooked_bricks():
    nodes, hexes = macneal_cube()
    slope = np.random.default_rng(3).uniform(-1e-3, 1e-3, (3, 3))
    wanted = (nodes @ slope.T).ravel()
    body = elements_of(nodes, hexes, YOUNG, POISSON)
    whole = np.zeros((len(wanted), len(wanted)))
    for hexa, part in zip(hexes, body.stiffness, strict=True):
        at = (3 * hexa[:, None] + np.arange(3)).ravel()
        whole[np.ix_(at, at)] += part
    held = np.arange(len(wanted)) < 24
    found = wanted.copy()
    right = -whole[np.ix_(~held, held)] @ wanted[held]
    found[~held] = np.linalg.solve(whole[np.ix_(~held, ~held)], right)
    assert found == pytest.approx(wanted, abs=1e-14)
    stress = face_stress_mpa(body, found.reshape(-1, 3), outer=True)
    assert stress == pytest.approx(np.tile(stress[0], (len(hexes), 1)), abs=1e-9)


def test_a_thin_cantilever_bends_as_a_beam_with_one_brick_through_its_thickness():
    # δ = F·L³/(3·E·I), σ = M/W at the built-in end; 100 by 10 by 4 mm, ν = 0.
    nodes, hexes, index = grid(20, 2, lambda c, r, face: (100 * c, 10 * r, 4.0 * face))
    body = elements_of(nodes, hexes, YOUNG, 0.0)
    held = np.zeros((len(nodes), 3), bool)
    held[index[:, :, 0].ravel()] = True
    force = np.zeros((len(nodes), 3))
    force[index[:, :, -1].ravel(), 2] = 12.0 / 6.0
    moved = displaced(body, force, held)
    inertia = 10 * 4.0**3 / 12
    bent = 12.0 * 100**3 / (3 * YOUNG * inertia)
    assert moved[index[0, 1, -1], 2] == pytest.approx(bent, rel=0.01)
    # in the middle of the first bricks, 2.5 mm from the end
    stress = face_stress_mpa(body, moved, outer=True)[0, 0]
    assert abs(stress) == pytest.approx(12.0 * 97.5 * 2.0 / inertia, rel=0.02)


def ring(columns):
    """A ring of 50 mm radius, 5 mm thick, 10 mm wide, pulled apart by 100 N across."""

    def place(c, r, face):
        angle, radius = 2 * math.pi * c, 47.5 + 5.0 * face
        return radius * math.cos(angle), radius * math.sin(angle), 10.0 * r

    nodes, hexes, index = grid(columns, 2, place, closed=True)
    force = np.zeros((len(nodes), 3))
    for column, sign in ((0, 1.0), (columns // 2, -1.0)):
        force[index[:, :, column].ravel(), 0] = sign * 100.0 / 6.0
    held = np.zeros((len(nodes), 3), bool)
    # no load is carried here: only what a rigid body could do is held
    held[index[0, 1, columns // 4]] = True
    held[index[0, 1, 3 * columns // 4], 0] = True
    held[index[0, 0, columns // 4], 0] = True
    held[index[0, 1, 0], 2] = True
    body = elements_of(nodes, hexes, YOUNG, 0.0)
    moved = displaced(body, force, held)
    opened = moved[index[1, 1, 0], 0] - moved[index[1, 1, columns // 2], 0]
    return body, moved, opened


def test_a_ring_pulled_apart_opens_as_its_closed_form():
    # δ = (π/4 − 2/π)·F·R³/(E·I) for a thin ring (Timoshenko); shear and the thickness add a few
    # percent at R/t = 10, and the answer closes in as bricks get finer.
    inertia = 10 * 5.0**3 / 12
    thin = (math.pi / 4 - 2 / math.pi) * 100.0 * 50.0**3 / (YOUNG * inertia)
    coarse, fine = ring(24)[2], ring(96)[2]
    assert fine == pytest.approx(thin, rel=0.03)
    assert abs(coarse - fine) < 0.06 * fine


def test_a_ring_pulled_apart_is_stressed_as_its_closed_form_away_from_the_forces():
    # At 90 degrees from the forces: M = F·R·(1/2 − 1/π), N = F/2; σ = N/A ∓ M/W.
    body, moved, _ = ring(96)
    moment = 100.0 * 50.0 * (0.5 - 1 / math.pi)
    mean = 50.0 / 50.0
    bending = moment / (10 * 5.0**2 / 6)
    side = 24  # the first brick past 90 degrees
    for outer, expected in ((True, mean - bending), (False, mean + bending)):
        stress = face_stress_mpa(body, moved, outer)[side]
        ends = principal_mpa(stress[None])[0]
        most = ends[np.abs(ends).argmax()]
        assert most == pytest.approx(expected, rel=0.06)


def test_a_wall_that_folds_over_itself_is_refused():
    nodes, hexes, _ = grid(1, 1, lambda c, r, face: (10 * c, 10 * r, -5.0 * face))
    with pytest.raises(NotConverged, match="folds"):
        elements_of(nodes, hexes, YOUNG, POISSON)
