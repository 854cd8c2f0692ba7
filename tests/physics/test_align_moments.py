"""Moments at the socket: signs, hand calculations, and the rules that fitters go by."""

import math
from dataclasses import replace

import numpy as np
import pytest

from coupling_bodies import person, round_limb_and_socket
from leg_bodies import WALKER, aligned, straight_leg
from limbwright.align.chain import Tilt, about_outward, stand
from limbwright.align.effects import effect_of_foot_move
from limbwright.align.gait_loads import EARLY, LATE, MID, ground_reaction
from limbwright.align.loads import (
    moment_curve,
    stance_forces,
    stance_wrench,
    standing_wrench,
)
from limbwright.align.moves import FootChange, moved_pose
from limbwright.align.plan import AlignPlan
from limbwright.align.swing import swing_pull
from limbwright.assess.assessment import assess
from limbwright.core.frame import Side
from limbwright.core.sources import Basis
from limbwright.couple.plan import CouplePlan, CouplingKind, CouplingPlan, PartsPlan
from limbwright.prove.suspension import suspension

PHASES = {"early": EARLY, "mid": MID, "late": LATE}


def at(curve, values, part):
    return float(np.interp(100.0 * part, curve.stance_percent, values))


def test_standing_pushes_the_limb_up_with_half_of_body_weight():
    leg = straight_leg()
    wrench = standing_wrench(leg, stand(leg), WALKER)
    assert wrench.force_n == pytest.approx([0.0, 0.0, 400.0])
    # 400 N in front of the datum by 0.15 of a foot of 260 mm: extension, about outward
    assert wrench.moment_n_mm == pytest.approx([400.0 * 39.0, 0.0, 0.0])


def test_a_stance_wrench_is_the_ground_s_force_carried_to_the_datum():
    leg = straight_leg()
    for part in PHASES.values():
        reaction = ground_reaction(np.array([part]), WALKER.speed_m_s)
        force = about_outward(float(reaction.lean_rad[0])) @ reaction.force_bw[0] * 800.0
        place = np.array([0.0, 260.0 * reaction.ahead[0], 260.0 * reaction.rise[0] - 480.0])
        wrench = stance_wrench(leg, stand(leg), WALKER, part)
        assert wrench.force_n == pytest.approx(force)
        assert wrench.moment_n_mm == pytest.approx(np.cross(place, force))


@pytest.mark.parametrize("side", Side)
def test_a_load_case_tells_the_moments_that_curve_and_small_changes_tell(side):
    plan = AlignPlan(socket_flexion_deg=12.0, socket_adduction_deg=8.0, toe_out_deg=9.0)
    found = aligned(plan, side=side)
    loads = {load.name: load for load in found.ground_loads}
    assert [load.name for load in found.ground_loads] == [case.name for case in found.load_cases]
    half = 0.5 * assess(person(side)).body_weight_n
    # nothing but a vertical force in standing, seen from the ground, however the socket leans
    assert (loads["standing"].up_n, loads["standing"].forward_n) == pytest.approx((half, 0.0))
    before = found.effects[0]
    for phase in before.before:
        if phase.place == "datum":
            load = loads[phase.phase]
            assert load.coronal_n_m == pytest.approx(phase.coronal_n_m)
            assert load.sagittal_n_m == pytest.approx(phase.sagittal_n_m)
    standing = loads["standing"]
    assert (standing.coronal_n_m, standing.sagittal_n_m) == pytest.approx(
        before.standing_before_n_m
    )
    mid = found.moments.stance_percent.index(50.0)
    assert loads["mid_stance"].coronal_n_m == pytest.approx(found.moments.coronal_n_m[mid])
    assert loads["mid_stance"].up_n == pytest.approx(found.moments.vertical_n[mid])
    # the limb's own axes lean, and would tell another moment
    own = next(case for case in found.load_cases if case.name == "mid_stance").wrench_on_limb
    assert abs(own.moment_n_mm[1] / 1000.0 - loads["mid_stance"].coronal_n_m) > 0.1


