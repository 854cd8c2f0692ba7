"""The wall above the trim line's lowest point: smooth in the trim, and a tab in closed form."""

import math

import numpy as np
import pytest
from scipy.interpolate import PchipInterpolator

from limbwright.prove.handover import handed_from_mm
from limbwright.prove.open_wall import open_rings
from limbwright.prove.reference_loads import reference_loads
from limbwright.prove.sections import part_of, stress_mpa, wall_ring
from limbwright.prove.shear import torsion_constant_mm4, twist_stress
from limbwright.prove.strength_tables import HANDED_DEPTH_MM, POISSON, Failure
from limbwright.prove.wall import carried_at, stress_rounds, worst_stress
from limbwright.prove.wall_confirmed import spread
from limbwright.prove.wall_elements import displaced, elements_of, face_stress_mpa
from proof_bodies import round_socket, shape_of, straight_leg

RADIUS, WALL = 50.0, 5.0
LATERAL, ANTERIOR, MEDIAL, POSTERIOR = range(4)
ORDINARY = (32.0, 22.0, 32.0, -8.0)
LOW_BEHIND = (30.0, 25.0, 30.0, 25.0)
TWO_EARS = (35.0, 0.0, 35.0, -10.0)
LOADS = reference_loads("P5", straight_leg())
SURFACE = round_socket(RADIUS)


def socket(heights_at):
    """A round socket with a trim line that is a height over the angle."""
    shape = shape_of(SURFACE)
    angle = np.radians(np.arange(0.25, 360.0, 0.5))
    ring = np.column_stack([60 * np.cos(angle), 60 * np.sin(angle), heights_at(angle)])
    shape.trim.points_mm = ring
    return shape


def trimmed(heights):
    """Smooth through a height outward, forward, inward and backward."""
    at = 0.5 * np.pi * np.arange(-4, 8)
    return socket(PchipInterpolator(at, np.tile(heights, 3)))


def tab(half_deg, top_mm, foot_mm=0.0):
    """One upright tab, outward, over a level trim line."""
    aside = np.radians(half_deg)

    def heights(angle):
        off = np.abs((angle + np.pi) % (2 * np.pi) - np.pi)
        return np.where(off < aside, top_mm, foot_mm)

    return socket(heights)


def greatest(shape):
    rings = open_rings(shape, WALL)
    return max(worst_stress(rings, load, Failure.BRITTLE).stress_mpa for load in LOADS)


@pytest.mark.parametrize("start", [ORDINARY, LOW_BEHIND, TWO_EARS])
@pytest.mark.parametrize("side", [LATERAL, ANTERIOR, MEDIAL, POSTERIOR])
def test_a_millimetre_of_trim_never_makes_the_stress_jump(start, side):
    found = []
    for height in np.arange(-14.0, 38.5, 1.0):
        heights = list(start)
        heights[side] = height
        found.append(greatest(trimmed(heights)))
    ratio = np.array(found[1:]) / found[:-1]
    assert np.maximum(ratio, 1.0 / ratio).max() < 1.4
    assert np.abs(np.diff(found)).max() < 1.0


def test_the_highest_millimetre_of_a_tab_is_hardly_stressed():
    rings = open_rings(trimmed((32.0, 22.0, 27.0, -8.0)), WALL)
    for load in LOADS:
        rounds = stress_rounds(rings, load, Failure.BRITTLE)
        highest, most = rounds[0].worst, max(r.worst.stress_mpa for r in rounds)
        assert highest.level_mm < -30.0
        assert highest.stress_mpa < 0.2 * most


def test_one_tab_does_not_lean_on_another_that_it_is_not_joined_to():
    # Two tabs apart are no joint section: what the inner one bears hardly hangs on the height of
    # the outer one, but for the load that the outer one takes off it.
    stress = {}
    for outer in (35.0, 25.0):
        rings = open_rings(trimmed((outer, 0.0, 35.0, -10.0)), WALL)
        place = min(rings, key=lambda ring: abs(ring.u_mm - 20.0))
        assert len(place.pieces) == 2
        (found,) = stress_rounds([place], LOADS[1], Failure.BRITTLE)
        inner = np.tile(place.ring.middle_mm[:, 0] + place.ring.centroid_mm[0] < 0.0, 2)
        stress[outer] = found.equivalent_mpa[inner].max()
    assert stress[25.0] == pytest.approx(stress[35.0], rel=0.25)


