"""What repair makes of faulty scans, and what it refuses."""

import itertools
import re

import numpy as np
import pytest
import trimesh

from capture_bodies import (
    LEG_END_MM,
    leg_landmarks,
    leg_mesh,
    leg_skin_point,
    rotation,
    with_flat_lid,
    with_hole,
    with_noise,
    with_speck,
)
from limbwright.capture.cap import without_round_top
from limbwright.capture.measure import measure, volume_below_ml, whole_below_u_mm
from limbwright.capture.patching import close_holes, rim_length_mm
from limbwright.capture.repair import repair
from limbwright.core.errors import InvalidScan
from limbwright.core.mesh import Mesh, merged
from limbwright.core.topology import boundary_loops, compact, manifold_errors

LEG = leg_mesh(edge_mm=2.5)
AROUND = int(360.0 / 2.5)
SIDE = leg_skin_point(50.0, -90.0)


def kinds(repairs):
    return {item.kind: item.count for item in repairs}


def shape_kinds(repairs):
    """Without the points that cutting a hole left behind."""
    return {kind: count for kind, count in kinds(repairs).items() if kind != "unused"}


def one_clean_open_limb(mesh):
    errors = manifold_errors(mesh)
    assert errors.is_manifold
    assert len(boundary_loops(mesh)) == 1
    peer = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
    assert peer.is_winding_consistent
    assert peer.body_count == 1


def test_a_clean_limb_is_left_as_it_is():
    out, repairs = repair(LEG)
    assert repairs == ()
    assert np.array_equal(out.vertices, LEG.vertices)
    assert np.array_equal(out.faces, LEG.faces)


def test_points_without_a_triangle_are_dropped_and_counted():
    stray = np.concatenate([LEG.vertices, [[900.0, 0.0, 0.0], [0.0, 900.0, 0.0]]])
    out, repairs = repair(Mesh(stray, LEG.faces))
    assert kinds(repairs) == {"unused": 2}
    assert np.array_equal(out.vertices, LEG.vertices)


def test_triangles_with_corners_of_their_own_are_welded_and_counted():
    loose = Mesh(
        LEG.vertices[LEG.faces].reshape(-1, 3), np.arange(3 * len(LEG.faces)).reshape(-1, 3)
    )
    out, repairs = repair(loose)
    assert kinds(repairs) == {"weld": len(loose.vertices) - len(LEG.vertices)}
    one_clean_open_limb(out)


def test_points_that_only_nearly_coincide_are_welded_too():
    corners = LEG.vertices[LEG.faces].reshape(-1, 3)
    shaken = corners + np.random.default_rng(2).uniform(-0.002, 0.002, corners.shape)
    out, repairs = repair(Mesh(shaken, np.arange(len(corners)).reshape(-1, 3)))
    assert kinds(repairs)["weld"] == len(corners) - len(LEG.vertices)
    one_clean_open_limb(out)


def test_triangles_without_area_and_repeated_ones_are_dropped_and_counted():
    extra = np.array([[5, 5, 9], [7, 8, 7]], dtype=np.int32)
    out, repairs = repair(Mesh(LEG.vertices, np.concatenate([LEG.faces, extra, LEG.faces[:30]])))
    assert kinds(repairs) == {"degenerate": 32}
    assert len(out.faces) == len(LEG.faces)


def test_triangles_that_face_inward_are_turned_and_counted():
    faces = LEG.faces.copy()
    faces[100:150] = faces[100:150, ::-1]
    out, repairs = repair(Mesh(LEG.vertices, faces))
    assert kinds(repairs) == {"winding": 50}
    assert np.array_equal(out.faces, LEG.faces)


def test_a_scan_wound_inward_all_over_is_turned_outward():
    out, repairs = repair(Mesh(LEG.vertices, LEG.faces[:, ::-1]))
    assert kinds(repairs) == {"winding": len(LEG.faces)}
    assert volume_below_ml(out, 0.0) > 0


def test_specks_are_dropped_and_counted():
    dirty = with_speck(with_speck(LEG, np.array([120.0, 0.0, 0.0])), np.array([0.0, 90.0, -200.0]))
    out, repairs = repair(dirty)
    assert kinds(repairs) == {"specks": 2}
    assert len(out.faces) == len(LEG.faces)