def test_forces_are_in_proportion_to_body_weight():
    leg = straight_leg()
    one = stance_wrench(leg, stand(leg), WALKER, MID)
    two = stance_wrench(leg, stand(leg), replace(WALKER, body_weight_n=1600.0), MID)
    assert two.force_n == pytest.approx(2.0 * one.force_n)
    assert two.moment_n_mm == pytest.approx(2.0 * one.moment_n_mm)


@pytest.mark.parametrize("part", PHASES.values(), ids=PHASES)
def test_a_more_inset_foot_drives_the_knee_outward_and_an_outset_one_inward(part):
    leg = straight_leg(toe_out_rad=0.1)
    inset = effect_of_foot_move(leg, FootChange(0.0, -8.0, 0.0, 0.0), WALKER)
    outset = effect_of_foot_move(leg, FootChange(0.0, 8.0, 0.0, 0.0), WALKER)
    base = at(inset.before, inset.before.coronal_n_m, part)
    more = at(inset.after, inset.after.coronal_n_m, part) - base
    less = at(outset.after, outset.after.coronal_n_m, part) - base
    assert more > 0.0 > less
    assert less == pytest.approx(-more, rel=0.05)


def test_an_inset_of_10_mm_changes_the_moment_by_its_arm_times_the_force():
    # 10 mm at one body weight is 0.098 N·m/kg
    leg = straight_leg()
    effect = effect_of_foot_move(leg, FootChange(0.0, -10.0, 0.0, 0.0), WALKER)
    change = at(effect.after, effect.after.coronal_n_m, MID) - at(
        effect.before, effect.before.coronal_n_m, MID
    )
    assert change == pytest.approx(
        0.010 * at(effect.before, effect.before.vertical_n, MID), rel=0.02
    )
    per_kg_at_one_weight = change / at(effect.before, effect.before.vertical_n, MID) * 9.80665
    assert per_kg_at_one_weight == pytest.approx(0.098, rel=0.02)


@pytest.mark.parametrize("part", PHASES.values(), ids=PHASES)
def test_a_foot_set_forward_drives_the_knee_back_and_one_set_back_lets_it_flex(part):
    leg = straight_leg()
    ahead = effect_of_foot_move(leg, FootChange(6.0, 0.0, 0.0, 0.0), WALKER)
    behind = effect_of_foot_move(leg, FootChange(-6.0, 0.0, 0.0, 0.0), WALKER)
    base = at(ahead.before, ahead.before.sagittal_n_m, part)
    assert at(ahead.after, ahead.after.sagittal_n_m, part) > base
    assert at(behind.after, behind.after.sagittal_n_m, part) < base


@pytest.mark.parametrize("part", PHASES.values(), ids=PHASES)
def test_plantar_flexion_drives_the_knee_back_and_dorsiflexion_lets_it_flex(part):
    leg = straight_leg()
    plantar = effect_of_foot_move(leg, FootChange(0.0, 0.0, -2.0, 0.0), WALKER)
    dorsal = effect_of_foot_move(leg, FootChange(0.0, 0.0, 2.0, 0.0), WALKER)
    base = at(plantar.before, plantar.before.sagittal_n_m, part)
    more = at(plantar.after, plantar.after.sagittal_n_m, part) - base
    less = at(dorsal.after, dorsal.after.sagittal_n_m, part) - base
    assert more > 0.0 > less
    assert less == pytest.approx(-more, rel=0.15)


def test_a_degree_of_tilt_moves_the_load_line_by_the_height_of_the_joint_times_its_tangent():
    # h tan 1 deg: 6.98 mm at 400 mm; the datum stands 400 mm over the foot's adapter
    leg = straight_leg()
    wrenches = [
        standing_wrench(leg, pose, WALKER)
        for pose in (stand(leg), moved_pose(leg, FootChange(0.0, 0.0, -1.0, 0.0)))
    ]
    arms = [wrench.moment_n_mm[0] / np.linalg.norm(wrench.force_n) for wrench in wrenches]
    assert arms[1] - arms[0] == pytest.approx(400.0 * math.tan(math.radians(1.0)), abs=0.02)


