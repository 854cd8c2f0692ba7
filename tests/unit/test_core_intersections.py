from __future__ import annotations

import igl
import numpy as np
import pytest
from scipy.optimize import linprog

from core_bodies import box, cup, moved, sheet, soup, sphere, torus
from limbwright.core.intersections import self_intersections
from limbwright.core.mesh import Mesh, merged


def two(first: np.ndarray, second: np.ndarray) -> Mesh:
    return soup(Mesh(np.concatenate([first, second]), np.array([[0, 1, 2], [3, 4, 5]], np.int32)))


@pytest.mark.parametrize("body", [torus(), cup(), sphere(), box(), sheet()])
def test_a_sound_surface_crosses_itself_nowhere(body: Mesh) -> None:
    assert len(self_intersections(body)) == 0


def test_two_balls_cross_along_their_common_circle() -> None:
    pair = merged((sphere(20.0), moved(sphere(20.0), [24.0, 0.3, 0.1])))
    found = self_intersections(pair, limit=100_000)
    assert len(found) > 100
    assert np.hypot(*found.points_mm[:, 1:].T).max() == pytest.approx(16.0, abs=0.4)
    assert found.points_mm[:, 0] == pytest.approx(12.0, abs=0.5)
    half = len(sphere(20.0).faces)
    assert (found.faces[:, 0] < half).all()
    assert (found.faces[:, 1] >= half).all()


def test_every_pair_of_faces_is_found_that_brute_force_finds() -> None:
    pair = merged((sphere(10.0, 2), moved(torus(12.0, 3.0), [1.0, 2.0, 3.0])))
    found = self_intersections(pair, limit=100_000)
    assert len(found) < 100_000
    tri = pair.vertices[pair.faces]
    low, high = tri.min(axis=1), tri.max(axis=1)
    half = len(sphere(10.0, 2).faces)
    expected = set()
    for i in range(half):
        close = half + np.flatnonzero(
            ((low[half:] <= high[i]) & (high[half:] >= low[i])).all(axis=1)
        )
        for j in close:
            corners = [corner[None] for corner in (*tri[i], *tri[j])]
            if igl.tri_tri_intersection_test_3d(*corners)[0]:
                expected.add((i, int(j)))
    assert expected
    assert set(map(tuple, found.faces.tolist())) == expected


def meets(first: np.ndarray, second: np.ndarray) -> bool:
    """True when some weights give one point of both triangles (a linear programme)."""
    equal = np.concatenate([np.concatenate([first, -second]).T, np.zeros((2, 6))])
    equal[3, :3] = 1.0
    equal[4, 3:] = 1.0
    return bool(linprog(np.zeros(6), A_eq=equal, b_eq=[0, 0, 0, 1, 1]).status == 0)


def test_random_pairs_cross_exactly_when_they_have_a_common_point() -> None:
    rng = np.random.default_rng(11)
    answers = []
    for _ in range(120):
        first, second = rng.normal(size=(2, 3, 3))
        mine = len(self_intersections(two(first, second))) == 1
        answers.append(mine)
        assert mine == meets(first, second)
    assert 20 < sum(answers) < 100


def test_the_point_named_lies_on_both_faces() -> None:
    first = np.array([[0, 0, 0], [4, 0, 0], [0, 4, 0]], dtype=np.float64)
    second = np.array([[1, 1, -1], [1, 1, 1], [1, 9, 0]], dtype=np.float64)
    (point,) = self_intersections(two(first, second)).points_mm
    assert point[2] == pytest.approx(0.0)
    assert point[0] == pytest.approx(1.0)
    assert 1.0 <= point[1] <= 3.0


def test_faces_that_overlap_in_one_plane_count() -> None:
    first = np.array([[0, 0, 1], [4, 0, 1], [0, 4, 1]], dtype=np.float64)
    small = 0.1 * first + np.array([1.0, 1.0, 0.9])
    assert len(self_intersections(two(first, first + np.array([1.0, 0.5, 0.0])))) == 1
    assert len(self_intersections(two(first, small))) == 1
    assert len(self_intersections(two(first, first + np.array([5.0, 0.0, 0.0])))) == 0
    assert len(self_intersections(two(first, first + np.array([3.0, 3.0, 0.0])))) == 0


def test_neighbours_that_share_a_vertex_do_not_count() -> None:
    points = np.array([[0, 0, 0], [2, 0, 0], [0, 2, 0], [1, 1, -1], [1, 1, 1]], dtype=np.float64)
    fan = Mesh(points, np.array([[0, 1, 2], [0, 3, 4]], dtype=np.int32))
    assert len(self_intersections(fan)) == 0
    assert len(self_intersections(soup(fan))) == 1


def test_no_more_pairs_than_the_limit_are_named() -> None:
    pair = merged((sphere(20.0), moved(sphere(20.0), [24.0, 0.3, 0.1])))
    assert len(self_intersections(pair, limit=7)) == 7


def test_unusable_input_is_refused() -> None:
    with pytest.raises(ValueError, match="limit"):
        self_intersections(box(), limit=0)
    with pytest.raises(ValueError, match="without faces"):
        self_intersections(Mesh(box().vertices, box().faces[:0]))
