"""Default plans and what the shape stage says about a plan."""

from __future__ import annotations

import numpy as np
import pytest

from limbwright.assess.plan import Liner
from limbwright.capture.plan import ScannedOver
from limbwright.core.findings import Finding, Severity
from limbwright.core.remeshing import remesh_uniform
from limbwright.core.sources import Basis, Origin
from limbwright.shape.defaults import ShapeStyle, default_shape_plan, usual_take_up
from limbwright.shape.findings import slope_deg
from limbwright.shape.plan import AreaName, AreaPlan, ShapePlan, TakeUpPoint, TrimPlan
from limbwright.shape.rectify import rectify
from shape_limbs import cylinder_limb, limb_of

BARE = Liner(thickness_mm=0, cap_thickness_mm=0)


def findings(plan: ShapePlan, liner: Liner = BARE, limb=None) -> dict[str, list[Finding]]:
    shape = rectify(limb or cylinder_limb(edge_mm=4.5), plan, liner, ScannedOver.SKIN)
    found: dict[str, list[Finding]] = {}
    for finding in shape.findings:
        assert finding.stage == "shape"
        found.setdefault(finding.code, []).append(finding)
    return found


@pytest.mark.parametrize(("thickness", "low", "high"), [(3, 3, 5), (6, 5, 7), (9, 7, 9)])
def test_usual_take_up_is_that_quoted_by_jasken_and_hall_2018(thickness, low, high):
    assert usual_take_up(thickness) == (low, high)
    plan = default_shape_plan(Liner(thickness_mm=thickness), ShapeStyle.SURFACE_BEARING)
    assert plan.take_up[0].girth_percent == low


def test_a_tendon_bearing_plan_takes_the_template_s_depths():
    plan = default_shape_plan(Liner(), ShapeStyle.TENDON_BEARING)
    depths = {area.name: area.depth_mm for area in plan.areas}
    assert depths[AreaName.PATELLAR_TENDON] == -10
    assert depths[AreaName.POPLITEAL] == -8
    assert depths[AreaName.FIBULAR_HEAD] == 4
    assert len(depths) == len(AreaName) - 1


def test_a_surface_bearing_plan_is_shallow_answers_the_flare_and_is_the_default():
    plan = default_shape_plan(Liner())
    depths = {area.name: area.depth_mm for area in plan.areas}
    assert AreaName.PATELLAR_TENDON not in depths
    assert depths[AreaName.MEDIAL_TIBIAL_FLARE] == -2
    assert depths[AreaName.LATERAL_PRETIBIAL] == -2
    assert depths[AreaName.FIBULAR_HEAD] == 4


def test_volume_change_is_told_beside_the_take_up_in_girth():
    plan = ShapePlan(take_up=(TakeUpPoint(level_mm=0, girth_percent=5),))
    (volume,) = findings(plan)["volume-change"]
    # walls lose 9.75 %, the dome less
    assert -9.75 < volume.value < -8.0
    assert "5 % of girth alone takes 9.8 %" in volume.text
    assert volume.source.origin is Origin.COMPUTED


def test_take_up_beyond_what_is_usual_for_the_liner_is_noted():
    plan = ShapePlan(take_up=(TakeUpPoint(level_mm=0, girth_percent=8),))
    (note,) = findings(plan, Liner(thickness_mm=3))["take-up-not-usual"]
    assert (note.value, note.limit) == (8, 5)
    assert "may mean volume" in note.text
    usual = ShapePlan(take_up=(TakeUpPoint(level_mm=0, girth_percent=5),))
    assert "take-up-not-usual" not in findings(usual, Liner(thickness_mm=3))


def test_a_depth_outside_the_usual_is_a_note_from_memory_and_never_stops():
    plan = ShapePlan(areas=(AreaPlan(name="popliteal", depth_mm=-18, blend_mm=60),))
    (note,) = findings(plan)["depth-not-usual"]
    assert note.severity is Severity.NOTE
    assert (note.value, note.limit) == (-18, -15)
    assert note.source.origin is Origin.MEMORY
    assert "from memory" in note.text


