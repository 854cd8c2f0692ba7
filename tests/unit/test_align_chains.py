"""Chains of any adapters: names, bench, settings, what is least, and what is missing."""

import math
from dataclasses import replace

import numpy as np
import pytest
import scipy.optimize

from coupling_bodies import person, round_limb_and_socket
from leg_bodies import aligned, straight_leg
from limbwright.align.adapters import adapters_of, joint_of
from limbwright.align.adjust import adjust, leg_after_turns
from limbwright.align.chain import datum_height_mm, stand
from limbwright.align.chain_view import screws_seen
from limbwright.align.effects import moment_at
from limbwright.align.freedoms import freedoms_of, values_of, with_values
from limbwright.align.moves import FootChange, change_between, change_of_pose
from limbwright.align.plan import AdapterKind, AdapterPlace, AdapterPlan, AlignPlan
from limbwright.align.screws import COMPASS, opposite_screw
from limbwright.align.solve import as_vector, bounds, least_change
from limbwright.core.errors import DoesNotFit
from limbwright.core.findings import Severity
from limbwright.core.frame import Side
from limbwright.core.sources import Basis
from limbwright.couple.catalogue import PartKind, TubeClamp
from limbwright.couple.in_hand import PartsInHand
from limbwright.couple.plan import CouplePlan, CouplingPlan, PartsPlan

SOCKET, FOOT = AdapterPlace.SOCKET, AdapterPlace.FOOT
SLIDE = AdapterPlan(place=SOCKET, kind=AdapterKind.SLIDE, range_mm=12.0, height_mm=20.0)
CLAMP = AdapterPlan(place=SOCKET, kind=AdapterKind.TUBE_CLAMP, range_mm=6.0)
ROTATION = AdapterPlan(place=FOOT, kind=AdapterKind.ROTATION, range_deg=20.0, height_mm=12.0)
OFFSET = AdapterPlan(place=FOOT, kind=AdapterKind.OFFSET, offset_mm=10.0, height_mm=15.0)
UPPER, LOWER = AdapterPlan(place=SOCKET), AdapterPlan(place=FOOT)
FIVE = (SLIDE, UPPER, CLAMP, ROTATION, OFFSET, LOWER)


def hung(plans, leg=None):
    """A straight leg with the joints of some adapters, in their middle."""
    adapters = adapters_of(plans)
    joints = tuple(joint_of(one, neutral=True) for one in adapters if one.slot is not None)
    return replace(leg or straight_leg(), joints=joints), adapters


def codes(alignment):
    return {finding.code: finding for finding in alignment.findings}


def test_adapters_are_named_by_place_and_kind_and_counted_where_two_are_alike():
    names = [one.name for one in adapters_of((*FIVE, LOWER))]
    assert names == [
        "socket slide",
        "socket",
        "socket tube clamp",
        "foot rotation",
        "foot offset",
        "foot pyramid",
        "foot",
    ]
    twice = [one.name for one in adapters_of((SLIDE, SLIDE, UPPER))]
    assert twice == ["socket slide 1", "socket slide 2", "socket", "foot"]


def test_a_case_as_it_was_written_before_chains_still_reads():
    old = {
        "place": "socket",
        "flexion_deg": 1.0,
        "adduction_deg": 0.0,
        "range_deg": 8.0,
        "screw_pitch_mm": 1.0,
        "screw_arm_mm": 12.0,
    }
    plan = AlignPlan.model_validate({"adapters": [old, {**old, "place": "foot"}]})
    socket, foot = adapters_of(plan.adapters)
    assert (socket.name, foot.name) == ("socket", "foot")
    assert socket.range_basis is socket.screw_basis is Basis.GIVEN
    assert AlignPlan().adapters[0].range_deg is None


def test_a_range_nobody_stated_is_a_default_and_a_stated_one_is_given():
    socket, foot = adapters_of((AdapterPlan(place=SOCKET, range_deg=8.0), LOWER))
    assert (socket.range_deg, socket.range_basis) == (8.0, Basis.GIVEN)
    assert (foot.range_deg, foot.range_basis) == (8.0, Basis.DEFAULT)


