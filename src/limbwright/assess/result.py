"""What follows from the person alone."""

from __future__ import annotations

from dataclasses import dataclass

from limbwright.core.findings import Finding
from limbwright.core.sources import Basis, Source


@dataclass(frozen=True, slots=True)
class ScoreReading:
    """The latest score of one outcome measure.

    Parameters
    ----------
    measure : str
    value : float
    unit : str
    on : str
        Date.
    class_by_cut_off : str or None
        Functional class by the measure's own cut-offs.
    class_by_nearest_mean : str or None
        Class whose group mean lies nearest; no cut-off.
    change : float or None
        Since the score before.
    least_change : float or None
        Smaller changes may be none.
    """

    measure: str
    value: float
    unit: str
    on: str
    class_by_cut_off: str | None
    class_by_nearest_mean: str | None
    change: float | None
    least_change: float | None


@dataclass(frozen=True, slots=True)
class Reason:
    """Why something speaks for or against, and where that comes from."""

    text: str
    source: Source


@dataclass(frozen=True, slots=True)
class SuspensionAdvice:
    """What speaks for and against one suspension for this person.

    Parameters
    ----------
    kind : str
    speaks_for, think_twice, avoid : tuple of Reason
    not_asked : tuple of str
        What must be known before more can be said.
    """

    kind: str
    speaks_for: tuple[Reason, ...]
    think_twice: tuple[Reason, ...]
    avoid: tuple[Reason, ...]
    not_asked: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Assessment:
    """Loads and guards that follow from the person.

    Parameters
    ----------
    body_weight_n : float
    speed_m_s : float
        Walking speed used for loads.
    speed_basis : Basis
    load_level : str or None
        ISO 10328 level by mass ("P3", "P4", "P5"); None where no level is established.
    foot_length_mm : float
    foot_length_basis : Basis
    findings : tuple of Finding
    scores : tuple of ScoreReading
    suspensions : tuple of SuspensionAdvice
        One for each, in the order of the rules; the choice is the practitioner's.
    socket_words : tuple of str
        Terms of limb and socket with the trade's words beside them.
    """

    body_weight_n: float
    speed_m_s: float
    speed_basis: Basis
    load_level: str | None
    foot_length_mm: float
    foot_length_basis: Basis
    findings: tuple[Finding, ...]
    scores: tuple[ScoreReading, ...] = ()
    suspensions: tuple[SuspensionAdvice, ...] = ()
    socket_words: tuple[str, ...] = ()
