"""Hold the live model against the finite elements, area by area, and write the method's table.

Test limbs with true bones, several shapes, liners and tissues, six load cases. Nothing of the live
model is fitted to these runs, so every one of them is kept out of a fit.

Run: python scripts/calibrate_live.py [--keep FOLDER]
With --keep, results of the finite elements stay in a folder and are not computed again.
"""

from __future__ import annotations

import argparse
import sys
from collections import defaultdict
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.stats import spearmanr

REPOSITORY = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(REPOSITORY / "tests"))

from interface_bodies import (  # type: ignore[import-not-found]  # noqa: E402
    load,
    real_limb,
    with_pull,
)
from limbwright.assess.plan import Liner  # noqa: E402
from limbwright.capture.plan import ScannedOver  # noqa: E402
from limbwright.capture.result import Limb  # noqa: E402
from limbwright.prove.interface.condensed.live import LIVE  # noqa: E402
from limbwright.prove.interface.engine import AnyEngine, attempt_all  # noqa: E402
from limbwright.prove.interface.finite_elements.engine import FINITE_ELEMENTS  # noqa: E402
from limbwright.prove.plan import MeshLevel, ProvePlan, TissuePlan  # noqa: E402
from limbwright.shape.defaults import default_shape_plan  # noqa: E402
from limbwright.shape.plan import ShapePlan  # noqa: E402
from limbwright.shape.rectify import rectify  # noqa: E402
from limbwright.shape.result import SocketShape  # noqa: E402

OUT = REPOSITORY / "docs" / "method" / "pressure_live_errors.md"
LIMBS = REPOSITORY.parent / "shared" / "data" / "limbs"
LEAST_KPA = 5.0
"""Areas that carry less are ranked, but their relative error says nothing."""


@dataclass(frozen=True)
class Variant:
    """One limb in one socket: take-up in percent, areas' depths times a factor, liner, tissue."""

    limb: str
    take_up_percent: float
    depths: float
    liner_mm: float
    poisson: float | None = None
    modulus_kpa: float | None = None

    @property
    def name(self) -> str:
        """For files and tables."""
        tissue = f"{self.modulus_kpa or 200:g} kPa, {self.poisson or 0.45:g}"
        return (
            f"{self.limb}, take-up {self.take_up_percent:g} %, depths x {self.depths:g}, "
            f"liner {self.liner_mm:g} mm, tissue {tissue}"
        )


VARIANTS = (
    Variant("limb_a", 3, 1.0, 6),
    Variant("limb_a", 2, 1.0, 6, 0.45, 120),
    Variant("limb_a", 2, 0.6, 3),
    Variant("limb_a", 1.5, 1.6, 6),
    Variant("limb_a", 3, 1.0, 6, 0.48),
    Variant("limb_b", 3, 1.0, 6),
    Variant("limb_b", 5, 1.0, 6),
    Variant("limb_b", 2, 1.0, 6, 0.48),
    Variant("limb_b", 3, 1.3, 9),
    Variant("limb_b", 2, 1.3, 6, None, 120),
)
CASES = (
    load("standing", (0, 0, 400.0)),
    load("early_stance", (30, -120, 880.0), (-20e3, 20e3, 0)),
    load("mid_stance", (40, 0, 800.0), (5e3, 25e3, 2e3)),
    load("late_stance", (30, 140, 880.0), (50e3, 22e3, 5e3)),
    with_pull(load("swing", (0, 5, -40.0), (1500, 0, 0)), 35.0),
)

Fields = dict[str, NDArray[np.float64]]
"""By load case: means and peaks of the areas (2, k) kPa, then the pose (2, 3) mm and rad."""


