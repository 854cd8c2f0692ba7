"""Time the first estimate of interface pressure beside SciPy on the same equations.

An invented limb of 8 000 contact points and six load cases; medians over repetitions, after one
warm-up. The peer is scipy.optimize.root (Powell's hybrid method, numerical derivatives) on the
same springs with vectorised NumPy, as one would write it without a solver of one's own.

Run: python benchmarks/bench_interface.py
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from itertools import cycle
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import root

from limbwright.align.result import LoadCase, Wrench
from limbwright.assess.plan import Liner
from limbwright.capture.plan import ScannedOver
from limbwright.capture.result import Bones, Limb, Measures, UnitFound
from limbwright.core.frame import LimbFrame, Side
from limbwright.core.mesh import Mesh, vertex_areas
from limbwright.core.sources import Basis
from limbwright.core.units import LengthUnit
from limbwright.prove.interface.engine import run_all, unloaded
from limbwright.prove.interface.spring_bed import SPRING_BED, Fitted, contact_load_n, seat_limb
from limbwright.prove.plan import ProvePlan
from limbwright.shape.plan import AreaName
from limbwright.shape.result import PlacedArea, SocketShape, TrimLine

REPEATS = 15
AROUND, RINGS = 100, 80


def main() -> None:
    limb = invented_limb()
    shape = invented_socket(limb, 0.0)
    prepared = SPRING_BED.prepare(limb, Liner(), ScannedOver.SKIN, ProvePlan())
    fitted = SPRING_BED.with_socket(prepared, shape)
    cases = load_cases()
    print(f"{len(fitted.covered)} contact points, {len(cases)} load cases, {REPEATS} repetitions")
    print(f"{'what':<52}{'median ms':>10}{'least ms':>10}")
    report(
        "prepare a limb (once per limb)",
        lambda: SPRING_BED.prepare(limb, Liner(), ScannedOver.SKIN, ProvePlan()),
    )
    edits = cycle([invented_socket(limb, deeper) for deeper in np.linspace(0, 1, REPEATS)])
    report(
        "an edit: new depths, all six cases, areas",
        lambda: run_all(SPRING_BED, SPRING_BED.with_socket(prepared, next(edits)), cases),
    )
    report("all six cases, areas", lambda: run_all(SPRING_BED, fitted, cases))
    state = SPRING_BED.solve(fitted, unloaded())[1]
    report("one case from donned, areas", lambda: SPRING_BED.solve(fitted, cases[2], state))
    report("peer: SciPy root, one case from donned", lambda: peer(fitted, cases[2]))
    difference = np.abs(
        SPRING_BED.solve(fitted, cases[2], state)[0].pose.shift_mm - peer(fitted, cases[2])
    )
    print(f"poses of the two differ by {difference.max():.1e} mm")


def report(what: str, run: Callable[[], Any]) -> None:
    run()
    times = []
    for _ in range(REPEATS):
        start = time.perf_counter()
        run()
        times.append(1e3 * (time.perf_counter() - start))
    print(f"{what:<52}{statistics.median(times):>10.1f}{min(times):>10.1f}")


def peer(fitted: Fitted, case: LoadCase) -> NDArray[np.float64]:
    """Shift of the limb frame's origin, from donned, by a general-purpose root finder."""
    bed = fitted.bed
    moved = np.cross(np.eye(3)[None], bed.points[:, None, :])
    start = seat_limb(fitted)
    state = (start.motion, start.shear_mpa)
    for load in (np.zeros(6), contact_load_n(fitted, case)):
        found = root(
            lambda motion, load=load, state=state: _left(bed, moved, state, motion, load)[0],
            state[0],
            method="hybr",
            tol=1e-9,
        )
        if not found.success:
            raise SystemExit(f"the peer did not converge: {found.message}")
        state = (found.x, _left(bed, moved, state, found.x, load)[1])
    turn = state[0][3:] / bed.length_mm
    return np.asarray(state[0][:3] - np.cross(turn, bed.reference_mm))


def _left(bed, moved, state, motion, load):  # type: ignore[no-untyped-def]
    """Unbalanced load and shear: the equations of the method page, written in NumPy."""
    start, held = state
    ways = [at[:3] + np.einsum("k,nki->ni", at[3:], moved) for at in (start, motion)]
    before, depth = (bed.press_mm + np.einsum("ni,ni->n", way, bed.normals) for way in ways)
    share = np.where(
        (before < 0) & (depth > 0), depth / np.where(depth == before, 1, depth - before), 1
    )
    slid = ways[1] - ways[0]
    slid = slid - np.einsum("ni,ni->n", slid, bed.normals)[:, None] * bed.normals
    shear = held + (bed.along * share)[:, None] * slid
    pressure = bed.normal * np.maximum(depth, 0)
    size = np.linalg.norm(shear, axis=1)
    most = bed.friction * pressure
    shear = shear * np.where(size > most, most / np.maximum(size, 1e-300), 1)[:, None]
    force = -bed.areas_mm2[:, None] * (pressure[:, None] * bed.normals + shear)
    total = np.concatenate([force.sum(axis=0), np.cross(bed.points, force).sum(axis=0)])
    return total - load, shear


