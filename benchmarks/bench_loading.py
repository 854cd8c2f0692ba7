"""Time reading a scan and taking it in, beside a general-purpose mesh library.

The scan is the invented demo limb's, as it comes and with its triangles divided until it has
about two million. Medians over repetitions after one warm-up.

Run: python benchmarks/bench_loading.py
"""

from __future__ import annotations

import resource
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import trimesh
from limb_scans import in_mm, large_scan, scan_of_demo

from limbwright.capture.intake import take_in
from limbwright.capture.read import read_scan
from limbwright.capture.repair import repair
from limbwright.core.frame import Side


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        scan, plan = scan_of_demo(Path(folder))
        print(f"{'what':<52}{'median s':>10}{'least s':>10}")
        files(Path(folder), Path(folder) / plan.scan, repeats=5)
        big = large_scan(scan)
        path = Path(folder) / "large.stl"
        big.export(path)
        files(Path(folder), path, repeats=3)
        for name, file, repeats in (("as it comes", plan.scan, 5), ("large", path.name, 2)):
            raw = read_scan(Path(folder) / file)
            count = f"{len(raw.faces):,} triangles"
            mesh = in_mm(raw, plan)
            report(f"repair, {name}, {count}", lambda m=mesh: repair(m), repeats)
            report(
                f"take in, {name}, {count}",
                lambda r=raw: take_in(r, None, None, Side.RIGHT, plan),
                repeats,
            )
    peak_gb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
    print(f"most memory of this run {peak_gb:.2f} GB")


def files(folder: Path, source: Path, repeats: int) -> None:
    """Each kind of file, read by this project and by the peer."""
    mesh = trimesh.load_mesh(source)
    print(f"{len(mesh.faces):,} triangles")
    for kind in ("stl", "ply", "obj", "glb"):
        path = folder / f"{source.stem}-copy.{kind}"
        mesh.export(path)
        report(f"  read {kind}", lambda p=path: read_scan(p), repeats)
        report(f"  read {kind}, peer (trimesh)", lambda p=path: trimesh.load_mesh(p), repeats)
        path.unlink()
    if len(mesh.faces) < 300_000:
        report("  merge and fix winding alone, peer (trimesh)", lambda: peer_clean(source), 1)


def peer_clean(source: Path) -> None:
    mesh = trimesh.load_mesh(source)
    mesh.merge_vertices()
    trimesh.repair.fix_winding(mesh)


def report(name: str, work: Callable[[], object], repeats: int) -> None:
    work()
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    print(f"{name:<52}{statistics.median(times):>10.3f}{min(times):>10.3f}")


if __name__ == "__main__":
    main()
