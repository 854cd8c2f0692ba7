import math
from functools import lru_cache

import numpy as np
import pytest
import trimesh

from coupling_bodies import round_limb_and_socket, seat_on
from limbwright.core.topology import is_closed_manifold
from limbwright.couple.axis import seat_frame
from limbwright.couple.hardware import boss_radius_mm, cavity_of, seat_solids
from limbwright.couple.plan import CouplePlan, CouplingKind, CouplingPlan, SeatAxis

WALL_MM, FLOOR_MM = 5.0, 10.0
LEAN = (0.05, -0.03)


@lru_cache
def solids(lean=(0.0, 0.0), **coupling):
    _, shape = round_limb_and_socket(lean)
    plan = CouplePlan(coupling=CouplingPlan(**coupling))
    seat = seat_on(plan.coupling, lean, floor_mm=FLOOR_MM)
    additions, cutters = seat_solids(seat, cavity_of(seat, shape.model), plan, WALL_MM, FLOOR_MM)
    return seat, plan, shape, additions, cutters


def tri(mesh):
    return trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)


@pytest.mark.parametrize("kind", list(CouplingKind))
def test_every_solid_is_a_closed_manifold_wound_outward(kind):
    _, _, _, additions, cutters = solids(LEAN, kind=kind)
    for mesh in (*additions, *cutters):
        assert is_closed_manifold(mesh)
        assert tri(mesh).is_watertight
        assert tri(mesh).volume > 0.0


@pytest.mark.parametrize(
    ("kind", "count"),
    [
        (CouplingKind.MAGNET, 6),  # pocket, four screws, exit
        (CouplingKind.LANYARD, 6),
        (CouplingKind.PIN, 7),  # and a bore for the pin
        (CouplingKind.SUCTION, 5),  # four screws and a valve
        (CouplingKind.VACUUM, 5),
        (CouplingKind.SLEEVE, 4),
        (CouplingKind.STRAP, 4),
    ],
)
def test_each_kind_is_cut_for_what_it_has(kind, count):
    assert len(solids(kind=kind)[4]) == count


def test_the_pocket_has_the_body_s_size_and_its_clearance():
    seat, _, _, _, cutters = solids(body_diameter_mm=60.0, body_height_mm=30.0)
    along = (cutters[0].vertices - seat.face_mm) @ seat.axis
    aside = cutters[0].vertices - seat.face_mm - along[:, None] * seat.axis
    assert np.linalg.norm(aside, axis=1).max() == pytest.approx(30.2, abs=1e-6)
    assert along.max() == pytest.approx(30.0, abs=1e-6)
    # open upward, to where a dome of 60 mm radius is as wide as the pocket
    rise = 60.0 - math.sqrt(60.0**2 - 30.2**2) + 2.0
    assert rise + 1.0 <= -along.min() <= rise + 2.1


def test_the_screw_holes_pass_the_floor_where_the_screws_are():
    seat, plan, _, _, cutters = solids(LEAN)
    for hole, screw in zip(cutters[1:5], seat.screws_mm, strict=True):
        along = (hole.vertices - screw) @ seat.axis
        aside = hole.vertices - screw - along[:, None] * seat.axis
        assert along.max() > 0.0
        assert along.min() < -FLOOR_MM
        radius = np.linalg.norm(aside, axis=1)
        assert radius.max() == pytest.approx(0.5 * plan.coupling.screw_diameter_mm + 0.25)


def test_the_exit_leaves_the_boss_in_its_direction():
    seat, _plan, _, additions, cutters = solids(LEAN, exit_angle_deg=225.0)
    out = (cutters[-1].vertices - seat.face_mm) @ seat.exit_direction
    boss = (additions[0].vertices - seat.face_mm) @ seat.exit_direction
    assert out.max() > boss.max() + WALL_MM
    along = (cutters[-1].vertices - seat.face_mm) @ seat.axis
    assert along.mean() == pytest.approx(0.5 * seat.body_height_mm, abs=0.2)


@pytest.mark.parametrize("kind", [CouplingKind.MAGNET, CouplingKind.SUCTION])
def test_the_boss_stays_out_of_the_socket(kind):
    seat, _, shape, additions, _ = solids(LEAN, kind=kind)
    inside = cavity_of(seat, shape.model)
    both = trimesh.boolean.intersection([tri(additions[0]), tri(inside)], engine="manifold")
    assert both.is_empty or abs(both.volume) < 1.0
    assert shape.model.vertices[:, 2].min() > additions[0].vertices[:, 2].min()


def test_the_boss_ends_at_the_base_and_surrounds_body_and_screws():
    seat, plan, _, additions, _ = solids(LEAN)
    along = (additions[0].vertices - seat.base_mm) @ seat.axis
    assert along.max() == pytest.approx(0.0, abs=1e-6)
    radius = boss_radius_mm(seat, plan.coupling, WALL_MM)
    assert radius >= 0.5 * seat.body_diameter_mm + WALL_MM
    corner = np.linalg.norm(seat.screws_mm[0] - seat.base_mm)
    assert radius >= corner + 0.5 * plan.coupling.screw_diameter_mm + WALL_MM


def test_a_thicker_floor_lowers_the_boss_by_as_much():
    seat, plan, shape, additions, _ = solids()
    cavity = cavity_of(seat, shape.model)
    thick, _ = seat_solids(seat, cavity, plan, WALL_MM, FLOOR_MM + 4.0)
    drop = additions[0].vertices[:, 2].min() - thick[0].vertices[:, 2].min()
    assert drop == pytest.approx(4.0, abs=1e-6)


def test_boss_and_shell_make_one_solid_with_the_floor_asked_for():
    seat, _, shape, additions, cutters = solids()
    inside = cavity_of(seat, shape.model)
    outside = trimesh.Trimesh(inside.vertices * [65 / 60, 65 / 60, 1.0], inside.faces)
    outside.apply_translation([0.0, 0.0, -WALL_MM])
    shell = trimesh.boolean.difference([outside, tri(inside)], engine="manifold")
    whole = trimesh.boolean.union([shell, tri(additions[0])], engine="manifold")
    assert whole.body_count == 1
    for cutter in cutters:
        whole = trimesh.boolean.difference([whole, tri(cutter)], engine="manifold")
    assert whole.is_watertight
    # a ray up through the floor beside the screws meets it, then the empty pocket
    start = seat.base_mm + 20.0 * seat.axis + 5.0 * seat_frame(seat.axis)[:, 0]
    hits, _, _ = whole.ray.intersects_location([start], [-seat.axis], multiple_hits=True)
    along = np.sort((hits - seat.base_mm) @ -seat.axis)
    assert along == pytest.approx([0.0, FLOOR_MM], abs=1e-6)


def test_a_tilted_seat_carries_its_solids_along():
    seat, _, _, additions, _ = solids(
        axis=SeatAxis.CHOSEN, tilt_forward_deg=10.0, tilt_inward_deg=5.0
    )
    plane = (additions[0].vertices - seat.base_mm) @ seat.axis
    assert plane.max() == pytest.approx(0.0, abs=1e-6)