def test_a_catalogue_entry_gives_a_pyramid_its_screws_and_range():
    clamp = TubeClamp(
        kind=PartKind.TUBE_CLAMP,
        key="own-clamp",
        provenance="measured by the workshop",
        date="2026-02-03",
        height_mm=18.0,
        outside_mm=44.0,
        insert_mm=36.0,
        screw_pitch_mm=1.25,
        screw_arm_mm=11.0,
        range_deg=9.0,
    )
    parts = PartsInHand(named={"socket_adapter": clamp})
    socket, foot = adapters_of((), parts)
    assert (socket.screw_pitch_mm, socket.screw_arm_mm) == (1.25, 11.0)
    assert (socket.range_deg, socket.range_basis) == (9.0, Basis.GIVEN)
    assert foot.range_basis is foot.screw_basis is Basis.DEFAULT
    invented = PartsInHand(named={"socket_adapter": clamp.model_copy(update={"example": True})})
    assert adapters_of((), invented)[0].range_basis is Basis.DEFAULT


@pytest.mark.parametrize("plans", [FIVE, (UPPER, LOWER, LOWER), (OFFSET, SLIDE)])
def test_the_foot_stands_on_the_bench_where_it_is_set_whatever_the_chain(plans):
    plain, chained = aligned(), aligned(AlignPlan(adapters=plans))
    for name in ("ankle", "heel", "toe", "foot_top"):
        assert chained.points_mm[name] == pytest.approx(plain.points_mm[name], abs=1e-8)
    assert chained.up == pytest.approx(plain.up, abs=1e-10)
    for case, other in zip(plain.load_cases[:-1], chained.load_cases[:-1], strict=True):
        wrench, same = case.wrench_on_limb, other.wrench_on_limb
        assert same.moment_n_mm == pytest.approx(wrench.moment_n_mm, abs=1e-4)


def test_added_heights_are_cut_from_the_tube():
    plain, chained = aligned(), aligned(AlignPlan(adapters=(SLIDE, UPPER, LOWER)))
    # the slide stands along the plate's axis, some degrees off the tube's
    assert plain.leg.pylon_mm - chained.leg.pylon_mm == pytest.approx(20.0, abs=0.5)
    assert datum_height_mm(stand(chained.leg)) == pytest.approx(
        datum_height_mm(stand(plain.leg)), abs=1e-8
    )


def test_a_chain_that_steps_too_far_aside_for_its_tube_is_refused_in_words():
    step = AdapterPlan(place=FOOT, kind=AdapterKind.OFFSET, offset_mm=60.0, height_mm=0.0)
    with pytest.raises(DoesNotFit, match="no way for the tube to reach the foot"):
        aligned(AlignPlan(adapters=(UPPER, step, step, step, step, step, LOWER)))


def test_settings_count_from_the_bench_and_move_the_part_below():
    slid = SLIDE.model_copy(update={"forward_mm": 4.0, "outward_mm": -3.0})
    before = aligned(AlignPlan(adapters=(SLIDE, UPPER, LOWER)))
    after = aligned(AlignPlan(adapters=(slid, UPPER, LOWER)))
    moved = after.points_mm["ankle"] - before.points_mm["ankle"]
    plate = before.leg.plate_axes
    assert moved @ plate == pytest.approx([-3.0, 4.0, 0.0], abs=1e-9)


def test_a_tube_turned_in_its_clamp_turns_the_toes_and_not_the_line_of_progression():
    leg, adapters = hung((UPPER, CLAMP, LOWER))
    adjustment = adjust(leg, FootChange(toe_out_deg=5.0), adapters)
    (step,) = adjustment.steps
    assert (step.adapter, step.what, step.amount) == ("socket tube clamp", "turn", 5.0)
    assert "toes outward" in step.do
    assert "loosen" in step.undo
    assert adjustment.reached_toe_out_deg == pytest.approx(5.0)
    turned = replace(leg, joints=(replace(leg.joints[0], first=math.radians(5.0)),))
    assert stand(turned).ground_axes == pytest.approx(stand(leg).ground_axes, abs=1e-12)


