"""Coupling and alignment on two real limbs, right and left, with their true landmarks."""

import numpy as np
import pytest

from coupling_bodies import person
from interface_bodies import real_limb
from limbwright.align.chain import datum_height_mm, stand
from limbwright.align.effects import moment_at
from limbwright.align.plan import AlignPlan, Deviation, GaitPhase, Observation
from limbwright.align.setup import set_up
from limbwright.align.stand import bench_stand
from limbwright.assess.assessment import assess
from limbwright.assess.plan import Activity, Liner
from limbwright.capture.plan import ScannedOver
from limbwright.core.findings import Severity, missed_by
from limbwright.core.frame import Side
from limbwright.core.topology import is_closed_manifold
from limbwright.couple.plan import CouplePlan, CouplingKind, CouplingPlan, SeatAxis
from limbwright.couple.seating import seat_coupling
from limbwright.shape.plan import ShapePlan
from limbwright.shape.rectify import rectify

LINER = Liner(thickness_mm=6.0, cap_thickness_mm=10.0)
PLAN = CouplePlan(coupling=CouplingPlan(spacing_mm=2.5))


@pytest.fixture(scope="module", params=["limb_a", "limb_b"])
def leg(request, shared_data):
    limb = real_limb(shared_data / "limbs" / request.param, 5000)
    shape = rectify(limb, ShapePlan(), LINER, ScannedOver.SKIN)
    who = person(limb.side)
    stand = bench_stand(AlignPlan(), who, shape, PLAN.parts)
    coupling = seat_coupling(limb, shape, PLAN, who, LINER, stand=stand)
    alignment = set_up(limb, shape, coupling, AlignPlan(), who, assess(who), PLAN.parts)
    return limb, shape, coupling, alignment, who


def test_the_liner_cap_lies_its_thickness_under_the_limb_s_end(leg):
    limb, _, coupling, _, _ = leg
    below = limb.landmarks["limb_end"].point_mm[2] - coupling.seat.cap_mm[2]
    assert below == pytest.approx(10.0, abs=0.5)
    gap = coupling.seat.face_mm - coupling.seat.cap_mm
    assert np.linalg.norm(gap) == pytest.approx(2.5, abs=1e-9)


def test_the_coupling_meets_the_target_and_its_solids_are_closed(leg):
    _, _, coupling, _, _ = leg
    assert coupling.seat.tilt_deg <= 5.0 + 1e-6  # half of a magnet's 10 degrees
    assert coupling.seat.offset_mm < 0.5
    for mesh in (*coupling.additions, *coupling.cutters):
        assert is_closed_manifold(mesh)


def test_the_adapters_stay_in_range_where_the_distal_axis_alone_would_not_let_them(leg):
    _, _, coupling, alignment, _ = leg
    by_axis = {choice.axis: choice for choice in coupling.axes}
    assert by_axis[SeatAxis.DISTAL].adapter_deg > 8.0
    assert by_axis[SeatAxis.LIMB].offset_mm > 20.0
    tilts = [alignment.leg.socket, alignment.leg.foot]
    worst = max(max(abs(t.flexion_rad), abs(t.adduction_rad)) for t in tilts)
    assert np.degrees(worst) <= 8.0
    # what the seat foresaw is what alignment finds, but for the turn of the foot
    assert np.degrees(worst) == pytest.approx(by_axis[SeatAxis.BALANCED].adapter_deg, abs=0.6)


def test_a_model_that_catches_is_told_with_what_frees_it(leg):
    _, _, coupling, _, _ = leg
    out = coupling.withdrawal
    assert out.catch_mm > 5.0
    assert out.free_catch_mm < 0.75 * out.catch_mm
    told = next(finding for finding in coupling.findings if finding.code == "model-catches")
    assert "towards" in told.remedy


def test_a_trim_line_far_down_the_limb_is_no_way_out(leg):
    # It would free limb A 64 mm below the tendon, limb B where the line stands lowest already.
    limb, shape, coupling, _, _ = leg
    out = coupling.withdrawal
    told = next(finding for finding in coupling.findings if finding.code == "model-catches")
    if limb.side is Side.RIGHT:
        assert out.trim_to_mm is None
        assert "trim line" not in told.remedy
    else:
        assert -out.trim_to_mm >= float(shape.trim.points_mm[:, 2].min()) - 0.5
        assert "lower the trim line" in told.remedy


