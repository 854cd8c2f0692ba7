"""How landmarks stand on a typical leg: the figures behind the limb frame's estimate.

Leans, bearings and places are from memory of the anatomy, brought to the two legs of one open
reference model; spreads are from memory. All are of low confidence and none decides a pass or a
fail. They say only which of several landmark lines to trust more, by how much each usually
leans, and where to look for a landmark that nobody gave.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from limbwright.capture.bone_setting import Build
from limbwright.capture.plan import Bone, DepthBasis
from limbwright.core.sources import Confidence, Origin, Source, Sourced


@dataclass(frozen=True, slots=True)
class Lean:
    """A line along the limb: how far its distal end usually departs from the long axis.

    Parameters
    ----------
    outward_deg, forward_deg : float
        Lean of the line, followed distally, towards outward and forward.
    outward_sd_deg, forward_sd_deg : float
        How much either differs between people, one standard deviation.
    """

    outward_deg: float
    forward_deg: float
    outward_sd_deg: float
    forward_sd_deg: float


@dataclass(frozen=True, slots=True)
class Bearing:
    """Direction of a landmark from the middle of its own section, anti-clockwise from outward.

    Parameters
    ----------
    angle_deg : float
        0 outward, 90 forward, 180 medial.
    sd_deg : float
        How much it differs between people, one standard deviation.
    """

    angle_deg: float
    sd_deg: float


_ANATOMY = Source(
    Origin.MEMORY,
    "anatomy of the adult leg, forward taken as the direction of the tubercle",
    Confidence.LOW,
)
_REFERENCE = (
    "residual limbs cut from the right and left leg of one woman, 3D Reference Organs for Skin and"
    " Knee, Female, v1.1 (Browne 2021, HuBMAP CCF 3D Reference Object Library)"
)
_BROUGHT_TO_REFERENCE = Source(
    Origin.MEMORY,
    f"{_ANATOMY.citation}; brought to the landmarks of {_REFERENCE} where it has them",
    Confidence.LOW,
)
_CHOICE = Source(Origin.PROJECT, "spread assumed for a landmark found by palpation", Confidence.LOW)

_REFERENCE_LEGS = Source(
    Origin.COMPUTED,
    f"means over {_REFERENCE}; the spread between people is from memory",
    Confidence.LOW,
)

CREST_LEAN = Sourced(Lean(-0.8, -9.5, 2.5, 3.5), "deg", _REFERENCE_LEGS)
"""Tubercle to lower crest on the skin: the tibia grows thinner, so it recedes."""
FIBULA_LEAN = Sourced(Lean(-0.2, -4.0, 3.5, 2.5), "deg", _REFERENCE_LEGS)
"""Fibular head to distal fibula."""
CONTOUR_LEAN = Sourced(Lean(3.2, -5.4, 6.0, 6.0), "deg", _REFERENCE_LEGS)
"""Outermost and foremost points of the sections below the datum: there bone lies near the skin,
while muscle, which differs most between limbs, lies behind and medially."""

LANDMARK_SPREAD_MM = Sourced(4.0, "mm", _CHOICE)

BEARINGS: Sourced[dict[str, Bearing]] = Sourced(
    {
        "tibial_tubercle": Bearing(95.0, 5.0),
        "mid_patellar_tendon": Bearing(101.0, 8.0),
        "fibular_head": Bearing(7.0, 7.0),
        "medial_tibial_flare": Bearing(170.0, 7.0),
        "lateral_tibial_tubercle": Bearing(42.0, 9.0),
    },
    "deg",
    _BROUGHT_TO_REFERENCE,
)
"""Bearings that carry the turn about the long axis."""


class From(Enum):
    """What the usual level of a landmark is counted from, positive proximally."""

    DATUM = "datum"
    END = "distal end"
    SHARE_OF_LENGTH = "share of the length below the datum"


@dataclass(frozen=True, slots=True)
class Place:
    """Usual place of a landmark on the skin.

    Parameters
    ----------
    level_mm : float
        Height over what `counted` names, or (negative) share of the length.
    bearing_deg : float
        As in Bearing.
    """

    level_mm: float
    bearing_deg: float
    counted: From = From.DATUM


PLACES: Sourced[dict[str, Place]] = Sourced(
    {
        "mid_patellar_tendon": Place(0.0, 102.0),
        "patella_lower_pole": Place(22.0, 104.0),
        "tibial_tubercle": Place(-19.0, 94.0),
        "medial_tibial_flare": Place(-20.0, 170.0),
        "lateral_tibial_tubercle": Place(7.0, 40.0),
        "fibular_head": Place(-4.0, 8.0),
        "crest_upper": Place(-0.42, 104.0, From.SHARE_OF_LENGTH),
        "crest_lower": Place(-0.72, 108.0, From.SHARE_OF_LENGTH),
        "distal_tibia": Place(17.0, 108.0, From.END),
        "distal_fibula": Place(30.0, 14.0, From.END),
        "medial_hamstring_tendon": Place(5.0, 235.0),
        "lateral_hamstring_tendon": Place(5.0, 325.0),
        "popliteal_centre": Place(0.0, 284.0),
        "medial_epicondyle": Place(42.0, 192.0),
        "lateral_epicondyle": Place(42.0, 14.0),
    },
    "mm, deg",
    _BROUGHT_TO_REFERENCE,
)
"""Proposals for landmarks that nobody gave."""


@dataclass(frozen=True, slots=True)
class Cover:
    """Tissue over bone at a landmark, as a share of the limb's thin cover.

    Parameters
    ----------
    share : float
    sd_mm : float
        How sure the bone's place is across the skin there, one standard deviation.
    """

    share: float
    sd_mm: float


_TISSUE = Source(
    Origin.MEMORY,
    "skin and fat are thinnest over tubercle, crest and fibular head, and grow with the girth of"
    " the knee, where there is little muscle",
    Confidence.LOW,
)

THIN_COVER_RADIUS_MM = Sourced(48.0, "mm", _TISSUE)
"""Mean radius of a knee at the datum that has next to no fat."""
THIN_COVER_MM = Sourced((4.0, 16.0), "mm", _TISSUE)
"""Least and greatest cover taken where it is thin."""
COVERS: Sourced[dict[str, Cover]] = Sourced(
    {
        "tibial_tubercle": Cover(1.0, 3.0),
        "crest_upper": Cover(1.0, 3.0),
        "crest_lower": Cover(1.0, 3.0),
        "medial_tibial_flare": Cover(2.0, 6.0),
        "lateral_tibial_tubercle": Cover(1.0, 4.0),
        "fibular_head": Cover(0.5, 4.0),
        "distal_tibia": Cover(0.6, 6.0),
        "distal_fibula": Cover(1.0, 4.0),
    },
    "1, mm",
    _TISSUE,
)
GUESSED_PLACE_SD_MM = Sourced(4.5, "mm", _TISSUE)
"""More spread of the bone's place under a landmark that is itself a guess."""
LEAST_COVER_MM = Sourced(
    2.0, "mm", Source(Origin.PROJECT, "bone is never estimated nearer the skin", Confidence.LOW)
)
PLATEAU_OVER_MM: Sourced[dict[str, float]] = Sourced(
    {
        "mid_patellar_tendon": 20.0,
        "tibial_tubercle": 38.0,
        "lateral_tibial_tubercle": 13.0,
        "fibular_head": 23.0,
    },
    "mm",
    _ANATOMY,
)
"""Height of the tibial plateau over landmarks."""
APEX_OVER_HEAD_MM = Sourced(11.0, "mm", _ANATOMY)
"""Apex of the fibular head over its most prominent point."""
FIBULA_FROM_TIBIA_MM = Sourced((57.0, 4.0, 6.0), "mm", _ANATOMY)
"""Outermost point of the fibular head from the tibia's axis: outward, forward; spread."""
FIBULA_BEND_SD_MM = Sourced(4.0, "mm", _ANATOMY)
"""How far the fibula's axis passes beside what lies straight under its landmarks."""

