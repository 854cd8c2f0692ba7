"""Figures of couplings and of the parts under the socket, each with its source.

Figures of parts are defaults for a part not yet in hand: what its maker states replaces them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from limbwright.core.sources import Confidence, Origin, Source, Sourced
from limbwright.core.units import N_PER_LBF
from limbwright.couple.plan import CouplingKind

# --- couplings --------------------------------------------------------------------------------

_TRADE = Source(
    Origin.TRADE,
    "a magnetic coupling holds about 44 lbf along its axis, on a target of 50 mm, fully up to "
    "10 degrees of tilt",
    Confidence.MEDIUM,
)

_BODY = Source(
    Origin.MEMORY,
    "lock bodies by kind: pin 25 to 45 mm high, magnetic 20 to 45 mm, about 60 mm across; "
    "middle of the range",
    Confidence.LOW,
)

_NO_BODY = Source(
    Origin.PROJECT, "no body: the plate is screwed to the socket's own floor", Confidence.HIGH
)

_BENCH = Source(
    Origin.PUBLISHED,
    "Gholizadeh et al. 2014, tensile machine, 9 users: pull at failure of the whole suspension "
    "on the bench",
    Confidence.HIGH,
)


@dataclass(frozen=True, slots=True)
class CouplingDefaults:
    """Default figures of one kind of coupling; None where no figure is established.

    Parameters
    ----------
    body_diameter_mm, body_height_mm : Sourced
    body_height_low_mm : float
        Low end of the range that the height is the middle of.
    target_diameter_mm : Sourced or None
        What the liner carries and the coupling has to find.
    tolerance_tilt_deg, tolerance_offset_mm : Sourced or None
        Misalignment at which the coupling still holds fully.
    capacity_n : Sourced or None
        Holding force along the axis.
    """

    body_diameter_mm: Sourced[float]
    body_height_mm: Sourced[float]
    body_height_low_mm: float
    target_diameter_mm: Sourced[float] | None
    tolerance_tilt_deg: Sourced[float] | None
    tolerance_offset_mm: Sourced[float] | None
    capacity_n: Sourced[float] | None


OVERLAP_WANTED = Sourced(
    0.9,
    "",
    Source(
        Origin.PROJECT,
        "two equal discs must share nine tenths of their face to be called facing each other",
        Confidence.MEDIUM,
    ),
)

_LANYARD = Source(
    Origin.MEMORY,
    "a cord seat lower than a lock body, 10 to 30 mm; middle of the range",
    Confidence.LOW,
)

_PIN_TARGET = Source(Origin.TRADE, "a pin offers a target of about 8 mm", Confidence.MEDIUM)

_PLAIN = CouplingDefaults(
    body_diameter_mm=Sourced(60.0, "mm", _NO_BODY),
    body_height_mm=Sourced(0.0, "mm", _NO_BODY),
    body_height_low_mm=0.0,
    target_diameter_mm=None,
    tolerance_tilt_deg=None,
    tolerance_offset_mm=None,
    capacity_n=None,
)


def _plain(capacity_n: Sourced[float] | None) -> CouplingDefaults:
    return CouplingDefaults(
        _PLAIN.body_diameter_mm, _PLAIN.body_height_mm, 0.0, None, None, None, capacity_n
    )


COUPLINGS: Mapping[CouplingKind, CouplingDefaults] = {
    CouplingKind.MAGNET: CouplingDefaults(
        body_diameter_mm=Sourced(60.0, "mm", _BODY),
        body_height_mm=Sourced(32.5, "mm", _BODY),
        body_height_low_mm=20.0,
        target_diameter_mm=Sourced(50.0, "mm", _TRADE),
        tolerance_tilt_deg=Sourced(10.0, "deg", _TRADE),
        tolerance_offset_mm=None,  # from the overlap of the discs, see figures.py
        capacity_n=Sourced(44.0 * N_PER_LBF, "N", _TRADE),
    ),
    CouplingKind.PIN: CouplingDefaults(
        body_diameter_mm=Sourced(60.0, "mm", _BODY),
        body_height_mm=Sourced(35.0, "mm", _BODY),
        body_height_low_mm=25.0,
        target_diameter_mm=Sourced(8.0, "mm", _PIN_TARGET),
        tolerance_tilt_deg=None,
        tolerance_offset_mm=None,
        capacity_n=Sourced(580.0, "N", _BENCH),
    ),
    CouplingKind.LANYARD: CouplingDefaults(
        body_diameter_mm=Sourced(60.0, "mm", _LANYARD),
        body_height_mm=Sourced(20.0, "mm", _LANYARD),
        body_height_low_mm=10.0,
        target_diameter_mm=None,
        tolerance_tilt_deg=None,
        tolerance_offset_mm=None,
        capacity_n=None,
    ),
    CouplingKind.SUCTION: _plain(Sourced(310.0, "N", _BENCH)),
    CouplingKind.VACUUM: _plain(
        Sourced(
            401.0,
            "N",
            Source(
                Origin.PUBLISHED,
                "Gholizadeh et al. 2020, Can Prosthet Orthot J 2(2): seal liner on a rigid mould, "
                "pull at 10 mm with the valve open, 401 N (SD 184); 812 N with active vacuum",
                Confidence.MEDIUM,
            ),
        )
    ),
    CouplingKind.SLEEVE: _plain(None),
    CouplingKind.STRAP: _plain(Sourced(490.0, "N", _BENCH)),
}
"""Default figures by kind. A capacity from the bench is a pull at failure, not a working load."""

KINDS_WITH_BODY = frozenset({CouplingKind.PIN, CouplingKind.MAGNET, CouplingKind.LANYARD})
KINDS_WITH_VALVE = frozenset({CouplingKind.SUCTION, CouplingKind.VACUUM})

SMALL_TARGET_MM = Sourced(
    20.0,
    "mm",
    Source(
        Origin.PROJECT,
        "between a target of 8 mm, which has to be aimed at, and one of 50 mm, which is found far "
        "more easily (common practice, no source)",
        Confidence.MEDIUM,
    ),
)

MAGNET_FOR_WHOM = Source(
    Origin.TRADE,
    "a magnetic coupling of about 44 lbf is ample for the average walking of limited-community "
    "walkers, not for very active users",
    Confidence.MEDIUM,
)

# --- mass that hangs on the suspension --------------------------------------------------------

PROSTHESIS_MASS_KG = Sourced(
    1.6,
    "kg",
    Source(
        Origin.MEMORY,
        "transtibial prosthesis with liner, without shoe, 1.2 to 2.0 kg; middle of the range",
        Confidence.MEDIUM,
    ),
)
_PART_MASS = Source(
    Origin.MEMORY,
    "middle of the usual masses: plate 60 to 110 g, tube clamp 100 to 180 g, lock 90 to 300 g, foot"
    " with shell 350 to 700 g, tube about 0.5 g/mm, socket 500 to 900 g",
    Confidence.LOW,
)
PART_MASS_KG: Sourced[Mapping[str, float]] = Sourced(
    {
        "coupling": 0.2,
        "square_plate": 0.0,
        "plate": 0.085,
        "socket_adapter": 0.14,
        "pylon": 0.1,
        "foot_adapter": 0.14,
        "foot": 0.525,
    },
    "kg",
    _PART_MASS,
)
"""By role in the catalogue, where the entry does not say."""
SOCKET_MASS_KG = Sourced(0.7, "kg", _PART_MASS)

# --- geometry of the seat -----------------------------------------------------------------------

FIT_CLEARANCE_MM = Sourced(
    0.2,
    "mm",
    Source(Origin.PROJECT, "gap all round a part pushed into the socket", Confidence.MEDIUM),
)
SCREW_CLEARANCE_MM = Sourced(
    0.5,
    "mm",
    Source(
        Origin.MEMORY,
        "ISO 273 clearance holes for M6, between fine (6.4 mm) and medium (6.6 mm)",
        Confidence.MEDIUM,
    ),
)
SCREW_GAP_SHARE = Sourced(
    1.0,
    "screw diameters",
    Source(
        Origin.PROJECT,
        "material between two screw holes: at least a screw's width, so that the wall between them"
        " is no weaker than the screw's own path to the rim",
        Confidence.MEDIUM,
    ),
)
PIN_BORE_MM = Sourced(
    4.0,
    "mm",
    Source(Origin.PROJECT, "bore wider than the pin, so that it never binds", Confidence.MEDIUM),
)
SCREWS_STAY_OUTSIDE = Source(
    Origin.PROJECT,
    "geometry: a screw holds in the coupling's body or clear beside it, and never in the limb's"
    " room",
    Confidence.HIGH,
)
LIMB_DRAWN_OUT = Source(
    Origin.COMPUTED,
    "limb and liner drawn out of the socket along the coupling's axis; what tissue tolerates is not"
    " established",
    Confidence.MEDIUM,
)
CATALOGUE_EXCHANGE = Source(
    Origin.CATALOGUE,
    "heights and ratings of the entries, exchanged up to three at a time",
    Confidence.MEDIUM,
)
RATING_IS_THE_MAKERS = Source(
    Origin.TRADE,
    "up to which body mass a part is admitted is for its maker to state",
    Confidence.HIGH,
)
EXIT_TO_TRIM_MM = Sourced(
    10.0,
    "mm",
    Source(
        Origin.PROJECT,
        "material between the rim of an exit hole and the trim line: about twice a printed wall",
        Confidence.MEDIUM,
    ),
)
SHIN_SECTOR_DEG = Sourced(
    45.0,
    "deg",
    Source(
        Origin.PROJECT,
        "a button less than 45 degrees from straight forward is knocked and shows on the shin",
        Confidence.MEDIUM,
    ),
)
FLOOR_MM = Sourced(
    10.0,
    "mm",
    Source(
        Origin.MEMORY, "distal thickness of printed sockets, 8 to 10 mm or more", Confidence.MEDIUM
    ),
)
"""Default of the socket's floor between coupling and plate, where none is stated."""

