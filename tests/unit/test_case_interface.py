"""What is kept of the interface engines, and what stands in where one cannot take a limb."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cache

import numpy as np
import pytest

from coupling_bodies import person, round_limb_and_socket
from limbwright.align.plan import AlignPlan
from limbwright.align.setup import set_up
from limbwright.assess.assessment import assess
from limbwright.assess.plan import Liner
from limbwright.capture.plan import ScannedOver
from limbwright.capture.result import Limb
from limbwright.case import interface as pressing
from limbwright.case.document import CaseDocument
from limbwright.case.interface import pressed, with_engine
from limbwright.case.memo import Memo
from limbwright.case.stepping import Depth, StepInputs
from limbwright.core.errors import BadInput
from limbwright.core.findings import Severity
from limbwright.couple.plan import CouplePlan, CouplingKind, CouplingPlan, PartsPlan
from limbwright.couple.seating import seat_coupling
from limbwright.demo.case import demo_plans
from limbwright.prove.interface import engine as engines
from limbwright.prove.interface.bed import BedState
from limbwright.prove.interface.engine import DONNED
from limbwright.prove.interface.reading_findings import reading_findings
from limbwright.prove.interface.spring_bed import Fitted, Prepared, SpringBed
from limbwright.prove.plan import MeshLevel, ProvePlan
from limbwright.prove.result import CasePressure

LINER = Liner(thickness_mm=10.0)
PARTS = PartsPlan(datum_floor_mm=460.0)


@dataclass(frozen=True)
class Counted(SpringBed):
    """The spring bed under another name, counting what it is asked for."""

    name: str = "live"
    asked: list[str] = field(default_factory=list)
    refuses: bool = False

    def prepare(
        self, limb: Limb, liner: Liner, scanned_over: ScannedOver, plan: ProvePlan, progress=None
    ) -> Prepared:
        self.asked.append("prepared")
        if self.refuses:
            raise BadInput("the bone stands 1 mm from the skin at the fibular head.")
        return super().prepare(limb, liner, scanned_over, plan, progress)

    def solve(
        self, fitted: Fitted, load_case, start: BedState | None = None, progress=None
    ) -> tuple[CasePressure, BedState]:
        if load_case.name == DONNED or start is not None:
            self.asked.append(load_case.name)
        return super().solve(fitted, load_case, start, progress)


@cache
def results():
    limb, shape = round_limb_and_socket()
    walker = person()
    couple_plan = CouplePlan(coupling=CouplingPlan(kind=CouplingKind.MAGNET), parts=PARTS)
    coupling = seat_coupling(limb, shape, couple_plan, walker, LINER)
    known = assess(walker)
    alignment = set_up(limb, shape, coupling, AlignPlan(), walker, known, PARTS)
    return {"capture": limb, "shape": shape, "couple": coupling, "align": alignment}


def document(engine: str) -> CaseDocument:
    capture = {"scan": "scan.stl", "landmarks": {"points": {}}}
    plans = {**demo_plans(), "prove": ProvePlan(engine=engine), "liner": LINER}
    return CaseDocument.model_validate({"capture": capture, **plans})


def inputs_in(folder, engine: str, align_key: str = "a", **changes) -> StepInputs:
    keys = {"capture": "c", "shape": "s", "couple": "k", "align": align_key}
    return StepInputs(folder, document(engine), results(), keys, "", Memo(), **changes)


@pytest.fixture
def counted(monkeypatch):
    """Engines "live" and "fe" that count; what they compute is the spring bed's."""
    made = {name: Counted(name) for name in ("live", "fe")}
    real = engines.engine
    monkeypatch.setattr(pressing, "engine", lambda name: made.get(name) or real(name))
    return made


def test_what_a_costly_engine_prepared_is_kept_in_the_case(tmp_path, counted):
    first = pressed(inputs_in(tmp_path, "live"))
    assert counted["live"].asked.count("prepared") == 1
    second = pressed(inputs_in(tmp_path, "live"))
    assert counted["live"].asked.count("prepared") == 1
    for one, other in zip(first.result.cases, second.result.cases, strict=True):
        np.testing.assert_array_equal(one.pressure_mpa, other.pressure_mpa)


def test_another_liner_prepares_the_limb_anew(tmp_path, counted):
    pressed(inputs_in(tmp_path, "live"))
    other = inputs_in(tmp_path, "live")
    softer = other.document.model_copy(
        update={"liner": LINER.model_copy(update={"modulus_kpa": 100.0})}
    )
    pressed(replace(other, document=softer))
    assert counted["live"].asked.count("prepared") == 2


