import math
from dataclasses import replace

import numpy as np
import pytest

from coupling_bodies import person, round_limb_and_socket
from leg_bodies import aligned, coupled
from limbwright.align.adapters import adapters_of
from limbwright.align.bench import bench_settings
from limbwright.align.chain import datum_height_mm, stand
from limbwright.align.plan import AdapterKind, AdapterPlace, AdapterPlan, AlignPlan
from limbwright.align.setup import set_up, socket_centre
from limbwright.assess.assessment import assess
from limbwright.core.errors import DoesNotFit, InvalidCase
from limbwright.core.findings import Severity
from limbwright.core.frame import Side, points_to_patient
from limbwright.core.mesh import Mesh
from limbwright.core.sources import Basis
from limbwright.couple.plan import CouplePlan, CouplingPlan, PartsPlan, SeatAxis

CASES = ["donned", "standing", "early_stance", "mid_stance", "late_stance", "swing"]


def codes(alignment):
    return {finding.code: finding for finding in alignment.findings}


def test_defaults_are_those_of_the_trade_and_marked_as_defaults():
    settings = bench_settings(AlignPlan(), person(flexion_contracture_deg=7.0))
    assert settings.socket_flexion_deg == 12.0  # contracture and five degrees
    assert settings.socket_adduction_deg == 5.0
    assert settings.foot_inset_mm == 12.0
    assert 10.0 <= -settings.ankle_forward_mm <= 20.0  # plumb line in front of the ankle
    assert 5.0 <= settings.toe_out_deg <= 7.0
    assert set(settings.bases.values()) == {Basis.DEFAULT}


def test_stated_settings_are_given():
    settings = bench_settings(AlignPlan(foot_inset_mm=4.0, foot_forward_mm=5.0), person())
    assert settings.foot_inset_mm == 4.0
    assert settings.ankle_forward_mm == -10.0
    assert settings.bases["foot_inset"] is Basis.GIVEN
    assert settings.bases["toe_out"] is Basis.DEFAULT


@pytest.mark.parametrize(
    "plan",
    [
        AlignPlan(),
        AlignPlan(socket_flexion_deg=9.0, socket_adduction_deg=-3.0, foot_inset_mm=-6.0),
        AlignPlan(foot_inset_mm=25.0, foot_forward_mm=12.0, toe_out_deg=-4.0),
        AlignPlan(
            adapters=(
                AdapterPlan(place=AdapterPlace.SOCKET, adduction_deg=3.6, flexion_deg=-1.2),
                AdapterPlan(place=AdapterPlace.FOOT, adduction_deg=-2.4),
            )
        ),
        AlignPlan(
            adapters=(
                AdapterPlan(place=AdapterPlace.SOCKET),
                AdapterPlan(place=AdapterPlace.SOCKET, kind=AdapterKind.ROTATION, turn_deg=7.0),
                AdapterPlan(place=AdapterPlace.FOOT),
            )
        ),
    ],
)
def test_the_leg_stands_as_its_settings_say_turned_or_not(plan):
    alignment = aligned(plan)
    settings = {name: entry[0] for name, entry in alignment.settings.items()}
    up, forward = alignment.up, alignment.forward
    outward = np.cross(forward, up)
    ankle = alignment.points_mm["ankle"]
    assert ankle @ outward == pytest.approx(-settings["foot inset"], abs=1e-9)
    assert ankle @ forward == pytest.approx(settings["ankle forward of plumb line"], abs=1e-9)
    # the limb's axis leans forward over the upright by flexion, outward by adduction
    assert math.degrees(math.asin(-forward[2] * -1.0)) == pytest.approx(
        settings["socket flexion"], abs=1e-9
    )
    assert math.degrees(math.asin(outward[2])) == pytest.approx(
        math.degrees(
            math.asin(
                math.sin(math.radians(settings["socket adduction"]))
                * math.cos(math.radians(settings["socket flexion"]))
            )
        ),
        abs=1e-9,
    )
    foot = alignment.points_mm["toe"] - alignment.points_mm["heel"]
    assert foot @ up == pytest.approx(0.0, abs=1e-9)
    toe_out = math.degrees(math.atan2(foot @ outward, foot @ forward))
    assert toe_out == pytest.approx(settings["toe-out"], abs=1e-9)


def test_a_leg_as_it_left_the_bench_stands_as_planned_and_names_no_turn():
    alignment = aligned(AlignPlan(foot_inset_mm=4.0))
    assert alignment.turned == ()
    assert alignment.planned["foot inset"] == (4.0, "mm", Basis.GIVEN)
    assert {name: alignment.settings[name] for name in alignment.planned} == alignment.planned


