"""Areas: where they fall, how far they reach, and how they share a place."""

from __future__ import annotations

import numpy as np
import pytest

from limbwright.core.errors import InvalidCase, InvalidLandmarks
from limbwright.core.sources import Origin
from limbwright.shape.areas import area_offset, fall_off, place, shared_weights
from limbwright.shape.basis import Heading, moved_along, prepare_areas
from limbwright.shape.plan import LOAD_AREAS, AreaName, AreaPlan, ShapePlan
from limbwright.shape.tables import AREA_TEMPLATES
from shape_limbs import cylinder_limb, limb_of, open_limb

RADIUS = 350 / (2 * np.pi)


@pytest.fixture(scope="module")
def cylinder():
    return prepare_areas(cylinder_limb(edge_mm=2.0))


@pytest.fixture(scope="module")
def real(shared_data):
    return prepare_areas(open_limb(shared_data, "limb_a"))


def plan_of(*areas: AreaPlan) -> ShapePlan:
    return ShapePlan(areas=areas)


def sheet(points, middle):
    """Around and up from a point of the cylinder, on the unrolled sheet."""
    turn = np.arctan2(points[:, 1], points[:, 0]) - np.arctan2(middle[1], middle[0])
    return RADIUS * np.angle(np.exp(1j * turn)), points[:, 2] - middle[2]


# ---- depths, from the template as the trade teaches it (order of magnitude, from memory)


@pytest.mark.parametrize(
    ("name", "depth", "usual"),
    [
        (AreaName.PATELLAR_TENDON, -10, (-15, -6)),
        (AreaName.MEDIAL_TIBIAL_FLARE, -4, (-6, -2)),
        (AreaName.LATERAL_PRETIBIAL, -4, (-6, -2)),
        (AreaName.MEDIAL_PRETIBIAL, -3, (-5, -2)),
        (AreaName.FIBULAR_SHAFT, -3, (-5, -2)),
        (AreaName.POPLITEAL, -8, (-15, -5)),
        (AreaName.FIBULAR_HEAD, 4, (3, 6)),
        (AreaName.TIBIAL_CREST, 3, (2, 5)),
        (AreaName.TIBIAL_TUBERCLE, 3, (2, 4)),
        (AreaName.DISTAL_TIBIA, 5, (3, 8)),
        (AreaName.DISTAL_FIBULA, 4, (3, 6)),
        (AreaName.MEDIAL_HAMSTRING, 4, (3, 8)),
    ],
)
def test_the_template_s_depths_are_those_taught_and_say_that_they_are_from_memory(
    name, depth, usual
):
    template = AREA_TEMPLATES[name]
    assert template.depth_mm.value == depth
    assert template.usual_mm.value == usual
    assert template.depth_mm.source.origin is Origin.MEMORY


def test_every_area_has_a_template_of_its_kind():
    assert set(AREA_TEMPLATES) == set(AreaName)
    for name, template in AREA_TEMPLATES.items():
        low, high = template.usual_mm.value
        assert low <= template.depth_mm.value <= high
        assert (template.depth_mm.value < 0) is (name in LOAD_AREAS)


# ---- footprint


def test_full_depth_covers_the_length_and_width_asked_for(cylinder):
    area = AreaPlan(name="lateral_pretibial", depth_mm=-4, length_mm=50, width_mm=20, blend_mm=12)
    (footprint,) = place(cylinder, plan_of(area))
    around, up = sheet(cylinder.surface.vertices, footprint.centre_mm)
    full = footprint.weight >= 0.999
    assert np.ptp(up[full]) == pytest.approx(50, abs=4)
    assert np.ptp(around[full]) == pytest.approx(20, abs=4)
    reached = footprint.weight > 0.001
    assert np.ptp(up[reached]) == pytest.approx(50 + 24, abs=4)
    assert np.ptp(around[reached]) == pytest.approx(20 + 24, abs=4)
    # a strip with round ends at half depth: 30 mm straight, 32 mm wide
    half_cm2 = cylinder.areas_mm2[footprint.weight >= 0.5].sum() / 100
    assert half_cm2 == pytest.approx((30 * 32 + np.pi * 16**2) / 100, rel=0.03)


