"""The table of deviations beside what is computed for this leg."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from limbwright.align.adapters import Adapters
from limbwright.align.adjust import adjust
from limbwright.align.chain import Leg, LegPose, stand
from limbwright.align.deviations import (
    DEVIATIONS,
    DEVIATIONS_SOURCE,
    Cause,
    Entry,
    MomentSeen,
)
from limbwright.align.loads import Walker
from limbwright.align.moves import FootChange, moved_pose
from limbwright.align.plan import GaitPhase, Observation
from limbwright.align.result import CauseReading, DeviationAnswer
from limbwright.align.tables import (
    ANKLE_BEHIND_PLUMB_MM,
    FLEXION_OVER_CONTRACTURE_DEG,
    FOOT_INSET_MM,
    HEEL_TILT_DEG,
    SEEN_SHIFT_MM,
    SOCKET_ADDUCTION_DEG,
    TOE_OUT_DEG,
)
from limbwright.align.usual_moments import USUAL, contradiction, remark
from limbwright.core.findings import Finding, Severity
from limbwright.core.mesh import Vector
from limbwright.core.sources import Basis
from limbwright.core.wording import words


@dataclass(frozen=True, slots=True)
class Reading:
    """One figure of this leg beside the trade's default.

    Parameters
    ----------
    value : float or None
        How far it stands off the default; None when it is not known.
    unit : str
    positive, negative : str
        What a value of each sign means.
    """

    value: float | None
    unit: str
    positive: str
    negative: str

    @property
    def margin(self) -> float:
        """Less than this is not corrected in practice."""
        return SEEN_SHIFT_MM.value if self.unit == "mm" else HEEL_TILT_DEG.value

    def says(self) -> str:
        """In words."""
        if self.value is None:
            return "not known here: state it, or measure it"
        if abs(self.value) < 0.05:
            return "stands at its default"
        word = self.positive if self.value > 0 else self.negative
        unit = "mm" if self.unit == "mm" else "degrees"
        return f"{abs(self.value):.1f} {unit} {word}"


def readings_of(
    pose: LegPose,
    plumb_mm: Vector,
    contracture_deg: float,
    heel_deg: float | None,
    length_off_mm: float | None,
) -> dict[str, Reading]:
    """How this leg stands beside the trade's defaults, on its own sole.

    Parameters
    ----------
    pose : LegPose
    plumb_mm : (3,) float64, limb frame
        Socket's centre at the datum.
    contracture_deg : float
    heel_deg : float or None
        How far the shoe tips the foot forward; None when the foot's own heel is not stated.
    length_off_mm : float or None
        Datum's height over what was measured; None when it was not measured.
    """
    ground = pose.ground_axes
    outward, forward, _ = (pose.points_mm["ankle"] - plumb_mm) @ ground
    limb = ground[2]
    flexion = math.degrees(math.atan2(limb[1], limb[2]))
    adduction = math.degrees(math.atan2(limb[0], limb[2]))
    tube = ground.T @ pose.pylon_axes[:, 2]
    toe = pose.foot_axes[:, 1] @ ground
    wanted_flexion = contracture_deg + FLEXION_OVER_CONTRACTURE_DEG.value
    return {
        "foot forward": Reading(
            float(forward) + ANKLE_BEHIND_PLUMB_MM.value,
            "mm",
            "forward of its default place",
            "back of its default place",
        ),
        "foot inset": Reading(
            -float(outward) - FOOT_INSET_MM.value,
            "mm",
            "further in than the default",
            "further out than the default",
        ),
        "socket flexion": Reading(
            flexion - wanted_flexion,
            "deg",
            "more flexion than contracture and 5 degrees",
            "less flexion than contracture and 5 degrees",
        ),
        "socket adduction": Reading(
            adduction - SOCKET_ADDUCTION_DEG.value,
            "deg",
            "more adduction than the default",
            "less adduction than the default",
        ),
        "tube forward": Reading(
            math.degrees(math.atan2(tube[1], tube[2])), "deg", "leaning forward", "leaning back"
        ),
        "tube outward": Reading(
            math.degrees(math.atan2(tube[0], tube[2])), "deg", "leaning outward", "leaning inward"
        ),
        "toe-out": Reading(
            math.degrees(math.atan2(toe[0], toe[1])) - TOE_OUT_DEG.value,
            "deg",
            "more toe-out than the default",
            "less toe-out than the default",
        ),
        "heel": Reading(heel_deg, "deg", "tipped forward by the shoe", "tipped back by the shoe"),
        "length": Reading(
            length_off_mm, "mm", "longer than was measured", "shorter than was measured"
        ),
    }


def guide_for(
    observed: tuple[Observation, ...],
    leg: Leg,
    adapters: Adapters,
    readings: Mapping[str, Reading],
    walker: Walker,
    knee_mm: Vector,
) -> tuple[DeviationAnswer, ...]:
    """For each observation, its causes beside this leg, contradictions, and the first change."""
    return tuple(
        _answer(one, observed, leg, adapters, readings, walker, knee_mm) for one in observed
    )


def guide_findings(answers: tuple[DeviationAnswer, ...]) -> tuple[Finding, ...]:
    """One finding for each observation; contradictions are warned of."""
    return tuple(_finding(answer) for answer in answers)


def _answer(
    one: Observation,
    observed: tuple[Observation, ...],
    leg: Leg,
    adapters: Adapters,
    readings: Mapping[str, Reading],
    walker: Walker,
    knee_mm: Vector,
) -> DeviationAnswer:
    entry = DEVIATIONS[one.what]
    causes = tuple(_read(cause, readings) for cause in entry.causes)
    against, remarks = _moment_says(entry, leg, walker, knee_mm)
    against = (
        *_wrong_phase(one, entry),
        *against,
        *_causes_against(causes),
        *_others_against(one, entry, observed),
    )
    adjustment = predicted = None
    if entry.change is not None:
        adjustment = adjust(leg, entry.change, adapters)
        predicted = _predicted(entry, leg, walker, knee_mm)
    return DeviationAnswer(
        one.phase.value,
        one.what.value,
        causes,
        against,
        (*_no_cause_shows(causes), *remarks),
        entry.first_change,
        adjustment,
        predicted or "Nothing here computes what it does.",
    )


def _read(cause: Cause, readings: Mapping[str, Reading]) -> CauseReading:
    if not cause.reading:
        return CauseReading(cause.text, "look at it on the person", "not computed", None, "")
    reading = readings[cause.reading]
    if reading.value is None:
        verdict = "not computed"
    elif cause.sign * reading.value >= reading.margin:
        verdict = "fits"
    elif cause.sign * reading.value <= -reading.margin:
        verdict = "speaks against"
    else:
        verdict = "not seen here"
    return CauseReading(cause.text, reading.says(), verdict, reading.value, reading.unit)


def _wrong_phase(one: Observation, entry: Entry) -> tuple[str, ...]:
    if GaitPhase.ALL in (one.phase, entry.phase) or one.phase is entry.phase:
        return ()
    return (
        f"This is looked for in {words(entry.phase.value)}, and was entered for"
        f" {words(one.phase.value)}: look again when it happens.",
    )


def _moment_says(
    entry: Entry, leg: Leg, walker: Walker, knee_mm: Vector
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Contradictions and remarks."""
    if entry.moment is None:
        return (), ()
    which, seen = entry.moment
    usual = USUAL[which]
    value = usual.read(leg, stand(leg), walker, knee_mm)
    if against := contradiction(usual, seen, value):
        return (against,), ()
    return (), (remark(usual, seen, value),)


