"""Reading a field by area: 1 cm² patches, partition, engines by name, tables."""

from __future__ import annotations

import numpy as np
import pytest

from interface_bodies import (
    area_at,
    capped,
    limb_of,
    load,
    prepared_bed,
    revolved,
    socket_of,
)
from limbwright.core.edges import edge_vertices
from limbwright.core.errors import BadInput, DesignRefused, NotConverged
from limbwright.core.mesh import Mesh
from limbwright.core.sources import Confidence
from limbwright.prove.interface.engine import ENGINES, attempt_all, engine, run_all
from limbwright.prove.interface.patches import patch_operator
from limbwright.prove.interface.reading import (
    DISTAL_END,
    REST_OF_WALL,
    border_of,
    divide,
    peak_kpa,
    read_zones,
    skin_of,
)
from limbwright.prove.interface.spring_bed import SPRING_BED
from limbwright.prove.plan import ProvePlan, TissuePlan
from limbwright.prove.tables import PAIN_THRESHOLD_KPA, WALKING_LIMIT_KPA
from limbwright.shape.plan import AreaName


def tube(around: int, rings: int) -> Mesh:
    return revolved(lambda u: np.full_like(u, 50.0), np.linspace(-60, 60, rings), around)


@pytest.mark.parametrize(("around", "rings"), [(98, 38), (150, 57), (200, 77)])
def test_the_peak_over_1_cm2_does_not_depend_on_the_mesh(around: int, rings: int) -> None:
    # A bell of pressure p0 exp(-s^2 / 2 w^2) has the mean p0 2 w^2/R^2 (1 - exp(-R^2/2 w^2)) over
    # the disc of radius R about its top; R^2 = 100 mm^2 / pi. s is taken on the unrolled tube.
    skin = skin_of(tube(around, rings))
    angle = np.arctan2(skin.points_mm[:, 1], skin.points_mm[:, 0])
    width = 7.0
    away2 = (50.0 * angle) ** 2 + skin.points_mm[:, 2] ** 2
    field = np.exp(-away2 / (2 * width**2))
    everywhere = np.ones(len(field), bool)
    peak = (patch_operator(skin.neighbours, skin.areas_mm2, everywhere) @ field).max()
    disc2 = 100.0 / np.pi
    exact = 2 * width**2 / disc2 * (1 - np.exp(-disc2 / (2 * width**2)))
    assert peak == pytest.approx(exact, rel=0.025)


def test_a_spike_at_one_vertex_counts_with_its_share_of_1_cm2() -> None:
    skin = skin_of(tube(150, 57))
    middle = int(np.argmin(np.abs(skin.points_mm[:, 2]) + np.abs(skin.points_mm[:, 1])))
    field = np.zeros(len(skin.points_mm))
    field[middle] = 1.0
    everywhere = np.ones(len(field), bool)
    peak = (patch_operator(skin.neighbours, skin.areas_mm2, everywhere) @ field).max()
    assert peak == pytest.approx(skin.areas_mm2[middle] / 100.0, rel=1e-9)


def test_patches_average_and_stay_inside_the_socket() -> None:
    skin = skin_of(tube(98, 38))
    covered = skin.points_mm[:, 2] < 10.0
    operator = patch_operator(skin.neighbours, skin.areas_mm2, covered)
    sums = np.asarray(operator.sum(axis=1)).ravel()
    np.testing.assert_allclose(sums[covered], 1.0)
    assert not sums[~covered].any()
    outside = np.where(covered, 0.0, 1.0)
    assert not (operator @ outside).any()


@pytest.mark.parametrize(("around", "rings"), [(98, 38), (131, 44), (200, 77)])
def test_a_field_that_is_linear_is_read_exactly_on_the_outline_of_any_mesh(around, rings) -> None:
    surface = tube(around, rings)
    height = surface.vertices[:, 2]
    outline = border_of(edge_vertices(surface.faces), height, 3.3)
    assert len(outline.share) >= around
    np.testing.assert_allclose(outline.of(7.0 - 2.0 * height), 7.0 - 2.0 * 3.3)


