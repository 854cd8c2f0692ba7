"""The guided first case, done as a person does it; the tutorial's pictures are taken on the way."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Locator, Page, expect

from browser.conftest import serving
from browser.test_page import AXE
from browser.workshop import Bench, Workshop

pytestmark = pytest.mark.browser


class Guide:
    """The strip of the guide on an open case, and what a person does with it."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self.page = bench.page
        self.strip = self.page.get_by_role("region", name="Guided first case")
        self.head = self.strip.get_by_role("heading")
        self.state = self.strip.locator(".guide-state")

    def press(self, name: str) -> None:
        self.strip.get_by_role("button", name=name, exact=True).click()

    def at(self, number: int, stage: str) -> None:
        """It stands at a step, and the step is still to do."""
        expect(self.head).to_contain_text(f"Step {number} of 14 · {stage}")
        expect(self.bench.panel.get_by_role("heading", level=2)).to_have_text(stage)
        expect(self.state).to_contain_text("Not done yet")
        self.bench.settle()

    def shown(self) -> Locator:
        """Let the guide lead to the entry: in sight, outlined and holding the focus."""
        self.press("Show me")
        entry = self.page.locator("[data-shown]")
        expect(entry).to_be_focused()
        expect(entry).to_be_in_viewport()
        return entry

    def done(self, *told: str) -> None:
        """The act was recognised, and the guide waits where it is."""
        where = self.page.url
        self.bench.settle()
        expect(self.state).to_contain_text("Done.")
        for words in told:
            expect(self.state).to_contain_text(words)
        expect(self.strip.get_by_role("status")).to_contain_text("Done.")
        assert self.page.url == where

    def next(self) -> None:
        self.press("Next")


class Album:
    """Pictures for the tutorial, taken of the page as it stands."""

    def __init__(self, page: Page, folder: Path) -> None:
        self.page = page
        self.folder = folder
        folder.mkdir(parents=True, exist_ok=True)

    def take(self, name: str) -> None:
        self.page.mouse.move(0, 0)
        self.page.wait_for_timeout(600)
        self.page.screenshot(path=self.folder / f"{name}.png")


def to_top(part: Locator) -> None:
    """Scroll the panel as a wheel would, until a part stands at its top."""
    part.evaluate("part => part.scrollIntoView({block: 'start'})")


def fact(bench: Bench, name: str) -> str:
    """Value of a named fact of the panel, without what it rests on."""
    line = bench.panel.locator(".facts div").filter(has_text=name)
    return str(line.locator(".value").first.inner_text())


def test_the_whole_job_is_done_by_the_guide_from_the_start_page(
    context: BrowserContext, shelf: Workshop, output: Path
) -> None:
    page = context.new_page()
    bench, guide, album = Bench(page, shelf), None, Album(page, output / "tutorial")
    page.goto(shelf.address)
    album.take("start")
    page.get_by_role("button", name="Guided first case").click()
    bench.settle()
    guide = Guide(bench)
    expect(guide.head).to_be_focused()
    assess_and_capture(bench, guide, album)
    shape(bench, guide, album)
    couple_and_align(bench, guide, album)
    prove(bench, guide, album)
    make_and_fit(bench, guide, album)
    expect(guide.head).to_have_text("That is the whole job")
    expect(guide.strip).to_contain_text("14 of 14 steps done")
    guide.strip.get_by_role("link", name="Leave the guide").click()
    expect(guide.strip).to_have_count(0)
    bench.go("prove")
    bench.panel.get_by_label("Under load").select_option("Standing")
    album.take("workshop")


def assess_and_capture(bench: Bench, guide: Guide, album: Album) -> None:
    guide.at(1, "Assess")
    guide.shown().press_sequentially("0.8")
    bench.page.keyboard.press("Enter")
    bench.settle()
    guide.done("0.80", "given", fact(bench, "Load level by mass"))
    album.take("assess")
    guide.next()

    guide.at(2, "Capture")
    guesses = bench.panel.get_by_role("row").filter(has_text="A guess")
    before = guesses.count()
    guide.shown().press("Enter")
    guide.done()
    assert guesses.count() == before - 1
    guide.done(f"{before - 1} of ")
    bench.show("Bones")
    album.take("capture")
    guide.next()

    guide.at(3, "Capture")
    guide.shown().press_sequentially("5")
    bench.page.keyboard.press("Enter")
    bench.settle()
    table = bench.panel.get_by_role("table", name=re.compile("Soft tissue over bone"))
    felt = table.get_by_role("row").filter(has_text="Measured")
    name, cover = felt.get_by_role("rowheader"), felt.get_by_role("cell").first
    guide.done(name.inner_text(), cover.inner_text().split()[0])
    guide.next()


