"""The bed's resultant: its exact derivative, and that work and motion agree."""

from __future__ import annotations

import numpy as np
import pytest

from limbwright.prove.interface.bed import (
    Bed,
    BedState,
    answer,
    fields,
    full_stiffness,
    make_bed,
    pose_of,
    wrench_about_reference,
)
from limbwright.prove.interface.stiffness import Stiffness


def random_bed(seed: int, count: int = 60) -> Bed:
    """Springs on a knobbly ball, some open, with friction."""
    rng = np.random.default_rng(seed)
    normals = rng.normal(size=(count, 3))
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    return make_bed(
        60.0 * normals + rng.normal(0, 8, (count, 3)) + [5.0, -20.0, -70.0],
        normals,
        rng.uniform(2, 9, count),
        rng.uniform(-1.5, 2.5, count),
        Stiffness(rng.uniform(0.01, 0.1, count), rng.uniform(0.002, 0.01, count)),
        0.35,
    )


def random_start(bed: Bed, seed: int) -> BedState:
    """A state with shear along the surface, some of it beyond what will be held."""
    rng = np.random.default_rng(seed)
    shear = 0.01 * rng.normal(size=bed.points.shape)
    shear -= np.einsum("ij,ij->i", shear, bed.normals)[:, None] * bed.normals
    return BedState(0.6 * rng.normal(size=6), shear)


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("friction", [0.0, 0.35, 4.0])
def test_the_stiffness_is_the_derivative_of_the_resultant(seed: int, friction: float) -> None:
    bed, start = random_bed(seed), random_start(random_bed(seed), seed + 100)
    motion = start.motion + 0.8 * np.random.default_rng(seed + 200).normal(size=6)
    exact = answer(bed, start, motion, friction).stiffness
    step = 1e-6
    numeric = np.empty((6, 6))
    for column in range(6):
        ahead, behind = motion.copy(), motion.copy()
        ahead[column] += step
        behind[column] -= step
        forces = [answer(bed, start, at, friction).resultant_n for at in (ahead, behind)]
        numeric[:, column] = -(forces[0] - forces[1]) / (2 * step)
    np.testing.assert_allclose(exact, numeric, atol=2e-6 * np.abs(exact).max())


def test_these_beds_open_touch_stick_and_slide() -> None:
    # so that the comparison above meets every branch
    seen = np.zeros(4, int)
    for seed in range(12):
        bed, start = random_bed(seed), random_start(random_bed(seed), seed + 100)
        motion = start.motion + 0.8 * np.random.default_rng(seed + 200).normal(size=6)
        pressure, shear = fields(bed, start, motion, 0.35)
        size = np.linalg.norm(shear, axis=1)
        pressed = pressure > 0
        sliding = pressed & (size > 0.35 * pressure * (1 - 1e-12))
        moved = np.concatenate([bed.normals, np.cross(bed.points, bed.normals)], axis=1)
        touched = pressed & (bed.press_mm + moved @ start.motion < 0)
        seen += [(~pressed).sum(), touched.sum(), (pressed & ~sliding).sum(), sliding.sum()]
    assert seen.min() > 20


def test_the_resultant_is_the_sum_of_the_tractions() -> None:
    bed, start = random_bed(5), random_start(random_bed(5), 105)
    motion = start.motion + 0.3
    found = answer(bed, start, motion, 0.35)
    pressure, shear = fields(bed, start, motion, 0.35)
    force = -bed.areas_mm2[:, None] * (pressure[:, None] * bed.normals + shear)
    moment = np.cross(bed.points, force)
    np.testing.assert_allclose(found.resultant_n[:3], force.sum(axis=0), atol=1e-10)
    np.testing.assert_allclose(found.resultant_n[3:], moment.sum(axis=0), atol=1e-10)
    assert found.gross_n == pytest.approx(float(bed.areas_mm2 @ pressure))


def test_shear_has_no_part_along_the_normal() -> None:
    bed, start = random_bed(6), random_start(random_bed(6), 106)
    _, shear = fields(bed, start, start.motion + 0.4, 0.35)
    assert np.abs(np.einsum("ij,ij->i", shear, bed.normals)).max() < 1e-12


def test_a_spring_that_was_open_is_sheared_only_from_where_it_touched() -> None:
    # one spring, 1 mm off the wall; going 2 mm in and 4 mm along it touches half way
    up = np.array([[0.0, 0, 1], [0, 0, 1], [0, 0, 1]])
    bed = make_bed(
        np.array([[1.0, 0, 0], [-1, 1, 0], [-1, -1, 0]]),
        up,
        np.ones(3),
        np.full(3, -1.0),
        Stiffness(np.full(3, 0.05), np.full(3, 0.01)),
        10.0,
    )
    start = BedState(np.zeros(6), np.zeros((3, 3)))
    pressure, shear = fields(bed, start, np.array([4.0, 0, 2.0, 0, 0, 0]), 10.0)
    np.testing.assert_allclose(pressure, 0.05 * 1.0)
    np.testing.assert_allclose(shear[:, 0], 0.01 * 2.0)


def test_the_whole_beds_stiffness_is_symmetric_and_positive() -> None:
    stiffness = full_stiffness(random_bed(8))
    np.testing.assert_allclose(stiffness, stiffness.T, atol=1e-9)
    assert np.linalg.eigvalsh(stiffness).min() > 0


def test_work_of_a_wrench_is_the_same_at_the_origin_and_at_the_reference() -> None:
    # virtual work: F . shift + M . turn must not depend on where both are taken
    bed = random_bed(9)
    rng = np.random.default_rng(9)
    force, moment = rng.normal(size=3) * 100, rng.normal(size=3) * 9000
    motion = rng.normal(size=6)
    shift, turn = pose_of(bed, motion)
    at_reference = wrench_about_reference(bed, force, moment) @ motion
    assert force @ shift + moment @ turn == pytest.approx(at_reference, rel=1e-12)