def test_a_slide_makes_a_pure_shift_alone_where_two_pyramids_would_be_needed():
    leg, adapters = hung((SLIDE, UPPER, LOWER))
    adjustment = adjust(leg, FootChange(5.0, -4.0), adapters)
    assert {step.adapter for step in adjustment.steps} == {"socket slide"}
    assert adjustment.turns == ()
    assert adjustment.reached_forward_mm == pytest.approx(5.0, abs=1e-9)
    assert adjustment.reached_outward_mm == pytest.approx(-4.0, abs=1e-9)
    assert adjustment.length_change_mm == pytest.approx(0.0, abs=1e-9)
    assert adjustment.shifts_mm["socket slide forward"] == pytest.approx(5.0, abs=1e-6)


def test_a_shift_beyond_the_slide_is_shared_with_the_pyramids_and_never_leaves_a_range():
    leg, adapters = hung((SLIDE, UPPER, LOWER))
    adjustment = adjust(leg, FootChange(forward_mm=25.0), adapters)
    assert adjustment.feasible
    assert {step.adapter for step in adjustment.steps} == {"socket slide", "socket", "foot"}
    assert adjustment.shifts_mm["socket slide forward"] <= 12.0 + 1e-9
    assert abs(adjustment.angles_deg["socket flexion"]) <= 6.0 + 1e-9
    assert adjustment.reached_forward_mm == pytest.approx(25.0, abs=1.5)


def test_least_is_least_turning_among_ways_that_touch_as_few_adapters():
    # two pyramids far apart shift with smaller angles than two that are close
    leg, adapters = hung((UPPER, LOWER.model_copy(update={"height_mm": 40.0}), LOWER))
    adjustment = adjust(leg, FootChange(forward_mm=6.0), adapters)
    assert {step.adapter for step in adjustment.steps} == {"socket", "foot"}


@pytest.mark.parametrize("up_mm", [4.0, -4.0])
def test_height_is_drawn_from_a_clamp_or_else_cut_from_the_tube(up_mm):
    leg, adapters = hung((UPPER, CLAMP, LOWER))
    drawn = adjust(leg, FootChange(up_mm=up_mm), adapters)
    assert drawn.feasible
    assert drawn.length_change_mm == pytest.approx(-up_mm, abs=1e-9)
    assert ("into its clamp" if up_mm > 0 else "out of its clamp") in drawn.text
    cut = adjust(straight_leg(), FootChange(up_mm=up_mm), adapters_of(()))
    assert not cut.feasible
    assert f"tube {abs(up_mm):.1f} mm {'shorter' if up_mm > 0 else 'longer'}" in cut.text
    assert cut.missing_up_mm == pytest.approx(up_mm)


def test_what_the_range_does_not_give_is_an_offset_or_a_shift_of_the_seat():
    # 200 mm and 6 degrees to each side give 20.9 mm of 30
    leg, adapters = straight_leg(), adapters_of(())
    adjustment = adjust(leg, FootChange(outward_mm=-30.0), adapters)
    short = 30.0 - 200.0 * math.sin(math.radians(6.0))
    assert not adjustment.feasible
    assert adjustment.missing_outward_mm == pytest.approx(-short, abs=0.02)
    assert f"offset adapter of {short:.1f} mm" in adjustment.text
    assert f"shift the seat {short:.1f} mm inward" in adjustment.text
    moved = replace(leg, base_mm=leg.base_mm + np.array([adjustment.seat_outward_mm, 0.0, 0.0]))
    then = adjust(moved, FootChange(outward_mm=-30.0 - adjustment.seat_outward_mm), adapters)
    assert then.feasible
    assert adjustment.steps
    assert adjustment.nearest_text.startswith("Back out")


def test_length_and_turn_are_left_alone_where_they_are_not_asked_for():
    leg, adapters = hung((UPPER, CLAMP, ROTATION, LOWER))
    made = adjust(leg, FootChange(outward_mm=30.0), adapters)
    assert {step.what for step in made.steps} <= {"flexion", "adduction"}
    assert not made.feasible
    asked = adjust(leg, FootChange(outward_mm=5.0, up_mm=2.0, toe_out_deg=3.0), adapters)
    assert {"length", "turn"} <= {step.what for step in asked.steps}