def test_an_area_on_a_guessed_landmark_says_so():
    limb = cylinder_limb(edge_mm=4.5)
    points = {name: mark.point_mm for name, mark in limb.landmarks.items()}
    guessed = limb_of(limb.surface, points, guessed=frozenset({"fibular_head"}))
    plan = ShapePlan(
        areas=(
            AreaPlan(name="fibular_head", depth_mm=4),
            AreaPlan(name="tibial_crest", depth_mm=3),
        )
    )
    found = findings(plan, limb=guessed)["area-on-guessed-landmark"]
    assert [finding.where for finding in found] == ["fibular_head"]
    assert found[0].basis is Basis.GUESSED


def test_a_flare_without_a_lateral_answer_is_warned_of():
    flare = AreaPlan(name="medial_tibial_flare", depth_mm=-4)
    assert "flare-unanswered" in findings(ShapePlan(areas=(flare,)))
    answer = AreaPlan(name="fibular_shaft", depth_mm=-3)
    assert "flare-unanswered" not in findings(ShapePlan(areas=(flare, answer)))
    idle = AreaPlan(name="fibular_shaft", depth_mm=0)
    assert "flare-unanswered" in findings(ShapePlan(areas=(flare, idle)))


@pytest.mark.parametrize(("blend", "warned"), [(12, True), (24, False)])
def test_a_slope_sharper_than_30_degrees_is_warned_of(blend, warned):
    # 8 mm over the blend at 1.25: 39.8 and 22.6 degrees
    plan = ShapePlan(areas=(AreaPlan(name="popliteal", depth_mm=-8, blend_mm=blend),))
    limb = cylinder_limb()
    points = {name: mark.point_mm for name, mark in limb.landmarks.items()}
    even = limb_of(remesh_uniform(limb.surface, 3.2), points)
    found = findings(plan, limb=even).get("slope-too-sharp", [])
    assert bool(found) is warned
    if warned:
        assert found[0].value == pytest.approx(39.8, abs=1.5)
        assert found[0].where == "popliteal"


def test_slope_of_a_plane_is_its_angle():
    surface = cylinder_limb().surface
    depth = np.tan(np.radians(20.0)) * surface.vertices[:, 2]
    wall = (surface.vertices[surface.faces][:, :, 2] > -149).all(axis=1)
    assert slope_deg(surface, depth)[wall] == pytest.approx(20.0, abs=1e-6)


def test_an_area_above_the_trim_line_is_warned_of():
    trim = TrimPlan(anterior_mm=-20, medial_mm=0, lateral_mm=0, posterior_mm=-20)
    plan = ShapePlan(areas=(AreaPlan(name="patellar_tendon", depth_mm=-10),), trim=trim)
    (warning,) = findings(plan)["area-cut-away"]
    assert warning.where == "patellar_tendon"
    assert warning.value < 20


def test_a_high_posterior_brim_is_warned_of():
    (warning,) = findings(ShapePlan(trim=TrimPlan(posterior_mm=15)))["posterior-brim-high"]
    assert warning.value == pytest.approx(15, abs=6)
    assert "posterior-brim-high" not in findings(ShapePlan())


def test_a_relief_that_take_up_uses_up_is_noted_with_the_depth_that_would_do():
    plan = ShapePlan(
        areas=(AreaPlan(name="tibial_crest", depth_mm=2),),
        take_up=(TakeUpPoint(level_mm=0, girth_percent=8),),
    )
    (note,) = findings(plan)["relief-used-up"]
    # 8 % of 350 mm is 4.46 mm
    assert note.value == pytest.approx(2 - 4.46, abs=0.1)
    assert "4.5 mm of relief would leave it level" in note.remedy
    assert note.entry == "shape.areas.0.depth_mm"


def test_an_area_without_room_is_left_out_and_said_so():
    limb = cylinder_limb()
    points = {name: mark.point_mm for name, mark in limb.landmarks.items()}
    points["distal_fibula"] = points["fibular_head"] + [0.0, 0.0, -60.0]
    plan = ShapePlan(areas=(AreaPlan(name="fibular_shaft", depth_mm=-3),))
    found = findings(plan, limb=limb_of(limb.surface, points))
    assert [finding.where for finding in found["no-room-for-area"]] == ["fibular_shaft"]