def test_what_the_pieces_carry_adds_up_to_what_enters_above():
    for place in open_rings(trimmed(TWO_EARS), WALL):
        point = np.array([3.0, -4.0, place.u_mm])
        parts = [carried_at(piece.handed, LOADS[1], 4000.0, point) for piece in place.pieces]
        whole = carried_at(place.handed, LOADS[1], 4000.0, point)
        for k in (0, 1):
            assert sum(part[k] for part in parts) == pytest.approx(whole[k], abs=1e-6)


def test_close_over_the_lowest_point_the_wall_carries_the_reference_load():
    lowest = open_rings(trimmed((37.0, 30.0, 37.0, -12.0)), WALL)[-1]
    point = np.array([0.0, 0.0, lowest.u_mm])
    force, moment = carried_at(lowest.handed, LOADS[1], 4000.0, point)
    assert force == pytest.approx(4000.0 * LOADS[1].direction, abs=0.05 * 4000.0)
    full = LOADS[1].moment_about(point, 4000.0)
    assert np.linalg.norm(moment - full) < 0.05 * np.linalg.norm(full)


def test_the_load_is_handed_over_on_enough_of_the_inside():
    even = trimmed((10.0, 10.0, 10.0, 10.0)).trim.points_mm
    assert handed_from_mm(even) == pytest.approx(10.0 - HANDED_DEPTH_MM.value)
    deep = trimmed((37.0, 30.0, 37.0, -12.0)).trim.points_mm
    assert handed_from_mm(deep) == pytest.approx(deep[:, 2].min())


def inside_by_hand(half, top, foot):
    """Bits of the inside of a round socket with one tab over a level line at 0."""
    step = math.radians(0.25)
    angle = np.arange(-math.pi, math.pi, step) + 0.5 * step
    height = np.arange(foot, top, 0.1) + 0.05
    angle, height = (grid.ravel() for grid in np.meshgrid(angle, height))
    kept = (height < 0.0) | (np.abs(angle) < half)
    angle, height = angle[kept], height[kept]
    points = np.column_stack([RADIUS * np.cos(angle), RADIUS * np.sin(angle), height])
    return points, np.full(len(points), RADIUS * step * 0.1)


def handed_by_hand(points, areas, above_mm, load, force_n, about):
    """Force and moment of what presses above a height, the traction summed bit by bit."""
    middle = points.mean(axis=0)
    forces = spread(points, areas, force_n * load.direction, load.moment_about(middle, force_n))
    forces = forces[points[:, 2] > above_mm]
    arms = points[points[:, 2] > above_mm] - about
    return forces.sum(axis=0), np.cross(arms, forces).sum(axis=0)


@pytest.mark.parametrize("load", LOADS)
def test_a_tab_bends_as_the_thin_arc_of_the_closed_form_under_what_presses_on_it(load):
    # A thin arc of half angle φ (Roark's Formulas for Stress and Strain, table A.1): its middle at
    # R·sin φ/φ; I = R³·t·(φ + sin φ·cos φ − 2·sin² φ/φ) of depth and R³·t·(φ − sin φ·cos φ) of
    # width. What it carries is the traction on the inside above, summed bit by bit.
    half, top, wall, force_n = math.radians(30.0), 30.0, 1.0, 4000.0
    shape = tab(30.0, top)
    place = min(open_rings(shape, wall), key=lambda ring: abs(ring.u_mm - 5.0))
    (piece,) = place.pieces
    middle = RADIUS + 0.5 * wall
    sine, cosine = math.sin(half), math.cos(half)
    centre = np.array([middle * sine / half, 0.0, place.u_mm])
    points, areas = inside_by_hand(half, top, handed_from_mm(shape.trim.points_mm))
    force, moment = handed_by_hand(points, areas, place.u_mm, load, force_n, centre)
    found = piece.carried(load, force_n, place.u_mm)
    assert found[0] == pytest.approx(force, abs=0.03 * np.linalg.norm(force))
    assert found[1] == pytest.approx(moment, abs=0.03 * np.linalg.norm(moment))

    depth_mm4 = middle**3 * wall * (half + sine * cosine - 2.0 * sine**2 / half)
    width_mm4 = middle**3 * wall * (half - sine * cosine)
    edges = middle * np.array([[cosine, sine], [cosine, -sine], [1.0, 0.0]])
    away = edges - centre[:2]
    wanted = -force[2] / (2.0 * half * middle * wall)
    wanted = wanted + moment[1] * away[:, 0] / depth_mm4 - moment[0] * away[:, 1] / width_mm4
    along = stress_mpa(piece.ring, float(found[0][2]), found[1][:2]).reshape(2, -1).mean(axis=0)
    at = piece.ring.middle_mm + piece.ring.centroid_mm
    nearest = [int(np.linalg.norm(at - edge, axis=1).argmin()) for edge in edges]
    assert along[nearest] == pytest.approx(wanted, abs=0.05 * np.abs(wanted).max())


