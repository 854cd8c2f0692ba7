"""Constants and limits of the capture stage, each with its source."""

from __future__ import annotations

from limbwright.core.sources import Confidence, Origin, Source, Sourced


def _chosen(reason: str) -> Source:
    return Source(Origin.PROJECT, reason, Confidence.MEDIUM)


# Size of a limb, for the unit and for guards -------------------------------------------------

CALF_GIRTH_RANGE_MM = Sourced(
    (266.0, 523.0),
    "mm",
    Source(
        Origin.PUBLISHED,
        "Gordon et al. 2014, US Army anthropometric survey 2012 (NATICK/TR-15/007), least and "
        "greatest calf circumference of 6068 adults",
        Confidence.HIGH,
    ),
)
RESIDUAL_LIMB_VOLUME_RANGE_ML = Sourced(
    (569.0, 3115.0),
    "ml",
    Source(
        Origin.PUBLISHED,
        "Seminati et al., ten residual lower limbs measured by tape and scanners, least and "
        "greatest volume (levels of amputation mixed)",
        Confidence.HIGH,
    ),
)
"""A guard on what came in, not a clinical limit."""
USUAL_LIMB_GIRTH_MM = Sourced(
    350.0, "mm", _chosen("a little under the mean calf of the survey, since residual limbs waste")
)
LIMB_GIRTH_SPREAD = Sourced(
    0.25,
    "",
    _chosen("standard deviation of the girth's logarithm: one in twenty lies 1.6 times off"),
)
UNLIKELY_LIMB_SPREADS = Sourced(
    3.0, "", _chosen("a size this many spreads off is as likely no limb at all as one")
)
POSSIBLE_LIMB_GIRTH_MM = Sourced(
    (120.0, 900.0), "mm", _chosen("outside it a scan is not of a person's lower leg in any unit")
)
FARTHEST_COORDINATE = Sourced(
    1e9, "", _chosen("no scan reaches as far in any unit, and squares of far larger ones overflow")
)
LARGEST_SCAN_MM = Sourced(
    1500.0, "mm", _chosen("longer than any leg: one stray point draws the surface out without end")
)
UNIT_SURE_FROM = Sourced(0.9, "", _chosen("a unit found with less sureness is to be confirmed"))
LIMB_LENGTH_RANGE_MM = Sourced(
    (60.0, 350.0),
    "mm",
    _chosen("shorter leaves no room for a socket, longer none for a foot"),
)

# Landmarks -----------------------------------------------------------------------------------

LANDMARK_OFF_SURFACE_MM = Sourced(
    5.0, "mm", _chosen("beyond it a landmark does not belong to the surface that was scanned")
)
LANDMARK_NEAR_SURFACE_MM = Sourced(
    2.0, "mm", _chosen("beyond it a landmark is moved onto the skin with a warning")
)

# Tape against scan ---------------------------------------------------------------------------

_ISO_20685 = "ISO 20685-1:2018, greatest mean error of a scan against a hand measure"
SCAN_GIRTH_BIAS_MM = Sourced(
    4.0,
    "mm",
    Source(
        Origin.PUBLISHED,
        f"{_ISO_20685}, small girths; that a residual limb counts as one is our reading",
        Confidence.MEDIUM,
    ),
)
SCAN_BREADTH_BIAS_MM = Sourced(
    4.0,
    "mm",
    Source(Origin.PUBLISHED, f"{_ISO_20685}, body breadths", Confidence.HIGH),
)
SCAN_DEPTH_BIAS_MM = Sourced(
    5.0,
    "mm",
    Source(Origin.PUBLISHED, f"{_ISO_20685}, body depths", Confidence.HIGH),
)
SCAN_AGAINST_HAND_MM = Sourced(
    5.0,
    "mm",
    Source(
        Origin.PUBLISHED,
        "Geil 2007, J Rehabil Res Dev 44:515: scans and hand measures of the same limb differ "
        "by about 5 mm",
        Confidence.HIGH,
    ),
)
TAPE_BETWEEN_RATERS_MM = Sourced(
    10.0,
    "mm",
    Source(
        Origin.MEMORY,
        "two people's tapes on the same limb differ by 5 to 10 mm (after Geil 2005, J Rehabil "
        "Res Dev 42:131, figures not seen)",
        Confidence.MEDIUM,
    ),
)
"""Explains a difference; never decides one alone."""

# Repair --------------------------------------------------------------------------------------

SCAN_AS_IT_IS = Source(
    Origin.COMPUTED, "measured on the surface as it was scanned", Confidence.HIGH
)
SPECK_AREA_SHARE = Sourced(
    0.1, "", _chosen("a part with less than this share of the largest part's area is not a limb")
)
HOLE_RIM_MM = Sourced(
    200.0, "mm", _chosen("rim of the largest hole that is closed: jagged, so about 50 mm across")
)
NOTABLE_HOLE_RIM_MM = Sourced(
    120.0, "mm", _chosen("rim from which a closed hole is reported as a caution")
)
KEPT_WAVE_MM = Sourced(
    12.0,
    "mm",
    _chosen("form shorter than this is noise: even the tibial crest bends more gently"),
)
QUIET_NOISE_MM = Sourced(
    0.05, "mm", _chosen("less roughness than this adds under 0.5 mm to a girth and is left alone")
)
