"""Results survive the way to the cache and back, and print as plain JSON."""

import dataclasses
import json

import numpy as np
import pytest

from limbwright.capture.result import Landmark, UnitFound
from limbwright.case.codec import decode, encode, plain
from limbwright.core.frame import LimbFrame, Side
from limbwright.core.mesh import Mesh
from limbwright.core.sources import Basis, Confidence, Origin, Source
from limbwright.core.units import LengthUnit
from limbwright.couple.result import Withdrawal
from limbwright.prove.result import AreaPressure

TETRAHEDRON = Mesh(
    np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1.0]]),
    np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]], dtype=np.int32),
)


def there_and_back(value):
    arrays: dict = {}
    text = json.dumps(encode(value, arrays))
    return decode(type(value), json.loads(text), arrays)


def test_a_mesh_comes_back_bit_for_bit():
    back = there_and_back(TETRAHEDRON)
    assert np.array_equal(back.vertices, TETRAHEDRON.vertices)
    assert np.array_equal(back.faces, TETRAHEDRON.faces)


def test_enums_come_back_as_enums_and_not_as_text():
    found = UnitFound(LengthUnit.CM, Basis.ESTIMATED, 0.9, "by size")
    assert there_and_back(found) == found


def test_a_left_frame_comes_back_as_a_left_frame():
    frame = LimbFrame(np.array([1.0, 2, 3]), np.diag([-1.0, 1, 1]), Side.LEFT)
    back = there_and_back(frame)
    assert back.side is Side.LEFT
    assert np.array_equal(back.axes, frame.axes)


def test_a_missing_limit_stays_missing_and_never_becomes_a_number():
    area = AreaPressure("popliteal", 40.0, 60.0, (1.0, 2.0, 3.0), None, None, None)
    assert there_and_back(area) == area
    assert plain(area)["limit_kpa"] is None


def test_a_form_of_another_type_is_refused():
    with pytest.raises((KeyError, TypeError, ValueError)):
        decode(Withdrawal, {"catch_mm": 1.0}, {})


def test_plain_json_shows_sources_as_text_and_large_arrays_by_shape():
    source = Source(Origin.PUBLISHED, "Author 2001, table 2", Confidence.HIGH)
    landmark = Landmark("limb_end", np.array([1.0, 2.0, -0.0]), Basis.GIVEN, 0.25)
    assert plain(source) == "Author 2001, table 2"
    assert plain(landmark)["point_mm"] == [1.0, 2.0, 0.0]
    assert plain({"many": np.zeros((40, 3))}) == {"many": {"shape": [40, 3]}}
    assert plain(TETRAHEDRON) == {"vertices": 4, "faces": 4}


def test_plain_json_of_equal_results_is_equal_text():
    area = AreaPressure("popliteal", 40.0, 60.0, (1.0, 2.0, 3.0), 165.0, None, 60 / 165)
    again = dataclasses.replace(area)
    assert json.dumps(plain(area)) == json.dumps(plain(again))
