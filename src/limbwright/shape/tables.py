"""Depths, extents and limits of rectification, each with its source.

Depth as everywhere: positive = space added (relief), negative = the socket presses in (load).
Figures from memory are defaults to be edited; none of them decides a pass or a fail.
"""

from __future__ import annotations

from dataclasses import dataclass

from limbwright.core.sources import Confidence, Origin, Source, Sourced
from limbwright.shape.plan import AreaName

TEMPLATE = Source(
    Origin.MEMORY,
    "patellar-tendon-bearing rectification as the trade teaches it; order of magnitude only",
    Confidence.MEDIUM,
)
EXTENT = Source(
    Origin.PROJECT,
    "drawn from the usual distances between landmarks; blends keep slopes near 30 degrees",
    Confidence.LOW,
)
NO_ROW = Source(
    Origin.PROJECT,
    "no depth is taught for this place alone; taken at the shallow end of the fibular shaft",
    Confidence.LOW,
)


@dataclass(frozen=True, slots=True)
class AreaTemplate:
    """What an area starts from before the practitioner edits it.

    Parameters
    ----------
    depth_mm : Sourced of float
    usual_mm : Sourced of (float, float)
        Least and greatest depth that is usual, least first.
    length_mm : Sourced of float or None
        Full depth along the limb; None follows the landmarks from end to end.
    width_mm : Sourced of float
        Full depth around the limb.
    blend_mm : Sourced of float
    remark : str
        Where it goes, in the words of the trade.
    """

    depth_mm: Sourced[float]
    usual_mm: Sourced[tuple[float, float]]
    length_mm: Sourced[float] | None
    width_mm: Sourced[float]
    blend_mm: Sourced[float]
    remark: str


def _template(
    depth_mm: float,
    usual_mm: tuple[float, float],
    extent_mm: tuple[float | None, float, float],
    remark: str,
    source: Source = TEMPLATE,
) -> AreaTemplate:
    length_mm, width_mm, blend_mm = extent_mm
    return AreaTemplate(
        Sourced(depth_mm, "mm", source),
        Sourced(usual_mm, "mm", source),
        None if length_mm is None else Sourced(length_mm, "mm", EXTENT),
        Sourced(width_mm, "mm", EXTENT),
        Sourced(blend_mm, "mm", EXTENT),
        remark,
    )


AREA_TEMPLATES: dict[AreaName, AreaTemplate] = {
    AreaName.PATELLAR_TENDON: _template(
        -10.0,
        (-15.0, -6.0),
        (4.0, 22.0, 22.0),
        "across the tendon, midway between the patella's lower pole and the tubercle",
    ),
    AreaName.MEDIAL_TIBIAL_FLARE: _template(
        -4.0,
        (-6.0, -2.0),
        (44.0, 16.0, 16.0),
        "the long hollow from the medial condyle to below the flare",
    ),
    AreaName.MEDIAL_PRETIBIAL: _template(
        -3.0,
        (-5.0, -2.0),
        (None, 10.0, 16.0),
        "the medial face of the tibia beside the crest",
    ),
    AreaName.LATERAL_PRETIBIAL: _template(
        -4.0,
        (-6.0, -2.0),
        (None, 16.0, 16.0),
        "the anterior compartment beside the crest",
    ),
    AreaName.FIBULAR_SHAFT: _template(
        -3.0,
        (-5.0, -2.0),
        (None, 16.0, 16.0),
        "along the shaft, below the neck and clear of the distal fibula",
    ),
    AreaName.BELOW_FIBULAR_HEAD: _template(
        -2.0,
        (-5.0, -2.0),
        (12.0, 18.0, 14.0),
        "under the fibular head, below the neck where the peroneal nerve winds",
        NO_ROW,
    ),
    AreaName.POPLITEAL: _template(
        -8.0,
        (-15.0, -5.0),
        (8.0, 20.0, 22.0),
        "under the posterior brim, between the hamstring tendons; sets the depth front to back",
    ),
    AreaName.FIBULAR_HEAD: _template(
        4.0,
        (3.0, 6.0),
        (36.0, 20.0, 14.0),
        "the head and, below it, the neck with the peroneal nerve",
    ),
    AreaName.TIBIAL_CREST: _template(
        3.0,
        (2.0, 5.0),
        (None, 4.0, 14.0),
        "the crest from below the tubercle to the distal tibia",
    ),
    AreaName.TIBIAL_TUBERCLE: _template(
        3.0,
        (2.0, 4.0),
        (8.0, 14.0, 14.0),
        "the tubercle",
    ),
    AreaName.DISTAL_TIBIA: _template(
        5.0,
        (3.0, 8.0),
        (18.0, 24.0, 18.0),
        "the front of the tibia's cut end, the commonest sore spot",
    ),
    AreaName.DISTAL_FIBULA: _template(
        4.0,
        (3.0, 6.0),
        (14.0, 14.0, 14.0),
        "the fibula's cut end",
    ),
    AreaName.MEDIAL_HAMSTRING: _template(
        4.0,
        (3.0, 8.0),
        (34.0, 8.0, 14.0),
        "channel for the medial hamstring tendons at the posterior brim, the deeper of the two",
    ),
    AreaName.LATERAL_HAMSTRING: _template(
        3.0,
        (3.0, 8.0),
        (34.0, 8.0, 14.0),
        "channel for the lateral hamstring tendon at the posterior brim",
    ),
}

