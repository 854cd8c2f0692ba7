"""The list of cases and a new one, as a person begins it: from a raw scan, by touch alone."""

from __future__ import annotations

import base64
import re
import shutil
from pathlib import Path

import numpy as np
import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from browser.conftest import TABLET
from browser.fingers import FINGERTIP_PX, HOLD_MS, SMALL_TARGETS, Fingers, middle
from browser.scan_front import Vector, front_of, looking_from
from browser.workshop import EVALUATION_MS, Bench, Workshop
from limbwright.case.create import demo_case
from limbwright.case.document import CaseDocument
from limbwright.case.folder import read_case
from limbwright.service.scan_reader import ScanView, read_apart

pytestmark = pytest.mark.browser

UNTURNED = np.array([0.0, 1.0, 0.0])
"""Where a scan's front is taken to be before its mid-patellar tendon is touched."""
TOUCHED = ("mid_patellar_tendon", "fibular_head", "limb_end", "crest_lower", "distal_fibula")


@pytest.fixture
def scan(tmp_path: Path) -> tuple[Path, CaseDocument]:
    """The scan of an invented person, and where its landmarks lie."""
    document = demo_case(tmp_path / "source")
    return tmp_path / "source" / document.capture.scan, document


def touch(page: Page, view: ScanView, point_mm: Vector, front: Vector) -> None:
    """Turn the picture so that a point of a right limb faces the eye, and touch it there."""
    low, high = view.positions_mm.min(axis=0), view.positions_mm.max(axis=0)
    middle = 0.5 * (low + high)
    away = point_mm - middle
    if away[2] > 0.95 * (low - middle)[2]:
        away[2] = 0.0  # only the limb's end is seen better from below than from a side
    key, toward = max(looking_from(front, 1).items(), key=lambda item: float(away @ item[1]))
    picture = page.get_by_role("application")
    picture.press(key)
    page.wait_for_timeout(200)
    up = front if key == "u" else np.array([0.0, 0.0, 1.0])
    right = np.cross(-toward, up)
    box = page.locator(".canvas-host canvas").bounding_box()
    assert box is not None
    scale = px_per_mm(page)
    across, over = (point_mm - middle) @ right * scale, (point_mm - middle) @ up * scale
    page.mouse.click(box["x"] + box["width"] / 2 + across, box["y"] + box["height"] / 2 - over)


def begun_with(context: BrowserContext, shelf: Workshop, path: Path) -> Page:
    """A new case with a scan in the picture, and nothing else entered."""
    page = context.new_page()
    page.goto(shelf.address + "&/new")
    page.get_by_label("Scan file").set_input_files(path)
    expect(page.locator(".canvas-host canvas")).to_be_visible(timeout=EVALUATION_MS)
    return page


def px_per_mm(page: Page) -> float:
    """From the bar that the picture draws for people."""
    bar = page.locator(".scale-bar")
    length = re.search(r"\d+", bar.inner_text())
    width = bar.locator("line, span, i").first.bounding_box()
    assert length is not None
    assert width is not None
    return width["width"] / float(length.group())


