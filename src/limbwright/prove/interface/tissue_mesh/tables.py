"""What stands in for anatomy that neither scan nor bones show. All are choices of the project."""

from __future__ import annotations

from limbwright.core.sources import Confidence, Origin, Source, Sourced

_DRAWN = Source(
    Origin.PROJECT,
    "femur and patella are not in the scan: the tibia's section below the rounded rim of its"
    " plateau is drawn upward and kept under the skin",
    Confidence.LOW,
)
_MEMBRANE = Source(
    Origin.PROJECT,
    "the interosseous membrane as a rigid sheet, thick enough to be meshed around; what that does"
    " is measured in docs/method/tissue_mesh.md",
    Confidence.LOW,
)

BELOW_PLATEAU_MM = Sourced(8.0, "mm", _DRAWN)
"""Where the section is taken that is drawn upward."""
KNEE_COVER_MM = Sourced(4.0, "mm", _DRAWN)
"""The drawn-up section is narrowed until it keeps this cover."""
MEMBRANE_MM = Sourced(4.0, "mm", _MEMBRANE)
"""Thickness of the sheet between the bones."""
ROUNDING_MM = Sourced(6.0, "mm", _MEMBRANE)
"""Width over which bones and membrane are joined; the hollow is filled by a quarter of it."""
