"""How the part is made: part of the case document."""

from __future__ import annotations

from pydantic import Field

from limbwright.core.plan import Plan


class MakePlan(Plan):
    """What is written for fabrication. The wall thickness stands in the proof's plan."""

    field_spacing_mm: float = Field(default=0.8, ge=0.4, le=2)
    """Sampling of the distance field that the shell is cut from."""
    mark_side: bool = True