ADAPTER_RANGE_DEG = Sourced(
    8.0,
    "deg",
    Source(Origin.MEMORY, "pyramid adapters, 8 to 10 degrees to each side", Confidence.MEDIUM),
)
ADAPTER_RESERVE_DEG = Sourced(
    2.0,
    "deg",
    Source(
        Origin.PROJECT,
        "left over on the bench for what the walk asks for: one usual step of adjustment",
        Confidence.MEDIUM,
    ),
)
SEAT_SHARE_OF_TILT = Sourced(
    0.5,
    "",
    Source(
        Origin.PROJECT,
        "share of the coupling's tolerance of tilt that the seat may use; the rest is for the walk",
        Confidence.MEDIUM,
    ),
)
SEAT_TILT_UNKNOWN_DEG = Sourced(
    5.0,
    "deg",
    Source(
        Origin.PROJECT,
        "tilt of the seat off its target where no tolerance is established, or no target to miss:"
        " half of what common practice allows a magnet",
        Confidence.MEDIUM,
    ),
)

FREE_CATCH_MM = Sourced(
    0.5,
    "mm",
    Source(
        Origin.PROJECT,
        "below the roughness of a scan and of a plaster surface, a catch is none",
        Confidence.MEDIUM,
    ),
)

# --- heights ------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class PartHeight:
    """Default height of a part: the middle of what such parts measure, and the low end."""

    middle: Sourced[float]
    low_mm: float


