"""What a shape does, read beside it: balance, plots, before and after, and the way to confirm."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import expect

from browser.test_shaping import choose, shown, undo
from browser.workshop import Bench

pytestmark = pytest.mark.browser


def test_the_table_follows_the_load_in_view_and_names_its_model(bench: Bench) -> None:
    bench.go("shape")
    bench.panel.get_by_label("Under load").select_option("donned")
    row = bench.panel.get_by_role("rowgroup").filter(
        has=bench.page.get_by_role("button", name="Patellar tendon", exact=True)
    )
    donned = row.get_by_role("row").first.inner_text()
    bench.panel.get_by_label("Under load").select_option("standing")
    expect(row.get_by_role("row").first).not_to_have_text(donned)
    expect(bench.panel.get_by_text("First estimate, up to date")).to_be_visible()
    bench.go("prove")
    bench.panel.get_by_label("Under load").select_option("standing")
    mean, peak = bench.row("Patellar tendon")[:2]
    bench.go("shape")
    cells = row.get_by_role("row").first.get_by_role("cell").all_inner_texts()
    assert [float(cell) for cell in cells[:2]] == [mean, peak]


def test_a_push_from_one_side_is_told_in_words_and_by_arrows(bench: Bench) -> None:
    bench.go("shape")
    arrow = bench.page.locator('[data-marker="push:donned"]')
    field = bench.field("Medial tibial flare")
    was = shown(field)
    bench.enter("Medial tibial flare", "12")
    block = bench.panel.get_by_role("region", name="Balance")
    # The engine's own sentence, and the page's words of the same pose.
    said = block.get_by_text(re.compile(r"limb is pushed [\d.]+ mm posteriorly"))
    size = re.search(r"pushed ([\d.]+)", said.inner_text())
    assert size is not None
    told = re.compile(rf"pushed {size.group(1)}\smm posteriorly")
    expect(block.get_by_text(told).first).to_be_visible()
    expect(arrow).to_have_attribute("aria-label", told)
    bench.show("Balance", on=False)
    expect(arrow).to_have_count(0)
    undo(bench)
    assert shown(field) == was


def test_plots_are_read_by_key_and_show_what_was_before(bench: Bench) -> None:
    bench.go("shape")
    chart = bench.panel.get_by_role("img", name=re.compile("^Girth by level"))
    keys = bench.panel.locator("figure.chart", has_text="Socket").first.locator(".chart-keys")
    expect(keys).not_to_contain_text("Before")
    bench.enter("Take-up of girth at level 1", "6")
    expect(keys).to_contain_text("Before")
    chart.focus()
    chart.press("ArrowRight")
    chart.press("ArrowRight")
    expect(keys).to_contain_text(re.compile("MPT|mid-patellar tendon"))

    def read(series: str) -> str:
        found = re.search(rf"{series}\D*([\d.]+)", keys.inner_text())
        assert found is not None
        return found.group(1)

    assert len(re.findall(r"\d+\.\d", keys.inner_text())) >= 3
    plain = bench.pixels()
    bench.panel.get_by_role("button", name="Outline of before on the limb").click()
    assert (plain != bench.pixels()).any()
    # Any revision may stand for before: here that of the edit before the last.
    was = read("Socket")
    bench.enter("Take-up of girth at level 1", "5")
    bench.panel.get_by_label("Before is", exact=True).select_option(index=0)
    expect(bench.panel.get_by_text("Computing the shape of revision")).to_have_count(0)
    assert read("Before") == was != read("Socket")
    undo(bench)
    undo(bench)


def test_space_and_pressure_are_read_around_the_level_of_the_cross_section(bench: Bench) -> None:
    bench.go("shape")
    bench.show("Cross-section")
    panel = bench.page.get_by_role("region", name="Cross-section")
    pressure = panel.get_by_role("img", name=re.compile("^Pressure around the level"))
    expect(pressure).to_be_visible()
    for word in ("lateral", "anterior", "medial", "posterior"):
        expect(pressure.get_by_text(word).first).to_be_attached()
    pressure.focus()
    pressure.press("ArrowRight")
    expect(panel.locator(".chart-keys").last).to_contain_text("on the lateral side")
    bench.show("Cross-section", on=False)


def test_the_way_from_shape_to_its_confirmation(bench: Bench, output: Path) -> None:
    bench.go("shape")
    choose(bench, "Patellar tendon")
    bench.page.screenshot(path=output / "shape-handles.png")
    bench.panel.get_by_role("link", name=re.compile("Confirm by finite elements")).click()
    button = bench.panel.get_by_role("button", name="Confirm by finite elements")
    expect(button).to_be_focused()
