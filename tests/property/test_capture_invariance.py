"""What must not change a limb: where it was scanned, in which unit, and on which side."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from capture_bodies import landmark_set, leg_landmarks, leg_mesh, rotation, with_noise
from limbwright.capture.intake import quick_measure, take_in
from limbwright.capture.measure import frustum_volume_ml, measure
from limbwright.capture.plan import CapturePlan
from limbwright.capture.result import RawScan
from limbwright.core.frame import Side
from limbwright.core.mesh import Mesh
from limbwright.core.remeshing import remesh_uniform
from limbwright.core.units import LengthUnit

LEG = leg_mesh(edge_mm=4.0)
MARKS = leg_landmarks()
MIRROR = np.array([-1.0, 1.0, 1.0])


def measures(mesh, marks, side=Side.RIGHT, scan_unit=LengthUnit.MM, mark_unit=LengthUnit.MM):
    raw = RawScan(mesh.vertices / scan_unit.to_mm, mesh.faces, None)
    return quick_measure(raw, landmark_set(marks, mark_unit), side, 20.0)[2]


def same(found, wanted, rel=1e-6, abs_mm=1e-3):
    assert found.volume_below_datum_ml == pytest.approx(wanted.volume_below_datum_ml, rel=rel)
    assert [row.level_mm for row in found.levels] == [row.level_mm for row in wanted.levels]
    for row, other in zip(found.levels, wanted.levels, strict=True):
        for name in ("perimeter_mm", "tape_mm", "ml_mm", "ap_mm"):
            assert getattr(row, name) == pytest.approx(getattr(other, name), abs=abs_mm)


@pytest.fixture(scope="module")
def upright():
    return measures(LEG, MARKS)


@settings(max_examples=3, deadline=None, derandomize=True)
@given(seed=st.integers(0, 10_000), shift=st.tuples(*[st.floats(-2000, 2000)] * 3))
def test_where_and_how_the_limb_was_scanned_changes_nothing(upright, seed, shift):
    turn = rotation(seed)
    moved = Mesh(LEG.vertices @ turn.T + np.array(shift), LEG.faces)
    marks = {name: turn @ point + np.array(shift) for name, point in MARKS.items()}
    # The even cover under the frame starts from the same edges and only rounds differently.
    same(measures(moved, marks), upright, rel=2e-4, abs_mm=0.2)


@pytest.mark.parametrize(
    ("scan_unit", "mark_unit"),
    [
        (LengthUnit.M, LengthUnit.MM),
        (LengthUnit.CM, LengthUnit.INCH),
        (LengthUnit.INCH, LengthUnit.M),
    ],
)
def test_the_units_of_scan_and_landmarks_change_nothing(upright, scan_unit, mark_unit):
    same(measures(LEG, MARKS, Side.RIGHT, scan_unit, mark_unit), upright, rel=2e-4, abs_mm=0.2)


def test_a_mirrored_limb_of_the_other_side_is_the_same_limb():
    right = take_in(
        RawScan(LEG.vertices, LEG.faces, None),
        None,
        None,
        Side.RIGHT,
        CapturePlan(scan="a.stl", landmarks=landmark_set(MARKS)),
    )
    marks = {name: point * MIRROR for name, point in MARKS.items()}
    left = take_in(
        RawScan(LEG.vertices * MIRROR, LEG.faces[:, ::-1], None),
        None,
        None,
        Side.LEFT,
        CapturePlan(scan="a.stl", landmarks=landmark_set(marks)),
    )
    same(left.measures, right.measures)
    assert (left.side, right.side) == (Side.LEFT, Side.RIGHT)
    assert np.linalg.det(left.frame.axes) == pytest.approx(-1.0)
    for name, mark in right.landmarks.items():
        assert left.landmarks[name].point_mm == pytest.approx(mark.point_mm, abs=1e-6)
    # the same cover, triangle by triangle: later stages see no side at all
    assert np.array_equal(left.surface.faces, right.surface.faces)
    assert left.surface.vertices == pytest.approx(right.surface.vertices, abs=1e-6)


@settings(max_examples=15, deadline=None, derandomize=True)
@given(scale=st.floats(0.5, 2.0))
def test_girths_grow_with_size_and_volumes_with_its_cube(scale):
    levels = np.array([0.0, 50.0, 100.0])
    one, other = (
        measure(LEG, levels),
        measure(Mesh(LEG.vertices * scale, LEG.faces), levels * scale),
    )
    assert other.volume_below_datum_ml == pytest.approx(one.volume_below_datum_ml * scale**3)
    for row, grown in zip(one.levels, other.levels, strict=True):
        assert grown.tape_mm == pytest.approx(row.tape_mm * scale)
        assert grown.area_mm2 == pytest.approx(row.area_mm2 * scale**2)


@settings(max_examples=25, deadline=None, derandomize=True)
@given(
    girths=st.lists(st.floats(100.0, 500.0), min_size=3, max_size=12),
    spacing=st.floats(5.0, 50.0),
)
def test_a_frustum_stack_is_the_sum_of_its_parts_and_has_no_top(girths, spacing):
    whole = frustum_volume_ml(girths, spacing)
    parts = frustum_volume_ml(girths[:2], spacing) + frustum_volume_ml(girths[1:], spacing)
    assert whole == pytest.approx(parts)
    assert frustum_volume_ml(girths[::-1], spacing) == pytest.approx(whole)


def test_scanner_noise_changes_girths_by_less_than_a_tape_can_read(upright):
    noisy = measures(with_noise(remesh_uniform(LEG, 2.0), 0.4), MARKS)
    same(noisy, upright, rel=5e-3, abs_mm=2.0)
