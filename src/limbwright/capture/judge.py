"""What there is to say about a scan that was taken in: findings of the capture stage."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from limbwright.capture.leg_table import BUILD_SD, COVERS, PLACES
from limbwright.capture.measure import measure, place, whole_below_u_mm
from limbwright.capture.plan import ScannedOver
from limbwright.capture.result import Bones, Landmark, Measures, Repair, UnitFound
from limbwright.capture.tables import (
    CALF_GIRTH_RANGE_MM,
    HOLE_RIM_MM,
    KEPT_WAVE_MM,
    LANDMARK_NEAR_SURFACE_MM,
    LIMB_LENGTH_RANGE_MM,
    RESIDUAL_LIMB_VOLUME_RANGE_ML,
    SCAN_AGAINST_HAND_MM,
    SCAN_AS_IT_IS,
    UNIT_SURE_FROM,
)
from limbwright.capture.tape import TapeSheet
from limbwright.capture.tape_check import compare
from limbwright.core.findings import Finding, Severity
from limbwright.core.mesh import Mesh
from limbwright.core.sources import Basis, Source, Sourced

_CAUTION_REPAIRS = ("large-hole", "round-top")
"""Repairs after which part of the shape is a guess."""


def scan_findings(
    unit: UnitFound, repairs: tuple[Repair, ...], over: ScannedOver
) -> tuple[Finding, ...]:
    """How the unit was found, what was repaired, and what was on the limb."""
    return (
        _unit_finding(unit),
        *_repair_findings(repairs),
        *(
            [
                _note(
                    "scanned-over-liner",
                    "The limb was scanned over its liner: girths and volume include the liner.",
                    Severity.NOTE,
                    SCAN_AS_IT_IS,
                )
            ]
            if over is ScannedOver.LINER
            else []
        ),
    )


def _repair_findings(repairs: tuple[Repair, ...]) -> list[Finding]:
    """Repairs that leave part of the shape to a guess one by one, the others in one sentence."""
    grave = [repair for repair in repairs if repair.kind in _CAUTION_REPAIRS]
    usual = [repair.text for repair in repairs if repair.kind not in _CAUTION_REPAIRS]
    found = [
        _note(
            f"repaired-{one.kind}",
            one.text,
            Severity.WARNING,
            HOLE_RIM_MM.source,
            remedy="another scan that shows this part",
        )
        for one in grave
    ]
    if usual:
        found.append(_note("repaired", " ".join(usual), Severity.NOTE, KEPT_WAVE_MM.source))
    return found


def landmark_findings(landmarks: Mapping[str, Landmark]) -> tuple[Finding, ...]:
    """Landmarks that are guesses, and those that had to be moved onto the skin."""
    guessed = [name for name, mark in landmarks.items() if mark.basis is Basis.GUESSED]
    findings = []
    if guessed:
        findings.append(
            Finding(
                "capture",
                "landmarks-guessed",
                Severity.WARNING,
                f"{len(guessed)} landmarks are guesses of the program."
                if len(guessed) > 1
                else "One landmark is a guess of the program.",
                where=", ".join(guessed),
                value=float(len(guessed)),
                basis=Basis.GUESSED,
                source=PLACES.source,
                remedy="each of them checked on the limb, and accepted or moved",
                entry=f"capture.landmarks.points.{guessed[0]}",
            )
        )
    limit = LANDMARK_NEAR_SURFACE_MM
    findings += [
        Finding(
            "capture",
            "landmark-off-skin",
            Severity.WARNING,
            f"The landmark was {mark.to_skin_mm:.1f} mm off the skin and was moved onto it.",
            where=name,
            value=mark.to_skin_mm,
            limit=limit.value,
            unit="mm",
            basis=mark.basis,
            source=limit.source,
            remedy="the landmark checked on the limb and placed anew",
            entry=f"capture.landmarks.points.{name}",
        )
        for name, mark in landmarks.items()
        if mark.to_skin_mm > limit.value
    ]
    return tuple(findings)


def size_findings(measures: Measures) -> tuple[Finding, ...]:
    """Guards: a limb of unusual size is more often a wrong unit, side or datum."""
    largest = max((row.perimeter_mm for row in measures.levels if row.level_mm >= 0), default=None)
    guards = [
        _guard(
            "volume-unusual",
            "volume below the datum",
            measures.volume_below_datum_ml,
            "ml",
            RESIDUAL_LIMB_VOLUME_RANGE_ML,
        ),
        _guard(
            "length-unusual",
            "length below the datum",
            measures.length_below_datum_mm,
            "mm",
            LIMB_LENGTH_RANGE_MM,
        ),
    ]
    if largest is not None:
        guards.append(
            _guard(
                "girth-unusual",
                "largest girth below the datum",
                largest,
                "mm",
                CALF_GIRTH_RANGE_MM,
            )
        )
    return tuple(finding for finding in guards if finding is not None)


def tape_findings(skin: Mesh, tape: TapeSheet | None) -> tuple[Finding, ...]:
    """The scan against the tape sheet, level by level."""
    if tape is None:
        return (
            _note(
                "no-tape",
                "No tape sheet was given, so no hand measure confirms the size of the scan.",
                Severity.NOTE,
                SCAN_AGAINST_HAND_MM.source,
                remedy="a tape sheet of the same limb",
            ),
        )
    top, end = whole_below_u_mm(skin), float(skin.vertices[:, 2].min())
    inside = [level for level in tape.levels_mm if end < -level < top]
    outside = [level for level in tape.levels_mm if level not in inside]
    missing = [
        _note(
            "tape-level-not-scanned",
            "The tape was read where the scan has no whole section; it was not compared there.",
            Severity.WARNING,
            SCAN_AGAINST_HAND_MM.source,
            where=", ".join(place(level) for level in outside),
        )
    ]
    return (
        *(missing if outside else []),
        *compare(measure(skin, np.array(inside)), tape),
    )


def bone_findings(bones: Bones, unused: int = 0) -> tuple[Finding, ...]:
    """That estimated bones are no measurement, and how far palpation helped.

    Parameters
    ----------
    bones : Bones
    unused : int
        Palpated depths that given bones leave without use.
    """
    if bones.basis is not Basis.GIVEN:
        return (_estimated_finding(bones), *_surest_and_least_sure(bones))
    if not unused:
        return ()
    text = f"{unused} palpated depths are not used: the bones were given as meshes."
    return (_note("palpated-not-used", text, Severity.NOTE, BUILD_SD.source),)


def _estimated_finding(bones: Bones) -> Finding:
    count = bones.palpated_count
    held = f" and {count} palpated depth{'' if count == 1 else 's'}" if count else ""
    more = " Where nothing was palpated it stays uncertain." if count else ""
    return Finding(
        "capture",
        "bones-estimated",
        Severity.WARNING,
        f"Tibia and fibula are estimated from landmarks and skin{held}, not seen: the tissue over "
        f"them is uncertain by {bones.cover_sd_mm:.1f} mm (one standard deviation).{more}",
        value=bones.cover_sd_mm,
        unit="mm",
        basis=Basis.ESTIMATED,
        source=BUILD_SD.source,
        remedy="the depth of bone, palpated at the landmarks and along the shin's medial face",
        entry="capture.palpated",
    )


def _surest_and_least_sure(bones: Bones) -> tuple[Finding, ...]:
    """The landmark whose cover is least sure in proportion: there pressure is least sure too."""
    if not bones.places:
        return ()
    name, place = max(bones.places.items(), key=lambda item: item[1].sd_mm / item[1].cover_mm)
    return (
        Finding(
            "capture",
            "cover-least-sure",
            Severity.NOTE,
            f"The cover is least sure in proportion at {name.replace('_', ' ')}:"
            f" {place.cover_mm:.0f} mm with a spread of {place.sd_mm:.1f} mm.",
            where=name,
            value=place.sd_mm,
            unit="mm",
            basis=place.basis,
            source=COVERS.source,
            remedy="the depth of bone, palpated there",
            entry="capture.palpated",
        ),
    )


def _unit_finding(unit: UnitFound) -> Finding:
    sure = unit.sureness >= UNIT_SURE_FROM.value
    return Finding(
        "capture",
        "unit-stated" if unit.basis is Basis.GIVEN else "unit-found",
        Severity.OK if unit.basis is Basis.GIVEN else Severity.NOTE if sure else Severity.WARNING,
        unit.text,
        value=unit.sureness,
        limit=UNIT_SURE_FROM.value,
        basis=unit.basis,
        source=UNIT_SURE_FROM.source,
        remedy="" if unit.basis is Basis.GIVEN else "the unit, stated",
        entry="" if unit.basis is Basis.GIVEN else "capture.unit",
        at_least=True,
    )


def _guard(
    code: str, name: str, value: float, unit: str, usual: Sourced[tuple[float, float]]
) -> Finding | None:
    low, high = usual.value
    if low <= value <= high:
        return None
    return Finding(
        "capture",
        code,
        Severity.WARNING,
        f"The {name} is {value:.0f} {unit}, outside {low:g} to {high:g} {unit}.",
        value=value,
        limit=low if value < low else high,
        unit=unit,
        basis=Basis.MEASURED,
        source=usual.source,
        remedy="unit, landmarks and scan, checked before going on",
        entry="capture.unit",
        at_least=value < low,
    )


def _note(
    code: str,
    text: str,
    severity: Severity,
    source: Source,
    where: str = "",
    remedy: str = "",
) -> Finding:
    return Finding(
        "capture",
        code,
        severity,
        text,
        where=where,
        basis=Basis.MEASURED,
        source=source,
        remedy=remedy,
    )
