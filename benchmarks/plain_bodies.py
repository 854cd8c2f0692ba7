"""Bodies of any number of triangles for the geometry benchmarks, and how their times are taken."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable

import numpy as np

from limbwright.core.mesh import Mesh, vertex_normals, with_vertices


def limb_like(triangles: int, noise_mm: float = 0.0) -> Mesh:
    """A lumpy tapered body, open at the top and round at its end, 250 mm long, even triangles."""
    rings = round((triangles * 250.0 / (4 * np.pi * 55.0)) ** 0.5)
    around = round(triangles / (2 * rings))
    down = np.linspace(0.0, 1.0, rings)[:, None]
    turn = 2 * np.pi * np.arange(around) / around
    radius = (60.0 - 18.0 * down) * np.sqrt(np.maximum(1.0 - down**6, 0.0))
    radius = radius * (1 + 0.05 * np.cos(3 * turn + 4 * down) + 0.03 * np.cos(2 * turn))
    wall = np.stack(
        [radius * np.cos(turn), radius * np.sin(turn), -250.0 * down + 0 * turn], axis=-1
    )[:-1].reshape(-1, 3)
    here, there = np.arange(around), np.roll(np.arange(around), -1)
    rows = around * np.arange(rings - 2)[:, None]
    i, j, last = (rows + here).ravel(), (rows + there).ravel(), around * (rings - 2)
    faces = [
        np.stack([i, i + around, j + around], axis=1),
        np.stack([i, j + around, j], axis=1),
        np.stack([last + here, np.full(around, len(wall)), last + there], axis=1),
    ]
    mesh = Mesh(
        np.concatenate([wall, [[0.0, 0.0, -250.0]]]), np.concatenate(faces).astype(np.int32)
    )
    along = np.random.default_rng(0).normal(0.0, 1.0, (len(mesh.vertices), 1))
    return with_vertices(mesh, mesh.vertices + noise_mm * along * vertex_normals(mesh))


def report(name: str, work: Callable[[], object], repeats: int = 5) -> float:
    """Median time of some work after one warm-up, printed with the least, in seconds."""
    work()
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    median = statistics.median(times)
    print(f"{name:<62}{1e3 * median:>11.1f}{1e3 * min(times):>11.1f}")
    return median


def heading(text: str) -> None:
    print(f"\n{text:<62}{'median ms':>11}{'least ms':>11}")
