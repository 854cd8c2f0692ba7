"""Whatever stands in a case within its bounds: results, or a sentence that says what is wrong."""

from __future__ import annotations

import json
import shutil
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from limbwright.capture.plan import LANDMARK_NAMES
from limbwright.case.changes import document_changes
from limbwright.case.document import CaseDocument
from limbwright.case.evaluate import evaluate
from limbwright.case.folder import (
    dump_document,
    parse_document,
    raise_problems,
    read_case,
    write_case,
)
from limbwright.case.memo import Memo
from limbwright.case.parts_file import read_catalogue
from limbwright.case.report import evaluation_json
from limbwright.core.errors import InvalidCase
from limbwright.shape.plan import LOAD_AREAS, AreaName

SCHEMA = CaseDocument.model_json_schema()
NAMED: dict[str, Any] = SCHEMA["$defs"]
PARTS = ("person", "liner", "socket", "shape", "couple", "align", "prove", "make", "fit")
"""What is drawn at random; the scan stays, so that the limb is captured once."""
WORDS = st.sampled_from(["", "abc", "Größe 3", "مثال", "\u202e\U0001f9bf", "x\ny\t\x00", "'\"{}"])
DATES = st.sampled_from(["2026-03-01", "2024-02-29", "2026-02-31", "0000-12-31", "9999-01-01"])
NUMBERS = st.sampled_from([-1e12, -40.0, 0.0, 1e-9, 35.0, 1e12])


def values(schema: dict[str, Any], name: str = "") -> st.SearchStrategy[Any]:
    """Plain data that a part of the document's JSON schema takes, its bounds among them."""
    if "$ref" in schema:
        return values(NAMED[schema["$ref"].rsplit("/", 1)[-1]], name)
    if "anyOf" in schema:
        return st.one_of([values(one, name) for one in schema["anyOf"]])
    if "enum" in schema:
        return st.sampled_from(schema["enum"])
    kind = schema["type"]
    if kind in ("number", "integer"):
        return _numbers(schema, whole=kind == "integer")
    if kind == "string":
        return _words(schema, name)
    if kind == "array":
        return _lists(schema, name)
    if kind == "object":
        return _tables(schema)
    return {"null": st.none(), "boolean": st.booleans()}[kind]


def _numbers(schema: dict[str, Any], *, whole: bool) -> st.SearchStrategy[Any]:
    low = schema.get("minimum", schema.get("exclusiveMinimum"))
    high = schema.get("maximum", schema.get("exclusiveMaximum"))
    if whole:
        return st.integers(0 if low is None else low, 2**40 if high is None else high)
    if low is None or high is None:
        return NUMBERS
    least = low if "minimum" in schema else low + 1e-9
    return st.one_of(st.sampled_from([least, high]), st.floats(least, high))


def _words(schema: dict[str, Any], name: str) -> st.SearchStrategy[str]:
    known = {"landmark": LANDMARK_NAMES, "engine": ("spring_bed", "live", "no_engine")}
    if name in known:
        return st.sampled_from([*known[name], "nowhere"] if name == "landmark" else known[name])
    if "\\d{4}" in schema.get("pattern", ""):
        return DATES
    if "pattern" in schema:
        return st.sampled_from(KEYS)
    if name == "material":
        return st.sampled_from(["petg_print", "carbon_laminate", "fibreglass_cast", "none", ""])
    shortest, longest = schema.get("minLength", 0), schema.get("maxLength")
    return WORDS.map(lambda word: word.ljust(shortest, "?")[:longest])


def _lists(schema: dict[str, Any], name: str) -> st.SearchStrategy[list[Any]]:
    if "prefixItems" in schema:
        return st.tuples(*(values(one) for one in schema["prefixItems"])).map(list)
    least, most = schema.get("minItems", 0), min(schema.get("maxItems", 8), 8)
    return st.lists(values(schema["items"], name), min_size=least, max_size=most)


def _tables(schema: dict[str, Any]) -> st.SearchStrategy[dict[str, Any]]:
    fields = {name: values(one, name) for name, one in schema["properties"].items()}
    must = schema.get("required", ())
    return st.fixed_dictionaries(
        {name: fields[name] for name in must},
        optional={name: field for name, field in fields.items() if name not in must},
    )


KEYS = [part.key for part in read_catalogue(None).parts] + ["no-such-part"]
DRAWN = {name: values(SCHEMA["properties"][name], name) for name in PARTS}
DRAWN["casting"] = values(NAMED["CastingPlan"])
WHATEVER = st.lists(st.sampled_from(sorted(DRAWN)), min_size=1, max_size=4, unique=True).flatmap(
    lambda names: st.fixed_dictionaries({name: DRAWN[name] for name in names})
)


