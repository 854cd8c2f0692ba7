"""The assessment against published anthropometry and defined constants."""

import pytest

from limbwright.assess.assessment import assess
from limbwright.assess.plan import Activity, Person
from limbwright.core.findings import Severity
from limbwright.core.frame import Side
from limbwright.core.sources import Basis


def person(**changes: object) -> Person:
    data = {
        "code": "p1",
        "side": Side.RIGHT,
        "mass_kg": 80.0,
        "stature_mm": 1756.2,
        "activity": Activity.K3,
    }
    return Person.model_validate({**data, **changes})


def codes(result: object) -> set[str]:
    return {finding.code for finding in result.findings}


def test_body_weight_is_mass_times_standard_gravity():
    assert assess(person()).body_weight_n == pytest.approx(784.532, abs=1e-3)


def test_estimated_foot_length_lies_near_the_surveys_mean():
    # 2012 US Army survey: men of mean stature 1756.2 mm have feet of 271.2 +- 13.1 mm.
    result = assess(person())
    assert result.foot_length_mm == pytest.approx(271.2, abs=6.0)
    assert result.foot_length_basis is Basis.ESTIMATED


def test_a_measured_foot_and_speed_replace_the_defaults():
    result = assess(person(foot_length_mm=255.0, walking_speed_m_s=0.9))
    assert (result.foot_length_mm, result.speed_m_s) == (255.0, 0.9)
    assert result.foot_length_basis is Basis.GIVEN
    assert not codes(result) & {"foot-length-estimated", "walking-speed-default"}


def test_default_speed_rises_with_the_class_and_is_marked():
    speeds = [assess(person(activity=item)).speed_m_s for item in Activity]
    assert speeds == sorted(speeds)
    assert assess(person()).speed_basis is Basis.DEFAULT


def test_above_the_heaviest_level_strength_is_not_established_and_never_passes():
    result = assess(person(mass_kg=112.0))
    finding = next(item for item in result.findings if item.code == "load-level-not-established")
    assert result.load_level is None
    assert finding.severity is Severity.NOT_ESTABLISHED


def test_what_is_carried_counts_for_the_load_level():
    # ISO 10328 body mass limits: P3 60, P4 80, P5 100 kg; with shoes and what is carried.
    level = {
        carried: assess(person(mass_kg=74.0, carried_load_kg=carried)).load_level
        for carried in (None, 0.0, 6.0, 10.0, 30.0)
    }
    assert level == {None: "P4", 0.0: "P4", 6.0: "P4", 10.0: "P5", 30.0: None}
    told = assess(person(mass_kg=74.0, carried_load_kg=10.0)).findings[0]
    assert told.value == 84.0
    assert told.limit == 100.0
    assert "10 kg carried" in told.text
    assert "no carried load" in assess(person(mass_kg=74.0)).findings[0].text