def test_a_changed_load_starts_from_the_donned_state(tmp_path, counted):
    pressed(inputs_in(tmp_path, "fe"))
    asked = counted["fe"].asked
    assert asked.count(DONNED) == 1
    assert asked.count("standing") == 1
    pressed(inputs_in(tmp_path, "fe", align_key="another"))
    assert asked.count(DONNED) == 1
    assert asked.count("standing") == 2
    assert asked.count("prepared") == 1


def test_the_same_finite_elements_are_not_solved_twice(tmp_path, counted):
    first = pressed(inputs_in(tmp_path, "fe"))
    before = list(counted["fe"].asked)
    second = pressed(inputs_in(tmp_path, "fe"))
    assert counted["fe"].asked == before
    for one, other in zip(first.result.cases, second.result.cases, strict=True):
        np.testing.assert_array_equal(one.pressure_mpa, other.pressure_mpa)
        np.testing.assert_array_equal(one.pose.shift_mm, other.pose.shift_mm)
        assert one.areas == other.areas


def test_a_damaged_cache_is_computed_anew(tmp_path, counted):
    pressed(inputs_in(tmp_path, "fe"))
    for file in (tmp_path / ".cache").iterdir():
        file.write_bytes(b"no cache")
    pressed(inputs_in(tmp_path, "fe"))
    assert counted["fe"].asked.count(DONNED) == 2


def test_finite_elements_stand_beside_the_quick_engine(tmp_path, counted):
    found = pressed(inputs_in(tmp_path, "fe")).pressure
    assert found.quick is not None
    assert found.quick.engine == "live"
    assert found.agreement is not None
    # the same springs under two names agree in every area and case
    assert found.agreement.median_percent == 0.0
    assert {pair.load_case for pair in found.agreement.pairs} >= {"donned", "standing"}
    (said,) = [one for one in reading_findings(found) if one.code.startswith("engines-")]
    assert said.code == "engines-agree"
    assert "Trust the finite elements" in said.text


def test_bands_of_the_finite_elements_are_the_quick_engines(tmp_path, counted):
    found = pressed(inputs_in(tmp_path, "fe", depth=Depth.LIVE_BANDS)).pressure
    assert found.uncertainty is not None
    assert found.uncertainty.engine == "live"
    assert all(case.mean_band_kpa for reading in found.readings for case in reading.cases)
    assert found.what_if
    asked = list(counted["live"].asked)
    # once as designed, then for tissue and liner, both to both sides, and Poisson's ratio, which
    # stands at the end of its range; friction needs no new limb
    assert asked.count("prepared") == 6
    again = pressed(inputs_in(tmp_path, "fe", depth=Depth.LIVE_BANDS)).pressure
    assert counted["live"].asked.count("prepared") == asked.count("prepared")
    assert again.readings == found.readings
    assert again.uncertainty == found.uncertainty
    assert again.what_if == found.what_if


def test_bands_by_the_first_estimate_mesh_no_limb_anew(tmp_path, counted):
    found = pressed(inputs_in(tmp_path, "fe", depth=Depth.BANDS)).pressure
    assert found.uncertainty is not None
    assert found.uncertainty.engine == "spring_bed"
    assert all(case.mean_band_kpa for reading in found.readings for case in reading.cases)
    assert counted["live"].asked.count("prepared") == 1


def test_a_limb_that_cannot_be_meshed_falls_back_and_says_where(tmp_path, counted):
    refusing = Counted("fe", refuses=True)
    counted["fe"] = refusing
    found = pressed(inputs_in(tmp_path, "fe"))
    assert found.result.engine == "spring_bed"
    assert found.pressure.agreement is None
    (said,) = [
        one for one in reading_findings(found.pressure) if one.code == "first-estimate-instead"
    ]
    assert said.severity is Severity.WARNING
    assert "at the fibular head" in said.text


def test_an_edit_computes_no_bands(tmp_path):
    found = pressed(inputs_in(tmp_path, "spring_bed"))
    assert found.pressure.uncertainty is None
    assert found.pressure.what_if == ()
    assert found.sensitivity is not None
    assert all(
        case.mean_band_kpa is None for reading in found.pressure.readings for case in reading.cases
    )


def test_an_engine_for_one_evaluation_leaves_the_document_as_it_is():
    before = document("spring_bed")
    after = with_engine(before, "fe", "coarse")
    assert (before.prove.engine, before.prove.mesh) == ("spring_bed", MeshLevel.MEDIUM)
    assert (after.prove.engine, after.prove.mesh) == ("fe", MeshLevel.COARSE)
    assert with_engine(before, None, None) == before
