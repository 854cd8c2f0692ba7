"""Finite elements of the interface: what donning and a load cost, and CalculiX on the same mesh.

The demo's limb with its own bones, without a liner, in a socket that is its skin tighter by
1.5 mm. First ours alone at each level: donned without friction, then let go, then 400 N with
friction, everything free. Then donning alone beside CalculiX (C3D8, its cheapest brick; same
bricks, contact law and wall), mean pressure of both printed.

Wall and processor seconds: on a busy machine only the latter compare. CalculiX runs with as many
threads as ours. Peak memory is that of the whole process; each run is one of its own.

Run: python benchmarks/bench_finite_elements.py [LEVEL ...]     (coarse medium fine)
"""

from __future__ import annotations

import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests"))

import calculix
from compared_bodies import Fit, compared, deck_to_press, model_to_press, pressed_by_us, true_limb
from limbwright.prove.interface.finite_elements.assembly import assemble
from limbwright.prove.interface.finite_elements.hexahedra import respond
from limbwright.prove.interface.finite_elements.linear_solver import analyse
from limbwright.prove.interface.finite_elements.sequence import (
    ContactSettings,
    Load,
    solve_equilibrium,
)
from limbwright.prove.plan import MeshLevel
from mesh_limbs import demo_with

TAKEUP_MM, LOAD_N, REPEATS = 1.5, 400.0, 3
TOLERANCE = 2e-4
"""The engine's own; CalculiX's default is 5e-3 of the average force."""


def fit_at(level: str) -> Fit:
    return true_limb(demo_with(True), MeshLevel(level), TAKEUP_MM)


def ours_alone(level: str) -> None:
    """One row: size, donning and load, one factorisation, one round of elements."""
    fit = fit_at(level)
    model = model_to_press(fit)
    load = Load(np.array([0.0, 0, LOAD_N, 0, 0, 0]), np.zeros(model.pattern.unknowns), LOAD_N)
    start, used = time.perf_counter(), time.process_time()
    reached = solve_equilibrium(model, fit.field, load, None, ContactSettings(0.5))
    wall, cpu = time.perf_counter() - start, time.process_time() - used
    megabytes = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    entries = assemble(model.pattern, respond(model.bricks, np.zeros_like(model.nodes_mm)).tangent)
    factors = analyse(model.pattern.starts, model.pattern.columns)
    factors.factor(entries)
    factoring = _median(lambda: factors.factor(entries))
    elements = _median(
        lambda: assemble(
            model.pattern, respond(model.bricks, reached.found.standing.displacement_mm).tangent
        )
    )
    factors.close()
    print(
        f"| {level} | {model.pattern.unknowns} | {wall:.1f} | {cpu:.1f} | {megabytes:.0f} |"
        f" {reached.steps} | {reached.factorings} | {factoring:.2f} | {elements:.2f} |",
        flush=True,
    )


def beside_calculix(level: str) -> None:
    """One row: donning by both on the same mesh."""
    fit = fit_at(level)
    pressed_by_us(fit, [], TOLERANCE)
    start, used = time.perf_counter(), time.process_time()
    found = pressed_by_us(fit, [], TOLERANCE)
    wall, cpu = time.perf_counter() - start, time.process_time() - used
    with tempfile.TemporaryDirectory() as folder:
        answer = calculix.run(deck_to_press(fit, [], "C3D8"), Path(folder), threads=2)
    (donned,) = compared(fit, [], found, answer, [lambda p: np.ones(len(p))])
    ours, theirs = donned.pressure_kpa[0]
    print(
        f"| {level} | {wall:.1f} | {cpu:.1f} | {answer.seconds:.1f} |"
        f" {answer.cpu_seconds:.1f} | {answer.iterations} | {answer.megabytes:.0f} |"
        f" {answer.seconds / wall:.0f} | {answer.cpu_seconds / cpu:.0f} |"
        f" {ours:.1f} / {theirs:.1f} |",
        flush=True,
    )


def _median(run) -> float:  # type: ignore[no-untyped-def]
    times = []
    for _ in range(REPEATS):
        start = time.perf_counter()
        run()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def main(levels: list[str]) -> None:
    print(f"{os.cpu_count()} cores, load average {os.getloadavg()[0]:.1f}\n", flush=True)
    print(
        "| level | unknowns | donned, let go, loaded: wall s | processor s | peak MB | steps"
        " | factorisations | one factorisation s | elements and assembly s |"
    )
    print("|---|---|---|---|---|---|---|---|---|", flush=True)
    for level in levels:
        _in_a_process_of_its_own("ours", level)
    if calculix.calculix_path() is None:
        print("\nCalculiX is not installed (scripts/calculix.sh): no comparison")
        return
    print(
        "\n| level | ours, donning: wall s | processor s | CalculiX: wall s"
        " | processor s | factorisations | MB | ratio of wall | of processor | mean kPa, both |"
    )
    print("|---|---|---|---|---|---|---|---|---|---|", flush=True)
    for level in levels:
        _in_a_process_of_its_own("beside", level)


def _in_a_process_of_its_own(what: str, level: str) -> None:
    subprocess.run([sys.executable, __file__, what, level], check=True)


if __name__ == "__main__":
    if sys.argv[1:2] == ["ours"]:
        ours_alone(sys.argv[2])
    elif sys.argv[1:2] == ["beside"]:
        beside_calculix(sys.argv[2])
    else:
        main(sys.argv[1:] or ["coarse", "medium"])
