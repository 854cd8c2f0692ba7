"""Figures of bench alignment, adapters and walking loads, each with its source."""

from __future__ import annotations

from limbwright.core.sources import Confidence, Origin, Source, Sourced
from limbwright.core.units import STANDARD_GRAVITY_M_S2

# --- bench ------------------------------------------------------------------------------------

FLEXION_OVER_CONTRACTURE_DEG = Sourced(
    5.0,
    "deg",
    Source(
        Origin.PUBLISHED,
        "component makers' printed alignment instructions: individual flexion plus 5 degrees",
        Confidence.HIGH,
    ),
)
SOCKET_ADDUCTION_DEG = Sourced(
    5.0,
    "deg",
    Source(Origin.MEMORY, "bench adduction 0 to 10 degrees, following the limb", Confidence.MEDIUM),
)
FOOT_INSET_MM = Sourced(
    12.0,
    "mm",
    Source(
        Origin.PUBLISHED,
        "teaching lists of bench alignment: foot 1 to 12 mm inset of the plumb line through the "
        "socket's centre; runners outset",
        Confidence.MEDIUM,
    ),
)
TOE_OUT_DEG = Sourced(
    6.0,
    "deg",
    Source(
        Origin.PUBLISHED,
        "teaching lists of bench alignment: 5 to 7 degrees, inner border along the line of "
        "progression",
        Confidence.HIGH,
    ),
)
ANKLE_BEHIND_PLUMB_MM = Sourced(
    15.0,
    "mm",
    Source(
        Origin.MEMORY,
        "plumb line from the socket's middle at tendon level falls 10 to 20 mm in front of the "
        "ankle axis; a foot with its own line comes first",
        Confidence.MEDIUM,
    ),
)
ANKLE_SHARE = Sourced(
    0.25,
    "foot lengths from the heel",
    Source(Origin.MEMORY, "effective ankle centre of ISO 10328", Confidence.MEDIUM),
)
ANKLE_HEIGHT_MM = Sourced(
    80.0,
    "mm",
    Source(
        Origin.MEMORY, "ankle plane of ISO 10328, 80 mm above the bottom plane", Confidence.MEDIUM
    ),
)
PYLON_LEAN_DEG = Sourced(
    2.0,
    "deg",
    Source(
        Origin.PROJECT,
        "a pylon is to stand upright at mid-stance; corrections are made in steps of 2 degrees",
        Confidence.MEDIUM,
    ),
)
VARUS_AT_MID_STANCE = Source(
    Origin.PUBLISHED,
    "teaching lists of dynamic alignment: pylon upright at mid-stance with a slight varus moment",
    Confidence.HIGH,
)
SAGITTAL_PATTERN = Source(
    Origin.PUBLISHED,
    "socket moments of transtibial walkers (Prosthet Orthot Int 2015, 0309364615588345): flexion "
    "in early stance, then extension for the rest; sizes are not established",
    Confidence.HIGH,
)
CLEAR_N_M = Sourced(
    1.0,
    "N·m",
    Source(Origin.PROJECT, "smaller moments have no clear direction", Confidence.MEDIUM),
)
UNLOADED = Sourced(
    0.05,
    "of stance",
    Source(
        Origin.COMPUTED,
        "the first 5 percent carry less than 50 N in the open steps: no moment is read there",
        Confidence.MEDIUM,
    ),
)

