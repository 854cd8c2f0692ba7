"""Figures of the live model, each with its source."""

from __future__ import annotations

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
