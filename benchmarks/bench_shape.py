"""Time rectification on the invented demo limb, and distance along the skin beside two libraries.

Medians over repetitions after one warm-up. Peers in the same run: potpourri3d's heat method
(factored once, then one solve an area) and libigl's exact polyhedral geodesics, which also says
how wrong the other two are.

Run: python benchmarks/bench_shape.py
"""

from __future__ import annotations

import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import igl
import numpy as np
import potpourri3d

from limbwright.assess.plan import Liner
from limbwright.capture.intake import take_in
from limbwright.capture.plan import ScannedOver
from limbwright.capture.read import read_scan
from limbwright.capture.result import Limb
from limbwright.core.frame import Side
from limbwright.demo.case import demo_plans, write_demo_files
from limbwright.shape.basis import prepare_areas
from limbwright.shape.defaults import ShapeStyle, default_shape_plan
from limbwright.shape.geodesics import SurfaceDistance, surface_distance
from limbwright.shape.preparation import prepare
from limbwright.shape.rectify import apply, displacement, rectify

REPEATS = 15
REACH_MM = 40.0


def main() -> None:
    limb, liner = demo()
    plan = default_shape_plan(liner, ShapeStyle.TENDON_BEARING)
    over = ScannedOver.SKIN
    basis = prepare_areas(limb)
    prepared = prepare(basis, plan, liner, over)
    moved = plan.areas[0].model_copy(update={"move_distal_mm": 3.0})
    other = plan.model_copy(update={"areas": (moved, *plan.areas[1:])})
    print(f"{len(limb.surface.vertices)} vertices, {len(plan.areas)} areas, {REPEATS} repetitions")
    print(f"{'what':<58}{'median ms':>10}{'least ms':>10}")
    report("make a limb ready (once per limb)", lambda: prepare_areas(limb))
    report(
        "prepare a plan: all areas, take-up, liner, trim", lambda: prepare(basis, plan, liner, over)
    )
    report(
        "prepare again after one area moved", lambda: prepare(basis, other, liner, over, prepared)
    )
    report("an edit of a depth: displacement alone", lambda: displacement(prepared, plan))
    report("an edit of a depth: with cut, checks and findings", lambda: apply(prepared, plan))
    report("everything from the limb", lambda: rectify(limb, plan, liner, over))
    distances(basis.distance, limb)


def distances(solver: SurfaceDistance, limb: Limb) -> None:
    """Distance from one vertex by three ways, in time and against the exact one."""
    mesh = limb.surface
    tip = limb.landmarks["fibular_head"].point_mm
    source = int(np.argmin(np.linalg.norm(mesh.vertices - tip, axis=1)))
    spot = mesh.vertices[[source]]
    heat = potpourri3d.MeshHeatMethodDistanceSolver(mesh.vertices, mesh.faces)
    faces, none = mesh.faces.astype(np.int64), np.array([], dtype=np.int64)
    everywhere = np.arange(len(mesh.vertices))

    def exact() -> np.ndarray:
        return igl.exact_geodesic(mesh.vertices, faces, np.array([source]), none, everywhere, none)

    print()
    report("distance solver: make ready", lambda: surface_distance(mesh))
    report(
        f"distance from a spot, up to {REACH_MM:.0f} mm", lambda: solver.from_curve(spot, REACH_MM)
    )
    report(
        "peer: potpourri3d heat method, factor",
        lambda: potpourri3d.MeshHeatMethodDistanceSolver(mesh.vertices, mesh.faces),
    )
    report("peer: potpourri3d heat method, solve", lambda: heat.compute_distance(source))
    report("peer: libigl exact geodesics", exact, repeats=3)
    true = exact()
    near = (true > 0) & (true <= REACH_MM)
    for name, found in (
        ("ours", solver.from_curve(spot)),
        ("heat method", heat.compute_distance(source)),
    ):
        error = (found - true)[near]
        print(
            f"error within {REACH_MM:.0f} mm, {name:<12} mean {error.mean():+.2f} mm,"
            f" spread {error.std():.2f} mm, greatest {np.abs(error).max():.2f} mm"
        )


def demo() -> tuple[Limb, Liner]:
    """The demo's limb as captured from its raw scan, and its liner."""
    with tempfile.TemporaryDirectory() as name:
        capture = write_demo_files(Path(name), Side.RIGHT)
        raw = read_scan(Path(name) / capture.scan)
        limb = take_in(raw, None, None, Side.RIGHT, capture)
    liner = demo_plans()["liner"]
    assert isinstance(liner, Liner)
    return limb, liner


def report(what: str, run: Callable[[], object], repeats: int = REPEATS) -> None:
    """Print the median and the least time of a call."""
    run()
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        run()
        times.append(1000 * (time.perf_counter() - start))
    print(f"{what:<58}{statistics.median(times):>10.1f}{min(times):>10.1f}")


if __name__ == "__main__":
    main()