KNEE_ABOVE_DATUM_MM = Sourced(
    25.0,
    "mm",
    Source(
        Origin.COMPUTED,
        "lateral femoral epicondyle height less tibial height, mean of 6068 adults (SD 9.5 mm), "
        "public data of the 2012 US Army survey (Gordon et al. 2014, NATICK/TR-15/007); on the "
        "limb's axis",
        Confidence.MEDIUM,
    ),
)
KNEE_BEHIND_LINE_MM = Sourced(
    (10.0, 30.0),
    "mm in front of the knee's centre, lowest and highest",
    Source(
        Origin.MEMORY,
        "standing trials of transtibial legs (Blumentritt et al. 1999, Prosthet Orthot Int 23) "
        "place the load line some 15 mm in front of the knee's centre; not opened",
        Confidence.LOW,
    ),
)
HEEL_TO_BALL_SHARE = Sourced(
    0.72,
    "foot lengths",
    Source(Origin.MEMORY, "from the back of the heel to the ball of the foot", Confidence.MEDIUM),
)
HEEL_TILT_DEG = Sourced(
    1.0,
    "deg",
    Source(
        Origin.MEMORY,
        "alignment is changed by 1 to 2 degrees or 3 to 5 mm at a time: less is not corrected",
        Confidence.MEDIUM,
    ),
)
SEEN_SHIFT_MM = Sourced(
    3.0,
    "mm",
    Source(
        Origin.MEMORY,
        "alignment is changed by 1 to 2 degrees or 3 to 5 mm at a time: less is not corrected",
        Confidence.MEDIUM,
    ),
)
SMALL_SHIFT_MM = Sourced(
    5.0,
    "mm",
    Source(
        Origin.PUBLISHED, "Neumann 2012, JPO 24:174: 5 mm shifts show in moments", Confidence.HIGH
    ),
)
SMALL_TILT_DEG = Sourced(
    2.0,
    "deg",
    Source(
        Origin.PUBLISHED,
        "Kobayashi et al. 2014 (PMC3997505): least tilt that was measured",
        Confidence.HIGH,
    ),
)
SMALL_TOE_OUT_DEG = Sourced(
    5.0, "deg", Source(Origin.PROJECT, "about the width of the usual band", Confidence.MEDIUM)
)
SOCKET_BASE_BANDS = Sourced(
    {"sagittal": (0.4, 0.8), "early flexion": (0.1, 0.3), "coronal": (0.05, 0.15)},
    "N·m/kg at the socket's base: extension peak, early flexion peak, coronal size",
    Source(Origin.MEMORY, "order of magnitude of measured socket moments", Confidence.LOW),
)

# --- adapters -----------------------------------------------------------------------------------

RANGE_DEG = Source(
    Origin.MEMORY, "pyramid adapters tilt 8 to 10 degrees to each side", Confidence.MEDIUM
)
SCREWS = Source(
    Origin.MEMORY,
    "pyramid screws of pitch 1 mm (1.25 also met) that press 10 to 14 mm from the ball's centre; "
    "both differ between parts",
    Confidence.MEDIUM,
)
PYRAMID_RANGE_DEG = Sourced(8.0, "deg to each side", RANGE_DEG)
SCREW_PITCH_MM = Sourced(1.0, "mm", SCREWS)
SCREW_ARM_MM = Sourced(12.0, "mm", SCREWS)
_PARTS_DIFFER = Source(
    Origin.MEMORY,
    "order of magnitude only, parts differ: state the figure of the part in hand",
    Confidence.LOW,
)
SLIDE_RANGE_MM = Sourced(10.0, "mm to each side", _PARTS_DIFFER)
ROTATION_RANGE_DEG = Sourced(15.0, "deg to each side", _PARTS_DIFFER)
CLAMP_RANGE_MM = Sourced(5.0, "mm that a tube may be drawn out of or set into", _PARTS_DIFFER)
OFFSET_RANGE_MM = Sourced(
    0.0,
    "mm that a step can be set to each side of its middle",
    Source(Origin.PROJECT, "an offset adapter is fixed unless its part says more", Confidence.HIGH),
)
TUBE_TURN_DEG = Sourced(
    180.0,
    "deg to each side",
    Source(Origin.PROJECT, "a round tube turns freely in its clamp", Confidence.HIGH),
)
ADDED_HEIGHT_MM = Sourced(
    {"pyramid": 45.0, "tube_clamp": 0.0, "slide": 20.0, "rotation": 12.0, "offset": 15.0},
    "mm that an added adapter makes the leg higher, by kind; a tube's clamp stands with the parts",
    _PARTS_DIFFER,
)
SMALL_MOVE_MM = Sourced(
    0.5,
    "mm",
    Source(Origin.PROJECT, "slides and tubes are set to half a millimetre", Confidence.MEDIUM),
)
SMALL_TURN_DEG = Sourced(
    1.0,
    "deg",
    Source(Origin.PROJECT, "tube and plates are turned to a degree by a mark", Confidence.MEDIUM),
)
RESERVE_DEG = Sourced(
    2.0,
    "deg",
    Source(Origin.PROJECT, "range kept back for what the dynamic fitting asks", Confidence.MEDIUM),
)
TURN_STEP = Sourced(
    0.25, "turns", Source(Origin.TRADE, "screws are turned by quarters", Confidence.HIGH)
)
TESTED_TILT_DEG = Sourced(
    6.0,
    "deg",
    Source(
        Origin.PUBLISHED,
        "Boone et al. 2013, Gait Posture; Kobayashi et al. 2014: changes up to 6 degrees measured",
        Confidence.HIGH,
    ),
)
TESTED_SHIFT_MM = Sourced(
    15.0,
    "mm",
    Source(
        Origin.PUBLISHED, "Kobayashi et al. 2014: changes up to 15 mm measured", Confidence.HIGH
    ),
)
# --- ground reaction ----------------------------------------------------------------------------

