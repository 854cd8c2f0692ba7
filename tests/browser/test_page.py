"""How the page behaves: addresses, trouble, what is always said, who can use it."""

from __future__ import annotations

import re
import time
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, Route, expect

from browser.workshop import EVALUATION_MS, STAGES, Bench, Workshop
from limbwright.case.folder import read_case

pytestmark = pytest.mark.browser

AXE = Path(__file__).resolve().parents[2] / "web" / "node_modules" / "axe-core" / "axe.min.js"
SIZES = {
    "desktop": (1366, 768),
    "tablet": (1024, 768),
    "enlarged": (683, 768),
    "tall": (1366, 3600),
}


def test_the_key_leaves_the_address(bench: Bench) -> None:
    assert "token" not in bench.page.url
    # Nor does the folder's name stand in it, which may be a person's.
    assert re.search("#/case/[0-9a-f]{12}/assess$", bench.page.url)


def test_back_and_forward_go_through_the_stages(bench: Bench) -> None:
    bench.go("shape")
    bench.go("align")
    bench.page.go_back()
    expect(bench.panel.get_by_role("heading", level=2)).to_have_text("Shape")
    bench.page.go_forward()
    expect(bench.panel.get_by_role("heading", level=2)).to_have_text("Align")
    bench.page.reload()
    bench.settle()
    expect(bench.panel.get_by_role("heading", level=2)).to_have_text("Align")


def test_the_list_of_cases_is_reached_from_the_name_in_the_bar(bench: Bench) -> None:
    bench.page.get_by_role("link", name="Limbwright").click()
    entry = bench.page.get_by_role("link", name="Demo case")
    expect(bench.page.get_by_text("Invented person")).to_be_visible()
    entry.click()
    bench.settle()


def test_a_page_without_the_key_says_what_to_do(browser: Browser, workshop: Workshop) -> None:
    context = browser.new_context()
    page = context.new_page()
    page.goto(workshop.address.split("#")[0])
    expect(page.get_by_text("needs the key that the service printed")).to_be_visible()
    context.close()


def test_cautions_stand_in_every_panel(bench: Bench) -> None:
    for stage in STAGES:
        bench.go(stage)
        cautions = bench.panel.get_by_role("complementary", name="Cautions")
        expect(cautions).to_contain_text("never makes it")
        expect(cautions).to_contain_text("not validated on people")


def test_what_is_not_established_is_never_shown_as_a_pass(bench: Bench) -> None:
    bench.go("prove")
    table = bench.panel.get_by_role("table").first
    unknown = table.get_by_role("row").filter(has_text="no limit established")
    assert unknown.count() > 0
    assert not any("%" in text for text in unknown.all_inner_texts())


def test_findings_lead_to_their_stage(bench: Bench) -> None:
    link = bench.page.locator(".all-findings .finding-stage > a").last
    stage = link.inner_text()
    link.click()
    expect(bench.panel.get_by_role("heading", level=2)).to_have_text(stage)


def _slowly(route: Route) -> None:
    time.sleep(0.7)
    route.continue_()


def test_stale_results_are_dimmed_until_they_are_replaced(bench: Bench) -> None:
    bench.go("align")
    bench.page.route("**/evaluation*", _slowly)
    field = bench.field("Foot inset")
    field.fill("15")
    field.press("Enter")
    expect(bench.page.get_by_test_id("state")).to_have_text("Recomputing …")
    expect(bench.panel.locator(".results.stale").first).to_be_visible()
    expect(bench.page.locator(".picture.stale")).to_be_visible()
    bench.settle()
    expect(bench.panel.locator(".results.stale")).to_have_count(0)
    expect(bench.page.locator(".picture.stale")).to_have_count(0)
    bench.page.unroute("**/evaluation*")
    bench.enter("Foot inset", "")