def load_cases() -> tuple[LoadCase, ...]:
    """Six cases of about one body weight of 800 N; invented."""
    told = (
        ("donned", (0, 0, 0), (0, 0, 0), 0.0),
        ("standing", (0, 0, 400), (0, 0, 0), 0.0),
        ("early_stance", (30, -120, 880), (-20e3, 20e3, 0), 0.0),
        ("mid_stance", (40, 0, 800), (5e3, 25e3, 2e3), 0.0),
        ("late_stance", (30, 140, 880), (50e3, 22e3, 5e3), 0.0),
        ("swing", (0, 5, -40), (1.5e3, 0, 0), 35.0),
    )
    return tuple(
        LoadCase(
            name, Wrench(np.array(f, float), np.array(m, float)), pull, Basis.GIVEN, "benchmark"
        )
        for name, f, m, pull in told
    )


def invented_limb() -> Limb:
    """Oval, tapering, with thin cover in front and on the fibular side."""
    angle = 2 * np.pi * np.arange(AROUND) / AROUND
    height = np.linspace(-150.0, 30.0, RINGS)
    radius = 46.0 + 0.05 * height - 0.9 * np.maximum(0, -height - 120)
    ring = np.stack([1.0 * np.cos(angle), 0.93 * np.sin(angle)], axis=1)
    points = np.concatenate(
        [
            np.column_stack([r * ring, np.full(AROUND, u)])
            for r, u in zip(radius, height, strict=True)
        ]
    )
    row = np.arange(AROUND)
    low = np.concatenate([row + AROUND * k for k in range(RINGS - 1)])
    side = np.concatenate([np.roll(row, -1) + AROUND * k for k in range(RINGS - 1)])
    faces = np.concatenate(
        [
            np.stack([low, side, side + AROUND], axis=1),
            np.stack([low, side + AROUND, low + AROUND], axis=1),
        ]
    )
    surface = Mesh(points, faces.astype(np.int32))
    around = np.arctan2(points[:, 1], points[:, 0])
    cover = 28.0 - 20.0 * np.exp(-((around - 2.2) ** 2) / 0.3) - 14.0 * np.exp(-(around**2) / 0.05)
    speck = Mesh(np.eye(3), np.array([[0, 1, 2]], np.int32))
    return Limb(
        side=Side.RIGHT,
        frame=LimbFrame(np.zeros(3), np.eye(3), Side.RIGHT),
        skin=surface,
        surface=surface,
        landmarks={},
        bones=Bones(speck, speck, Basis.ESTIMATED, 3.0),
        cover_mm=cover,
        unit=UnitFound(LengthUnit.MM, Basis.GIVEN, 1.0, "invented"),
        repairs=(),
        measures=Measures((), 0.0, 0.0),
        findings=(),
    )


def invented_socket(limb: Limb, deeper_mm: float) -> SocketShape:
    """Take-up of 1.5 mm, two load areas and a relief; the first area so much deeper."""
    areas = (
        _area(limb, AreaName.MEDIAL_TIBIAL_FLARE, (-44.0, 12.0, -25.0), -4.0 - deeper_mm),
        _area(limb, AreaName.PATELLAR_TENDON, (0.0, 43.0, 0.0), -6.0),
        _area(limb, AreaName.FIBULAR_HEAD, (46.0, 0.0, -10.0), 4.0),
    )
    shape = -1.5 + sum(area.depth_mm * area.weight for area in areas)
    count = len(limb.surface.vertices)
    return SocketShape(
        surface=limb.surface,
        displacement_mm=shape + 6.0,
        liner_mm=np.full(count, 6.0),
        flare_mm=np.zeros(count),
        areas=areas,
        trim=TrimLine(np.zeros((0, 3)), {}),
        below_trim=np.ones(count, bool),
        model=limb.surface,
        limb_volume_ml=0.0,
        model_volume_ml=0.0,
        lined_volume_ml=0.0,
        girths=(),
        findings=(),
    )


def _area(
    limb: Limb, name: AreaName, centre: tuple[float, float, float], depth_mm: float
) -> PlacedArea:
    away = np.linalg.norm(limb.surface.vertices - centre, axis=1)
    weight = 0.5 * (1 + np.cos(np.pi * np.clip(away / 40.0, 0, 1)))
    inside = float(vertex_areas(limb.surface)[weight >= 0.5].sum()) / 100
    return PlacedArea(name, depth_mm < 0, depth_mm, np.array(centre), weight, inside, False)


if __name__ == "__main__":
    main()
