"""Bones and palpated depths on their way into a case: units, points of the skin, refusals."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import trimesh

from limbwright.assess.plan import Person
from limbwright.capture.plan import PalpatedDepth
from limbwright.case.create import new_case
from limbwright.case.evaluate import evaluate
from limbwright.case.folder import read_case
from limbwright.case.memo import Memo
from limbwright.cli import main
from limbwright.core.errors import InvalidLandmarks, InvalidScan
from limbwright.core.sources import Basis

pytestmark = pytest.mark.slow


@pytest.fixture
def limb_folder(shared_data: Path) -> Path:
    return shared_data / "limbs" / "limb_b"


def bones_in(folder: Path, limb_folder: Path, mm_per_unit: float) -> list[str]:
    """True bones written in another unit."""
    names = []
    for bone in ("tibia", "fibula"):
        mesh = trimesh.load(limb_folder / f"{bone}.ply", process=False)
        mesh.apply_scale(1.0 / mm_per_unit)
        mesh.export(folder / f"{bone}.ply")
        names.append(str(folder / f"{bone}.ply"))
    return names


def begin(folder: Path, limb_folder: Path, *more: str) -> int:
    words = ["new", str(folder), "--scan", str(limb_folder / "skin.ply"), "--side", "left"]
    words += ["--landmarks", str(limb_folder / "landmarks.json"), "--mass-kg", "70"]
    words += ["--stature-mm", "1700", "--activity", "K3", *more]
    return main(words)


def test_bones_in_centimetres_are_taken_when_their_unit_is_stated_and_refused_when_not(
    limb_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bones = bones_in(tmp_path, limb_folder, 10.0)
    right = tmp_path / "right"
    assert begin(right, limb_folder, "--bones", *bones, "--bones-unit", "cm") == 0
    document = read_case(right)
    assert document.capture.bones is not None
    assert document.capture.bones.unit.value == "cm"
    limb = evaluate(right, document, Memo(), upto="capture").outcomes["capture"].result
    assert limb.bones.basis is Basis.GIVEN
    assert limb.cover_spread_mm.max() == 0.0
    assert begin(tmp_path / "wrong", limb_folder, "--bones", *bones) == 2
    assert "check" in capsys.readouterr().err
    assert not (tmp_path / "wrong").exists()


def test_a_palpated_point_must_lie_on_the_skin(limb_folder: Path, tmp_path: Path) -> None:
    begin(tmp_path / "case", limb_folder)
    document = read_case(tmp_path / "case")
    points = json.loads((limb_folder / "landmarks.json").read_text("utf-8"))["points"]

    def captured(point: list[float]):
        depth = PalpatedDepth(point=tuple(point), depth_mm=12.0)
        plan = document.capture.model_copy(update={"palpated": (depth,)})
        case = document.model_copy(update={"capture": plan})
        return evaluate(tmp_path / "case", case, Memo(), upto="capture")

    good = captured(points["crest_upper"])
    assert good.errors == ()
    assert good.outcomes["capture"].result.bones.palpated_count == 1
    (error,) = captured([points["crest_upper"][0] + 80.0, *points["crest_upper"][1:]]).errors
    assert isinstance(error, InvalidLandmarks)
    assert "off the scanned surface" in error.message


def test_new_cases_refuse_bones_of_another_frame(limb_folder: Path, tmp_path: Path) -> None:
    mesh = trimesh.load(limb_folder / "tibia.ply", process=False)
    mesh.apply_translation([60.0, 0.0, 60.0])
    mesh.export(tmp_path / "tibia.ply")
    person = Person(code="p", side="left", mass_kg=70.0, stature_mm=1700.0, activity="K3")
    with pytest.raises(InvalidScan, match=r"outside the skin|lies medial"):
        new_case(
            tmp_path / "case",
            scan=limb_folder / "skin.ply",
            landmarks=limb_folder / "landmarks.json",
            person=person,
            bones=(tmp_path / "tibia.ply", limb_folder / "fibula.ply"),
        )
