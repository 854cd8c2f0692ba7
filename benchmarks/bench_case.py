"""A whole case: cold evaluation of a raw scan with all outputs, and the live edit.

Medians over runs in this process; the cold run is a process of its own, with its peak memory.
There is no peer that does this job, so the live edit is set against a cold evaluation.
"""

from __future__ import annotations

import json
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from limbwright.case.create import demo_case
from limbwright.case.document import CaseDocument
from limbwright.case.evaluate import evaluate
from limbwright.case.folder import read_case
from limbwright.case.memo import Memo

EDITS = 12


def cold_run(folder: Path, out: Path) -> tuple[float, float]:
    """Seconds and peak GB of `limbwright make` on a case without cache, in a fresh process."""
    start = time.perf_counter()
    subprocess.run(
        [sys.executable, "-m", "limbwright.cli", "make", str(folder), "--out", str(out)],
        check=False,
        stdout=subprocess.DEVNULL,
    )
    seconds = time.perf_counter() - start
    return seconds, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 2**20


def with_depth(document: CaseDocument, depth_mm: float) -> CaseDocument:
    """The case with another depth of its first area."""
    data = json.loads(document.model_dump_json())
    data["shape"]["areas"][0]["depth_mm"] = depth_mm
    return CaseDocument.model_validate(data)


def with_inset(document: CaseDocument, inset_mm: float) -> CaseDocument:
    """The case with another foot inset."""
    data = json.loads(document.model_dump_json())
    data["align"]["foot_inset_mm"] = inset_mm
    return CaseDocument.model_validate(data)


def median_ms(folder: Path, documents: list[CaseDocument], memo: Memo) -> float:
    """Median time of evaluating each document up to the proof, ms."""
    times = []
    for document in documents:
        start = time.perf_counter()
        evaluate(folder, document, memo, upto="prove")
        times.append(1000 * (time.perf_counter() - start))
    return statistics.median(times)


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as place:
        if len(sys.argv) > 1:
            folder = Path(sys.argv[1])
            document = read_case(folder)
        else:
            folder = Path(place) / "demo"
            document = demo_case(folder)
        seconds, peak_gb = cold_run(folder, Path(place) / "out")
        memo = Memo()
        evaluate(folder, document, memo, upto="prove")
        depths = [with_depth(document, -4.0 - 0.1 * step) for step in range(EDITS)]
        insets = [with_inset(document, 10.0 + step) for step in range(EDITS)]
        depth_ms = median_ms(folder, depths, memo)
        inset_ms = median_ms(folder, insets, memo)
    print("whole case, all outputs, fresh process   s      peak GB")
    print(f"{'':38}{seconds:6.1f}{peak_gb:10.2f}")
    print("live edit to findings                    ms     share of a cold run")
    print(f"{'depth of an area':38}{depth_ms:6.0f}{depth_ms / 1000 / seconds:12.4f}")
    print(f"{'foot inset':38}{inset_ms:6.0f}{inset_ms / 1000 / seconds:12.4f}")


if __name__ == "__main__":
    main()
