"""Figures of the suspension checks, each with its source. Capacities of couplings: see couple."""

from __future__ import annotations

from collections.abc import Mapping

from limbwright.assess.plan import Activity
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

FASTEST_SPEED_M_S: Sourced[Mapping[Activity, float]] = Sourced(
    {
        Activity.K0: 0.4,
        Activity.K1: 0.6,
        Activity.K2: 1.0,
        Activity.K3: 1.6,
        Activity.K4: 1.8,
    },
    "m/s",
    Source(
        Origin.PROJECT,
        "fast walking of each class, above its usual speeds (from memory: K1 0.2 to 0.4, K2 0.4 to"
        " 0.7, K3 0.8 to 1.2, K4 from 1.2 m/s)",
        Confidence.MEDIUM,
    ),
)
"""The demand is taken at the person's speed, but at no less than this."""

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
