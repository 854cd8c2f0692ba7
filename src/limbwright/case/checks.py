"""What a case document must agree on beyond the bounds of its single entries."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise
from pathlib import Path, PurePosixPath, PureWindowsPath

from limbwright.assess.plan import Liner, LinerMaterial, Person
from limbwright.capture.plan import LANDMARK_NAMES
from limbwright.case.document import CaseDocument
from limbwright.core.units import KG_PER_LB
from limbwright.couple.plan import PartsPlan
from limbwright.shape.plan import LOAD_AREAS, ShapePlan

BODY_MASS_INDEX_GUARD = (12.0, 50.0)
"""kg/m²; project choice: outside it mass or stature is more likely mistyped than true."""

_LONGEST_SHOWN = 60
_NEAREST_LEVELS_MM = 0.1
"""Nearer than anyone tapes; a curve through both would be a step."""

Problems = list[tuple[str, str]]


def document_problems(document: CaseDocument, folder: Path | None) -> Problems:
    """Every contradiction in a document, each with its path; empty when there is none.

    Parameters
    ----------
    document : CaseDocument
    folder : Path or None
        Where the named files must be; None skips that.
    """
    return [
        *mass_problems(document.person),
        *_liner_problems(document.liner),
        *_landmark_problems(document),
        *_palpated_problems(document),
        *_shape_problems(document.shape),
        *_pylon_problems(document.couple.parts),
        *_file_problems(document, folder),
    ]


def mass_problems(person: Person) -> Problems:
    """Mass and stature that are unlikely together, with the usual slip named."""
    if person.unusual_mass_confirmed:
        return []
    index = person.mass_kg / (person.stature_mm / 1000) ** 2
    low, high = BODY_MASS_INDEX_GUARD
    if low <= index <= high:
        return []
    in_kg = person.mass_kg * KG_PER_LB
    hint = (
        f" If the mass is in pounds, it is {in_kg:.1f} kg."
        if low <= in_kg / (person.stature_mm / 1000) ** 2 <= high
        else ""
    )
    return [
        (
            "person.mass_kg",
            f"{person.mass_kg:g} kg at a stature of {person.stature_mm:g} mm is very"
            f" unlikely.{hint} Correct it, or confirm it with unusual_mass_confirmed = true",
        )
    ]


def _liner_problems(liner: Liner) -> Problems:
    if liner.material is not LinerMaterial.NONE:
        return []
    return [
        (f"liner.{name}", "must be 0 when no liner is worn")
        for name in ("thickness_mm", "cap_thickness_mm")
        if getattr(liner, name) != 0
    ]


def _landmark_problems(document: CaseDocument) -> Problems:
    points = document.capture.landmarks.points
    problems = [
        (
            f"capture.landmarks.points.{name}",
            "is not a known landmark; known are " + ", ".join(LANDMARK_NAMES),
        )
        for name in points
        if name not in LANDMARK_NAMES
    ]
    problems += [
        (f"capture.landmarks.guessed.{name}", "is named as guessed but has no point")
        for name in document.capture.landmarks.guessed
        if name not in points
    ]
    return problems


def _palpated_problems(document: CaseDocument) -> Problems:
    plan = document.capture
    counts = Counter(item.landmark for item in plan.palpated if item.landmark is not None)
    problems: Problems = []
    for number, item in enumerate(plan.palpated):
        path = f"capture.palpated[{number}].landmark"
        if item.landmark is None:
            continue
        if counts[item.landmark] > 1:
            problems.append((path, f"{item.landmark} is listed {counts[item.landmark]} times"))
        if item.landmark not in plan.landmarks.points:
            problems.append(
                (path, f"{item.landmark} has no point: mark where the depth was palpated first")
            )
    return problems


def _shape_problems(plan: ShapePlan) -> Problems:
    problems: Problems = []
    counts = Counter(area.name for area in plan.areas)
    for number, area in enumerate(plan.areas):
        path = f"shape.areas[{number}]"
        loads = area.name in LOAD_AREAS
        if counts[area.name] > 1:
            problems.append((path, f"{area.name.value} is listed {counts[area.name]} times"))
        if loads and area.depth_mm > 0:
            problems.append(
                (
                    f"{path}.depth_mm",
                    f"{area.name.value} is a load area: its depth must be zero or negative"
                    f" (presses in), not {area.depth_mm:g} mm",
                )
            )
        if not loads and area.depth_mm < 0:
            problems.append(
                (
                    f"{path}.depth_mm",
                    f"{area.name.value} is a relief area: its depth must be zero or positive"
                    f" (space added), not {area.depth_mm:g} mm",
                )
            )
    levels = Counter(point.level_mm for point in plan.take_up)
    problems += [
        ("shape.take_up", f"level {level:g} mm is listed {count} times")
        for level, count in levels.items()
        if count > 1
    ]
    problems += [
        ("shape.take_up", f"levels {low:g} and {high:g} mm lie too near each other; keep one")
        for low, high in pairwise(sorted(levels))
        if high - low < _NEAREST_LEVELS_MM
    ]
    return problems


def _pylon_problems(parts: PartsPlan) -> Problems:
    radius_mm = parts.pylon_outside_mm / 2
    if parts.pylon_wall_mm < radius_mm:
        return []
    return [
        (
            "couple.parts.pylon_wall_mm",
            f"must be less than half of pylon_outside_mm, {radius_mm:g} mm, not"
            f" {parts.pylon_wall_mm:g} mm",
        )
    ]


def _file_problems(document: CaseDocument, folder: Path | None) -> Problems:
    names = {"capture.scan": document.capture.scan}
    if document.capture.tape is not None:
        names["capture.tape"] = document.capture.tape
    if document.capture.bones is not None:
        names["capture.bones.tibia"] = document.capture.bones.tibia
        names["capture.bones.fibula"] = document.capture.bones.fibula
    problems: Problems = []
    for path, name in names.items():
        if not _inside(name):
            problems.append((path, f"must name a file inside the case folder, not {name!r}"))
        elif folder is not None:
            problems += [(path, text) for text in _file_troubles(folder, name)]
    return problems


def _file_troubles(folder: Path, name: str) -> list[str]:
    shown = repr(name if len(name) <= _LONGEST_SHOWN else f"{name[:_LONGEST_SHOWN]}...")
    try:
        there = (folder / name).is_file()
        within = not there or (folder / name).resolve().is_relative_to(folder.resolve())
    except OSError:
        there, within = False, True
    if not there:
        return [f"names {shown}, which is not in the case folder"]
    if not within:
        return [f"names {shown}, a link that leads out of the case folder; copy the file into it"]
    return []


def _inside(name: str) -> bool:
    posix, windows = PurePosixPath(name), PureWindowsPath(name)
    return bool(name) and not (
        posix.is_absolute() or windows.drive or windows.root or ".." in windows.parts
    )
