"""The ISO 10328 loads placed on a straight leg, and what they raise in a round socket."""

import math

import numpy as np
import pytest

from coupling_bodies import body, round_end
from limbwright.assess.iso_10328 import Condition
from limbwright.couple.catalogue import PartKind, TubeClamp
from limbwright.couple.in_hand import PartsInHand
from limbwright.couple.plan import CouplingPlan, PartsPlan
from limbwright.prove.attachment_checks import pylon_checks
from limbwright.prove.materials import allowable
from limbwright.prove.plan import ProvePlan, SocketProcess
from limbwright.prove.reference_loads import height_over_floor_mm, reference_axes, reference_loads
from limbwright.prove.section_forces import section_forces, stations_of
from limbwright.prove.sections import tube_section
from limbwright.prove.strength_tables import Failure
from limbwright.prove.wall import closed_rings, worst_stress
from limbwright.prove.wall_checks import loaded_wall, wall_cuts, wall_levels, wall_share
from proof_bodies import BASE_MM, DATUM_MM, RADIUS_MM, round_socket, seat_at, shape_of, straight_leg

CAST = ProvePlan(process=SocketProcess.WALKING_CAST, material="cast_tape")
BASE = np.array([0.0, 0.0, -BASE_MM])


def heel_and_forefoot(level="P5", leg=None):
    return reference_loads(level, leg if leg is not None else straight_leg())


def test_a_clamp_is_held_by_the_length_that_its_entry_states_with_the_load_at_its_middle():
    # A stiff post of length L and width D: p = 6·M/(D·L²) + V/(D·L), M and V at half of L.
    leg, forefoot = straight_leg(), heel_and_forefoot()[1:]
    named = {
        role: TubeClamp(
            kind=PartKind.TUBE_CLAMP,
            key="own-clamp",
            provenance="measured by the workshop",
            date="2026-02-03",
            height_mm=18.0,
            outside_mm=44.0,
            insert_mm=60.0,
        )
        for role in ("socket_adapter", "foot_adapter")
    }
    _, plain = pylon_checks(forefoot, leg, PartsPlan())
    _, stated = pylon_checks(forefoot, leg, PartsInHand(named=named))
    assert "37.5 mm of it (by default)" in plain.text
    assert "60 mm of it, at" in stated.text
    (load,), outside = forefoot, PartsPlan().pylon_outside_mm
    ends = [leg.points_mm[name] for name in ("pylon_bottom", "pylon_top")]
    along = (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0])
    expected = []
    for end, into in zip(ends, (along, -along), strict=True):
        moment = load.moment_about(end + 30.0 * into, load.forces.proof_n)
        across = load.forces.proof_n * np.linalg.norm(np.cross(load.direction, along))
        bending = np.linalg.norm(np.cross(moment, along))
        expected.append(6.0 * bending / (outside * 60.0**2) + across / (outside * 60.0))
    assert stated.demand == pytest.approx(max(expected), rel=1e-9)


@pytest.mark.parametrize(
    ("force", "moment_n_m"),
    [("proof_n", 198), ("ultimate_ductile_n", 297), ("ultimate_brittle_n", 396)],
)
def test_a_socket_base_300_mm_high_carries_the_moments_computed_by_hand(force, moment_n_m):
    # ISO 10328 P5 condition II: arm of 99 mm at u = 300; 198, 297 and 396 N·m.
    _, forefoot = heel_and_forefoot()
    moment = forefoot.moment_about(BASE, getattr(forefoot.forces, force))
    assert np.hypot(moment[0], moment[1]) / 1000 == pytest.approx(moment_n_m, abs=1.0)


def test_the_ankle_carries_the_p5_proof_moment():
    # ISO 10328 P5 condition II at proof: 244 N·m at the ankle, +240 sagittal and -44 frontal.
    _, forefoot = heel_and_forefoot()
    ankle = straight_leg().points_mm["ankle"]
    moment = forefoot.moment_about(ankle, forefoot.forces.proof_n) / 1000
    assert math.hypot(moment[0], moment[1]) == pytest.approx(244, rel=0.01)
    assert [abs(moment[0]), abs(moment[1])] == pytest.approx([240, 44], abs=1.0)


def test_the_force_pushes_the_leg_up_along_the_line():
    for load in heel_and_forefoot():
        assert load.direction[2] > 0.9
        assert np.linalg.norm(load.direction) == pytest.approx(1.0)
        assert load.point_mm[2] == pytest.approx(-DATUM_MM)


