"""Trim line and brim: heights kept, one clean edge, and refusals that say what is possible."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from limbwright.assess.plan import Liner
from limbwright.capture.plan import ScannedOver
from limbwright.core.errors import DesignRefused, SelfIntersection
from limbwright.core.holes import boundary_loops
from limbwright.core.mesh import face_areas
from limbwright.core.topology import manifold_errors
from limbwright.shape.basis import prepare_areas
from limbwright.shape.defaults import ShapeStyle, default_shape_plan
from limbwright.shape.plan import AreaPlan, BrimPlan, ShapePlan, TrimPlan, TrimPoint
from limbwright.shape.rectify import rectify
from limbwright.shape.trim import angle_of, trim_curve
from shape_limbs import TOP_MM, cylinder_limb, open_limb

LINER = Liner(thickness_mm=6)
BARE = Liner(thickness_mm=0, cap_thickness_mm=0)


@pytest.fixture(scope="module")
def cylinder():
    return prepare_areas(cylinder_limb())


def test_the_line_passes_through_its_controls_and_stays_between_them(cylinder):
    plan = TrimPlan(
        anterior_mm=25,
        medial_mm=32,
        lateral_mm=28,
        posterior_mm=-12,
        extra=(TrimPoint(angle_deg=-45, height_mm=5), TrimPoint(angle_deg=225, height_mm=8)),
    )
    curve = trim_curve(cylinder, plan)
    for angle, height in ((90, 25), (180, 32), (0, 28), (270, -12), (315, 5), (225, 8)):
        assert curve.height_mm(np.radians([angle]))[0] == pytest.approx(height)
    around = np.radians(np.linspace(0, 360, 721))
    heights = curve.height_mm(around)
    assert heights.max() <= 32 + 1e-9
    assert heights.min() >= -12 - 1e-9
    assert heights[0] == pytest.approx(heights[-1])
    assert curve.slope_mm(np.array([0.0]))[0] == pytest.approx(
        curve.slope_mm(np.array([2 * np.pi - 1e-9]))[0], abs=1e-4
    )


@pytest.mark.parametrize("style", ShapeStyle)
@pytest.mark.parametrize("name", ["limb_a", "limb_b"])
def test_the_cut_keeps_the_heights_and_leaves_one_edge_without_slivers(shared_data, name, style):
    plan = default_shape_plan(LINER, style)
    limb = open_limb(shared_data, name)
    shape = rectify(limb, plan, LINER, ScannedOver.SKIN)
    trim = plan.trim
    wanted = {
        "anterior": trim.anterior_mm,
        "medial": trim.medial_mm,
        "lateral": trim.lateral_mm,
        "posterior": trim.posterior_mm,
    }
    for control, height in wanted.items():
        assert shape.trim.controls_mm[control][2] == pytest.approx(height, abs=0.5)
    curve = trim_curve(prepare_areas(limb), trim)
    line = shape.trim.points_mm
    assert np.abs(line[:, 2] - curve.height_mm(angle_of(line))).max() < 0.5
    # an independent library's opinion of the mesh
    other = trimesh.Trimesh(shape.model.vertices, shape.model.faces, process=False)
    assert other.is_winding_consistent
    assert other.body_count == 1
    assert other.euler_number == 1  # a disc: one edge, no handle
    errors = manifold_errors(shape.model)
    assert errors.is_manifold
    assert len(boundary_loops(shape.model)) == 1
    assert face_areas(shape.model).min() > 0.2
    sides = np.linalg.norm(np.diff(line, axis=0, append=line[:1]), axis=1)
    assert sides.min() > 0.3


def test_the_brim_rolls_outward_by_the_flare_and_the_wall_below_stays():
    brim = BrimPlan(flare_mm=6, height_mm=12)
    trim = TrimPlan(anterior_mm=20, medial_mm=20, lateral_mm=20, posterior_mm=20)
    shape = rectify(cylinder_limb(), ShapePlan(trim=trim, brim=brim), BARE, ScannedOver.SKIN)
    radius = np.hypot(*shape.model.vertices[:, :2].T)
    height = shape.model.vertices[:, 2]
    edge = np.hypot(*shape.trim.points_mm[:, :2].T)
    assert edge == pytest.approx(350 / (2 * np.pi) + 6, abs=0.4)
    assert radius[(height < 7.9) & (height > -140)] == pytest.approx(350 / (2 * np.pi), abs=0.01)
    # half way up, a quarter of the flare
    middle = np.abs(height - 14) < 1.5
    assert radius[middle].mean() - 350 / (2 * np.pi) == pytest.approx(6 * 0.25, abs=0.4)


def test_the_flare_told_is_what_parts_the_model_from_the_uncut_surface():
    limb = cylinder_limb()
    level = TrimPlan(anterior_mm=20, medial_mm=20, lateral_mm=20, posterior_mm=20)
    plan = ShapePlan(trim=level, brim=BrimPlan(flare_mm=6, height_mm=12))
    shape = rectify(limb, plan, LINER, ScannedOver.SKIN)
    inside = shape.surface.vertices + shape.flare_mm[:, None] * prepare_areas(limb).normals
    # corners within an edge of the cut are set onto the line
    covered = inside[:, 2] < 20 - 4
    model = trimesh.Trimesh(shape.model.vertices, shape.model.faces, process=False)
    away = trimesh.proximity.closest_point(model, inside[covered])[1]
    assert away.max() < 1e-6
    assert shape.flare_mm[covered].max() > 1.5


def test_no_flare_leaves_the_wall_straight():
    brim = BrimPlan(flare_mm=0)
    shape = rectify(cylinder_limb(), ShapePlan(brim=brim), BARE, ScannedOver.SKIN)
    edge = np.hypot(*shape.trim.points_mm[:, :2].T)
    assert edge == pytest.approx(350 / (2 * np.pi), abs=0.05)


def test_vertices_below_the_line_are_those_the_socket_covers():
    limb = cylinder_limb()
    shape = rectify(limb, ShapePlan(), BARE, ScannedOver.SKIN)
    curve = trim_curve(prepare_areas(limb), TrimPlan())
    below = curve.below_mm(shape.surface.vertices)
    assert shape.below_trim[below > 1.0].all()
    assert not shape.below_trim[below < -1.0].any()


def test_a_line_above_the_scan_is_refused_with_what_is_possible(cylinder):
    with pytest.raises(DesignRefused) as refusal:
        trim_curve(cylinder, TrimPlan(lateral_mm=90, medial_mm=30))
    error = refusal.value
    assert error.where == "shape.trim.lateral_mm"
    assert "leaves the scan lateral" in error.message
    possible = error.fields["possible_mm"]
    assert possible == pytest.approx(TOP_MM - 4, abs=3.0)
    trim_curve(cylinder, TrimPlan(lateral_mm=possible, medial_mm=30))
    with pytest.raises(DesignRefused):
        trim_curve(cylinder, TrimPlan(lateral_mm=possible + 1, medial_mm=30))


def test_a_line_below_the_limb_s_end_is_refused_with_what_is_possible():
    limb = cylinder_limb(radius_mm=12.0)  # ends at -162
    basis = prepare_areas(limb)
    low = TrimPlan(anterior_mm=-145, medial_mm=-145, lateral_mm=-145, posterior_mm=-150)
    with pytest.raises(DesignRefused) as refusal:
        trim_curve(basis, low)
    assert refusal.value.where == "shape.trim.posterior_mm"
    assert refusal.value.fields["possible_mm"] == pytest.approx(-142, abs=0.1)
    assert "runs off the limb posterior" in refusal.value.message


@pytest.mark.parametrize(("angle", "height"), [(92, -100), (90, -20)])
def test_a_line_that_doubles_back_is_refused_naming_both_controls(cylinder, angle, height):
    plan = TrimPlan(extra=(TrimPoint(angle_deg=angle, height_mm=height),))
    with pytest.raises(SelfIntersection) as refusal:
        trim_curve(cylinder, plan)
    assert set(refusal.value.fields["controls"]) == {"anterior", "extra[0]"}
    assert "double back on itself anterior" in refusal.value.message


def test_the_same_control_twice_counts_once(cylinder):
    plan = TrimPlan(extra=(TrimPoint(angle_deg=180, height_mm=30.0),))
    assert len(trim_curve(cylinder, plan).controls) == 4


def test_a_surface_that_folds_is_refused_with_its_place():
    # 20 mm pressed into a limb of 18 mm radius
    deep = AreaPlan(name="popliteal", depth_mm=-20, width_mm=40, blend_mm=10, move_distal_mm=30)
    with pytest.raises(SelfIntersection) as refusal:
        rectify(cylinder_limb(18.0), ShapePlan(areas=(deep,)), BARE, ScannedOver.SKIN)
    assert "posterior" in refusal.value.message
    assert "below the mid-patellar tendon" in refusal.value.message
    assert refusal.value.where == "shape.areas"