@pytest.mark.parametrize("seed", range(4))
def test_the_least_change_is_that_of_a_general_optimiser(seed):
    leg, adapters = hung(FIVE)
    freedoms = freedoms_of(adapters)
    low, high = bounds(leg, freedoms)
    rng = np.random.default_rng(seed)
    wanted = FootChange(
        *rng.uniform(-12.0, 12.0, 2),
        *rng.uniform(-4.0, 4.0, 2),
        up_mm=rng.uniform(-2.0, 2.0),
        toe_out_deg=rng.uniform(-5.0, 5.0),
    )
    ours = least_change(leg, wanted, freedoms, low, high)
    steps, start = np.array([one.step for one in freedoms]), values_of(leg, freedoms)
    goal, before = as_vector(wanted, wanted), stand(leg)

    def missed(moves):
        pose = stand(with_values(leg, freedoms, start + moves * steps))
        return as_vector(change_of_pose(before, pose), wanted) - goal

    theirs = scipy.optimize.minimize(
        lambda moves: moves @ moves,
        np.zeros(len(freedoms)),
        method="SLSQP",
        bounds=list(zip((low - start) / steps, (high - start) / steps, strict=True)),
        constraints={"type": "eq", "fun": missed},
        options={"ftol": 1e-14, "maxiter": 300},
    )
    assert ours.met
    assert ours.cost == pytest.approx(math.sqrt(theirs.fun), rel=1e-6)
    assert (ours.values - start) / steps == pytest.approx(theirs.x, abs=1e-4)
    # and the angles stay within their ranges less the reserve, whatever is wanted
    assert (ours.values >= low - 1e-12).all()
    assert (ours.values <= high + 1e-12).all()


def test_a_seat_shifted_by_what_is_missing_lets_the_adapters_stand_within_their_range():
    out_mm = 10.0
    wanted = aligned(AlignPlan(wanted_outward_mm=out_mm))
    made = wanted.adjustment
    assert not made.feasible
    shifted = CouplePlan(
        coupling=CouplingPlan(offset_o_mm=made.seat_outward_mm, offset_f_mm=made.seat_forward_mm)
    )
    moved = aligned(AlignPlan(foot_inset_mm=12.0 - out_mm), couple=shifted)
    for before, after in zip(wanted.chain, moved.chain, strict=True):
        for what, (angle, _) in before.set_to.items():
            nearest = angle + made.angles_deg[f"{before.name} {what}"]
            # what stays of the difference is how the floor rises towards the seat's side
            assert after.set_to[what][0] == pytest.approx(nearest, abs=0.6)


def test_out_of_reach_and_shorter_says_both_what_an_adapter_lacks_and_the_tube():
    wanted = FootChange(outward_mm=30.0, up_mm=4.0)
    made = adjust(straight_leg(), wanted, adapters_of(()))
    assert "socket adduction would stand at 8.6 degrees, 2.6 beyond" in made.text
    # the shift itself brings the foot up a little: the tube gives the rest
    assert "set a tube 2." in made.text
    assert made.missing_outward_mm == pytest.approx(9.1, abs=0.1)


def test_sagittal_steps_come_before_coronal_ones_and_turns_before_both():
    leg, adapters = hung(FIVE)
    wanted = FootChange(4.0, 5.0, 1.0, 1.0, up_mm=1.0, toe_out_deg=4.0)
    order = [step.what for step in adjust(leg, wanted, adapters).steps]
    rank = {"turn": 0, "length": 1, "flexion": 2, "forward": 3, "adduction": 4, "outward": 4}
    assert [rank[what] for what in order] == sorted(rank[what] for what in order)


