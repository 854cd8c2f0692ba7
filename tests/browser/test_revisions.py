"""Whole revisions side by side: chosen, turned, read, told apart, taken up again."""

from __future__ import annotations

import io
import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import Locator, expect

from browser.test_page import AXE
from browser.workshop import EVALUATION_MS, Bench

pytestmark = pytest.mark.browser

AREA = "Patellar tendon"
SHALLOW_MM = 2.0
CONFIRMING_MS = 300_000
"""Longest wait for coarse finite elements on a loaded machine."""
SIZES = {
    "desktop": (1366, 768),
    "tablet": (1024, 768),
    "enlarged": (683, 768),
    "tall": (1366, 2600),
}


def sides(bench: Bench) -> list[Locator]:
    figures = bench.page.locator(".compared-side")
    return [figures.nth(0), figures.nth(1)]


def drawn(side: Locator) -> np.ndarray[tuple[int, int, int], np.dtype[np.int16]]:
    """One picture as it is seen, without what lies over it."""
    page = side.page
    style = page.add_style_tag(
        content=".compared .canvas-host > :not(canvas), .compared .readout"
        " {visibility: hidden !important} .compared .picture {background: white !important}"
        " .compared .canvas-host {outline: none !important}"
    )
    page.wait_for_timeout(400)
    image = Image.open(io.BytesIO(side.locator("canvas").screenshot())).convert("RGB")
    style.evaluate("style => style.remove()")
    return np.asarray(image).astype(np.int16)


def change(first: np.ndarray, second: np.ndarray) -> np.ndarray:
    """By how many levels of colour two pictures differ; a column more or less is left out."""
    height, width = (min(first.shape[k], second.shape[k]) for k in (0, 1))
    return np.abs(first[:height, :width] - second[:height, :width])


def apart(first: np.ndarray, second: np.ndarray) -> float:
    return float(change(first, second).mean())


def ready(bench: Bench) -> None:
    """Both are computed and drawn."""
    expect(bench.panel.get_by_role("heading", name="Pressure side by side")).to_be_visible(
        timeout=EVALUATION_MS
    )
    bench.page.wait_for_timeout(600)


def table_row(bench: Bench, table: str, head: str) -> str:
    shown = bench.panel.get_by_role("table", name=re.compile(table)).first
    row = shown.get_by_role("row").filter(
        has=bench.page.get_by_role("rowheader", name=head, exact=True)
    )
    return str(row.first.inner_text())


def standing(bench: Bench) -> int:
    text = bench.page.locator(".state-of-things").inner_text()
    found = re.search(r"Revision (\d+)", text)
    assert found is not None
    return int(found.group(1))


@dataclass(frozen=True)
class Edited:
    """What a depth of one area was and is, and its mean and peak pressures then and now."""

    revision: int
    depth: float
    other: float
    before: list[str]
    after: list[str]


@pytest.fixture
def edited(bench: Bench) -> Edited:
    """A case with one area pressed in further, or less again."""
    bench.go("shape")
    depth = float(bench.field(AREA).input_value())
    bench.go("prove")
    before = pressures(bench)
    bench.go("shape")
    other = depth - 2 if depth >= SHALLOW_MM else depth + 2
    bench.enter(AREA, str(other))
    bench.go("prove")
    return Edited(standing(bench), depth, other, before, pressures(bench))


def pressures(bench: Bench) -> list[str]:
    """Mean and peak of the area under the standing load, as the panel of the proof shows them."""
    mean, peak, *_ = bench.row(AREA)
    return [f"{mean:.0f}", f"{peak:.0f}"]


def test_two_revisions_are_told_apart_in_plan_and_results(bench: Bench, edited: Edited) -> None:
    now, before, after = edited.revision, edited.before, edited.after
    assert before != after
    bench.page.get_by_role("link", name="Revisions").click()
    ready(bench)
    assert bench.page.url.endswith(f"/revisions/{now - 1}/{now}")

    entry = table_row(bench, "Entries of the plan", "Load, patellar tendon: depth")
    assert [float(text) for text in re.findall(r"\d+(?:\.\d+)?", entry)] == [
        edited.depth,
        edited.other,
    ]
    pressure = table_row(bench, "Standing, in kPa", AREA)
    assert [f"{before[0]} → {after[0]}", f"{before[1]} → {after[1]}"] == re.findall(
        r"\d+ → \d+", pressure
    )[:2]
    heads = [side.locator("figcaption strong").inner_text() for side in sides(bench)]
    assert heads == [f"Revision {now - 1}", f"Revision {now}"]

    # The addresses lead back, forward and to the same after a reload.
    bench.page.go_back()
    expect(bench.panel.get_by_role("heading", level=2)).to_have_text("Prove")
    bench.page.go_forward()
    ready(bench)
    bench.page.reload()
    ready(bench)
    assert table_row(bench, "Standing, in kPa", AREA) == pressure