@pytest.mark.parametrize("scale", [1.0, 0.6])
def test_two_limbs_in_one_file_are_refused_with_their_sizes(scale):
    other = Mesh(LEG.vertices * scale + np.array([250.0, 0.0, 0.0]), LEG.faces)
    with pytest.raises(InvalidScan, match=r"2 separate bodies of comparable size .* cm²") as caught:
        repair(merged((LEG, other)))
    assert caught.value.fields["bodies"] == 2


def test_edges_that_three_triangles_share_are_resolved():
    a, b = LEG.faces[2000, :2]
    fin = np.array([[a, b, len(LEG.vertices)]], dtype=np.int32)
    vertices = np.concatenate([LEG.vertices, LEG.vertices[a][None] * 1.1])
    out, repairs = repair(Mesh(vertices, np.concatenate([LEG.faces, fin])))
    assert kinds(repairs) == {"non-manifold": 3, "holes": 1}
    one_clean_open_limb(out)
    assert volume_below_ml(out, 0.0) == pytest.approx(volume_below_ml(LEG, 0.0), rel=1e-4)


def test_holes_are_closed_along_the_curve_of_the_skin_and_counted():
    holed = with_hole(with_hole(LEG, SIDE, 12.0), leg_skin_point(80.0, 0.0), 7.0)
    out, repairs = repair(holed)
    assert shape_kinds(repairs) == {"holes": 2}
    one_clean_open_limb(out)
    assert volume_below_ml(out, 0.0) == pytest.approx(volume_below_ml(LEG, 0.0), rel=2e-4)
    level = np.array([50.0])
    true, found = measure(LEG, level).levels[0], measure(out, level).levels[0]
    assert found.perimeter_mm == pytest.approx(true.perimeter_mm, abs=0.2)
    assert found.ap_mm == pytest.approx(true.ap_mm, abs=0.3)


def test_a_hole_over_the_limbs_end_is_closed_round():
    out, repairs = repair(with_hole(LEG, leg_landmarks()["limb_end"], 18.0))
    assert kinds(repairs)["holes"] == 1
    assert -out.vertices[:, 2].min() == pytest.approx(LEG_END_MM, abs=1.0)


def test_a_large_hole_is_closed_but_reported_as_a_guess():
    _, repairs = repair(with_hole(LEG, SIDE, 20.0))
    assert shape_kinds(repairs) == {"holes": 1, "large-hole": 1}
    assert "guess" in repairs[-1].text


def test_a_second_opening_too_large_to_close_is_refused():
    cut_end = Mesh(LEG.vertices, LEG.faces[LEG.vertices[LEG.faces][:, :, 2].min(axis=1) > -100.0])
    with pytest.raises(InvalidScan, match=r"Besides its open top .* mm around"):
        repair(cut_end)


def test_nothing_but_faulty_triangles_is_refused():
    with pytest.raises(InvalidScan, match="Nothing is left"):
        repair(Mesh(LEG.vertices, np.array([[1, 1, 2]], dtype=np.int32)))


def test_scanner_noise_is_taken_off_so_that_girths_are_those_of_the_limb():
    fine = leg_mesh(edge_mm=1.2)
    levels = np.array([0.0, 60.0, 130.0])
    true = measure(fine, levels)
    noisy = with_noise(fine, 0.3)
    raw = measure(noisy, levels)
    out, repairs = repair(noisy)
    found = measure(out, levels)
    assert kinds(repairs) == {"noise": len(fine.vertices)}
    told_mm = float(re.search(r"noise of ([\d.]+) mm", repairs[0].text)[1])
    assert told_mm == pytest.approx(0.3, rel=0.1)
    for before, row, wanted in zip(raw.levels, found.levels, true.levels, strict=True):
        # Noise lengthens an outline: what repair is for.
        assert before.perimeter_mm > wanted.perimeter_mm + 15.0
        assert row.perimeter_mm == pytest.approx(wanted.perimeter_mm, abs=0.6)
        assert row.tape_mm == pytest.approx(wanted.tape_mm, abs=0.6)
    assert found.volume_below_datum_ml == pytest.approx(true.volume_below_datum_ml, rel=1e-3)


