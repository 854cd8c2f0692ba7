"""What must hold of rectification whatever the plan: side, monotony, edits of depth alone."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from limbwright.assess.plan import Liner
from limbwright.capture.plan import ScannedOver
from limbwright.core.frame import LimbFrame, Side, mesh_to_limb, mesh_to_patient, to_limb
from limbwright.core.mesh import Mesh, volume_mm3
from limbwright.shape.basis import prepare_areas
from limbwright.shape.defaults import ShapeStyle, default_shape_plan
from limbwright.shape.plan import LOAD_AREAS, AreaName, AreaPlan, ShapePlan, TakeUpPoint
from limbwright.shape.preparation import geometry_of, prepare
from limbwright.shape.rectify import apply, displacement, rectify
from shape_limbs import cone_limb, limb_of, open_limb

LINER = Liner(thickness_mm=6)
PLAN = default_shape_plan(LINER, ShapeStyle.TENDON_BEARING)


@pytest.fixture(scope="module")
def prepared():
    return prepare(prepare_areas(cone_limb(edge_mm=4.5)), PLAN, LINER, ScannedOver.SKIN)


def with_depth(plan: ShapePlan, name: AreaName, depth_mm: float) -> ShapePlan:
    areas = tuple(
        area.model_copy(update={"depth_mm": depth_mm}) if area.name is name else area
        for area in plan.areas
    )
    return plan.model_copy(update={"areas": areas})


def test_a_left_limb_gives_the_mirror_image_of_the_right_one(shared_data):
    right = open_limb(shared_data, "limb_a")
    mirror = np.array([-1.0, 1.0, 1.0])
    scan = Mesh(right.surface.vertices * mirror, right.surface.faces[:, ::-1])
    frame = LimbFrame(np.zeros(3), np.diag(mirror), Side.LEFT)
    points = {
        name: to_limb(frame, mark.point_mm * mirror) for name, mark in right.landmarks.items()
    }
    left = limb_of(mesh_to_limb(frame, scan), points, Side.LEFT)
    made_right = rectify(right, PLAN, LINER, ScannedOver.SKIN)
    made_left = rectify(left, PLAN, LINER, ScannedOver.SKIN)
    assert np.array_equal(made_right.displacement_mm, made_left.displacement_mm)
    there = mesh_to_patient(made_left.surface, Side.LEFT).vertices
    here = mesh_to_patient(made_right.surface, Side.RIGHT).vertices
    assert np.array_equal(there, here * mirror)
    # and they are not the same shape: medial and lateral differ
    assert not np.allclose(np.sort(here[:, 0]), np.sort(there[:, 0]), atol=1.0)


def test_areas_of_no_depth_without_take_up_or_liner_change_nothing():
    areas = tuple(area.model_copy(update={"depth_mm": 0.0}) for area in PLAN.areas)
    limb = cone_limb(edge_mm=4.5)
    shape = rectify(limb, ShapePlan(areas=areas), LINER, ScannedOver.LINER)
    assert np.array_equal(shape.surface.vertices, limb.surface.vertices)
    assert shape.model_volume_ml == shape.limb_volume_ml
    for girth in shape.girths:
        assert girth.model_mm == girth.limb_mm


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    st.sampled_from([area.name for area in PLAN.areas]),
    st.floats(0.0, 6.0),
    st.floats(0.3, 4.0),
)
def test_deeper_loads_take_volume_and_deeper_reliefs_give_it(prepared, name, depth_mm, more_mm):
    sign = -1.0 if name in LOAD_AREAS else 1.0
    shallow = displacement(prepared, with_depth(PLAN, name, sign * depth_mm))
    deep = displacement(prepared, with_depth(PLAN, name, sign * (depth_mm + more_mm)))
    assert (sign * (deep - shallow) >= -1e-12).all()
    assert sign * (deep - shallow).sum() > 0
    surface, normals = prepared.basis.surface, prepared.basis.normals

    def volume(offset):
        return volume_mm3(Mesh(surface.vertices + offset[:, None] * normals, surface.faces))

    assert sign * (volume(deep) - volume(shallow)) > 0


def test_an_edit_of_depth_alone_is_the_same_as_doing_everything_again():
    limb = cone_limb(edge_mm=4.5)
    prepared = prepare(prepare_areas(limb), PLAN, LINER, ScannedOver.SKIN)
    edited = with_depth(PLAN, AreaName.MEDIAL_TIBIAL_FLARE, -5.5)
    quick, whole = apply(prepared, edited), rectify(limb, edited, LINER, ScannedOver.SKIN)
    assert np.array_equal(quick.surface.vertices, whole.surface.vertices)
    assert np.array_equal(quick.model.vertices, whole.model.vertices)
    assert quick.findings == whole.findings
    assert {area.name: area.depth_mm for area in quick.areas}["medial_tibial_flare"] == -5.5


def test_a_moved_area_prepared_from_before_is_the_same_as_from_nothing():
    basis = prepare_areas(cone_limb(edge_mm=4.5))
    before = prepare(basis, PLAN, LINER, ScannedOver.SKIN)
    first = PLAN.areas[1].model_copy(update={"move_distal_mm": 7.0})
    moved = PLAN.model_copy(update={"areas": (PLAN.areas[0], first, *PLAN.areas[2:])})
    again = prepare(basis, moved, LINER, ScannedOver.SKIN, before)
    anew = prepare(basis, moved, LINER, ScannedOver.SKIN)
    assert np.array_equal(again.weights, anew.weights)
    assert not np.array_equal(again.weights, before.weights)


def test_more_than_a_depth_needs_a_new_preparation(prepared):
    other = PLAN.model_copy(update={"take_up": (TakeUpPoint(level_mm=0, girth_percent=4),)})
    assert geometry_of(other) != prepared.geometry
    with pytest.raises(ValueError, match="more than depths"):
        apply(prepared, other)


def test_the_same_plan_gives_the_same_shape_to_the_last_bit():
    limb = cone_limb(edge_mm=4.5)
    one = rectify(limb, PLAN, LINER, ScannedOver.SKIN)
    two = rectify(limb, PLAN, LINER, ScannedOver.SKIN)
    assert one.surface.vertices.tobytes() == two.surface.vertices.tobytes()
    assert one.model.vertices.tobytes() == two.model.vertices.tobytes()
    assert one.findings == two.findings


def test_the_order_of_areas_does_not_matter():
    limb = cone_limb(edge_mm=4.5)
    turned = PLAN.model_copy(update={"areas": PLAN.areas[::-1]})
    one = rectify(limb, PLAN, LINER, ScannedOver.SKIN)
    two = rectify(limb, turned, LINER, ScannedOver.SKIN)
    assert one.surface.vertices == pytest.approx(two.surface.vertices, abs=1e-9)


def test_displacement_is_the_sum_of_liner_take_up_and_areas():
    limb = cone_limb(edge_mm=4.5)
    area = AreaPlan(name="popliteal", depth_mm=-6)
    take_up = (TakeUpPoint(level_mm=0, girth_percent=4),)
    both = rectify(limb, ShapePlan(areas=(area,), take_up=take_up), LINER, ScannedOver.SKIN)
    without = rectify(limb, ShapePlan(take_up=take_up), LINER, ScannedOver.SKIN)
    expected = without.displacement_mm - 6.0 * both.areas[0].weight
    assert both.displacement_mm == pytest.approx(expected, abs=1e-9)
    assert np.abs(both.liner_mm[limb.surface.vertices[:, 2] > -100]) == pytest.approx(6.0)
