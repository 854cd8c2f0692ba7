"""What the computed picture says to what was logged."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Any

from limbwright.align.result import DeviationAnswer
from limbwright.core.findings import Finding
from limbwright.core.sources import Basis, Source


class Verdict(str, Enum):
    """How a computed state stands to a possible cause."""

    FITS = "fits"
    UNCLEAR = "unclear"
    AGAINST = "speaks against"
    NOT_COMPUTED = "not computed"


@dataclass(frozen=True, slots=True)
class PlanEdit:
    """One change of the case document.

    Parameters
    ----------
    path : str
        "shape.areas.fibular_head.depth_mm": keys, and names or positions in lists, joined by dots.
    value : plain JSON value
    was : float or None
        What stood there in the picture that was read; None where the picture does not tell.
    level_mm : float or None
        Level that a position in the list of take-up meant in that picture, mm below the
        mid-patellar tendon: another plan may have another level there. None for other entries.
    """

    path: str
    value: Any
    was: float | None = None
    level_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A change to try first, small, and as edits of the plan where the plan can hold it.

    Parameters
    ----------
    text : str
    edits : tuple of PlanEdit
        Empty where it is something to do by hand.
    """

    text: str
    edits: tuple[PlanEdit, ...]


@dataclass(frozen=True, slots=True)
class CauseReading:
    """A possible cause and what the computed picture says to it.

    Parameters
    ----------
    cause : str
    verdict : Verdict
    says : str
        The evidence, with numbers and units.
    value, limit : float or None
    unit : str
    basis : Basis
    source : Source
        Where the connection of sign and cause, or the limit, comes from.
    suggestion : Suggestion or None
    at_least : bool
        All is well from the limit on: the cause fits where the value falls short of it.
    """

    cause: str
    verdict: Verdict
    says: str
    value: float | None
    limit: float | None
    unit: str
    basis: Basis
    source: Source
    suggestion: Suggestion | None
    at_least: bool = False


@dataclass(frozen=True, slots=True)
class ComplaintAnswer:
    """What may be behind one complaint, what fits best first.

    Parameters
    ----------
    fitting, complaint : int
        Positions in the plan, from 0.
    sign, phase, place : str
        In words; `place` names the area or the nearest landmark.
    point_mm : tuple of 3 floats or None
        On the skin, limb frame.
    load_case : str
        Whose picture was read.
    causes : tuple of CauseReading
    """

    fitting: int
    complaint: int
    sign: str
    phase: str
    place: str
    point_mm: tuple[float, float, float] | None
    load_case: str
    causes: tuple[CauseReading, ...]


@dataclass(frozen=True, slots=True)
class WalkAnswer:
    """What may be behind something seen of the walk.

    Parameters
    ----------
    answer : DeviationAnswer
    suggestion : Suggestion or None
        The first change as edits of the plan; None where it is none of the alignment.
    """

    answer: DeviationAnswer
    suggestion: Suggestion | None


@dataclass(frozen=True, slots=True)
class FittingReading:
    """In which picture one fitting was read, and what that says to the walk.

    Parameters
    ----------
    fitting : int
        Position in the plan, from 0.
    revision : int or None
        Revision that its answers are read in; None for the case as it stands.
    differs : bool
        Whether that revision is of another socket or leg than the one that stands.
    remark : str
        Why it is not the revision that was worn; "" where it is.
    walk : tuple of WalkAnswer
    """

    fitting: int
    revision: int | None
    differs: bool
    remark: str
    walk: tuple[WalkAnswer, ...]


@dataclass(frozen=True, slots=True, eq=False)
class FitResult:
    """All fittings, read.

    Parameters
    ----------
    answers : tuple of ComplaintAnswer
        Of the last fitting first.
    readings : tuple of FittingReading
        Of the fittings that ask something, the last first.
    comfort : tuple of (str, int)
        Date and comfort score, as logged.
    ply : tuple of (str, int)
        Date and sock ply.
    findings : tuple of Finding
    """

    answers: tuple[ComplaintAnswer, ...]
    readings: tuple[FittingReading, ...]
    comfort: tuple[tuple[str, int], ...]
    ply: tuple[tuple[str, int], ...]
    findings: tuple[Finding, ...]
