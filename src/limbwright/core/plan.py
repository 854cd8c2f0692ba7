"""Base of everything that a practitioner decides and a case document stores."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

DAY_PATTERN = r"^\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$"
"""Of a day that is kept as text, as 2026-03-15."""


class Plan(BaseModel):
    """A frozen part of the case document; unknown keys are refused, never dropped."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


Coordinate = Annotated[float, Field(ge=-1e6, le=1e6)]
"""A guard: beyond any scan in any unit, and small enough to square."""
