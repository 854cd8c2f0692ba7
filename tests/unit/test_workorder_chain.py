"""The work order's alignment pages for chains of any adapters."""

import re
from dataclasses import replace

import pytest

from limbwright.align.adapters import adapters_of
from limbwright.align.plan import (
    AdapterKind,
    AdapterPlace,
    AdapterPlan,
    AlignPlan,
    Deviation,
    GaitPhase,
    Observation,
)
from limbwright.align.setup import set_up
from limbwright.case.turned import turned_plan
from limbwright.core.frame import Side
from limbwright.make.workorder.adapter_drawing import adapter_drawing
from limbwright.make.workorder.alignment_drawing import alignment_drawing, bench_of
from limbwright.make.workorder.bench_tables import (
    chain_table,
    effect_table,
    guide_table,
    load_line_table,
    setting_table,
    step_table,
)
from limbwright.make.workorder.order import work_order_pdf
from limbwright.make.workorder.picture import View
from order_sheets import demo_sheet, mirrored, page_texts

SOCKET, FOOT = AdapterPlace.SOCKET, AdapterPlace.FOOT
CHAIN = (
    AdapterPlan(place=SOCKET, kind=AdapterKind.SLIDE, outward_mm=3.0),
    AdapterPlan(place=SOCKET),
    AdapterPlan(place=SOCKET, kind=AdapterKind.TUBE_CLAMP),
    AdapterPlan(place=FOOT, kind=AdapterKind.ROTATION, turn_deg=4.0),
    AdapterPlan(place=FOOT, kind=AdapterKind.OFFSET, offset_mm=8.0),
    AdapterPlan(place=FOOT),
)
PLAN = AlignPlan(
    adapters=CHAIN,
    wanted_outward_mm=-9.0,
    wanted_toe_out_deg=2.0,
    observed=(Observation(phase=GaitPhase.MID, what=Deviation.KNEE_THRUSTS_OUTWARD),),
)


def with_plan(sheet, plan):
    parts = sheet.couple_plan.parts
    aligned = set_up(
        sheet.limb, sheet.shape, sheet.coupling, plan, sheet.person, sheet.assessment, parts
    )
    return replace(sheet, alignment=aligned, align_plan=plan)


@pytest.fixture(scope="module")
def chained(demo_folder):
    return with_plan(demo_sheet(demo_folder), PLAN)


def drawn(drawing):
    return re.findall(r"<text[^>]*>([^<]*)</text>", drawing.svg().decode())


def test_every_adapter_is_named_in_both_views_with_what_the_view_shows(chained):
    front, side = (
        drawn(alignment_drawing(bench_of(chained, view), 5.0))
        for view in (View.FRONT, View.LATERAL)
    )
    for name in ("socket slide", "socket tube clamp", "foot rotation", "foot offset"):
        for words in (front, side):
            assert sum(text.startswith(name) for text in words) == 1
    assert "socket slide, outward 3.0" in front
    assert "foot rotation, turn 4.0°" in front
    assert "foot offset, offset 8.0" in side
    assert "load line" in front


def test_the_chain_drawn_meets_end_to_end(chained):
    bench = bench_of(chained, View.LATERAL)
    # what is added under the tube follows the clamp's stop, one part on the next
    for first, second in (
        ("pylon_bottom", "foot rotation"),
        ("foot rotation end", "foot offset"),
        ("socket_base", "socket slide"),
    ):
        assert bench.at(first) == pytest.approx(bench.at(second), abs=1e-9)
    heights = [bench.at(name)[1] for name in chained.alignment.points_mm if "socket_" in name]
    assert heights == sorted(heights, reverse=True)


def test_steps_adapters_line_effects_and_guide_stand_in_tables(chained):
    steps = step_table(chained.alignment.adjustment.steps)
    for step in chained.alignment.adjustment.steps:
        assert step.undo in steps
    assert all(one.name in chain_table(chained) for one in chained.alignment.chain)
    assert "knee" in load_line_table(chained)
    assert all(one.name in effect_table(chained) for one in chained.alignment.effects)
    assert "knee thrusts outward" in guide_table(chained)


