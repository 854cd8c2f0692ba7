from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from core_bodies import cup, sheet, smallest_angle_deg, sphere, torus
from limbwright.core.clipping import clip_by_scalar, interpolate
from limbwright.core.mesh import Mesh, face_areas, face_normals
from limbwright.core.proximity import DistanceTree
from limbwright.core.remeshing import remesh_uniform
from limbwright.core.topology import manifold_errors


def test_a_ball_cut_level_keeps_the_zone_below_with_its_rim_on_the_level() -> None:
    ball = sphere(50.0, 5)
    out = clip_by_scalar(ball, ball.vertices[:, 2], 20.0)
    assert out.mesh.vertices[out.on_cut, 2] == pytest.approx(20.0, abs=1e-12)
    assert out.mesh.vertices[~out.on_cut, 2].max() < 20.0
    # a zone of a ball has the area of its height round a cylinder (Archimedes)
    assert face_areas(out.mesh).sum() == pytest.approx(2 * np.pi * 50 * 70, rel=1e-3)
    assert manifold_errors(out.mesh).is_manifold


def test_the_cut_loop_is_one_ordered_rim_round_the_limb() -> None:
    limb = cup()
    tilted = limb.vertices @ np.array([0.3, -0.2, 1.0])
    out = clip_by_scalar(limb, tilted, -60.0)
    (loop,) = out.cut_loops
    assert out.on_cut[loop].all()
    rim = out.mesh.vertices[loop]
    steps = np.linalg.norm(rim - np.roll(rim, 1, axis=0), axis=1)
    assert 0.0 < steps.max() < 8.0
    turn = np.unwrap(np.arctan2(rim[:, 1], rim[:, 0]))
    assert abs(turn[-1] - turn[0]) == pytest.approx(2 * np.pi, abs=0.2)


def test_a_cut_through_an_even_mesh_leaves_no_slivers() -> None:
    even = remesh_uniform(cup(around=200, rings=150), 3.0)
    before = smallest_angle_deg(even)
    for turn in range(8):
        normal = np.array([np.cos(turn), np.sin(turn), 1.7])
        out = clip_by_scalar(even, even.vertices @ normal, -137.0 - turn)
        assert smallest_angle_deg(out.mesh) > min(12.0, before)
        assert (np.einsum("ij,ij->i", face_normals(out.mesh), outward(out.mesh)) > 0).all()


def outward(mesh: Mesh) -> NDArray[np.float64]:
    middle = mesh.vertices[mesh.faces].mean(axis=1)
    return np.where(middle[:, 2:] < -199.9, [0.0, 0.0, -1.0], middle * [1.0, 1.0, 0.0])


def test_values_carry_over_to_the_cut_surface_exactly_when_linear() -> None:
    limb = cup()
    out = clip_by_scalar(limb, limb.vertices[:, 2] + 0.1 * limb.vertices[:, 0], -90.0)
    linear = limb.vertices @ np.array([1.0, -2.0, 3.0]) + 7.0
    carried = interpolate(out, linear)
    assert carried == pytest.approx(out.mesh.vertices @ np.array([1.0, -2.0, 3.0]) + 7.0, abs=1e-9)
    assert interpolate(out, limb.vertices) == pytest.approx(out.mesh.vertices, abs=1e-12)
    assert ((out.weight >= 0) & (out.weight <= 1)).all()


def test_a_curved_cut_stays_on_the_surface_it_cuts() -> None:
    limb = cup()
    wave = limb.vertices[:, 2] + 20 * np.sin(
        3 * np.arctan2(limb.vertices[:, 1], limb.vertices[:, 0])
    )
    out = clip_by_scalar(limb, wave, -100.0)
    assert DistanceTree(limb).closest(out.mesh.vertices)[0].max() < 1e-9
    assert len(out.cut_loops) == 1


def test_nothing_below_gives_no_face_and_all_below_gives_the_same_surface() -> None:
    limb = cup()
    nothing = clip_by_scalar(limb, limb.vertices[:, 2], -300.0)
    assert (len(nothing.mesh.faces), nothing.cut_loops) == (0, ())
    whole = clip_by_scalar(limb, limb.vertices[:, 2], 300.0)
    assert (whole.mesh.faces == limb.faces).all()
    assert (whole.mesh.vertices == limb.vertices).all()
    assert whole.cut_loops == ()
    assert not whole.on_cut.any()


def test_a_cut_along_existing_vertices_takes_whole_faces() -> None:
    flat = sheet(10)
    out = clip_by_scalar(flat, flat.vertices[:, 0], 4.0)
    assert face_areas(out.mesh).sum() == 40.0
    assert len(out.mesh.faces) == 80
    assert (out.weight == 0).all()


def test_a_cut_that_crosses_itself_leaves_parts_that_do_not_touch() -> None:
    flat = sheet(10)
    saddle = (flat.vertices[:, 0] - 5.0) * (flat.vertices[:, 1] - 5.0)
    out = clip_by_scalar(flat, saddle)
    errors = manifold_errors(out.mesh)
    assert errors.is_manifold
    assert face_areas(out.mesh).sum() == pytest.approx(50.0, rel=0.02)
    assert len(out.cut_loops) == 2
    assert interpolate(out, flat.vertices) == pytest.approx(out.mesh.vertices)


def test_a_cut_through_a_ring_has_two_rims() -> None:
    ring = torus()
    out = clip_by_scalar(ring, ring.vertices[:, 0], 0.3)
    assert len(out.cut_loops) == 2
    assert face_areas(out.mesh).sum() == pytest.approx(
        face_areas(ring).sum() / 2 + 0.3 * 4 * np.pi * 12.0, rel=2e-3
    )


def test_unusable_input_is_refused() -> None:
    limb = cup(rings=4)
    with pytest.raises(ValueError, match="without faces"):
        clip_by_scalar(Mesh(limb.vertices, limb.faces[:0]), limb.vertices[:, 2])
    with pytest.raises(ValueError, match="values for"):
        clip_by_scalar(limb, np.zeros(3))
    with pytest.raises(ValueError, match="finite"):
        clip_by_scalar(limb, np.full(len(limb.vertices), np.nan))
