"""Write the table of docs/method/pressure_finite_elements.md beside measured pressures.

python scripts/measured_tables.py [LEVEL]     the demo, and the open test limbs where present
"""

from __future__ import annotations

import importlib
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "tests")]

PAGE = ROOT / "docs" / "method" / "pressure_finite_elements.md"
DATA = ROOT.parent / "shared" / "data" / "limbs"
START, END = "<!-- measured: written by scripts/measured_tables.py -->", "<!-- end of measured -->"
LIMBS = ("limb_a", "limb_b")


def cases(folder: Path) -> Iterator[tuple[str, Path, Any]]:
    """Name, folder and document of each case."""
    create = importlib.import_module("limbwright.case.create")
    plan = importlib.import_module("limbwright.assess.plan")
    legs = importlib.import_module("true_legs")
    yield "demo", folder / "demo", create.demo_case(folder / "demo")
    for name in LIMBS:
        limb = DATA / name
        if limb.is_dir():
            person = plan.Person(
                code="invented",
                side=legs.open_leg(limb).side,
                mass_kg=70.0,
                stature_mm=1700.0,
                activity=plan.Activity.K3,
            )
            document, _ = create.new_case(
                folder / name,
                scan=limb / "skin.ply",
                landmarks=limb / "landmarks.json",
                person=person,
                bones=(limb / "tibia.ply", limb / "fibula.ply"),
            )
            yield name, folder / name, document


def rows(level: str) -> Iterator[str]:
    """One row for each figure that there is a measured band for."""
    evaluate = importlib.import_module("limbwright.case.evaluate").evaluate
    memo = importlib.import_module("limbwright.case.memo").Memo
    mesh = importlib.import_module("limbwright.prove.plan").MeshLevel(level)
    yield f"Engine `fe`, mesh level {level}, plans as proposed, 70 kg for the open limbs.\n"
    yield "| limb | figure | computed | measured | within | source |"
    yield "|---|---|---:|---:|---|---|"
    with tempfile.TemporaryDirectory() as folder:
        for name, where, document in cases(Path(folder)):
            prove = document.prove.model_copy(update={"engine": "fe", "mesh": mesh})
            plan = document.model_copy(update={"prove": prove})
            found = evaluate(where, plan, memo(), upto="prove")
            for error in found.errors:
                raise error
            for row in found.outcomes["prove"].result.measured:
                yield (
                    f"| {name} | {row.what} | {row.value:.3g} {row.unit} | {row.low:g} to"
                    f" {row.high:g} {row.unit} | {'yes' if row.within else 'no'} | {row.source} |"
                )


def main(level: str) -> None:
    """Write the table between its marks."""
    lines = list(rows(level))
    text = PAGE.read_text("utf-8")
    before, rest = text.split(START, 1)
    after = rest.split(END, 1)[1]
    PAGE.write_text(f"{before}{START}\n" + "\n".join(lines) + f"\n{END}{after}", "utf-8")


if __name__ == "__main__":
    main(sys.argv[1] if len(sys.argv) > 1 else "medium")
