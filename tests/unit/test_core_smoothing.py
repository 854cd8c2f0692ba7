from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from core_bodies import cup, sheet, sphere
from limbwright.core.mesh import Mesh, vertex_normals, volume_mm3, with_vertices
from limbwright.core.smoothing import rim_vertices, smooth, smooth_field
from limbwright.core.topology import adjacency


def noisy(mesh: Mesh, size_mm: float) -> Mesh:
    along = np.random.default_rng(2).normal(0.0, size_mm, (len(mesh.vertices), 1))
    return with_vertices(mesh, mesh.vertices + along * vertex_normals(mesh))


def test_noise_on_a_ball_falls_to_a_third_while_its_volume_stays() -> None:
    ball = sphere(50.0, 5)
    rough = noisy(ball, 0.3)
    calm = smooth(rough, 40, pass_band=0.05)
    left = np.linalg.norm(calm.vertices, axis=1) - 50.0
    assert left.std() < 0.1
    assert volume_mm3(calm) == pytest.approx(volume_mm3(ball), rel=1e-3)


def test_plain_averaging_as_strong_would_shrink_the_ball_far_more() -> None:
    ball = sphere(50.0, 4)
    averaged = smooth_field(ball, ball.vertices, 160)
    shrunk = 1.0 - volume_mm3(with_vertices(ball, averaged)) / volume_mm3(ball)
    kept = abs(1.0 - volume_mm3(smooth(ball, 40)) / volume_mm3(ball))
    assert kept < 0.05 * shrunk


@pytest.mark.parametrize("iterations", [0, 1, 2, 25])
def test_the_rim_of_a_limb_does_not_move(iterations: int) -> None:
    limb = noisy(cup(), 0.3)
    calm = smooth(limb, iterations)
    rim = rim_vertices(limb)
    assert rim.sum() == 96
    assert calm.vertices[rim] == pytest.approx(limb.vertices[rim], abs=1e-11)
    moved = np.linalg.norm(calm.vertices - limb.vertices, axis=1)[~rim].max()
    assert (moved > 0.05) == (iterations > 0)


def test_vertices_named_as_fixed_do_not_move_and_the_rim_then_may() -> None:
    limb = noisy(cup(), 0.3)
    fixed = limb.vertices[:, 2] < -100.0
    calm = smooth(limb, 20, fixed)
    assert calm.vertices[fixed] == pytest.approx(limb.vertices[fixed], abs=1e-11)
    assert np.abs(calm.vertices - limb.vertices)[rim_vertices(limb)].max() > 0.01


def ring_wave(count: int, waves: int) -> tuple[Mesh, NDArray[np.float64]]:
    """A closed band of two rows of vertices with a wave that runs round it as its u."""
    turn = 2 * np.pi * np.arange(count) / count
    wave = np.cos(waves * turn)
    row = np.column_stack([100 * np.cos(turn), 100 * np.sin(turn), wave])
    i, j = np.arange(count), np.roll(np.arange(count), -1)
    faces = np.concatenate([np.stack([i, count + i, j], 1), np.stack([j, count + i, count + j], 1)])
    return Mesh(np.concatenate([row, row]), faces.astype(np.int32)), wave


def test_waves_longer_than_the_cut_off_pass_and_shorter_ones_do_not() -> None:
    free = np.zeros(400, dtype=np.bool_)
    kept = {}
    for waves in (2, 80):
        band, wave = ring_wave(200, waves)
        out = smooth(band, 60, free, pass_band=0.05).vertices[:200, 2]
        kept[waves] = float(out @ wave / (wave @ wave))
    assert kept[2] == pytest.approx(1.0, abs=0.01)
    assert abs(kept[80]) < 0.01


def test_a_field_is_averaged_with_its_neighbours_as_the_matrix_says() -> None:
    flat = sheet(5)
    values = np.random.default_rng(4).normal(size=len(flat.vertices))
    near = adjacency(flat.faces, len(values)).toarray()
    step = 0.5 * (np.eye(len(values)) + near / near.sum(axis=1, keepdims=True))
    expected = np.linalg.matrix_power(step, 7) @ values
    assert smooth_field(flat, values, 7) == pytest.approx(expected)


def test_a_smoothed_field_keeps_fixed_values_and_stays_within_its_range() -> None:
    limb = cup()
    values = (limb.vertices[:, 0] > 0).astype(np.float64)
    fixed = limb.vertices[:, 2] > -20.0
    out = smooth_field(limb, values, 30, fixed)
    assert (out[fixed] == values[fixed]).all()
    assert out.min() >= 0.0
    assert out.max() <= 1.0
    assert ((out > 0.05) & (out < 0.95)).sum() > 100
    pair = smooth_field(limb, np.stack([values, 1 - values], axis=1), 30, fixed)
    assert pair[:, 0] == pytest.approx(out)
    assert pair.sum(axis=1) == pytest.approx(np.ones(len(out)))


def test_a_vertex_without_faces_stays() -> None:
    ball = sphere(fineness=2)
    loose = Mesh(np.concatenate([ball.vertices, [[1.0, 2.0, 3.0]]]), ball.faces)
    assert smooth(loose).vertices[-1].tolist() == pytest.approx([1.0, 2.0, 3.0])


def test_unusable_input_is_refused() -> None:
    ball = sphere(fineness=1)
    with pytest.raises(ValueError, match="without faces"):
        smooth(Mesh(ball.vertices, ball.faces[:0]))
    with pytest.raises(ValueError, match="negative"):
        smooth(ball, -1)
    with pytest.raises(ValueError, match="pass band"):
        smooth(ball, 5, pass_band=2.5)
    with pytest.raises(ValueError, match="fixed"):
        smooth(ball, 5, np.zeros(3, dtype=np.bool_))
    with pytest.raises(ValueError, match="values for"):
        smooth_field(ball, np.zeros(3))
    with pytest.raises(ValueError, match="negative"):
        smooth_field(ball, np.zeros(len(ball.vertices)), -1)
