"""Write the validation tables of the method pages from what the physics tests measured.

python scripts/validation_tables.py           write the tables, from tests/output/validation
python scripts/validation_tables.py --check   say whether the pages still tell what was measured

A page holds its table between two comments, `<!-- validation -->` and `<!-- end -->`. With
--check only rows are compared that the tests at hand wrote: a fast run leaves the others alone.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
MEASURED = ROOT / "tests" / "output" / "validation"
START, END = "<!-- validation -->", "<!-- end -->"
HEAD = (
    "| Case | Quantity | Computed | Reference | Apart | Source |",
    "|---|---|---:|---:|---:|---|",
)
_APART_AT_MOST = 0.002
"""Between a page's figure and a new measurement of it, as a share: another solver's rounding."""


def measured_rows(page: str) -> list[dict[str, Any]]:
    """All rows that tests wrote for a page, in the order of their files."""
    rows = [
        row
        for path in sorted(MEASURED.glob("*.json"))
        for row in json.loads(path.read_text(encoding="utf-8"))
    ]
    return [row for row in rows if row["page"] == page]


def line_of(row: dict[str, Any]) -> str:
    """One line of a page's table."""
    computed, reference = float(row["computed"]), float(row["reference"])
    apart = f"{100 * (computed / reference - 1):+.2f} %"
    unit = f" {row['unit']}" if row["unit"] else ""
    return (
        f"| {row['name']} | {row['quantity']} | {computed:.4g}{unit} | {reference:.4g}{unit} "
        f"| {apart} | {row['source']} |"
    )


def stale_lines(text: str, rows: Sequence[dict[str, Any]]) -> list[str]:
    """Rows that a page does not tell, or tells with another figure."""
    told = {}
    for line in text.splitlines():
        cells = [cell.strip() for cell in line.strip("| ").split("|")]
        if len(cells) == len(HEAD[0].strip("| ").split("|")):
            told[(cells[0], cells[1])] = cells[2].split(" ")[0]
    stale = []
    for row in rows:
        before = told.get((row["name"], row["quantity"]))
        now = float(row["computed"])
        if before is None or abs(float(before) - now) > _APART_AT_MOST * abs(now):
            stale.append(line_of(row))
    return stale


def main(arguments: Sequence[str]) -> int:
    """Write or check every page that holds a table."""
    stale = []
    for page in sorted((ROOT / "docs" / "method").glob("*.md")):
        text = page.read_text(encoding="utf-8")
        if START not in text:
            continue
        rows = measured_rows(page.stem)
        if "--check" in arguments:
            stale += [f"{page.name}: {line}" for line in stale_lines(text, rows)]
        elif rows:
            before, rest = text.split(START, 1)
            after = rest.split(END, 1)[1]
            table = "\n".join([*HEAD, *map(line_of, rows)])
            page.write_text(f"{before}{START}\n{table}\n{END}{after}", encoding="utf-8")
    for line in stale:
        print(f"not what the tests measured: {line}")
    if stale:
        print("Run the physics tests, then scripts/validation_tables.py.")
    return 1 if stale else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