CREST_CLEARANCE_MM = Sourced(18.0, "mm", EXTENT)
"""Crest to the near edge of full depth of the strips beside it; at least 10 mm is taught."""
CREST_CLEARANCE_LEAST_MM = Sourced(10.0, "mm", TEMPLATE)
BELOW_TUBERCLE_MM = Sourced(18.0, "mm", EXTENT)
"""Along the crest, tubercle to where the strips beside it and the crest's relief begin."""
ABOVE_DISTAL_TIBIA_MM = Sourced(32.0, "mm", EXTENT)
"""Where the strips beside the crest end above the tibia's end."""
ABOVE_DISTAL_FIBULA_MM = Sourced(22.5, "mm", TEMPLATE)
"""Where the fibular strip ends above the fibula's end: 20 to 25 mm."""
BELOW_HEAD_MM = Sourced(42.0, "mm", EXTENT)
"""Fibular head to the load under it: clear of the neck and the peroneal nerve."""
BELOW_NECK_MM = Sourced(52.0, "mm", EXTENT)
"""Fibular head to the top of the fibular strip."""
HEAD_TO_RELIEF_MM = Sourced(9.0, "mm", EXTENT)
"""The relief's centre below the head's apex, so that it reaches down over the neck."""
TUBERCLE_DROP_MM = Sourced(3.0, "mm", EXTENT)
"""The relief's centre below the tubercle's apex, away from the load on the tendon."""
FLARE_DROP_MM = Sourced(6.0, "mm", EXTENT)
"""The load's centre below the flare's landmark: the hollow runs on below it."""
POPLITEAL_DROP_MM = Sourced(24.0, "mm", EXTENT)
"""The popliteal load's centre below the popliteal landmark, under the posterior brim."""
HAMSTRING_DROP_MM = Sourced(16.0, "mm", EXTENT)
"""The channels' centre below the tendons' landmarks: they run down from the posterior brim."""

SLOPE_LIMIT_DEG = Sourced(30.0, "degree", TEMPLATE)
"""No change of slope sharper than about this."""

_TAKE_UP = Source(
    Origin.PUBLISHED,
    "circumference reduction for elastomer liners as quoted in Jasken and Hall 2018, J Prosthet"
    " Orthot 30:140; the text calls it a volume reduction based on circumferences: which of the"
    " two is meant is not clear",
    Confidence.MEDIUM,
)
TAKE_UP_BY_LINER: Sourced[tuple[tuple[float, float, float], ...]] = Sourced(
    ((3.0, 3.0, 5.0), (6.0, 5.0, 7.0), (9.0, 7.0, 9.0)),
    "liner mm, least and greatest percent of girth",
    _TAKE_UP,
)
TENDON_BEARING_TAKE_UP_PERCENT = Sourced(
    2.0,
    "percent of girth",
    Source(
        Origin.PROJECT,
        "no figure is published for a tendon-bearing socket over a liner; small, because its"
        " areas already press",
        Confidence.LOW,
    ),
)

RIM_CLEARANCE_MM = Sourced(
    4.0,
    "mm",
    Source(Origin.PROJECT, "a little more than one edge of the limb's surface", Confidence.MEDIUM),
)
"""The trim line stays this far below the top edge of the scan."""
SHORTEST_SOCKET_MM = Sourced(
    20.0,
    "mm",
    Source(Origin.PROJECT, "a socket shallower than this holds nothing", Confidence.LOW),
)
"""The trim line stays this far above the limb's end."""
STEEPEST_TRIM_DEG = Sourced(
    75.0,
    "degree",
    Source(Origin.PROJECT, "a steeper line doubles back on itself once cut", Confidence.LOW),
)
COVERED_SHARE = Sourced(
    0.7,
    "",
    Source(Origin.PROJECT, "an area of which less is left does not do its work", Confidence.LOW),
)
"""Share of an area that must lie below the trim line."""
POSTERIOR_BRIM_MM = Sourced(
    0.0,
    "mm",
    Source(
        Origin.MEMORY,
        "posterior brim at or just below the level of the tendon, so that the knee bends freely",
        Confidence.MEDIUM,
    ),
)
"""Greatest usual height of the posterior brim above the mid-patellar tendon."""
REPEATABILITY_MM = Sourced(
    1.0,
    "mm",
    Source(
        Origin.PUBLISHED,
        "Convery and others 2003, Prosthet Orthot Int 27:207: depths that one prosthetist cuts"
        " twice vary by a standard deviation of about 1 mm in the major zones",
        Confidence.HIGH,
    ),
)
VOLUME_ARITHMETIC = Source(
    Origin.COMPUTED,
    "p of girth is p of radius and 1 - (1 - p)^2 of section area",
    Confidence.HIGH,
)
LATERAL_ANSWER = Source(
    Origin.TRADE, "a load on the medial flare needs a lateral answer", Confidence.HIGH
)
