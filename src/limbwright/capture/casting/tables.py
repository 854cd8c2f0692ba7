"""Figures of casting, with their sources."""

from __future__ import annotations

from dataclasses import dataclass

from limbwright.core.sources import Confidence, Origin, Source, Sourced

_HALANSKI = Source(
    Origin.PUBLISHED,
    "Halanski et al. 2007, J Bone Joint Surg Am 89:2369: dip water below 24 degrees C avoided"
    " injurious temperatures whatever the thickness; 50 degrees C with 24 plies always burned",
    Confidence.HIGH,
)
_TAPE = Source(
    Origin.TRADE,
    "trade article on water-activated polyurethane tape: water 20 to 25 degrees C, dip 2 to 5 s,"
    " working 1.5 to 3.5 min, set after 3 to 7 min, overlap 30 to 50 %",
    Confidence.MEDIUM,
)
_LAYERS = Source(
    Origin.MEMORY,
    "3 to 4 layers where no weight is borne, 5 to 6 and up to 8 where it is; the steps by body mass"
    " between them are ours",
    Confidence.LOW,
)
_PLASTER = Source(
    Origin.TRADE,
    "trade table of casting plasters: 70 % water sets in 27 to 37 min, expands by 0.20 %, dry"
    " 1106 kg/m3; powder 2.7 g/cm3",
    Confidence.MEDIUM,
)
_CHOICE = Source(Origin.PROJECT, "geometry of the seal between dummy and cap", Confidence.LOW)
_TRADE = Source(Origin.TRADE, "", Confidence.MEDIUM)

RESIN_HARMS = Source(
    Origin.TRADE,
    "uncured resin of casting tape sensitises skin, bonds to fabric and harms some liners",
    Confidence.MEDIUM,
)
COUNTED_ON_SCAN = Source(
    Origin.COMPUTED, "area of the wrapped surface, as far as it was scanned", Confidence.HIGH
)
WATER_WARN_C = Sourced(24.0, "degC", _HALANSKI)
WATER_STOP_C = Sourced(
    30.0,
    "degC",
    Source(
        Origin.PROJECT,
        "a stop well under what always burned, over the 24 degrees of Halanski et al. 2007",
        Confidence.MEDIUM,
    ),
)
WATER_USUAL_C = Sourced((20.0, 25.0), "degC", _TAPE)
"""Colder water than usual gives more time; how much is not established."""

LAYERS_WALKED: Sourced[tuple[tuple[float, int], ...]] = Sourced(
    ((60.0, 5), (80.0, 6), (100.0, 7), (float("inf"), 8)), "kg", _LAYERS
)
"""Body mass up to which so many layers are wrapped when the cast is walked in."""
LAYERS_CARRIED: Sourced[tuple[tuple[float, int], ...]] = Sourced(
    ((80.0, 3), (float("inf"), 4)), "kg", _LAYERS
)
"""The same when it only carries its shape."""
THICK_WRAP_LAYERS = Sourced(
    8,
    "",
    Source(
        Origin.MEMORY,
        "more layers get hotter while they set (Halanski et al. 2007 measured 4.9 degrees C between"
        " inside and outside of 24 plies); 8 is the most that is usual",
        Confidence.LOW,
    ),
)
COMMON_WIDTHS_MM = Sourced(
    (50.0, 75.0, 100.0, 125.0),
    "mm",
    Source(Origin.MEMORY, "usual widths of cast tape, rolls of 3.6 m", Confidence.MEDIUM),
)


@dataclass(frozen=True, slots=True)
class Event:
    """A moment after the dip."""

    at_min: float
    until_min: float
    text: str


EVENTS: Sourced[tuple[Event, ...]] = Sourced(
    (
        Event(0.0, 0.0, "first roll into the water, 2 to 5 s, pressed out lightly"),
        Event(1.5, 3.0, "last wrap on; shape and press"),
        Event(3.0, 3.0, "stop moulding: what is moved now tears the bond"),
        Event(7.0, 7.0, "set: the cast may come off"),
        Event(20.0, 30.0, "earliest that weight may be put on a cast that is walked in"),
    ),
    "min",
    _TAPE,
)
"""The last from memory; the tape maker's times come first."""

FILM_RANGE_MM = Sourced(
    (0.02, 0.05), "mm", Source(Origin.TRADE, "thin household or casting film", Confidence.MEDIUM)
)
RING_WIDTH_MM = Sourced(5.0, "mm", _CHOICE)
"""Width of the sealing ring on the cap's rim."""
RING_SQUEEZE_MM = Sourced(0.5, "mm", _CHOICE)
"""How much higher than the gap the ring is, so that it is pressed."""
DUMMY_DRAFT_DEG = Sourced(1.0, "deg", _CHOICE)

POWDER_DENSITY_KG_L = Sourced(2.7, "kg/L", _PLASTER)
PLASTER_EXPANSION = Sourced(0.0020, "", _PLASTER)
PLASTER_SETS_MIN = Sourced((27.0, 37.0), "min", _PLASTER)
PLASTER_RESERVE = Sourced(
    0.10, "", Source(Origin.PROJECT, "what stays in the bucket", Confidence.LOW)
)


@dataclass(frozen=True, slots=True)
class HandPlace:
    """A place for the hands, or one to keep them off.

    Parameters
    ----------
    landmark : str
    below_mm : float
        Middle of the place below the landmark (negative: above).
    press : bool
    text : str
    """

    landmark: str
    below_mm: float
    press: bool
    text: str


HAND_PLACES: Sourced[tuple[HandPlace, ...]] = Sourced(
    (
        HandPlace("mid_patellar_tendon", 0.0, True, "patellar tendon: both thumbs, lightly"),
        HandPlace("medial_tibial_flare", 0.0, True, "medial flare: flat of the hand"),
        HandPlace("lateral_tibial_tubercle", 45.0, True, "beside the crest, lateral: flat hand"),
        HandPlace("popliteal_centre", 0.0, True, "hollow of the knee: fingers, counter-pressure"),
        HandPlace("fibular_head", 0.0, False, "fibular head and the nerve behind its neck"),
        HandPlace("tibial_tubercle", 0.0, False, "tibial tubercle"),
        HandPlace("crest_upper", 0.0, False, "tibial crest"),
        HandPlace("crest_lower", 0.0, False, "tibial crest"),
        HandPlace("distal_tibia", 0.0, False, "end of the tibia"),
        HandPlace("distal_fibula", 0.0, False, "end of the fibula"),
        HandPlace("medial_hamstring_tendon", 0.0, False, "medial hamstring tendon"),
        HandPlace("lateral_hamstring_tendon", 0.0, False, "lateral hamstring tendon"),
    ),
    "mm",
    _TRADE,
)
EXIT_FROM_SHIN_DEG = Sourced(
    30.0,
    "deg",
    Source(Origin.PROJECT, "an exit nearer the crest lies on bone and in sight", Confidence.LOW),
)
