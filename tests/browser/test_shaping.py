"""Areas shaped on the limb itself and in their table, with what follows beside them."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Locator, expect

from browser.workshop import Bench

pytestmark = pytest.mark.browser


def choose(bench: Bench, area: str) -> None:
    bench.panel.get_by_role("button", name=area, exact=True).click()
    expect(bench.page.locator('[data-handle="depth"] .handle-grip')).to_be_visible()


def drag(bench: Bench, grip: Locator, right: float, down: float, *, let_go: bool = True) -> None:
    box = grip.bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    bench.page.mouse.move(x, y)
    bench.page.mouse.down()
    bench.page.mouse.move(x + right, y + down, steps=6)
    if let_go:
        bench.page.mouse.up()


def handle(bench: Bench, name: str) -> Locator:
    return bench.page.locator(f'[data-handle="{name}"] .handle-grip')


def px_per_mm(bench: Bench) -> float:
    bar = bench.page.locator(".scale-bar")
    width = bar.locator("span").first.bounding_box()
    length = re.search(r"\d+", bar.inner_text())
    assert width is not None
    assert length is not None
    return width["width"] / float(length.group())


def shown(field: Locator) -> float:
    value = field.input_value() or field.get_attribute("placeholder") or ""
    return float(value.replace("−", "-"))


def undo(bench: Bench) -> None:
    bench.page.get_by_role("button", name="Undo").click()
    bench.settle()


def test_an_edge_is_dragged_by_mouse_and_taken_back_in_one_step(bench: Bench) -> None:
    bench.go("shape")
    bench.look("Front")
    choose(bench, "Tibial crest")
    length = bench.field("Tibial crest: length")
    down = bench.field("Moved down")
    before = shown(length)
    millimetre = px_per_mm(bench)
    drag(bench, handle(bench, "lower"), 0, -10 * millimetre, let_go=False)
    caption = bench.page.locator('[data-handle="lower"] .handle-caption')
    expect(caption).to_be_visible()
    expect(caption).to_contain_text("Length")
    held = float(re.findall(r"[\d.]+", caption.inner_text())[0])
    assert abs(before - held - 10) < 2.5
    # A drag that rests and goes on is still one step.
    bench.page.wait_for_timeout(1500)
    bench.page.mouse.up()
    bench.settle()
    assert shown(length) == held
    # The upper edge stays: what is shorter by ten is shifted by five.
    assert abs(shown(down) + (before - held) / 2) < 0.2
    undo(bench)
    assert shown(length) == before
    assert shown(down) == 0


def test_the_depth_is_dragged_by_its_handle_and_given_up_by_escape(bench: Bench) -> None:
    bench.go("shape")
    bench.look("Front")
    choose(bench, "Patellar tendon")
    depth = bench.field("Patellar tendon")
    before = shown(depth)
    drag(bench, handle(bench, "depth"), 20, -15)
    bench.settle()
    assert shown(depth) > before + 1
    undo(bench)
    assert shown(depth) == before
    drag(bench, handle(bench, "depth"), -12, 9, let_go=False)
    assert shown(depth) < before
    bench.page.keyboard.press("Escape")
    bench.page.mouse.up()
    bench.settle()
    assert shown(depth) == before


def test_handles_are_moved_by_keys_and_stay_when_nothing_is_coloured(bench: Bench) -> None:
    bench.go("shape")
    bench.look("Front")
    bench.page.get_by_label("Colour by").select_option("plain")
    choose(bench, "Patellar tendon")
    expect(bench.page.locator('[data-marker="area:patellar_tendon"]')).to_be_attached()
    width = bench.field("Patellar tendon: width")
    before = shown(width)
    edge = bench.page.get_by_role("slider", name="Patellar tendon: medial edge")
    edge.press("ArrowUp")
    bench.settle()
    assert shown(width) == before + 1
    expect(edge).to_have_attribute("aria-valuetext", re.compile("Width"))
    undo(bench)
    assert shown(width) == before


def test_an_area_chosen_in_shape_leaves_no_mark_that_could_be_dragged_for_a_landmark(
    bench: Bench,
) -> None:
    bench.go("shape")
    choose(bench, "Tibial tubercle")
    mark = bench.page.locator('[data-marker="area:tibial_tubercle"]')
    expect(mark).to_be_attached()
    for stage in ("capture", "align"):
        bench.go(stage)
        expect(mark).to_have_count(0)
    bench.go("prove")
    expect(mark).to_be_attached()


def test_a_row_of_the_table_is_the_area_on_the_limb(bench: Bench) -> None:
    bench.go("shape")
    bench.look("Front")
    choose(bench, "Tibial tubercle")
    field = bench.field("Tibial tubercle: width")
    field.fill("20")
    field.press("Enter")
    handle_words = bench.page.locator('[data-handle="ahead"]')
    expect(handle_words).to_have_attribute("aria-valuetext", re.compile(r"Width 20\.0\smm"))
    bench.settle()
    field.press("Alt+ArrowDown")
    expect(bench.page.locator('[data-marker^="area:"].selected')).not_to_have_attribute(
        "data-marker", "area:tibial_tubercle"
    )
    undo(bench)


def test_a_depth_beyond_bounds_is_refused_in_the_words_of_its_entry(bench: Bench) -> None:
    bench.go("shape")
    field = bench.field("Patellar tendon")
    was = field.input_value()
    field.fill("40")
    field.press("Enter")
    expect(
        bench.panel.get_by_text(re.compile(r"Pressed in by at most 20\smm; nothing was changed"))
    ).to_be_visible()
    expect(field).to_have_attribute("aria-invalid", "true")
    expect(bench.page.get_by_role("alert")).to_have_count(0)
    field.press("Escape")
    expect(field).to_have_value(was)
