"""Figures that the proof rests on, each with its source. Defaults are editable in the case."""

from __future__ import annotations

from collections.abc import Mapping

from limbwright.assess.plan import LinerMaterial
from limbwright.core.sources import Confidence, Origin, Source, Sourced
from limbwright.shape.plan import AreaName

# --- soft tissue and liner as elastic layers -------------------------------------------------

TISSUE_MODULUS_KPA = Sourced(
    200.0,
    "kPa",
    Source(
        Origin.MEMORY,
        "Young's modulus of soft tissue in linear limb models, Zhang, Lee et al. 1995 to 2004 "
        "(60 to 260 kPa by region)",
        Confidence.MEDIUM,
    ),
)

TISSUE_POISSON = Sourced(
    0.45,
    "",
    Source(
        Origin.MEMORY,
        "Poisson's ratio of limb models, Zhang, Lee et al. 1995 to 2004 (0.45 to 0.49)",
        Confidence.MEDIUM,
    ),
)

POISSON_HIGH = Sourced(
    0.49,
    "",
    Source(
        Origin.MEMORY,
        "upper end of Poisson's ratio of limb models, Zhang, Lee et al. 1995 to 2004",
        Confidence.MEDIUM,
    ),
)

_ELASTOMER = Source(
    Origin.MEMORY,
    "small-strain compression of silicone elastomer and urethane liners, 150 to 800 kPa, "
    "geometric middle; no figure by product is established",
    Confidence.LOW,
)

LINER_MODULUS_KPA: Mapping[LinerMaterial, Sourced[float]] = {
    LinerMaterial.SILICONE: Sourced(350.0, "kPa", _ELASTOMER),
    LinerMaterial.URETHANE: Sourced(350.0, "kPa", _ELASTOMER),
    LinerMaterial.TPE: Sourced(
        90.0,
        "kPa",
        Source(
            Origin.MEMORY,
            "small-strain compression of soft gel liners, 50 to 150 kPa, geometric middle; "
            "no figure by product is established",
            Confidence.LOW,
        ),
    ),
    LinerMaterial.FOAM: Sourced(
        380.0,
        "kPa",
        Source(
            Origin.MEMORY,
            "polyethylene foam liner in limb models, Lee, Zhang et al. 2004",
            Confidence.MEDIUM,
        ),
    ),
}

LINER_POISSON = Sourced(
    0.45,
    "",
    Source(
        Origin.PROJECT,
        "effective value of a layer that can flow aside over a prominence; limb models take "
        "0.45 to 0.49 for foam liners",
        Confidence.LOW,
    ),
)

THINNEST_COVER_MM = Sourced(
    2.0,
    "mm",
    Source(
        Origin.PROJECT,
        "skin alone over bone; thinner values are taken as errors of scan or bones",
        Confidence.LOW,
    ),
)

# --- friction ---------------------------------------------------------------------------------

_COVER_FABRIC = Sourced(
    0.4,
    "",
    Source(
        Origin.MEMORY,
        "liner cover fabric on a socket wall, middle of 0.3 to 0.5; skin on liner holds more "
        "(silicone 0.61, Zhang and Mak 1999), so the cover slides first",
        Confidence.MEDIUM,
    ),
)

FRICTION: Mapping[LinerMaterial, Sourced[float]] = {
    LinerMaterial.SILICONE: _COVER_FABRIC,
    LinerMaterial.URETHANE: _COVER_FABRIC,
    LinerMaterial.TPE: _COVER_FABRIC,
    LinerMaterial.FOAM: Sourced(
        0.5,
        "",
        Source(
            Origin.MEMORY,
            "skin or sock on socket in limb models, Zhang, Lee et al. 1995 to 2004",
            Confidence.MEDIUM,
        ),
    ),
    LinerMaterial.NONE: Sourced(
        0.46,
        "",
        Source(
            Origin.PUBLISHED,
            "Zhang and Mak 1999, Prosthet Orthot Int 23:135, skin on five materials (0.46 ± 0.15)",
            Confidence.HIGH,
        ),
    ),
}

# --- tolerance by place -----------------------------------------------------------------------

_INDENTER = Source(
    Origin.MEMORY,
    "point-indenter pain threshold, Wu et al. 2003, J Chin Inst Eng 26:853",
    Confidence.MEDIUM,
)

