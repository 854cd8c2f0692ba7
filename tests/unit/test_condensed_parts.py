"""Parts of the live model: compliance, contact, linear steps, rotations and the quick wall."""

from __future__ import annotations

import ctypes
import importlib
from dataclasses import replace

import numpy as np
import pytest
from scipy.sparse import csr_matrix
from scipy.sparse import random as random_sparse
from scipy.spatial.transform import Rotation

from brick_bodies import stump
from condensed_bodies import limb_around
from interface_bodies import area_at, socket_of
from limbwright.core.kernels import reals
from limbwright.core.mesh import Mesh, vertex_normals
from limbwright.prove.interface.condensed import compliance
from limbwright.prove.interface.condensed.compressed import (
    broad_ways,
    compress,
    diagonal_of,
    multiply,
)
from limbwright.prove.interface.condensed.contact import project
from limbwright.prove.interface.condensed.motion import cross_matrices, rotation_of, turn_of
from limbwright.prove.interface.condensed.step import gmres
from limbwright.prove.interface.condensed.wall import wall_basis, wall_of
from limbwright.prove.interface.finite_elements.linear_solver import pardiso_present
from limbwright.prove.interface.socket_field import field_of_shape, penetration
from limbwright.shape.plan import AreaName

RNG = np.random.default_rng(11)


def stiffness(count: int) -> csr_matrix:
    """A sparse positive definite matrix."""
    loose = random_sparse(count, count, density=0.05, random_state=3, format="csr")
    return csr_matrix(loose @ loose.T + csr_matrix(np.diag(np.linspace(1.0, 2.0, count))))


