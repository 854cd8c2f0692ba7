"""Time distances, sides, rays, crossings and what is built on them: walls and even meshes.

Medians after one warm-up. Peers in the same run are general-purpose libraries; the run stops if
they do not agree. The walls and meshes say how exact they are.

Run: python benchmarks/bench_proximity.py
"""

from __future__ import annotations

import igl
import numpy as np
import trimesh
from numpy.typing import NDArray
from plain_bodies import heading, limb_like, report

from limbwright.core.distance_field import iso_surface, narrow_band
from limbwright.core.intersections import self_intersections
from limbwright.core.mesh import Mesh, vertex_normals
from limbwright.core.proximity import DistanceTree
from limbwright.core.remeshing import decimate, remesh_uniform
from limbwright.core.smoothing import smooth
from limbwright.core.topology import boundary_loops, fill_hole

POINTS = 200_000


def main() -> None:
    for triangles in (25_000, 200_000):
        body = limb_like(triangles)
        heading(f"{len(body.faces):,} triangles, {POINTS:,} points within some mm of them")
        distances(body)
    model = remesh_uniform(limb_like(150_000), 3.0)
    closed = fill_hole(model, boundary_loops(model)[0])
    heading(f"A wall of 4 mm round {len(closed.faces):,} triangles")
    for spacing_mm in (1.0, 0.7):
        wall(closed, spacing_mm)
    heading("Even and fewer triangles")
    meshes()


def near(body: Mesh, spread_mm: float) -> NDArray[np.float64]:
    rng = np.random.default_rng(1)
    vertex = rng.integers(0, len(body.vertices), POINTS)
    away = rng.normal(0.0, spread_mm, (POINTS, 1))
    return body.vertices[vertex] + away * vertex_normals(body)[vertex]


def distances(body: Mesh) -> None:
    points = near(body, 2.0)
    report("build the tree", lambda: DistanceTree(body))
    tree = DistanceTree(body)
    report("closest points", lambda: tree.closest(points))
    report("signed distances", lambda: tree.signed(points))
    report("peer: signed distances by pseudonormals", lambda: signed_by_peer(body, points), 3)
    mine, theirs = tree.signed(points), signed_by_peer(body, points)
    assert np.abs(np.abs(mine) - np.abs(theirs)).max() < 1e-9
    print(f"   largest difference {np.abs(mine - theirs).max():.1e} mm")
    middle = np.array([0.0, 0.0, -100.0])
    start, ray = np.tile(middle, (20_000, 1)), points[:20_000] - middle
    report("20,000 rays from inside", lambda: tree.ray_hits(start, ray))
    peer = trimesh.ray.ray_triangle.RayMeshIntersector(
        trimesh.Trimesh(body.vertices, body.faces, process=False)
    )
    report("peer: 200 rays", lambda: peer.intersects_first(start[:200], ray[:200]), 1)
    report("self-crossings", lambda: self_intersections(body))


def signed_by_peer(body: Mesh, points: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(
        igl.signed_distance(
            points, body.vertices, body.faces, sign_type=igl.SIGNED_DISTANCE_TYPE_PSEUDONORMAL
        )[0]
    )


def wall(closed: Mesh, spacing_mm: float) -> None:
    band_mm = 2.5 * spacing_mm
    report(
        f"distance field every {spacing_mm} mm",
        lambda: narrow_band(closed, spacing_mm, band_mm, level_mm=4.0),
        3,
    )
    grid = narrow_band(closed, spacing_mm, band_mm, level_mm=4.0)
    report(f"surface from its {grid.values.size:,} points", lambda: iso_surface(grid, 4.0), 3)
    away = np.abs(DistanceTree(closed).signed(iso_surface(grid, 4.0).vertices) - 4.0)
    shares = ", ".join(f"{p} % {np.percentile(away, p):.4f}" for p in (50, 95, 99))
    print(f"   wall off by: {shares}, at most {away.max():.4f} mm (beside sharp edges)")


def meshes() -> None:
    for noise_mm in (0.0, 0.3):
        scan = limb_like(150_000, noise_mm)
        name = f"{len(scan.faces):,} triangles, noise {noise_mm} mm"
        report(f"{name}: even, 3 mm", lambda scan=scan: remesh_uniform(scan, 3.0), 3)
        report(f"{name}: down to 25,000", lambda scan=scan: decimate(scan, 25_000), 3)
        report(f"{name}: smoothed, 60 averagings", lambda scan=scan: smooth(scan, 60), 3)


if __name__ == "__main__":
    main()
