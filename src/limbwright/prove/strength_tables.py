"""Figures of the strength checks: materials, screws, tube, whole sockets, and their sources.

Ranges are entered at their low end. A material without a usable figure has none here, and what
rests on it is not established until a coupon of the practitioner's own lay-up was tested.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from limbwright.core.sources import Confidence, Origin, Source, Sourced
from limbwright.prove.plan import SocketProcess


class Failure(str, Enum):
    """How a socket of a material gives way."""

    DUCTILE = "ductile"
    """It bends and stays bent before it breaks."""
    BRITTLE = "brittle"
    """It cracks without a warning."""


@dataclass(frozen=True, slots=True)
class Material:
    """One material for one way of making a socket.

    Parameters
    ----------
    name : str
    process : SocketProcess
    failure : Failure
    strength_mpa : Sourced or None
        Tensile strength, for ductile sheet the yield stress, in the stronger direction.
    modulus_mpa : Sourced or None
    wall_share : Sourced
        Part of the strength that is left along the socket's wall.
    plate_share : Sourced
        Part that is left in the weakest direction at the distal plate.
    round_share : Sourced
        Part that is left round the socket's wall, where a brim that opens is bent.
    softening_c : Sourced or None
        Low end of the temperatures at which it softens, where that is near daily life.
    """

    name: str
    process: SocketProcess
    failure: Failure
    strength_mpa: Sourced[float] | None
    modulus_mpa: Sourced[float] | None
    wall_share: Sourced[float]
    plate_share: Sourced[float]
    round_share: Sourced[float]
    softening_c: Sourced[float] | None = None


# --- knock-downs ------------------------------------------------------------------------------

ACROSS_LAYERS = Sourced(
    0.6,
    "",
    Source(
        Origin.COMPUTED,
        "strength of printed coupons across to along their layers: PETG 25/44 to 38/56 MPa (0.57"
        " to 0.68), PLA 35/50 to 45/65 MPa (about 0.70)",
        Confidence.MEDIUM,
    ),
)
"""Prints are the weaker across their layers; a socket printed upright bends across them."""

BOLTED_ZONE = Sourced(
    0.5,
    "",
    Source(
        Origin.PROJECT,
        "figures of smooth coupons are halved round bolts, where holes and edges raise the stress",
        Confidence.MEDIUM,
    ),
)

SHEAR_OF_TENSION = Sourced(
    0.5,
    "",
    Source(
        Origin.COMPUTED,
        "greatest shear stress at tensile failure is half the tensile stress (Tresca)",
        Confidence.HIGH,
    ),
)

COUPON_FORM = Source(
    Origin.PUBLISHED,
    "three-point bending as in ISO 178 and ASTM D790: strength 3·F·L/(2·b·h²), modulus"
    " F·L³/(4·b·h³·d)",
    Confidence.HIGH,
)

COUPON_OF_WALL = Sourced(
    0.7,
    "",
    Source(
        Origin.COMPUTED,
        "strength pulled to strength bent over two supports, 1 / [2·(m + 1)²]^(1/m) for a brittle"
        " material of Weibull modulus m = 20, which is assumed: a bent coupon breaks later than a"
        " wall that is stressed all through",
        Confidence.MEDIUM,
    ),
)
"""Part of a bending coupon's strength that the wall is credited with."""

FEWEST_COUPONS = Sourced(
    3,
    "specimens",
    Source(
        Origin.PUBLISHED,
        "EN 1990:2002, annex D, table D.1: no factor for fewer than three tests with unknown"
        " scatter",
        Confidence.HIGH,
    ),
)
LOWER_SHARE = Sourced(
    0.95,
    "",
    Source(
        Origin.PUBLISHED,
        "EN 1990:2002, annex D.7.2: the 5 % value predicted from few tests",
        Confidence.HIGH,
    ),
)
SHORTEST_SPAN = Sourced(
    15.0,
    "times the thickness",
    Source(
        Origin.MEMORY, "ISO 178: span of 16 ± 1 times the thickness; ASTM D790: 16", Confidence.HIGH
    ),
)
DEEPEST_BEND = Sourced(
    0.1,
    "of the span",
    Source(
        Origin.MEMORY,
        "ASTM D790: the simple form holds to a deflection of a tenth of the span",
        Confidence.HIGH,
    ),
)

