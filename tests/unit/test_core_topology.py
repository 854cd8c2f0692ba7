from __future__ import annotations

import networkx
import numpy as np
import pytest
import trimesh

from core_bodies import box, cup, moved, sheet, soup, sphere, torus
from limbwright.core.edges import edge_vertices
from limbwright.core.mesh import Mesh, face_areas, flipped, merged, volume_mm3, with_vertices
from limbwright.core.topology import (
    adjacency,
    compact,
    components,
    edge_table,
    is_closed_manifold,
    largest_component,
    manifold_errors,
    oriented,
    split_fans,
    weld,
    without_non_manifold,
)

NOTHING = Mesh(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int32))


def two_tetrahedra_sharing_an_edge() -> Mesh:
    points = np.array(
        [[0, 0, 0], [0, 0, 1], [1, 0, 0], [1, 1, 0], [-1, 0, 0], [-1, -1, 0]], dtype=np.float64
    )
    first = [[0, 2, 1], [0, 3, 2], [0, 1, 3], [1, 2, 3]]
    second = [[0, 4, 1], [0, 5, 4], [0, 1, 5], [1, 4, 5]]
    return Mesh(points, np.array(first + second, dtype=np.int32))


def two_cones_tip_to_tip() -> Mesh:
    tip = box(2.0)
    return weld(merged((tip, moved(tip, [2.0, 2.0, 2.0]))))


def test_a_soup_of_triangles_welds_to_the_closed_body_it_came_from() -> None:
    body = torus()
    welded = weld(soup(body))
    assert len(welded.vertices) == len(body.vertices)
    assert is_closed_manifold(welded)
    assert volume_mm3(welded) == pytest.approx(volume_mm3(body), rel=1e-12)


def test_welding_joins_as_many_points_as_a_general_library_does() -> None:
    body = soup(sphere(fineness=3))
    peer = trimesh.Trimesh(body.vertices, body.faces, process=False)
    peer.merge_vertices()
    assert len(weld(body).vertices) == len(peer.vertices)


def test_points_that_differ_by_less_than_the_tolerance_join_also_across_cells() -> None:
    body = soup(sphere(fineness=3))
    rng = np.random.default_rng(5)
    shaken = with_vertices(body, body.vertices + rng.uniform(-2e-4, 2e-4, body.vertices.shape))
    welded = weld(shaken, tolerance_mm=1e-3)
    assert len(welded.vertices) == len(sphere(fineness=3).vertices)
    assert is_closed_manifold(welded)
    assert not is_closed_manifold(weld(shaken))


def test_points_farther_apart_than_the_tolerance_stay_apart() -> None:
    body = sheet(8, step_mm=1.0)
    assert len(weld(body, tolerance_mm=0.99).vertices) == len(body.vertices)


def test_welding_takes_minus_zero_for_zero_and_drops_what_loses_its_area() -> None:
    points = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [-0.0, 0, 0], [5, 5, 5]], dtype=np.float64)
    faces = np.array([[0, 1, 2], [3, 1, 2], [1, 2, 0], [0, 3, 1]], dtype=np.int32)
    welded = weld(Mesh(points, faces))
    assert welded.faces.tolist() == [[0, 1, 2]]
    assert len(welded.vertices) == 3


@pytest.mark.parametrize("tolerance_mm", [-1.0, float("nan")])
def test_welding_refuses_a_tolerance_that_is_no_length(tolerance_mm: float) -> None:
    with pytest.raises(ValueError, match="tolerance"):
        weld(box(), tolerance_mm)


def test_welding_refuses_a_coordinate_that_is_not_a_number() -> None:
    with pytest.raises(ValueError, match="finite"):
        weld(Mesh(np.full((3, 3), np.nan), np.array([[0, 1, 2]], dtype=np.int32)))


def test_the_edge_table_counts_edges_as_euler_says() -> None:
    for body, holes in ((sphere(fineness=3), 0), (torus(), 1)):
        table = edge_table(body.faces, len(body.vertices))
        euler = len(body.vertices) - table.edge_count + len(body.faces)
        assert euler == 2 - 2 * holes
        assert (table.boundary_count, table.non_manifold_count) == (0, 0)


def test_each_half_edge_and_its_twin_join_the_same_vertices() -> None:
    body = cup()
    table = edge_table(body.faces, len(body.vertices))
    ends = edge_vertices(body.faces)
    paired = np.flatnonzero(table.twin >= 0)
    assert (ends[paired] == ends[table.twin[paired], ::-1]).all()
    assert (table.twin[table.twin[paired]] == paired).all()
    assert table.boundary_count == 96


def test_opposed_windings_and_crowded_edges_are_counted() -> None:
    body = box()
    faces = body.faces.copy()
    faces[0] = faces[0, ::-1]
    assert edge_table(faces, len(body.vertices)).inconsistent_count == 3
    pair = two_tetrahedra_sharing_an_edge()
    table = edge_table(pair.faces, len(pair.vertices))
    assert table.non_manifold_count == 1
    assert (table.twin == -2).sum() == 4


def test_components_are_those_of_the_graph_of_faces() -> None:
    body = merged((sphere(fineness=2), box(), cup(rings=5)))
    labels = components(body.faces, edge_table(body.faces, len(body.vertices)))
    graph = networkx.Graph()
    graph.add_edges_from(edge_vertices(body.faces).tolist())
    parts = list(networkx.connected_components(graph))
    assert labels.max() + 1 == len(parts) == 3
    for part in parts:
        assert len(np.unique(labels[np.isin(body.faces[:, 0], list(part))])) == 1


