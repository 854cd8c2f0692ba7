"""What physics tests measured, kept for the tables of the method pages."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

OUTPUT = Path(__file__).resolve().parents[1] / "output" / "validation"
Record = Callable[..., None]


@pytest.fixture
def record_validation(request: pytest.FixtureRequest) -> Iterator[Record]:
    """A function that takes rows (name, quantity, computed, reference, unit, source) of a page.

    They are written when the test passes, one file for each test, and become the tables of
    `docs/method/PAGE.md` by `scripts/validation_tables.py`.
    """
    rows: list[dict[str, object]] = []

    def record(
        page: str,
        name: str,
        quantity: str,
        *,
        computed: float,
        reference: float,
        unit: str,
        source: str,
    ) -> None:
        rows.append(
            {
                "page": page,
                "name": name,
                "quantity": quantity,
                "computed": float(computed),
                "reference": float(reference),
                "unit": unit,
                "source": source,
            }
        )

    before = request.session.testsfailed
    yield record
    if rows and request.session.testsfailed == before:
        OUTPUT.mkdir(parents=True, exist_ok=True)
        name = re.sub(r"[^A-Za-z0-9]+", "-", request.node.nodeid.split("/")[-1]).strip("-")
        text = json.dumps(rows, indent=1, ensure_ascii=False)
        (OUTPUT / f"{name}.json").write_text(text + "\n", encoding="utf-8")
