"""Time sections of a limb beside a general-purpose mesh library, and check that both agree.

Medians over repetitions after one warm-up.

Run: python benchmarks/bench_measure.py
"""

from __future__ import annotations

import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import trimesh
from limb_scans import large_scan, scan_of_demo

from limbwright.capture.intake import take_in
from limbwright.capture.measure import choose_levels, measure
from limbwright.capture.result import RawScan
from limbwright.core.frame import Side
from limbwright.core.mesh import Mesh
from limbwright.core.slicing import slice_moments, volumes_below


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        scan, plan = scan_of_demo(Path(folder))
    skin = take_in(scan, None, None, Side.RIGHT, plan).skin
    print(f"{'what':<58}{'median ms':>10}{'least ms':>10}")
    for mesh in (skin, divided(skin)):
        sections(mesh)


def divided(skin: Mesh) -> Mesh:
    big = large_scan(RawScan(skin.vertices, skin.faces, None))
    return Mesh(big.vertices, big.faces.astype(np.int32))


def sections(skin: Mesh) -> None:
    print(f"{len(skin.faces):,} triangles")
    levels = choose_levels(skin, 20.0)
    many = np.linspace(-float(levels[-1]), -float(levels[0]), 200)
    peer = trimesh.Trimesh(skin.vertices, skin.faces, process=False)
    report(f"  all measures at {len(levels)} levels", lambda: measure(skin, levels), 10)
    report("  girth, area and extent of 200 sections", lambda: slice_moments(skin, many), 10)
    report("  volume below 200 levels", lambda: volumes_below(skin, many), 10)
    report("  one section, peer (trimesh)", lambda: peer_girth(peer, 0.0), 5)
    report("  200 sections, peer (trimesh)", lambda: [peer_girth(peer, u) for u in many], 1)
    own = slice_moments(skin, many[::20]).perimeter_mm
    other = np.array([peer_girth(peer, u) for u in many[::20]])
    print(f"  largest difference of a girth from the peer's {np.abs(own - other).max():.2e} mm")


def peer_girth(peer: trimesh.Trimesh, u_mm: float) -> float:
    lines = trimesh.intersections.mesh_plane(peer, [0.0, 0.0, 1.0], [0.0, 0.0, u_mm])
    return float(np.linalg.norm(lines[:, 0] - lines[:, 1], axis=1).sum())


def report(name: str, work: Callable[[], object], repeats: int) -> None:
    work()
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        times.append(1000.0 * (time.perf_counter() - start))
    print(f"{name:<58}{statistics.median(times):>10.1f}{min(times):>10.1f}")


if __name__ == "__main__":
    main()
