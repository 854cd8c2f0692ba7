"""Everything logged at the fittings, each answered by the picture of what was worn."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from limbwright.align.result import DeviationAnswer
from limbwright.core.findings import Finding, Severity
from limbwright.core.frame import LimbFrame, to_limb, to_scan
from limbwright.core.sources import Basis
from limbwright.core.wording import words
from limbwright.fit.causes import causes_of
from limbwright.fit.plan import (
    AppliedEdit,
    AppliedSuggestion,
    Complaint,
    FitPlan,
    Fitting,
    HandChange,
)
from limbwright.fit.result import (
    ComplaintAnswer,
    FitResult,
    FittingReading,
    PlanEdit,
    Suggestion,
    Verdict,
)
from limbwright.fit.spot import READ_AS, Picture, Spot, spot_of
from limbwright.fit.tables import COMFORT_CHANGE, READ_AS_WORN, TEACHING
from limbwright.fit.walk import walk_answer

_STAGE = "fit"


@dataclass(frozen=True, slots=True, eq=False)
class WornPicture:
    """What one fitting is held against.

    Parameters
    ----------
    picture : Picture
    walk : tuple of DeviationAnswer
        What that leg says to what was seen of the walk.
    revision : int or None
        Revision that the picture is of; None for the case as it stands.
    differs : bool
        Whether another socket or leg stands now.
    remark : str
        Why it is not the revision that was worn; "" where it is.
    """

    picture: Picture
    walk: tuple[DeviationAnswer, ...] = ()
    revision: int | None = None
    differs: bool = False
    remark: str = ""


def learn(plan: FitPlan, frame: LimbFrame, read_in: Callable[[Fitting], WornPicture]) -> FitResult:
    """Hold what was logged against what is computed of what was worn.

    Parameters
    ----------
    plan : FitPlan
    frame : LimbFrame
        Of the limb as it stands, where places are told.
    read_in : callable
        Gives the picture that a fitting is held against; asked only for those that ask something.

    Returns
    -------
    FitResult
        Complaints of the last fitting first.
    """
    answers: list[ComplaintAnswer] = []
    readings: list[FittingReading] = []
    for number in reversed(range(len(plan.fittings))):
        fitting = plan.fittings[number]
        if not fitting.complaints and not fitting.observed:
            continue
        read = read_in(fitting)
        answers += _answers(read.picture, frame, plan.fittings[: number + 1])
        walk = tuple(walk_answer(answer) for answer in read.walk)
        readings.append(FittingReading(number, read.revision, read.differs, read.remark, walk))
    comfort = tuple((one.date, one.comfort) for one in plan.fittings if one.comfort is not None)
    ply = tuple((one.date, one.ply) for one in plan.fittings if one.ply is not None)
    findings = (
        *_comfort(comfort),
        *_unentered(plan),
        *_read_elsewhere(readings, plan),
        *_first_change(answers, plan),
    )
    return FitResult(tuple(answers), tuple(readings), comfort, ply, findings)


def _answers(
    picture: Picture, frame: LimbFrame, fittings: tuple[Fitting, ...]
) -> Iterator[ComplaintAnswer]:
    for number, complaint in enumerate(fittings[-1].complaints):
        spot = spot_of(picture, complaint)
        causes = causes_of(picture, complaint.sign, complaint.phase, spot, fittings)
        point = None
        if spot is not None:
            # The frame that was worn may have had its landmarks elsewhere.
            shown = to_limb(frame, to_scan(picture.limb.frame, spot.point_mm))
            outward, forward, up = (float(part) for part in shown)
            point = (outward, forward, up)
        yield ComplaintAnswer(
            len(fittings) - 1,
            number,
            words(complaint.sign.value),
            words(complaint.phase.value),
            _place(picture, complaint, spot),
            point,
            spot.load_case if spot is not None else READ_AS[complaint.phase],
            causes,
        )


def _place(picture: Picture, complaint: Complaint, spot: Spot | None) -> str:
    if complaint.landmark is not None:
        return words(complaint.landmark)
    if spot is None:
        return "the whole socket"
    if spot.area is not None:
        return words(spot.area.name.value)
    nearest = min(
        picture.limb.landmarks.values(),
        key=lambda mark: float(((mark.point_mm - spot.point_mm) ** 2).sum()),
        default=None,
    )
    return "on the limb" if nearest is None else f"near the {words(nearest.name)}"


def _comfort(comfort: tuple[tuple[str, int], ...]) -> Iterator[Finding]:
    if len(comfort) < 2:
        return
    (_, before), (day, now) = comfort[-2:]
    change = now - before
    noise = abs(change) < COMFORT_CHANGE.value
    yield Finding(
        _STAGE,
        "comfort-changed",
        Severity.WARNING if change < 0 and not noise else Severity.NOTE,
        f"Socket comfort went from {before} to {now} by {day}: "
        + (
            f"less than {COMFORT_CHANGE.value:.1f} points may be noise for one person."
            if noise
            else "more than noise for one person."
        ),
        value=float(change),
        limit=COMFORT_CHANGE.value,
        unit="points",
        basis=Basis.GIVEN,
        source=COMFORT_CHANGE.source,
    )


def _unentered(plan: FitPlan) -> Iterator[Finding]:
    """What was changed by hand and stands in no plan makes every picture wrong."""
    open_changes = [
        f"{_hand_words(change)} ({one.date})"
        for one in plan.fittings
        for change in one.changes
        if not change.entered
    ]
    if open_changes:
        yield Finding(
            _STAGE,
            "changed-by-hand",
            Severity.WARNING,
            f"Changed by hand and not in the plan: {'; '.join(open_changes)}. The picture is of"
            " another socket.",
            value=float(len(open_changes)),
            unit="change" if len(open_changes) == 1 else "changes",
            basis=Basis.GIVEN,
            source=TEACHING,
            remedy="the change entered where it belongs in the plan",
            entry="fit.fittings",
        )


def _hand_words(change: HandChange) -> str:
    area = "" if change.area is None else words(change.area.value)
    depth = change.depth_mm
    if area and depth is not None:
        area += f" {abs(depth):.1f} mm {'pressed in' if depth < 0 else 'of space added'}"
    return ", ".join(part for part in (change.what.strip(), area) if part)


def _read_elsewhere(readings: list[FittingReading], plan: FitPlan) -> Iterator[Finding]:
    """Where the last fitting is not read in what stands, or not in what was worn."""
    last = len(plan.fittings) - 1
    read = next((one for one in readings if one.fitting == last), None)
    if read is None:
        return
    if read.remark:
        yield Finding(
            _STAGE,
            "worn-not-read",
            Severity.NOT_ESTABLISHED,
            f"The last fitting is read in the case as it stands: {read.remark}.",
            basis=Basis.GUESSED,
            source=READ_AS_WORN,
        )
    elif read.differs:
        yield Finding(
            _STAGE,
            "worn-is-another",
            Severity.NOTE,
            f"At the last fitting revision {read.revision} was worn and its answers are read in"
            " it; the socket or leg that stands now is another.",
            value=float(read.revision or 0),
            basis=Basis.GIVEN,
            source=READ_AS_WORN,
        )


def _first_change(answers: list[ComplaintAnswer], plan: FitPlan) -> Iterator[Finding]:
    """The worst complaint of the last fitting and what fits it best.

    Of complaints that weigh the same, as where none is scored, one leads that something fits.
    """
    last = len(plan.fittings) - 1
    recent = [answer for answer in answers if answer.fitting == last and answer.causes]
    if not recent:
        return

    complaints = plan.fittings[last].complaints
    scores = {one.complaint: complaints[one.complaint].severity for one in recent}

    def weight(answer: ComplaintAnswer) -> tuple[int, bool]:
        return scores[answer.complaint] or 0, answer.causes[0].verdict is Verdict.FITS

    worst = max(recent, key=weight)
    best = worst.causes[0]
    fits = best.verdict is Verdict.FITS
    text = f"{worst.sign.capitalize()} ({worst.place}, {worst.phase}): " + (
        f"{best.cause} fits best. {best.says}"
        if fits
        else "nothing that is computed speaks for a usual cause; look, palpate and ask."
    )
    if len(recent) > 1 and not any(score is not None for score in scores.values()):
        chosen = "the first that a computed cause fits" if fits else "the first that was logged"
        text += f" No complaint is scored by how bad it is, so this is {chosen}."
    taken, first = None, ""
    if fits and best.suggestion is not None:
        taken = _taken(best.suggestion, plan.fittings[last])
        if taken is None:
            first = best.suggestion.text
        else:
            text += f" Applied in revision {taken.revision}: {taken.text}; see what it does worn."
    doubt = Severity.WARNING if fits else Severity.NOT_ESTABLISHED
    yield Finding(
        _STAGE,
        "to-change-first",
        doubt if taken is None else Severity.NOTE,
        text,
        where=worst.place,
        value=best.value if fits else None,
        limit=best.limit if fits else None,
        unit=best.unit if fits else "",
        basis=best.basis,
        source=best.source,
        remedy=f"to try first, {first}" if first else "",
        at_least=fits and best.at_least,
    )


def _taken(suggestion: Suggestion, fitting: Fitting) -> AppliedSuggestion | None:
    """What was last put into the plan at the same places, if it went the same way."""
    places = {edit.path for edit in suggestion.edits}
    for one in reversed(fitting.applied if places else ()):
        made = {edit.path: edit for edit in one.edits}
        if places <= made.keys():
            turned = any(_opposite(made[edit.path], edit) for edit in suggestion.edits)
            return None if turned else one
    return None


def _opposite(made: AppliedEdit, edit: PlanEdit) -> bool:
    """Whether an entry went up where it is to go down now, or down where it is to go up."""
    if made.before is None or edit.was is None:
        return False
    return bool((made.after - made.before) * (edit.value - edit.was) < 0.0)
