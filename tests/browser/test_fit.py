"""A fitting logged on the limb, answered, and turned into the next revision."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import expect

from browser.workshop import Bench

pytestmark = pytest.mark.browser


def test_a_fitting_is_logged_and_its_answer_changes_the_plan(bench: Bench, output: Path) -> None:
    bench.go("fit")
    bench.panel.get_by_role("button", name="New fitting").click()
    bench.settle()
    bench.enter("Comfort now, 0 to 10", "5")
    bench.enter("Sock ply", "1")
    bench.panel.get_by_role("button", name="Add a complaint").click()
    bench.settle()
    # Touched on the limb, in front and in the middle of the picture.
    bench.look("Front")
    bench.panel.get_by_role("button", name="Touch it on the limb").click()
    x, y = bench.centre()
    bench.page.mouse.click(x, y)
    expect(bench.panel.get_by_label("Where", exact=True)).to_have_value("touched")
    bench.settle()
    answers = bench.panel.get_by_role("region", name="What may be behind it")
    expect(answers).to_be_visible()
    expect(answers.get_by_text("Too much pressure there")).to_be_visible()
    expect(bench.page.locator('[data-marker="complaint:0"] .marker-dot')).to_be_visible()
    bench.page.screenshot(path=output / "fit-answers.png")

    # At the fibular head there is a relief: a click deepens it by a millimetre, and undo returns.
    bench.panel.get_by_label("Where", exact=True).select_option("fibular_head")
    bench.settle()
    bench.go("shape")
    depth = bench.panel.get_by_label("Fibular head", exact=True)
    before = float(depth.input_value())
    bench.go("fit")
    answers.get_by_role("button", name="Change the plan so").first.click()
    bench.settle()
    bench.go("shape")
    assert float(depth.input_value()) == before + 1
    for _ in range(8):
        if not bench.page.get_by_role("button", name="Undo").is_enabled():
            break
        bench.page.get_by_role("button", name="Undo").click()
        bench.settle()
    assert float(depth.input_value()) == before
    bench.go("fit")
    expect(bench.panel.get_by_text(re.compile("No fitting is logged yet"))).to_be_visible()
