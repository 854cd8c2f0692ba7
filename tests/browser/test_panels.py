"""The leg's panels worked by hand: seat, parts, a dragged foot."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from playwright.sync_api import expect

from browser.fingers import middle
from browser.test_shaping import undo
from browser.workshop import Bench

pytestmark = pytest.mark.browser


def test_an_axis_is_taken_from_the_table_of_what_each_costs(bench: Bench) -> None:
    bench.go("couple")
    axis = bench.field("Axis that it is set on")
    expect(axis).to_have_value("balanced")
    bench.panel.get_by_role("button", name="Take Distal limb").click()
    bench.settle()
    expect(axis).to_have_value("distal")
    assert bench.row("Distal limb")[:2] == [0.0, 0.0]
    assert bench.row("Unloaded")[0] == 0.0
    bench.panel.get_by_role("button", name="Take Between target and adapters").click()
    bench.settle()
    expect(axis).to_have_value("balanced")


def test_a_part_is_chosen_by_its_key_and_its_height_stands_in_the_stack(bench: Bench) -> None:
    bench.go("couple")
    stack = bench.panel.get_by_role("img", name="Build height to scale")
    expect(stack).to_contain_text("Left for the tube")
    part = bench.panel.get_by_role("combobox", name="Coupling", exact=True)
    part.select_option("example-magnet-lock")
    bench.settle()
    expect(bench.panel.get_by_text("Invented example.")).to_be_visible()
    bench.panel.get_by_text("What each height rests on").click()
    row = bench.panel.get_by_role("row").filter(has_text="Coupling body")
    expect(row).to_contain_text("example-magnet-lock")
    part.select_option("")
    bench.settle()


def test_an_exit_on_the_shin_is_turned_to_the_free_direction(bench: Bench) -> None:
    bench.go("couple")
    bench.enter("Exit, from lateral towards anterior", "90")
    bench.panel.get_by_role("button", name="Turn the exit there").click()
    bench.settle()
    expect(bench.panel.get_by_text("is free of trim line and shin")).to_be_visible()
    expect(bench.field("Exit, from lateral towards anterior")).not_to_have_value("90")
    bench.enter("Exit, from lateral towards anterior", "180")


def test_the_foot_is_dragged_and_moved_by_keys_and_the_moments_follow(bench: Bench) -> None:
    bench.go("align")
    foot = bench.panel.get_by_role("slider", name="Foot in the front view")
    typed = bench.panel.get_by_role("textbox", name="Foot outward by")
    foot.scroll_into_view_if_needed()
    box = foot.bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] * 0.6
    bench.page.mouse.move(x, y)
    bench.page.mouse.down()
    # The right limb's outer side is on the left of one who faces it.
    bench.page.mouse.move(x - 6, y, steps=3)
    view = bench.panel.get_by_role("figure").filter(has_text="From the front")
    expect(view).to_contain_text("outward")
    expect(view).to_contain_text("→")
    # The old leg and its load line stay as a ghost, 1 mm of the page a mm of the foot.
    lines = view.locator(".leg-load")
    expect(lines).to_have_count(2)
    was, then = (float(lines.nth(n).get_attribute("x1") or "nan") for n in (0, 1))
    moved = int(foot.get_attribute("aria-valuenow") or "0")
    assert 5 <= moved <= 15
    assert then - was == pytest.approx(-moved)
    bench.page.mouse.up()
    foot.press("ArrowRight")
    assert foot.get_attribute("aria-valuenow") == f"{moved - 1}"
    assert "N·m" in (foot.get_attribute("aria-valuetext") or "")
    foot.press("Home")
    readout = bench.panel.get_by_role("region", name="The foot tried elsewhere")
    bench.panel.get_by_role("button", name="Forget").click()
    expect(readout).to_have_count(0)
    expect(typed).to_have_value("0.0")


def differing(one: np.ndarray, other: np.ndarray) -> float:
    """Share of a picture that looks otherwise than in another."""
    return float((np.abs(one.astype(int) - other.astype(int)).sum(axis=2) > 30).mean())


def test_the_picture_shows_the_pressure_of_a_tried_foot(bench: Bench, output: Path) -> None:
    bench.go("align")
    bench.page.get_by_label("Colour by").select_option("pressure")
    bench.show("Skin")
    bench.show("Socket, inside", False)
    bench.show("Leg line", False)
    bench.page.get_by_label("Under load").select_option("mid_stance")
    bench.page.get_by_role("button", name="Fit", exact=True).click()
    bench.settle()
    title = bench.page.locator(".legend strong")
    expect(title).to_have_text("Pressure")
    stands = bench.pixels()
    foot = bench.panel.get_by_role("slider", name="Foot in the front view")
    for _ in range(8):
        foot.press("ArrowLeft")
    expect(bench.panel.get_by_text("Pressure changes most at")).to_be_visible(timeout=60_000)
    expect(title).to_have_text("Pressure as tried")
    hint = bench.page.get_by_text("Pressure with the foot as tried")
    expect(hint).to_be_visible()
    expect(bench.page.locator(".picture.stale")).to_have_count(0)
    bench.page.screenshot(path=output / "leg-tried-pressure.png")
    assert differing(stands, bench.pixels()) > 0.0008
    bench.panel.get_by_role("button", name="Forget").click()
    expect(hint).to_have_count(0)
    expect(title).to_have_text("Pressure")
    assert differing(stands, bench.pixels()) < 0.0002


def test_a_tried_foot_is_set_at_the_screws_and_undone(bench: Bench, output: Path) -> None:
    bench.go("align")
    foot = bench.panel.get_by_role("slider", name="Foot in the front view")
    as_set = moments_as_set(bench)
    for _ in range(6):
        foot.press("ArrowLeft")
    readout = bench.panel.get_by_role("region", name="The foot tried elsewhere")
    set_so = readout.get_by_role("button", name="Turn the screws so")
    expect(set_so).to_be_enabled(timeout=60_000)
    expect(readout).to_contain_text("Pressure changes most at")
    expect(readout).to_contain_text("back out the")
    # the answer to what is wanted must not gainsay the turns of what is tried
    expect(bench.panel).to_contain_text("A foot is being tried: its screws are listed")
    expect(bench.panel.get_by_text("Nothing to turn")).to_have_count(0)
    counts = readout.locator(".turn-count").all_inner_texts()
    readout.scroll_into_view_if_needed()
    for scheme in ("light", "dark"):
        bench.page.emulate_media(color_scheme=scheme)
        bench.page.screenshot(path=output / f"leg-tried-{scheme}.png")
    bench.page.set_viewport_size({"width": 1024, "height": 768})
    foot.scroll_into_view_if_needed()
    bench.page.screenshot(path=output / "leg-tried-tablet.png")
    cells = [cell.inner_text().split(" → ") for cell in readout.locator("tbody td").all()]
    assert all(len(pair) == 2 for pair in cells)
    before, after = ([pair[n] for pair in cells] for n in (0, 1))
    # coronal mid; sagittal early, mid, late
    picked = (1, 3, 4, 5)
    assert [before[n] for n in picked] == as_set
    assert after[1] != before[1]
    set_so.click()
    bench.settle()
    expect(readout).to_have_count(0)
    assert moments_as_set(bench) == [after[n] for n in picked]
    turned = bench.panel.get_by_role("region", name="Turned so far")
    expect(turned).to_contain_text("Turned from the planned bench setting")
    assert turned.locator(".turn-count").all_inner_texts() == counts
    expect(bench.panel).to_contain_text("Planned, before the turns. After them the foot stands")
    turned.scroll_into_view_if_needed()
    for scheme in ("light", "dark"):
        bench.page.emulate_media(color_scheme=scheme)
        bench.page.screenshot(path=output / f"leg-turned-{scheme}.png")
    undo(bench)
    expect(turned).to_have_count(0)
    assert moments_as_set(bench) == as_set


def test_a_wish_out_of_reach_is_not_forgotten_with_the_turns_that_come_nearest(
    bench: Bench, output: Path
) -> None:
    bench.go("align")
    outward = bench.field("Foot outward by")
    outward.fill("38")
    outward.press("Enter")
    bench.settle()
    readout = bench.panel.get_by_role("region", name="The foot tried elsewhere")
    set_so = readout.get_by_role("button", name="Turn the screws so")
    expect(set_so).to_be_enabled(timeout=60_000)
    expect(readout).to_contain_text("Out of the adapters’ reach")
    set_so.click()
    bench.settle()
    turned = bench.panel.get_by_role("region", name="Turned so far")
    expect(turned).to_contain_text(
        "come as near as the adapters reach to what was wanted: 38 mm outward"
    )
    turned.scroll_into_view_if_needed()
    bench.page.screenshot(path=output / "leg-out-of-reach.png")
    undo(bench)
    expect(turned).to_have_count(0)


def moments_as_set(bench: Bench) -> list[str]:
    """Of the table of small changes, the leg as it stands."""
    row = bench.panel.get_by_role("row", include_hidden=True).filter(has_text="As set")
    return [text.strip() for text in row.locator("td").all_text_contents()][:4]


def test_what_nobody_asked_stays_unasked_and_an_answer_changes_the_advice(bench: Bench) -> None:
    bench.go("assess")
    pull = bench.field("Pain at the end when pulled")
    expect(pull).to_have_value("")
    told = bench.panel.locator(".suspensions summary").filter(has_text=re.compile("^Pin"))
    before = told.inner_text()
    pull.select_option("yes")
    bench.settle()
    expect(told).not_to_have_text(before)
    pull.select_option("")
    bench.settle()
    expect(told).to_have_text(before)


def test_a_score_is_kept_with_its_day_and_says_what_it_speaks_for(bench: Bench) -> None:
    bench.go("assess")
    bench.field("Its total").fill("40")
    bench.field("Its total").press("Enter")
    bench.panel.get_by_role("button", name="Add the score").click()
    bench.settle()
    row = bench.panel.get_by_role("row").filter(has_text="AMPPRO")
    expect(row).to_contain_text("K3")
    row.get_by_role("button", name="Remove").click()
    bench.settle()


def test_a_felt_depth_is_held_on_to_by_the_bones(bench: Bench) -> None:
    bench.go("capture")
    bench.panel.get_by_role("combobox", name="Landmark").select_option("fibular_head")
    bench.enter("Depth of the bone there", "9")
    row = bench.panel.get_by_role("table").filter(has_text="Soft tissue over bone")
    felt = row.get_by_role("row").filter(has_text="Fibular head")
    expect(felt).to_contain_text("Measured")
    # Fitted to every landmark together, the bone passes close to the felt depth, not through it.
    depth_mm = float(felt.get_by_role("cell").first.inner_text().split()[0])
    assert depth_mm == pytest.approx(9, abs=0.3)
    bench.enter("Depth of the bone there", "")
    expect(felt).to_contain_text("Estimated")


def test_a_slipped_depth_is_left_out_and_told_at_its_entry_until_it_is_confirmed(
    bench: Bench,
) -> None:
    bench.go("capture")
    bench.panel.get_by_role("combobox", name="Landmark").select_option("crest_lower")
    bench.enter("Depth of the bone there", "30")
    table = bench.panel.get_by_role("table").filter(has_text="Soft tissue over bone")
    row = table.get_by_role("row").filter(has_text="Crest lower")
    entry = bench.panel.locator(".form", has=bench.page.get_by_label("Depth of the bone there"))
    expect(entry.get_by_text("The bones are estimated without it")).to_be_visible()
    expect(row).to_contain_text("Estimated")
    entry.get_by_label("This depth was checked and is right").check()
    bench.settle()
    expect(entry.get_by_text("The bones hold on to it")).to_be_visible()
    expect(row).to_contain_text("Measured")
    bench.enter("Depth of the bone there", "")
    expect(entry.get_by_label("This depth was checked and is right")).to_have_count(0)


def test_the_casting_sheet_is_downloaded(bench: Bench) -> None:
    bench.go("capture")
    button = bench.panel.get_by_role("button", name="Download the casting sheet (PDF)")
    with bench.page.expect_download() as waiting:
        button.click()
    content = waiting.value.path().read_bytes()
    assert waiting.value.suggested_filename == "casting_sheet.pdf"
    assert content.startswith(b"%PDF")


def test_a_distance_is_measured_between_two_touched_points(bench: Bench) -> None:
    bench.go("assess")
    bench.look("Front")
    bench.page.get_by_role("button", name="Measure", exact=True).click()
    x, y = bench.centre()
    note = bench.page.get_by_role("status").filter(has_text="Touch the skin at the")
    expect(note).to_contain_text("first")
    bench.page.mouse.click(x - 30, y)
    expect(note).to_contain_text("second")
    bench.page.mouse.click(x + 30, y)
    told = bench.page.get_by_role("status").filter(has_text="along the skin")
    expect(told).to_be_visible()
    straight, along = (float(text) for text in re.findall(r"[\d.]+", told.inner_text())[:2])
    assert 10 < straight <= along < 3 * straight
    told.get_by_role("button", name="Done").click()
    expect(bench.page.get_by_text("along the skin")).to_have_count(0)


def test_a_distance_asks_for_the_skin_where_it_is_not_shown(bench: Bench) -> None:
    bench.go("shape")
    bench.page.get_by_role("button", name="Measure", exact=True).click()
    note = bench.page.get_by_role("status").filter(has_text="Distances are measured on the skin")
    expect(note).to_be_visible()
    bench.page.mouse.click(*bench.centre())
    expect(note).to_be_visible()
    bench.show("Skin")
    expect(bench.page.get_by_role("status").filter(has_text="first point")).to_be_visible()
    bench.show("Skin", on=False)
    note.get_by_role("button", name="Done").click()


def test_pressures_are_held_against_another_revision_with_a_legend_both_ways(bench: Bench) -> None:
    bench.go("shape")
    bench.enter("Patellar tendon", "6")
    bench.go("prove")
    controls = bench.page.locator(".layer-controls")
    controls.get_by_label("Colour by").select_option("change")
    bench.page.get_by_label("Against").select_option(index=1)
    legend = bench.page.locator(".legend")
    expect(legend).to_contain_text("Change of pressure")
    expect(legend).to_contain_text("more than before")
    expect(legend).to_contain_text("less than before")
    controls.get_by_label("Colour by").select_option("wall")
    expect(legend).to_contain_text("Use of the wall")
    controls.get_by_label("Colour by").select_option("pressure")
    bench.page.get_by_role("button", name=re.compile("^Undo")).click()
    bench.settle()


def test_a_point_of_the_trim_line_is_dragged_and_nudged(bench: Bench) -> None:
    bench.go("shape")
    bench.settle()
    bench.look("Front")
    front = bench.field("Anterior")
    was = float(front.input_value())
    point = bench.page.get_by_role("button", name=re.compile(r"^Anterior \d+ mm$"))
    box = point.locator(".marker-dot").bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    bench.page.mouse.move(x, y)
    bench.page.mouse.down()
    bench.page.mouse.move(x, y + 8, steps=3)
    bench.page.mouse.up()
    bench.settle()
    lowered = float(front.input_value())
    assert lowered < was
    bench.page.locator(".canvas-host").press("Shift+ArrowUp")
    bench.settle()
    expect(front).to_have_value(f"{lowered + 1:.0f}")
    bench.enter("Anterior", f"{was:.0f}")


def test_a_point_of_the_take_up_curve_is_moved_by_keys_and_dragged(bench: Bench) -> None:
    bench.go("shape")
    point = bench.panel.get_by_role("slider", name="Take-up at level 1")
    girth = bench.field("Take-up of girth at level 1")
    was = float(girth.input_value())
    point.press("ArrowRight")
    bench.settle()
    expect(girth).to_have_value(f"{was + 0.5:.1f}")
    box = point.bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    bench.page.mouse.move(x, y)
    bench.page.mouse.down()
    bench.page.mouse.move(x + 25, y, steps=3)
    bench.page.mouse.up()
    bench.settle()
    assert float(girth.input_value()) > was + 0.5
    bench.enter("Take-up of girth at level 1", f"{was:.1f}")


def test_a_dragged_landmark_tells_the_frame_before_it_is_let_go(bench: Bench) -> None:
    bench.go("capture")
    bench.look("Front")
    stored = bench.workshop.folder.joinpath("case.toml").read_bytes()
    mark = bench.page.locator("[data-marker='landmark:mid_patellar_tendon'] .marker-dot")
    x, y = middle(mark)
    bench.page.mouse.move(x, y)
    bench.page.mouse.down()
    bench.page.mouse.move(x, y + 6)
    bench.page.mouse.move(x, y + 12)
    note = bench.page.get_by_role("status").filter(has_text="Mid-patellar tendon here")
    expect(note).to_contain_text(re.compile(r"zero level \d+\.\d\smm lower"))
    expect(note).to_contain_text("of limb below zero")
    bench.page.keyboard.press("Escape")
    expect(note).to_have_count(0)
    bench.page.mouse.up()
    bench.settle()
    assert bench.workshop.folder.joinpath("case.toml").read_bytes() == stored