def test_an_outline_ends_where_the_socket_does_and_where_nothing_is_known() -> None:
    surface = tube(98, 38)
    height, edges = surface.vertices[:, 2], edge_vertices(surface.faces)
    half = surface.vertices[:, 0] > 0.0
    whole = border_of(edges, height, 3.3)
    assert half[whole.under(half).ends].all()
    assert 0 < len(whole.under(half).share) < len(whole.share)
    unknown = np.where(height < 3.3, -np.inf, height)
    assert len(border_of(edges, unknown, 3.3).share) == 0


def test_the_peak_beside_a_relief_does_not_hang_on_where_the_vertices_lie() -> None:
    # nothing within 14 mm of the middle, then 20 kPa more for every mm: the outline stands at 14 mm
    limb = limb_of(capped(tube(98, 38), 98), 20.0)
    peaks, bare = [], []
    for around_mm, along_mm in np.random.default_rng(0).uniform(-1.6, 1.6, (12, 2)):
        turn = around_mm / 50.0
        middle = np.array([50.0 * np.cos(turn), 50.0 * np.sin(turn), along_mm])
        relief = area_at(limb, AreaName.FIBULAR_HEAD, middle, 4.0, 14.0)
        zones = divide(skin_of(limb.surface), socket_of(limb, 0.0, areas=(relief,)))
        away = np.linalg.norm(limb.surface.vertices - middle, axis=1)
        patches = zones.patch_mean @ (0.02 * np.clip(away - 14.0, 0.0, 20.0))
        (zone,) = (zone for zone in zones.zones if zone.name == "fibular_head")
        peaks.append(peak_kpa(zone.inside, zone.border, patches))
        bare.append(1000.0 * patches[zone.inside].max())
    assert np.std(np.log(peaks)) < 0.04
    assert np.std(np.log(peaks)) < 0.5 * np.std(np.log(bare))
    # about a straight outline half of the 1 cm² disc, of radius R, bears 20 kPa times 4R/(3 pi):
    # the greatest of many discrete patches lies on the high side of it
    exact = 0.5 * 20.0 * np.sqrt(100.0 / np.pi) * 4.0 / (3.0 * np.pi)
    assert exact < np.mean(peaks) < 1.5 * exact


def test_every_covered_vertex_has_one_owner_and_overlapping_areas_share_out_the_force() -> None:
    limb = limb_of(capped(tube(98, 38), 98), 20.0)
    near = area_at(limb, AreaName.MEDIAL_TIBIAL_FLARE, np.array([-50.0, 0, 0]), -4.0, 18.0)
    over = area_at(limb, AreaName.MEDIAL_PRETIBIAL, np.array([-48.0, 14, 0]), -4.0, 18.0)
    covered = limb.surface.vertices[:, 2] < 40.0
    shape = socket_of(limb, 1.0, areas=(near, over), below_trim=covered)
    zones = divide(skin_of(limb.surface), shape)
    owned = np.concatenate([zone.own for zone in zones.zones])
    assert sorted(owned) == sorted(np.flatnonzero(covered))
    both = set(zones.zones[0].inside) & set(zones.zones[1].inside)
    assert both
    assert not set(zones.zones[0].own) & set(zones.zones[1].own)
    rng = np.random.default_rng(2)
    pressure = np.where(covered, rng.uniform(0, 0.1, len(covered)), 0.0)
    read = read_zones(zones, pressure, np.zeros((len(covered), 3)))
    whole = -(zones.skin.areas_mm2 * pressure) @ zones.skin.normals
    np.testing.assert_allclose(np.sum([area.force_n for area in read], axis=0), whole, atol=1e-9)


def test_the_distal_end_is_what_faces_down_in_the_distal_half() -> None:
    limb = limb_of(capped(tube(98, 38), 98), 20.0)
    zones = divide(skin_of(limb.surface), socket_of(limb, 1.0))
    assert [zone.name for zone in zones.zones] == [REST_OF_WALL, DISTAL_END]
    end = zones.skin.points_mm[zones.zones[1].own]
    assert len(end) >= 1
    assert (end[:, 2] < -50.0).all()