def test_steps_are_taken_back_after_a_reload(bench: Bench) -> None:
    bench.go("align")
    before = bench.field("Foot inset").input_value()
    bench.enter("Foot inset", "7")
    bench.page.reload()
    bench.settle()
    expect(bench.field("Foot inset")).to_have_value("7.0")
    bench.page.get_by_role("button", name="Undo").click()
    bench.settle()
    expect(bench.field("Foot inset")).to_have_value(before)


def test_a_lost_service_loses_no_edit(bench: Bench) -> None:
    bench.expect_noise("net::ERR")
    bench.go("align")
    bench.page.route("**/api/**", lambda route: route.abort())
    field = bench.field("Foot inset")
    field.fill("9")
    field.press("Enter")
    banner = bench.page.get_by_role("alert")
    expect(banner).to_contain_text("does not answer")
    bench.page.unroute("**/api/**")
    banner.get_by_role("button", name="Try now").click()
    bench.settle()
    expect(banner).to_have_count(0)
    expect(field).to_have_value("9.0")
    bench.enter("Foot inset", "")


def test_a_value_out_of_bounds_is_refused_at_its_place_and_can_be_taken_back(bench: Bench) -> None:
    bench.expect_noise("422")
    bench.go("shape")
    field = bench.field("Take-up of girth at level 1")
    was = field.input_value()
    field.fill("55")
    field.press("Enter")
    banner = bench.page.get_by_role("alert")
    expect(banner).to_contain_text("Shape, take up 1, girth")
    expect(field).to_have_attribute("aria-invalid", "true")
    banner.get_by_role("button", name="Take back my change").click()
    bench.settle()
    expect(field).to_have_value(was)
    expect(banner).to_have_count(0)


def test_a_refusal_leaves_the_limb_its_room_on_a_tablet(tablet: Bench) -> None:
    tablet.expect_noise("422")
    tablet.go("shape")
    field = tablet.field("Take-up of girth at level 1")
    field.fill("55")
    field.press("Enter")
    banner = tablet.page.get_by_role("alert")
    expect(banner).to_contain_text("Shape, take up 1, girth")
    words = banner.locator("ul").bounding_box()
    button = banner.get_by_role("button", name="Take back my change").bounding_box()
    assert words is not None
    assert button is not None
    # Beside one another, and not in rows that take the picture its height.
    assert button["y"] < words["y"] + words["height"]
    assert button["x"] > words["x"] + words["width"] - 1
    banner.get_by_role("button", name="Take back my change").tap()
    tablet.settle()


def test_a_case_that_is_not_there_leads_back_to_the_list(bench: Bench) -> None:
    bench.expect_noise("404")
    bench.page.evaluate("location.hash = '/case/000000000000/assess'")
    banner = bench.page.get_by_role("alert")
    expect(banner).to_contain_text("no such case")
    expect(bench.page.get_by_text("Opening the case")).to_have_count(0)
    expect(banner.get_by_role("button", name="Take back my change")).to_have_count(0)
    banner.get_by_role("link", name="All cases").click()
    expect(bench.page.get_by_role("heading", name="Cases")).to_be_visible()


def test_two_pages_on_one_case_never_overwrite_silently(bench: Bench) -> None:
    bench.expect_noise("409")
    bench.go("align")
    other = Bench(bench.page.context.new_page(), bench.workshop)
    other.open()
    other.go("align")
    other.enter("Foot inset", "17")
    field = bench.field("Foot inset")
    field.fill("3")
    field.press("Enter")
    banner = bench.page.get_by_role("alert")
    expect(banner).to_contain_text("changed elsewhere")
    banner.get_by_role("button", name="Load the stored case").click()
    bench.settle()
    expect(field).to_have_value("17.0")
    other.page.close()
    bench.enter("Foot inset", "")


