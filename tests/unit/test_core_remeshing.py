from __future__ import annotations

import numpy as np
import pytest

from core_bodies import box, cup, edge_lengths_mm, moved, sheet, smallest_angle_deg, sphere, torus
from limbwright.core.holes import boundary_loops
from limbwright.core.mesh import (
    Mesh,
    face_areas,
    face_normals,
    merged,
    vertex_normals,
    volume_mm3,
    with_vertices,
)
from limbwright.core.proximity import DistanceTree
from limbwright.core.remeshing import _mended, decimate, remesh_uniform
from limbwright.core.slicing import slice_moments
from limbwright.core.topology import edge_table, is_closed_manifold, manifold_errors


def noisy(mesh: Mesh, size_mm: float) -> Mesh:
    along = np.random.default_rng(2).normal(0.0, size_mm, (len(mesh.vertices), 1))
    return with_vertices(mesh, mesh.vertices + along * vertex_normals(mesh))


@pytest.mark.parametrize("edge_mm", [2.5, 8.0], ids=["finer", "coarser"])
def test_a_limb_gets_even_triangles_of_the_wanted_size(edge_mm: float) -> None:
    limb = cup(around=64, rings=40)
    out = remesh_uniform(limb, edge_mm)
    lengths = edge_lengths_mm(out)
    assert np.median(lengths) == pytest.approx(edge_mm, rel=0.1)
    assert np.percentile(lengths, [1, 99]) == pytest.approx(edge_mm, rel=0.6)
    assert manifold_errors(out).is_manifold
    assert edge_table(out.faces, len(out.vertices)).boundary_count == len(boundary_loops(out)[0])
    assert len(boundary_loops(out)) == 1


def test_a_closed_body_stays_closed_with_its_handle_and_volume() -> None:
    ring = torus()
    out = remesh_uniform(ring, 3.0)
    assert is_closed_manifold(out)
    table = edge_table(out.faces, len(out.vertices))
    assert len(out.vertices) - table.edge_count + len(out.faces) == 0
    assert volume_mm3(out) == pytest.approx(volume_mm3(ring), rel=0.01)
    assert smallest_angle_deg(out) > 20.0


def test_every_vertex_stands_on_the_surface_as_it_was() -> None:
    limb = cup()
    out = remesh_uniform(limb, 4.0)
    assert DistanceTree(limb).closest(out.vertices)[0].max() < 1e-9


def test_girth_and_area_hardly_change() -> None:
    limb = cup(around=200, rings=150)
    out = remesh_uniform(limb, 3.0)
    levels = np.array([-20.0, -100.0, -180.0])
    before, after = slice_moments(limb, levels), slice_moments(out, levels)
    assert after.perimeter_mm == pytest.approx(before.perimeter_mm, rel=1e-3)
    assert after.area_mm2 == pytest.approx(before.area_mm2, rel=2e-3)
    # the sharp edge at the end is rounded, which costs a little area
    assert face_areas(out).sum() == pytest.approx(face_areas(limb).sum(), rel=4e-3)


def test_a_straight_rim_keeps_its_course() -> None:
    out = remesh_uniform(cup(around=200, rings=150), 4.0)
    (rim,) = boundary_loops(out)
    assert out.vertices[rim, 2] == pytest.approx(0.0, abs=1e-9)
    assert np.hypot(*out.vertices[rim, :2].T) == pytest.approx(60.0, abs=0.05)
    steps = np.linalg.norm(out.vertices[rim] - out.vertices[np.roll(rim, 1)], axis=1)
    assert steps.sum() == pytest.approx(2 * np.pi * 60, rel=2e-3)
    assert np.median(steps) == pytest.approx(4.0, rel=0.25)