def _remembered(low_mm: float, high_mm: float, what: str, take_off_mm: float = 0.0) -> PartHeight:
    source = Source(
        Origin.MEMORY, f"{what}, {low_mm:g} to {high_mm:g} mm; middle of the range", Confidence.LOW
    )
    middle = 0.5 * (low_mm + high_mm) - take_off_mm
    return PartHeight(Sourced(middle, "mm", source), low_mm - take_off_mm)


TUBE_INSERT_MM = Sourced(
    37.5,
    "mm",
    Source(
        Origin.MEMORY,
        "length of tube inside one clamp, 35 to 40 mm; middle of the range",
        Confidence.LOW,
    ),
)
TUBE_INSERT_LOW_MM = 35.0
"""Low end of the range that the insert is the middle of."""

PLATE = _remembered(10.0, 20.0, "four-hole plate, to the pyramid's ball centre")
TUBE_CLAMP = _remembered(
    40.0, 65.0, "tube clamp over all, less the tube inside it", TUBE_INSERT_MM.value
)
FOOT = _remembered(50.0, 85.0, "low-profile foot with shell, pyramid to sole")

PYLON_MINIMUM_MM = Sourced(
    2.0 * TUBE_INSERT_MM.value,
    "mm",
    Source(Origin.MEMORY, "the tube fills both clamps, which then touch", Confidence.LOW),
)


@dataclass(frozen=True, slots=True)
class Regression:
    """A straight line with its scatter: value = intercept + slope times predictor.

    Parameters
    ----------
    intercept_mm, slope : float
    sd_mm : float
        One standard deviation of a person from the line.
    source : Source
    """

    intercept_mm: float
    slope: float
    sd_mm: float
    source: Source


DATUM_FROM_STATURE = Regression(
    -33.98,
    0.28775,
    14.0,
    Source(
        Origin.COMPUTED,
        "linear regression of tibial height on stature, men and women of equal weight, over the "
        "public data of the 2012 US Army survey (Gordon et al. 2014, NATICK/TR-15/007); tibial "
        "height is taken for the mid-patellar-tendon level",
        Confidence.MEDIUM,
    ),
)
"""Height of the datum over the floor, barefoot, from stature; sex does not enter."""

# --- magnetism ----------------------------------------------------------------------------------

VACUUM_PERMEABILITY = Sourced(
    1.25663706212e-6,
    "N/A²",
    Source(Origin.PUBLISHED, "CODATA 2018, vacuum magnetic permeability", Confidence.HIGH),
)
SATURATION_T = Sourced(
    2.0,
    "T",
    Source(Origin.MEMORY, "iron and mild steel saturate near 2 tesla", Confidence.MEDIUM),
)