def test_the_whole_page_is_reached_by_keys(bench: Bench) -> None:
    bench.go("assess")
    bench.page.evaluate("document.activeElement.blur()")
    names = []
    for _ in range(70):
        bench.page.keyboard.press("Tab")
        names.append(
            bench.page.evaluate(
                """() => {
                    const at = document.activeElement;
                    const outline = getComputedStyle(at).outlineStyle !== 'none';
                    const around = at.closest('.entry, .segment')?.matches(':focus-within');
                    return [at.className || at.tagName, at.textContent.trim(), outline || around];
                }"""
            )
        )
    texts = " ".join(f"{kind} {text}" for kind, text, _ in names)
    for wanted in ("Capture", "Front", "canvas-host", "INPUT", "SELECT"):
        assert wanted in texts, wanted
    seen = [visible for kind, _, visible in names if kind != "BODY"]
    assert all(seen)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_panel_fails_the_accessibility_rules(bench: Bench, scheme: str) -> None:
    bench.page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
    bench.page.evaluate(AXE.read_text("utf-8"))
    for stage in STAGES:
        bench.go(stage)
        found = bench.page.evaluate("axe.run()")
        broken = [
            f"{stage}: {rule['id']}: {node['target']} {node['failureSummary']}"
            for rule in found["violations"]
            for node in rule["nodes"]
        ]
        assert not broken, "\n".join(broken)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", SIZES)
def test_every_panel_fits_its_place(bench: Bench, output: Path, scheme: str, size: str) -> None:
    width, height = SIZES[size]
    bench.page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
    bench.page.set_viewport_size({"width": width, "height": height})
    for stage in STAGES:
        bench.go(stage)
        bench.settle()
        bench.page.wait_for_timeout(500)
        bench.page.screenshot(
            path=output / f"{stage}-{size}-{scheme}.png", full_page=size == "enlarged"
        )
        assert _sideways(bench.page) == []


def _sideways(page: Page) -> list[str]:
    """What is wider than its place, innermost first."""
    wide: list[str] = page.evaluate(
        """() => ['html', '.panel-body', '.view-bar', '.top-bar', '.all-findings', '.job-rail']
            .map(name => document.querySelector(name))
            .filter(part => part !== null && part.scrollWidth > part.clientWidth + 1)
            .flatMap(part => [...part.querySelectorAll('*'), part]
                .filter(one => one.getBoundingClientRect().right >
                    part.getBoundingClientRect().right + 1 || one === part)
                .map(one => `${one.tagName}.${one.className}: ${one.textContent.slice(0, 40)}`))"""
    )
    return wide


def test_the_first_picture_comes_within_the_time_of_an_evaluation(bench: Bench) -> None:
    bench.page.reload()
    expect(bench.page.locator(".canvas-host canvas")).to_be_visible(timeout=EVALUATION_MS)
    bench.settle()
    assert bench.limb_share() > 0.04


def test_the_title_of_the_tab_names_stage_and_code_and_not_the_case(bench: Bench) -> None:
    bench.go("capture")
    document = read_case(bench.workshop.folder)
    assert document.title
    expect(bench.page).to_have_title(f"Capture – {document.person.code} – Limbwright")
    assert document.title not in bench.page.title()


def test_light_or_dark_is_chosen_kept_and_recolours_the_picture(bench: Bench, output: Path) -> None:
    page = bench.page
    switch = page.get_by_label("Light or dark page")

    def limb() -> float:
        """How bright the limb is, where it stands in the picture's middle."""
        pixels = bench.pixels().astype(float)
        height, width, _ = pixels.shape
        return float(pixels[height // 2, width // 2 - 10 : width // 2 + 10].mean())

    switch.select_option("light")
    light = limb()
    switch.select_option("dark")
    page.screenshot(path=output / "scheme-dark.png")
    assert limb() < light - 4
    page.reload()
    bench.settle()
    expect(switch).to_have_value("dark")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(22, 24, 26)"
    switch.select_option("system")
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        expect(page.locator("html")).to_have_attribute("data-scheme", scheme)
    switch.select_option("light")
    expect(page.locator("html")).to_have_attribute("data-scheme", "light")
