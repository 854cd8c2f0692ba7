"""The findings on the page: order, filters, acceptance, what would change them, and by keys."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Locator, expect

from browser.workshop import STAGES, Bench

pytestmark = pytest.mark.browser

WEIGHTS = ["Stops the job", "Not established", "Warning", "Note", "Holds"]


def strip(bench: Bench) -> Locator:
    return bench.page.get_by_role("region", name="Findings", exact=True)


def chip(bench: Bench, name: str) -> Locator:
    kinds = strip(bench).get_by_role("group", name="Show only")
    return kinds.get_by_role("button", name=re.compile(name))


def count(text: str) -> int:
    return int(re.search(r"\d+", text)[0])  # type: ignore[index]


def test_findings_stand_by_stage_and_worst_first_within_each(bench: Bench) -> None:
    groups = strip(bench).get_by_role("region").all()
    assert len(groups) > 4
    firsts = []
    for group in groups:
        marks = group.locator(".finding-head .severity > span").all_inner_texts()
        ranks = [WEIGHTS.index(mark.strip()) for mark in marks]
        assert ranks == sorted(ranks)
        firsts.append(ranks[0])
    assert firsts == sorted(firsts)


def test_the_plate_that_bears_a_quarter_of_its_load_stands_before_guesses(bench: Bench) -> None:
    chip(bench, "Warning").click()
    texts = strip(bench).locator(".finding-text").all_inner_texts()
    plate = next(n for n, text in enumerate(texts) if "Holds 27 %" in text)
    hole = next(n for n, text in enumerate(texts) if "Holds 82 %" in text)
    guessed = next(n for n, text in enumerate(texts) if "landmarks are guesses" in text)
    assert plate < hole < guessed
    chip(bench, "Warning").click()


def test_filters_show_as_many_as_they_say(bench: Bench) -> None:
    rows = strip(bench).locator(".finding-head")
    everything = rows.count()
    warnings = count(chip(bench, "Warning").inner_text())
    chip(bench, "Warning").click()
    expect(rows).to_have_count(warnings)
    strip(bench).get_by_role("combobox", name="Stage").select_option("prove")
    assert 0 < rows.count() < warnings
    expect(strip(bench).get_by_role("region")).to_have_count(1)
    chip(bench, "Warning").click()
    strip(bench).get_by_role("combobox", name="Stage").select_option("")
    expect(rows).to_have_count(everything)


def test_what_would_change_a_finding_leads_to_the_entry_that_does(bench: Bench) -> None:
    bench.go("assess")
    row = strip(bench).locator(".finding").filter(has_text="Distal plate of").first
    expect(row).to_contain_text("Would change it:")
    row.get_by_role("button", name="thicker distal plate").click()
    expect(bench.panel.get_by_role("heading", level=2)).to_have_text("Prove")
    expect(bench.field("Plate at the end")).to_be_focused()


def test_an_accepted_finding_is_counted_apart_and_stands_below_the_open_ones(bench: Bench) -> None:
    rail = bench.page.get_by_role("navigation", name="Stages of the job")
    capture = rail.get_by_role("link", name="Capture")
    open_before = count(chip(bench, "Warning").inner_text())
    in_rail = count(capture.locator(".stage-mark").inner_text())
    row = strip(bench).locator(".finding").filter(has_text="landmarks are guesses").first
    row.get_by_role("button", name=re.compile("^Accept …")).click()
    row.get_by_label("Why it may stand as it is").fill("seen on the limb")
    row.get_by_role("button", name="Accept", exact=True).click()
    bench.settle()
    expect(chip(bench, "Accepted")).to_contain_text("1")
    expect(row.locator(".finding-head")).to_be_focused()
    fits = "mark => mark.scrollWidth <= mark.clientWidth"
    assert capture.locator(".stage-mark").evaluate(fits)
    assert count(chip(bench, "Warning").inner_text()) == open_before - 1
    expect(capture).to_contain_text("1 accepted")
    assert count(capture.locator(".stage-mark").inner_text()) == in_rail - 1
    group = strip(bench).get_by_role("region", name="Findings of Capture")
    weighing = group.locator(".finding").filter(has=bench.page.locator(".severity-warning"))
    expect(weighing.last).to_contain_text("seen on the limb")
    weighing.last.get_by_role("button", name="Withdraw").click()
    bench.settle()
    assert count(chip(bench, "Warning").inner_text()) == open_before


def test_the_first_tab_stops_skip_to_limb_panel_and_findings(bench: Bench) -> None:
    bench.go("assess")
    targets = {"To the limb": ".canvas-host", "To the panel": "main.panel"}
    targets["To the findings"] = ".finding-head"
    first = bench.page.locator("a[href], button, input, select, [tabindex='0']").first
    expect(first).to_have_text("To the limb")
    for name, target in targets.items():
        bench.page.get_by_role("button", name=name, exact=True).focus()
        box = bench.page.get_by_role("button", name=name, exact=True).bounding_box()
        assert box is not None
        assert box["height"] > 20
        bench.page.keyboard.press("Enter")
        assert bench.page.evaluate(f"document.activeElement.matches('{target}')")


def test_the_findings_are_one_tab_stop_with_arrows_inside(bench: Bench) -> None:
    heads = strip(bench).locator(".finding-head")
    assert strip(bench).locator(".all-findings [tabindex='0']").count() == 1
    heads.first.focus()
    bench.page.keyboard.press("ArrowDown")
    expect(heads.nth(1)).to_be_focused()
    expect(heads.nth(1)).to_have_attribute("aria-expanded", "true")
    bench.page.keyboard.press("End")
    expect(heads.last).to_be_focused()
    bench.page.keyboard.press("Home")
    expect(heads.first).to_be_focused()
    expect(heads.first).to_be_in_viewport()


def test_no_finding_lies_between_the_picture_and_the_panel(bench: Bench) -> None:
    bench.go("assess")
    bench.page.locator(".canvas-host").focus()
    for _ in range(30):
        bench.page.keyboard.press("Tab")
        if bench.page.evaluate("document.activeElement.closest('main.panel') !== null"):
            break
        assert bench.page.evaluate("document.activeElement.closest('.findings-strip') === null")
    assert bench.page.evaluate("document.activeElement.closest('main.panel') !== null")


def test_a_key_leads_to_each_stage_and_loses_nothing_that_was_typed(bench: Bench) -> None:
    bench.go("align")
    bench.field("Foot inset").fill("14")
    bench.page.keyboard.press("Alt+Shift+Digit6")
    expect(bench.panel.get_by_role("heading", level=2)).to_have_text("Prove")
    expect(bench.panel).to_be_focused()
    bench.settle()
    bench.page.keyboard.press("Alt+Shift+Digit5")
    expect(bench.field("Foot inset")).to_have_value("14.0")
    bench.enter("Foot inset", "")


def words_clear_of_keys(bench: Bench) -> bool:
    clear: bool = bench.page.locator(".view-buttons > button").evaluate_all(
        """buttons => buttons.every(button => {
            const words = document.createRange();
            words.selectNode(button.firstChild);
            const key = button.querySelector('.key').getBoundingClientRect();
            return words.getBoundingClientRect().right <= key.left;
        })"""
    )
    return clear


def test_keys_of_the_views_are_shown_only_while_they_work(bench: Bench) -> None:
    key = bench.page.locator(".view-buttons .key").first
    bench.page.get_by_role("button", name="Fold", exact=True).focus()
    expect(key).to_be_hidden()
    bench.page.locator(".canvas-host").focus()
    expect(key).to_be_visible()
    assert words_clear_of_keys(bench)
    bench.look("Front")
    expect(key).to_be_visible()
    bench.page.keyboard.press("b")
    expect(bench.page.locator(".seen")).to_contain_text("back")


def test_no_sentence_stays_metric_where_inches_and_pounds_are_shown(bench: Bench) -> None:
    bench.page.get_by_label("inch", exact=True).check(force=True)
    bench.page.get_by_label("lb", exact=True).check(force=True)
    for stage in (*STAGES, "revisions"):
        if stage == "revisions":
            bench.page.get_by_role("link", name="Revisions").click()
            bench.panel.get_by_role("table", name="Margins").wait_for()
        else:
            bench.go(stage)
        # what is folded away and what screen readers alone are told counts too; a source stays as
        # its authors wrote it
        said = bench.page.evaluate(
            """() => {
                const page = document.body.cloneNode(true);
                page.querySelectorAll('.source, script, style').forEach((one) => one.remove());
                const text = [];
                const walk = document.createTreeWalker(page, NodeFilter.SHOW_TEXT);
                while (walk.nextNode()) text.push(walk.currentNode.data);
                page.querySelectorAll('[aria-label], [title]').forEach((one) =>
                    text.push(one.getAttribute('aria-label') ?? '', one.title ?? ''));
                return text;
            }"""
        )
        assert any(re.search(r"\d\s(in|lb)\b", text) for text in said), stage
        metric = [text for text in said if re.search(r"\d\s(mm|kg)\b|^mm \w", text)]
        assert metric == [], stage


def test_the_findings_of_the_stage_at_hand_are_the_ones_in_view(bench: Bench) -> None:
    bench.page.set_viewport_size({"width": 1366, "height": 768})
    for stage in ("prove", "assess", "align"):
        bench.go(stage)
        bench.settle()
        assert_in_view(bench, stage)
    # Also where the stage has something to say only later.
    chip(bench, "Not established").click()
    expect(bench.page.locator('.all-findings [data-stage="align"]')).to_have_count(0)
    chip(bench, "Not established").click()
    assert_in_view(bench, "align")


def assert_in_view(bench: Bench, stage: str) -> None:
    """A stage's findings stand at the top, or as far up as the end of the list lets them come."""
    listed = bench.page.locator(".all-findings")
    shown, box = listed.bounding_box(), listed.locator(f'[data-stage="{stage}"]').bounding_box()
    assert shown is not None
    assert box is not None
    at_end = listed.evaluate("list => list.scrollTop + list.clientHeight >= list.scrollHeight - 2")
    within = box["y"] < shown["y"] + shown["height"]
    assert box["y"] == pytest.approx(shown["y"], abs=3) or (at_end and within)