def test_every_engine_that_the_case_may_name_can_be_had() -> None:
    for name in ENGINES:
        assert engine(name).name == name
    assert ProvePlan().engine in ENGINES


def test_an_unknown_engine_is_refused_with_those_that_exist() -> None:
    known = "fe, live, spring_bed"
    with pytest.raises(BadInput, match=f'no interface engine "magic"; choose one of: {known}'):
        engine("magic")


def test_a_trim_line_that_leaves_no_socket_is_refused() -> None:
    limb = limb_of(tube(40, 10), 20.0)
    prepared = prepared_bed(limb)
    nothing = np.zeros(len(limb.surface.vertices), bool)
    with pytest.raises(DesignRefused, match="leaves no socket"):
        SPRING_BED.with_socket(prepared, socket_of(limb, 1.0, below_trim=nothing))


def test_a_load_case_without_equilibrium_does_not_hide_the_others() -> None:
    limb = limb_of(tube(60, 20), 20.0)
    prepared = prepared_bed(limb)
    fitted = SPRING_BED.with_socket(prepared, socket_of(limb, 1.0))
    cases = [load("standing", (0, 0, 300.0)), load("late_stance", (0, 0, 1e5))]
    attempt = attempt_all(SPRING_BED, fitted, cases)
    assert [case.load_case for case in attempt.result.cases] == ["donned", "standing"]
    assert [error.fields["load_case"] for error in attempt.refused] == ["late_stance"]
    with pytest.raises(NotConverged, match="late_stance"):
        run_all(SPRING_BED, fitted, cases)


def test_the_label_names_every_assumption_and_that_it_is_not_validated() -> None:
    limb = limb_of(tube(60, 20), 20.0)
    prepared = prepared_bed(limb, tissue=TissuePlan(modulus_kpa=120.0))
    label = SPRING_BED.label(SPRING_BED.with_socket(prepared, socket_of(limb, 1.0)))
    for said in (
        "first estimate",
        "tissue 120 kPa (given)",
        "Poisson's ratio 0.45 (default)",
        "friction 0.5 (given)",
        "no liner",
        "not validated on people",
    ):
        assert said in label


def test_progress_is_told_and_may_cancel() -> None:
    limb = limb_of(tube(60, 20), 20.0)
    prepared = prepared_bed(limb)
    fitted = SPRING_BED.with_socket(prepared, socket_of(limb, 1.0))
    told: list[tuple[str, float]] = []

    def progress(case: str, share: float) -> None:
        told.append((case, share))
        if case == "mid_stance":
            raise KeyboardInterrupt

    cases = [load(name, (0, 0, 200.0)) for name in ("standing", "mid_stance", "late_stance")]
    with pytest.raises(KeyboardInterrupt):
        run_all(SPRING_BED, fitted, cases, progress)
    assert [case for case, _ in told] == ["standing", "mid_stance"]
    assert all(0 < share < 1 for _, share in told)


def test_limits_keep_the_order_of_the_thresholds_and_stay_near_a_third_of_them() -> None:
    # point-indenter thresholds, Wu et al. 2003, as remembered: tendon highest, distal fibula lowest
    for name, threshold in PAIN_THRESHOLD_KPA.items():
        limit = WALKING_LIMIT_KPA[name]
        assert limit.value == pytest.approx(threshold.value / 3, rel=0.025)
        assert limit.source.confidence is Confidence.LOW
    limits = {name: limit.value for name, limit in WALKING_LIMIT_KPA.items()}
    assert max(limits, key=limits.__getitem__) is AreaName.PATELLAR_TENDON
    assert min(limits.values()) == limits[AreaName.DISTAL_FIBULA]
    assert limits[AreaName.PATELLAR_TENDON] != limits[AreaName.DISTAL_FIBULA]
