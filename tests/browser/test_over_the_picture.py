"""Nothing that stands over or beside the picture covers another, and the limb keeps its room."""

from __future__ import annotations

from itertools import combinations, product
from pathlib import Path
from typing import TypedDict

import numpy as np
import pytest
from numpy.typing import NDArray
from playwright.sync_api import Page, expect

from browser.fingers import Fingers
from browser.workshop import STAGES, Bench

pytestmark = pytest.mark.browser

SEEN = Path(__file__).with_name("over_the_picture.js").read_text("utf-8")
SIZES = {"desktop": (1366, 768), "laptop": (1280, 720), "enlarged": (683, 384)}
TOUCHING_PX = 1.0
"""Neighbours may share an edge, and rounding."""
LEAST_SHARE = 0.2
"""Of the width below the views: the picture, with everything beside it open."""
LEAST_FILLED = 0.5
"""Of the picture's width or height: what is drawn in it."""
NON_TEXT_CONTRAST = 3.0
"""WCAG 2.2, success criterion 1.4.11."""
CORE_SHARE = 0.3
"""Of a cased line's pixels: those of the line itself, 2.5 of 6 px across."""
Tones = NDArray[np.float64]


class Rectangle(TypedDict):
    """A place on the page, px."""

    left: float
    top: float
    right: float
    bottom: float


class Part(TypedDict):
    """Something that is seen; `over` the picture or beside it."""

    name: str
    over: bool
    whole: Rectangle
    seen: Rectangle


def covered(parts: list[Part]) -> list[str]:
    """Pairs that share some of the page; the arms and words of the axes belong together."""
    found = []
    for one, two in combinations(parts, 2):
        if one["name"].startswith(".triad") and two["name"].startswith(".triad"):
            continue
        a, b = one["seen"], two["seen"]
        across = min(a["right"], b["right"]) - max(a["left"], b["left"])
        over = min(a["bottom"], b["bottom"]) - max(a["top"], b["top"])
        if across > TOUCHING_PX and over > TOUCHING_PX:
            found.append(f"{one['name']} and {two['name']} by {across:.0f} x {over:.0f}")
    return found


def cut(parts: list[Part]) -> list[str]:
    """What is not seen in its whole width; lists may scroll up and down, never sideways."""
    return [
        part["name"]
        for part in parts
        if part["whole"]["left"] < part["seen"]["left"] - TOUCHING_PX
        or part["whole"]["right"] > part["seen"]["right"] + TOUCHING_PX
    ]


def filled(bench: Bench) -> float:
    """Share of the picture's width or height, the larger, over which something is drawn."""
    pixels = bench.pixels().astype(np.int16)
    corners = pixels[[2, 2, -3, -3], [2, -3, 2, -3]]
    drawn = np.abs(pixels[:, :, None, :] - corners[None, None]).sum(axis=3).min(axis=2) > 40
    spans = [np.flatnonzero(drawn.any(axis=axis)) for axis in (0, 1)]
    return max(
        float(span[-1] - span[0]) / drawn.shape[1 - axis] if len(span) else 0.0
        for axis, span in enumerate(spans)
    )


def width(bench: Bench, selector: str) -> float:
    return float(bench.page.locator(selector).first.evaluate("one => one.clientWidth"))


def arrange(bench: Bench, listed: bool, cut_open: bool) -> None:
    """Open or close the list of layers and the cross-section."""
    details = bench.page.locator(".layer-controls details")
    details.evaluate("list => { list.open = true; }")
    bench.show("Cross-section", on=cut_open)
    expect(bench.page.locator(".cut-skin")).to_have_count(int(cut_open))
    details.evaluate("(list, open) => { list.open = open; }", listed)
    bench.page.wait_for_timeout(250)


def look_around(bench: Bench, output: Path, size: str) -> None:
    for stage, listed, cut_open in product(STAGES, (True, False), (True, False)):
        bench.go(stage)
        bench.settle()
        arrange(bench, listed, cut_open)
        here = f"{stage}, list {listed}, cross-section {cut_open}"
        parts: list[Part] = bench.page.evaluate(SEEN)
        assert {".triad text", ".scale-bar", ".seen", ".layer-controls summary"} <= {
            part["name"].split(' "')[0] for part in parts
        }, here
        assert covered(parts) == [], here
        assert cut(parts) == [], here
        assert width(bench, ".picture") > LEAST_SHARE * width(bench, ".picture-row"), here
        if listed and cut_open:  # the least room
            assert filled(bench) > LEAST_FILLED, here
        if stage == "shape":
            words = f"{'list' if listed else 'shut'}-{'cut' if cut_open else 'whole'}"
            bench.page.locator(".limb-view").screenshot(path=output / f"over-{size}-{words}.png")
    arrange(bench, listed=True, cut_open=False)


@pytest.mark.parametrize("size", SIZES)
def test_nothing_over_the_picture_covers_another(bench: Bench, output: Path, size: str) -> None:
    wide, high = SIZES[size]
    bench.page.set_viewport_size({"width": wide, "height": high})
    bench.page.reload()
    bench.settle()
    look_around(bench, output, size)


def test_nothing_over_the_picture_covers_another_on_a_tablet(tablet: Bench, output: Path) -> None:
    look_around(tablet, output, "tablet")


