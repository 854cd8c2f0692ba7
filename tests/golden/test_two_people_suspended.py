"""Two invented people on the demo limb and on two open limbs: who is refused a magnet, and why.

A limited-community walker of 62 kg with a magnet, and an active walker of 104 kg with a pin; the
second with the magnet is refused with the reason and the margin.
"""

from functools import cache

import pytest

from interface_bodies import real_limb
from limbwright.align.plan import AlignPlan
from limbwright.align.setup import set_up
from limbwright.assess.assessment import assess
from limbwright.assess.plan import Activity, Liner, Person
from limbwright.capture.plan import ScannedOver
from limbwright.case.create import demo_case
from limbwright.case.evaluate import evaluate
from limbwright.case.memo import Memo
from limbwright.case.report import evaluation_json
from limbwright.core.findings import Severity
from limbwright.core.sources import Basis, Origin
from limbwright.couple.plan import CouplePlan, CouplingKind, CouplingPlan, PartsPlan
from limbwright.couple.seating import seat_coupling
from limbwright.prove.plan import ProvePlan
from limbwright.prove.strength import strength
from limbwright.prove.suspension import suspension
from limbwright.prove.suspension_findings import RUNNING, TOE_CATCH, WALKING
from limbwright.shape.plan import ShapePlan
from limbwright.shape.rectify import rectify

LINER = Liner(thickness_mm=6.0, cap_thickness_mm=10.0)
PLAN = ProvePlan(wall_mm=5.0, distal_plate_mm=12.0)


def limited(side):
    """62 kg, limited-community walker."""
    return Person(
        code="invented-62", side=side, mass_kg=62.0, stature_mm=1650.0, activity=Activity.K2
    )


def active(side):
    """104 kg, active walker."""
    return Person(
        code="invented-104",
        side=side,
        mass_kg=104.0,
        stature_mm=1860.0,
        activity=Activity.K4,
        walking_speed_m_s=1.4,
    )


@cache
def shaped(folder):
    limb = real_limb(folder, 5000)
    return limb, rectify(limb, ShapePlan(), LINER, ScannedOver.SKIN)


@pytest.fixture(params=["limb_a", "limb_b"])
def limb(request, shared_data):
    return shaped(shared_data / "limbs" / request.param)


def proved(limb_and_shape, who, kind, mass_kg=None):
    limb, shape = limb_and_shape
    person = who(limb.side)
    parts = PartsPlan(prosthesis_mass_kg=mass_kg)
    plan = CouplePlan(coupling=CouplingPlan(kind=kind), parts=parts)
    coupling = seat_coupling(limb, shape, plan, person, LINER)
    known = assess(person)
    leg = set_up(limb, shape, coupling, AlignPlan(), person, known, plan.parts)
    return (
        suspension(shape, person, known, plan, PLAN),
        strength(shape, coupling.seat, leg, known, PLAN, plan),
    )


def margin(held, name):
    return next(check.margin for check in held.checks if check.name == name)


def told(result, code):
    return next(item for item in result.findings if item.code == code)


def test_the_limited_walker_s_magnet_is_ample_with_its_margin(limb):
    held, _ = proved(limb, limited, CouplingKind.MAGNET)
    # 195.7 N against 2.5 times 29.9 N: 2.0 kg by default at 1.0 m/s
    assert margin(held, WALKING) == pytest.approx(195.7 / (2.5 * 29.8), abs=0.05)
    walking = told(held, "suspension-walking")
    assert walking.severity is Severity.NOTE
    assert "Ample for walking (margin 2.6)" in walking.text
    assert all(item.severity is not Severity.STOP for item in held.findings)
    assert margin(held, TOE_CATCH) > 1.0