PAIN_THRESHOLD_KPA: Mapping[AreaName, Sourced[float]] = {
    AreaName.PATELLAR_TENDON: Sourced(919.6, "kPa", _INDENTER),
    AreaName.FIBULAR_HEAD: Sourced(599.6, "kPa", _INDENTER),
    AreaName.MEDIAL_TIBIAL_FLARE: Sourced(555.2, "kPa", _INDENTER),
    AreaName.POPLITEAL: Sourced(503.2, "kPa", _INDENTER),
    AreaName.DISTAL_FIBULA: Sourced(396.3, "kPa", _INDENTER),
}
"""Pressures of a small probe: several times what is borne from a socket. Never a limit."""

_PROBE_TOLERANCE = Source(
    Origin.MEMORY,
    "point-indenter pain tolerance, mean, Wu et al. 2003, J Chin Inst Eng 26:853: more than most "
    "people bore for a moment over about 1 cm², and more than any socket was measured at",
    Confidence.MEDIUM,
)
PAIN_TOLERANCE_KPA: Mapping[AreaName, Sourced[float]] = {
    AreaName.PATELLAR_TENDON: Sourced(1158.3, "kPa", _PROBE_TOLERANCE),
    AreaName.FIBULAR_HEAD: Sourced(789.8, "kPa", _PROBE_TOLERANCE),
    AreaName.MEDIAL_TIBIAL_FLARE: Sourced(651.0, "kPa", _PROBE_TOLERANCE),
    AreaName.POPLITEAL: Sourced(866.6, "kPa", _PROBE_TOLERANCE),
    AreaName.DISTAL_FIBULA: Sourced(547.6, "kPa", _PROBE_TOLERANCE),
}
"""Same probe: what nobody should meet at a step. Never a limit to design to."""

_THIRD = Source(
    Origin.PROJECT,
    "a third of the point-indenter pain threshold (Wu et al. 2003, from memory), rounded",
    Confidence.LOW,
)
_LIKE_DISTAL_FIBULA = Source(
    Origin.PROJECT,
    "no figure is known for this place; that of the distal fibula is taken, a third of the "
    "point-indenter pain threshold (Wu et al. 2003, from memory), rounded",
    Confidence.LOW,
)

WALKING_LIMIT_KPA: Mapping[AreaName, Sourced[float]] = {
    AreaName.PATELLAR_TENDON: Sourced(300.0, "kPa", _THIRD),
    AreaName.FIBULAR_HEAD: Sourced(200.0, "kPa", _THIRD),
    AreaName.MEDIAL_TIBIAL_FLARE: Sourced(185.0, "kPa", _THIRD),
    AreaName.POPLITEAL: Sourced(165.0, "kPa", _THIRD),
    AreaName.DISTAL_FIBULA: Sourced(130.0, "kPa", _THIRD),
    AreaName.TIBIAL_CREST: Sourced(130.0, "kPa", _LIKE_DISTAL_FIBULA),
    AreaName.TIBIAL_TUBERCLE: Sourced(130.0, "kPa", _LIKE_DISTAL_FIBULA),
    AreaName.DISTAL_TIBIA: Sourced(130.0, "kPa", _LIKE_DISTAL_FIBULA),
}
"""Peaks in walking, repeated step by step; low confidence, so they warn and never fail.
A place that is not named has no figure."""

_STOP = Source(
    Origin.PROJECT,
    "no published limit at which a socket must not be made is known; taken is the point-indenter "
    "pain tolerance (Wu et al. 2003, from memory), three to five times the working limits",
    Confidence.MEDIUM,
)
STOP_KPA: Mapping[AreaName, Sourced[float]] = {
    **{name: Sourced(known.value, "kPa", _STOP) for name, known in PAIN_TOLERANCE_KPA.items()},
    **{
        name: Sourced(PAIN_TOLERANCE_KPA[AreaName.DISTAL_FIBULA].value, "kPa", _STOP)
        for name in (AreaName.TIBIAL_CREST, AreaName.TIBIAL_TUBERCLE, AreaName.DISTAL_TIBIA)
    },
}
"""Peaks over 1 cm² that stop the job; bony places without a figure take the distal fibula's."""
STOP_ANYWHERE_KPA = Sourced(
    max(known.value for known in PAIN_TOLERANCE_KPA.values()),
    "kPa",
    Source(
        Origin.PROJECT,
        _STOP.citation + "; where no figure is known for the place, the greatest known of any",
        Confidence.MEDIUM,
    ),
)

# --- plausibility and reading of interface pressure -------------------------------------------

_GATE = Source(
    Origin.PROJECT,
    "beyond what has been measured in sockets (means of stance peaks about 80 kPa, Beil et al. "
    "2002, J Rehabil Res Dev 39:693; single places to about 320 kPa, Zhang et al. 1998, "
    "Med Eng Phys 20:188, from memory)",
    Confidence.MEDIUM,
)
BELIEVABLE_PEAK_KPA = Sourced(500.0, "kPa", _GATE)
BELIEVABLE_MEAN_KPA = Sourced(150.0, "kPa", _GATE)

