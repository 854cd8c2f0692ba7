"""What differs between two documents is told in the words of the trade, and nothing is left out."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from limbwright.case.change_words import named
from limbwright.case.changes import PlanChange, change_note, document_changes
from limbwright.case.document import CaseDocument
from limbwright.core.plan import Plan

PLAN: dict[str, Any] = {
    "person": {
        "code": "p1",
        "side": "left",
        "mass_kg": 70.0,
        "stature_mm": 1700,
        "activity": "K2",
    },
    "capture": {
        "scan": "scan.stl",
        "landmarks": {
            "points": {"fibular_head": [10.0, 20.0, 30.0], "tibial_tubercle": [0.0, 50.0, 0.0]},
            "guessed": ["tibial_tubercle"],
        },
    },
    "shape": {
        "areas": [
            {"name": "fibular_head", "depth_mm": 3.0},
            {"name": "patellar_tendon", "depth_mm": -4.0, "length_mm": 30.0},
        ],
        "take_up": [{"level_mm": 40.0, "girth_percent": 3.0}],
    },
    "fit": {"fittings": [{"date": "2026-03-01", "comfort": 6}]},
}


def between(change: Any) -> tuple[PlanChange, ...]:
    """What is told when the plan above is changed."""
    data = copy.deepcopy(PLAN)
    change(data)
    before, after = (CaseDocument.model_validate(one) for one in (PLAN, data))
    return document_changes(before, after)


def told(changes: tuple[PlanChange, ...]) -> list[tuple[Any, ...]]:
    return [(one.place, one.name, one.kind, one.before, one.after, one.unit) for one in changes]


def test_the_same_plan_twice_has_nothing_to_tell():
    assert between(lambda data: None) == ()


def test_a_deeper_relief_names_the_area_and_both_depths():
    def deepen(data):
        data["shape"]["areas"][0]["depth_mm"] = 4.5

    (change,) = between(deepen)
    assert told((change,)) == [("Relief, fibular head", "depth", "changed", 3.0, 4.5, "mm")]
    assert (change.stage, change.path) == ("shape", "shape.areas.0.depth_mm")


def test_a_load_is_told_by_how_far_it_presses_in():
    def deepen(data):
        data["shape"]["areas"][1]["depth_mm"] = -6.0

    assert told(between(deepen)) == [("Load, patellar tendon", "depth", "changed", 4.0, 6.0, "mm")]


def test_an_area_is_known_by_its_name_wherever_it_stands_in_the_list():
    def another_first(data):
        areas = data["shape"]["areas"]
        areas.insert(0, {"name": "tibial_crest", "depth_mm": 2.0})
        areas[2]["length_mm"] = 40.0

    assert told(between(another_first)) == [
        ("Relief, tibial crest", "", "added", None, None, ""),
        ("Relief, tibial crest", "depth", "added", None, 2.0, "mm"),
        ("Load, patellar tendon", "length", "changed", 30.0, 40.0, "mm"),
    ]


def test_an_area_that_is_gone_tells_what_it_was():
    assert told(between(lambda data: data["shape"]["areas"].pop())) == [
        ("Load, patellar tendon", "", "removed", None, None, ""),
        ("Load, patellar tendon", "depth", "removed", 4.0, None, "mm"),
        ("Load, patellar tendon", "length", "removed", 30.0, None, "mm"),
    ]


def test_areas_in_another_order_are_told_too():
    assert told(between(lambda data: data["shape"]["areas"].reverse())) == [
        ("Area", "", "order", None, None, "")
    ]


def test_take_up_is_told_at_its_level():
    def more(data):
        data["shape"]["take_up"][0]["girth_percent"] = 4.0

    (change,) = between(more)
    assert (change.place, change.name, change.unit) == ("Take-up", "of girth", "%")
    assert (change.level_mm, change.before, change.after) == (40.0, 3.0, 4.0)


def test_a_landmark_moves_by_its_distance_in_mm_whatever_the_unit():
    def moved_in_cm(data):
        marks = data["capture"]["landmarks"]
        marks["unit"] = "cm"
        marks["points"] = {"fibular_head": [1.3, 2.4, 3.0], "tibial_tubercle": [0.0, 5.0, 0.0]}

    unit, moved = between(moved_in_cm)
    assert (unit.name, unit.before, unit.after) == ("unit", "mm", "cm")
    # 3 mm aside and 4 mm forward.
    assert (moved.place, moved.kind, moved.unit) == ("Landmark, fibular head", "moved", "mm")
    assert moved.after == pytest.approx(5.0)


def test_a_guess_that_was_accepted_is_told():
    def accept(data):
        data["capture"]["landmarks"]["guessed"] = []

    assert told(between(accept)) == [
        ("Landmark, tibial tubercle", "standing", "changed", "a guess", "accepted", "")
    ]


def test_words_of_the_trade_stand_for_the_documents_own():
    def change(data):
        data["person"]["mass_kg"] = 72.5
        data["shape"]["trim"] = {"posterior_mm": -15.0}
        data["liner"] = {"material": "urethane", "thickness_mm": 3.0}
        data["couple"] = {"coupling": {"kind": "pin"}, "parts": {"foot_mm": 70.0}}
        data["align"] = {"foot_inset_mm": 5.0}
        data["prove"] = {"material": "laminate", "layers": 8}

    assert told(between(change)) == [
        ("Person", "mass", "changed", 70.0, 72.5, "kg"),
        ("Liner", "material", "changed", "silicone", "urethane", ""),
        ("Liner", "thickness", "changed", 6.0, 3.0, "mm"),
        ("Trim line", "posterior", "changed", -10.0, -15.0, "mm"),
        ("Coupling", "kind", "changed", "magnet", "pin", ""),
        ("Parts", "foot", "changed", None, 70.0, "mm"),
        ("Alignment", "foot inset", "changed", None, 5.0, "mm"),
        ("Socket's wall", "material", "changed", "petg_print", "laminate", ""),
        ("Socket's wall", "layers", "changed", None, 8.0, ""),
    ]


def test_a_touched_place_is_told_as_such_and_by_how_far_it_moved():
    def complain(data, point):
        complaint = {"sign": "pain", "phase": "swing", "point": point}
        data["fit"]["fittings"][0]["complaints"] = [complaint]

    first = between(lambda data: complain(data, [10.0, 20.0, 30.0]))
    (place,) = (one for one in first if one.path.endswith(".point"))
    assert (place.name, place.after) == ("where", "touched on the limb")
    before, after = copy.deepcopy(PLAN), copy.deepcopy(PLAN)
    complain(before, [10.0, 20.0, 30.0])
    complain(after, [13.0, 24.0, 30.0])
    both = (CaseDocument.model_validate(one) for one in (before, after))
    (moved,) = document_changes(*both)
    assert (moved.name, moved.kind, moved.after, moved.unit) == ("where", "moved", 5.0, "mm")


def test_an_applied_suggestion_names_no_path_of_the_document():
    def apply(data):
        edit = {"path": "shape.areas.0.depth_mm", "before": 3.0, "after": 4.0}
        applied = {
            "cause": "bone",
            "text": "Deepen the relief by 1.0 mm, to 4.0 mm.",
            "date": "2026-03-01",
            "revision": 2,
            "edits": [edit],
        }
        data["fit"]["fittings"][0]["applied"] = [applied]
        data["shape"]["areas"][0]["depth_mm"] = 4.0

    changes = between(apply)
    assert ("Relief, fibular head", "depth", "changed", 3.0, 4.0, "mm") in told(changes)
    assert "Deepen the relief by 1.0 mm, to 4.0 mm." in [one.after for one in changes]
    applied = [one.name for one in changes if one.place.endswith("applied suggestion 1")]
    assert applied == ["", "against", "what to try", "day", "first in revision"]
    assert not any("areas.0" in str(value) for one in told(changes) for value in one)


def test_a_complaint_is_told_with_its_fitting():
    complaint = {"sign": "pain", "phase": "standing", "landmark": "fibular_head", "severity": 6}

    def complain(data):
        data["fit"]["fittings"][0]["complaints"] = [complaint]

    changes = between(complain)
    assert {one.place for one in changes} == {"Fitting of 2026-03-01, complaint 1"}
    assert [(one.name, one.after) for one in changes[1:]] == [
        ("what", "pain"),
        ("when", "standing"),
        ("where", "fibular head"),
        ("how bad", 6.0),
    ]


def test_two_entries_of_one_name_are_kept_apart():
    def twice(data):
        fittings = data["fit"]["fittings"]
        fittings.append({"date": "2026-03-01", "comfort": 8})

    assert told(between(twice)) == [
        ("Fitting of 2026-03-01 (2)", "", "added", None, None, ""),
        ("Fitting of 2026-03-01 (2)", "comfort", "added", None, 8.0, ""),
    ]


def plans(kind: type[Plan], seen: set[type[Plan]]) -> set[type[Plan]]:
    """Every part that a document may hold."""
    seen.add(kind)
    for field in kind.model_fields.values():
        for inner in _kinds(field.annotation):
            if inner not in seen:
                plans(inner, seen)
    return seen


def _kinds(annotation: Any) -> list[type[Plan]]:
    if isinstance(annotation, type) and issubclass(annotation, Plan):
        return [annotation]
    return [kind for one in getattr(annotation, "__args__", ()) for kind in _kinds(one)]


def test_no_field_is_told_with_its_unit_in_its_name():
    ends = {"mm", "deg", "kpa", "mpa", "n", "kg", "percent", "s", "c", "minutes"}
    for kind in plans(CaseDocument, set()):
        for field in kind.model_fields:
            name, _ = named(field)
            assert name.split()[-1] not in ends, f"{kind.__name__}.{field} is told as {name!r}"


def spots(plan: Plan, path: tuple[str, ...] = ()) -> list[tuple[str, ...]]:
    """The way to every entry of a document that is no list of parts."""
    found = []
    for name in type(plan).model_fields:
        value = getattr(plan, name)
        if isinstance(value, tuple) and value:
            continue
        inner = spots(value, (*path, name)) if isinstance(value, Plan) else [(*path, name)]
        found += inner
    return found


def with_another(plan: Plan, path: tuple[str, ...]) -> Plan:
    """The same with one entry replaced, whatever its bounds."""
    head, *rest = path
    value = with_another(getattr(plan, head), tuple(rest)) if rest else "another"
    return plan.model_copy(update={head: value})


BEFORE = CaseDocument.model_validate(PLAN)
EVERY = [path for path in spots(BEFORE) if path[:2] != ("capture", "landmarks")]


@pytest.mark.parametrize("path", EVERY, ids=".".join)
def test_a_change_of_any_entry_is_told_once_and_at_its_place(path):
    changes = document_changes(BEFORE, with_another(BEFORE, path))
    named_there = [one for one in changes if one.path == ".".join(path)]
    assert len(changes) == len(named_there) == 1
    assert changes[0].after == "another"


def noted(change: Any) -> str:
    data = copy.deepcopy(PLAN)
    change(data)
    return change_note(BEFORE, CaseDocument.model_validate(data))


def test_a_note_tells_a_single_change_with_its_values():
    def deepen(data):
        data["shape"]["areas"][1]["depth_mm"] = -5.5

    assert noted(deepen) == "Load, patellar tendon: depth 4 to 5.5 mm"

    def move(data):
        data["capture"]["landmarks"]["points"]["fibular_head"] = [10.0, 20.0, 32.0]

    assert noted(move) == "Landmark, fibular head, moved by 2.0 mm"

    def level(data):
        data["shape"]["take_up"][0]["girth_percent"] = 2.5

    assert noted(level) == "Take-up 40 mm below MPT: of girth 3 to 2.5 %"
    assert noted(lambda data: data.update(align={"toe_out_deg": 7})) == (
        "Alignment: toe out not stated to 7 deg"
    )


def test_a_note_names_the_parts_of_many_changes_and_counts_the_rest():
    def much(data):
        data["person"]["mass_kg"] = 80.0
        data["shape"]["areas"][0] |= {"depth_mm": 4.0, "length_mm": 30.0}
        data["align"] = {"foot_inset_mm": 5.0}
        data["make"] = {"mark_side": False}

    assert noted(much) == "Person; Relief, fibular head and 2 more"