@pytest.mark.parametrize("seed", [1, 2])
def test_a_flat_lid_over_the_top_is_removed_in_any_orientation(seed):
    lidded = with_flat_lid(LEG, AROUND)
    assert boundary_loops(lidded) == []
    out, repairs = repair(Mesh(lidded.vertices @ rotation(seed).T, lidded.faces))
    assert set(kinds(repairs)) == {"cap"}
    assert "flat lid" in repairs[0].text
    one_clean_open_limb(out)
    back = Mesh(out.vertices @ rotation(seed), out.faces)
    assert whole_below_u_mm(back) == pytest.approx(85.0, abs=0.6)


def test_a_limb_closed_by_a_dome_has_no_flat_lid_and_is_cut_open_below_the_dome():
    top = LEG.vertices[:AROUND]
    pole = top.mean(axis=0) + np.array([0.0, 0.0, 25.0])
    ring = np.arange(AROUND)
    share = np.linspace(0.0, np.pi / 2, 12)[1:-1]
    rings = [
        top.mean(axis=0) + np.cos(s) * (top - top.mean(axis=0)) + np.sin(s) * np.array([0, 0, 25.0])
        for s in share
    ]
    vertices = np.concatenate([LEG.vertices, *rings, pole[None]])
    rows = [ring, *(len(LEG.vertices) + i * AROUND + ring for i in range(len(rings)))]
    bands = [
        np.concatenate(
            [
                np.stack([a, np.roll(a, -1), np.roll(b, -1)], axis=1),
                np.stack([a, np.roll(b, -1), b], axis=1),
            ]
        )
        for a, b in itertools.pairwise(rows)
    ]
    fan = np.stack([rows[-1], np.roll(rows[-1], -1), np.full(AROUND, len(vertices) - 1)], axis=1)
    domed = Mesh(vertices, np.concatenate([LEG.faces, *bands, fan]).astype(np.int32))
    out, repairs = repair(domed)
    assert "cap" not in kinds(repairs)
    assert boundary_loops(out) == []
    opened, cut = without_round_top(out)
    assert cut.kind == "round-top"
    one_clean_open_limb(opened)
    assert 80.0 < whole_below_u_mm(opened) < 100.0


def test_many_holes_are_closed_at_once_without_touching_the_rest():
    holed = LEG
    for level in (90.0, 60.0, 30.0, 0.0):
        holed = with_hole(holed, leg_skin_point(level, 0.0), 7.0)
    holed = compact(holed)
    loops = [loop for loop in boundary_loops(holed) if rim_length_mm(holed, loop) < 100.0]
    closed = close_holes(holed, loops)
    assert len(loops) == 4
    one_clean_open_limb(closed)
    untouched = np.ones(len(holed.vertices), dtype=bool)
    untouched[np.concatenate(loops)] = False
    assert np.array_equal(
        closed.vertices[: len(holed.vertices)][untouched], holed.vertices[untouched]
    )


def test_holes_that_touch_in_a_point_are_closed_one_by_one_without_slivers():
    generator = np.random.default_rng(1)
    holed = Mesh(LEG.vertices, LEG.faces[generator.random(len(LEG.faces)) > 0.05])
    mesh, done = repair(holed)
    one_clean_open_limb(mesh)
    peer = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
    whole = trimesh.Trimesh(LEG.vertices, LEG.faces, process=False)
    assert kinds(done)["holes"] > 500
    assert peer.area_faces.min() > 0.0
    assert peer.edges_unique_length.min() > 0.5 * whole.edges_unique_length.min()
    assert peer.area == pytest.approx(whole.area, rel=2e-3)


def test_a_scan_in_pieces_is_refused_as_such():
    generator = np.random.default_rng(1)
    rags = Mesh(LEG.vertices, LEG.faces[generator.random(len(LEG.faces)) > 0.6])
    with pytest.raises(InvalidScan, match=r"in [\d,]+ pieces"):
        repair(rags)
