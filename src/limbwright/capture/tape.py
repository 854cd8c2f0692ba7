"""The tape sheet: what was measured by hand, and how the scan compares with it."""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass
from io import StringIO
from pathlib import Path

import numpy as np

from limbwright.capture.measure import place
from limbwright.capture.result import LevelMeasure, Measures
from limbwright.capture.tables import (
    SCAN_AGAINST_HAND_MM,
    SCAN_BREADTH_BIAS_MM,
    SCAN_DEPTH_BIAS_MM,
    SCAN_GIRTH_BIAS_MM,
    TAPE_BETWEEN_RATERS_MM,
)
from limbwright.core.errors import CannotRead, InvalidTape
from limbwright.core.findings import Finding, Severity
from limbwright.core.sources import Basis, Sourced

LEVEL_COLUMN = "level_below_mpt_mm"
TAPE_COLUMN = "tape_mm"
OPTIONAL_COLUMNS = ("perimeter_mm", "ml_mm", "ap_mm")
_POSSIBLE_LEVEL_MM = (-400.0, 600.0)
_POSSIBLE_MEASURE_MM = (10.0, 1500.0)
"""Outside these a number is a slip of the pen or in another unit."""
_LARGEST_BYTES = 1 << 20
_SAME_LEVEL_MM = 1e-6


@dataclass(frozen=True, slots=True)
class TapeRow:
    """Hand measures at one level; None where not taken."""

    level_mm: float
    tape_mm: float
    ml_mm: float | None
    ap_mm: float | None


@dataclass(frozen=True, slots=True)
class TapeSheet:
    """Hand measures of a limb, proximal first."""

    rows: tuple[TapeRow, ...]

    @property
    def levels_mm(self) -> tuple[float, ...]:
        """Levels measured, distal to the mid-patellar tendon positive."""
        return tuple(row.level_mm for row in self.rows)


def read_tape(path: Path) -> TapeSheet:
    """A tape sheet from a CSV file with the columns level_below_mpt_mm and tape_mm.

    Columns ml_mm and ap_mm are read where present; perimeter_mm is accepted and not used,
    since a tape does not follow hollows.

    Parameters
    ----------
    path : Path

    Raises
    ------
    CannotRead
        When the file is missing or may not be read.
    InvalidTape
        When a column is missing, a value is not a possible number or a level stands twice; the
        message names the line.
    """
    path = Path(path)
    numbered = [
        (number, row) for number, row in enumerate(_cells(path), 1) if any(c.strip() for c in row)
    ]
    if not numbered:
        raise InvalidTape(f"{path.name}: the tape sheet is empty.", where=str(path))
    columns = _columns(path, numbered[0][1])
    rows = [_row(path, number, row, columns) for number, row in numbered[1:]]
    if not rows:
        raise InvalidTape(
            f"{path.name}: the tape sheet has a heading but no measure; add a line for each level.",
            where=str(path),
        )
    _check_levels(path, rows, [number for number, _ in numbered[1:]])
    return TapeSheet(tuple(sorted(rows, key=lambda row: row.level_mm)))


def compare(measures: Measures, tape: TapeSheet) -> tuple[Finding, ...]:
    """Where scan and tape differ by more than is known to happen.

    Parameters
    ----------
    measures : Measures
        Of the scan, at the levels of the tape sheet; levels without a partner are left out.
    tape : TapeSheet

    Returns
    -------
    tuple of Finding
        One for each level that differs, one when all differ the same way, and one that says so
        when nothing does.
    """
    pairs = _pairs(measures, tape)
    if not pairs:
        return ()
    findings = [
        *(_girth_finding(scan, row) for scan, row in pairs if _girth_differs(scan, row)),
        *_width_findings(pairs),
        *_bias_findings(pairs),
    ]
    if findings:
        return tuple(findings)
    return (
        Finding(
            "capture",
            "tape-agrees",
            Severity.OK,
            f"Scan and tape agree within known variation at all {len(pairs)} levels.",
            value=max(abs(scan.tape_mm - row.tape_mm) for scan, row in pairs),
            limit=SCAN_AGAINST_HAND_MM.value,
            unit="mm",
            basis=Basis.MEASURED,
            source=SCAN_AGAINST_HAND_MM.source,
        ),
    )


_Pairs = list[tuple[LevelMeasure, TapeRow]]


def _pairs(measures: Measures, tape: TapeSheet) -> _Pairs:
    return [
        (scan, row)
        for row in tape.rows
        for scan in measures.levels
        if abs(scan.level_mm - row.level_mm) <= _SAME_LEVEL_MM
    ]


def _girth_differs(scan: LevelMeasure, row: TapeRow) -> bool:
    return abs(scan.tape_mm - row.tape_mm) > SCAN_AGAINST_HAND_MM.value


def _girth_finding(scan: LevelMeasure, row: TapeRow) -> Finding:
    difference = scan.tape_mm - row.tape_mm
    raters = TAPE_BETWEEN_RATERS_MM.value
    if abs(difference) > raters:
        advice = "measure again, and check the level, the side and what was worn under the scanner"
    else:
        advice = (
            f"two people's tapes may differ by up to {raters:g} mm (from memory), so measure again"
        )
    return Finding(
        "capture",
        "girth-differs-from-tape",
        Severity.WARNING,
        f"The scan is {abs(difference):.1f} mm {'larger' if difference > 0 else 'smaller'} around "
        f"than the tape ({scan.tape_mm:.0f} against {row.tape_mm:.0f} mm); {advice}.",
        where=place(row.level_mm),
        value=difference,
        limit=SCAN_AGAINST_HAND_MM.value,
        unit="mm",
        basis=Basis.MEASURED,
        source=SCAN_AGAINST_HAND_MM.source,
    )