def test_the_made_steps_give_what_is_said_to_be_reached():
    leg, adapters = hung(FIVE)
    adjustment = adjust(leg, FootChange(3.0, 9.0, 2.0, -1.0), adapters)
    screwed = leg_after_turns(leg, adjustment.turns, adapters)
    for step in adjustment.steps:
        if not step.screw:
            joints = {joint.name: joint for joint in screwed.joints}
            where = "first" if step.what in ("forward", "turn") else "second"
            amount = math.radians(step.change) if step.change_unit == "deg" else step.change
            joint = joints[step.adapter]
            joints[step.adapter] = replace(joint, **{where: getattr(joint, where) + amount})
            screwed = replace(screwed, joints=tuple(joints.values()))
    reached = change_between(leg, screwed)
    assert reached.forward_mm == pytest.approx(adjustment.reached_forward_mm, abs=1e-9)
    assert reached.outward_mm == pytest.approx(adjustment.reached_outward_mm, abs=1e-9)
    assert reached.flexion_deg == pytest.approx(adjustment.reached_foot_flexion_deg, abs=1e-9)


def test_an_adapter_set_askew_names_its_screws_by_where_they_are():
    askew = AdapterPlan(place=FOOT, azimuth_deg=45.0)
    (flexion, adduction) = freedoms_of(adapters_of((askew,)))[2:]
    leg, adapters = hung((askew,))
    leg = replace(leg, foot_azimuth_rad=math.radians(45.0))
    adjustment = adjust(leg, FootChange(flexion_deg=2.4), adapters)
    screws = {step.screw for step in adjustment.steps}
    # toes up leans the leg forward: both front screws push
    assert screws == {"anterolateral", "anteromedial"}
    assert (flexion.what, adduction.what) == ("flexion", "adduction")


def test_opposite_screws_are_across_the_boss():
    for screw in COMPASS:
        assert opposite_screw(opposite_screw(screw)) == screw
    assert opposite_screw("anterior") == "posterior"
    assert opposite_screw("anteromedial") == "posterolateral"


def test_the_outer_screw_of_a_right_leg_is_on_the_left_of_the_one_who_looks_at_it():
    right, left = (
        {one.screw: one for one in screws_seen(adapters_of(())[:1], side)} for side in Side
    )
    assert right["lateral"].seen == "on your left"
    assert left["lateral"].seen == "on your right"
    assert right["medial"].seen == left["lateral"].seen
    assert right["anterior"].seen == left["anterior"].seen == "in front"
    for screw in ("anterior", "posterior", "medial", "lateral"):
        assert right[screw].to_the_right == -left[screw].to_the_right
        assert right[screw].towards_one == left[screw].towards_one
        assert right[screw].gives == left[screw].gives
    # seen from the front a right leg's lateral side is at the patient's right: one's left
    assert right["lateral"].to_the_right == -1.0


def test_left_and_right_differ_in_nothing_but_where_the_screws_are_seen():
    plan = AlignPlan(adapters=FIVE, wanted_outward_mm=-6.0, wanted_toe_out_deg=2.0)
    right, left = (aligned(plan, side=side) for side in (Side.RIGHT, Side.LEFT))
    assert right.adjustment == left.adjustment
    assert right.effects == left.effects
    assert right.load_line.places == left.load_line.places
    assert [one.set_to for one in right.chain] == [one.set_to for one in left.chain]
    assert right.screws != left.screws


