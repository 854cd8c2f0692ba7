"""How the part is made: part of the case document."""

from __future__ import annotations

from enum import Enum

from pydantic import Field

from limbwright.core.plan import Plan


class Output(str, Enum):
    """One thing that is written for fabrication or for the file."""

    SOCKET_3MF = "socket_3mf"
    SOCKET_STL = "socket_stl"
    POSITIVE_3MF = "positive_3mf"
    POSITIVE_STL = "positive_stl"
    WORK_ORDER = "work_order"
    TEMPLATE = "template"
    CASTING_SHEET = "casting_sheet"
    """Written where the case holds a casting plan."""
    FINDINGS = "findings"
    CASE = "case"
    """The case document, and what the catalogue entries that it names said."""


class MakePlan(Plan):
    """What is written for fabrication. The wall thickness stands in the proof's plan."""

    field_spacing_mm: float = Field(default=0.8, ge=0.4, le=2)
    """Sampling of the distance field that the shell is cut from."""
    mark_side: bool = True
    outputs: tuple[Output, ...] = Field(default=tuple(Output), max_length=len(Output))
    """What is written; everything by default."""
