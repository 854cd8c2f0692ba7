"""Base of everything that a practitioner decides and a case document stores."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Plan(BaseModel):
    """A frozen part of the case document; unknown keys are refused, never dropped."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)