@pytest.mark.parametrize("way", ["pardiso", "superlu"])
def test_the_compliance_of_a_surface_is_that_block_of_the_whole_inverse(
    way: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    # (K^-1)_ss by NumPy's dense inverse
    if way == "pardiso" and not pardiso_present():
        pytest.skip("PARDISO is not installed on this machine")
    monkeypatch.setattr(compliance, "pardiso_present", lambda: way == "pardiso")
    whole = stiffness(400)
    upper = csr_matrix(np.triu(whole.toarray()))
    surface = RNG.permutation(400)[:300].astype(np.int32)
    found = compliance.surface_compliance(upper, surface)
    expected = np.linalg.inv(whole.toarray())[np.ix_(surface, surface)]
    np.testing.assert_allclose(found, expected, atol=1e-12 * np.abs(expected).max())


def test_the_compliance_is_the_same_bytes_whatever_used_the_library_before() -> None:
    if not pardiso_present():
        pytest.skip("PARDISO is not installed on this machine")
    upper = csr_matrix(np.triu(stiffness(1200).toarray()))
    surface = np.arange(0, 1200, 5, dtype=np.int32)
    library = importlib.import_module("pypardiso").PyPardisoSolver(mtype=2).libmkl
    found = set()
    for threads in (1, 2, 3):
        library.MKL_Set_Num_Threads(ctypes.c_int(threads))
        found.add(compliance.surface_compliance(upper, surface).tobytes())
    assert len(found) == 1


def yielding_cylinder(count: int) -> tuple[np.ndarray, np.ndarray]:
    """Places around a cylinder and what they yield like an unbounded solid (Kelvin), blunted."""
    rng = np.random.default_rng(7)
    angle, height = rng.uniform(0, 2 * np.pi, count), rng.uniform(0, 200, count)
    points = np.stack([45 * np.cos(angle), 45 * np.sin(angle), height], axis=1)
    away = points[:, None] - points
    far = np.sqrt((away**2).sum(axis=2) + 25.0)[:, :, None, None]
    blocks = (np.eye(3) + away[:, :, :, None] * away[:, :, None, :] / far**2) / far
    whole = blocks.transpose(0, 2, 1, 3).reshape(3 * count, 3 * count)
    return points, whole.astype(np.float32)


def test_the_compressed_compliance_multiplies_as_the_whole() -> None:
    points, whole = yielding_cylinder(700)
    short = compress(whole, points)
    assert short.entries.nbytes < 0.4 * whole.nbytes
    for count in (700, 450):
        # what lies behind the first places is neither pressed nor asked
        vectors = RNG.normal(size=(count, 3)) + 1.0
        expected = (whole[: 3 * count, : 3 * count] @ vectors.ravel()).reshape(count, 3)
        found = multiply(short, vectors)
        assert np.linalg.norm(found - expected) < 1e-3 * np.linalg.norm(expected)
    each = np.arange(700)
    blocks = whole.reshape(700, 3, 700, 3)[each, :, each]
    np.testing.assert_array_equal(diagonal_of(short), blocks)
    exact = compress(whole, points, leave_out=0.0)
    vectors = RNG.normal(size=(700, 3))
    expected = (whole.astype(np.float64) @ vectors.ravel()).reshape(700, 3)
    np.testing.assert_allclose(multiply(exact, vectors), expected, atol=2e-5)


def test_broad_ways_are_the_leading_eigenvectors() -> None:
    # NumPy's eigh; the last of a subspace are still loose
    points, whole = yielding_cylinder(400)
    broad = broad_ways(compress(whole, points)).astype(np.float64)
    sizes, vectors = np.linalg.eigh(whole.astype(np.float64))
    found = np.sort((broad**2).sum(axis=0))[::-1]
    np.testing.assert_allclose(found[:6], sizes[::-1][:6], rtol=1e-3)
    leading = vectors[:, -6:]
    kept = np.linalg.qr(broad)[0]
    assert np.linalg.norm(leading - kept @ (kept.T @ leading), axis=0).max() < 0.02


def test_gmres_solves_what_numpy_solves() -> None:
    matrix = np.eye(40) + 0.1 * RNG.normal(size=(40, 40))
    right = RNG.normal(size=40)
    met: list[np.ndarray] = []

    def operate(vector: np.ndarray) -> np.ndarray:
        met.append(vector.copy())
        return matrix @ vector

    shares = gmres(operate, right, 1e-10, 60)
    found = shares @ np.array(met[: len(shares)])
    np.testing.assert_allclose(found, np.linalg.solve(matrix, right), atol=1e-8)


def test_rotations_agree_with_scipy() -> None:
    for turn in (np.zeros(3), np.array([1e-9, 0, 0]), RNG.normal(size=3)):
        expected = Rotation.from_rotvec(turn).as_matrix()
        np.testing.assert_allclose(rotation_of(turn), expected, atol=1e-12)
        np.testing.assert_allclose(turn_of(expected), turn, atol=1e-12)
    a, b = RNG.normal(size=(2, 3))
    np.testing.assert_allclose(cross_matrices(a[None])[0] @ b, np.cross(a, b))


def touched(count: int, along: float = 1.0, friction: float = 0.4):  # type: ignore[no-untyped-def]
    """Contact at random places of a curved wall, as a function of traction, place and anchor."""
    centre = np.array([0.0, 0.0, 60.0])
    rng = np.random.default_rng(5)
    place = centre + 40.0 * rng.normal(size=(count, 3)) / 1.7
    traction = 0.05 * rng.normal(size=(count, 3))
    anchor = place + 0.02 * rng.normal(size=(count, 3))
    held = 0.02 * rng.normal(size=(count, 3))

    def run(traction, place, anchor):  # type: ignore[no-untyped-def]
        arm = place - centre
        radius = np.linalg.norm(arm, axis=1)
        out = arm / radius[:, None]
        bend = (np.eye(3) - out[:, :, None] * out[:, None, :]) / radius[:, None, None]
        # a quadratic function of the distance: its gradient is not of length one
        depth = (radius - 40.0) * (1.0 + 0.01 * (radius - 40.0))
        slope = 1.0 + 0.02 * (radius - 40.0)
        gradient = slope[:, None] * out
        hessian = slope[:, None, None] * bend + 0.02 * out[:, :, None] * out[:, None, :]
        return project(
            reals(traction),
            reals(place),
            reals(depth),
            reals(gradient),
            reals(hessian),
            reals(np.full(count, 1.0)),
            along,
            friction,
            reals(np.full(count, 0.05)),
            reals(held),
            reals(anchor),
        )

    return run, traction, place, anchor


def test_derivatives_of_contact_agree_with_central_differences() -> None:
    run, *at = touched(60)
    allowed, *slopes = run(*at)
    assert (allowed != 0).any(axis=1).sum() > 20
    for which, slope in enumerate(slopes[:3]):
        for axis in range(3):
            step = np.zeros((1, 3))
            step[0, axis] = 1e-6
            ahead, behind = list(at), list(at)
            ahead[which], behind[which] = at[which] + step, at[which] - step
            numeric = (run(*ahead)[0] - run(*behind)[0]) / 2e-6
            np.testing.assert_allclose(slope[:, :, axis], numeric, atol=2e-6)


def test_allowed_tractions_press_and_stay_in_coulombs_cone() -> None:
    run, *at = touched(200)
    allowed, _, _, _, _, normal = run(*at)
    pressure = -np.einsum("ni,ni->n", allowed, normal)
    shear = np.linalg.norm(allowed + pressure[:, None] * normal, axis=1)
    assert (pressure >= 0).all()
    assert (shear <= 0.4 * pressure + 1e-12).all()
    assert ((shear > 0.399 * pressure) & (pressure > 0)).sum() > 10


def test_the_quick_wall_is_the_measured_one_near_the_wall() -> None:
    body = stump(12.0, 42.0, 90.0, 16, 20, 1)
    limb = limb_around(body)
    areas = (
        area_at(limb, AreaName.MEDIAL_TIBIAL_FLARE, np.array([-42.0, 0, 50]), -4.0, 20.0),
        area_at(limb, AreaName.DISTAL_TIBIA, np.array([0.0, 20.0, -35]), 5.0, 18.0),
    )
    shape = socket_of(limb, 1.5, areas=areas)
    moved = limb.surface.vertices + shape.displacement_mm[:, None] * vertex_normals(limb.surface)
    shape = replace(shape, surface=Mesh(moved, limb.surface.faces))
    quick = wall_of(wall_basis(limb.surface, 6.0), shape)
    exact = field_of_shape(shape)
    near = moved[moved[:, 2] < 75.0]
    for off in (-2.0, 0.0, 2.0):
        points = near * (1.0 + off / 42.0)
        found, gradient, _ = penetration(quick, points)
        wanted, direction, _ = penetration(exact, points)
        # as a distance: the quick field is steeper where the displacement changes
        found = found / np.linalg.norm(gradient, axis=1)
        np.testing.assert_allclose(found, wanted, atol=0.15 + 0.06 * abs(off))
        turned = np.einsum("ni,ni->n", gradient, direction)
        turned /= np.linalg.norm(gradient, axis=1) * np.linalg.norm(direction, axis=1)
        assert np.degrees(np.arccos(np.clip(turned, -1, 1))).max() < 6.0
