"""Starting a case: from files in hand, or the demo."""

from __future__ import annotations

import json
import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from limbwright.assess.plan import Liner, Person
from limbwright.capture.landmarks import check_names
from limbwright.capture.plan import BoneFiles, CapturePlan, LandmarkSet, ScannedOver
from limbwright.capture.result import Limb
from limbwright.case.document import CaseDocument
from limbwright.case.evaluate import evaluate
from limbwright.case.folder import new_folder, validation_problems, write_case
from limbwright.case.memo import Memo
from limbwright.case.stepping import Capturing
from limbwright.core.errors import CannotRead, InvalidLandmarks
from limbwright.core.frame import Side
from limbwright.core.reading import plain_file_size, read_bounded
from limbwright.core.units import LengthUnit
from limbwright.demo.case import demo_plans, write_demo_files
from limbwright.prove.plan import NEW_CASE_ENGINE, ProvePlan
from limbwright.shape.defaults import default_shape_plan

_LARGEST_LANDMARK_BYTES = 4 << 20


@dataclass(frozen=True, slots=True)
class LandmarkFile:
    """A landmark file: side and points in the scan's frame."""

    side: Side | None
    landmarks: LandmarkSet


def read_landmarks(path: Path) -> LandmarkFile:
    """Landmarks from a JSON file `{"side", "unit", "points": {name: [x, y, z]}}`.

    Other keys are ignored.

    Raises
    ------
    CannotRead
        When the file is missing or no JSON.
    InvalidLandmarks
        When a point or the side or the unit cannot be used, saying which.
    """
    data = _json_object(path)
    points = data.get("points")
    if not isinstance(points, dict) or not points:
        raise InvalidLandmarks(
            f'{path} holds no landmarks: it needs "points": {{"name": [x, y, z], ...}}.',
            where=str(path),
        )
    try:
        side = Side(data["side"]) if data.get("side") is not None else None
    except ValueError as error:
        raise InvalidLandmarks(
            f'{path}: "side" must be "right" or "left", not {data["side"]!r}.', where=str(path)
        ) from error
    check_names(points)
    try:
        # As JSON and strictly: text in place of a number is refused, not read.
        landmarks = LandmarkSet.model_validate_json(
            json.dumps({"unit": data.get("unit", "mm"), "points": points}), strict=True
        )
    except ValidationError as error:
        place, text = validation_problems(error)[0]
        raise InvalidLandmarks(f"{path}: {place} {text}.", where=str(path)) from error
    return LandmarkFile(side, landmarks)


def new_case(
    folder: Path,
    *,
    scan: Path,
    landmarks: Path,
    person: Person,
    tape: Path | None = None,
    bones: tuple[Path, Path] | None = None,
    bones_unit: LengthUnit = LengthUnit.MM,
    unit: LengthUnit | None = None,
    over_liner: bool = False,
) -> tuple[CaseDocument, Limb]:
    """Create a case folder with copies of the files given and capture the limb once.

    On failure nothing is left behind.

    Returns
    -------
    (CaseDocument, Limb)

    Raises
    ------
    LimbwrightError
        When a file cannot be read, the sides contradict each other or the folder is taken.
    """
    read = read_landmarks(landmarks)
    if read.side is not None and read.side is not person.side:
        raise InvalidLandmarks(
            f"The landmark file is of a {read.side.value} limb, but the case is for the"
            f" {person.side.value} side; check which limb was scanned.",
            where=str(landmarks),
        )
    with new_folder(folder) as building:
        plan = CapturePlan(
            scan=_copied(scan, building, "scan"),
            unit=unit,
            scanned_over=ScannedOver.LINER if over_liner else ScannedOver.SKIN,
            landmarks=read.landmarks,
            tape=_copied(tape, building, "tape") if tape is not None else None,
            bones=BoneFiles(
                tibia=_copied(bones[0], building, "tibia"),
                fibula=_copied(bones[1], building, "fibula"),
                unit=bones_unit,
            )
            if bones is not None
            else None,
        )
        begun = begun_case(building, person, plan)
    return begun


def begun_case(
    building: Path,
    person: Person,
    plan: CapturePlan,
    *,
    title: str = "",
    capturing: Capturing | None = None,
) -> tuple[CaseDocument, Limb]:
    """Write a new case's document beside its files, and capture the limb once.

    Parameters
    ----------
    building : Path
        Folder that holds the files which the plan names.
    person : Person
    plan : CapturePlan
    title : str
    capturing : callable, optional
        Captures the limb elsewhere than here.

    Raises
    ------
    LimbwrightError
        When the limb cannot be captured.
    """
    liner = Liner()
    document = CaseDocument(
        title=title,
        person=person,
        liner=liner,
        capture=plan,
        shape=default_shape_plan(liner),
        prove=ProvePlan(engine=NEW_CASE_ENGINE),
    )
    write_case(building, document)
    captured = evaluate(building, document, Memo(), upto="capture", capturing=capturing)
    for error in captured.errors:
        raise error
    return document, captured.outcomes["capture"].result


def demo_case(folder: Path, side: Side = Side.RIGHT) -> CaseDocument:
    """Create the demo case: an invented person and a limb generated for them.

    Raises
    ------
    BadInput, CannotWrite
    """
    with new_folder(folder) as building:
        capture = write_demo_files(building, side)
        document = CaseDocument.model_validate(
            {"title": "Demo case", "invented": True, "capture": capture, **demo_plans(side)}
        )
        write_case(building, document)
    return document


def _copied(source: Path, folder: Path, stem: str) -> str:
    name = stem + source.suffix.lower()
    plain_file_size(source)
    shutil.copyfile(source, folder / name)
    return name


def _json_object(path: Path) -> dict[str, Any]:
    content = read_bounded(path, _LARGEST_LANDMARK_BYTES)
    try:
        # From bytes, so that a byte-order mark and UTF-16 are understood.
        data = json.loads(content, object_pairs_hook=_without_repeats)
    except (ValueError, RecursionError) as error:
        raise CannotRead(f"{path} is not JSON: {error}.", where=str(path)) from error
    if not isinstance(data, dict):
        raise InvalidLandmarks(f"{path} must hold a JSON object.", where=str(path))
    return data


def _without_repeats(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """An object's entries; of two with one name, JSON would silently drop the first."""
    found = dict(pairs)
    if len(found) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise ValueError(f'"{twice}" stands there twice; keep one of them')
    return found
