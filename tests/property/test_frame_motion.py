"""However the scan lies in its own frame, the limb frame is the same limb's."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from limbwright.capture.frame import limb_frame
from limbwright.core.frame import Side, to_limb
from limbwright.core.mesh import Mesh
from limbwright.demo.limb import PALPATED, demo_truth

_DEMO = demo_truth()
_POINTS = {name: _DEMO.landmarks_mm[name] for name in PALPATED}
_UNMOVED = limb_frame(_DEMO.skin, _POINTS, Side.RIGHT)

_component = st.floats(-1.0, 1.0)


@settings(max_examples=15, deadline=None)
@given(
    turn=st.tuples(_component, _component, _component, _component).filter(
        lambda q: float(np.linalg.norm(q)) > 0.1
    ),
    shift_mm=st.tuples(*[st.floats(-2000.0, 2000.0)] * 3),
)
def test_a_rigid_motion_of_the_scan_moves_the_frame_with_it(
    turn: tuple[float, ...], shift_mm: tuple[float, ...]
) -> None:
    matrix = Rotation.from_quat(turn).as_matrix()
    shift = np.array(shift_mm)
    moved = Mesh(_DEMO.skin.vertices @ matrix.T + shift, _DEMO.skin.faces)
    points = {name: matrix @ p + shift for name, p in _POINTS.items()}
    frame = limb_frame(moved, points, Side.RIGHT)
    for name, point in _POINTS.items():
        assert to_limb(frame, points[name]) == pytest.approx(to_limb(_UNMOVED, point), abs=1e-5)