def _causes_against(causes: tuple[CauseReading, ...]) -> tuple[str, ...]:
    if _computed(causes) == {"speaks against"}:
        return ("Every cause that is computed here stands the other way on this leg.",)
    return ()


def _no_cause_shows(causes: tuple[CauseReading, ...]) -> tuple[str, ...]:
    verdicts = _computed(causes)
    if "not seen here" not in verdicts or "fits" in verdicts:
        return ()
    return ("No cause that is computed here shows on this leg: look at the others first.",)


def _computed(causes: tuple[CauseReading, ...]) -> set[str]:
    return {one.verdict for one in causes} - {"not computed"}


def _others_against(
    one: Observation, entry: Entry, observed: tuple[Observation, ...]
) -> tuple[str, ...]:
    if entry.change is None:
        return ()
    told = []
    for other in observed:
        change = DEVIATIONS[other.what].change
        if other is one or change is None:
            continue
        if float(_vector(entry.change) @ _vector(change)) < 0.0:
            told.append(
                f"{words(other.what.value).capitalize()} asks for the opposite change: the"
                " alignment alone does not answer both."
            )
    return tuple(told)


def _predicted(entry: Entry, leg: Leg, walker: Walker, knee_mm: Vector) -> str:
    assert entry.change is not None
    which, _ = entry.moment or (MomentSeen.CORONAL_MID, 1.0)
    usual = USUAL[which]
    poses = stand(leg), moved_pose(leg, entry.change)
    before, after = (usual.read(leg, pose, walker, knee_mm) for pose in poses)
    return (
        f"{usual.named().rstrip(',')}: {before:.1f} to {after:.1f} N·m, an upper bound of the"
        " change, since people adapt."
    )


def _vector(change: FootChange) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    return np.array(
        [
            change.forward_mm,
            change.outward_mm,
            change.flexion_deg,
            change.adduction_deg,
            change.up_mm or 0.0,
            change.toe_out_deg or 0.0,
        ]
    )


def _finding(answer: DeviationAnswer) -> Finding:
    fits = [one for one in answer.causes if one.verdict == "fits"]
    shown = (
        "; ".join(f"{one.cause} ({one.says})" for one in fits)
        or "none of its causes that are computed here"
    )
    text = (
        f"Seen in {words(answer.phase)}: {words(answer.what)}. On this leg fits: {shown}."
        f" First: {answer.first_change}."
    )
    if told := (*answer.contradictions, *answer.remarks):
        text += " " + " ".join(told)
    return Finding(
        stage="align",
        code="observation-contradicted" if answer.contradictions else "observation-answered",
        severity=Severity.WARNING if answer.contradictions else Severity.NOTE,
        text=text,
        where=words(answer.what),
        value=float(len(fits)),
        unit="causes that fit",
        basis=Basis.ESTIMATED,
        source=DEVIATIONS_SOURCE,
    )
