"""How stages are fed from the case document."""

from pathlib import Path
from types import SimpleNamespace

import pytest

from limbwright.case import steps
from limbwright.case.document import CaseDocument
from limbwright.case.evaluate import State, evaluate
from limbwright.case.folder import parse_document, read_case
from limbwright.case.memo import Memo
from limbwright.case.parts_file import example_parts, read_catalogue
from limbwright.case.steps import STEPS
from limbwright.couple.catalogue import PartKind
from limbwright.couple.in_hand import named_parts
from limbwright.couple.plan import CouplePlan
from limbwright.demo.case import demo_plans
from limbwright.prove.plan import ProvePlan, SocketProcess

LAYERED = ProvePlan(
    process=SocketProcess.LAMINATED, material="carbon_laminate", layers=8, layer_mm=0.5, wall_mm=6.0
)


def document(prove: ProvePlan) -> CaseDocument:
    capture = {"scan": "scan.stl", "landmarks": {"points": {}}}
    return CaseDocument.model_validate({"capture": capture, **demo_plans(), "prove": prove})


@pytest.mark.parametrize(("plan", "wall_mm"), [(LAYERED, 4.0), (ProvePlan(wall_mm=5.5), 5.5)])
def test_the_part_is_made_with_the_wall_that_is_proved(monkeypatch, plan, wall_mm):
    # A laminate of 8 layers of 0.5 mm is 4 mm thick, whatever stands as the wall of a print.
    walls = []

    def seat_solids(seat, cavity, couple, wall, plate):
        walls.append(wall)
        return (), ()

    def make_parts(surface, model, additions, cutters, side, wall, make):
        walls.append(wall)

    monkeypatch.setattr(steps, "cavity_of", lambda seat, model: None)
    monkeypatch.setattr(steps, "seat_solids", seat_solids)
    monkeypatch.setattr(steps, "make_parts", make_parts)
    results = {
        "shape": SimpleNamespace(surface=None, model=None),
        "couple": SimpleNamespace(seat=None),
    }
    step = next(step for step in steps.STEPS if step.stage == "make")
    case = document(plan)
    step.run(steps.StepInputs(Path(), case, results, {}, "", Memo()))
    assert walls == [pytest.approx(wall_mm)] * 2
    assert wall_mm in step.reads(Path(), case)


def test_a_changed_catalogue_makes_the_coupling_anew_and_what_rests_on_it(demo_copy):
    step = next(step for step in STEPS if step.stage == "couple")
    case = read_case(demo_copy)
    before = step.reads(demo_copy, case)
    (demo_copy / "parts.toml").write_bytes(example_parts())
    assert step.reads(demo_copy, case) != before


def test_a_part_that_no_catalogue_has_stops_the_coupling_and_says_so(demo_copy):
    case = read_case(demo_copy)
    data = case.model_dump(mode="json")
    data["couple"]["catalogue"]["foot"] = "nobody-has-this"
    result = evaluate(demo_copy, parse_document(data), Memo(), upto="align")
    refused = result.outcomes["couple"].error
    assert "couple.catalogue.foot" in refused.message
    assert result.outcomes["align"].state is State.BLOCKED


def with_magnet_of_the_catalogue(folder: Path) -> CaseDocument:
    data = read_case(folder).model_dump(mode="json")
    data["couple"]["coupling"] |= {"kind": "magnet", "capacity_n": None, "body_diameter_mm": None}
    lock = next(
        part
        for part in read_catalogue(folder).parts
        if part.kind is PartKind.MAGNET_LOCK and part.capacity_n is not None
    )
    data["couple"]["catalogue"]["coupling"] = lock.key
    return parse_document(data)


def test_the_proof_takes_the_figures_of_the_catalogue_entries_that_a_case_names(
    monkeypatch, demo_copy
):
    case = with_magnet_of_the_catalogue(demo_copy)
    lock = read_catalogue(demo_copy).get(case.couple.catalogue.coupling)
    felt = SimpleNamespace(result=None, zones=None, refused=(), sensitivity=None, pressure=None)
    seen = []
    monkeypatch.setattr(steps, "pressed", lambda inputs: felt)
    monkeypatch.setattr(steps, "prove", lambda *given, **more: seen.append(given))
    results = dict.fromkeys(("capture", "shape", "couple", "align", "assess"))
    step = next(step for step in STEPS if step.stage == "prove")
    step.run(steps.StepInputs(demo_copy, case, results, {}, "", Memo()))
    (plan,) = (one for one in seen[0] if isinstance(one, CouplePlan))
    assert plan.coupling.capacity_n == lock.capacity_n
    assert named_parts(plan)["coupling"] == lock


@pytest.mark.slow
def test_the_cast_takes_the_size_of_the_catalogue_entry_that_a_case_names(demo_copy):
    case = with_magnet_of_the_catalogue(demo_copy)
    lock = read_catalogue(demo_copy).get(case.couple.catalogue.coupling)
    limb = evaluate(demo_copy, case, Memo(), upto="capture").outcomes["capture"].result
    assert limb.casting.dummy.body_mm == lock.body_diameter_mm


@pytest.mark.slow
def test_the_seat_is_weighed_with_where_the_bench_wants_the_foot(demo_copy):
    memo = Memo()
    case = read_case(demo_copy)
    plain = evaluate(demo_copy, case, memo, upto="couple").outcomes["couple"].result
    assert {choice.taken for choice in plain.axes} == {True, False}
    data = case.model_dump(mode="json")
    data["align"]["socket_flexion_deg"] = 20.0
    flexed = evaluate(demo_copy, parse_document(data), memo, upto="couple")
    assert flexed.outcomes["couple"].result.axes != plain.axes