SHEAR_OF_MODULUS = Sourced(
    0.38,
    "",
    Source(
        Origin.COMPUTED,
        "shear modulus to modulus of a material that is the same all ways, 1/(2·(1 + ν)) with"
        " Poisson's ratio of about 0.3",
        Confidence.MEDIUM,
    ),
)

_FULL = Sourced(
    1.0,
    "",
    Source(
        Origin.PROJECT, "sheet and cloth are taken as they are along the wall", Confidence.MEDIUM
    ),
)

_ALONG_LAYERS = Sourced(
    1.0,
    "",
    Source(
        Origin.PROJECT,
        "a socket printed upright is bent along its layers where it is bent round its wall",
        Confidence.MEDIUM,
    ),
)

_CARBON = Source(
    Origin.PUBLISHED,
    "Journal of Composite Materials doi 10.1177/00219983261463688, carbon socket lay-up with"
    " acrylic resin under vacuum: 79.9 MPa along the socket, 25.45 MPa round it",
    Confidence.MEDIUM,
)
_FLAX = Source(
    Origin.PUBLISHED,
    "Journal of Composite Materials doi 10.1177/00219983261463688, flax socket lay-up with"
    " acrylic resin under vacuum: 63.2 MPa along the socket, 19.64 MPa round it",
    Confidence.MEDIUM,
)
_LIKE_CARBON = Sourced(
    25.45 / 79.9,
    "",
    Source(
        Origin.PROJECT,
        "no figure is known for the weaker direction; that of a carbon socket lay-up is taken"
        " (Journal of Composite Materials doi 10.1177/00219983261463688)",
        Confidence.MEDIUM,
    ),
)

# --- the table --------------------------------------------------------------------------------


def _remembered(text: str, confidence: Confidence) -> Source:
    return Source(Origin.MEMORY, text, confidence)


_SHEET = _remembered("yield stress of thermoplastic sheet, low end of the range", Confidence.HIGH)
_LAMINATE = Source(
    Origin.PUBLISHED,
    "Phillips and Craelius 2005, J Prosthet Orthot 17:27, low end of the range over lay-ups",
    Confidence.MEDIUM,
)
_PRINT_REVIEW = Source(
    Origin.PUBLISHED, "Heliyon 2023 9:e15023, table 6, low end of the range", Confidence.MEDIUM
)
_PREPREG = Source(
    Origin.PUBLISHED,
    "Proc IMechE H 2025 doi 10.1177/09544119251372313, carbon prepreg, four plies at ±45 degrees",
    Confidence.MEDIUM,
)


def _mpa(value: float, source: Source) -> Sourced[float]:
    return Sourced(value, "MPa", source)


def _printed(
    name: str,
    strength: Sourced[float],
    modulus: Sourced[float],
    softening_c: Sourced[float] | None = None,
) -> Material:
    return Material(
        name,
        SocketProcess.PRINTED,
        Failure.BRITTLE,
        strength,
        modulus,
        ACROSS_LAYERS,
        ACROSS_LAYERS,
        _ALONG_LAYERS,
        softening_c,
    )


def _laminate(
    name: str,
    strength: Sourced[float],
    modulus: Sourced[float] | None,
    plate_share: Sourced[float],
) -> Material:
    return Material(
        name,
        SocketProcess.LAMINATED,
        Failure.BRITTLE,
        strength,
        modulus,
        _FULL,
        plate_share,
        plate_share,
    )


def _sheet(name: str, strength: float, source: Source, modulus: float) -> Material:
    return Material(
        name,
        SocketProcess.CHECK_SOCKET,
        Failure.DUCTILE,
        _mpa(strength, source),
        _mpa(modulus, _remembered("modulus, low end of the range", Confidence.HIGH)),
        _FULL,
        _FULL,
        _FULL,
    )


CAST_TAPE = "cast_tape"