_DIFFER = Source(
    Origin.MEMORY,
    "how much adult bones differ between people of one girth; the departure from the typical tibia"
    " is about what its two bodies differ by",
    Confidence.LOW,
)
BUILD_SD: Sourced[dict[Bone, Build]] = Sourced(
    {
        Bone.TIBIA: Build(
            lean=0.035,
            scale=0.07,
            turn_rad=0.1,
            rise_mm=4.0,
            thin_cover_mm=4.0,
            shape_mm=2.0,
            along_mm=30.0,
            around_rad=0.7,
        ),
        Bone.FIBULA: Build(
            lean=0.2,
            scale=0.07,
            turn_rad=0.1,
            rise_mm=4.0,
            thin_cover_mm=2.0,
            shape_mm=1.2,
            along_mm=30.0,
            around_rad=1.5,
        ),
    },
    "mm, rad, 1",
    _DIFFER,
)
"""Spreads of place and shape, one standard deviation."""

PALPATED_SD_MM: Sourced[dict[DepthBasis, float]] = Sourced(
    {DepthBasis.PALPATED: 2.0, DepthBasis.MEASURED: 1.0},
    "mm",
    Source(
        Origin.PROJECT, "spread assumed for a depth found by hand, and by imaging", Confidence.LOW
    ),
)
PALPATED_FACING_SD_MM = Sourced(
    4.0,
    "mm",
    Source(
        Origin.PROJECT,
        "how far a bone's plane, facing as the skin does, misses a palpated point of it",
        Confidence.LOW,
    ),
)
MIDDLE_SHARE = Sourced(
    0.5,
    "of the way through the limb",
    Source(
        Origin.PROJECT,
        "bone that is felt lies on the near side of the limb's middle",
        Confidence.HIGH,
    ),
)
UNUSUAL_DEPTH_SPREADS = Sourced(
    2.0,
    "spreads",
    Source(Origin.PROJECT, "one depth in twenty is told to be unusual", Confidence.MEDIUM),
)
REFUSED_DEPTH_SPREADS = Sourced(
    4.0,
    "spreads",
    Source(
        Origin.PROJECT,
        "a depth this far off is more often a slip (60 for 6 mm) than a limb: to be confirmed",
        Confidence.MEDIUM,
    ),
)
PATELLA_COVER = Sourced(Cover(1.0, 4.0), "1, mm", _TISSUE)
"""Over the patella's lower pole."""
