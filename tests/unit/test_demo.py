"""The demo limb: the same from the same seed, a person's limb in size, and its files readable."""

from __future__ import annotations

import json
from pathlib import Path

import igl
import numpy as np
import pytest
import trimesh

from limbwright.assess.plan import Person
from limbwright.capture.intake import take_in
from limbwright.capture.measure import measure
from limbwright.capture.plan import CapturePlan
from limbwright.capture.read import read_scan
from limbwright.capture.result import Limb
from limbwright.capture.tape import read_tape
from limbwright.core.frame import Side, to_limb
from limbwright.core.mesh import Mesh
from limbwright.core.topology import boundary_loops, is_closed_manifold, manifold_errors
from limbwright.core.units import LengthUnit
from limbwright.demo.body import skin_distance
from limbwright.demo.case import demo_plans, demo_shape, write_demo_files
from limbwright.demo.limb import DemoLimb, demo_limb, demo_scan_mm, demo_truth
from limbwright.shape.plan import LOAD_AREAS, AreaName


@pytest.fixture(scope="module")
def right() -> DemoLimb:
    return demo_limb(seed=1)


@pytest.fixture(scope="module")
def left() -> DemoLimb:
    return demo_limb(seed=1, side=Side.LEFT)


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, CapturePlan]:
    folder = tmp_path_factory.mktemp("demo-files")
    return folder, write_demo_files(folder)


def as_oracle(mesh: Mesh) -> trimesh.Trimesh:
    return trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)


def taken_in(written: tuple[Path, CapturePlan], side: Side) -> Limb:
    folder, plan = written
    assert plan.tape is not None
    return take_in(read_scan(folder / plan.scan), None, read_tape(folder / plan.tape), side, plan)


def agrees_with_truth(limb: Limb) -> None:
    """Volume within 1 %, each girth within 2 mm, of the skin before it was scanned."""
    levels = np.arange(-20.0, 121.0, 20.0)
    true, own = measure(demo_truth().skin, levels), measure(limb.skin, levels)
    assert own.volume_below_datum_ml == pytest.approx(true.volume_below_datum_ml, rel=0.01)
    for found, expected in zip(own.levels, true.levels, strict=True):
        assert found.tape_mm == pytest.approx(expected.tape_mm, abs=2.0)
    assert limb.unit.unit is LengthUnit.M


def test_the_same_seed_gives_the_same_scan_and_tape_bit_for_bit(right: DemoLimb) -> None:
    demo_scan_mm.cache_clear()
    again = demo_limb(seed=1)
    assert again.scan.vertices.tobytes() == right.scan.vertices.tobytes()
    assert again.scan.faces.tobytes() == right.scan.faces.tobytes()
    assert again.tape == right.tape


@pytest.mark.slow
def test_another_seed_scans_the_same_limb_anew(right: DemoLimb) -> None:
    other = demo_limb(seed=2)
    assert other.scan.vertices.tobytes() != right.scan.vertices.tobytes()
    assert other.tape != right.tape
    assert np.array_equal(other.skin.vertices, right.skin.vertices)


def test_the_true_skin_is_one_open_surface_and_the_bones_are_solid() -> None:
    truth = demo_truth()
    assert manifold_errors(truth.skin).is_manifold
    assert len(boundary_loops(truth.skin)) == 1
    assert is_closed_manifold(truth.tibia)
    assert is_closed_manifold(truth.fibula)


def test_every_vertex_of_the_true_skin_lies_on_the_body_it_is_drawn_from() -> None:
    truth = demo_truth()
    assert np.abs(skin_distance(truth.skin.vertices - truth.shift_mm)).max() < 1e-5


def test_all_true_landmarks_lie_on_the_true_skin() -> None:
    truth = demo_truth()
    points = np.array(list(truth.landmarks_mm.values()))
    assert trimesh.proximity.closest_point(as_oracle(truth.skin), points)[1].max() < 0.1


def test_the_bones_lie_under_three_millimetres_or_more_of_tissue() -> None:
    truth = demo_truth()
    for bone in (truth.tibia, truth.fibula):
        signed = igl.signed_distance(
            bone.vertices,
            truth.skin.vertices,
            truth.skin.faces.astype(np.int64),
            igl.SignedDistanceType.SIGNED_DISTANCE_TYPE_PSEUDONORMAL,
        )[0]
        assert signed.max() < -3.0


