"""Time the live model of interface pressure beside SciPy on the same equations.

The invented demo limb with its own socket plan; medians over repetitions, after one warm-up. The
peer solves the same linearised problem with a dense matrix and scipy.linalg.solve at each Newton
step, as one would write it without a solver of one's own.

Run: python benchmarks/bench_live.py
"""

from __future__ import annotations

import statistics
import tempfile
import time
from collections.abc import Callable
from itertools import cycle
from pathlib import Path
from typing import Any

import numpy as np
from bench_interface import load_cases
from numpy.typing import NDArray
from scipy.linalg import solve

from limbwright.align.result import LoadCase
from limbwright.assess.plan import Liner
from limbwright.capture.plan import ScannedOver
from limbwright.capture.result import Limb
from limbwright.case.create import demo_case
from limbwright.case.evaluate import evaluate
from limbwright.case.memo import Memo
from limbwright.demo.case import demo_shape
from limbwright.prove.interface.condensed.compressed import multiply
from limbwright.prove.interface.condensed.equilibrium import (
    TARGET,
    Found,
    Stand,
    linearised,
    look,
    shares,
)
from limbwright.prove.interface.condensed.live import LIVE, LiveFitted, LiveState, demand_of
from limbwright.prove.interface.condensed.motion import rotation_of
from limbwright.prove.interface.condensed.step import Linear
from limbwright.prove.interface.engine import run_all, unloaded
from limbwright.prove.plan import ProvePlan
from limbwright.shape.plan import ShapePlan
from limbwright.shape.rectify import rectify
from limbwright.shape.result import SocketShape

REPEATS = 7


def main() -> None:
    limb = demo_limb()
    prepared = LIVE.prepare(limb, Liner(), ScannedOver.SKIN, ProvePlan())
    shapes = [shape_of(limb, deeper) for deeper in np.linspace(0.0, 1.0, REPEATS + 1)]
    fitted = LIVE.with_socket(prepared, shapes[0])
    cases = load_cases()
    contact = fitted.contact
    print(
        f"{len(prepared.body.points_mm)} skin nodes, {len(contact.points_mm)} under the socket, "
        f"{len(cases)} load cases, {REPEATS} repetitions; one core or two makes a difference"
    )
    print(f"{'what':<52}{'median ms':>10}{'least ms':>10}")
    report(
        "prepare a limb (once per limb)",
        lambda: LIVE.prepare(limb, Liner(), ScannedOver.SKIN, ProvePlan()),
        repeats=3,
    )
    edits = cycle(shapes)
    report("an edit: the wall", lambda: LIVE.with_socket(prepared, next(edits)))
    report(
        "an edit: the wall, donned",
        lambda: LIVE.solve(LIVE.with_socket(prepared, next(edits)), unloaded()),
    )
    state = LIVE.solve(fitted, unloaded())[1]
    for case in cases[1:]:
        report(f"{case.name} from donned", lambda case=case: LIVE.solve(fitted, case, state))
    report(
        "an edit: the wall, all six cases",
        lambda: run_all(LIVE, LIVE.with_socket(prepared, next(edits)), cases),
    )
    own = LIVE.solve(fitted, cases[3], state)[0]
    started = time.perf_counter()
    found = peer(fitted, cases[3], state)
    print(
        f"{'peer: dense SciPy, ' + cases[3].name + ' from donned':<52}"
        f"{1e3 * (time.perf_counter() - started):>10.1f}"
    )
    pressure = -np.einsum("ni,ni->n", found.look.traction, found.look.normal)
    force = float(contact.weights_mm2 @ np.maximum(pressure, 0.0))
    print(f"{found.iterations} steps, {own.iterations} of ours; normal force {force:.1f} N")


def report(what: str, run: Callable[[], Any], repeats: int = REPEATS) -> None:
    run()
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        run()
        times.append(1e3 * (time.perf_counter() - start))
    print(f"{what:<52}{statistics.median(times):>10.1f}{min(times):>10.1f}", flush=True)


def peer(fitted: LiveFitted, case: LoadCase, start: LiveState) -> Found:
    """The same Newton steps with the whole matrix written out and solved."""
    contact, demand = fitted.contact, demand_of(fitted, case)
    stand, memory = start.stand, start.memory
    for number in range(30):
        seen = look(contact, stand, memory, demand)
        share, local = shares(seen, demand)
        if max(share, local) < TARGET:
            return Found(stand, seen, share, local, number, 0)
        linear = linearised(contact, stand, seen, demand)
        whole, yields = dense(linear)
        right = np.concatenate([seen.left.ravel(), seen.wrench_left])
        step = solve(whole, right)
        traction = step[:-6].reshape(-1, 3)
        moved = (yields @ step[:-6]).reshape(-1, 3)
        stand = Stand(
            stand.shift_mm + step[-6:-3],
            rotation_of(step[-3:] / contact.length_mm) @ stand.rotation,
            stand.traction_mpa + traction @ stand.rotation,
            stand.displaced_mm + moved @ stand.rotation,
        )
    raise SystemExit("the peer did not converge")


def dense(linear: Linear) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The matrix of the linearised problem, and the compliance per traction in socket axes."""
    count = len(linear.own)
    each = np.eye(3 * count).reshape(3 * count, count, 3)
    blocks = np.array([multiply(linear.compliance, unit) for unit in each])
    blocks = blocks.reshape(count, 3, count, 3)
    turned = np.einsum("ab,ibjc,dc->iajd", linear.rotation, blocks, linear.rotation, optimize=True)
    turned *= linear.weights[None, None, :, None]
    whole = np.zeros((3 * count + 6, 3 * count + 6))
    body = -np.einsum("iab,ibjd->iajd", linear.place, turned, optimize=True)
    diagonal = np.arange(count)
    body[diagonal, :, diagonal] += linear.own
    whole[:-6, :-6] = body.reshape(3 * count, 3 * count)
    whole[:-6, -6:] = linear.motion.reshape(3 * count, 6)
    yields = turned.reshape(3 * count, 3 * count)
    whole[-6:, :-6] = linear.arm.transpose(1, 0, 2).reshape(6, -1)
    whole[-3:, :-6] += linear.turn.transpose(1, 0, 2).reshape(3, -1) @ yields
    whole[-6:, -6:] = linear.whole
    return whole, yields


def demo_limb() -> Limb:
    with tempfile.TemporaryDirectory() as folder:
        here = Path(folder) / "demo"
        done = evaluate(here, demo_case(here), Memo(), upto="capture")
        limb: Limb = done.outcomes["capture"].result
        return limb


def shape_of(limb: Limb, deeper_mm: float) -> SocketShape:
    plan: ShapePlan = demo_shape()
    areas = tuple(
        area.model_copy(update={"depth_mm": area.depth_mm - deeper_mm * (area.depth_mm < 0)})
        for area in plan.areas
    )
    return rectify(limb, plan.model_copy(update={"areas": areas}), Liner(), ScannedOver.SKIN)


if __name__ == "__main__":
    main()