def test_a_case_from_a_raw_scan_by_touch(
    context: BrowserContext,
    shelf: Workshop,
    scan: tuple[Path, CaseDocument],
    tmp_path: Path,
    output: Path,
) -> None:
    path, document = scan
    page = context.new_page()
    page.goto(shelf.address)
    expect(page.get_by_text("A case begins with a scan")).to_be_visible()
    page.screenshot(path=output / "start-empty.png")
    page.get_by_role("link", name="New case from a scan").click()
    begin = page.get_by_role("button", name="Begin the case")
    expect(begin).to_be_disabled()
    page.get_by_label("Scan file").set_input_files(path)
    expect(page.locator(".canvas-host canvas")).to_be_visible(timeout=EVALUATION_MS)
    page.get_by_label("Code (never a name)").fill("page-1")
    page.get_by_text("Right", exact=True).click()
    page.get_by_label("Body mass").fill("80")
    page.get_by_label("Stature").fill("1750")
    page.get_by_label("Functional class").select_option("K3")

    view = read_apart(path, tmp_path / "view.npz")
    marks = document.capture.landmarks
    front = UNTURNED
    orientation = page.get_by_role("img", name="Seen from")
    expect(orientation).to_contain_text("front?")
    expect(page.locator(".side-badge")).to_have_text("RRight limb")
    for name in TOUCHED:
        words = name.replace("_", " ").replace("mid ", "mid-").capitalize()
        button = page.get_by_role("button", name=words)
        if button.get_attribute("aria-pressed") == "false":
            button.click()
        where = np.array(marks.points[name]) * marks.unit.to_mm @ np.array(view.turn).T
        touch(page, view, where, front)
        expect(button.locator("xpath=following-sibling::span")).to_have_text("placed")
        if name == "mid_patellar_tendon":
            front = front_of(view.positions_mm, where)
            expect(orientation).not_to_contain_text("?")
    page.screenshot(path=output / "start-landmarks.png")
    begin.click()
    bench = Bench(page, shelf)
    bench.settle()
    expect(bench.panel.get_by_role("heading", level=2)).to_have_text("Capture")

    # What was touched lies where the landmark lies, closer than two people pick the same one.
    (folder,) = [item for item in shelf.folder.iterdir() if item.name == "page-1"]
    assert (folder / document.capture.scan).read_bytes() == path.read_bytes()
    stored = read_case(folder).capture.landmarks
    for name in TOUCHED:
        meant = np.array(marks.points[name]) * marks.unit.to_mm
        assert np.linalg.norm(np.array(stored.points[name]) - meant) < 5.0, name
    bench.go("prove")
    bench.settle()
    page.screenshot(path=output / "start-proved.png")

    page.get_by_role("link", name="Limbwright").click()
    line = page.get_by_role("listitem").filter(has_text="page-1")
    expect(line.get_by_text("Right limb")).to_be_visible()
    expect(line.locator("img")).to_be_visible()
    page.screenshot(path=output / "start-list.png")


def test_a_raw_scan_says_what_of_its_side_and_front_is_a_guess(
    context: BrowserContext,
    shelf: Workshop,
    scan: tuple[Path, CaseDocument],
    tmp_path: Path,
    output: Path,
) -> None:
    path, document = scan
    page = begun_with(context, shelf, path)
    badge, seen = page.locator(".side-badge"), page.locator(".seen")
    expect(badge).to_contain_text("Side not given")
    for view_name, words in (("Back", "the back"), ("Inner", "the inner side")):
        page.get_by_role("group", name="Standard views").get_by_role(
            "button", name=view_name
        ).click()
        expect(seen).to_have_text(
            f"Seen from {words}: a guess until the mid-patellar tendon is touched"
        )
    page.screenshot(path=output / "start-guess.png")
    view = read_apart(path, tmp_path / "view.npz")
    marks = document.capture.landmarks
    turn = np.array(view.turn).T
    front = UNTURNED
    for name in ("mid_patellar_tendon", "fibular_head"):
        where = np.array(marks.points[name]) * marks.unit.to_mm @ turn
        touch(page, view, where, front)
        front = front_of(view.positions_mm, where) if front is UNTURNED else front
        expect(page.locator(f"[data-marker='{name}']")).to_be_attached()
    expect(badge).to_contain_text("Right limb? A guess")
    page.get_by_text("Left", exact=True).click()
    expect(badge).to_have_text("LLeft limb")
    alert = page.get_by_role("alert")
    expect(alert).to_contain_text("lies as on a right limb")
    page.get_by_text("Right", exact=True).click()
    expect(badge).to_have_text("RRight limb")
    expect(alert).to_have_count(0)
    page.screenshot(path=output / "start-sided.png")


