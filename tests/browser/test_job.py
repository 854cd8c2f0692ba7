"""The job as a person does it: each edit shows its consequences."""

from __future__ import annotations

import json
import re
import zipfile
from pathlib import Path

import numpy as np
import pytest
from playwright.sync_api import expect

from browser.workshop import STAGES, Bench

pytestmark = pytest.mark.browser


def test_a_deeper_load_area_carries_more_pressure(bench: Bench) -> None:
    bench.go("prove")
    bench.panel.get_by_label("Under load").select_option("Donned")
    before = bench.row("Medial tibial flare")
    bench.go("shape")
    picture = bench.pixels()
    was = bench.field("Medial tibial flare").input_value()
    bench.enter("Medial tibial flare", str(float(was) + 2))
    assert np.abs(picture.astype(int) - bench.pixels().astype(int)).max() > 30
    bench.go("prove")
    after = bench.row("Medial tibial flare")
    assert after[0] > before[0] + 1
    bench.go("shape")
    bench.enter("Medial tibial flare", was)
    bench.go("prove")
    assert bench.row("Medial tibial flare") == before


def test_the_slider_deepens_an_area_by_keys_and_the_number_follows(bench: Bench) -> None:
    bench.go("shape")
    field = bench.field("Fibular head")
    before = float(field.input_value())
    field.focus()
    slider = bench.panel.get_by_label("Fibular head, slider")
    slider.focus()
    slider.press("ArrowRight")
    expect(field).to_have_value(f"{before + 0.5:.1f}")
    bench.settle()
    slider.press("ArrowLeft")
    expect(field).to_have_value(f"{before:.1f}")
    bench.settle()


def test_a_more_inset_foot_drives_the_knee_outward(bench: Bench) -> None:
    bench.go("align")
    chart = bench.panel.get_by_role("img", name=re.compile("Moments on the socket"))
    shown = chart.get_attribute("aria-label")
    before = bench.row("Mid stance")
    bench.enter("Foot inset", "24")
    after = bench.row("Mid stance")
    # Columns: forces up, forward, outward; coronal moment, positive drives the knee outward.
    assert after[3] > before[3] + 1
    assert chart.get_attribute("aria-label") != shown
    bench.enter("Foot inset", "")
    assert bench.row("Mid stance") == before


def test_a_wanted_change_is_answered_in_screw_turns(bench: Bench) -> None:
    bench.go("align")
    bench.enter("Foot outward by", "6")
    turns = bench.panel.locator(".turns li")
    expect(turns.first).to_contain_text("adapter: back out the")
    reached = bench.panel.locator(".facts div").filter(has_text="Reached: outward")
    value = re.search(r"[−-]?[\d.]+", reached.inner_text().split("\n")[-1])
    assert value is not None
    # Quarter turns of a 1 mm thread, 12 mm from the ball, move the foot by millimetres.
    assert 2 < float(value.group().replace("−", "-")) < 10
    bench.enter("Foot outward by", "0")


def test_a_landmark_is_placed_by_touching_the_limb(bench: Bench) -> None:
    bench.go("capture")
    bench.look("Back")
    row = bench.panel.get_by_role("row").filter(has_text="Popliteal centre").first
    row.get_by_role("button", name="Place").click()
    expect(bench.page.get_by_text("Touch the limb at the place of")).to_be_visible()
    x, y = bench.centre()
    bench.page.mouse.click(x, y - 30)
    bench.settle()
    expect(row).to_contain_text("Given")
    expect(bench.page.get_by_text("Touch the limb at the place of")).to_be_hidden()
    marker = bench.page.locator("[data-marker='landmark:popliteal_centre']")
    box = marker.locator(".marker-dot").bounding_box()
    assert box is not None
    # It stands where the limb was touched: within a few pixels, the frame having moved a little.
    assert abs(box["x"] + box["width"] / 2 - x) < 12
    assert abs(box["y"] + box["height"] / 2 - (y - 30)) < 12


def test_a_proposed_landmark_is_accepted_where_it_stands(bench: Bench) -> None:
    bench.go("capture")
    row = bench.panel.get_by_role("row").filter(has_text="Medial hamstring tendon").first
    expect(row).to_contain_text("A guess")
    row.get_by_role("button", name="Accept").click()
    bench.settle()
    expect(row).to_contain_text("Given")
    expect(row.get_by_role("button", name="Accept")).to_have_count(0)


def test_a_landmark_is_dragged_along_the_limb(bench: Bench) -> None:
    bench.go("capture")
    bench.look("Front")
    dot = bench.page.locator("[data-marker='landmark:crest_lower'] .marker-dot")
    box = dot.bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    bench.page.mouse.move(x, y)
    bench.page.mouse.down()
    bench.page.mouse.move(x + 4, y - 18, steps=4)
    bench.page.mouse.up()
    bench.settle()
    moved = dot.bounding_box()
    assert moved is not None
    assert abs(moved["y"] + moved["height"] / 2 - (y - 18)) < 8


def test_giving_up_a_placement_leaves_the_case_alone(bench: Bench) -> None:
    bench.go("capture")
    revision = bench.page.locator(".state-of-things .quiet").inner_text().split(",")[0]
    row = bench.panel.get_by_role("row").filter(has_text="Limb end").first
    row.get_by_role("button", name="Place").click()
    bench.page.keyboard.press("Escape")
    expect(bench.page.get_by_text("Touch the limb at the place of")).to_be_hidden()
    x, y = bench.centre()
    bench.page.mouse.click(x, y)
    bench.page.wait_for_timeout(300)
    expect(bench.page.locator(".state-of-things")).to_contain_text(revision)