def test_a_turned_leg_keeps_what_was_planned_and_tells_every_turn_from_the_bench():
    # one turn of 1.00 mm over an arm of 12 mm: atan(1/12) from where the bench left the adapter
    before = aligned(AlignPlan())
    bench_deg = math.degrees(before.leg.socket.adduction_rad)
    after_deg = math.degrees(math.atan(math.tan(math.radians(bench_deg)) + 1.0 / 12.0))
    socket = AdapterPlan(place=AdapterPlace.SOCKET, adduction_deg=after_deg - bench_deg)
    after = aligned(AlignPlan(adapters=(socket, AdapterPlan(place=AdapterPlace.FOOT))))
    assert after.planned == before.planned
    (step,) = after.turned
    assert (step.adapter, step.screw, step.amount, step.unit) == ("socket", "lateral", 1.0, "turns")
    assert (step.start, step.end) == pytest.approx((bench_deg, after_deg), abs=1e-9)
    assert step.undo == "medial screw out by 1 turn"
    value, _, basis = after.settings["foot inset"]
    assert value > 12.0 + 10.0  # the part above leans outward, so the foot is swung inward
    assert basis is Basis.ESTIMATED


def test_an_angle_set_by_hand_that_is_no_whole_quarter_is_told_in_parts_of_a_turn():
    foot = AdapterPlan(place=AdapterPlace.FOOT, flexion_deg=0.4)
    (step,) = aligned(AlignPlan(adapters=(AdapterPlan(place=AdapterPlace.SOCKET), foot))).turned
    assert 0.05 < step.amount < 0.12  # a turn is 4.8 degrees near the middle
    assert step.do == f"{step.screw} screw in by {step.amount:.2f} turns"


def test_the_datum_stands_at_its_height_exactly():
    parts = PartsPlan(datum_floor_mm=463.2)
    alignment = aligned(couple=CouplePlan(parts=parts))
    assert datum_height_mm(stand(alignment.leg)) == pytest.approx(463.2, abs=1e-9)


def test_the_chain_has_the_lengths_of_its_parts():
    parts = PartsPlan(plate_mm=13.0, socket_adapter_mm=21.0, foot_adapter_mm=19.0, foot_mm=71.0)
    points = aligned(couple=CouplePlan(parts=parts)).points_mm
    assert math.dist(points["socket_base"], points["socket_adapter"]) == pytest.approx(13.0)
    assert math.dist(points["socket_adapter"], points["pylon_top"]) == pytest.approx(21.0)
    assert math.dist(points["pylon_bottom"], points["foot_adapter"]) == pytest.approx(19.0)


def test_a_seat_tilted_to_the_upright_leaves_the_adapters_near_their_middle():
    # the plate level under a socket in 5 degrees of flexion and adduction
    seat = CouplingPlan(axis=SeatAxis.CHOSEN, tilt_forward_deg=5.0, tilt_inward_deg=-5.0)
    level = aligned(couple=CouplePlan(coupling=seat)).leg
    plain = aligned().leg
    assert abs(level.socket.flexion_rad) < 0.5 * abs(plain.socket.flexion_rad)
    assert abs(level.socket.adduction_rad) < 0.7 * abs(plain.socket.adduction_rad)


def test_adapter_angles_count_from_the_bench():
    turned = AlignPlan(
        adapters=(AdapterPlan(place=AdapterPlace.FOOT, flexion_deg=-3.0, adduction_deg=1.0),)
    )
    before, after = aligned().leg, aligned(turned).leg
    assert math.degrees(after.foot.flexion_rad - before.foot.flexion_rad) == pytest.approx(-3.0)
    assert math.degrees(after.foot.adduction_rad - before.foot.adduction_rad) == pytest.approx(1.0)
    assert after.socket == before.socket


def test_a_setting_that_a_kind_does_not_have_is_refused_with_its_path():
    wrong = AdapterPlan(place=AdapterPlace.FOOT, kind=AdapterKind.SLIDE, flexion_deg=2.0)
    with pytest.raises(InvalidCase, match=r"align\.adapters\.1\.flexion_deg"):
        adapters_of((AdapterPlan(place=AdapterPlace.SOCKET), wrong))
    with pytest.raises(InvalidCase, match="step of the offset adapter"):
        adapters_of((AdapterPlan(place=AdapterPlace.SOCKET, kind=AdapterKind.OFFSET),))