def test_the_lines_ride_with_the_axis_through_ankle_and_knee():
    # ISO 10328: the u axis runs through ankle and knee. With the foot 15 mm forward it leans by
    # atan(15/370); a base 150 mm straight below the datum then lies 150·sin of that behind it.
    lean = math.atan2(15.0, 370.0)
    base = np.array([0.0, -150.0 * math.sin(lean), 450.0 / math.cos(lean) - 150.0 * math.cos(lean)])
    ankle, knee = np.array([-22.0, 120.0, 80.0]), np.array([-35.0, 72.0, 500.0])
    along = (knee - ankle) / np.linalg.norm(knee - ankle)
    distance = np.linalg.norm(np.cross(base - ankle, along))
    load = heel_and_forefoot(leg=straight_leg((0.0, 15.0)))[1]
    assert np.linalg.norm(load.moment_about(BASE, 1.0)) == pytest.approx(distance, rel=1e-6)


def test_a_leg_turned_as_a_whole_carries_the_same():
    # Rigid motion of leg and bench together changes no moment.
    rng = np.random.default_rng(7)
    turn = np.linalg.qr(rng.normal(size=(3, 3)))[0]
    turn *= np.sign(np.linalg.det(turn))
    shift = np.array([30.0, -20.0, 55.0])
    leg = straight_leg()
    moved = straight_leg()
    moved.points_mm = {name: turn @ point + shift for name, point in leg.points_mm.items()}
    moved.up, moved.forward = turn @ leg.up, turn @ leg.forward
    for still, turned in zip(heel_and_forefoot(leg=leg), heel_and_forefoot(leg=moved), strict=True):
        moment = turned.moment_about(turn @ BASE + shift, 2000.0)
        assert moment == pytest.approx(turn @ still.moment_about(BASE, 2000.0), abs=1e-6)
    assert height_over_floor_mm(moved, turn @ BASE + shift) == pytest.approx(300.0)


def test_the_reference_axes_are_right_handed_whatever_the_line_of_progression():
    leg = straight_leg()
    leg.forward = np.array([0.2, 0.9, 0.3])
    axes = reference_axes(leg)
    assert axes @ axes.T == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(axes) == pytest.approx(1.0)


def test_ductile_materials_answer_to_the_lower_ultimate_force_and_brittle_to_the_upper():
    # ISO 10328, P5 condition II: 3019 N and 4025 N.
    _, forefoot = heel_and_forefoot()
    assert forefoot.force_n(Failure.DUCTILE) == 3019
    assert forefoot.force_n(Failure.BRITTLE) == 4025


def test_a_round_wall_is_stressed_as_a_tube_at_its_lowest_closed_level():
    # M·R/I + N/A at the governing level of a straight tube, both by hand from the load line.
    wall_mm = 5.0
    rings = closed_rings(shape_of(round_socket()), seat_at(), wall_mm)
    load = heel_and_forefoot()[1]
    worst = worst_stress(rings, load, Failure.BRITTLE)
    area, modulus = tube_section(2 * (RADIUS_MM + wall_mm), wall_mm)
    centre = np.array([0.0, 0.0, -worst.level_mm])
    moment = load.moment_about(centre, 4025.0)
    expected = np.hypot(moment[0], moment[1]) / modulus + 4025.0 * load.direction[2] / area
    assert abs(worst.along_mpa) == pytest.approx(expected, rel=3e-3)
    # what goes across and round adds little at the fibre that bending stresses most
    assert expected <= worst.stress_mpa < 1.02 * expected
    # the arm of condition II grows downward, so the lowest closed ring governs, and the load in
    # front of the leg presses the front most
    assert worst.level_mm == pytest.approx(-min(ring.u_mm for ring in rings))
    assert not worst.tension
    assert 45.0 < worst.angle_deg < 135.0


def test_rings_stay_between_the_trim_line_and_the_couplings_boss():
    shape, seat = shape_of(round_socket(), trim_u_mm=20.0), seat_at()
    levels = [ring.u_mm for ring in closed_rings(shape, seat, 5.0)]
    assert max(levels) == pytest.approx(15.0)
    assert min(levels) == pytest.approx(float(seat.face_mm[2]) + 5.0)