def test_the_exit_of_either_side_points_towards_the_other_leg(leg):
    limb, _, coupling, _, _ = leg
    inward = coupling.seat.exit_direction @ limb.frame.axes
    outward = limb.landmarks["fibular_head"].point_mm @ limb.frame.axes
    assert inward @ outward < 0.0
    assert (np.linalg.det(limb.frame.axes) > 0) == (limb.side is Side.RIGHT)


def test_the_heights_add_up_to_the_floor(leg):
    _, _, coupling, alignment, _ = leg
    height = coupling.height
    total = sum(item.height_mm for item in height.items) + height.pylon_mm
    assert total == pytest.approx(height.datum_floor_mm, abs=1e-9)
    assert datum_height_mm(stand(alignment.leg)) == pytest.approx(height.datum_floor_mm, abs=1e-9)
    assert alignment.leg.pylon_mm == pytest.approx(height.pylon_mm, abs=6.0)


def test_standing_carries_half_of_body_weight_and_stance_about_all_of_it(leg):
    *_, alignment, who = leg
    weight = who.mass_kg * 9.80665
    force = {c.name: c.wrench_on_limb.force_n for c in alignment.load_cases}
    assert np.linalg.norm(force["standing"]) == pytest.approx(0.5 * weight)
    for name in ("early_stance", "mid_stance", "late_stance"):
        assert 0.7 < np.linalg.norm(force[name]) / weight < 1.3
    assert force["swing"][2] < 0.0


WALKERS = {
    "62 kg, limited community, magnet": (
        {"mass_kg": 62.0, "stature_mm": 1640.0, "activity": Activity.K2},
        CouplingKind.MAGNET,
    ),
    "104 kg, active, pin": (
        {"mass_kg": 104.0, "stature_mm": 1840.0, "activity": Activity.K3},
        CouplingKind.PIN,
    ),
}


@pytest.mark.parametrize("name", WALKERS)
def test_both_walkers_have_every_alignment_answer_with_its_unit_basis_and_source(leg, name):
    limb, shape, _, _, _ = leg
    given, kind = WALKERS[name]
    who = person(limb.side, **given)
    couple = CouplePlan(coupling=CouplingPlan(kind=kind, spacing_mm=2.5))
    coupling = seat_coupling(limb, shape, couple, who, LINER)
    plan = AlignPlan(
        wanted_outward_mm=-5.0,
        observed=(Observation(phase=GaitPhase.MID, what=Deviation.KNEE_THRUSTS_OUTWARD),),
    )
    alignment = set_up(limb, shape, coupling, plan, who, assess(who), couple.parts)
    assert [one.name for one in alignment.chain] == ["socket", "foot"]
    assert len(alignment.effects) == 16
    assert alignment.guide[0].causes
    knee = next(place for place in alignment.load_line.places if place.name == "knee")
    assert abs(knee.line_forward_mm) < 80.0
    for finding in alignment.findings:
        if finding.value is not None:
            assert finding.unit
        if finding.limit is not None:
            assert finding.source is not None
        if finding.severity is Severity.NOTE and (missed_by(finding) or 0.0) > 1.0:
            assert finding.usual  # what nobody need look at is over no limit
    told = {finding.code for finding in alignment.findings}
    assert {"load-line-at-the-knee", "moments-beside-measured-ones", "pylon-leans"} & told
    assert {"change-feasible", "change-beyond-range"} & told
    inset = next(one for one in alignment.effects if one.name == "foot in")
    before, after = (moment_at(m, "knee", "mid_stance") for m in (inset.before, inset.after))
    # 5 mm at the vertical force of mid-stance, which is within a third of body weight
    change = after.coronal_n_m - before.coronal_n_m
    assert change == pytest.approx(0.005 * who.mass_kg * 9.80665, rel=0.35)