def test_both_pictures_turn_together_by_mouse_key_and_button(bench: Bench, edited: Edited) -> None:
    bench.page.get_by_role("link", name="Revisions").click()
    ready(bench)
    bench.page.get_by_label("Colour by").select_option("Nothing")
    left, right = sides(bench)
    views = bench.page.get_by_role("group", name="Standard views")
    views.get_by_role("button", name="Front").click()
    front = [drawn(side) for side in (left, right)]
    assert apart(*front) < 0.5  # the same limb, seen alike

    box = right.locator("canvas").bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    bench.page.mouse.move(x, y)
    bench.page.mouse.down()
    bench.page.mouse.move(x + 110, y + 10, steps=6)
    bench.page.mouse.up()
    bench.page.mouse.wheel(0, -300)
    turned = [drawn(side) for side in (left, right)]
    assert apart(front[0], turned[0]) > 2
    assert apart(*turned) < 0.5

    left.locator(".canvas-host").focus()
    bench.page.keyboard.press("o")
    outer = [drawn(side) for side in (left, right)]
    assert apart(turned[1], outer[1]) > 2
    assert apart(*outer) < 0.5
    right.locator(".canvas-host").focus()
    for _ in range(5):
        bench.page.keyboard.press("ArrowRight")
    bench.page.keyboard.press("0")
    keyed = [drawn(side) for side in (left, right)]
    assert apart(outer[0], keyed[0]) > 2
    assert apart(*keyed) < 0.5


def test_colours_share_one_scale_and_the_pointer_reads_both(bench: Bench, edited: Edited) -> None:
    bench.page.get_by_role("link", name="Revisions").click()
    ready(bench)
    legend = bench.page.locator(".compared .legend")
    expect(legend).to_have_count(1)
    expect(legend).to_contain_text("Pressure in kPa")
    expect(legend).to_contain_text("Standing")
    left, right = sides(bench)
    bench.page.get_by_role("group", name="Standard views").get_by_role(
        "button", name="Front"
    ).click()
    assert apart(drawn(left), drawn(right)) > 0.02  # the area is pressed in further in one
    # Where the pictures differ most, the pointer over one reads the place in both.
    differs = change(drawn(left), drawn(right)).sum(axis=2)
    row, column = np.unravel_index(differs.argmax(), differs.shape)
    box = left.locator("canvas").bounding_box()
    assert box is not None
    bench.page.mouse.move(box["x"] + float(column), box["y"] + float(row))
    readouts = [side.locator(".readout") for side in (left, right)]
    values = []
    for readout in readouts:
        expect(readout).to_be_visible()
        found = re.search(r"(\d+)\s*kPa", readout.inner_text())
        assert found is not None
        values.append(int(found.group(1)))
    assert values[1] != values[0]
    assert readouts[0].inner_text().splitlines()[1:] == readouts[1].inner_text().splitlines()[1:]
    bench.page.mouse.move(5, 5)
    for readout in readouts:
        expect(readout).to_be_hidden()


def test_an_earlier_revision_is_taken_up_again_by_keys(bench: Bench, edited: Edited) -> None:
    now = edited.revision
    bench.page.get_by_role("link", name="Revisions").click()
    ready(bench)
    again = bench.panel.get_by_role("button", name=f"Take revision {now - 1} up again")
    again.focus()
    bench.page.keyboard.press("Enter")
    sure = bench.panel.get_by_role("group", name=f"Take revision {now - 1} up again?")
    expect(sure).to_contain_text(f"stored as revision {now + 1}")
    expect(sure.get_by_role("button", name="Take it up")).to_be_focused()
    bench.page.keyboard.press("Tab")
    bench.page.keyboard.press("Enter")
    expect(sure).to_be_hidden()
    again.focus()
    bench.page.keyboard.press("Enter")
    bench.page.keyboard.press("Enter")
    expect(bench.panel.get_by_role("status").filter(has_text="stands again")).to_contain_text(
        f"as revision {now + 1}"
    )
    state = bench.page.locator(".state-of-things")
    expect(state).to_contain_text(f"Revision {now + 1}")
    bench.settle()
    listed = bench.panel.get_by_role("table", name="Revisions of this case")
    top = listed.get_by_role("row").nth(1)
    expect(top).to_contain_text(f"{now + 1}")
    expect(top).to_contain_text("stands")
    expect(top).to_contain_text(f"revision {now - 1} taken up again")
    bench.go("shape")
    assert float(bench.field(AREA).input_value()) == edited.depth


