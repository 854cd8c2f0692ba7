"""Constants of the assessment, each with its source."""

from __future__ import annotations

from collections.abc import Mapping

from limbwright.assess.plan import Activity
from limbwright.core.sources import Confidence, Origin, Source, Sourced

WALKING_SPEED_M_S: Sourced[Mapping[Activity, float]] = Sourced(
    {
        Activity.K0: 0.2,
        Activity.K1: 0.3,
        Activity.K2: 0.6,
        Activity.K3: 1.0,
        Activity.K4: 1.3,
    },
    "m/s",
    Source(
        Origin.MEMORY,
        "speeds by functional class: K1 0.2-0.4, K2 0.4-0.7, K3 0.8-1.2, K4 from 1.2 m/s; K0, for"
        " which none is known, at the low end of K1",
        Confidence.MEDIUM,
    ),
)
"""Default walking speed by class, within its range."""

FASTEST_SPEED_M_S: Sourced[Mapping[Activity, float]] = Sourced(
    {
        Activity.K0: 0.4,
        Activity.K1: 0.6,
        Activity.K2: 1.0,
        Activity.K3: 1.6,
        Activity.K4: 1.8,
    },
    "m/s",
    Source(
        Origin.PROJECT,
        "fast walking of each class, above its usual speeds (from memory: K1 0.2 to 0.4, K2 0.4 to"
        " 0.7, K3 0.8 to 1.2, K4 from 1.2 m/s)",
        Confidence.MEDIUM,
    ),
)
"""The demand is taken at the person's speed, but at no less than this."""

FOOT_LENGTH_BY_STATURE: Sourced[tuple[float, float]] = Sourced(
    (24.3, 0.1386),
    "mm",
    Source(
        Origin.COMPUTED,
        "mean of the men's and women's regressions of foot length on stature (30.1 + 0.1373 and"
        " 18.5 + 0.1399 times stature) from the 2012 US Army survey public data (Gordon et al."
        " 2014)",
        Confidence.HIGH,
    ),
)
"""Intercept in mm and slope; the sex is not asked for."""

SURVEY_STATURE_MM: Sourced[tuple[float, float]] = Sourced(
    (1409.0, 1993.0),
    "mm",
    Source(
        Origin.PUBLISHED,
        "smallest and largest stature in the 2012 US Army survey (Gordon et al. 2014)",
        Confidence.HIGH,
    ),
)