def shape(bench: Bench, guide: Guide, album: Album) -> None:
    guide.at(4, "Shape")
    guide.shown().press("Space")
    expect(bench.page.locator(".section-drawing path").first).to_be_visible()
    guide.done("below MPT")
    album.take("section")
    guide.next()

    guide.at(5, "Shape")
    guide.shown().select_option("Pressure")
    expect(bench.page.locator(".legend")).to_contain_text("Pressure")
    guide.done("in standing", "first estimate")
    guide.next()

    guide.at(6, "Shape")
    bench.show("Cross-section", on=False)
    depth = bench.field("Patellar tendon")
    was = float(depth.input_value())
    picture = bench.pixels()
    entry = guide.shown()
    entry.press("ArrowUp")
    entry.press("ArrowUp")
    guide.done("Patellar tendon in standing")
    assert float(depth.input_value()) > was
    assert (bench.pixels() != picture).any()
    album.take("shape")
    told = guide.state.inner_text()
    # Elsewhere in the case the step waits, tells the same and leads back.
    bench.go("prove")
    mean, peak = bench.row("Patellar tendon")[:2]
    assert f"mean {mean:.0f}\u00a0kPa, peak {peak:.0f}\u00a0kPa" in told
    guide.press("Go to Shape")
    guide.done("Patellar tendon in standing")
    guide.next()

    guide.at(7, "Shape")
    guide.shown().press("Enter")
    guide.done("All depths are as they were")
    assert float(depth.input_value()) == was
    # What was done and taken back stays done.
    guide.press("Back")
    guide.done()
    guide.next()
    guide.done()
    guide.next()


def couple_and_align(bench: Bench, guide: Guide, album: Album) -> None:
    guide.at(8, "Couple")
    guide.shown().press("Enter")
    bench.settle()
    tilt, offset, adapter = bench.row("Distal limb")[:3]
    guide.done(f"tilted by {tilt:.1f}", f"off by {offset:.1f}", f"turns by {adapter:.1f}")
    to_top(bench.panel.get_by_role("heading", name="How it sits"))
    album.take("couple")
    guide.next()

    guide.at(9, "Align")
    guide.shown().press_sequentially("5")
    bench.page.keyboard.press("Enter")
    bench.settle()
    turns = bench.panel.locator(".turns li")
    expect(turns.first).to_be_visible()
    expect(bench.panel.get_by_role("heading", name="What the change does")).to_be_visible()
    guide.done("outward")
    to_top(bench.field("Foot up by (leg shorter)"))
    album.take("align")
    guide.next()


def prove(bench: Bench, guide: Guide, album: Album) -> None:
    guide.at(10, "Prove")
    guide.shown().select_option("Late stance")
    guide.done("in late stance")
    expect(bench.page.locator(".legend")).to_contain_text("Late stance")
    guide.next()

    guide.at(11, "Prove")
    margin = bench.panel.get_by_role("region", name="Strength").locator(".check").first
    before = margin.inner_text()
    guide.shown().press_sequentially("15")
    bench.page.keyboard.press("Enter")
    bench.settle()
    assert margin.inner_text() != before
    found = re.search(r"([\d.]+) of ([\d.]+) needed", margin.inner_text())
    assert found is not None
    guide.done(found.group())
    to_top(margin)
    album.take("prove")
    guide.next()


def make_and_fit(bench: Bench, guide: Guide, album: Album) -> None:
    guide.at(12, "Make")
    guide.shown().press("Enter")
    files = bench.panel.locator(".made-files button")
    expect(files.first).to_be_visible(timeout=240_000)
    guide.done(f"{files.count()} files made")
    album.take("make")
    guide.next()

    guide.at(13, "Fit")
    guide.shown().press("Enter")
    guide.done("What was worn is not stated yet")
    bench.panel.get_by_role("button", name=re.compile("the newest made")).click()
    bench.settle()
    worn = bench.field("Revision worn")
    guide.done(f"revision {worn.input_value()}")
    comfort = bench.panel.get_by_role("group", name="Comfort now, 0 to 10")
    comfort.get_by_role("radio", name="5", exact=True).check(force=True)
    bench.settle()
    guide.next()

    guide.at(14, "Fit")
    guide.shown().press("Enter")
    bench.settle()
    for label, said in (("What", "pain"), ("When", "mid_stance"), ("Where", "fibular_head")):
        bench.panel.get_by_label(label, exact=True).select_option(said)
    bench.settle()
    causes = bench.panel.get_by_role("region", name="What may be behind it").locator(".cause")
    expect(causes.first).to_be_visible()
    guide.done(f"{causes.count()} usual causes")
    to_top(bench.panel.get_by_role("heading", name="What may be behind it"))
    album.take("fit")
    # What was made is still at hand at its stage.
    bench.go("make")
    expect(bench.panel.locator(".made-files button").first).to_be_visible()
    guide.next()


@pytest.fixture
def guide(bench: Bench) -> Guide:
    """The guide, opened on the demo case from the rail of stages."""
    bench.page.get_by_role("link", name=re.compile("^(Guide|Resume the guide)$")).click()
    return Guide(bench)