def test_the_lateral_screw_is_drawn_on_the_left_of_a_right_leg_and_on_the_right_of_a_left(
    chained,
):
    def place(sheet, word):
        texts = re.findall(
            r'<text x="([-\d.]+)" y="([-\d.]+)"[^>]*>([^<]*)</text>',
            adapter_drawing(sheet, 1.0).svg().decode(),
        )
        return next((float(x), -float(y)) for x, y, text in texts if text == word)

    right = chained if chained.person.side is Side.RIGHT else mirrored(chained)
    left = with_plan(mirrored(right), PLAN)
    assert right.person.side is Side.RIGHT
    assert left.person.side is Side.LEFT
    assert place(right, "lateral")[0] < place(right, "socket")[0] < place(right, "medial")[0]
    assert place(left, "medial")[0] < place(left, "socket")[0] < place(left, "lateral")[0]
    for sheet in (right, left):
        assert place(sheet, "anterior")[1] < place(sheet, "socket")[1]


def test_the_screw_to_drive_is_black_and_its_opposite_is_out_first(chained):
    turned = with_plan(chained, AlignPlan(wanted_outward_mm=-6.0))
    words = drawn(adapter_drawing(turned, 1.0))
    turns = turned.alignment.adjustment.turns
    assert turns
    assert words.count("out first") == len(turns)
    assert sum(text.startswith("in ") for text in words) == len(turns)


@pytest.fixture(scope="module")
def accepted(demo_folder):
    """The demo's leg after its foot was wanted 13 mm outward and the turns for it were accepted."""
    sheet = demo_sheet(demo_folder)
    asked = with_plan(sheet, AlignPlan(wanted_outward_mm=13.0))
    adapters = adapters_of(asked.align_plan.adapters, asked.couple_plan.parts)
    steps = asked.alignment.adjustment.steps
    return steps, with_plan(sheet, turned_plan(asked.align_plan, adapters, steps))


def test_drawing_and_table_tell_one_place_of_a_turned_foot_and_mark_what_was_planned(accepted):
    _, sheet = accepted
    table = setting_table(sheet)
    planned_mm = sheet.alignment.planned["foot inset"][0]
    (shift,) = [
        text
        for text in drawn(alignment_drawing(bench_of(sheet, View.FRONT), 5.0))
        if re.match(r"(in|out)set ", text)
    ]
    way, size = shift.split()
    inset_mm = float(size) * (1.0 if way == "inset" else -1.0)
    # a quarter turn moves this foot by some 5 mm
    assert inset_mm == pytest.approx(planned_mm - 13.0, abs=4.0)
    assert f"{inset_mm:.1f}".replace("-", "−") in table
    assert f"({planned_mm:.1f})" in table
    assert "planned, before the turns" in table


def test_accepted_turns_stand_in_the_order_with_where_they_begin(accepted):
    steps, sheet = accepted
    told = step_table(sheet.alignment.turned)
    assert steps
    for step in steps:
        assert step.undo in told
        assert step.do in told
        assert f"{step.what} {step.start:.1f} to {step.end:.1f}".replace("-", "−") in told


@pytest.mark.slow
def test_a_turned_leg_has_its_turns_on_paper_though_nothing_more_is_wanted(accepted):
    _, sheet = accepted
    text = re.sub(r"\s+", " ", " ".join(page_texts(work_order_pdf(sheet))))
    assert "Turned from the planned bench setting" in text
    assert "No change beyond what has been turned is asked for." in text
    assert all(step.do in text for step in sheet.alignment.turned)


@pytest.mark.slow
def test_the_names_of_a_turned_leg_s_settings_are_not_set_word_under_word(accepted):
    _, sheet = accepted
    lines = "\n".join(page_texts(work_order_pdf(sheet))).splitlines()
    for name in sheet.alignment.settings:
        first_two = " ".join(name.split()[:2])
        assert any(line.startswith(first_two) for line in lines), name