DISTAL_END_PERCENT_BW = Sourced(
    (1.1, 6.4),
    "% of body weight",
    Source(
        Origin.PUBLISHED,
        "Krout et al. 2023, Front Rehabil Sci 4:1322202, distal end bearing in daily life with "
        "a pin liner",
        Confidence.HIGH,
    ),
)

_READING = Source(Origin.PROJECT, "threshold of reading", Confidence.LOW)
PLACE_RADIUS_MM = Sourced(
    11.0,
    "mm",
    Source(
        Origin.PROJECT,
        "about 4 cm2 around a landmark: a few pressure cells, less than an area of the socket",
        Confidence.LOW,
    ),
)
UNBALANCED_SHIFT_MM = Sourced(
    0.5,
    "mm",
    Source(
        Origin.PROJECT,
        "threshold of reading; sockets off by more than 0.25 mm in mean radius were rejected "
        "(Sanders et al. 2012, J Rehabil Res Dev 49:567)",
        Confidence.LOW,
    ),
)
UNBALANCED_TURN_DEG = Sourced(2.0, "deg", _READING)
ANSWERING_SHARE = Sourced(0.2, "", _READING)
AREA_IN_CONTACT_SHARE = Sourced(0.5, "", _READING)
LEAST_LOAD_N = Sourced(
    30.0,
    "N",
    Source(
        Origin.PROJECT,
        "weight of a prosthesis of about 3 kg, which a donned but unloaded limb leaves out; a "
        "smaller load is measured against it",
        Confidence.MEDIUM,
    ),
)
SMALL_MOTION_SHIFT_MM = Sourced(
    50.0,
    "mm",
    Source(
        Origin.PROJECT,
        "a limb that moves farther in its socket is not held; bone in early sockets moved about "
        "10 to 40 mm (from memory)",
        Confidence.LOW,
    ),
)
SMALL_MOTION_TURN_DEG = Sourced(
    15.0,
    "deg",
    Source(
        Origin.COMPUTED,
        "small rotations: the sine differs from the angle by 1.1 % at 15 degrees",
        Confidence.HIGH,
    ),
)

# --- what is uncertain ------------------------------------------------------------------------

TISSUE_MODULUS_RANGE_KPA = Sourced((60.0, 260.0), "kPa", TISSUE_MODULUS_KPA.source)
TISSUE_POISSON_RANGE = Sourced(
    (TISSUE_POISSON.value, POISSON_HIGH.value), "", TISSUE_POISSON.source
)

LINER_MODULUS_RANGE_KPA: Mapping[LinerMaterial, Sourced[tuple[float, float]]] = {
    LinerMaterial.SILICONE: Sourced((150.0, 800.0), "kPa", _ELASTOMER),
    LinerMaterial.URETHANE: Sourced((150.0, 800.0), "kPa", _ELASTOMER),
    LinerMaterial.TPE: Sourced((50.0, 150.0), "kPa", LINER_MODULUS_KPA[LinerMaterial.TPE].source),
}
"""A liner that is not named has one published figure and no range."""

_FABRIC_RANGE = Sourced((0.3, 0.5), "", _COVER_FABRIC.source)
FRICTION_RANGE: Mapping[LinerMaterial, Sourced[tuple[float, float]]] = {
    LinerMaterial.SILICONE: _FABRIC_RANGE,
    LinerMaterial.URETHANE: _FABRIC_RANGE,
    LinerMaterial.TPE: _FABRIC_RANGE,
    LinerMaterial.FOAM: Sourced(
        (0.39, 0.96),
        "",
        Source(
            Origin.MEMORY,
            "sock on interface materials, Sanders et al. 1998, J Rehabil Res Dev 35:161",
            Confidence.MEDIUM,
        ),
    ),
    LinerMaterial.NONE: Sourced((0.20, 0.72), "", FRICTION[LinerMaterial.NONE].source),
}
"""Skin: a flat spread with the published standard deviation of 0.15 reaches 0.26 to either side."""

LEAST_READ_KPA = Sourced(
    2.0,
    "kPa",
    Source(
        Origin.PROJECT,
        "added to both sides of a ratio of pressures, so that a place that hardly bears does not "
        "look as if it changed many times over",
        Confidence.LOW,
    ),
)