def test_an_area_wider_than_long_lies_across_the_limb(cylinder):
    area = AreaPlan(name="popliteal", depth_mm=-8, length_mm=10, width_mm=50, blend_mm=12)
    (footprint,) = place(cylinder, plan_of(area))
    around, up = sheet(cylinder.surface.vertices, footprint.centre_mm)
    full = footprint.weight >= 0.999
    assert np.ptp(around[full]) == pytest.approx(50, abs=4)
    assert np.ptp(up[full]) == pytest.approx(10, abs=4)


def test_the_fall_off_is_smooth_and_never_steeper_than_a_quarter_over_straight():
    share = np.linspace(-0.2, 1.2, 1401)
    weight = fall_off(share)
    slope = np.diff(weight) / np.diff(share)
    assert weight[0] == 1
    assert weight[-1] == 0
    assert slope.min() == pytest.approx(-1.25, abs=1e-6)
    assert np.abs(np.diff(slope)).max() < 0.01  # no kink anywhere
    assert fall_off(np.array([0.5]))[0] == pytest.approx(0.5)


def test_areas_move_along_the_surface_as_far_as_asked(cylinder):
    still = AreaPlan(name="medial_tibial_flare", depth_mm=-4)
    moved = still.model_copy(update={"move_distal_mm": 20.0, "move_around_mm": 30.0})
    before = place(cylinder, plan_of(still))[0].centre_mm
    after = place(cylinder, plan_of(moved))[0].centre_mm
    around, up = sheet(after[None], before)
    assert up[0] == pytest.approx(-20, abs=0.1)
    # anti-clockwise seen from above: from medial (180 degrees) on towards posterior
    assert around[0] == pytest.approx(30, abs=0.3)


def test_walking_over_the_end_goes_straight_on(cylinder):
    start = np.array([[0.0, RADIUS, -150.0]])
    end = moved_along(cylinder, start, Heading.DISTAL, np.pi * RADIUS)
    assert end[0] == pytest.approx([0.0, -RADIUS, -150.0], abs=3.0)


# ---- placement on a real limb


def test_the_tendon_load_lies_between_patella_and_tubercle(real):
    (footprint,) = place(real, plan_of(AreaPlan(name="patellar_tendon", depth_mm=-10)))
    points = real.limb.landmarks
    pole = np.linalg.norm(footprint.centre_mm - points["patella_lower_pole"].point_mm)
    tubercle = np.linalg.norm(footprint.centre_mm - points["tibial_tubercle"].point_mm)
    assert abs(pole - tubercle) < 3
    full = footprint.weight >= 0.999
    assert np.ptp(real.surface.vertices[full, 2]) < 12  # a bar, not a patch


def test_the_strips_beside_the_crest_keep_10_mm_off_it_at_full_depth(real):
    plan = plan_of(
        AreaPlan(name="medial_pretibial", depth_mm=-3),
        AreaPlan(name="lateral_pretibial", depth_mm=-4),
    )
    points = real.limb.landmarks
    crest = np.concatenate(
        [
            np.linspace(points[a].point_mm, points[b].point_mm, 40)
            for a, b in (
                ("tibial_tubercle", "crest_upper"),
                ("crest_upper", "crest_lower"),
                ("crest_lower", "distal_tibia"),
            )
        ]
    )
    medial, lateral = place(real, plan)
    for footprint in (medial, lateral):
        full = real.surface.vertices[footprint.weight >= 0.999]
        gap = np.linalg.norm(full[:, None] - crest[None], axis=2).min(axis=1)
        assert gap.min() >= 10
        assert gap.min() < 20
    assert medial.centre_mm[0] < -10 < 10 < lateral.centre_mm[0]


def test_the_fibular_strip_stops_20_to_25_mm_above_the_distal_fibula_and_below_the_neck(real):
    (footprint,) = place(real, plan_of(AreaPlan(name="fibular_shaft", depth_mm=-3)))
    full = real.surface.vertices[footprint.weight >= 0.999]
    points = real.limb.landmarks
    assert 20 <= full[:, 2].min() - points["distal_fibula"].point_mm[2] <= 27
    assert points["fibular_head"].point_mm[2] - full[:, 2].max() >= 40