MATERIALS: Mapping[str, Material] = {
    CAST_TAPE: Material(
        "cast tape",
        SocketProcess.WALKING_CAST,
        Failure.BRITTLE,
        None,
        None,
        _FULL,
        _LIKE_CARBON,
        _LIKE_CARBON,
    ),
    "petg_sheet": _sheet(
        "PETG sheet",
        50.0,
        _remembered(
            "PETG sheet about 50 MPa; forming lowers it by an amount that is not known (Gerschutz"
            " et al. 2011, J Rehabil Res Dev 48:987)",
            Confidence.HIGH,
        ),
        2000.0,
    ),
    "pp_copolymer_sheet": _sheet("polypropylene copolymer sheet", 22.0, _SHEET, 900.0),
    "pp_homopolymer_sheet": _sheet("polypropylene homopolymer sheet", 30.0, _SHEET, 1300.0),
    "hdpe_sheet": _sheet("polyethylene sheet", 25.0, _SHEET, 800.0),
    "petg_print": _printed("printed PETG", _mpa(38.0, _PRINT_REVIEW), _mpa(2000.0, _PRINT_REVIEW)),
    "pla_print": _printed(
        "printed PLA",
        _mpa(45.0, _remembered("printed PLA along its layers, 45 to 60 MPa", Confidence.HIGH)),
        _mpa(2500.0, _remembered("printed PLA, 2.5 to 3.5 GPa", Confidence.HIGH)),
        Sourced(
            55.0,
            "°C",
            _remembered("glass transition of PLA, 55 to 65 °C", Confidence.HIGH),
        ),
    ),
    "pa12_print": _printed(
        "powder-bed PA12", _mpa(43.0, _PRINT_REVIEW), _mpa(1500.0, _PRINT_REVIEW)
    ),
    "pa11_print": _printed(
        "powder-bed PA11",
        _mpa(48.0, _remembered("powder-bed PA11, 48 to 52 MPa", Confidence.MEDIUM)),
        _mpa(1600.0, _remembered("powder-bed PA11, 1.6 to 1.8 GPa", Confidence.MEDIUM)),
    ),
    "knit_laminate": _laminate(
        "laminate of knitted cloth", _mpa(18.0, _LAMINATE), None, _LIKE_CARBON
    ),
    "glass_laminate": _laminate("glass laminate", _mpa(67.0, _LAMINATE), None, _LIKE_CARBON),
    "carbon_laminate": _laminate(
        "carbon laminate",
        _mpa(79.9, _CARBON),
        _mpa(11900.0, _CARBON),
        Sourced(25.45 / 79.9, "", _CARBON),
    ),
    "flax_laminate": _laminate(
        "flax laminate",
        _mpa(63.2, _FLAX),
        _mpa(6100.0, _FLAX),
        Sourced(19.64 / 63.2, "", _FLAX),
    ),
    "carbon_prepreg": _laminate(
        "carbon prepreg", _mpa(161.5, _PREPREG), _mpa(10900.0, _PREPREG), _LIKE_CARBON
    ),
}
"""Materials by their key in the case document."""

# --- the brim -----------------------------------------------------------------------------------

HANDED_DEPTH_MM = Sourced(
    25.0,
    "mm",
    Source(
        Origin.PROJECT,
        "mean depth of the socket's inside over which the limb at least hands over its load: at the"
        " reference force of P5 on a girth of 330 mm half a N/mm², about what tissue bears",
        Confidence.LOW,
    ),
)
HAND_OPENING_N = Sourced(
    100.0,
    "N",
    Source(
        Origin.PROJECT,
        "pull of each hand that opens a brim for donning, about 10 kg; not measured",
        Confidence.LOW,
    ),
)
BRIM_RESERVE = Sourced(
    2.0,
    "",
    Source(
        Origin.PROJECT,
        "a brim is to bear twice what opens it: it is opened at every donning",
        Confidence.MEDIUM,
    ),
)
POISSON = Sourced(
    0.35,
    "",
    Source(Origin.MEMORY, "socket plastics and laminates, 0.3 to 0.42", Confidence.MEDIUM),
)

# --- the socket where the case does not state it ----------------------------------------------

WALL_MM = Sourced(
    5.0,
    "mm",
    Source(Origin.MEMORY, "wall of printed sockets, 4 to 6 mm; the middle", Confidence.MEDIUM),
)
LAYERS = Sourced(
    6,
    "layers",
    Source(Origin.MEMORY, "layers of a weight-bearing cast, 5 to 6, at heels 8", Confidence.MEDIUM),
)
LAYER_MM = Sourced(
    0.9,
    "mm",
    Source(Origin.PROJECT, "thickness of one layer; measure a finished wall", Confidence.LOW),
)