@pytest.mark.parametrize("inward", [False, True])
def test_random_windings_come_back_outward_on_a_limb_open_at_the_top(inward: bool) -> None:
    limb = cup()
    mixed = limb.faces.copy()
    wrong = np.random.default_rng(1).random(len(mixed)) < (0.9 if inward else 0.3)
    mixed[wrong] = mixed[wrong, ::-1]
    out, count = oriented(Mesh(limb.vertices, mixed))
    assert count == wrong.sum()
    same = np.where(wrong[:, None], mixed[:, ::-1], mixed)
    assert (np.sort(out.faces, axis=1) == np.sort(same, axis=1)).all()
    outward = np.einsum("ij,ij->i", trimesh_normals(out), out.vertices[out.faces].mean(axis=1))
    wall = out.vertices[out.faces][:, :, 2].min(axis=1) > -199.0
    assert (outward[wall] > 0).all()


def trimesh_normals(mesh: Mesh) -> np.ndarray:
    tri = mesh.vertices[mesh.faces]
    return np.cross(tri[:, 1] - tri[:, 0], tri[:, 2] - tri[:, 0])


def test_each_part_is_wound_outward_on_its_own() -> None:
    far = moved(sphere(fineness=2), [500.0, 0.0, 0.0])
    out, count = oriented(merged((flipped(cup()), far)))
    assert count == len(cup().faces)
    assert volume_mm3(Mesh(out.vertices, out.faces[len(cup().faces) :])) > 0


def test_a_limb_with_its_top_far_off_the_origin_and_a_hole_below_is_still_outward() -> None:
    limb = cup()
    keep = np.ones(len(limb.faces), dtype=np.bool_)
    keep[4000:4012] = False
    away = moved(Mesh(limb.vertices, limb.faces[keep]), [3000.0, -2000.0, 900.0])
    assert oriented(away)[1] == 0
    assert oriented(flipped(away))[1] == len(away.faces)


def test_parts_that_touch_in_a_point_are_parted_without_moving() -> None:
    body = two_cones_tip_to_tip()
    assert manifold_errors(body).bow_tie_vertices == 1
    assert not is_closed_manifold(body)
    split, origin = split_fans(body)
    assert is_closed_manifold(split)
    assert (split.vertices == body.vertices[origin]).all()
    assert volume_mm3(split) == pytest.approx(volume_mm3(body))


def test_parts_that_touch_along_an_edge_are_parted_too() -> None:
    split, _ = split_fans(two_tetrahedra_sharing_an_edge())
    assert manifold_errors(split).non_manifold_edges == 0


def test_only_a_surface_without_any_fault_is_a_closed_manifold() -> None:
    assert is_closed_manifold(torus())
    assert is_closed_manifold(merged((box(), moved(box(), [100.0, 0.0, 0.0]))))
    assert not is_closed_manifold(cup())
    assert not is_closed_manifold(two_tetrahedra_sharing_an_edge())
    assert not is_closed_manifold(NOTHING)
    one_turned = box().faces.copy()
    one_turned[3] = one_turned[3, ::-1]
    assert not is_closed_manifold(Mesh(box().vertices, one_turned))


def test_faces_at_crowded_edges_go_and_the_rest_is_manifold() -> None:
    limb = cup(rings=8)
    fin = np.array([[100, 101, len(limb.vertices)]], dtype=np.int32)
    finned = Mesh(
        np.concatenate([limb.vertices, [[200.0, 0.0, 0.0]]]), np.concatenate([limb.faces, fin])
    )
    assert manifold_errors(finned).non_manifold_edges == 1
    cleaned, removed = without_non_manifold(finned)
    assert removed == 3
    assert manifold_errors(cleaned).is_manifold
    assert len(cleaned.faces) == len(limb.faces) - 2


def test_the_largest_part_is_the_one_with_the_greatest_area_not_the_most_faces() -> None:
    speck = sphere(1.0, fineness=4)
    limb = cup(around=12, rings=4)
    kept = largest_component(merged((speck, limb)))
    assert len(kept.faces) == len(limb.faces) < len(speck.faces)
    assert face_areas(kept).sum() == pytest.approx(face_areas(limb).sum())


def test_compacting_drops_only_unused_vertices() -> None:
    body = box()
    loose = Mesh(np.concatenate([body.vertices, [[9.0, 9.0, 9.0]]]), body.faces)
    assert (compact(loose).vertices == body.vertices).all()
    assert compact(body) is body


def test_neighbours_are_those_of_a_general_library() -> None:
    body = cup(around=16, rings=6)
    matrix = adjacency(body.faces, len(body.vertices))
    peer = trimesh.Trimesh(body.vertices, body.faces, process=False).vertex_neighbors
    for vertex, expected in enumerate(peer):
        row = matrix.indices[matrix.indptr[vertex] : matrix.indptr[vertex + 1]]
        assert sorted(row.tolist()) == sorted(expected)
    assert set(matrix.data.tolist()) == {1.0}


@pytest.mark.parametrize("question", [oriented, largest_component])
def test_a_mesh_without_faces_is_refused(question: object) -> None:
    with pytest.raises(ValueError, match="no face"):
        question(NOTHING)  # type: ignore[operator]