def test_a_landmark_of_a_raw_scan_is_aimed_at_by_a_held_finger(
    browser: Browser, shelf: Workshop, scan: tuple[Path, CaseDocument], output: Path
) -> None:
    path, _ = scan
    context = browser.new_context(viewport=TABLET, has_touch=True, is_mobile=True)
    context.set_default_timeout(EVALUATION_MS)
    page = begun_with(context, shelf, path)
    picture = page.locator(".canvas-host canvas")
    assert page.evaluate(SMALL_TARGETS, FINGERTIP_PX) == []
    marker = page.locator("[data-marker='mid_patellar_tendon'] .marker-dot")
    x, y = middle(picture)
    fingers = Fingers(page)
    fingers.hold((x + 25, y + 25), HOLD_MS)
    expect(page.locator(".lens")).to_be_visible()
    fingers.slide(((x + 25, y + 25), (x, y)))
    page.screenshot(path=output / "start-lens.png")
    fingers.lift()
    assert middle(marker) == pytest.approx((x, y), abs=px_per_mm(page))
    # And placed better by dragging it, with no other chosen to be placed.
    page.get_by_role("button", name="Fibular head").tap()
    fingers.put((x + 10, y + 10))
    fingers.slide(((x + 10, y + 10), (x + 10, y - 20)))
    fingers.lift()
    assert middle(marker) == pytest.approx((x, y - 30), abs=px_per_mm(page))
    context.close()


def test_a_case_is_copied_put_away_and_taken_back(
    context: BrowserContext, shelf: Workshop, output: Path
) -> None:
    page = context.new_page()
    page.goto(shelf.address)
    page.get_by_role("button", name="Look around in a demo case").click()
    Bench(page, shelf).settle()
    page.get_by_role("link", name="Limbwright").click()
    page.get_by_role("button", name="Duplicate Demo case").click()
    expect(page.get_by_role("link", name="Demo case (copy)")).to_be_visible()
    page.get_by_role("button", name="Put away Demo case (copy)").click()
    expect(page.get_by_text("1 case put away")).to_be_visible()
    expect(page.get_by_role("link", name="Demo case (copy)")).to_be_hidden()
    page.get_by_text("1 case put away").click()
    page.get_by_role("button", name="Take back Demo case (copy)").click()
    expect(page.get_by_role("link", name="Demo case (copy)")).to_be_visible()
    expect(page.get_by_text("1 case put away")).to_be_hidden()
    titles = {read_case(folder).title for folder in shelf.folder.iterdir() if folder.is_dir()}
    assert titles == {"Demo case", "Demo case (copy)"}


def test_a_file_that_is_no_scan_is_refused_in_words(
    context: BrowserContext, shelf: Workshop, tmp_path: Path
) -> None:
    page = context.new_page()
    page.goto(shelf.address + "&/new")
    wrong = tmp_path / "letter.stl"
    wrong.write_bytes(b"Dear reader")
    page.get_by_label("Scan file").set_input_files(wrong)
    told = page.get_by_role("alert")
    expect(told).to_contain_text("The file: this is text", timeout=EVALUATION_MS)
    assert not (shelf.folder / ".drafts").exists() or not any((shelf.folder / ".drafts").iterdir())
    shutil.rmtree(shelf.folder / ".drafts", ignore_errors=True)