def test_any_two_are_chosen_from_the_list_and_the_same_twice_differs_in_nothing(
    bench: Bench, edited: Edited
) -> None:
    now = edited.revision
    bench.page.get_by_role("link", name="Revisions").click()
    ready(bench)
    choice = bench.panel.get_by_role("radio", name=f"Revision {now} before")
    choice.focus()
    bench.page.keyboard.press("Space")
    expect(bench.panel.get_by_text("both plans are the same")).to_be_visible()
    ready(bench)
    assert bench.page.url.endswith(f"/revisions/{now}/{now}")
    expect(bench.panel.get_by_text("Both say the same")).to_be_visible()
    left, right = sides(bench)
    assert apart(drawn(left), drawn(right)) < 0.2


def test_a_moved_landmark_says_that_places_are_not_held_against_each_other(
    bench: Bench, edited: Edited, output: Path
) -> None:
    now = edited.revision
    bench.go("capture")
    bench.panel.get_by_role("button", name="Fibular head").first.click()
    bench.page.locator(".canvas-host").focus()
    for _ in range(3):
        bench.page.keyboard.press("Shift+ArrowUp")
    bench.page.wait_for_timeout(900)
    bench.settle()
    moved = standing(bench)
    assert moved > now
    bench.page.get_by_role("link", name="Revisions").click()
    ready(bench)
    expect(bench.page.locator(".place-note")).to_contain_text("cannot be held against each other")
    expect(
        bench.panel.get_by_role("row").filter(has_text="Landmark, fibular head")
    ).to_contain_text(re.compile(r"moved by [23]\.\d\smm"))
    left, right = sides(bench)
    for side in (left, right):
        assert (np.abs(drawn(side) - 255).sum(axis=2) > 60).mean() > 0.04
    bench.page.screenshot(path=output / "revisions-other-surface.png")
    # Only what lies under the pointer is read.
    box = left.locator("canvas").bounding_box()
    assert box is not None
    bench.page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    expect(left.locator(".readout")).to_be_visible()
    expect(right.locator(".readout")).to_be_hidden()


def test_revisions_that_are_not_there_are_said_so(bench: Bench) -> None:
    bench.expect_noise("404")
    bench.page.evaluate("location.hash = location.hash.replace(/[^/]+$/, 'revisions/1/999')")
    alert = bench.page.get_by_role("alert").filter(has_text="There is no such revision.")
    expect(alert.first).to_be_visible()
    bench.page.evaluate(
        "location.hash = location.hash.replace(/revisions.*$/, 'revisions/confirmed')"
    )
    expect(bench.page.get_by_text("Nothing is confirmed by finite elements yet")).to_be_visible()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_nothing_keeps_anyone_from_using_it(
    bench: Bench, edited: Edited, scheme: str, output: Path
) -> None:
    bench.page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
    bench.page.get_by_role("link", name="Revisions").click()
    ready(bench)
    for name, (width, height) in SIZES.items():
        bench.page.set_viewport_size({"width": width, "height": height})
        bench.page.wait_for_timeout(600)
        overflow = bench.page.evaluate(
            """() => ['html', '.panel-body', '.top-bar', '.side-controls']
                .map(name => document.querySelector(name))
                .map(part => part.scrollWidth - part.clientWidth)"""
        )
        assert max(overflow) <= 1, name
        bench.page.screenshot(path=output / f"revisions-{name}-{scheme}.png")
    bench.page.evaluate(AXE.read_text(encoding="utf-8"))
    found = bench.page.evaluate("axe.run()")
    assert [
        f"{rule['id']}: {node['target']}" for rule in found["violations"] for node in rule["nodes"]
    ] == []


def test_quick_model_and_finite_elements_stand_side_by_side(bench: Bench, output: Path) -> None:
    bench.go("prove")
    trust = bench.panel.get_by_role("region", name="How far to trust it")
    trust.get_by_label("Mesh").select_option("Coarse: soonest")
    trust.get_by_role("button", name="Confirm by finite elements").click()
    link = trust.get_by_role("link", name=re.compile("side by side"))
    expect(link).to_be_visible(timeout=CONFIRMING_MS)
    table = trust.get_by_role("table", name=re.compile("Area means in kPa"))
    row = table.get_by_role("row").filter(has_text=AREA).first
    quick, confirmed = row.get_by_role("cell").all_inner_texts()[:2]
    assert quick != confirmed
    link.click()
    ready(bench)
    assert bench.page.url.endswith("/revisions/confirmed")
    heads = [side.locator("figcaption strong").inner_text() for side in sides(bench)]
    # The demo is computed by the first estimate; the table before held the live model to it.
    assert heads == ["First estimate", "Finite elements"]
    assert f" → {confirmed}" in table_row(bench, "Standing, in kPa", AREA)
    left, right = sides(bench)
    assert apart(drawn(left), drawn(right)) > 0.05
    expect(bench.page.locator(".place-note")).to_have_count(0)
    expect(bench.panel.get_by_role("button", name=re.compile("up again"))).to_have_count(0)
    bench.page.get_by_text("Show", exact=True).click()
    bench.page.screenshot(path=output / "revisions-confirmed.png")