def main() -> int:
    """Run all variants and write the page."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--keep", type=Path)
    keep = parser.parse_args().keep
    rows: list[Any] = []
    refused: list[Any] = []
    by_area: dict[str, list[Any]] = defaultdict(list)
    for variant in VARIANTS:
        limb = real_limb(LIMBS / variant.limb)
        liner = Liner(thickness_mm=variant.liner_mm)
        shape = rectify(limb, _plan(liner, variant), liner, ScannedOver.SKIN)
        plan = _proof(variant)
        confirmed, names, said = _kept(keep, variant, limb, liner, shape, plan)
        refused += [(variant.name, "fe", text) for text in said]
        live, _, said = _solved(LIVE, limb, liner, shape, plan)
        refused += [(variant.name, "live", text) for text in said]
        middle = _middle(shape)
        for case in (name for name in confirmed if name in live):
            rows.append((variant, case, *_compare(confirmed[case], live[case], middle)))
            for name, fe, own in zip(names, confirmed[case][0], live[case][0], strict=True):
                by_area[name].append((fe, own))
        sys.stdout.write(f"{variant.name}: done\n")
        sys.stdout.flush()
    order = [case.name for case in CASES]
    rows.sort(key=lambda row: (VARIANTS.index(row[0]), ["donned", *order].index(row[1])))
    OUT.write_text(_page(rows, by_area, refused), encoding="utf-8")
    return 0


def _plan(liner: Liner, variant: Variant) -> ShapePlan:
    plan = default_shape_plan(liner)
    areas = tuple(
        area.model_copy(update={"depth_mm": area.depth_mm * variant.depths}) for area in plan.areas
    )
    points = tuple(
        point.model_copy(update={"girth_percent": variant.take_up_percent})
        for point in plan.take_up
    )
    return plan.model_copy(update={"areas": areas, "take_up": points})


def _proof(variant: Variant) -> ProvePlan:
    tissue = TissuePlan(modulus_kpa=variant.modulus_kpa, poisson=variant.poisson)
    return ProvePlan(tissue=tissue, mesh=MeshLevel.COARSE)


def _solved(
    chosen: AnyEngine, limb: Limb, liner: Liner, shape: SocketShape, plan: ProvePlan
) -> tuple[Fields, tuple[str, ...], list[str]]:
    prepared = chosen.prepare(limb, liner, ScannedOver.SKIN, plan)
    attempt = attempt_all(chosen, chosen.with_socket(prepared, shape), CASES)
    fields: Fields = {}
    names: tuple[str, ...] = ()
    for case in attempt.result.cases:
        names = tuple(area.area for area in case.areas)
        means = [area.mean_kpa for area in case.areas]
        peaks = [area.peak_kpa for area in case.areas]
        pose = np.concatenate([case.pose.shift_mm, case.pose.turn_rad])
        fields[case.load_case] = np.array([means, peaks, np.resize(pose, len(means))])
    return fields, names, [error.message for error in attempt.refused]


def _kept(
    keep: Path | None,
    variant: Variant,
    limb: Limb,
    liner: Liner,
    shape: SocketShape,
    plan: ProvePlan,
) -> tuple[Fields, tuple[str, ...], list[str]]:
    path = None if keep is None else keep / f"{VARIANTS.index(variant)}.npz"
    if path is not None and path.exists():
        with np.load(path) as stored:
            fields = {key: stored[key] for key in stored.files if key not in ("names", "said")}
            return fields, tuple(stored["names"].tolist()), stored["said"].tolist()
    fields, names, said = _solved(FINITE_ELEMENTS, limb, liner, shape, plan)
    if path is not None:
        path.parent.mkdir(parents=True, exist_ok=True)
        told = {"names": np.array(names), "said": np.array(said, dtype=str)}
        np.savez(path, **told, **fields)  # type: ignore[arg-type]
    return fields, names, said


def _middle(shape: SocketShape) -> NDArray[np.float64]:
    return np.asarray(shape.surface.vertices[shape.below_trim].mean(axis=0))


def _compare(
    fe: NDArray[np.float64], live: NDArray[np.float64], middle: NDArray[np.float64]
) -> tuple[float, float, float, float, float]:
    """Rank correlation, median size and mean of the relative error, distance and angle of pose."""
    bears = fe[0] > LEAST_KPA
    error = live[0][bears] / fe[0][bears] - 1
    away = (live - fe)[2][:6]
    shift = float(np.linalg.norm(away[:3] + np.cross(away[3:], middle)))
    turn = float(np.degrees(np.linalg.norm(away[3:])))
    rank = float(spearmanr(fe[0], live[0])[0])
    return rank, float(np.median(np.abs(error))), float(np.mean(error)), shift, turn


def _page(rows: list[Any], by_area: dict[str, list[Any]], refused: list[Any]) -> str:
    figures = np.array([row[2:] for row in rows])
    lines = [
        "# The live model against the finite elements",
        "",
        "Written by `scripts/calibrate_live.py`: coarse mesh for both, "
        f"{len(VARIANTS)} limbs and sockets, six load cases. Areas are those of the socket, the "
        "rest of the wall and the distal end; relative errors are of areas that carry more than "
        f"{LEAST_KPA:g} kPa. Nothing was fitted to any of these runs.",
        "",
        "| | median | worst | share that meets the goal |",
        "|---|---|---|---|",
    ]
    for column, name, goal, low in (
        (0, "rank correlation of area means (at least 0.95)", 0.95, True),
        (1, "median error of area means (at most 15 %)", 0.15, False),
        (3, "pose, at the socket's middle (at most 1 mm)", 1.0, False),
        (4, "pose, turn (at most 1 degree)", 1.0, False),
    ):
        values = figures[:, column]
        worst = values.min() if low else values.max()
        met = (values >= goal if low else values <= goal).mean()
        lines.append(f"| {name} | {np.median(values):.3g} | {worst:.3g} | {100 * met:.0f} % |")
    lines += [
        "",
        "## By area",
        "",
        "| area | runs above 5 kPa | mean error | median size of the error | largest |",
        "|---|---|---|---|---|",
    ]
    for name, pairs in by_area.items():
        fe, live = np.array(pairs).T
        bears = fe > LEAST_KPA
        if not bears.any():
            lines.append(f"| {name.replace('_', ' ')} | 0 | | | |")
            continue
        error = 100 * (live[bears] / fe[bears] - 1)
        lines.append(
            f"| {name.replace('_', ' ')} | {int(bears.sum())} | {error.mean():+.0f} % | "
            f"{np.median(np.abs(error)):.0f} % | {error[np.abs(error).argmax()]:+.0f} % |"
        )
    lines += [
        "",
        "## By run",
        "",
        "| limb and socket | load case | rank | median error | mean error | shift mm | turn deg |",
        "|---|---|---|---|---|---|---|",
    ]
    for variant, case, rank, median, mean, shift, turn in rows:
        lines.append(
            f"| {variant.name} | {case} | {rank:.3f} | {100 * median:.0f} % | "
            f"{100 * mean:+.0f} % | {shift:.2f} | {turn:.2f} |"
        )
    if refused:
        lines += ["", "## Without equilibrium", ""]
        lines += [f"- {name}, {engine}: {text}" for name, engine, text in refused]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    sys.exit(main())