MESH_SPREAD: Sourced[Mapping[str, tuple[float, float]]] = Sourced(
    {
        "load area": (0.01, 0.01),
        "relief area": (0.06, 0.07),
        "wall": (0.01, 0.02),
        "distal end": (0.01, 0.03),
        "place": (0.04, 0.05),
    },
    "logarithm of mean and of peak, one standard deviation, by kind of place",
    Source(
        Origin.COMPUTED,
        "the demo limb and two open test limbs, each meshed six times from the same scan with its "
        "triangles in another order, first estimate, all load cases, root mean square "
        "(scripts/mesh_spread.py), rounded up under 0.01",
        Confidence.MEDIUM,
    ),
)

BEARING_KPA = Sourced(
    10.0,
    "kPa",
    Source(
        Origin.PROJECT,
        "an area of this mean bears: changes of what hardly bears are not ranked",
        Confidence.LOW,
    ),
)

REFERENCE_LOAD_N = Sourced(
    800.0,
    "N",
    Source(
        Origin.PROJECT,
        "about the body weight of an adult, along the limb: only ratios are taken from it",
        Confidence.LOW,
    ),
)

NO_TOLERANCE = Source(
    Origin.PROJECT,
    "no pain threshold or tolerated pressure of these places was found published",
    Confidence.MEDIUM,
)
PRESSURE_MODEL = Source(
    Origin.COMPUTED,
    "equilibrium of the limb in the socket, checked against closed forms and other programs and"
    " never on people; its method and errors stand in docs/method/pressure_*",
    Confidence.LOW,
)
"""Where what is told of pressure comes from when no single figure stands behind it."""

# --- what if ----------------------------------------------------------------------------------

VOLUME_LOSS_PERCENT = Sourced(
    (3.0, 6.0),
    "% of the volume below the trim line",
    Source(
        Origin.PROJECT,
        "steps to try; limbs two weeks apart differed by -2.0 to +12.6 %, doffed for half an hour "
        "by a median of 6.0 % (Zachariah et al. 2004, J Rehabil Res Dev 41:683)",
        Confidence.MEDIUM,
    ),
)
SOCK_PLY_MM: Sourced[Mapping[int, float]] = Sourced(
    {1: 0.7, 3: 1.2, 5: 1.5},
    "mm",
    Source(
        Origin.PUBLISHED,
        "Sanders, Cagle, Harrison and Karchin 2012, Prosthet Orthot Int 36:77, thickness in "
        "stance of socks of one material (plies do not add up)",
        Confidence.HIGH,
    ),
)

# --- contact ----------------------------------------------------------------------------------

ENGINES_AGREE_PERCENT = Sourced(
    15.0,
    "%",
    Source(
        Origin.PROJECT,
        "median difference of area means up to which the quick model counts as confirmed",
        Confidence.LOW,
    ),
)
BRIM_STRIP_MM = Sourced(10.0, "mm", _READING)
BRIM_CONCENTRATION = Sourced(
    2.0,
    "",
    Source(
        Origin.PROJECT,
        "threshold of reading: mean pressure of the strip along the trim line against that of the "
        "rest of the wall in contact",
        Confidence.LOW,
    ),
)

# --- what was measured in sockets -------------------------------------------------------------

MEASURED_STANCE_PEAK_KPA = Sourced(
    (60.0, 110.0),
    "kPa",
    Source(
        Origin.PROJECT,
        "band around the means of stance peaks of 80.0 and 83.5 kPa at five places of nine people "
        "(Beil et al. 2002, J Rehabil Res Dev 39:693), total surface bearing, urethane liner",
        Confidence.MEDIUM,
    ),
)
MEASURED_BEARING_PEAK_KPA = Sourced(
    (100.0, 320.0),
    "kPa",
    Source(
        Origin.MEMORY,
        "tendon and popliteal peaks in tendon-bearing sockets, five users walking, to 320 kPa "
        "(Zhang et al. 1998, Med Eng Phys 20:188)",
        Confidence.MEDIUM,
    ),
)
MEASURED_SPARED_PEAK_KPA = Sourced(
    (0.0, 60.0),
    "kPa",
    Source(
        Origin.PROJECT,
        "places that are not loaded, read off the same series (Beil et al. 2002, Zhang et al. "
        "1998)",
        Confidence.LOW,
    ),
)
MEASURED_SHEAR_KPA = Sourced(
    (0.0, 61.0),
    "kPa",
    Source(
        Origin.MEMORY,
        "largest resultant shear of five users walking (Zhang et al. 1998, Med Eng Phys 20:188)",
        Confidence.MEDIUM,
    ),
)
MEASURED_STANDING_SHARE = Sourced(
    (0.4, 0.6),
    "",
    Source(
        Origin.MEMORY,
        "quiet standing on both legs against the walking peak, by how weight is split",
        Confidence.MEDIUM,
    ),
)