@pytest.mark.parametrize("size", SIZES)
def test_what_the_next_touch_does_is_said_beside_the_limb_and_moves_nothing(
    bench: Bench, size: str
) -> None:
    wide, high = SIZES[size]
    bench.page.set_viewport_size({"width": wide, "height": high})
    bench.go("capture")
    bench.settle()
    place = bench.picture.bounding_box()
    bench.panel.get_by_role("button", name="Place Crest lower").click()
    hint = bench.page.locator(".pick-hint")
    expect(hint).to_contain_text("Crest lower")
    # The page may have been scrolled to the button: places are held against the view's own.
    parts: list[Part] = bench.page.evaluate(SEEN)
    assert covered(parts) == []
    assert cut(parts) == []
    now = bench.picture.bounding_box()
    assert place is not None
    assert now is not None
    assert (now["width"], now["height"]) == (place["width"], place["height"])
    hint.get_by_role("button", name="Give up").click()
    expect(hint).to_have_count(0)


def test_the_step_pad_covers_nothing_that_is_said_over_the_picture(tablet: Bench) -> None:
    for view, name in product(("Front", "Back", "Outer"), ("Patellar tendon", "Distal tibia")):
        tablet.go("shape")
        tablet.look(view)
        tablet.panel.get_by_label(name, exact=True).tap()
        expect(tablet.page.locator(".step-pad")).to_contain_text(name)
        tablet.page.wait_for_timeout(600)
        assert covered(tablet.page.evaluate(SEEN)) == [], f"{name} from {view}"
    tablet.page.locator(".layer-controls summary").tap()
    tablet.page.get_by_text("Cross-section", exact=True).tap()
    tablet.page.get_by_role("region", name="Step pad").get_by_role("button", name="Done").tap()
    expect(tablet.page.get_by_role("region", name="Step pad: Cross-section")).to_be_visible()
    tablet.page.wait_for_timeout(600)
    assert covered(tablet.page.evaluate(SEEN)) == []
    # It stands above the findings and can be used there.
    tablet.page.get_by_role("button", name="Move down by 1 mm").tap()
    expect(tablet.page.get_by_label("Level below MPT", exact=True)).to_have_value("41.0")


def luminance(pixels: NDArray[np.uint8]) -> Tones:
    """Relative luminance of sRGB colours, as WCAG 2.2 defines it."""
    share = pixels.astype(float) / 255.0
    linear = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    tones: Tones = linear @ np.array([0.2126, 0.7152, 0.0722])
    return tones


def contrast(a: Tones | np.float64, b: Tones | np.float64) -> Tones:
    """Contrast ratio of two luminances, 1 to 21, as WCAG 2.2 defines it."""
    high, low = np.maximum(a, b), np.minimum(a, b)
    ratio: Tones = (high + 0.05) / (low + 0.05)
    return ratio


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_measured_way_stands_out_from_the_skin(bench: Bench, output: Path, scheme: str) -> None:
    page = bench.page
    page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
    bench.go("assess")
    bench.look("Front")
    measure = page.get_by_role("button", name="Measure", exact=True)
    measure.click()
    skin = bench.pixels()
    x, y = bench.centre()
    page.mouse.click(x - 30, y + 40)
    page.mouse.click(x + 30, y + 70)
    expect(page.get_by_text("along the skin")).to_be_visible()
    page.mouse.move(5, 5)
    drawn = bench.pixels()
    page.locator(".limb-view").screenshot(path=output / f"over-way-{scheme}.png")
    there = np.abs(drawn.astype(int) - skin).sum(axis=2) > 60
    line, under = luminance(drawn[there]), luminance(skin[there])
    # The line itself is a good part of what is drawn with its edges, and dark on the skin.
    core = contrast(line, under) > NON_TEXT_CONTRAST
    assert core.mean() > CORE_SHARE
    # Wherever the line leads, its pale edges tell it from what it crosses.
    assert contrast(np.median(line[core]), np.quantile(line, 0.9)) > NON_TEXT_CONTRAST
    measure.click()


def stand_still(page: Page) -> None:
    """Wait until the marks over the picture have found their places."""
    marks = "[...document.querySelectorAll('.marker')].map(one => one.style.transform).join()"
    before = ""
    for _ in range(40):
        now = page.evaluate(marks)
        if now == before:
            return
        before = now
        page.wait_for_timeout(250)
    raise AssertionError("the marks over the picture never came to rest")


def test_what_a_finger_read_goes_out_of_the_way(tablet: Bench) -> None:
    page, fingers = tablet.page, Fingers(tablet.page)
    readout = page.locator(".readout")
    tablet.go("prove")
    tablet.settle()
    tablet.look("Front")
    x, y = tablet.centre()
    fingers.tap((x, y))
    expect(readout).to_contain_text("kPa")
    # It belongs to the place that it was read at, and that goes when the limb is turned.
    tablet.look("Back")
    expect(readout).to_be_hidden()
    page.get_by_role("button", name="Measure", exact=True).tap()
    for spot in ((x - 25, y), (x + 25, y + 30)):
        fingers.tap(spot)
        expect(readout).to_be_hidden()
    expect(page.locator(".pick-hint")).to_contain_text("along the skin")
    assert covered(page.evaluate(SEEN)) == []
    page.locator(".pick-hint").get_by_role("button", name="Done").tap()
    # Among landmarks a reading that stays covers none of their captions.
    tablet.go("capture")
    tablet.look("Front")
    tablet.page.get_by_label("Colour by").select_option("cover")
    tablet.settle()
    # The picture makes room for its colours before the marks stand where they stay.
    expect(page.locator(".legend")).to_be_visible()
    stand_still(page)
    on_skin = """([x, y]) => document.elementFromPoint(x, y).tagName === 'CANVAS'"""
    spots = [(x + aside, y + over) for aside in (-20, -10, 10, 20) for over in range(-90, 91, 30)]
    free = [spot for spot in spots if page.evaluate(on_skin, spot)]
    assert len(free) > 3
    for spot in free:
        fingers.tap(spot)
        expect(readout).to_be_visible()
        assert covered(page.evaluate(SEEN)) == [], spot