def test_a_narrow_page_cuts_no_value_no_limit_and_no_choice(bench: Bench) -> None:
    bench.page.set_viewport_size({"width": 1024, "height": 768})
    bench.go("prove")
    bench.settle()
    found = bench.page.locator(".all-findings .finding-facts > .found")
    assert found.count() > 20
    cut = found.evaluate_all(
        """all => all.filter(one => {
            const facts = one.parentElement.getBoundingClientRect();
            return one.getBoundingClientRect().right > facts.right + 0.5;
        }).map(one => one.textContent)"""
    )
    assert cut == []
    # nor does a bar to scroll sideways stand under the list or under what the picture shows
    for list_of in (".all-findings", ".layer-controls"):
        wide, seen = bench.page.locator(list_of).evaluate("e => [e.scrollWidth, e.clientWidth]")
        assert wide <= seen, list_of


def test_a_number_stands_beside_its_mark_where_the_marks_need_two_rows(bench: Bench) -> None:
    bench.page.set_viewport_size({"width": 683, "height": 384})
    counts = bench.page.locator(".job-rail .stage-mark").filter(has=bench.page.locator("svg"))
    assert counts.count() > 2
    apart = counts.locator("svg").evaluate_all(
        """marks => marks.map(mark => {
            const text = document.createRange();
            const walk = document.createTreeWalker(mark.closest('.stage-mark'), 4);
            while (walk.nextNode()) {
                const after = mark.compareDocumentPosition(walk.currentNode) & 4;
                if (after && /^\\d+$/.test(walk.currentNode.data)) {
                    text.selectNode(walk.currentNode);
                    return text.getBoundingClientRect().top - mark.getBoundingClientRect().bottom;
                }
            }
            return null;
        })"""
    )
    assert all(gap is not None and gap < 0 for gap in apart), apart