def test_an_angle_beyond_a_stated_range_stops_the_job_and_a_default_range_warns():
    strong = {"socket_flexion_deg": 20.0}
    stated = AlignPlan(adapters=(AdapterPlan(place=AdapterPlace.SOCKET, range_deg=10.0),), **strong)
    for plan, severity in ((stated, Severity.STOP), (AlignPlan(**strong), Severity.WARNING)):
        (found,) = (f for f in aligned(plan).findings if f.where == "socket adapter")
        assert found.code == "adapter-beyond-range"
        assert found.severity is severity


def test_parts_that_leave_no_tube_are_refused_with_the_sentence_of_the_coupling():
    parts = PartsPlan(
        datum_floor_mm=400.0,
        plate_mm=15.0,
        socket_adapter_mm=20.0,
        foot_adapter_mm=20.0,
        foot_mm=150.0,
        pylon_minimum_mm=75.0,
    )
    couple = CouplePlan(coupling=CouplingPlan(body_height_mm=30.0), parts=parts)
    stop = next(f for f in coupled(couple).findings if f.code == "parts-do-not-fit")
    with pytest.raises(DoesNotFit) as refused:
        aligned(couple=couple)
    assert refused.value.message == f"{stop.text} What would change it: {stop.remedy}."
    assert "mm too high" in refused.value.message
    assert refused.value.exit_code == 1


def test_the_load_cases_are_named_and_ordered_as_a_step():
    assert [case.name for case in aligned().load_cases] == CASES


def test_the_plumb_line_starts_at_the_socket_s_centre():
    limb, shape = round_limb_and_socket()
    moved = Mesh(shape.surface.vertices + np.array([6.0, -4.0, 0.0]), shape.surface.faces)
    aside = replace(shape, surface=moved)
    assert socket_centre(aside) == pytest.approx([6.0, -4.0, 0.0], abs=1e-6)
    plan = CouplePlan()
    alignment = set_up(
        limb, aside, coupled(plan), AlignPlan(), person(), assess(person()), plan.parts
    )
    outward = np.cross(alignment.forward, alignment.up)
    inset = (alignment.points_mm["ankle"] - np.array([6.0, -4.0, 0.0])) @ outward
    assert inset == pytest.approx(-12.0, abs=1e-6)


def test_left_and_right_are_mirrored_exactly():
    plan = AlignPlan(
        foot_inset_mm=20.0, toe_out_deg=8.0, wanted_outward_mm=6.0, wanted_forward_mm=-4.0
    )
    right, left = (aligned(plan, side=side) for side in (Side.RIGHT, Side.LEFT))
    mirror = np.array([-1.0, 1.0, 1.0])
    for name in right.points_mm:
        seen = points_to_patient(right.points_mm[name], Side.RIGHT)
        assert np.array_equal(points_to_patient(left.points_mm[name], Side.LEFT), seen * mirror)
    for one, other in zip(right.load_cases, left.load_cases, strict=True):
        assert np.array_equal(one.wrench_on_limb.force_n, other.wrench_on_limb.force_n)
        assert np.array_equal(one.wrench_on_limb.moment_n_mm, other.wrench_on_limb.moment_n_mm)
    assert right.adjustment == left.adjustment
    assert right.moments == left.moments


def test_a_change_larger_than_any_measured_is_warned_of():
    found = codes(aligned(AlignPlan(wanted_outward_mm=16.0)))
    assert found["change-beyond-tested"].limit == 15.0
    assert "change-beyond-tested" not in codes(aligned(AlignPlan(wanted_outward_mm=14.0)))
    tilted = codes(aligned(AlignPlan(wanted_foot_flexion_deg=-7.0)))
    assert tilted["change-beyond-tested"].limit == 6.0


def test_turns_of_screws_that_nobody_stated_are_told_to_rest_on_a_default():
    # A pitch of 1 mm at an arm of 12 mm: atan(1 / 12) = 4.76 degrees a turn.
    told = codes(aligned(AlignPlan(wanted_outward_mm=-8.0)))["turns-rest-on-default-screws"]
    assert told.basis is Basis.DEFAULT
    assert told.value == pytest.approx(4.76, abs=0.01)
    stated = tuple(
        AdapterPlan(place=place, screw_pitch_mm=1.0, screw_arm_mm=11.0) for place in AdapterPlace
    )
    found = codes(aligned(AlignPlan(wanted_outward_mm=-8.0, adapters=stated)))
    assert "turns-rest-on-default-screws" not in found
    assert "turns-rest-on-default-screws" not in codes(aligned())


def test_a_remembered_range_approves_no_adapter():
    assert all(
        item.severity is not Severity.OK
        for item in aligned().findings
        if item.code == "adapter-within-range"
    )