ROLL_WIDTH_MM = Sourced(
    100.0,
    "mm",
    Source(Origin.MEMORY, "cast tape comes 25 to 125 mm wide", Confidence.MEDIUM),
)
ROLL_LENGTH_MM = Sourced(
    3600.0,
    "mm",
    Source(Origin.MEMORY, "a roll of cast tape is 3.6 m long", Confidence.MEDIUM),
)
ROLL_WASTE_PERCENT = Sourced(
    20.0,
    "%",
    Source(Origin.PROJECT, "tape lost at ends, folds and cut-outs", Confidence.LOW),
)

# --- reference loads --------------------------------------------------------------------------

CYCLIC_OF_PROOF = Sourced(
    1.0 / 1.75,
    "",
    _remembered(
        "ISO 10328, cyclic to proof force, the same at every level and condition; about what"
        " walking asks, 1.2 to 1.4 times body weight",
        Confidence.HIGH,
    ),
)

# --- screws -----------------------------------------------------------------------------------

SCREW_PROOF_MPA = Sourced(
    580.0,
    "MPa",
    _remembered("ISO 898-1, proof stress of class 8.8 up to M16", Confidence.HIGH),
)
"""The class is assumed: the case does not state it."""

SCREW_ULTIMATE_MPA = Sourced(
    800.0,
    "MPa",
    _remembered("ISO 898-1, tensile strength of class 8.8", Confidence.HIGH),
)

SCREWS_TOGETHER = _remembered(
    "EN 1993-1-8, table 3.4: Fv/(0.6·fub·As) + Ft/(1.4·0.9·fub·As) up to 1, without its partial"
    " factor",
    Confidence.HIGH,
)

COARSE_PITCH_MM: Sourced[Mapping[float, float]] = Sourced(
    {3.0: 0.5, 4.0: 0.7, 5.0: 0.8, 6.0: 1.0, 8.0: 1.25, 10.0: 1.5, 12.0: 1.75},
    "mm",
    _remembered("ISO 261, coarse pitch by screw diameter", Confidence.HIGH),
)

WASHER_MM: Sourced[Mapping[float, float]] = Sourced(
    {3.0: 7.0, 4.0: 9.0, 5.0: 10.0, 6.0: 12.0, 8.0: 16.0, 10.0: 20.0, 12.0: 24.0},
    "mm",
    _remembered("ISO 7089, outside diameter of plain washers by screw diameter", Confidence.HIGH),
)

# --- pylon ------------------------------------------------------------------------------------

TUBE_YIELD_MPA = Sourced(
    276.0,
    "MPa",
    _remembered("yield stress of 6061-T6 aluminium, assumed for the tube", Confidence.HIGH),
)

# --- what is known of whole sockets -----------------------------------------------------------

SOCKETS_BREAK_AT = Source(
    Origin.PUBLISHED,
    "Current, Kogler and Barth 1999, Prosthet Orthot Int 23:113: none of 10 composite sockets"
    " reached 4025 N, all failed at the distal attachment",
    Confidence.HIGH,
)
SOCKETS_VARY = Source(
    Origin.PUBLISHED,
    "Gerschutz et al. 2012, J Rehabil Res Dev 49:405: most check sockets and all copolymer sockets"
    " failed the ductile criterion, most laminated ones the brittle criterion",
    Confidence.HIGH,
)
PRINTED_BREAK_AT = Source(
    Origin.PUBLISHED,
    "Kim et al. 2022, PLoS ONE 17:e0275161: 15 printed and 26 laminated sockets failed mostly at"
    " the distal end and its attachment",
    Confidence.HIGH,
)
FORMING = Source(
    Origin.TRADE,
    "heavy-gauge forming guide: thickness lost at the far end by depth to width",
    Confidence.MEDIUM,
)
FORMING_LOSS_PERCENT: Sourced[tuple[tuple[float, float, float], ...]] = Sourced(
    ((0.5, 20.0, 35.0), (1.0, 40.0, 55.0), (1.5, 55.0, 70.0), (2.0, 70.0, 85.0)), "%", FORMING
)
"""Depth to width, and the range of thickness lost there."""
CAST_SUPERVISED = Source(
    Origin.TRADE,
    "a walking cast is stood and walked in between parallel bars, under supervision",
    Confidence.MEDIUM,
)
