"""How long a person waits, measured in the browser; benchmarks/bench_workshop.py reports it.

The figures are kept, not judged: they belong to the machine that ran the test. What is judged is
that the pictures which they are of show what they should.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from playwright.sync_api import Browser

from browser.conftest import serving
from browser.measuring import Waits, edits, keep, live_demo, opened

pytestmark = pytest.mark.browser

AREA = "Patellar tendon"


def test_the_limb_comes_first_and_an_edit_shows_its_pressure_before_the_rest(
    browser: Browser, tmp_path: Path, output: Path
) -> None:
    live_demo(tmp_path / "demo")
    with serving(tmp_path / "demo") as workshop:
        first, bench = opened(browser, workshop)
        assert bench.limb_share() > 0.04
        bench.settle()
        bench.go("shape")
        bench.page.get_by_label("Colour by").select_option("pressure")
        bench.look("Front")
        before = bench.pixels()
        values = [3.0 + 0.5 * step for step in range(8)]
        waits = edits(bench.page, AREA, values, 200)
        bench.settle()
        after = bench.pixels()
        assert np.abs(after.astype(int) - before).sum(axis=2).max() > 60
        assert bench.field(AREA).input_value() == f"{values[-1]:.1f}"
        bench.page.close()
        again, bench = opened(browser, workshop)
        bench.page.close()
    keep(
        output / "waiting.json",
        [Waits("first picture, service just started", [first]), Waits("again", [again]), waits],
    )
