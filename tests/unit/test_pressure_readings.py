"""Places, who carries what, contact and comparison on bodies where the answer is known by hand."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import cast

import numpy as np
import pytest

from interface_bodies import area_at, capped, limb_of, load, prepared_bed, revolved, socket_of
from limbwright.capture.result import Landmark, Limb
from limbwright.case.report_pressure import pressure_lines
from limbwright.core.findings import Severity, stops_job
from limbwright.core.sources import Basis
from limbwright.prove.interface.balance import donned_balance
from limbwright.prove.interface.comparing import compare, rank_correlation
from limbwright.prove.interface.contact import carried, contact_readings
from limbwright.prove.interface.engine import run_all
from limbwright.prove.interface.findings import interface_findings
from limbwright.prove.interface.measured import (
    against_measured,
    end_body_percent,
    end_share_percent,
)
from limbwright.prove.interface.places import PLACES, anatomical_places, stop_kpa
from limbwright.prove.interface.pressure import read_pressure
from limbwright.prove.interface.reading import ZoneMap, divide, read_zones, skin_of
from limbwright.prove.interface.reading_findings import reading_findings, share_findings
from limbwright.prove.interface.readings import PLACE, Relative, band_kpa, place_readings
from limbwright.prove.interface.spring_bed import SPRING_BED
from limbwright.prove.result import CasePressure, InterfaceResult, Pose, Proof
from limbwright.prove.tables import (
    BELIEVABLE_PEAK_KPA,
    LEAST_READ_KPA,
    MESH_SPREAD,
    PAIN_THRESHOLD_KPA,
    STOP_ANYWHERE_KPA,
    WALKING_LIMIT_KPA,
)
from limbwright.shape.basis import prepare_areas
from limbwright.shape.plan import AreaName
from limbwright.shape.result import SocketShape, TrimLine

AROUND = 90
LOW, TOP = -120.0, 20.0


def can(landmarks: dict[str, tuple[float, float, float]] | None = None) -> Limb:
    """A tube of 50 mm radius, closed flat below."""
    heights = np.linspace(LOW, TOP, 71)
    limb = limb_of(capped(revolved(lambda u: np.full_like(u, 50.0), heights, AROUND), AROUND), 20.0)
    marks = {
        name: Landmark(name, np.array(point), Basis.GIVEN, 0.0)
        for name, point in (landmarks or {}).items()
    }
    return replace(limb, landmarks=marks)


def case_of(
    zones: ZoneMap, pressure_mpa: np.ndarray, name: str = "standing", shift=(0.0, 0.0, 0.0)
) -> CasePressure:
    shear = np.zeros((len(pressure_mpa), 3))
    pose = Pose(np.array(shift, float), np.zeros(3))
    areas = read_zones(zones, pressure_mpa, shear)
    return CasePressure(name, pressure_mpa, shear, pose, areas, 1.0, 0.0, 0)


def divided(limb: Limb, shape: SocketShape) -> ZoneMap:
    return divide(skin_of(limb.surface), shape)


def result_of(*cases: CasePressure) -> InterfaceResult:
    return InterfaceResult("spring_bed", "first estimate: by hand", cases)


def test_a_place_is_the_skin_within_its_radius_whether_or_not_an_area_is_there() -> None:
    # on a cylinder the skin is flat when unrolled: a disc of 11 mm is pi 11² = 380 mm²
    limb = can({"fibular_head": (50.0, 0.0, -40.0), "limb_end": (0.0, 0.0, LOW)})
    places = {place.name: place for place in anatomical_places(prepare_areas(limb))}
    assert set(places) == {"fibular head", "limb end"}
    surface = skin_of(limb.surface).areas_mm2[places["fibular head"].inside].sum()
    assert surface == pytest.approx(np.pi * 11.0**2, rel=0.12)


def test_every_place_names_landmarks_that_exist() -> None:
    from limbwright.capture.plan import LANDMARK_NAMES

    for rule in PLACES.values():
        assert set(rule.needs) <= set(LANDMARK_NAMES)


def test_a_place_is_read_with_its_tolerance_and_its_covered_share() -> None:
    limb = can({"fibular_head": (50.0, 0.0, -40.0), "tibial_tubercle": (0.0, 50.0, 10.0)})
    below = limb.surface.vertices[:, 2] < 0
    shape = socket_of(limb, 1.0, below_trim=below)
    zones = divided(limb, shape)
    result = result_of(case_of(zones, np.where(below, 0.05, 0.0)))
    places = anatomical_places(prepare_areas(limb))
    found = place_readings(result, zones, (), places, Basis.DEFAULT)
    head = next(one for one in found if one.place == "fibular head")
    assert head.kind == PLACE
    assert head.covered_share == pytest.approx(1.0)
    assert head.cases[0].mean_kpa == pytest.approx(50.0)
    assert head.cases[0].peak_kpa == pytest.approx(50.0)
    # a third of the point-indenter threshold of 599.6 kPa, rounded: 200 kPa
    assert head.limit_kpa == 200.0
    assert head.cases[0].share == pytest.approx(0.25)
    tubercle = next(one for one in found if one.place == "tibial tubercle")
    assert tubercle.covered_share < 0.1


def test_a_place_that_the_socket_does_not_reach_carries_nothing() -> None:
    limb = can({"tibial_tubercle": (0.0, 50.0, 10.0)})
    below = limb.surface.vertices[:, 2] < -20
    zones = divided(limb, socket_of(limb, 1.0, below_trim=below))
    result = result_of(case_of(zones, np.where(below, 0.05, 0.0)))
    found = place_readings(result, zones, (), anatomical_places(prepare_areas(limb)), Basis.GIVEN)
    tubercle = next(one for one in found if one.kind == PLACE)
    assert tubercle.covered_share == 0.0
    assert tubercle.cases[0].mean_kpa == 0.0


def test_a_band_is_put_around_mean_and_peak_by_its_ratio() -> None:
    limb = can({"fibular_head": (50.0, 0.0, -40.0)})
    shape = socket_of(limb, 1.0)
    zones = divided(limb, shape)
    result = result_of(case_of(zones, np.full(len(limb.surface.vertices), 0.098)))
    off = {(PLACE, "fibular head", "standing"): Relative(np.log(2.0), np.log(1.5), 0.0, 0.0)}
    found = place_readings(
        result, zones, (), anatomical_places(prepare_areas(limb)), Basis.GIVEN, off
    )
    case = next(one for one in found if one.kind == PLACE).cases[0]
    # (98 + 2) / 2 - 2 and (98 + 2) 1.5 - 2 kPa, a little wider by the mesh; the peak by it alone
    assert LEAST_READ_KPA.value == 2.0
    mesh_mean, mesh_peak = MESH_SPREAD.value[PLACE]
    down, up = np.hypot(np.log([2.0, 1.5]), mesh_mean)
    assert case.mean_band_kpa == pytest.approx((100 / np.exp(down) - 2, 100 * np.exp(up) - 2))
    assert case.mean_band_kpa == pytest.approx((48.0, 148.0), abs=0.5)
    assert case.peak_band_kpa == pytest.approx(
        (100 / np.exp(mesh_peak) - 2, 100 * np.exp(mesh_peak) - 2)
    )


def test_nothing_stays_next_to_nothing_and_a_band_never_goes_below_it() -> None:
    low, high = band_kpa(0.0, 1.0, 0.5)
    assert low == 0.0
    assert high == pytest.approx(2.0 * (np.exp(0.5) - 1.0))


def test_areas_wall_distal_end_and_friction_add_up_to_the_load() -> None:
    limb = can()
    area = area_at(limb, AreaName.FIBULAR_SHAFT, np.array([50.0, 0, -60]), -3.0, 20.0)
    shape = socket_of(limb, 1.0, areas=(area,))
    fitted = SPRING_BED.with_socket(prepared_bed(limb), shape)
    result = run_all(SPRING_BED, fitted, [load("standing", (0, 0, 400.0))])
    (found,) = carried(result, fitted.zones, Basis.GIVEN)
    assert found.total_n == pytest.approx(400.0, rel=1e-3)
    assert found.load_n == pytest.approx(400.0, rel=1e-3)
    assert sum(part.force_n for part in found.parts) == pytest.approx(found.total_n)
    assert sum(part.percent for part in found.parts) == pytest.approx(100.0)
    by_name = {part.part: part.force_n for part in found.parts}
    # upright walls carry nothing along the limb but by friction
    assert by_name["areas"] == pytest.approx(0.0, abs=4.0)
    assert by_name["distal end"] + by_name["friction"] == pytest.approx(400.0, abs=6.0)


def test_a_leaning_load_gives_the_distal_end_one_force_and_one_share_wherever_it_is_told() -> None:
    limb = can()
    shape = socket_of(limb, 1.0)
    fitted = SPRING_BED.with_socket(prepared_bed(limb), shape)
    result = run_all(SPRING_BED, fitted, [load("standing", (-60.0, 80.0, 400.0), (4e3, 3e3, 0))])
    standing = result.cases[-1]
    (found,) = carried(result, fitted.zones, Basis.GIVEN)
    end = next(part for part in found.parts if part.part == "distal end")
    # what is shared out is what stands along the limb, of a load of sqrt(60² + 80² + 400²) N
    assert found.total_n == pytest.approx(400.0, rel=1e-3)
    assert found.load_n == pytest.approx(np.sqrt(60.0**2 + 80.0**2 + 400.0**2), rel=1e-3)
    assert sum(part.force_n for part in found.parts) == pytest.approx(found.total_n)
    told = next(area for area in standing.areas if area.area == "distal end")
    assert end.force_n == pytest.approx(told.force_n[2])
    assert end.percent == pytest.approx(end_share_percent(standing))
    balance = donned_balance(result, fitted.zones, ())
    pressure = read_pressure(result, fitted.zones, shape, (), Basis.GIVEN)
    said = {
        finding.code: finding.text
        for finding in interface_findings(
            result, fitted.zones, (), limb.bones, balance, pressure=pressure
        )
    }
    assert f"distal end {end.force_n:.0f} N ({end.percent:.0f} %)" in said["load-carried"]
    assert f"({end.force_n:.0f} N along the limb" in said["distal-end"]
    assert f"carries {end.percent:.0f} % of the load" in said["distal-end"]


def test_a_limb_that_hangs_in_the_socket_is_carried_by_no_part_of_it() -> None:
    limb = can()
    fitted = SPRING_BED.with_socket(prepared_bed(limb), socket_of(limb, 3.0))
    result = run_all(SPRING_BED, fitted, [load("swing", (0, 0, -30.0))])
    assert carried(result, fitted.zones, Basis.GIVEN) == ()


def test_the_distal_gap_is_what_the_shape_leaves_and_the_limb_gives_back() -> None:
    # 3 mm of room under the end, the limb 1 mm down: 2 mm are left
    limb = can()
    end = limb.surface.vertices[:, 2] <= LOW
    shape = socket_of(limb, np.where(end, -3.0, 0.5))
    zones = divided(limb, shape)
    pressure = np.where(end, 0.0, 0.03)
    (found,) = contact_readings(
        result_of(case_of(zones, pressure, shift=(0, 0, -1.0))), zones, shape, Basis.GIVEN
    )
    assert found.end_contact_share == 0.0
    assert found.end_gap_mm is not None
    tip = len(limb.surface.vertices) - 1
    assert tip in next(zone.own for zone in zones.zones if zone.name == "distal end")
    assert found.end_gap_mm[0] == pytest.approx(2.0, abs=1e-9)


def test_an_end_that_touches_has_no_gap() -> None:
    limb = can()
    shape = socket_of(limb, 0.5)
    zones = divided(limb, shape)
    everywhere = np.full(len(limb.surface.vertices), 0.02)
    (found,) = contact_readings(result_of(case_of(zones, everywhere)), zones, shape, Basis.GIVEN)
    assert found.end_gap_mm is None
    assert found.end_contact_share == pytest.approx(1.0)


def test_a_brim_that_bears_three_times_the_rest_is_found_where_it_is() -> None:
    limb = can()
    height = limb.surface.vertices[:, 2]
    below = height <= 0
    angle = np.linspace(0, 6.28, 60)
    ring = np.stack([50 * np.cos(angle), 50 * np.sin(angle), np.zeros(60)], axis=1)
    shape = replace(socket_of(limb, 1.0, below_trim=below), trim=TrimLine(ring, {}))
    zones = divided(limb, shape)
    pressure = np.where(below, 0.02, 0.0)
    pressure[below & (height > -9.5)] = 0.06
    result = result_of(case_of(zones, pressure, "mid_stance"))
    (found,) = contact_readings(result, zones, shape, Basis.GIVEN)
    assert found.brim_ratio == pytest.approx(3.0, rel=0.02)
    assert found.brim_peak_kpa == pytest.approx(60.0, rel=0.02)
    assert found.brim_height_mm is not None
    assert -10 <= found.brim_height_mm <= 0
    said = reading_findings(read_pressure(result, zones, shape, (), Basis.GIVEN))
    brim = next(one for one in said if one.code == "brim-edge")
    assert brim.value == pytest.approx(3.0, rel=0.02)
    assert "in mid stance" in brim.text


def test_two_results_are_compared_area_by_area() -> None:
    limb = can()
    shape = socket_of(limb, 1.0)
    zones = divided(limb, shape)
    count = len(limb.surface.vertices)
    first = result_of(case_of(zones, np.full(count, 0.040)))
    second = result_of(case_of(zones, np.full(count, 0.050), shift=(0, 0, -2.0)))
    found = compare(first, second, ("revision 1", "this case"), Basis.GIVEN)
    wall = next(pair for pair in found.pairs if pair.area == "rest of wall")
    assert wall.mean_kpa == pytest.approx((40.0, 50.0))
    assert wall.mean_change_kpa == pytest.approx(10.0)
    assert wall.mean_change_percent == pytest.approx(25.0)
    assert found.median_percent == pytest.approx(25.0)
    assert found.shift_mm["standing"] == pytest.approx(2.0)
    assert "revision 1" in found.text


def test_ranks_correlate_as_spearman_defined_them() -> None:
    # 1 - 6 sum(d²) / (n (n² - 1)) with ranks 1 2 3 4 and 2 1 4 3: d² = 4, so 1 - 24/60 = 0.6
    assert rank_correlation(np.array([1.0, 2, 3, 4]), np.array([20.0, 10, 40, 30])) == (
        pytest.approx(0.6)
    )
    assert rank_correlation(np.ones(4), np.arange(4.0)) is None


def test_figures_stand_beside_what_was_measured() -> None:
    limb = can()
    spared = area_at(limb, AreaName.FIBULAR_HEAD, np.array([50.0, 0, -30]), 4.0, 14.0)
    shape = socket_of(limb, 1.0, areas=(spared,))
    zones = divided(limb, shape)
    count = len(limb.surface.vertices)
    result = result_of(
        case_of(zones, np.full(count, 0.04), "standing"),
        case_of(zones, np.full(count, 0.08), "mid_stance"),
    )
    rows = {row.what: row for row in against_measured(result, zones, (spared,), Basis.DEFAULT)}
    # Beil et al. 2002 measured means of stance peaks of 80.0 and 83.5 kPa
    assert rows["mean of stance peaks"].value == pytest.approx(80.0)
    assert rows["mean of stance peaks"].within
    assert rows["highest stance peak spared"].value == pytest.approx(80.0)
    assert not rows["highest stance peak spared"].within
    assert rows["standing over stance peak"].value == pytest.approx(0.5)
    assert rows["standing over stance peak"].within


def test_the_share_of_the_end_is_of_the_force_along_the_limb() -> None:
    # uniform pressure on a flat-ended can: only the end carries along the limb
    limb = can()
    zones = divided(limb, socket_of(limb, 1.0))
    case = case_of(zones, np.full(len(limb.surface.vertices), 0.05))
    assert end_share_percent(case) == pytest.approx(100.0, abs=4.0)


def test_a_place_over_its_limit_warns_where_no_area_answers_for_it() -> None:
    limb = can({"distal_fibula": (50.0, 0.0, -80.0)})
    zones = divided(limb, socket_of(limb, 1.0))
    result = result_of(case_of(zones, np.full(len(limb.surface.vertices), 0.2)))
    places = anatomical_places(prepare_areas(limb))
    pressure = read_pressure(result, zones, socket_of(limb, 1.0), places, Basis.DEFAULT)
    told = share_findings(result, pressure, ())
    (found,) = [one for one in told if one.code == "place-pressure"]
    assert found.where == "distal fibula"
    assert found.limit == 130.0
    assert found.basis is Basis.DEFAULT


def test_a_place_over_its_limit_is_told_beside_an_area_of_its_name_that_keeps_it() -> None:
    limb = can({"distal_fibula": (50.0, 0.0, -80.0)})
    moved = area_at(limb, AreaName.DISTAL_FIBULA, np.array([50.0, 0.0, -30.0]), 4.0, 14.0)
    shape = socket_of(limb, 1.0, areas=(moved,))
    zones = divided(limb, shape)
    places = anatomical_places(prepare_areas(limb))
    pressed = np.where(limb.surface.vertices[:, 2] < -60.0, 0.2, 0.05)
    for mpa, told_of in (
        (pressed, "place-pressure"),
        (np.full(len(pressed), 0.2), "area-pressure"),
    ):
        result = result_of(case_of(zones, mpa))
        pressure = read_pressure(result, zones, shape, places, Basis.DEFAULT)
        told = share_findings(result, pressure, (moved,))
        (found,) = [one for one in told if one.severity is Severity.WARNING]
        assert (found.code, found.where.replace("_", " ")) == (told_of, "distal fibula")
        assert ("within 11 mm of its landmarks" in found.text) is (told_of == "place-pressure")


def test_what_the_end_bears_of_body_weight_is_its_force_over_the_weight() -> None:
    limb = can()
    fitted = SPRING_BED.with_socket(prepared_bed(limb), socket_of(limb, 1.0))
    leaning = load("standing", (-60.0, 80.0, 400.0), (4e3, 3e3, 0))
    standing = run_all(SPRING_BED, fitted, [leaning]).cases[-1]
    end = next(area for area in standing.areas if area.area == "distal end")
    body_weight_n = 2.0 * np.sqrt(60.0**2 + 80.0**2 + 400.0**2)  # half of it on either leg
    told = end_body_percent(standing)
    assert told == pytest.approx(100.0 * end.force_n[2] / body_weight_n, rel=1e-3)


def even(kpa: float, landmarks: dict[str, tuple[float, float, float]] | None = None):
    """What is said of a can pressed evenly all round."""
    limb = can(landmarks)
    shape = socket_of(limb, 1.0)
    zones = divided(limb, shape)
    result = result_of(case_of(zones, np.full(len(limb.surface.vertices), kpa / 1000.0)))
    places = anatomical_places(prepare_areas(limb))
    return share_findings(result, read_pressure(result, zones, shape, places, Basis.DEFAULT), ())


def test_what_a_probe_could_not_press_with_for_a_moment_stops_the_job() -> None:
    # point-indenter pain tolerance, Wu et al. 2003, as remembered: distal fibula 547.6 kPa
    found = even(600.0, {"distal_fibula": (50.0, 0.0, -80.0)})
    (told,) = [one for one in found if one.severity is Severity.STOP]
    assert told.where == "distal fibula"
    assert (told.value, told.limit) == pytest.approx((600.0, 547.6))
    assert "no published limit" in str(told.source)
    assert not [one for one in found if one.code == "place-pressure"]


def test_just_under_the_tolerance_a_place_is_warned_of() -> None:
    found = even(540.0, {"distal_fibula": (50.0, 0.0, -80.0)})
    assert not stops_job(tuple(found))
    assert "place-pressure" in {one.code for one in found}


@pytest.mark.parametrize(("kpa", "stops"), [(1100.0, False), (1200.0, True)])
def test_where_no_tolerance_is_known_only_the_greatest_known_of_any_place_stops(kpa, stops) -> None:
    # the tendon's, 1158.3 kPa
    assert stops_job(tuple(even(kpa))) == stops


def test_every_stop_lies_above_what_was_measured_in_sockets_and_over_three_working_limits() -> None:
    for name, limit in WALKING_LIMIT_KPA.items():
        assert stop_kpa(name.value).value > BELIEVABLE_PEAK_KPA.value
        assert stop_kpa(name.value).value > 3.0 * limit.value
    for name, threshold in PAIN_THRESHOLD_KPA.items():
        assert threshold.value < stop_kpa(name.value).value <= STOP_ANYWHERE_KPA.value


def test_cautions_say_what_the_pressures_rest_on() -> None:
    limb = can()
    shape = socket_of(limb, 1.0)
    zones = divided(limb, shape)
    result = result_of(case_of(zones, np.full(len(limb.surface.vertices), 0.02)))
    found = read_pressure(result, zones, shape, (), Basis.GIVEN).cautions
    assert "by hand" in found[0]
    assert any("not validated on people" in caution for caution in found)
    assert any("relief areas" in caution for caution in found)


def test_the_text_names_the_engine_in_words_and_says_what_a_place_is() -> None:
    limb = can({"distal_fibula": (50.0, 0.0, -80.0)})
    shape = socket_of(limb, 1.0)
    zones = divided(limb, shape)
    result = result_of(case_of(zones, np.full(len(limb.surface.vertices), 0.05)))
    places = anatomical_places(prepare_areas(limb))
    pressure = read_pressure(result, zones, shape, places, Basis.DEFAULT)
    proof = SimpleNamespace(
        readings=pressure.readings, uncertainty=None, interface=result, agreement=None
    )
    text = " ".join(line.strip() for line in pressure_lines(cast(Proof, proof), 80))
    assert "Pressure in kPa by the first estimate" in text
    assert "spring_bed" not in text
    assert "within 11 mm of its landmarks; an area of its name" in text