def test_a_long_tab_is_stressed_along_as_its_elements_say():
    # A curved strip 30° wide and 80 mm high, held at its foot, under one traction on all of it:
    # bricks beside the section half-way up.
    half, high, wall = math.radians(15.0), 80.0, WALL
    columns, rows = 12, 32
    angle = np.linspace(-half, half, columns + 1)
    height = np.linspace(0.0, high, rows + 1)
    radius = np.array([RADIUS, RADIUS + wall])
    r, u, a = np.meshgrid(radius, height, angle, indexing="ij")
    nodes = np.stack([r * np.cos(a), r * np.sin(a), u], axis=-1).reshape(-1, 3)
    index = np.arange(len(nodes)).reshape(2, rows + 1, columns + 1)
    corner = [index[k, i : i + rows, j : j + columns] for k, i, j in _BRICK]
    hexahedra = np.stack(corner, axis=-1).reshape(-1, 8).astype(np.int32)
    body = elements_of(nodes, hexahedra, 1000.0, POISSON.value)

    def halved(count):
        weights = np.ones(count + 1)
        weights[[0, -1]] = 0.5
        return weights

    areas = np.broadcast_to(np.outer(halved(rows), halved(columns)), index.shape).ravel()
    force, moment = np.array([-60.0, 40.0, 300.0]), np.array([2e3, -3e3, 1e3])
    forces = spread(nodes, areas, force, moment)
    held = np.zeros(nodes.shape, dtype=bool)
    held[index[:, 0].ravel()] = True
    moved = displaced(body, forces, held)
    faces = np.stack([face_stress_mpa(body, moved, outer)[:, 2] for outer in (True, False)])
    middle = nodes[hexahedra].mean(axis=1)
    level = middle[columns * rows // 2, 2]
    row = np.abs(middle[:, 2] - level) < 0.1

    ring = wall_ring(_circle(RADIUS), wall)
    there = np.abs(np.arctan2(*(ring.halves_mm + ring.centroid_mm).T[::-1])) < half
    alone = part_of(ring, there)
    above = nodes[:, 2] > level
    at = np.append(alone.centroid_mm, level)
    pressed = forces[above].sum(axis=0)
    turned = np.cross(nodes[above] - at, forces[above]).sum(axis=0)
    # what is handed to the tab pushes it as the wall below pushes back
    wanted = stress_mpa(alone, -pressed[2], -turned[:2])
    sides = np.where(np.tile(there, 2), wanted, 0.0)
    found = faces[:, row]
    assert found.max() == pytest.approx(sides.max(), rel=0.1)
    assert found.min() == pytest.approx(sides.min(), rel=0.1)


_BRICK = [(k, i, j) for k in (0, 1) for i, j in ((0, 0), (0, 1), (1, 1), (1, 0))]


def _circle(radius_mm):
    angle = np.linspace(0.0, 2 * np.pi, 720, endpoint=False)
    return np.column_stack([np.cos(angle), np.sin(angle)]) * radius_mm


def test_a_strip_too_straight_to_warp_is_twisted_as_a_strip():
    # τ = T·t/J, J = s·t³/3.
    ring = wall_ring(_circle(RADIUS), WALL)
    strip = part_of(ring, np.arange(360) == 17)
    found = twist_stress(strip, np.zeros(2), 1e3, 20.0)
    assert found.shear_mpa.max() == pytest.approx(1e3 * WALL / torsion_constant_mm4(strip))
    assert not found.warping_mpa.any()
