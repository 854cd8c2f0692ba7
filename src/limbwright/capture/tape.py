"""The tape sheet: what was measured by hand."""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass
from io import StringIO
from pathlib import Path

from limbwright.core.errors import InvalidTape
from limbwright.core.reading import read_bounded

LEVEL_COLUMN = "level_below_mpt_mm"
TAPE_COLUMN = "tape_mm"
OPTIONAL_COLUMNS = ("perimeter_mm", "ml_mm", "ap_mm")
_POSSIBLE_LEVEL_MM = (-400.0, 600.0)
_POSSIBLE_MEASURE_MM = (10.0, 1500.0)
"""Outside these a number is a slip of the pen or in another unit."""
_LARGEST_BYTES = 1 << 20


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
        When the file is missing, may not be read or is far too large.
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


def _text(path: Path) -> str:
    content = read_bounded(path, _LARGEST_BYTES)
    # A spreadsheet's "Unicode text" is UTF-16 behind its mark.
    encoding = "utf-16" if content[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
    try:
        return content.decode(encoding)
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
