"""Figures of the live model, each with its source."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from limbwright.core.sources import Confidence, Origin, Source, Sourced

LAYER_MPA_PER_MM = Sourced(
    1.0,
    "MPa/mm",
    Source(
        Origin.PROJECT,
        "stiffness of the contact layer: 0.1 mm at 100 kPa, far under what a scan resolves; the "
        "finite elements of this project take the same",
        Confidence.MEDIUM,
    ),
)

AREA_MEAN, AREA_PEAK, SINGLE_PLACE = "area mean", "area peak", "single place"
SEARCH_SCATTER_KPA: Sourced[Mapping[str, float]] = Sourced(
    MappingProxyType({AREA_MEAN: 3.0, AREA_PEAK: 8.0, SINGLE_PLACE: 13.0}),
    "kPa",
    Source(
        Origin.COMPUTED,
        "the demo limb and two open test limbs, six load cases, each searched from where the "
        "search ended in sockets of half to one and a half times the depths, greatest difference "
        "(scripts/live_scatter.py), rounded up",
        Confidence.MEDIUM,
    ),
)