def test_the_active_walker_is_refused_the_magnet_with_reason_and_margin(limb):
    held, _ = proved(limb, active, CouplingKind.MAGNET, mass_kg=2.6)
    refused = told(held, "suspension-running")
    assert refused.severity is Severity.STOP
    # 30 N/kg, assumed, on 2.6 kg, times 2.5: 195 N; 195.7 N hold 1.00 of it, 2 is asked, and the
    # strongest magnet on the bench, 350.9 N, would hold 1.80
    assert refused.value == pytest.approx(195.0)
    assert refused.limit == pytest.approx(195.7, abs=0.05)
    assert margin(held, RUNNING) == pytest.approx(1.00, abs=0.01)
    for word in ("196 N against 195 N", "1.00", "project choice", "not for very active users"):
        assert word in refused.text
    assert refused.source.origin is Origin.TRADE
    assert refused.basis is Basis.DEFAULT


def test_the_active_walker_s_magnet_is_open_while_nobody_weighed_the_leg(limb):
    held, _ = proved(limb, active, CouplingKind.MAGNET)
    told_of = told(held, "suspension-running")
    assert told_of.severity is Severity.NOT_ESTABLISHED
    # 2.0 kg by default: 150 N
    assert margin(held, RUNNING) == pytest.approx(1.30, abs=0.01)
    assert "weigh the leg with its shoe" in told_of.text
    assert "not for very active users" in told_of.text


def test_the_active_walker_with_the_pin_is_not_refused(limb):
    held, _ = proved(limb, active, CouplingKind.PIN)
    assert all(item.severity is not Severity.STOP for item in held.findings)
    assert margin(held, RUNNING) > 3.0


def test_strength_is_told_place_by_place_for_both_and_never_approved(limb):
    for who, kind, level in (
        (limited, CouplingKind.MAGNET, "P4"),
        (active, CouplingKind.PIN, "P5"),
    ):
        _, borne = proved(limb, who, kind)
        assert {forces.level for forces in borne.detail.forces} == {level}
        assert borne.detail.weakest.point_mm is not None
        assert len(borne.detail.wall) > 10
        assert any(not item.closed for item in borne.detail.wall)
        for item in borne.findings:
            assert item.severity is not Severity.OK
        verdict = told(borne, "strength-compared")
        heavy = who is active
        assert ("100 kg" in verdict.text) == heavy


def test_both_sides_are_held_by_the_same_figures(shared_data):
    # The right and the left limb differ in shape, not in what hangs on the suspension.
    demands = [
        [
            check.demand
            for check in proved(shaped(shared_data / "limbs" / name), active, kind)[0].checks
        ]
        for name in ("limb_a", "limb_b")
        for kind in (CouplingKind.MAGNET,)
    ]
    assert demands[0] == pytest.approx(demands[1])


@pytest.mark.slow
@pytest.mark.parametrize(
    ("who", "kind", "mass_kg", "stops"),
    [
        (limited, CouplingKind.MAGNET, None, False),
        (active, CouplingKind.MAGNET, 2.6, True),
        (active, CouplingKind.PIN, None, False),
    ],
)
def test_the_demo_limb_s_findings_carry_unit_limit_basis_and_source(
    tmp_path, who, kind, mass_kg, stops
):
    document = demo_case(tmp_path / "case")
    plan = CouplePlan(coupling=CouplingPlan(kind=kind), parts=PartsPlan(prosthesis_mass_kg=mass_kg))
    document = document.model_copy(
        update={"person": who(document.person.side), "couple": plan, "prove": PLAN}
    )
    answer = evaluation_json(evaluate(tmp_path / "case", document, Memo(), upto="prove"))
    found = {item["code"]: item for item in answer["findings"] if item["stage"] == "prove"}
    running = found["suspension-running"]
    assert (running["severity"] == "stop") == stops
    for code in ("suspension-walking", "suspension-running", "suspension-toe-catch"):
        item = found[code]
        assert item["unit"] == "N"
        assert item["value"] > 0.0
        assert item["limit"] > 0.0
        assert item["basis"]
        assert item["source"]
    assert found["suspension-pistoning"]["unit"] == "mm"
    assert found["suspension-pistoning"]["value"] is not None
    for code, item in found.items():
        if code.startswith("strength-") and item["value"] is not None:
            assert item["source"]
            assert item["basis"]