ISO_22675_MS = 600.0
ISO_22675_FORCE = Sourced(
    (
        0.0,
        3.62495690883228,
        0.164651497111425,
        -1.67101914899229e-3,
        5.98882225167948e-6,
        -9.20373741104191e-9,
        5.12306842296552e-12,
    ),
    "thousandths of the greatest force, by powers of ms",
    Source(
        Origin.PUBLISHED,
        "ISO 22675, force profile of a whole stance phase of 600 ms, polynomial as printed in two "
        "public test programs that cite it",
        Confidence.HIGH,
    ),
)

PEAKS_BY_SPEED = Sourced(
    ((1.09, 1.04, 0.83, 1.16), (1.44, 1.15, 0.66, 1.19), (1.95, 1.34, 0.44, 1.16)),
    "m/s; body weights at first peak, valley, second peak",
    Source(
        Origin.COMPUTED,
        "from the open vertical forces of 10 able-bodied people at three speeds (Pataky et al. "
        "2008), rescaled to a mean of 0.81 body weights over stance",
        Confidence.MEDIUM,
    ),
)
"""Between standing still, where nothing dips, and the slowest row the shape is blended."""

STANCE_SHARE = Sourced(
    0.62,
    "",
    Source(
        Origin.MEMORY,
        "stance on a transtibial prosthesis is about 62 percent of the stride, 65 on the other "
        "side",
        Confidence.MEDIUM,
    ),
)

_OPEN_STEPS = Source(
    Origin.COMPUTED,
    "mean of three steps of one able-bodied adult at 1.19 m/s, open gait data of BMClab (CC BY "
    "4.0), body weight from the mean vertical force over the stride",
    Confidence.MEDIUM,
)
STEPS_SPEED_M_S = Sourced(1.19, "m/s", _OPEN_STEPS)

