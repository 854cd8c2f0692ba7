"""A fitting logged on the limb, read in what was worn, and turned into the next revision."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, expect

from browser.test_page import AXE
from browser.workshop import EVALUATION_MS, Bench, Workshop

pytestmark = pytest.mark.browser


def score(bench: Bench, label: str, value: int) -> None:
    row = bench.panel.get_by_role("group", name=label)
    row.get_by_role("radio", name=str(value), exact=True).check(force=True)
    bench.settle()


def press(bench: Bench, name: str | re.Pattern[str]) -> None:
    bench.panel.get_by_role("button", name=name, exact=isinstance(name, str)).first.click()
    bench.settle()


def answers(bench: Bench) -> Locator:
    return bench.panel.get_by_role("region", name="What may be behind it")


def test_chosen_outputs_are_made_seen_and_the_work_order_opens(bench: Bench, output: Path) -> None:
    bench.go("make")
    written = bench.panel.get_by_role("group", name="Outputs")
    for name in ("Socket, 3MF", "Positive model, 3MF", "Positive model, STL", "Findings, JSON"):
        written.get_by_role("checkbox", name=re.compile(re.escape(name))).uncheck()
    bench.settle()
    making = bench.panel.get_by_role("region", name="Make the files")
    expect(making.get_by_text(re.compile("open|not established")).first).to_be_visible()
    before = bench.limb_share()
    press(bench, "Make the files")
    files = bench.panel.locator(".made-files .file-name")
    expect(files.first).to_be_visible(timeout=240_000)
    assert set(files.all_inner_texts()) == {
        "socket_right.stl",
        "work_order.pdf",
        "template_true_size.pdf",
        "casting_sheet.pdf",
        "case.toml",
    }
    # The made part comes into the picture: seat and tube's adapter with it, no array before.
    expect(bench.panel.get_by_role("region", name="The part as made")).to_be_visible()
    expect(bench.page.locator(".layer-controls").get_by_label("Socket as made")).to_be_checked()
    bench.page.wait_for_timeout(1500)
    assert bench.limb_share() > 0.5 * before
    bench.page.screenshot(path=output / "make-made.png")
    with bench.page.context.expect_page() as opened:
        bench.panel.get_by_role("button", name="Open the work order").click()
    tab = opened.value
    tab.wait_for_url(re.compile("^blob:http://127.0.0.1"))
    tab.close()


def test_a_fitting_is_logged_in_full_and_its_answer_changes_the_plan_once(
    bench: Bench, output: Path
) -> None:
    bench.go("fit")
    press(bench, "New fitting")
    # What was worn is asked, the newest that was made is proposed.
    expect(bench.field("Revision worn")).to_have_value("")
    press(bench, re.compile("the newest made"))
    expect(bench.field("Revision worn")).not_to_have_value("")
    bench.field("Day").fill("2030-02-03")
    bench.settle()
    score(bench, "Comfort now, 0 to 10", 5)
    press(bench, "One ply more")
    press(bench, "One ply more")
    expect(bench.field("Sock ply")).to_have_value("2")

    press(bench, "Add a complaint")
    # Nothing is guessed: until it says what, when and where it is no complaint.
    assert [bench.field(one).input_value() for one in ("What", "When", "Where")] == ["", "", ""]
    expect(answers(bench)).to_have_count(0)
    bench.field("What").select_option("pain")
    bench.field("When").select_option("mid_stance")
    expect(bench.panel.get_by_text("Say where: then it is stored")).to_be_visible()
    # The picture shows the load of the phase as soon as it is said.
    load = bench.page.locator(".layer-controls").get_by_label("Under load")
    expect(load).to_have_value("mid_stance")
    # What is told so far outlives a reload.
    bench.page.reload()
    bench.settle()
    assert [bench.field(one).input_value() for one in ("What", "When")] == ["pain", "mid_stance"]
    bench.look("Front")
    bench.panel.get_by_role("button", name="Touch it on the limb").click()
    x, y = bench.centre()
    bench.page.mouse.click(x, y)
    expect(bench.field("Where")).to_have_value("touched")
    bench.settle()
    expect(bench.page.locator('[data-marker="complaint:0"] .marker-dot')).to_be_visible()
    # And again where it is told whole by a touch: the reload had put another load there.
    expect(load).to_have_value("mid_stance")
    bench.field("When").select_option("late_stance")
    expect(load).to_have_value("late_stance")
    load.select_option("standing")
    says_other = bench.panel.get_by_text("The picture shows standing; this is read in late stance.")
    expect(says_other).to_be_visible()
    bench.field("When").select_option("mid_stance")
    expect(load).to_have_value("mid_stance")
    bench.settle()
    score(bench, "How bad, 0 to 10", 6)

    bench.panel.get_by_label("What was seen").select_option("knee_thrusts_outward")
    seen = bench.panel.locator(".form").filter(has=bench.page.get_by_label("What was seen"))
    seen.get_by_role("button", name="Add").click()
    bench.settle()
    expect(bench.panel.get_by_text(re.compile("^First: "))).to_be_visible()

    bench.field("Area changed").select_option("popliteal")
    bench.enter("By how much", "1")
    changed = bench.panel.locator(".form").filter(has=bench.page.get_by_label("Area changed"))
    changed.get_by_role("button", name="Add").click()
    bench.settle()
    expect(bench.panel.get_by_text("Popliteal 1.0 mm space added").first).to_be_visible()

    # Nothing presses on the fibular head: thin cover there is no reason for more relief.
    bench.field("Where").select_option("fibular_head")
    bench.settle()
    bone = answers(bench).locator(".cause").filter(has_text="Bone close under the skin")
    expect(bone).to_contain_text("Speaks against")
    expect(bone.get_by_role("button")).to_have_count(0)
    # At the medial tibial flare the socket presses: a click takes a millimetre off, once.
    bench.field("Where").select_option("medial_tibial_flare")
    bench.settle()
    expect(answers(bench).get_by_text("the same socket and leg stand now")).to_be_visible()
    expect(
        answers(bench).get_by_text(re.compile(r"each held against revision \d+"))
    ).to_be_visible()
    bench.page.screenshot(path=output / "fit-answers.png")
    bench.go("shape")
    depth = bench.panel.get_by_label("Medial tibial flare", exact=True)
    before = float(depth.input_value())
    bench.go("fit")
    hot = answers(bench).locator(".cause").filter(has_text="Too much pressure there")
    hot.get_by_role("button", name="Change the plan so").click()
    bench.settle()
    expect(hot.get_by_text(re.compile(r"Applied in revision \d+"))).to_be_visible()
    expect(hot.get_by_role("button", name="Change the plan so")).to_have_count(0)
    # It was worn without it, and the answer stays that of what was worn.
    expect(
        answers(bench).get_by_text(re.compile("The socket or leg that stands now"))
    ).to_be_visible()
    expect(hot.get_by_text(re.compile(f"to {before - 1:.1f} mm")).first).to_be_visible()
    bench.page.screenshot(path=output / "fit-applied.png")
    bench.go("shape")
    assert float(depth.input_value()) == before - 1
    bench.go("fit")
    hot.get_by_role("button", name="Take it back").click()
    bench.settle()
    expect(hot.get_by_role("button", name="Change the plan so")).to_be_visible()
    bench.go("shape")
    assert float(depth.input_value()) == before
    # One step back: it is applied again; the next takes that back too.
    undo = bench.page.get_by_role("button", name="Undo")
    undo.click()
    bench.settle()
    assert float(depth.input_value()) == before - 1
    undo.click()
    bench.settle()
    assert float(depth.input_value()) == before


def test_a_step_says_from_what_it_counts_where_the_plan_moved_since(
    bench: Bench, output: Path
) -> None:
    def plan(depth: float | None = None) -> float:
        bench.go("shape")
        if depth is not None:
            bench.enter("Medial tibial flare", str(depth))
        shown = float(bench.field("Medial tibial flare").input_value())
        bench.go("fit")
        return shown

    worn = plan()
    plan(worn - 0.5)
    hot = answers(bench).locator(".cause").filter(has_text="Too much pressure there")
    expect(hot).to_contain_text(
        f"It counts from what was worn: {worn:.1f}\u00a0mm as worn, {worn - 0.5:.1f}\u00a0mm in the"
        " plan now."
    )
    button = hot.get_by_role("button", name=re.compile("^Change the plan from"))
    expect(button).to_have_text(
        f"Change the plan from {worn - 0.5:.1f}\u00a0mm to {worn - 1:.1f}\u00a0mm"
    )
    button.scroll_into_view_if_needed()
    bench.page.screenshot(path=output / "fit-moved.png")
    button.click()
    bench.settle()
    expect(hot).to_contain_text("The plan went from")
    assert plan() == worn - 1
    hot.get_by_role("button", name="Take it back").click()
    bench.settle()
    assert plan() == worn - 0.5
    # Further that way already: the step would lead back, and is not offered.
    plan(worn - 1.5)
    expect(hot).to_contain_text("gone further that way already")
    expect(hot.get_by_role("button", name=re.compile("^Change the plan"))).to_have_count(0)
    assert plan(worn) == worn


def test_a_complaint_told_by_keys_alone_takes_the_focus_along(bench: Bench) -> None:
    bench.go("fit")
    complaints = bench.panel.locator(".complaints > li")
    before = complaints.count()
    press(bench, "Add a complaint")
    draft = bench.panel.get_by_role("group", name="Complaint that is being told")
    draft.get_by_label("What").select_option("rubbing")
    draft.get_by_label("When").select_option("swing")
    draft.get_by_label("Where").focus()
    draft.get_by_label("Where").select_option("limb_end")
    told = bench.panel.get_by_role("group", name=f"Complaint {before + 1}", exact=True)
    expect(told).to_be_focused()
    bench.settle()
    told.get_by_role("button", name="Remove").press("Enter")
    bench.settle()
    expect(complaints).to_have_count(before)
    expect(bench.panel.get_by_role("heading", name="What is felt or seen")).to_be_focused()


def test_an_earlier_fitting_is_opened_read_and_an_empty_one_removed(bench: Bench) -> None:
    bench.go("fit")
    press(bench, "New fitting")
    expect(bench.panel.locator(".fittings button")).to_have_count(2)
    expect(answers(bench)).to_have_count(0)
    bench.panel.locator(".fittings button", has_text="2030-02-03").click()
    expect(bench.panel.get_by_role("heading", name="Fitting of 2030-02-03")).to_be_visible()
    expect(answers(bench)).to_be_visible()
    expect(bench.panel.get_by_role("button", name="Remove this empty fitting")).to_have_count(0)
    bench.panel.locator(".fittings button").first.click()
    press(bench, "Remove this empty fitting")
    expect(bench.panel.locator(".fittings button")).to_have_count(1)
    expect(bench.panel.get_by_role("heading", name="Fittings")).to_be_focused()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize(("size", "coarse"), [((1366, 768), False), ((1024, 768), True)])
def test_making_and_fitting_can_be_used_by_everybody(
    browser: Browser,
    workshop: Workshop,
    output: Path,
    scheme: str,
    size: tuple[int, int],
    coarse: bool,
) -> None:
    context = browser.new_context(
        viewport={"width": size[0], "height": size[1]},
        color_scheme="dark" if scheme == "dark" else "light",
        has_touch=coarse,
        is_mobile=coarse,
        bypass_csp=True,
    )
    context.set_default_timeout(EVALUATION_MS)
    page = context.new_page()
    bench = Bench(page, workshop)
    bench.open()
    page.add_script_tag(path=AXE)
    for stage in ("make", "fit", "prove"):
        bench.go(stage)
        page.wait_for_timeout(500)
        found = page.evaluate("axe.run()")
        assert not [(one["id"], one["nodes"][0]["html"]) for one in found["violations"]]
        for part, at in enumerate((0, 0.33, 0.66, 1)):
            page.evaluate(
                "at => { const body = document.querySelector('.panel-body');"
                " body.scrollTop = at * (body.scrollHeight - body.clientHeight); }",
                at,
            )
            page.screenshot(path=output / f"{stage}-{scheme}-{size[0]}-{part}.png")
    context.close()
