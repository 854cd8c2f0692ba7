"""The whole capture stage on a plain leg: what it tells, and what it refuses."""

import numpy as np
import pytest

from capture_bodies import (
    LEG_END_MM,
    landmark_set,
    leg_landmarks,
    leg_mesh,
    leg_skin_point,
    with_flat_lid,
    with_hole,
)
from limbwright.capture.intake import RawBones, quick_measure, take_in
from limbwright.capture.judge import size_findings
from limbwright.capture.plan import CapturePlan, ScannedOver
from limbwright.capture.result import LevelMeasure, Measures, RawScan
from limbwright.capture.tape import TapeRow, TapeSheet
from limbwright.core.errors import InvalidLandmarks, InvalidScan
from limbwright.core.findings import Severity
from limbwright.core.frame import Side
from limbwright.core.mesh import Mesh, merged
from limbwright.core.sources import Basis
from limbwright.core.topology import boundary_loops, manifold_errors
from limbwright.core.units import LengthUnit

LEG = leg_mesh(edge_mm=3.0)
MARKS = leg_landmarks()
EDGE_MM = 5.0
"""Coarser than the default, so that the tests are quick."""


def raw(mesh=LEG, declared=None):
    return RawScan(mesh.vertices, mesh.faces, declared)


def plan(points=None, **changes):
    marks = landmark_set(points or MARKS)
    return CapturePlan(scan="a.stl", landmarks=marks, surface_edge_mm=EDGE_MM, **changes)


def taken(mesh=LEG, bones=None, tape=None, side=Side.RIGHT, points=None, **changes):
    return take_in(raw(mesh), bones, tape, side, plan(points, **changes))


@pytest.fixture(scope="module")
def limb():
    return taken()


def codes(limb):
    return {finding.code: finding for finding in limb.findings}


def test_the_limb_is_ready_for_the_later_stages(limb):
    errors = manifold_errors(limb.surface)
    assert errors.is_manifold
    assert len(boundary_loops(limb.surface)) == 1
    edges = limb.surface.vertices[limb.surface.faces]
    lengths = np.linalg.norm(edges - np.roll(edges, 1, axis=1), axis=2)
    assert np.median(lengths) == pytest.approx(EDGE_MM, rel=0.15)
    assert limb.cover_mm.shape == (len(limb.surface.vertices),)
    assert limb.cover_mm.min() > 0
    assert limb.measures.length_below_datum_mm == pytest.approx(LEG_END_MM, abs=2.0)
    assert set(limb.landmarks) >= set(MARKS)


def test_guessed_landmarks_and_bones_are_told_as_such(limb):
    told = codes(limb)
    guessed = [name for name, mark in limb.landmarks.items() if mark.basis is Basis.GUESSED]
    assert set(guessed) == set(limb.landmarks) - set(MARKS)
    assert told["landmarks-guessed"].where == ", ".join(guessed)
    assert told["landmarks-guessed"].severity is Severity.WARNING
    assert told["bones-estimated"].basis is Basis.ESTIMATED
    assert told["bones-estimated"].value == limb.bones.cover_sd_mm > 0
    assert told["unit-found"].basis is Basis.ESTIMATED
    assert told["no-tape"].severity is Severity.NOTE
    assert all(finding.stage == "capture" for finding in limb.findings)


def test_every_repair_is_a_finding():
    found = taken(with_hole(LEG, leg_skin_point(50.0, -90.0), 12.0))
    told = codes(found)
    said = " ".join(finding.text for code, finding in told.items() if code.startswith("repaired"))
    assert found.repairs
    assert all(repair.text in said for repair in found.repairs)
    assert "Closed 1 hole" in told["repaired"].text


def test_a_proposal_that_nobody_accepted_stays_a_guess():
    points = {**MARKS, "popliteal_centre": leg_skin_point(5.0, -90.0)}
    marks = landmark_set(points).model_copy(update={"guessed": ("popliteal_centre",)})
    limb = take_in(raw(), None, None, Side.RIGHT, CapturePlan(scan="a.stl", landmarks=marks))
    assert limb.landmarks["popliteal_centre"].basis is Basis.GUESSED


def test_given_bones_are_taken_and_not_called_estimated(limb):
    skin_to_scan = limb.frame
    bones = RawBones(
        Mesh(limb.bones.tibia.vertices @ skin_to_scan.axes + skin_to_scan.origin_mm,
             limb.bones.tibia.faces),
        Mesh(limb.bones.fibula.vertices @ skin_to_scan.axes + skin_to_scan.origin_mm,
             limb.bones.fibula.faces),
    )  # fmt: skip
    given = taken(bones=bones)
    assert given.bones.basis is Basis.GIVEN
    assert "bones-estimated" not in codes(given)
    assert given.cover_mm == pytest.approx(limb.cover_mm, abs=0.2)


def test_a_tape_sheet_is_compared_at_its_own_levels(limb):
    rows = {row.level_mm: row.tape_mm for row in limb.measures.levels}
    sheet = TapeSheet(
        (
            TapeRow(-200.0, 400.0, None, None),
            TapeRow(0.0, rows[0.0], None, None),
            TapeRow(40.0, rows[40.0] - 12.0, None, None),
            TapeRow(80.0, rows[80.0] + 1.0, None, None),
        )
    )
    told = codes(taken(tape=sheet))
    assert told["girth-differs-from-tape"].where == "40 mm below MPT"
    assert told["girth-differs-from-tape"].value == pytest.approx(12.0, abs=0.01)
    assert told["tape-level-not-scanned"].where == "200 mm above MPT"
    assert "no-tape" not in told


