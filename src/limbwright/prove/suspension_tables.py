"""Figures of the suspension checks, each with its source. Capacities of couplings: see couple."""

from __future__ import annotations

from collections.abc import Mapping

from limbwright.core.sources import Confidence, Origin, Source, Sourced
from limbwright.couple.plan import CouplingKind

SWING_RESERVE = Sourced(
    2.5,
    "",
    Source(
        Origin.PROJECT,
        "the pull of walking times 2.5, for stairs, stumbles, a caught toe and a heavy boot, which"
        " no walking data holds; no published factor is known",
        Confidence.MEDIUM,
    ),
)

COMFORTABLE_MARGIN = Sourced(
    2.0,
    "",
    Source(
        Origin.PROJECT, "holding force under twice the demand is looked at again", Confidence.MEDIUM
    ),
)

_OPEN_SWINGS = Source(
    Origin.COMPUTED,
    "mean of four swings (both legs) of one able-bodied adult at 1.18 m/s from the markers of"
    " BMClab's open gait data (CC BY 4.0), low-passed at 6 Hz; swing from the toe furthest behind"
    " to the heel furthest in front of the pelvis (Zeni et al. 2008)",
    Confidence.MEDIUM,
)
SWING_SPEED_M_S = Sourced(1.18, "m/s", _OPEN_SWINGS)
SWING_LEAN_DEG = Sourced(
    (
        *(-44.1, -46.5, -47.9, -48.3, -47.7, -46.2, -43.9, -40.9, -37.2, -32.8, -27.9),
        *(-22.5, -16.7, -10.8, -4.7, 1.3, 7.0, 12.0, 15.9, 18.4, 19.3),
    ),
    "deg, foot forward of the knee positive, every 5 percent of swing",
    _OPEN_SWINGS,
)
SWING_TURNING_RAD_S = Sourced(
    (
        *(-2.5, -1.78, -0.84, 0.12, 0.98, 1.74, 2.43, 3.09, 3.7, 4.25, 4.71),
        *(5.07, 5.34, 5.51, 5.54, 5.36, 4.9, 4.09, 2.95, 1.57, 0.15),
    ),
    "rad/s, foot going forward positive, every 5 percent of swing",
    _OPEN_SWINGS,
)
SWING_KNEE_ALONG_M_S2 = Sourced(
    (
        *(-4.27, -3.81, -2.69, -0.89, 1.17, 2.87, 4.15, 5.17, 5.96, 6.54, 6.79),
        *(6.71, 6.18, 5.19, 3.72, 2.08, 0.56, -0.59, -1.18, -1.01, -0.31),
    ),
    "m/s², acceleration of the knee towards the ankle, every 5 percent of swing",
    _OPEN_SWINGS,
)

STAIR_RISE_MM = Sourced(
    180.0,
    "mm",
    Source(Origin.TRADE, "rise of an ordinary step of stairs, 170 to 190 mm", Confidence.MEDIUM),
)
STAIR_TIME_S = Sourced(
    0.4,
    "s",
    Source(
        Origin.PROJECT,
        "time in which the foot is lifted by one step, about that of a swing in walking; harmonic"
        " lift, upright shank, not measured",
        Confidence.LOW,
    ),
)

TOE_CATCH_OF_RUNNING = Sourced(
    3.0,
    "",
    Source(
        Origin.PROJECT,
        "a caught toe or a stumble is taken as three times the pull of running-type moves; nobody"
        " measured it",
        Confidence.LOW,
    ),
)

MAGNET_REACH_MM = Sourced(
    3.0,
    "mm",
    Source(
        Origin.PROJECT,
        "pull over a gap g falls as 1/(1 + g/3 mm)²: the flux of a magnet of about 3 mm that has to"
        " cross the gap; the maker's own curve comes first",
        Confidence.LOW,
    ),
)

BRISK_SPEED_M_S = Sourced(
    1.2,
    "m/s",
    Source(
        Origin.MEMORY,
        "top of the usual speeds of community walkers (K3 0.8 to 1.2 m/s), where very active ones"
        " begin",
        Confidence.MEDIUM,
    ),
)

_GUIDELINE = Source(
    Origin.PUBLISHED,
    "Stevens et al. 2019, J Prosthet Orthot 31 (clinical practice guideline): least movement in the"
    " socket with vacuum, then suction, then pin; sleeve, cuff and strap most",
    Confidence.HIGH,
)
PISTONING_RANK: Sourced[Mapping[CouplingKind, int]] = Sourced(
    {
        CouplingKind.VACUUM: 1,
        CouplingKind.SUCTION: 2,
        CouplingKind.MAGNET: 3,
        CouplingKind.PIN: 3,
        CouplingKind.LANYARD: 3,
        CouplingKind.SLEEVE: 4,
        CouplingKind.STRAP: 4,
    },
    "rank, 1 moves least",
    _GUIDELINE,
)
"""Magnet and lanyard stand with the pin, which hold the liner's end as they do (project choice)."""

SEAL_GIVE_MM_PER_N: Mapping[CouplingKind, Sourced[float]] = {
    kind: Sourced(
        give_mm / 100.0,
        "mm/N",
        Source(
            Origin.PUBLISHED,
            "Gholizadeh et al. 2020, Can Prosthet Orthot J 2(2): seal liner on a rigid mould pulled"
            f" with 100 N gave {give_mm} mm {how}",
            Confidence.HIGH,
        ),
    )
    for kind, give_mm, how in (
        (CouplingKind.VACUUM, 0.30, "with active vacuum"),
        (CouplingKind.SUCTION, 0.39, "with the valve open"),
    )
}
LINER_BELOW_SEAL_MM = Sourced(
    30.0,
    "mm",
    Source(
        Origin.PROJECT,
        "closed wall wanted between a seal and the lowest point of the trim line",
        Confidence.LOW,
    ),
)

RUNNING_PULL_N_PER_KG = Sourced(
    30.0,
    "N/kg",
    Source(
        Origin.PROJECT,
        "assumed pull of running-type moves: weight and turning of the shank at 8.2 rad/s, centre"
        " of mass 0.30 m below the knee; not measured",
        Confidence.LOW,
    ),
)

_SWING_PRESSURE = (
    "Beil, Street and Covey 2002, J Rehabil Res Dev 39:693: greatest suction at the distal end in"
    " swing, 28.5 kPa in a suction socket, 36.3 kPa with vacuum assistance; the seal held at least"
    " that"
)
SEAL_PRESSURE_KPA: Mapping[CouplingKind, Sourced[float]] = {
    CouplingKind.SUCTION: Sourced(
        28.5, "kPa", Source(Origin.PUBLISHED, _SWING_PRESSURE, Confidence.MEDIUM)
    ),
    CouplingKind.VACUUM: Sourced(
        36.3, "kPa", Source(Origin.PUBLISHED, _SWING_PRESSURE, Confidence.MEDIUM)
    ),
}

SEAL_DEPTH_SHARE = Sourced(
    0.5,
    "",
    Source(
        Origin.PROJECT,
        "where the seal stands is not stated: half-way from the datum to the socket's end",
        Confidence.LOW,
    ),
)

MAGNET_BENCH_N = Sourced(
    350.9,
    "N",
    Source(
        Origin.PUBLISHED,
        "Gholizadeh et al. 2014: magnetic system on the tensile machine, 350.9 N (SD 7)",
        Confidence.HIGH,
    ),
)
"""Higher than what the trade says a magnet holds; the lower figure is used."""