def agreed(drawn: dict[str, Any]) -> dict[str, Any]:
    """What was drawn without the contradictions that are refused before anything is computed."""
    if "person" in drawn:
        drawn["person"] |= {"side": "right", "unusual_mass_confirmed": True, "scores": []}
    if drawn.get("liner", {}).get("material") == "none":
        drawn["liner"] |= {"thickness_mm": 0.0, "cap_thickness_mm": 0.0}
    shape = drawn.get("shape", {})
    areas = {area["name"]: area for area in shape.get("areas", [])}
    for name, area in areas.items():
        area["depth_mm"] = abs(area["depth_mm"]) * (-1 if AreaName(name) in LOAD_AREAS else 1)
    levels = {round(point["level_mm"]): point for point in shape.get("take_up", [])}
    if shape:
        shape |= {"areas": list(areas.values()), "take_up": list(levels.values())}
    for fitting in drawn.get("fit", {}).get("fittings", []):
        for complaint in fitting.get("complaints", []):
            complaint |= {"landmark": "fibular_head"} if not complaint.get("point") else {}
            complaint.pop("point" if complaint.get("landmark") else "landmark", None)
        for change in fitting.get("changes", []):
            if not change.get("area") and not change.get("what", "").strip():
                change["what"] = "the brim, heated"
    return drawn


def changed(document: CaseDocument, drawn: dict[str, Any]) -> dict[str, Any]:
    data = document.model_dump(mode="json")
    drawn = dict(drawn)
    data["capture"]["casting"] = drawn.pop("casting", data["capture"]["casting"])
    return {**data, **drawn}


def ends_well(folder: Path, data: dict[str, Any], memo: Memo, upto: str) -> bool:
    """Evaluate as far as asked; any exception but a refusal is a failure."""
    try:
        document = parse_document(data)
        raise_problems(document, folder)
    except InvalidCase as refusal:
        return all(path and text for path, text in refusal.problems)
    found = evaluate(folder, document, memo, upto=upto)
    json.dumps(evaluation_json(found), allow_nan=False).encode()
    return all(error.message.strip() for error in found.errors)


@pytest.fixture(scope="module")
def memo() -> Memo:
    """What every example shares: the limb is captured once."""
    return Memo(200)


@settings(max_examples=60)
@given(WHATEVER)
def test_any_plan_ends_in_results_or_a_sentence(demo_folder, memo, drawn):
    data = changed(read_case(demo_folder), agreed(drawn))
    assert ends_well(demo_folder, data, memo, "align")


@settings(max_examples=60)
@given(WHATEVER)
def test_any_document_is_stored_as_it_is(demo_folder, drawn):
    # TOML has no null: what is None is left out and comes back as None.
    document = parse_document(changed(read_case(demo_folder), agreed(drawn)))
    again = parse_document(tomllib.loads(dump_document(document).decode()))
    assert again == document


@pytest.fixture(scope="module")
def coarse_folder(demo_folder, tmp_path_factory) -> Path:
    """The demo's limb on a coarse surface, which is proved soon."""
    folder = tmp_path_factory.mktemp("coarse") / "demo"
    shutil.copytree(demo_folder, folder)
    data = read_case(folder).model_dump(mode="json")
    data["capture"] |= {"surface_edge_mm": 5.0}
    write_case(folder, parse_document(data))
    return folder


HARSH = {
    "heavy": {"person": {"mass_kg": 250.0, "stature_mm": 1000.0}},
    "light": {"person": {"mass_kg": 20.0, "stature_mm": 2300.0}},
    "wide": {"shape": {"take_up": [{"level_mm": 0.0, "girth_percent": -5.0}]}},
    "tight": {"shape": {"take_up": [{"level_mm": 0.0, "girth_percent": 15.0}]}},
    "hard": {"prove": {"tissue": {"modulus_kpa": 2000.0, "poisson": 0.495}}},
    "soft": {"prove": {"tissue": {"modulus_kpa": 5.0, "poisson": 0.3}}},
}


@pytest.mark.slow
@pytest.mark.parametrize("name", HARSH)
def test_a_harsh_case_is_proved_or_refused(coarse_folder, memo, name):
    data = read_case(coarse_folder).model_dump(mode="json")
    data["person"]["unusual_mass_confirmed"] = True
    for part, entries in HARSH[name].items():
        data[part] |= entries
    assert ends_well(coarse_folder, data, memo, "fit")


@pytest.mark.parametrize("apart_mm", [5e-324, 1e-9, 0.05])
def test_take_up_at_two_levels_that_are_one_is_refused(demo_folder, apart_mm):
    data = read_case(demo_folder).model_dump(mode="json")
    data["shape"]["take_up"] = [
        {"level_mm": 0.0, "girth_percent": 3.0},
        {"level_mm": apart_mm, "girth_percent": 5.0},
    ]
    with pytest.raises(InvalidCase, match="too near"):
        raise_problems(parse_document(data), demo_folder)


@pytest.fixture(scope="module")
def demo_document(demo_folder) -> CaseDocument:
    return read_case(demo_folder)


@settings(max_examples=60)
@given(first=WHATEVER, second=WHATEVER)
def test_whatever_part_differs_between_two_documents_is_told_and_no_other(
    demo_document, first, second
):
    try:
        before, after = (
            parse_document(changed(demo_document, agreed(one))) for one in (first, second)
        )
    except InvalidCase:
        return
    told = {change.path.split(".")[0] for change in document_changes(before, after)}
    differing = {
        name for name in CaseDocument.model_fields if getattr(before, name) != getattr(after, name)
    }
    assert told == differing
