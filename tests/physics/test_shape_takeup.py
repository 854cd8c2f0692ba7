"""Take-up against closed forms: percent of girth, radial motion, section area, bodies of turning.

Figures: p % of girth = p % of radius = 1 - (1 - p)^2 of area, by arithmetic.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from limbwright.assess.plan import Liner
from limbwright.capture.plan import ScannedOver
from limbwright.core.slicing import slice_moments
from limbwright.shape.basis import prepare_areas
from limbwright.shape.plan import ShapePlan, TakeUpPoint, TrimPlan
from limbwright.shape.rectify import rectify
from limbwright.shape.takeup import inward_mm, section_loss_percent, take_up_percent
from shape_limbs import cone_limb, cylinder_limb, open_limb

BARE = Liner(thickness_mm=0, cap_thickness_mm=0)
FLAT_TRIM = TrimPlan(anterior_mm=20, medial_mm=20, lateral_mm=20, posterior_mm=20)


def plan_of(*points: tuple[float, float]) -> ShapePlan:
    take_up = tuple(TakeUpPoint(level_mm=level, girth_percent=p) for level, p in points)
    return ShapePlan(take_up=take_up, trim=FLAT_TRIM)


@pytest.mark.parametrize(
    ("percent", "area_percent"), [(3, 5.91), (4, 7.84), (5, 9.75), (7, 13.51), (9, 17.19)]
)
def test_percent_of_girth_takes_nearly_twice_as_much_section(percent, area_percent):
    assert section_loss_percent(percent) == pytest.approx(area_percent, abs=0.005)


@pytest.mark.parametrize(
    ("girth", "percent", "radial"),
    [
        (350, 3, 1.67), (300, 3, 1.43), (350, 5, 2.79), (300, 5, 2.39),
        (350, 7, 3.90), (300, 7, 3.34), (350, 9, 5.01), (300, 9, 4.30),
    ],
)  # fmt: skip
def test_a_girth_falls_by_moving_the_wall_this_far(girth, percent, radial):
    assert inward_mm(np.array([girth]), np.array([percent]))[0] == pytest.approx(radial, abs=0.005)


def test_five_percent_of_a_350_mm_cylinder_is_2_79_mm_and_9_75_percent_of_area():
    limb = cylinder_limb()
    shape = rectify(limb, plan_of((0, 5)), BARE, ScannedOver.SKIN)
    wall = np.abs(limb.surface.vertices[:, 2] + 50) < 60
    # a fine prism: its girth, and so the motion, is a little under the circle's
    assert shape.displacement_mm[wall] == pytest.approx(-2.785, abs=0.004)
    levels = np.array([-100.0, -50.0, 0.0])
    before = slice_moments(limb.surface, levels).area_mm2
    after = slice_moments(shape.surface, levels).area_mm2
    assert 1 - after / before == pytest.approx(0.0975, abs=1e-4)
    assert all(
        girth.model_mm == pytest.approx(0.95 * girth.limb_mm, abs=0.1) for girth in shape.girths
    )


def test_a_cone_loses_the_percent_asked_for_at_each_level():
    shape = rectify(
        cone_limb(taper=0.15), plan_of((0, 6), (60, 4), (120, 2)), BARE, ScannedOver.SKIN
    )
    asked = {girth.level_mm: girth.take_up_percent for girth in shape.girths}
    assert asked[0] == 6
    assert asked[60] == 4
    assert asked[120] == 2
    assert asked[140] == 2
    for girth in shape.girths:
        assert girth.model_mm == pytest.approx(
            girth.limb_mm * (1 - girth.take_up_percent / 100), abs=0.1
        )


def test_on_a_real_limb_every_girth_falls_by_what_was_asked(shared_data):
    limb = open_limb(shared_data, "limb_a")
    shape = rectify(limb, plan_of((0, 5), (100, 3)), BARE, ScannedOver.SKIN)
    for girth in shape.girths:
        if girth.level_mm <= 120:  # below that the section is the end's cap
            target = girth.limb_mm * (1 - girth.take_up_percent / 100)
            assert girth.model_mm == pytest.approx(target, abs=0.15)


def test_the_limb_s_girths_are_those_that_were_measured_on_its_skin():
    limb = cylinder_limb()
    skin = tuple(
        replace(level, perimeter_mm=level.perimeter_mm + 1.0) for level in limb.measures.levels
    )
    scanned = replace(limb, measures=replace(limb.measures, levels=skin))
    shape = rectify(scanned, plan_of((0, 5)), BARE, ScannedOver.SKIN)
    measured = {level.level_mm: level.perimeter_mm for level in skin}
    for girth in shape.girths:
        assert girth.limb_mm == measured[girth.level_mm]
        assert girth.lined_mm == girth.limb_mm
        assert girth.model_mm == pytest.approx(0.95 * 350.0, abs=0.3)


def test_take_up_is_counted_from_the_girth_with_the_liner_on():
    liner = Liner(thickness_mm=6, cap_thickness_mm=6)
    shape = rectify(cylinder_limb(), plan_of((0, 5)), liner, ScannedOver.SKIN)
    girth = next(girth for girth in shape.girths if girth.level_mm == 60)
    assert girth.lined_mm == pytest.approx(350 + 2 * np.pi * 6, abs=0.3)
    assert girth.model_mm == pytest.approx(0.95 * girth.lined_mm, abs=0.05)


def test_the_limb_end_keeps_its_place_under_take_up():
    limb = cylinder_limb()
    shape = rectify(limb, plan_of((0, 8)), BARE, ScannedOver.SKIN)
    end = int(np.argmin(limb.surface.vertices[:, 2]))
    assert shape.displacement_mm[end] == pytest.approx(0.0, abs=0.02)
    assert shape.surface.vertices[:, 2].min() == pytest.approx(
        limb.surface.vertices[:, 2].min(), abs=0.02
    )
    # and between wall and end the offset only dies away
    order = np.argsort(limb.surface.vertices[:, 2])
    below = order[limb.surface.vertices[order, 2] < -160]
    depth = -shape.displacement_mm[below]
    assert (np.diff(depth) > -0.05).all()


def test_take_up_between_points_is_monotone_and_beyond_them_constant():
    points = plan_of((0, 6), (40, 6), (100, 1)).take_up
    levels = np.linspace(-60, 200, 300)
    percent = take_up_percent(points, levels)
    assert (np.diff(percent) <= 1e-12).all()
    assert percent[levels <= 0] == pytest.approx(6)
    assert percent[levels >= 100] == pytest.approx(1)


def test_room_for_the_liner_is_its_thickness_and_under_the_cap_the_cap_s():
    limb = cylinder_limb()
    liner = Liner(thickness_mm=6, cap_thickness_mm=10, cap_diameter_mm=50)
    shape = rectify(limb, ShapePlan(trim=FLAT_TRIM), liner, ScannedOver.SKIN)
    u = limb.surface.vertices[:, 2]
    assert shape.liner_mm[u > -150] == pytest.approx(6.0)
    # arc from the pole to 25 mm, on a hemisphere of 55.7 mm
    pole = u.min() + 55.7 * (1 - np.cos(24.0 / 55.7))
    assert shape.liner_mm[u < pole] == pytest.approx(10.0)
    radius = np.hypot(*shape.surface.vertices[u > -140, :2].T)
    assert radius == pytest.approx(55.70 + 6.0, abs=0.01)


def test_a_limb_scanned_over_its_liner_gets_no_room_for_it_again():
    limb = cylinder_limb()
    shape = rectify(limb, ShapePlan(trim=FLAT_TRIM), Liner(), ScannedOver.LINER)
    assert np.array_equal(shape.surface.vertices, limb.surface.vertices)
    assert shape.model_volume_ml == shape.limb_volume_ml == shape.lined_volume_ml


def test_volume_below_the_trim_line_is_the_cylinder_s_and_its_dome_s():
    shape = rectify(cylinder_limb(), ShapePlan(trim=FLAT_TRIM), BARE, ScannedOver.SKIN)
    radius = 350 / (2 * np.pi)
    true_ml = (np.pi * radius**2 * 170 + 2 / 3 * np.pi * radius**3) / 1000
    assert shape.limb_volume_ml == pytest.approx(true_ml, rel=2e-3)


def test_evened_normals_stay_upright_on_a_cone():
    basis = prepare_areas(cone_limb(taper=0.15))
    wall = np.abs(basis.surface.vertices[:, 2] + 40) < 60
    assert basis.level_share[wall] == pytest.approx(1 / np.hypot(1, 0.15), abs=1e-3)
