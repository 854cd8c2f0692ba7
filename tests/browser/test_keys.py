"""A place of the limb is taken by keys alone, on a raw scan and in an open case."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from playwright.sync_api import BrowserContext, Locator, Page, expect

from browser.fingers import middle
from browser.scan_front import Vector, front_of, looking_from
from browser.workshop import EVALUATION_MS, Bench, Workshop
from limbwright.case.create import demo_case
from limbwright.case.folder import read_case
from limbwright.service.scan_reader import read_apart

pytestmark = pytest.mark.browser

STEP_MM, FINE_MM = 5, 1
LONGEST_WAY = 120


def tab_to(page: Page, wanted: Locator) -> None:
    """Go on with the Tab key until something has the focus."""
    for _ in range(LONGEST_WAY):
        if wanted.evaluate("element => element === document.activeElement"):
            return
        page.keyboard.press("Tab")
    raise AssertionError("the Tab key does not lead there")


def press(page: Page, keys: str, times: int) -> None:
    for _ in range(times):
        page.keyboard.press(keys)


def aim(page: Page, away_mm: Vector, front: Vector) -> None:
    """Look at a place that lies so far from the middle, and bring it under the cross-hair."""
    sides = {key: way for key, way in looking_from(front, 1).items() if key != "u"}
    key, toward = max(sides.items(), key=lambda item: float(away_mm @ item[1]))
    right = np.cross(-toward, [0.0, 0.0, 1.0])
    page.keyboard.press("0")
    page.keyboard.press(key)
    for share, ways in (
        (away_mm @ right, ("ArrowLeft", "ArrowRight")),
        (away_mm[2], ("ArrowDown", "ArrowUp")),
    ):
        way = ways[int(share > 0)]
        coarse, fine = divmod(round(abs(float(share))), STEP_MM)
        press(page, f"Shift+{way}", coarse)
        press(page, f"Shift+Alt+{way}", fine)


def steer_to(page: Page, mark: Locator) -> None:
    """Bring a mark under the cross-hair by small steps, as the eye does."""
    for axis, ways in ((0, ("ArrowLeft", "ArrowRight")), (1, ("ArrowUp", "ArrowDown"))):
        side = ahead(page, mark, axis)
        for _ in range(LONGEST_WAY):
            if ahead(page, mark, axis) != side:
                break
            page.keyboard.press(f"Shift+Alt+{ways[int(side)]}")
            page.wait_for_timeout(40)


def ahead(page: Page, mark: Locator, axis: int) -> bool:
    """Whether a mark is seen to the right of the picture's middle, or below it."""
    return bool(middle(mark)[axis] > middle(page.locator(".canvas-host canvas"))[axis])


def test_a_case_is_begun_by_keys_alone(
    context: BrowserContext, shelf: Workshop, tmp_path: Path, output: Path
) -> None:
    document = demo_case(tmp_path / "source")
    path = tmp_path / "source" / document.capture.scan
    page = context.new_page()
    page.goto(shelf.address + "&/new")
    page.get_by_label("Scan file").set_input_files(path)
    picture = page.get_by_role("application")
    expect(page.locator(".canvas-host canvas")).to_be_visible(timeout=EVALUATION_MS)
    tab_to(page, picture)
    expect(page.locator(".cross-hair")).to_be_visible()
    page.screenshot(path=output / "keys-cross-hair.png")

    # Beside the limb there is nothing to take, and that is said.
    press(page, "Shift+ArrowRight", 80)
    page.keyboard.press("Enter")
    expect(page.get_by_text("The cross-hair lies beside the limb.")).to_be_visible()

    view = read_apart(path, tmp_path / "view.npz")
    centre = 0.5 * (view.positions_mm.min(axis=0) + view.positions_mm.max(axis=0))
    marks = document.capture.landmarks
    names = ("mid_patellar_tendon", "fibular_head")
    front = np.array([0.0, 1.0, 0.0])
    for name in names:
        where = np.array(marks.points[name]) * marks.unit.to_mm @ np.array(view.turn).T
        aim(page, where - centre, front)
        page.keyboard.press("Enter")
        expect(page.locator(f"[data-marker='{name}']")).to_be_attached()
        if name == "mid_patellar_tendon":
            front = front_of(view.positions_mm, where)
    page.screenshot(path=output / "keys-landmarks.png")

    for label, text in (("Code (never a name)", "keys-1"), ("Body mass", "80")):
        tab_to(page, page.get_by_label(label))
        page.keyboard.type(text)
        if label.startswith("Code"):
            tab_to(page, page.get_by_role("radio", name="Left"))
            page.keyboard.press("ArrowRight")
    tab_to(page, page.get_by_label("Stature"))
    page.keyboard.type("1750")
    functional = page.get_by_label("Functional class")
    tab_to(page, functional)
    page.keyboard.type("K3")
    expect(functional).to_have_value("K3")
    tab_to(page, page.get_by_role("button", name="Begin the case"))
    page.keyboard.press("Enter")
    bench = Bench(page, shelf)
    bench.settle()
    stored = read_case(shelf.folder / "keys-1").capture.landmarks
    for name in names:
        meant = np.array(marks.points[name]) * marks.unit.to_mm
        assert np.linalg.norm(np.array(stored.points[name]) - meant) < 5.0, name


def test_a_landmark_is_placed_and_a_distance_measured_by_keys_alone(
    bench: Bench, output: Path
) -> None:
    page = bench.page
    bench.go("capture")
    before = read_case(bench.workshop.folder).capture.landmarks.points
    tab_to(page, bench.panel.get_by_role("button", name="Place Crest lower"))
    page.keyboard.press("Enter")
    expect(bench.panel.get_by_role("img", name="a mark at: Crest lower")).to_be_visible()
    tab_to(page, page.get_by_role("application"))
    page.keyboard.press("f")
    steer_to(page, page.locator("[data-marker='landmark:crest_lower']"))
    press(page, "Shift+ArrowDown", 1)
    page.screenshot(path=output / "keys-placing.png")
    page.keyboard.press("Enter")
    expect(page.locator(".cross-hair")).to_have_count(0)
    bench.settle()
    after = read_case(bench.workshop.folder).capture.landmarks.points
    assert [name for name in after if after[name] != before.get(name)] == ["crest_lower"]

    tab_to(page, page.get_by_role("button", name="Measure", exact=True))
    page.keyboard.press("Enter")
    tab_to(page, page.get_by_role("application"))
    page.keyboard.press("Enter")
    press(page, "Shift+ArrowUp", 6)
    page.keyboard.press("Enter")
    # Six steps along the front, and no nearer than that over a surface that may slope.
    expect(page.get_by_text("along the skin")).to_be_visible()
    straight = re.search(r"[\d.]+", page.get_by_text("along the skin").inner_text())
    assert straight is not None
    assert 6 * STEP_MM - 0.5 <= float(straight.group()) < 9 * STEP_MM
