"""Base of everything that a practitioner decides and a case document stores."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict

DAY_PATTERN = r"^\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$"
"""Of a day that is kept as text, as 2026-03-15."""


class Plan(BaseModel):
    """A frozen part of the case document; unknown keys are refused, never dropped."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)