FORWARD_FORCE = Sourced(
    (
        *(0.0, -0.091, -0.143, -0.169, -0.149, -0.114, -0.074, -0.052, -0.042, -0.031, -0.017),
        *(0.006, 0.025, 0.05, 0.078, 0.107, 0.141, 0.168, 0.177, 0.129, 0.0),
    ),
    "body weights, every 5 percent of stance, forward on the foot positive",
    Source(
        Origin.COMPUTED,
        _OPEN_STEPS.citation + "; balanced so that braking and driving cancel, as at even speed",
        Confidence.MEDIUM,
    ),
)
INWARD_FORCE = Sourced(
    (
        *(0.0, 0.003, -0.005, 0.019, 0.046, 0.054, 0.043, 0.036, 0.036, 0.033, 0.035),
        *(0.039, 0.035, 0.036, 0.042, 0.045, 0.042, 0.032, 0.013, -0.005, 0.0),
    ),
    "body weights, every 5 percent of stance, inward (medial) on the foot positive",
    _OPEN_STEPS,
)
_ROLL = Source(
    Origin.COMPUTED,
    _OPEN_STEPS.citation
    + "; centre of pressure seen from the shank, so that the foot's bending is in it; the first "
    "and last 5 percent, under 50 N, held",
    Confidence.MEDIUM,
)
ROLL_AHEAD = Sourced(
    (
        *(-0.082, -0.082, 0.005, 0.07, 0.121, 0.174, 0.224, 0.293, 0.363, 0.409, 0.437),
        *(0.453, 0.466, 0.474, 0.485, 0.496, 0.509, 0.524, 0.534, 0.524, 0.524),
    ),
    "foot lengths in front of the ankle, every 5 percent of stance",
    _ROLL,
)
ROLL_RISE = Sourced(
    (
        *(0.011, 0.011, 0.003, 0.003, 0.007, 0.012, 0.016, 0.023, 0.03, 0.037, 0.044),
        *(0.048, 0.05, 0.054, 0.06, 0.062, 0.06, 0.053, 0.035, -0.015, -0.015),
    ),
    "foot lengths above the sole as it stands flat, every 5 percent of stance",
    _ROLL,
)
SHANK_LEAN_DEG = Sourced(
    (
        *(-13.3, -10.0, -6.3, -2.1, 0.7, 2.1, 3.0, 4.0, 5.1, 6.3, 7.6),
        *(9.0, 10.6, 12.7, 15.3, 18.4, 21.9, 25.8, 30.4, 35.5, 40.6),
    ),
    "deg forward of upright, every 5 percent of stance",
    _OPEN_STEPS,
)
STEP_GROWTH = Sourced(
    0.5,
    "power of speed",
    Source(
        Origin.MEMORY,
        "step length 0.52, 0.59, 0.65, 0.70, 0.75 m at 0.8, 1.0, 1.2, 1.4, 1.6 m/s: it grows with "
        "the square root of speed, and braking and driving with it",
        Confidence.MEDIUM,
    ),
)

# --- standing and swing -------------------------------------------------------------------------

STANDING_SHARE = Sourced(
    0.5,
    "body weights",
    Source(Origin.PROJECT, "weight shared evenly between both legs", Confidence.HIGH),
)
STANDING_POINT = Sourced(
    0.15,
    "foot lengths in front of the ankle",
    Source(
        Origin.MEMORY,
        "in quiet standing the centre of pressure lies about 40 mm in front of the ankle",
        Confidence.MEDIUM,
    ),
)
PULL_BY_SPEED = Sourced(
    (
        (0.0, 0.0, STANDARD_GRAVITY_M_S2),
        (0.8, 199.0, 12.6),
        (1.0, 249.0, 13.9),
        (1.2, 298.0, 15.3),
        (1.42, 353.0, 17.1),
        (1.6, 398.0, 18.6),
        (1.8, 447.0, 20.4),
    ),
    "m/s; deg/s greatest turning rate of the shank; N per kg of prosthesis along the shank",
    Source(
        Origin.COMPUTED,
        "from the marker data of Winter, Biomechanics and Motor Control of Human Movement, table "
        "A.1 (able-bodied, 1.42 m/s), centre of mass 0.30 m below the knee, accelerations scaled "
        "to other speeds by cadence squared times stride; at rest the weight alone",
        Confidence.MEDIUM,
    ),
)
MASS_BELOW_KNEE_MM = Sourced(
    300.0,
    "mm",
    Source(Origin.PROJECT, "as in the table of the pull by speed", Confidence.MEDIUM),
)