def test_of_several_dropped_files_one_scan_is_taken_and_named(
    context: BrowserContext, shelf: Workshop, scan: tuple[Path, CaseDocument], output: Path
) -> None:
    path, _ = scan
    page = context.new_page()
    page.goto(shelf.address)
    expect(page.get_by_text("A case begins with a scan")).to_be_visible()
    held = page.evaluate_handle(
        """scan => {
            const held = new DataTransfer();
            const bytes = Uint8Array.from(atob(scan), letter => letter.charCodeAt(0));
            held.items.add(new File(['a'], 'tape.csv'));
            held.items.add(new File([bytes], 'limb.stl'));
            return held;
        }""",
        base64.b64encode(path.read_bytes()).decode(),
    )
    page.dispatch_event(".start", "dragover", {"dataTransfer": held})
    expect(page.locator(".dropping")).to_be_visible()
    page.screenshot(path=output / "start-dropping.png")
    page.dispatch_event(".start", "drop", {"dataTransfer": held})
    expect(page.get_by_text("limb.stl is taken; tape.csv is left out")).to_be_visible()
    expect(page.locator(".dropping")).to_have_count(0)
    expect(page.locator(".canvas-host canvas")).to_be_visible(timeout=EVALUATION_MS)
    page.screenshot(path=output / "start-dropped.png")


def test_what_is_entered_of_a_new_case_outlives_a_reload_and_a_lost_scan_is_said(
    context: BrowserContext,
    shelf: Workshop,
    scan: tuple[Path, CaseDocument],
    tmp_path: Path,
    output: Path,
) -> None:
    path, document = scan
    page = begun_with(context, shelf, path)
    view = read_apart(path, tmp_path / "view.npz")
    marks = document.capture.landmarks
    where = np.array(marks.points["mid_patellar_tendon"]) * marks.unit.to_mm
    touch(page, view, where @ np.array(view.turn).T, UNTURNED)
    page.get_by_label("Code (never a name)").fill("K 12")
    page.keyboard.press("Tab")
    page.get_by_label("Unit of the scan").select_option("cm")
    # Typed and not left: the page is loaded anew in the middle of it.
    page.get_by_label("Stature").fill("1780")
    page.reload()
    mark = page.locator("[data-marker='mid_patellar_tendon']")
    expect(mark).to_be_attached(timeout=EVALUATION_MS)
    expect(page.get_by_label("Code (never a name)")).to_have_value("K 12")
    expect(page.get_by_label("Unit of the scan")).to_have_value("cm")
    expect(page.get_by_label("Stature")).to_have_value("1780")
    told = page.get_by_role("status").filter(has_text="Taken up as it was left")
    expect(told).to_be_visible()
    page.screenshot(path=output / "start-taken-up.png")
    # As after a start of the service that has the file no longer at hand.
    page.route("**/api/scans/arrays?**", lambda route: route.fulfill(status=404, json={}))
    page.reload()
    expect(page.get_by_role("alert")).to_contain_text("choose its file once more")
    expect(page.get_by_label("Code (never a name)")).to_have_value("K 12")
    page.unroute("**/api/scans/arrays?**")
    page.get_by_label("Scan file").set_input_files(path)
    unit = page.get_by_label("Unit of the scan")
    expect(unit).to_have_value("", timeout=EVALUATION_MS)
    expect(unit).to_contain_text("a guess")
    told.get_by_role("button", name="Clear all of it").click()
    expect(page.get_by_label("Code (never a name)")).to_have_value("")
    page.reload()
    expect(page.get_by_text("Drop the scan of the limb here")).to_be_visible()
    expect(told).to_have_count(0)


def test_a_scan_s_size_is_told_in_inches_where_they_are_shown(
    context: BrowserContext, shelf: Workshop, scan: tuple[Path, CaseDocument]
) -> None:
    page = begun_with(context, shelf, scan[0])
    told = page.get_by_text(re.compile("triangles"))
    size = r"([\d.]+)\s{} around and ([\d.]+)\s{} long"
    metric = re.search(size.format("mm", "mm"), told.inner_text())
    page.get_by_label("inch", exact=True).check(force=True)
    expect(told).not_to_contain_text(re.compile(r"\d\smm\b"))
    imperial = re.search(size.format("in", "in"), told.inner_text())
    assert metric is not None
    assert imperial is not None
    for in_mm, in_inches in zip(metric.groups(), imperial.groups(), strict=True):
        assert float(in_inches) * 25.4 == pytest.approx(float(in_mm), abs=0.7)