def test_a_scan_over_the_liner_says_that_girths_include_it():
    assert "scanned-over-liner" in codes(taken(scanned_over=ScannedOver.LINER))


def test_a_limb_of_unusual_size_is_told_with_the_range_it_leaves():
    row = LevelMeasure(0.0, 240.0, 240.0, 76.0, 76.0, 4500.0)
    told = {f.code: f for f in size_findings(Measures((row,), 400.0, 55.0))}
    assert {code: f.limit for code, f in told.items()} == {
        "volume-unusual": 569.0,
        "length-unusual": 60.0,
        "girth-unusual": 266.0,
    }
    assert all(f.severity is Severity.WARNING for f in told.values())


def test_a_lid_over_the_top_changes_no_measure(limb):
    lidded = taken(with_flat_lid(LEG, 120))
    (cut,) = [repair for repair in lidded.repairs if repair.kind == "cap"]
    assert cut.text in codes(lidded)["repaired"].text
    assert lidded.measures.volume_below_datum_ml == pytest.approx(
        limb.measures.volume_below_datum_ml, rel=1e-3
    )


def test_quick_measures_are_those_of_the_whole_stage():
    whole = take_in(
        raw(), None, None, Side.RIGHT, CapturePlan(scan="a.stl", landmarks=landmark_set(MARKS))
    )
    unit, repairs, measures = quick_measure(raw(), landmark_set(MARKS), Side.RIGHT, 20.0)
    assert (unit, repairs, measures) == (whole.unit, whole.repairs, whole.measures)


def test_a_unit_that_is_stated_goes_before_one_that_is_found():
    found = quick_measure(raw(), landmark_set(MARKS), Side.RIGHT, 50.0, unit=LengthUnit.MM)
    assert (found[0].unit, found[0].basis) == (LengthUnit.MM, Basis.GIVEN)
    assert [row.level_mm for row in found[2].levels] == [-50.0, 0.0, 50.0, 100.0]


def test_a_landmark_off_the_surface_is_refused_by_name_and_distance():
    points = {**MARKS, "fibular_head": leg_skin_point(3.0, 5.0) + np.array([25.0, 0.0, 0.0])}
    with pytest.raises(InvalidLandmarks, match=r"fibular_head by 2[45] mm") as caught:
        taken(points=points)
    assert list(caught.value.fields["off_surface_mm"]) == ["fibular_head"]


def test_all_landmarks_off_the_surface_are_listed_at_once():
    points = {name: p + np.array([0.0, 30.0, 40.0]) for name, p in MARKS.items()}
    with pytest.raises(InvalidLandmarks, match="belong together") as caught:
        taken(points=points)
    assert len(caught.value.fields["off_surface_mm"]) == len(MARKS)


def test_a_landmark_a_little_off_the_skin_is_moved_onto_it_with_a_warning():
    skin = leg_skin_point(56.0, 95.0)
    points = {**MARKS, "crest_upper": skin + np.array([0.0, 3.0, 0.0])}
    limb = taken(points=points)
    assert codes(limb)["landmark-off-skin"].where == "crest_upper"
    assert limb.landmarks["crest_upper"].to_skin_mm == pytest.approx(3.0, abs=0.2)


def test_the_wrong_side_is_refused_with_how_it_shows():
    with pytest.raises(InvalidLandmarks, match=r"stated as left.*right limb.*fibular_head"):
        taken(side=Side.LEFT)


def test_an_unknown_landmark_name_is_refused_with_the_known_ones():
    with pytest.raises(InvalidLandmarks, match=r"fibula_hed.*known are.*fibular_head"):
        taken(points={**MARKS, "fibula_hed": MARKS["fibular_head"]})


def test_no_landmarks_at_all_are_refused_with_what_is_needed():
    bare = CapturePlan(scan="a.stl", landmarks=landmark_set({}))
    with pytest.raises(InvalidLandmarks, match="datum is missing"):
        take_in(raw(), None, None, Side.RIGHT, bare)


def test_two_limbs_in_one_file_are_refused():
    other = Mesh(LEG.vertices + np.array([200.0, 0.0, 0.0]), LEG.faces)
    with pytest.raises(InvalidScan, match="2 separate bodies"):
        taken(merged((LEG, other)))


def test_a_scan_that_ends_below_the_datum_is_refused():
    low = Mesh(LEG.vertices, LEG.faces[LEG.vertices[LEG.faces][:, :, 2].max(axis=1) < 22.0])
    notched = with_hole(low, leg_skin_point(-10.0, -60.0), 25.0)
    with pytest.raises(InvalidScan, match=r"open top .* below the mid-patellar-tendon level"):
        taken(notched, points={k: v for k, v in MARKS.items() if k != "patella_lower_pole"})


def test_a_stray_point_far_from_the_limb_is_refused_before_it_is_meshed():
    points = LEG.vertices.copy()
    points[len(points) // 2] = (1e6, 0.0, 0.0)
    with pytest.raises(InvalidScan, match="stray points"):
        taken(Mesh(points, LEG.faces))
