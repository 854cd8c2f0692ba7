"""How long a person waits at the workshop's page, in a real browser that draws in software.

Opening: from the start of navigation until the limb stands in the picture, with a service that has
just been started and again with one that is warm; with a case that was captured before, as after a
first visit, and with one whose limb was never captured. An edit: from the slider's event until the
picture shows the pressure that belongs to it, on limbs scanned with more than 100 000 triangles,
every value a new one. The peer is the same edit shown only when all of the case has been computed,
as a page without a first look would show it.

Run on a quiet machine: LIMBWRIGHT_CHROMIUM=/usr/bin/chromium python benchmarks/bench_workshop.py
[CASE ...]; without a case the demo's limb with the engine of a new case.
"""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
import time
from pathlib import Path

from playwright.sync_api import Browser, sync_playwright

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests"))

from browser.conftest import FLAGS, serving
from browser.measuring import Waits, edits, live_demo, opened, whole_edits
from browser.workshop import Bench
from limbwright.case.cache import CACHE_FOLDER

OPENINGS = 7
EDITS = 40
WARM_AFTER_S = 6.0
"""From then on a service has loaded all that it needs."""
PAUSES_MS = (1000, 250)
"""Between the end of one edit and the next: with the rest computed, and while it still is."""


def measured(browser: Browser, folder: Path) -> list[Waits]:
    """All waits on one case."""
    cold, warm = [], []
    for _ in range(OPENINGS):
        with serving(folder) as workshop:
            for times in (cold, warm):
                first, bench = opened(browser, workshop)
                times.append(first)
                bench.settle()
                bench.page.close()
    found = [
        Waits("first picture, service just started", cold),
        Waits("first picture, service warm", warm),
        Waits("the same, never captured, just started", never_captured(browser, folder, 0.0)),
        Waits("the same, never captured, warm", never_captured(browser, folder, WARM_AFTER_S)),
    ]
    with serving(folder) as workshop:
        _, bench = opened(browser, workshop)
        bench.settle()
        bench.go("shape")
        bench.page.get_by_label("Colour by").select_option("pressure")
        bench.settle()
        label, values = slider(bench)
        edits(bench.page, label, values[:3], 1000)
        bench.settle()
        for pause_ms in PAUSES_MS:
            times = edits(bench.page, label, values, pause_ms).times_ms
            found.append(Waits(f"edit to its pressure, {pause_ms} ms between edits", times))
            bench.settle()
            values = [value + 0.01 for value in values]
        found.append(whole_edits(bench.page, label, values[: EDITS // 2], 1000))
    return found


def never_captured(browser: Browser, folder: Path, after_s: float) -> list[float]:
    """Openings of copies of the case without what was computed of it, ms."""
    times = []
    for _ in range(OPENINGS):
        with tempfile.TemporaryDirectory() as place:
            copy = Path(place) / "case"
            shutil.copytree(folder, copy, ignore=shutil.ignore_patterns(CACHE_FOLDER))
            with serving(copy) as workshop:
                time.sleep(after_s)
                first, bench = opened(browser, workshop)
                times.append(first)
                bench.page.close()
    return times


def slider(bench: Bench) -> tuple[str, list[float]]:
    """The first area's slider, and values that it never had."""
    bench.panel.locator(".area .row-name").first.click()
    entry = bench.panel.locator("input[type=range]").first
    entry.evaluate("entry => { entry.step = '0.001' }")
    label = (entry.get_attribute("aria-label") or "").removesuffix(", slider")
    start = float(entry.input_value())
    return label, [start + 0.137 * ((7 * step) % EDITS) / 4 for step in range(1, EDITS + 1)]


def main() -> None:
    """Print a table for each case."""
    chromium = os.environ.get("LIMBWRIGHT_CHROMIUM") or shutil.which("chromium")
    with tempfile.TemporaryDirectory() as place, sync_playwright() as playwright:
        folders = []
        for number, given in enumerate(sys.argv[1:]):
            folders.append(Path(place) / str(number) / "case")
            shutil.copytree(given, folders[-1])
        if not folders:
            folders.append(Path(place) / "demo")
            live_demo(folders[-1])
        browser = playwright.chromium.launch(executable_path=chromium, args=list(FLAGS))
        for folder in folders:
            print(f"{'':50}{'median ms':>10}{'95th perc.':>11}{'most':>8}{'count':>7}")
            found = measured(browser, folder)
            for one in found:
                print(
                    f"{one.what:50}{one.median_ms:10.0f}{one.p95_ms:11.0f}"
                    f"{max(one.times_ms):8.0f}{len(one.times_ms):7}"
                )
            quick, whole = found[-1 - len(PAUSES_MS)], found[-1]
            print(f"{'first look / whole':50}{quick.median_ms / whole.median_ms:10.2f}")
        browser.close()


if __name__ == "__main__":
    main()
