"""Measure how far pressures hang on the order of a scan's triangles: MESH_SPREAD of prove/tables.

python scripts/mesh_spread.py [COUNT]   the demo limb, and the open test limbs if they are there

The same scan with its triangles in COUNT orders gives as many meshes of one surface. Printed is, by
kind of place, the root mean square over limbs, places and load cases of one standard deviation of
the logarithm of mean and peak, both raised by LEAST_READ_KPA.
"""

from __future__ import annotations

import sys
import tempfile
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from limbwright.assess.plan import Activity, Person
from limbwright.capture.read import read_scan
from limbwright.case.create import demo_case, new_case
from limbwright.case.document import CaseDocument
from limbwright.case.evaluate import evaluate
from limbwright.case.interface import with_engine
from limbwright.case.memo import Memo
from limbwright.core.frame import Side
from limbwright.core.mesh import Mesh
from limbwright.core.stl import stl_file
from limbwright.prove.pressure_result import PlaceReading
from limbwright.prove.tables import LEAST_READ_KPA

LIMBS = Path(__file__).resolve().parents[2] / "shared" / "data" / "limbs"
SIDES = {"limb_a": Side.RIGHT, "limb_b": Side.LEFT}
SCAN = "reordered.stl"

Key = tuple[str, str, str]
Spreads = dict[str, list[np.ndarray]]


def cases(folder: Path) -> Iterator[tuple[Path, CaseDocument]]:
    """Every limb as a case."""
    yield folder / "demo", demo_case(folder / "demo")
    for name, side in SIDES.items():
        source = LIMBS / name
        if source.is_dir():
            document, _ = new_case(
                folder / name,
                scan=source / "skin.ply",
                landmarks=source / "landmarks.json",
                person=Person(
                    code="invented",
                    side=side,
                    mass_kg=70.0,
                    stature_mm=1700.0,
                    activity=Activity.K3,
                ),
            )
            yield folder / name, document


def readings(folder: Path, document: CaseDocument, seed: int) -> tuple[PlaceReading, ...]:
    """What the first estimate reads with the scan's triangles in one order."""
    raw = read_scan(folder / document.capture.scan)
    order = np.random.default_rng(seed).permutation(len(raw.faces))
    scan = Mesh(raw.vertices, raw.faces[order])
    (folder / SCAN).write_bytes(stl_file(scan, "reordered"))
    capture = document.capture.model_copy(update={"scan": SCAN})
    changed = with_engine(document.model_copy(update={"capture": capture}), "spring_bed", None)
    proof = evaluate(folder, changed, Memo(), upto="prove").outcomes["prove"].result
    return tuple(proof.readings)


def spreads(folder: Path, document: CaseDocument, count: int) -> Spreads:
    """One standard deviation of the logarithms of mean and peak, by kind of place."""
    found: dict[Key, list[tuple[float, float]]] = defaultdict(list)
    for seed in range(count):
        for reading in readings(folder, document, seed):
            for case in reading.cases:
                key = (reading.kind, reading.place, case.load_case)
                found[key].append((case.mean_kpa, case.peak_kpa))
    kinds: Spreads = defaultdict(list)
    for (kind, _, _), values in found.items():
        logarithms = np.log(np.array(values) + LEAST_READ_KPA.value)
        kinds[kind].append(logarithms.std(axis=0, ddof=1))
    return kinds


def main(count: int) -> None:
    """Print the table."""
    kinds: Spreads = defaultdict(list)
    with tempfile.TemporaryDirectory() as folder:
        for place, document in cases(Path(folder)):
            for kind, found in spreads(place, document, count).items():
                kinds[kind] += found
                mean, peak = np.sqrt(np.mean(np.square(found), axis=0))
                print(f"{place.name}, {kind}: mean {mean:.4f}, peak {peak:.4f}")
    for kind, found in kinds.items():
        mean, peak = np.sqrt(np.mean(np.square(found), axis=0))
        print(f"all, {kind}: mean {mean:.3f}, peak {peak:.3f} over {len(found)}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 8)
