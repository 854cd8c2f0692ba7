"""The unit of a scan, found from its size and its landmarks."""

import numpy as np
import pytest

from capture_bodies import landmark_set, leg_landmarks, leg_mesh, rotation, with_speck
from limbwright.capture.result import RawScan
from limbwright.capture.unit import find_unit, size_of
from limbwright.core.errors import InvalidLandmarks, InvalidScan
from limbwright.core.mesh import merged
from limbwright.core.sources import Basis
from limbwright.core.units import LengthUnit

LEG = leg_mesh(edge_mm=4.0)
ALL_UNITS = list(LengthUnit)


def raw(unit, mesh=LEG, scale=1.0, declared=None):
    return RawScan(mesh.vertices * scale / unit.to_mm, mesh.faces, declared)


@pytest.mark.parametrize("unit", ALL_UNITS)
def test_each_unit_is_found_from_size_alone_with_its_sureness(unit):
    found = find_unit(raw(unit), None, None)
    assert found.unit is unit
    assert found.basis is Basis.ESTIMATED
    assert 0.9 <= found.sureness < 1.0
    assert "size" in found.text


@pytest.mark.parametrize("unit", ALL_UNITS)
@pytest.mark.parametrize("landmark_unit", ALL_UNITS)
def test_landmarks_in_any_unit_of_their_own_settle_the_unit_of_the_scan(unit, landmark_unit):
    found = find_unit(raw(unit), landmark_set(leg_landmarks(), landmark_unit), None)
    assert found.unit is unit
    assert found.sureness == pytest.approx(0.99)
    assert "landmarks lie on its surface" in found.text


@pytest.mark.parametrize(("scale", "unit"), [(0.62, LengthUnit.CM), (1.6, LengthUnit.INCH)])
def test_limbs_of_a_size_that_two_units_allow_are_told_apart_by_landmarks(scale, unit):
    marks = landmark_set({name: p * scale for name, p in leg_landmarks().items()})
    alone = find_unit(raw(unit, scale=scale), None, None)
    assert alone.sureness < 0.9
    assert "it would be" in alone.text
    assert find_unit(raw(unit, scale=scale), marks, None).unit is unit


def test_the_size_is_that_of_the_limb_in_any_orientation_and_beside_specks():
    stray = with_speck(LEG, np.array([900.0, -400.0, 300.0]))
    girth, length = size_of(stray.vertices @ rotation(4).T + 1000.0)
    assert girth == pytest.approx(2 * np.pi * 65, rel=0.05)
    assert length == pytest.approx(235.0, rel=0.05)


def test_landmarks_settle_the_unit_of_a_coarse_scan_too():
    coarse = leg_mesh(edge_mm=18.0)
    marks = {name: point for name, point in leg_landmarks().items() if name != "limb_end"}
    found = find_unit(raw(LengthUnit.INCH, mesh=coarse), landmark_set(marks), None)
    assert found.unit is LengthUnit.INCH
    assert "landmarks lie on its surface" in found.text


def test_a_given_unit_is_taken_and_is_certain():
    found = find_unit(raw(LengthUnit.CM), landmark_set(leg_landmarks()), LengthUnit.CM)
    assert (found.unit, found.basis, found.sureness) == (LengthUnit.CM, Basis.GIVEN, 1.0)


def test_a_given_unit_that_size_contradicts_is_refused_with_what_would_fit():
    with pytest.raises(InvalidScan, match=r"said to be in m, .* mm .*would fit") as caught:
        find_unit(raw(LengthUnit.MM), None, LengthUnit.M)
    assert caught.value.fields["fits"] == ["mm"]


def test_a_given_unit_that_landmarks_contradict_is_refused_with_what_would_fit():
    marks = landmark_set({name: 0.62 * p for name, p in leg_landmarks().items()})
    with pytest.raises(InvalidScan, match=r"said to be in inch, but the landmarks .* in cm"):
        find_unit(raw(LengthUnit.CM, scale=0.62), marks, LengthUnit.INCH)


def test_landmarks_labelled_with_the_wrong_unit_are_refused_with_the_right_one():
    wrong = landmark_set(leg_landmarks(), LengthUnit.CM).model_copy(update={"unit": LengthUnit.MM})
    with pytest.raises(InvalidLandmarks, match=r"said to be in mm, .*only if they are in cm"):
        find_unit(raw(LengthUnit.MM), wrong, None)


def test_a_declared_unit_is_taken_when_it_can_be_right():
    found = find_unit(raw(LengthUnit.INCH, declared=LengthUnit.INCH), None, None)
    assert (found.unit, found.basis) == (LengthUnit.INCH, Basis.GIVEN)


def test_a_declared_unit_that_cannot_be_right_is_overruled_and_the_text_says_so():
    # A file of a format in metres into which a program wrote millimetres.
    found = find_unit(raw(LengthUnit.MM, declared=LengthUnit.M), None, None)
    assert (found.unit, found.basis) == (LengthUnit.MM, Basis.ESTIMATED)
    assert "declares m, which cannot be right" in found.text


def test_a_scan_of_no_possible_size_is_refused():
    with pytest.raises(InvalidScan, match="No unit makes this scan the size of a limb"):
        find_unit(raw(LengthUnit.MM, scale=0.25), None, None)


def test_a_scan_of_unlikely_size_is_not_called_sure_though_only_one_unit_is_possible():
    found = find_unit(raw(LengthUnit.MM, scale=0.21), None, None)
    assert found.sureness < 0.5


def test_landmarks_that_lie_nowhere_leave_the_unit_to_size_and_are_mentioned():
    marks = landmark_set({name: p + 300.0 for name, p in leg_landmarks().items()})
    found = find_unit(raw(LengthUnit.MM), marks, None)
    assert found.unit is LengthUnit.MM
    assert "in no unit" in found.text


def test_two_limbs_side_by_side_do_not_pass_for_one_in_another_unit():
    two = merged((LEG, with_speck(LEG, np.zeros(3))))
    assert find_unit(raw(LengthUnit.MM, mesh=two), None, None).unit is LengthUnit.MM


def test_landmarks_in_another_unit_than_stated_are_refused_with_every_unit_that_fits():
    inches = landmark_set({n: p / LengthUnit.INCH.to_mm for n, p in leg_landmarks().items()})
    with pytest.raises(InvalidLandmarks, match=r"said to be in mm.* inch .the scan is then"):
        find_unit(raw(LengthUnit.INCH), inches, None)
