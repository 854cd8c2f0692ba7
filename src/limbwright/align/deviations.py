"""What is seen of a walk, what may be behind it, and what is changed first: as data.

Causes and first changes are those of teaching lists of gait analysis for below-knee legs, in our
own words. What a cause's `reading` names is computed for the leg in hand; the others are told,
and looked at on the person.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from limbwright.align.moves import FootChange
from limbwright.align.plan import Deviation, GaitPhase
from limbwright.core.sources import Confidence, Origin, Source

DEVIATIONS_SOURCE = Source(
    Origin.TRADE,
    "teaching lists of gait deviations of transtibial legs; sizes of first changes from memory",
    Confidence.MEDIUM,
)


class MomentSeen(StrEnum):
    """A moment that shows in a walk when it is too large or too small."""

    SAGITTAL_EARLY = "sagittal_early"
    CORONAL_MID = "coronal_mid"
    SAGITTAL_LATE = "sagittal_late"


@dataclass(frozen=True, slots=True)
class Cause:
    """Something that may be behind a deviation.

    Parameters
    ----------
    text : str
    reading : str
        Name of the reading (align.guide) that tells; "" when nothing here does.
    sign : float
        Which way the reading goes if this is the cause.
    """

    text: str
    reading: str = ""
    sign: float = 1.0


@dataclass(frozen=True, slots=True)
class Entry:
    """One deviation.

    Parameters
    ----------
    phase : GaitPhase
        When it is seen.
    causes : tuple of Cause
    first_change : str
    change : FootChange or None
        The first change as one of the foot; None when it is none of the alignment.
    moment : (MomentSeen, direction) or None
        Of which moment the walk seems to have too much, and in which direction: 1 or -1, signs as
        in MomentCurve.
    """

    phase: GaitPhase
    causes: tuple[Cause, ...]
    first_change: str
    change: FootChange | None = None
    moment: tuple[MomentSeen, float] | None = None


_SUSPENSION = Cause("suspension lets the leg slip: see what holds it in proof")
_LONG = Cause("leg too long", "length", 1.0)

DEVIATIONS: dict[Deviation, Entry] = {
    Deviation.KNEE_FLEXES_TOO_FAST: Entry(
        GaitPhase.LOADING,
        (
            Cause("foot too far back under the socket", "foot forward", -1.0),
            Cause("too much socket flexion", "socket flexion", 1.0),
            Cause("foot dorsiflexed: the tube leans forward", "tube forward", 1.0),
            Cause("shoe's heel too high for the foot", "heel", 1.0),
            Cause("heel too stiff"),
            Cause("cuff tabs too far back"),
        ),
        "foot forward 4 mm; then 2 degrees less socket flexion; then a softer heel",
        FootChange(forward_mm=4.0),
        (MomentSeen.SAGITTAL_EARLY, -1.0),
    ),
    Deviation.KNEE_STAYS_STRAIGHT: Entry(
        GaitPhase.LOADING,
        (
            Cause("foot too far forward", "foot forward", 1.0),
            Cause("too little socket flexion", "socket flexion", -1.0),
            Cause("foot plantar-flexed: the tube leans back", "tube forward", -1.0),
            Cause("shoe's heel too low for the foot", "heel", -1.0),
            Cause("heel too soft"),
            Cause("pain over the distal front, or a weak thigh"),
        ),
        "look at the distal front of the limb and the strength of the thigh; then foot back 4 mm",
        FootChange(forward_mm=-4.0),
        (MomentSeen.SAGITTAL_EARLY, 1.0),
    ),
    Deviation.FOOT_SLAPS: Entry(
        GaitPhase.LOADING,
        (Cause("heel or bumper too soft: it resists plantar flexion too little"),),
        "a firmer heel or bumper",
    ),
    Deviation.FOREFOOT_TURNS_OUT: Entry(
        GaitPhase.LOADING,
        (
            Cause("heel too firm"),
            Cause("toe-out too large", "toe-out", 1.0),
            Cause("socket loose"),
        ),
        "a softer heel, then the fit of the socket",
    ),
    Deviation.KNEE_THRUSTS_OUTWARD: Entry(
        GaitPhase.MID,
        (
            Cause("foot too far in", "foot inset", 1.0),
            Cause("socket too little adducted", "socket adduction", -1.0),
            Cause("socket loose from side to side"),
        ),
        "foot out 4 mm; then more socket adduction",
        FootChange(outward_mm=4.0),
        (MomentSeen.CORONAL_MID, 1.0),
    ),
    Deviation.KNEE_THRUSTS_INWARD: Entry(
        GaitPhase.MID,
        (
            Cause("foot too far out", "foot inset", -1.0),
            Cause("socket too much adducted", "socket adduction", 1.0),
        ),
        "foot in 4 mm",
        FootChange(outward_mm=-4.0),
        (MomentSeen.CORONAL_MID, -1.0),
    ),
    Deviation.PYLON_LEANS_INWARD: Entry(
        GaitPhase.MID,
        (
            Cause("socket too much adducted", "socket adduction", 1.0),
            Cause("tube's top set inward on the bench", "tube outward", -1.0),
        ),
        "2 degrees less adduction",
        FootChange(adduction_deg=-2.0),
    ),
    Deviation.PYLON_LEANS_OUTWARD: Entry(
        GaitPhase.MID,
        (
            Cause("socket too little adducted", "socket adduction", -1.0),
            Cause("tube's top set outward on the bench", "tube outward", 1.0),
        ),
        "2 degrees more adduction",
        FootChange(adduction_deg=2.0),
    ),
    Deviation.TRUNK_LEANS_OVER: Entry(
        GaitPhase.MID,
        (
            Cause("leg too short", "length", -1.0),
            Cause("foot too far out", "foot inset", -1.0),
            Cause("pain, or a weak hip"),
        ),
        "level the pelvis by the length, then foot in, then look for pain",
        FootChange(up_mm=-5.0),
    ),
    Deviation.DROPS_OFF: Entry(
        GaitPhase.LATE,
        (
            Cause("foot too far back under the socket", "foot forward", -1.0),
            Cause("foot dorsiflexed: the tube leans forward", "tube forward", 1.0),
            Cause("shoe's heel too high for the foot", "heel", 1.0),
            Cause("keel soft or short"),
        ),
        "foot forward 4 mm; then 1 to 2 degrees of plantar flexion",
        FootChange(forward_mm=4.0),
        (MomentSeen.SAGITTAL_LATE, -1.0),
    ),
    Deviation.HEEL_RISES_LATE: Entry(
        GaitPhase.LATE,
        (
            Cause("foot too far forward", "foot forward", 1.0),
            Cause("foot plantar-flexed: the tube leans back", "tube forward", -1.0),
            Cause("shoe's heel too low for the foot", "heel", -1.0),
            Cause("keel stiff"),
        ),
        "foot back 4 mm; then 1 to 2 degrees of dorsiflexion",
        FootChange(forward_mm=-4.0),
        (MomentSeen.SAGITTAL_LATE, 1.0),
    ),
    Deviation.PISTONS: Entry(
        GaitPhase.SWING, (_SUSPENSION, Cause("limb has lost volume")), "look at the suspension"
    ),
    Deviation.TOE_DRAGS: Entry(
        GaitPhase.SWING,
        (
            _LONG,
            _SUSPENSION,
            Cause("foot plantar-flexed: the tube leans back", "tube forward", -1.0),
        ),
        "look at the suspension, then 5 mm less length",
        FootChange(up_mm=5.0),
    ),
    Deviation.WHIPS: Entry(
        GaitPhase.SWING,
        (
            Cause("toe-out too large", "toe-out", 1.0),
            Cause("toe-out too small", "toe-out", -1.0),
            Cause("socket turned on the limb"),
        ),
        "look at how the socket is donned, then at the turn of the foot",
    ),
    Deviation.VAULTS: Entry(
        GaitPhase.ALL,
        (_LONG, _SUSPENSION),
        "length and suspension; then 5 mm less length",
        FootChange(up_mm=5.0),
    ),
    Deviation.CIRCUMDUCTS: Entry(
        GaitPhase.ALL,
        (_LONG, _SUSPENSION),
        "length and suspension; then 5 mm less length",
        FootChange(up_mm=5.0),
    ),
}