def test_a_wanted_moment_is_turned_into_the_shift_that_gives_it():
    plan = AlignPlan(wanted_coronal_n_m=4.0, wanted_sagittal_n_m=15.0)
    wide = tuple(AdapterPlan(place=place, range_deg=20.0) for place in AdapterPlace)
    plain = aligned(AlignPlan(adapters=wide))
    asked = aligned(plan.model_copy(update={"adapters": wide})).adjustment
    mid = moment_at(plain.effects[0].before, "datum", "mid_stance")
    vertical = plain.moments.vertical_n[len(plain.moments.vertical_n) // 2]
    exact = asked.angles_deg
    assert exact  # angles are told
    # the moment of a shift is the vertical force times it
    assert asked.reached_outward_mm == pytest.approx(
        -(4.0 - mid.coronal_n_m) * 1000.0 / vertical, abs=2.6
    )
    assert asked.reached_forward_mm == pytest.approx(
        (15.0 - mid.sagittal_n_m) * 1000.0 / vertical, abs=2.6
    )


def test_a_range_beyond_its_stated_end_stops_and_every_kind_is_told_in_its_unit():
    far = SLIDE.model_copy(update={"forward_mm": 14.0})
    found = [f for f in aligned(AlignPlan(adapters=(far, UPPER, LOWER))).findings]
    (slide,) = (f for f in found if f.where == "socket slide")
    assert (slide.code, slide.unit, slide.limit) == ("adapter-beyond-range", "mm", 12.0)
    assert slide.severity is Severity.STOP
    assert slide.value == pytest.approx(14.0)


def test_added_adapters_without_a_height_say_that_it_is_a_default():
    bare = AdapterPlan(place=SOCKET, kind=AdapterKind.SLIDE)
    told = codes(aligned(AlignPlan(adapters=(bare,))))["added-heights-rest-on-defaults"]
    assert told.basis is Basis.DEFAULT
    assert "added-heights-rest-on-defaults" not in codes(aligned(AlignPlan(adapters=FIVE)))


def test_a_shoe_higher_than_the_foot_s_heel_is_taken_up_by_the_foot_adapter():
    parts = CouplePlan(parts=PartsPlan(shoe_heel_mm=22.0))
    plain = aligned(couple=parts)
    tipped = aligned(AlignPlan(foot_heel_mm=10.0), couple=parts)
    # 12 mm over 0.72 of the foot's length
    foot_mm = tipped.leg.foot_length_mm
    tilt = math.degrees(math.atan(12.0 / (0.72 * foot_mm)))
    taken = math.degrees(tipped.leg.foot.flexion_rad - plain.leg.foot.flexion_rad)
    assert taken == pytest.approx(-tilt, abs=0.02)
    assert tipped.points_mm["ankle"] == pytest.approx(plain.points_mm["ankle"], abs=1e-8)
    told = codes(tipped)["foot-heel-differs-from-shoe"]
    assert told.value == pytest.approx(tilt, abs=1e-6)
    assert told.severity is Severity.WARNING
    sole = aligned(AlignPlan(foot_heel_mm=10.0, shoe_forefoot_mm=12.0), couple=parts)
    assert "foot-heel-fits-shoe" in codes(sole)
    assert "foot-heel-not-stated" in codes(plain)


def test_the_load_line_stands_over_the_centre_of_pressure_and_tells_each_place():
    alignment = aligned()
    line = alignment.load_line
    by_name = {place.name: place for place in line.places}
    ankle = by_name["ankle"]
    # 0.15 foot lengths in front of the ankle, turned out with the foot
    out = math.radians(6.0)
    ahead = 0.15 * alignment.leg.foot_length_mm
    assert ankle.line_forward_mm == pytest.approx(ahead * math.cos(out), abs=1e-9)
    assert ankle.line_outward_mm == pytest.approx(ahead * math.sin(out), abs=1e-9)
    standing = next(case for case in alignment.load_cases if case.name == "standing")
    wrench = standing.wrench_on_limb
    moment = wrench.moment_n_mm @ np.column_stack([np.cross(alignment.forward, alignment.up)] * 3)
    arm = moment[0] / np.linalg.norm(wrench.force_n)
    assert by_name["datum"].line_forward_mm == pytest.approx(arm, abs=1e-6)
    heights = [place.height_mm for place in line.places]
    assert heights == sorted(heights, reverse=True)
    assert codes(alignment)["load-line-at-the-knee"].severity is Severity.NOTE


def test_the_whole_chain_is_told_from_the_socket_down():
    alignment = aligned(AlignPlan(adapters=FIVE))
    names = [one.name for one in alignment.chain]
    assert names == [
        "socket slide",
        "socket",
        "socket tube clamp",
        "foot rotation",
        "foot offset",
        "foot",
    ]
    heights = [float(one.point_mm @ alignment.up) for one in alignment.chain]
    assert heights == sorted(heights, reverse=True)
    assert all(one.range_basis is Basis.GIVEN for one in alignment.chain if "slide" in one.name)
    limb, _ = round_limb_and_socket(side=person().side)
    assert alignment.chain[0].point_mm[2] < limb.surface.vertices[:, 2].min()