def test_a_rounded_end_counts_as_attachment_once_it_is_as_narrow_as_the_body():
    # A hemisphere of 50 mm radius, centre 100 mm down, is 30 mm wide to each side 140 mm down.
    shape = shape_of(body(round_end(RADIUS_MM, 150.0), 150.0))
    seat = seat_at()
    seat.face_mm = np.array([0.0, 0.0, -160.0])
    lowest = min(ring.u_mm for ring in closed_rings(shape, seat, 5.0))
    assert lowest == pytest.approx(-140.0, abs=2.0)


def test_a_socket_trimmed_down_to_its_coupling_has_no_closed_ring():
    shape = shape_of(round_socket(), trim_u_mm=-104.0)
    assert closed_rings(shape, seat_at(), 5.0) == ()
    assert worst_stress((), heel_and_forefoot()[0], Failure.BRITTLE) is None


def test_a_level_without_its_own_line_borrows_and_tells():
    # The offsets of P3 are not established; those of P4 are used with the forces of P3.
    loads = heel_and_forefoot("P3")
    assert [load.own_line for load in loads] == [False, False]
    assert [load.forces.proof_n for load in loads] == [1610, 1395]
    p4 = heel_and_forefoot("P4")
    assert loads[1].point_mm == pytest.approx(p4[1].point_mm)
    assert [load.condition for load in loads] == list(Condition)


def test_forces_along_a_straight_leg_follow_the_load_line():
    # ISO 10328 P5 condition II: resultant arms 122, 109, 104, 99, 94, 89 mm at u = 80, 200, 250,
    # 300, 350, 400 mm; a straight line of offsets, so that bending is its arm times the force.
    leg = straight_leg()
    rings = closed_rings(shape_of(round_socket()), seat_at(), 5.0)
    stations = stations_of(rings, seat_at(), leg)
    load = heel_and_forefoot(leg=leg)[1]
    forces = section_forces(load, Failure.BRITTLE, stations, leg)
    assert forces.part.count("socket") == len(rings) + 1
    arms = {80: 122, 200: 109, 250: 104, 300: 99, 350: 94, 400: 89}
    along = forces.axial_n[-1]
    order = np.argsort(forces.height_mm)
    for height, arm in arms.items():
        found = np.interp(
            height, np.array(forces.height_mm)[order], np.array(forces.bending_n_m)[order]
        )
        assert 1000.0 * found / along == pytest.approx(arm, abs=1.0)
    for axial, shear in zip(forces.axial_n, forces.shear_n, strict=True):
        assert math.hypot(axial, shear) == pytest.approx(4025.0)
    for whole, sagittal, coronal in zip(
        forces.bending_n_m, forces.sagittal_n_m, forces.coronal_n_m, strict=True
    ):
        assert math.hypot(sagittal, coronal) == pytest.approx(whole, rel=1e-6)


def test_condition_one_hardly_bends_the_leg_where_its_line_crosses_the_axis():
    # ISO 10328 P5 condition I: the line crosses the u axis near u = 240 mm; its arm there is under
    # 3 mm, so that condition II governs the socket's base.
    leg = straight_leg()
    stations = stations_of((), seat_at(), leg)
    heel, forefoot = (
        section_forces(load, Failure.BRITTLE, stations, leg) for load in heel_and_forefoot(leg=leg)
    )
    order = np.argsort(heel.height_mm)
    parts = [
        np.interp(240.0, np.array(heel.height_mm)[order], np.array(part)[order])
        for part in (heel.sagittal_n_m, heel.coronal_n_m)
    ]
    assert math.hypot(*parts) < 3.0 * 4480.0 / 1000.0 + 1.0
    assert forefoot.bending_n_m[0] > 3.0 * heel.bending_n_m[0]


def test_the_picture_shows_the_wall_s_share_where_there_is_wall():
    shape = shape_of(round_socket())
    cuts = wall_cuts(shape, seat_at(), CouplingPlan(), 5.0)
    credit = allowable(ProvePlan())
    wall = loaded_wall(cuts, heel_and_forefoot(), credit)
    share = wall_share(shape.surface.vertices, wall, credit)
    levels = wall_levels(wall, credit)
    heights = shape.surface.vertices[:, 2]
    inside = (heights <= cuts.all[0].u_mm) & (heights >= cuts.all[-1].u_mm)
    assert np.isnan(share[~inside]).all()
    assert not np.isnan(share[inside]).any()
    assert np.nanmax(share) == pytest.approx(max(level.share for level in levels), rel=0.03)
    none = wall_share(shape.surface.vertices, wall, allowable(CAST))
    assert np.isnan(none).all()
