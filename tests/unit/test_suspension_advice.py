"""Indications and contraindications of suspensions, rule by rule."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limbwright.assess.assessment import assess
from limbwright.assess.condition import Condition, FollowsInstructions, Hands, Help, Sight
from limbwright.assess.description import LimbDescription
from limbwright.assess.plan import Activity, Liner, LinerMaterial, Person
from limbwright.assess.result import Assessment, SuspensionAdvice
from limbwright.assess.suspension_rules import RULES
from limbwright.core.findings import Severity
from limbwright.core.frame import Side
from limbwright.couple.plan import CouplingKind


def person(activity: Activity = Activity.K2, limb: dict | None = None, **condition) -> Person:
    return Person(
        code="invented",
        side=Side.LEFT,
        mass_kg=70.0,
        stature_mm=1700.0,
        activity=activity,
        condition=Condition(**condition),
        limb=LimbDescription(**(limb or {})),
    )


def of(kind: str, assessment: Assessment) -> SuspensionAdvice:
    return next(item for item in assessment.suspensions if item.kind == kind)


def codes(assessment: Assessment) -> list[str]:
    return [finding.code for finding in assessment.findings]


def test_every_kind_of_coupling_has_rules_each_with_reason_and_source() -> None:
    assert {kind.value for kind in CouplingKind} <= set(RULES)
    for rules in RULES.values():
        assert len({rule.text for rule in rules}) == len(rules)
        assert all(rule.source.citation and rule.asks for rule in rules)


@pytest.mark.parametrize("lack", [{"hands": Hands.POOR}, {"sight": Sight.POOR}])
def test_a_person_who_cannot_find_a_pin_is_told_so_and_led_to_what_needs_no_aim(lack: dict) -> None:
    found = assess(person(**lack), chosen="pin")
    assert "suspension-avoid" in codes(found)
    assert any("aimed" in reason.text for reason in of("pin", found).avoid)
    assert any("aimed" in reason.text for reason in of("lanyard", found).speaks_for)
    assert of("magnet", found).speaks_for


def test_daily_help_lifts_what_only_hands_or_sight_forbid() -> None:
    helped = assess(person(hands=Hands.POOR, sight=Sight.POOR, help=Help.DAILY), chosen="pin")
    assert of("pin", helped).avoid == ()
    assert of("lanyard", helped).avoid == ()


def test_vacuum_for_a_person_who_follows_instructions_poorly_is_a_contraindication() -> None:
    found = assess(person(follows_instructions=FollowsInstructions.POORLY), chosen="vacuum")
    finding = next(f for f in found.findings if f.code == "suspension-avoid")
    assert finding.where == "vacuum"
    assert finding.severity is Severity.WARNING
    assert "Stevens" in str(finding.source)


def test_an_implanted_device_or_high_activity_speaks_against_a_magnet() -> None:
    assert of("magnet", assess(person(implanted_device=True))).avoid
    assert of("magnet", assess(person(Activity.K4))).avoid
    third = of("magnet", assess(person(Activity.K3)))
    assert third.think_twice
    assert not third.avoid


def test_what_was_not_asked_is_not_established_and_no_pass() -> None:
    found = assess(person(), chosen="pin")
    finding = next(f for f in found.findings if f.code == "suspension-not-asked")
    assert finding.severity is Severity.NOT_ESTABLISHED
    assert "hands" in finding.text


def test_a_seal_needs_a_liner_that_seals() -> None:
    bare = Liner(material=LinerMaterial.NONE, thickness_mm=0.0, cap_thickness_mm=0.0)
    assert of("suction", assess(person(), bare)).avoid
    assert not of("suction", assess(person(), Liner())).avoid


_WORSE = {
    "hands": list(Hands),
    "sight": list(Sight),
    "follows_instructions": list(FollowsInstructions),
}


@pytest.mark.parametrize("field", list(_WORSE))
@given(data=st.data())
def test_a_worse_condition_never_takes_a_reason_against_away(field: str, data) -> None:
    steps = _WORSE[field]
    at = data.draw(st.integers(0, len(steps) - 2))
    other = {
        name: data.draw(st.sampled_from([None, *values]))
        for name, values in _WORSE.items()
        if name != field
    }
    activity = data.draw(st.sampled_from(list(Activity)))

    def weight(step: int) -> dict[str, int]:
        found = assess(person(activity, **other, **{field: steps[step]}))
        return {a.kind: 2 * len(a.avoid) + len(a.think_twice) for a in found.suspensions}

    better, worse = weight(at), weight(at + 1)
    assert all(worse[kind] >= better[kind] for kind in better)


def test_the_standards_terms_stand_beside_the_trades_words() -> None:
    # ISO 13405-2: axial stabilization proximal, distal, total socket; ISO 8548-2: the shapes
    found = assess(person(limb={"shape": "bulbous"}))
    assert "shape: bulbous (club-shaped)" in found.socket_words


def test_half_an_answer_is_still_asked_for() -> None:
    half = assess(person(hands=Hands.FULL))
    whole = assess(person(hands=Hands.FULL, sight=Sight.FULL))
    assert "hands, sight and help" in of("pin", half).not_asked
    assert "hands, sight and help" not in of("pin", whole).not_asked