@pytest.mark.parametrize("part", PHASES.values(), ids=PHASES)
def test_more_socket_flexion_at_the_adapter_lets_the_knee_flex(part):
    leg = straight_leg()
    flexed = replace(leg, socket=Tilt(math.radians(3.0), 0.0))
    before, after = moment_curve(leg, WALKER), moment_curve(flexed, WALKER)
    assert at(after, after.sagittal_n_m, part) < at(before, before.sagittal_n_m, part)


@pytest.mark.parametrize("part", PHASES.values(), ids=PHASES)
def test_more_socket_adduction_sets_the_knee_outward_over_the_foot_and_adds_varus(part):
    # about the datum, the socket leans outward over a foot that keeps its place on the ground
    leg = straight_leg()
    adducted = replace(leg, socket=Tilt(0.0, math.radians(3.0)))
    before, after = moment_curve(leg, WALKER), moment_curve(adducted, WALKER)
    assert at(after, after.coronal_n_m, part) > at(before, before.coronal_n_m, part)


def test_early_stance_flexes_the_knee_and_mid_stance_extends_it_as_measured(shared_data):
    # knee moments of a man of 85.27 kg from inverse dynamics, external, per kg of body mass
    lines = (shared_data / "gait/walker_1/id_walk.sto").read_text().splitlines()
    head = next(k for k, line in enumerate(lines) if line.strip() == "endheader")
    names = lines[head + 1].split("\t")
    rows = np.array([[float(x) for x in line.split("\t")] for line in lines[head + 2 :] if line])
    share = np.linspace(0.0, 1.0, 51)
    knee = rows[:, names.index("knee_angle_l_moment")] / 85.27
    measured = np.interp(0.836 + 0.753 * share, rows[:, 0], knee)
    walker = replace(WALKER, body_weight_n=9.80665, speed_m_s=1.25)
    ours = np.array(aligned_curve(walker).sagittal_n_m)
    early, middle = (share > 0.1) & (share < 0.4), (share > 0.45) & (share < 0.75)
    assert ours[early].min() == pytest.approx(measured[early].min(), abs=0.25)
    assert ours[early].min() < -0.3
    assert ours[middle].mean() > ours[early].mean() + 0.3
    assert measured[middle].mean() > measured[early].mean() + 0.3


def test_the_ankle_moment_is_that_of_a_man_measured_and_within_the_textbooks_range(shared_data):
    # inverse dynamics of a man of 85.27 kg; plantar-flexion moments of 1.2 to 1.6 N·m/kg at about
    # three quarters of stance are textbook values of level walking (Winter 1991)
    lines = (shared_data / "gait/walker_1/id_walk.sto").read_text().splitlines()
    head = next(k for k, line in enumerate(lines) if line.strip() == "endheader")
    names = lines[head + 1].split("\t")
    rows = np.array([[float(x) for x in line.split("\t")] for line in lines[head + 2 :] if line])
    share = np.linspace(0.0, 1.0, 51)
    ankle = -rows[:, names.index("ankle_angle_l_moment")] / 85.27
    measured = np.interp(0.836 + 0.753 * share, rows[:, 0], ankle)
    leg = aligned().leg
    pose = stand(leg)
    walker = replace(WALKER, body_weight_n=9.80665, speed_m_s=1.25)
    forces = stance_forces(leg, pose, walker, share)
    ours = (forces.moments_n_mm(pose.points_mm["ankle"]) @ pose.ground_axes)[:, 0] / 1000.0
    assert 1.2 <= ours.max() <= 1.6
    assert ours.max() == pytest.approx(measured.max(), abs=0.3)
    assert share[ours.argmax()] == pytest.approx(share[measured.argmax()], abs=0.04)
    assert np.sqrt(np.mean((ours - measured) ** 2)) < 0.25


