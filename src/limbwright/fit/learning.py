"""Everything logged at the fittings, answered by the picture as it stands."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from limbwright.align.result import Alignment
from limbwright.capture.result import Limb
from limbwright.core.findings import Finding, Severity
from limbwright.core.sources import Basis
from limbwright.fit.causes import causes_of
from limbwright.fit.plan import Complaint, FitPlan, Fitting
from limbwright.fit.result import ComplaintAnswer, FitResult, Verdict
from limbwright.fit.spot import READ_AS, Ground, Picture, Spot, picture_of, spot_of
from limbwright.fit.tables import COMFORT_CHANGE, TEACHING
from limbwright.prove.result import Proof
from limbwright.shape.plan import ShapePlan
from limbwright.shape.result import SocketShape

_STAGE = "fit"


def learn(
    plan: FitPlan,
    limb: Limb,
    shape: SocketShape,
    alignment: Alignment,
    proof: Proof,
    shape_plan: ShapePlan,
    ground: Callable[[], Ground],
) -> FitResult:
    """Hold what was logged against what is computed.

    Parameters
    ----------
    plan : FitPlan
    limb, shape, alignment, proof : results of the stages before, of the case as it stands
    shape_plan : ShapePlan
        What suggestions change.
    ground : callable
        Gives the limb's `ground_of`; asked only where there is a complaint.

    Returns
    -------
    FitResult
        Complaints of the last fitting first. The picture is that of the case as it stands: a
        complaint of an earlier revision is read in today's socket.
    """
    answers: list[ComplaintAnswer] = []
    if any(one.complaints for one in plan.fittings):
        picture = picture_of(limb, shape, alignment, proof, shape_plan, ground())
        for number in reversed(range(len(plan.fittings))):
            answers += _answers(picture, plan.fittings[: number + 1])
    comfort = tuple((one.date, one.comfort) for one in plan.fittings if one.comfort is not None)
    ply = tuple((one.date, one.ply) for one in plan.fittings if one.ply is not None)
    findings = (*_comfort(comfort), *_unentered(plan), *_first_change(answers, plan))
    return FitResult(tuple(answers), comfort, ply, findings)


def _answers(picture: Picture, fittings: tuple[Fitting, ...]) -> Iterator[ComplaintAnswer]:
    for number, complaint in enumerate(fittings[-1].complaints):
        spot = spot_of(picture, complaint)
        causes = causes_of(picture, complaint.sign, complaint.phase, spot, fittings)
        point = None
        if spot is not None:
            outward, forward, up = (float(part) for part in spot.point_mm)
            point = (outward, forward, up)
        yield ComplaintAnswer(
            len(fittings) - 1,
            number,
            _plain(complaint.sign.value),
            _plain(complaint.phase.value),
            _place(picture, complaint, spot),
            point,
            spot.load_case if spot is not None else READ_AS[complaint.phase],
            causes,
        )


def _place(picture: Picture, complaint: Complaint, spot: Spot | None) -> str:
    if complaint.landmark is not None:
        return _plain(complaint.landmark)
    if spot is None:
        return "the whole socket"
    if spot.area is not None:
        return _plain(spot.area.name.value)
    nearest = min(
        picture.limb.landmarks.values(),
        key=lambda mark: float(((mark.point_mm - spot.point_mm) ** 2).sum()),
        default=None,
    )
    return "on the limb" if nearest is None else f"near the {_plain(nearest.name)}"


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
        f"{change.what} ({one.date})"
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
            unit="changes",
            basis=Basis.GIVEN,
            source=TEACHING,
            remedy="the change entered where it belongs in the plan",
            entry="fit.fittings",
        )


def _first_change(answers: list[ComplaintAnswer], plan: FitPlan) -> Iterator[Finding]:
    """The complaint that weighs most in the last fitting, and what fits it best."""
    last = len(plan.fittings) - 1
    recent = [answer for answer in answers if answer.fitting == last and answer.causes]
    if not recent:
        return

    def weight(answer: ComplaintAnswer) -> int:
        return plan.fittings[last].complaints[answer.complaint].severity or 0

    worst = max(recent, key=weight)
    best = worst.causes[0]
    fits = best.verdict is Verdict.FITS
    text = f"{worst.sign.capitalize()} ({worst.place}, {worst.phase}): " + (
        f"{best.cause} fits best. {best.says}"
        if fits
        else "nothing that is computed speaks for a usual cause; look, palpate and ask."
    )
    first = best.suggestion.text if fits and best.suggestion is not None else ""
    yield Finding(
        _STAGE,
        "to-change-first",
        Severity.WARNING if fits else Severity.NOT_ESTABLISHED,
        text,
        where=worst.place,
        value=best.value if fits else None,
        limit=best.limit if fits else None,
        unit=best.unit if fits else "",
        basis=best.basis,
        source=best.source,
        remedy=f"to try first, {first}" if first else "",
    )


def _plain(name: str) -> str:
    return name.replace("_", " ")