def test_corners_of_a_flat_patch_stay() -> None:
    flat = sheet(20)
    out = remesh_uniform(flat, 2.5)
    assert face_areas(out).sum() == pytest.approx(400.0, rel=0.01)
    corners = np.array([[0, 0, 0], [20, 0, 0], [0, 20, 0], [20, 20, 0]], dtype=np.float64)
    assert DistanceTree(out).closest(corners)[0].max() < 1.0
    assert (face_normals(out)[:, 2] > 0.999).all()


def test_a_noisy_scan_gives_a_manifold_without_folds() -> None:
    rough = noisy(cup(around=240, rings=140), 0.4)
    out = remesh_uniform(rough, 5.0)
    assert manifold_errors(out).is_manifold
    middle = out.vertices[out.faces].mean(axis=1) * [1.0, 1.0, 0.0]
    wall = out.vertices[out.faces][:, :, 2].min(axis=1) > -190.0
    assert (np.einsum("ij,ij->i", face_normals(out), middle)[wall] > 0).all()


def test_the_same_limb_gives_the_same_triangles() -> None:
    first, second = remesh_uniform(cup(), 6.0), remesh_uniform(cup(), 6.0)
    assert (first.faces == second.faces).all()
    assert (first.vertices == second.vertices).all()


def test_a_surface_that_is_not_manifold_is_refused_with_its_faults() -> None:
    body = box()
    faces = np.concatenate([body.faces, [[0, 1, 7]]]).astype(np.int32)
    with pytest.raises(ValueError, match=r"not manifold .* repair it first"):
        remesh_uniform(Mesh(body.vertices, faces), 1.0)


def test_unusable_lengths_and_counts_are_refused() -> None:
    with pytest.raises(ValueError, match="positive"):
        remesh_uniform(box(), 0.0)
    with pytest.raises(ValueError, match="20 million"):
        remesh_uniform(cup(), 0.01)
    with pytest.raises(ValueError, match="without faces"):
        remesh_uniform(Mesh(box().vertices, box().faces[:0]), 1.0)
    with pytest.raises(ValueError, match="without faces"):
        decimate(Mesh(box().vertices, box().faces[:0]), 10)
    with pytest.raises(ValueError, match="at least one"):
        decimate(box(), 0)


def test_fewer_faces_still_show_the_same_body() -> None:
    ball = sphere(50.0, 5)
    out = decimate(ball, 2000)
    assert 1800 <= len(out.faces) <= 2000
    assert is_closed_manifold(out)
    assert volume_mm3(out) == pytest.approx(volume_mm3(ball), rel=4e-3)
    assert DistanceTree(out).closest(ball.vertices)[0].max() < 0.4


def test_fewer_faces_than_wanted_are_left_alone() -> None:
    assert decimate(box(), 500).faces.tolist() == box().faces.tolist()


def test_a_noisy_scan_thinned_hard_stays_manifold() -> None:
    rough = noisy(cup(around=200, rings=160), 0.6)
    out = decimate(rough, 3000)
    assert manifold_errors(out).is_manifold
    assert len(out.faces) <= 3000


def test_pinched_spots_are_cut_out_and_closed_but_old_rims_stay_open() -> None:
    limb = cup(around=24, rings=12)
    fin = np.array([[100, 101, len(limb.vertices)]], dtype=np.int32)
    pinched = Mesh(
        np.concatenate([limb.vertices, [[200.0, 0.0, 0.0]]]), np.concatenate([limb.faces, fin])
    )
    out = _mended(pinched)
    assert manifold_errors(out).is_manifold
    assert [len(loop) for loop in boundary_loops(out)] == [24]
    assert volume_mm3(out) == pytest.approx(volume_mm3(limb), rel=0.01)


def test_parts_are_remeshed_each_for_itself() -> None:
    pair = merged((sphere(20.0, 3), moved(sphere(20.0, 3), [60.0, 0.0, 0.0])))
    out = remesh_uniform(pair, 4.0)
    assert is_closed_manifold(out)
    assert volume_mm3(out) == pytest.approx(volume_mm3(pair), rel=0.02)
