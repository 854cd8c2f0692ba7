"""Time girths, areas, outlines and volumes of sections, and what makes a scan ready for them.

Medians after one warm-up. The peer in the same run is a general-purpose mesh library; the run
stops if both do not agree.

Run: python benchmarks/bench_slicing.py
"""

from __future__ import annotations

import numpy as np
import trimesh
from plain_bodies import heading, limb_like, report

from limbwright.core.mesh import Mesh
from limbwright.core.slicing import (
    convex_perimeter,
    slice_loops,
    slice_moments,
    volumes_below,
)
from limbwright.core.topology import edge_table, oriented, weld


def main() -> None:
    for triangles in (200_000, 2_000_000):
        body = limb_like(triangles)
        heading(f"{len(body.faces):,} triangles")
        sections(body)
        clean_up(body)


def sections(body: Mesh) -> None:
    few, many = np.linspace(-230.0, -10.0, 20), np.linspace(-230.0, -10.0, 200)
    peer = trimesh.Trimesh(body.vertices, body.faces, process=False)
    report("20 levels: girth, area, centroid, extent", lambda: slice_moments(body, few))
    report("200 levels: girth, area, centroid, extent", lambda: slice_moments(body, many))
    report("200 volumes below a level", lambda: volumes_below(body, many))
    report(
        "20 outlines in order and their taut tape",
        lambda: [convex_perimeter(slice_loops(body, u)[0]) for u in few],
    )
    report(
        "peer: 20 outlines with girth",
        lambda: [girth_of_peer(peer, float(u)) for u in few],
        repeats=1 if len(body.faces) > 1_000_000 else 3,
    )
    theirs = np.array([girth_of_peer(peer, float(u)) for u in few[::5]])
    assert np.allclose(slice_moments(body, few[::5]).perimeter_mm, theirs, rtol=1e-9)


def girth_of_peer(peer: trimesh.Trimesh, u_mm: float) -> float:
    section = peer.section(plane_origin=[0.0, 0.0, u_mm], plane_normal=[0.0, 0.0, 1.0])
    return float(section.length)


def clean_up(body: Mesh) -> None:
    loose = Mesh(
        body.vertices[body.faces].reshape(-1, 3), np.arange(body.faces.size).reshape(-1, 3)
    )
    report("weld a soup of triangles", lambda: weld(loose), repeats=3)
    report("weld it with 0.001 mm tolerance", lambda: weld(loose, 1e-3), repeats=3)
    report("peer: merge vertices", lambda: merged_by_peer(loose), repeats=3)
    report("edge table", lambda: edge_table(body.faces, len(body.vertices)), repeats=3)
    report("wind outward", lambda: oriented(body), repeats=3)
    assert len(weld(loose).vertices) == len(merged_by_peer(loose).vertices)


def merged_by_peer(loose: Mesh) -> trimesh.Trimesh:
    peer = trimesh.Trimesh(loose.vertices, loose.faces, process=False)
    peer.merge_vertices()
    return peer


if __name__ == "__main__":
    main()