def _width_findings(pairs: _Pairs) -> list[Finding]:
    ml = [(scan.ml_mm - row.ml_mm, row.level_mm) for scan, row in pairs if row.ml_mm is not None]
    ap = [(scan.ap_mm - row.ap_mm, row.level_mm) for scan, row in pairs if row.ap_mm is not None]
    return [
        *_one_width(ml, "ml-differs", "ML", SCAN_BREADTH_BIAS_MM),
        *_one_width(ap, "ap-differs", "AP", SCAN_DEPTH_BIAS_MM),
    ]


def _one_width(
    differences: list[tuple[float, float]], code: str, name: str, limit: Sourced[float]
) -> list[Finding]:
    return [
        Finding(
            "capture",
            f"{code}-from-tape",
            Severity.WARNING,
            f"{name} of the scan is {abs(difference):.1f} mm "
            f"{'more' if difference > 0 else 'less'} than the hand measure; measure again, and "
            "check that both were taken along the same axis.",
            where=place(level_mm),
            value=difference,
            limit=limit.value,
            unit="mm",
            basis=Basis.MEASURED,
            source=limit.source,
        )
        for difference, level_mm in differences
        if abs(difference) > limit.value
    ]


def _bias_findings(pairs: _Pairs) -> list[Finding]:
    """All levels off the same way: the mean and its 95 % confidence against the standard."""
    difference = np.array([scan.tape_mm - row.tape_mm for scan, row in pairs])
    if len(difference) < 3:
        return []
    mean = float(difference.mean())
    error = 1.96 * float(difference.std(ddof=1)) / math.sqrt(len(difference))
    limit = SCAN_GIRTH_BIAS_MM
    if abs(mean) - error <= limit.value:
        return []
    return [
        Finding(
            "capture",
            "scan-and-tape-biased",
            Severity.WARNING,
            f"At all levels together the scan is {abs(mean):.1f} mm "
            f"{'larger' if mean > 0 else 'smaller'} around than the tape: check the time after "
            "doffing, the pull on the tape, the scan's unit and whether a liner was worn.",
            value=mean,
            limit=limit.value,
            unit="mm",
            basis=Basis.MEASURED,
            source=limit.source,
        )
    ]


def _text(path: Path) -> str:
    try:
        if path.stat().st_size > _LARGEST_BYTES:
            raise InvalidTape(f"{path.name}: this is too large for a tape sheet.", where=str(path))
        return path.read_text(encoding="utf-8-sig")
    except FileNotFoundError as error:
        raise CannotRead(
            f"{path} does not exist; check its name and folder.", where=str(path)
        ) from error
    except OSError as error:
        raise CannotRead(
            f"{path} cannot be read ({error.strerror or error}).", where=str(path)
        ) from error
    except UnicodeDecodeError as error:
        raise InvalidTape(
            f"{path.name}: this is not a text file; save the tape sheet as CSV.", where=str(path)
        ) from error


def _cells(path: Path) -> list[list[str]]:
    """Cells of each line; spreadsheets with decimal commas part cells by semicolons."""
    text = _text(path)
    if ";" in text.split("\n", 1)[0]:
        text = text.replace(",", ".").replace(";", ",")
    try:
        return list(csv.reader(StringIO(text)))
    except csv.Error as error:
        raise InvalidTape(
            f"{path.name}: this is not a tape sheet ({error}); save it as CSV.", where=str(path)
        ) from error


def _columns(path: Path, heading: list[str]) -> dict[str, int]:
    names = [name.strip().lower() for name in heading]
    for needed in (LEVEL_COLUMN, TAPE_COLUMN):
        if needed not in names:
            raise InvalidTape(
                f'{path.name}: the first line has no column "{needed}"; it should read '
                f'"{LEVEL_COLUMN},{TAPE_COLUMN}", parted by commas.',
                where=f"{path}, line 1",
            )
    known = (LEVEL_COLUMN, TAPE_COLUMN, *OPTIONAL_COLUMNS)
    return {name: index for index, name in enumerate(names) if name in known}


def _row(path: Path, number: int, row: list[str], columns: dict[str, int]) -> TapeRow:
    def value(name: str, possible: tuple[float, float]) -> float:
        return _number(path, number, name, _cell(row, columns, name), possible)

    def optional(name: str) -> float | None:
        return value(name, _POSSIBLE_MEASURE_MM) if _cell(row, columns, name) else None

    return TapeRow(
        value(LEVEL_COLUMN, _POSSIBLE_LEVEL_MM),
        value(TAPE_COLUMN, _POSSIBLE_MEASURE_MM),
        optional("ml_mm"),
        optional("ap_mm"),
    )


def _cell(row: list[str], columns: dict[str, int], name: str) -> str:
    index = columns.get(name, len(row))
    return row[index].strip() if index < len(row) else ""


def _number(path: Path, number: int, name: str, text: str, possible: tuple[float, float]) -> float:
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    low, high = possible
    if not low <= value <= high:
        problem = f'has "{text}"' if text else "has nothing"
        raise InvalidTape(
            f"{path.name}, line {number}: {name} {problem} where a number of millimetres between "
            f"{low:g} and {high:g} belongs; correct the line.",
            where=f"{path}, line {number}",
            fields={"line": number, "column": name, "text": text},
        )
    return value


def _check_levels(path: Path, rows: list[TapeRow], numbers: list[int]) -> None:
    seen: dict[float, int] = {}
    for row, number in zip(rows, numbers, strict=True):
        if row.level_mm in seen:
            raise InvalidTape(
                f"{path.name}, line {number}: level {row.level_mm:g} mm stands already in line "
                f"{seen[row.level_mm]}; keep one of them.",
                where=f"{path}, line {number}",
                fields={"line": number},
            )
        seen[row.level_mm] = number
