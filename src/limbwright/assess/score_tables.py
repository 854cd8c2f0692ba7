"""Cut-offs, group means and least detectable changes of the outcome measures, with sources."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from limbwright.assess.measures import Measure
from limbwright.core.sources import Confidence, Origin, Source, Sourced

_GAILEY = Source(
    Origin.MEMORY,
    "Gailey et al. 2002, Arch Phys Med Rehabil 83:613, classes by total of the Amputee Mobility"
    " Predictor",
    Confidence.HIGH,
)

CLASS_FROM: Sourced[Mapping[Measure, tuple[tuple[int, str], ...]]] = Sourced(
    {
        Measure.AMPPRO: ((15, "K1"), (27, "K2"), (37, "K3"), (43, "K4")),
        Measure.AMPNOPRO: ((0, "K0"), (9, "K1"), (21, "K2"), (29, "K3"), (37, "K4")),
    },
    "points",
    _GAILEY,
)
"""Lowest total of each class. Below 15 of the AMPPRO no class is told."""


@dataclass(frozen=True, slots=True)
class ClassMeans:
    """Group means of one measure by class; means, no cut-offs."""

    means: Mapping[str, float]
    source: Source


CLASS_MEANS: Mapping[Measure, ClassMeans] = {
    Measure.TWO_MINUTE_WALK: ClassMeans(
        {"K2": 81.7, "K3": 138.4, "K4": 177.9},
        Source(
            Origin.PUBLISHED,
            "Gaunaurd et al. 2020, Arch Phys Med Rehabil: 2-minute walk by class, SD 27 to 31 m"
            " (7, 70 and 24 people)",
            Confidence.HIGH,
        ),
    ),
    Measure.SIX_MINUTE_WALK: ClassMeans(
        {"K1": 50.0, "K2": 190.0, "K3": 299.0, "K4": 419.0},
        Source(
            Origin.MEMORY,
            "Gailey et al. 2002, Arch Phys Med Rehabil 83:613: 6-minute walk by class, SD 30 to"
            " 111 m",
            Confidence.MEDIUM,
        ),
    ),
    Measure.TEN_METRE_WALK: ClassMeans(
        {"K1": 0.17, "K2": 0.38, "K3": 0.63, "K4": 1.06},
        Source(
            Origin.MEMORY,
            "Batten et al. 2019, Prosthet Orthot Int 43:196: walking speed by class",
            Confidence.MEDIUM,
        ),
    ),
}


@dataclass(frozen=True, slots=True)
class CutOff:
    """From where on a measure speaks of falls, and for whom."""

    value: float
    says: str
    source: Source


_DITE = Source(Origin.PUBLISHED, "Dite et al. 2007, Arch Phys Med Rehabil 88:109", Confidence.HIGH)
_SAWERS = Source(Origin.PUBLISHED, "Sawers and Hafner 2020, PM&R 12:16", Confidence.HIGH)

FALL_CUT_OFFS: Mapping[Measure, tuple[CutOff, ...]] = {
    Measure.TIMED_UP_AND_GO: (
        CutOff(19.0, "several falls within half a year of discharge, below the knee", _DITE),
        CutOff(8.17, "falls among established prosthesis users", _SAWERS),
    ),
    Measure.FOUR_SQUARE_STEP: (
        CutOff(24.0, "several falls within half a year of discharge, below the knee", _DITE),
        CutOff(8.49, "falls among established prosthesis users", _SAWERS),
    ),
}
"""Longest first. The two answer different questions: early multiple fallers, established users."""

_RESNIK = Source(
    Origin.MEMORY,
    "Resnik and Borgia 2011, Physical Therapy 91:555, least detectable change (90 %)",
    Confidence.HIGH,
)


@dataclass(frozen=True, slots=True)
class LeastChange:
    """A change below this is within the measure's own scatter."""

    value: float
    source: Source


LEAST_CHANGE: Mapping[Measure, LeastChange] = {
    Measure.TWO_MINUTE_WALK: LeastChange(34.3, _RESNIK),
    Measure.SIX_MINUTE_WALK: LeastChange(45.0, _RESNIK),
    Measure.TIMED_UP_AND_GO: LeastChange(3.6, _RESNIK),
    Measure.AMPPRO: LeastChange(3.4, _RESNIK),
    Measure.SOCKET_COMFORT: LeastChange(
        2.7,
        Source(
            Origin.MEMORY,
            "Hafner et al. 2016, socket comfort score now, least detectable change (90 %)",
            Confidence.MEDIUM,
        ),
    ),
    Measure.L_TEST: LeastChange(
        4.5,
        Source(
            Origin.MEMORY,
            "Rushton et al. 2015, L test, least important difference",
            Confidence.MEDIUM,
        ),
    ),
}