def aligned_curve(walker, where="datum"):
    return moment_curve(aligned().leg, walker, where)


def test_moments_at_the_socket_s_base_are_those_at_the_datum_less_the_arm_between():
    leg = straight_leg()
    datum, base = (moment_curve(leg, WALKER, where) for where in ("datum", "socket base"))
    for k, part in enumerate(np.linspace(0.0, 1.0, len(datum.stance_percent))):
        force = stance_wrench(leg, stand(leg), WALKER, float(part)).force_n
        assert base.sagittal_n_m[k] - datum.sagittal_n_m[k] == pytest.approx(
            -0.185 * force[1], abs=1e-9
        )
        assert base.coronal_n_m[k] - datum.coronal_n_m[k] == pytest.approx(
            0.185 * force[0], abs=1e-9
        )


def test_a_bench_inset_foot_raises_the_coronal_moment_of_the_load_cases():
    inset = {c.name: c for c in aligned(AlignPlan(foot_inset_mm=20.0)).load_cases}
    plain = {c.name: c for c in aligned(AlignPlan(foot_inset_mm=12.0)).load_cases}
    for name in ("standing", "early_stance", "mid_stance", "late_stance"):
        more = inset[name].wrench_on_limb.moment_n_mm[1]
        assert more > plain[name].wrench_on_limb.moment_n_mm[1]


def test_the_default_bench_leg_has_a_slight_varus_moment_at_mid_stance():
    codes = {finding.code for finding in aligned().findings}
    assert "varus-at-mid-stance" in codes
    outset = {finding.code for finding in aligned(AlignPlan(foot_inset_mm=-40.0)).findings}
    assert "valgus-at-mid-stance" in outset


def test_donned_carries_nothing_and_swing_pulls_the_limb_down():
    cases = {case.name: case for case in aligned().load_cases}
    assert np.all(cases["donned"].wrench_on_limb.force_n == 0.0)
    swing = cases["swing"]
    assert swing.wrench_on_limb.force_n[2] < 0.0
    assert "the hand bound of one measured walker" in swing.text
    pull = np.linalg.norm(swing.wrench_on_limb.force_n)
    assert swing.coupling_pull_n == pytest.approx(pull, rel=0.03)
    for name in ("donned", "standing", "early_stance", "mid_stance", "late_stance"):
        assert cases[name].coupling_pull_n == 0.0


def test_a_sleeve_does_not_pull_at_the_limb_s_end():
    couple = CouplePlan(coupling=CouplingPlan(kind=CouplingKind.SLEEVE))
    swing = aligned(couple=couple).load_cases[-1]
    assert swing.coupling_pull_n == 0.0
    assert swing.wrench_on_limb.force_n[2] < 0.0


def test_a_weighed_prosthesis_pulls_in_proportion_to_its_mass():
    pulls = [
        aligned(couple=CouplePlan(parts=PartsPlan(prosthesis_mass_kg=mass)))
        .load_cases[-1]
        .coupling_pull_n
        for mass in (1.2, 2.4)
    ]
    assert pulls[1] == pytest.approx(2.0 * pulls[0])


@pytest.mark.parametrize("weighed", [None, 2.4])
@pytest.mark.parametrize("speed", [None, 0.5, 1.9])
def test_the_leg_is_swung_with_the_mass_and_speed_that_its_suspension_is_judged_by(weighed, speed):
    who = person(Side.RIGHT).model_copy(update={"walking_speed_m_s": speed})
    couple = CouplePlan(parts=PartsPlan(prosthesis_mass_kg=weighed))
    swing = aligned(couple=couple, who=who).load_cases[-1]
    shape = round_limb_and_socket()[1]
    judged = suspension(shape, who, assess(who), couple).detail
    pull = swing_pull(judged.mass_kg, judged.speed_m_s).bound_n
    assert np.linalg.norm(swing.wrench_on_limb.force_n) == pytest.approx(pull)
    assert (swing.basis is Basis.DEFAULT) == (weighed is None or speed is None)