def test_the_limb_is_of_a_possible_size_for_a_person() -> None:
    # calf girths of 6068 adults run from 266 to 523 mm (Gordon et al. 2014); ten residual
    # lower limbs from 569 to 3115 ml (Seminati et al.)
    found = measure(demo_truth().skin, np.array([0.0, 40.0, 80.0]))
    assert all(266.0 < row.tape_mm < 523.0 for row in found.levels)
    assert 569.0 < found.volume_below_datum_ml < 3115.0
    assert found.length_below_datum_mm == pytest.approx(140.0, abs=5.0)


def test_the_left_limb_is_the_mirror_image_in_the_body_and_the_same_in_the_limb_frame(
    right: DemoLimb, left: DemoLimb
) -> None:
    assert np.linalg.det(right.frame.axes) == pytest.approx(1.0)
    assert np.linalg.det(left.frame.axes) == pytest.approx(-1.0)
    here = to_limb(right.frame, right.scan.vertices * right.unit.to_mm)
    there = to_limb(left.frame, left.scan.vertices * left.unit.to_mm)
    assert np.array_equal(np.sort(left.scan.faces, 1), np.sort(right.scan.faces, 1))
    assert there == pytest.approx(here, abs=1e-9)


def test_the_raw_scan_is_noisy_holed_and_littered(right: DemoLimb) -> None:
    scan = as_oracle(Mesh(right.scan.vertices, right.scan.faces))
    assert len(scan.faces) > 80_000
    assert not scan.is_winding_consistent
    assert len(scan.split(only_watertight=True)) == 5
    largest = max(scan.split(only_watertight=False), key=lambda part: len(part.faces))
    assert len(largest.outline().entities) > 5
    away = trimesh.proximity.closest_point(
        as_oracle(right.skin), to_limb(right.frame, largest.vertices[::200] * 1000.0)
    )[1]
    assert 0.1 < np.sqrt(np.mean(away**2)) < 0.5


def test_the_tape_reads_the_true_girth_within_a_hands_error(right: DemoLimb) -> None:
    true = measure(right.skin, np.array([row.level_mm for row in right.tape])).levels
    off = np.array(
        [row.tape_mm - found.tape_mm for row, found in zip(right.tape, true, strict=True)]
    )
    assert np.abs(off).max() < 5.0
    assert np.abs(off).max() > 0.0


def test_the_files_hold_side_landmarks_and_tape(written: tuple[Path, CapturePlan]) -> None:
    folder, plan = written
    record = json.loads((folder / "landmarks.json").read_text(encoding="utf-8"))
    assert (record["side"], record["unit"]) == ("right", "mm")
    assert record["points"].keys() == plan.landmarks.points.keys()
    assert "popliteal_centre" not in record["points"]
    assert trimesh.load(folder / plan.scan).area > 0.0
    assert plan.unit is None


def test_the_demo_scan_measures_as_the_limb_it_was_made_from(
    written: tuple[Path, CapturePlan],
) -> None:
    agrees_with_truth(taken_in(written, Side.RIGHT))


@pytest.mark.slow
def test_the_left_demo_scan_measures_as_the_limb_it_was_made_from(tmp_path: Path) -> None:
    agrees_with_truth(taken_in((tmp_path, write_demo_files(tmp_path, Side.LEFT)), Side.LEFT))


def test_the_person_of_the_demo_is_the_invented_one_of_the_documentation() -> None:
    person = demo_plans()["person"]
    assert isinstance(person, Person)
    assert (person.code, person.mass_kg, person.stature_mm) == ("demo", 74.0, 1730.0)
    assert demo_plans(Side.LEFT)["person"] == person.model_copy(update={"side": Side.LEFT})


def test_the_demo_loads_are_answered_and_its_reliefs_spare() -> None:
    depth = {area.name: area.depth_mm for area in demo_shape().areas}
    assert all((value < 0.0) is (name in LOAD_AREAS) for name, value in depth.items())
    # a load on the medial flare needs a lateral answer (common practice)
    assert depth[AreaName.LATERAL_PRETIBIAL] < 0.0
    assert depth[AreaName.FIBULAR_SHAFT] < 0.0
    take_up = [point.girth_percent for point in demo_shape().take_up]
    assert take_up == sorted(take_up, reverse=True)
    assert all(2.0 <= percent <= 4.0 for percent in take_up)