def test_the_guides_place_belongs_to_the_address(guide: Guide) -> None:
    page, bench = guide.page, guide.bench
    guide.press("Skip")
    guide.press("Skip")
    expect(guide.head).to_contain_text("Step 3 of 14")
    page.go_back()
    expect(guide.head).to_contain_text("Step 2 of 14")
    page.go_forward()
    expect(guide.head).to_contain_text("Step 3 of 14")
    page.reload()
    bench.settle()
    expect(guide.head).to_contain_text("Step 3 of 14")
    guide.press("Back")
    expect(guide.head).to_contain_text("Step 2 of 14")
    # Going about in the case leaves the guide where it is.
    bench.go("align")
    expect(guide.head).to_contain_text("Step 2 of 14")
    bench.page.locator(".all-findings .finding-stage > a").first.click()
    expect(guide.head).to_contain_text("Step 2 of 14")
    guide.strip.get_by_role("link", name="Leave the guide").click()
    expect(guide.strip).to_have_count(0)
    assert "guide" not in page.url
    resume = page.get_by_role("link", name="Resume the guide")
    expect(resume).to_be_focused()
    resume.press("Enter")
    expect(guide.head).to_contain_text("Step 2 of 14")
    page.goto(page.url.split("?")[0] + "?guide=nowhere")
    expect(guide.strip).to_contain_text("no such step")
    guide.strip.get_by_role("link", name="First step").click()
    expect(guide.head).to_contain_text("Step 1 of 14")


def test_amounts_to_enter_are_in_the_units_shown(guide: Guide) -> None:
    for number in range(1, 4):
        expect(guide.head).to_contain_text(f"Step {number} of 14")
        if number < 3:
            guide.strip.get_by_role("button", name=re.compile("Skip|Next")).click()
    expect(guide.strip).to_contain_text("Enter 5.0\u00a0mm as")
    guide.page.get_by_label("inch", exact=True).check(force=True)
    expect(guide.strip).to_contain_text(re.compile(r"Enter 0\.20\s(in|″|\")"))
    guide.page.get_by_label("mm", exact=True).check(force=True)


def test_the_guide_is_gone_through_by_keys_alone(guide: Guide) -> None:
    keyboard = guide.page.keyboard
    expect(guide.head).to_be_focused()
    for _ in range(3):  # past Back, which leads nowhere yet, to Show me and Skip
        keyboard.press("Tab")
        if guide.page.evaluate("document.activeElement.textContent") == "Skip":
            break
    keyboard.press("Enter")
    expect(guide.head).to_contain_text("Step 2 of 14")
    expect(guide.strip.get_by_role("button", name="Skip")).to_be_focused()
    expect(guide.strip.get_by_role("status")).to_contain_text("Step 2 of 14")
    keyboard.press("Shift+Tab")
    keyboard.press("Enter")
    expect(guide.page.locator("[data-shown]")).to_be_focused()
    keyboard.press("Tab")
    expect(guide.page.locator("[data-shown]")).to_have_count(0)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_guide_covers_nothing_and_passes_the_accessibility_rules(
    guide: Guide, output: Path, scheme: str
) -> None:
    page = guide.page
    page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
    page.evaluate(AXE.read_text("utf-8"))
    for size in ((1366, 768), (1024, 768)):
        page.set_viewport_size({"width": size[0], "height": size[1]})
        for number in range(1, 15):
            expect(guide.head).to_contain_text(f"Step {number} of 14")
            boxes = [
                page.locator(name).bounding_box()
                for name in (".top-bar", ".guide", ".picture", ".findings-strip")
            ]
            for above, below in pairwise(boxes):
                assert above is not None
                assert below is not None
                assert above["y"] + above["height"] <= below["y"] + 1
                assert below["y"] + below["height"] <= size[1] + 1
            assert boxes[2] is not None
            assert boxes[2]["height"] > 330
            guide.strip.get_by_role("button", name=re.compile("Skip|Next")).click()
        expect(guide.head).to_have_text("That is the whole job")
        passes_axe(page)
        page.screenshot(path=output / f"guide-end-{size[0]}-{scheme}.png")
        for number in range(14, 0, -1):
            guide.press("Back")
            expect(guide.head).to_contain_text(f"Step {number} of 14")
        passes_axe(page)
        page.screenshot(path=output / f"guide-{size[0]}-{scheme}.png")


def passes_axe(page: Page) -> None:
    found = page.evaluate("axe.run()")
    assert [f"{one['id']}: {one['nodes']}" for one in found["violations"]] == []


def test_on_a_persons_own_case_the_guide_says_why_it_asks_nothing(
    context: BrowserContext, demo_copy: Path, output: Path
) -> None:
    stored = demo_copy / "case.toml"
    text = stored.read_text("utf-8")
    assert "invented = true" in text
    stored.write_text(text.replace("invented = true", "invented = false"), "utf-8")
    with serving(demo_copy) as workshop:
        bench = Bench(context.new_page(), workshop)
        bench.open()
        expect(bench.page.get_by_role("link", name=re.compile("uide"))).to_have_count(0)
        bench.page.goto(bench.page.url + "?guide=deepen")
        guide = Guide(bench)
        expect(guide.strip).to_contain_text("invented cases only")
        expect(guide.strip.get_by_role("button")).to_have_count(0)
        bench.page.screenshot(path=output / "guide-refused.png")
        guide.strip.get_by_role("link", name="Leave the guide").click()
        expect(guide.strip).to_have_count(0)
