"""Where a number comes from, carried beside the number."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Generic, TypeVar

T = TypeVar("T")


class Origin(str, Enum):
    """How a number came to be known."""

    PUBLISHED = "published"
    COMPUTED = "computed"
    TRADE = "common practice, no source"
    MEMORY = "from memory"
    PROJECT = "project choice"
    STATED = "stated in the case"
    CATALOGUE = "given by catalogue"


class Confidence(str, Enum):
    """How sure a number is: LOW never decides a pass or a fail."""

    HIGH = "high"
    MEDIUM = "medium"
    LOW = "low"


@dataclass(frozen=True, slots=True)
class Source:
    """The source of a constant or limit.

    Parameters
    ----------
    origin : Origin
    citation : str
        Author, year, journal or standard, table; or how it was computed.
    confidence : Confidence
    """

    origin: Origin
    citation: str
    confidence: Confidence

    def __str__(self) -> str:
        if self.origin is Origin.PUBLISHED:
            return self.citation
        return f"{self.origin.value}: {self.citation}" if self.citation else self.origin.value


STATED_IN_CASE = Source(Origin.STATED, "", Confidence.HIGH)
"""Of a limit that the case itself states."""


@dataclass(frozen=True, slots=True)
class Sourced(Generic[T]):
    """A value with its unit and source.

    Parameters
    ----------
    value : T
    unit : str
        Plain unit, for example "kPa"; "" for a ratio.
    source : Source
    """

    value: T
    unit: str
    source: Source


class Basis(str, Enum):
    """What a result rests on, weakest link first to be shown."""

    MEASURED = "measured"
    GIVEN = "given"
    ESTIMATED = "estimated"
    GUESSED = "guessed"
    DEFAULT = "default"