def test_units_switch_and_come_back_exactly(bench: Bench) -> None:
    revision = bench.page.locator(".state-of-things .quiet").inner_text().split(",")[0]
    for stage in STAGES:
        bench.go(stage)
        entries = bench.panel.locator("input[inputmode=decimal]:visible")
        # An entry of a table opens its row: each is opened once, so that the last one stays open.
        for opener in entries.element_handles():
            opener.focus()
        before = bench.values()
        bench.page.get_by_label("inch", exact=True).check(force=True)
        bench.page.get_by_label("lb", exact=True).check(force=True)
        for entry in entries.all():
            entry.focus()
        entry_units = bench.panel.locator(".entry-unit").all_inner_texts()
        assert "mm" not in entry_units
        assert "kg" not in entry_units
        bench.page.get_by_label("mm", exact=True).check(force=True)
        bench.page.get_by_label("kg", exact=True).check(force=True)
        assert bench.values() == before
    expect(bench.page.locator(".state-of-things")).to_contain_text(revision)


def test_a_mass_typed_in_pounds_is_stored_in_kilograms(bench: Bench) -> None:
    bench.go("assess")
    was = bench.field("Body mass").input_value()
    bench.page.get_by_label("lb", exact=True).check(force=True)
    bench.enter("Body mass", "200")
    bench.page.get_by_label("kg", exact=True).check(force=True)
    # 200 avoirdupois pounds of 0.45359237 kg.
    expect(bench.field("Body mass")).to_have_value("90.7")
    text = (bench.workshop.folder / "case.toml").read_text("utf-8")
    assert re.search(r"mass_kg = 90\.718474\b", text)
    bench.enter("Body mass", was)


def test_everything_is_made_and_downloaded(bench: Bench, tmp_path: Path) -> None:
    bench.go("make")
    bench.panel.get_by_role("button", name="Make the files").click()
    files = bench.panel.locator(".made-files button")
    expect(files.first).to_be_visible(timeout=240_000)
    names = bench.panel.locator(".made-files .file-name").all_inner_texts()
    assert any(name.endswith(".3mf") for name in names)
    assert any(name.endswith(".pdf") for name in names)
    for name in names:
        with bench.page.expect_download() as download:
            files.filter(has_text=name).click()
        path = tmp_path / name
        download.value.save_as(path)
        _assert_is_what_it_says(path)


def _assert_is_what_it_says(path: Path) -> None:
    content = path.read_bytes()
    if path.suffix == ".pdf":
        assert content.startswith(b"%PDF-")
    elif path.suffix == ".3mf":
        assert zipfile.is_zipfile(path)
    elif path.suffix == ".stl":
        # Binary: 80 bytes, the number of triangles, 50 bytes each.
        assert len(content) == 84 + 50 * int.from_bytes(content[80:84], "little")
    elif path.suffix == ".json":
        json.loads(content)
    else:
        assert content


def test_a_change_is_taken_back_and_made_again(bench: Bench) -> None:
    bench.go("align")
    before = bench.field("Foot inset").input_value()
    bench.enter("Foot inset", "31")
    undo = bench.page.get_by_role("button", name="Undo")
    undo.click()
    bench.settle()
    assert bench.field("Foot inset").input_value() == before
    expect(undo).to_be_disabled()
    # By key, with no entry of text in focus.
    bench.page.locator(".canvas-host").first.focus()
    bench.page.keyboard.press("Control+Shift+Z")
    bench.settle()
    assert bench.field("Foot inset").input_value() == "31.0"
    bench.page.keyboard.press("Control+z")
    bench.settle()
    assert bench.field("Foot inset").input_value() == before


def test_an_area_is_moved_and_deepened_on_the_limb(bench: Bench) -> None:
    bench.go("shape")
    depth = bench.field("Patellar tendon")
    depth.focus()
    down = bench.field("Moved down")
    before = float(depth.input_value())
    assert float(down.input_value()) == 0
    # By dragging its mark straight down, as the picture's own bar of length measures it.
    bench.look("Front")
    mark = bench.page.locator('[data-marker="area:patellar_tendon"]')
    box = mark.locator(".marker-dot").bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    bar = bench.page.locator(".scale-bar")
    width = bar.locator("span").first.bounding_box()
    length = re.search(r"\d+", bar.inner_text())
    assert width is not None
    assert length is not None
    px_per_mm = width["width"] / float(length.group())
    bench.page.mouse.move(x, y)
    bench.page.mouse.down()
    bench.page.mouse.move(x, y + 6 * px_per_mm, steps=4)
    bench.page.mouse.up()
    bench.settle()
    assert abs(float(down.input_value().replace("−", "-")) - 6) < 1.5
    # And by key.
    bench.page.locator(".canvas-host").first.focus()
    bench.page.keyboard.press("Shift+PageUp")
    bench.settle()
    assert float(depth.input_value()) == before + 0.5
    for _ in range(2):
        bench.page.get_by_role("button", name="Undo").click()
        bench.settle()
    assert float(down.input_value()) == 0
    assert float(depth.input_value()) == before