def test_the_relief_of_the_fibular_head_covers_head_and_neck(real):
    (footprint,) = place(real, plan_of(AreaPlan(name="fibular_head", depth_mm=4)))
    vertices, head = real.surface.vertices, real.limb.landmarks["fibular_head"].point_mm
    assert footprint.weight[np.argmin(np.linalg.norm(vertices - head, axis=1))] == 1.0
    assert head[2] - vertices[footprint.weight >= 0.999][:, 2].min() >= 22


def test_a_limb_too_short_for_a_strip_gets_none_of_it():
    limb = cylinder_limb()
    points = {name: mark.point_mm for name, mark in limb.landmarks.items()}
    points["distal_fibula"] = points["fibular_head"] + [0.0, 0.0, -60.0]
    basis = prepare_areas(limb_of(limb.surface, points))
    (footprint,) = place(basis, plan_of(AreaPlan(name="fibular_shaft", depth_mm=-3)))
    assert footprint.weight.max() == 0


# ---- loads and reliefs that meet


def test_a_relief_wins_over_a_load_where_both_claim_the_place(cylinder):
    plan = plan_of(
        AreaPlan(name="patellar_tendon", depth_mm=-10, blend_mm=40),
        AreaPlan(name="tibial_tubercle", depth_mm=3),
    )
    footprints = place(cylinder, plan)
    load, relief = shared_weights(footprints)
    assert footprints[0].weight[relief == 1].max() > 0.3  # the load does claim it
    assert load[relief == 1].max() == 0
    assert (load <= np.minimum(footprints[0].weight, 1 - relief) + 1e-12).all()
    apart = relief == 0
    assert load[apart] == pytest.approx(footprints[0].weight[apart])
    offset = area_offset(np.stack([load, relief]), np.array([-10.0, 3.0]))
    assert (offset[relief == 1] > 0).all()


def test_a_relief_guards_its_place_even_at_no_depth(cylinder):
    plan = plan_of(
        AreaPlan(name="patellar_tendon", depth_mm=-10, blend_mm=40),
        AreaPlan(name="tibial_tubercle", depth_mm=0),
    )
    load, relief = shared_weights(place(cylinder, plan))
    offset = area_offset(np.stack([load, relief]), np.array([-10.0, 0.0]))
    assert offset[relief == 1] == pytest.approx(0)
    assert offset.min() == pytest.approx(-10)


def test_loads_that_meet_do_not_add_up():
    weights = np.array([[1.0, 0.5, 0.0], [1.0, 0.5, 1.0]])
    offset = area_offset(weights, np.array([-4.0, -4.0]))
    assert offset[2] == -4
    assert pytest.approx(offset[0]) == -4 * 2**0.25
    assert offset[0] > -8


# ---- refusals


def test_depths_against_their_kind_and_doubles_are_all_refused_with_their_paths(cylinder):
    plan = plan_of(
        AreaPlan(name="fibular_head", depth_mm=-3),
        AreaPlan(name="popliteal", depth_mm=8),
        AreaPlan(name="popliteal", depth_mm=-8),
    )
    with pytest.raises(InvalidCase) as refusal:
        place(cylinder, plan)
    assert [path for path, _ in refusal.value.problems] == [
        "shape.areas[0].depth_mm",
        "shape.areas[1].depth_mm",
        "shape.areas[2].name",
    ]
    assert "a relief area spares: give 0 or more, not -3 mm" in str(refusal.value)


def test_an_area_without_its_landmark_is_refused_by_name():
    limb = cylinder_limb()
    points = {name: mark.point_mm for name, mark in limb.landmarks.items()}
    del points["popliteal_centre"]
    basis = prepare_areas(limb_of(limb.surface, points))
    with pytest.raises(
        InvalidLandmarks, match="popliteal is placed by popliteal_centre"
    ) as missing:
        place(basis, plan_of(AreaPlan(name="popliteal", depth_mm=-8)))
    assert missing.value.where == "shape.areas[0].name"


def test_areas_that_did_not_move_are_taken_from_before(cylinder):
    first = plan_of(
        AreaPlan(name="fibular_head", depth_mm=4), AreaPlan(name="tibial_crest", depth_mm=3)
    )
    before = place(cylinder, first)
    second = plan_of(
        AreaPlan(name="fibular_head", depth_mm=6),
        AreaPlan(name="tibial_crest", depth_mm=3, width_mm=9),
    )
    after = place(cylinder, second, before)
    assert after[0] is before[0]
    assert after[1] is not before[1]
