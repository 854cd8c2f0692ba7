"""What a change of the alignment would do to this case: moments and pressures, before and after.

The changed case is evaluated like any other, by whatever engine it names; stages that the change
does not touch are taken from the memo.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any

from limbwright.align.adapters import adapters_of
from limbwright.align.adjust import adjust
from limbwright.align.chain import datum_height_mm, stand
from limbwright.align.effects import phase_moments
from limbwright.align.load_line import knee_centre
from limbwright.align.loads import Walker
from limbwright.align.moves import FootChange
from limbwright.align.plan import AdapterKind, AdapterPlace, AdapterPlan, AlignPlan
from limbwright.align.result import Adjustment, Alignment, PhaseMoments
from limbwright.case.checked import checked
from limbwright.case.document import CaseDocument
from limbwright.case.evaluate import NOTHING_HELD, Evaluation, Outcome, evaluate
from limbwright.case.memo import Memo
from limbwright.case.parts_file import read_catalogue
from limbwright.case.turned import turned_plan
from limbwright.core.findings import Finding, Severity
from limbwright.core.mesh import Scalars
from limbwright.couple.in_hand import in_hand
from limbwright.couple.plan import PartsPlan
from limbwright.prove.result import AreaPressure, InterfaceResult

TELLING = (Severity.STOP, Severity.WARNING, Severity.NOT_ESTABLISHED)


@dataclass(frozen=True, slots=True)
class Move:
    """A change of the alignment, from where the case has it.

    Parameters
    ----------
    foot_forward_mm, foot_out_mm, foot_up_mm : float
        Shift of the foot under the socket, sole level, as on the bench.
    toe_out_deg : float
    dorsiflexion_deg, outer_border_up_deg : float
        Tilt at the foot's main pyramid.
    socket_flexion_deg, socket_adduction_deg : float
        Tilt at the socket's main pyramid: everything below swings with it.
    """

    foot_forward_mm: float = 0.0
    foot_out_mm: float = 0.0
    foot_up_mm: float = 0.0
    toe_out_deg: float = 0.0
    dorsiflexion_deg: float = 0.0
    outer_border_up_deg: float = 0.0
    socket_flexion_deg: float = 0.0
    socket_adduction_deg: float = 0.0

    @property
    def is_none(self) -> bool:
        """Whether nothing is moved."""
        return not any(getattr(self, field.name) for field in fields(self))


@dataclass(frozen=True, slots=True)
class MomentChange:
    """One moment before and after, N·m; signs as in `MomentCurve`."""

    place: str
    phase: str
    plane: str
    before_n_m: float
    after_n_m: float


@dataclass(frozen=True, slots=True)
class AreaChange:
    """What one area carries in one load case before and after.

    A value is None where its load case found no equilibrium.
    """

    load_case: str
    area: str
    mean_before_kpa: float | None
    mean_after_kpa: float | None
    peak_before_kpa: float | None
    peak_after_kpa: float | None
    limit_kpa: float | None


@dataclass(frozen=True, slots=True)
class WhatIf:
    """A case before and after a change of its alignment.

    Parameters
    ----------
    move : Move
    moments : tuple of MomentChange
    areas : tuple of AreaChange
    length_before_mm, length_after_mm : float
        Datum to floor.
    pylon_before_mm, pylon_after_mm : float
        Tube to be cut.
    new_findings, gone_findings : tuple of Finding
        Stops, warnings and what is not established, that come or go.
    label : str
        What the pressures are.
    pressure_after_mpa : mapping of str to (n,) float64
        By load case, at the vertices of the limb's surface; only those that found an equilibrium.
    adjustment : Adjustment or None
        What is turned and slid for it; None where the bench is set anew.
    adapters : tuple of AdapterPlan
        As they are then set; none where the bench is set anew.
    """

    move: Move
    moments: tuple[MomentChange, ...]
    areas: tuple[AreaChange, ...]
    length_before_mm: float
    length_after_mm: float
    pylon_before_mm: float
    pylon_after_mm: float
    new_findings: tuple[Finding, ...]
    gone_findings: tuple[Finding, ...]
    label: str
    pressure_after_mpa: Mapping[str, Scalars]
    adjustment: Adjustment | None = None
    adapters: tuple[AdapterPlan, ...] = ()


def what_if(
    folder: Path, document: CaseDocument, memo: Memo, move: Move, *, by_adapters: bool = False
) -> WhatIf:
    """Moments and area pressures of a case before and after a change of its alignment.

    Parameters
    ----------
    folder : Path
    document : CaseDocument
    memo : Memo
        Shared with other evaluations of the case: what the change does not touch is not
        computed again.
    move : Move
    by_adapters : bool
        Whether the leg as it stands is turned and slid, by whole least steps and as near as its
        adapters allow; else the bench is set anew, exactly, and the tube cut for it.

    Raises
    ------
    LimbwrightError
        When the case, or the changed case, cannot be evaluated.
    """
    before = _evaluated(folder, document, memo)
    adjustment = None
    if by_adapters:
        moved, adjustment = turned_document(folder, document, memo, move, before)
    else:
        moved = moved_document(document, move, before)
    after = _evaluated(folder, moved, memo, held_seat(document, moved, before))
    first, second = (one.outcomes["align"].result for one in (before, after))
    interface: InterfaceResult = after.outcomes["prove"].result.interface
    return WhatIf(
        move,
        _moments(before, after),
        _areas(before, after),
        datum_height_mm(stand(first.leg)),
        datum_height_mm(stand(second.leg)),
        first.leg.pylon_mm,
        second.leg.pylon_mm,
        _beyond(after.findings, before.findings),
        _beyond(before.findings, after.findings),
        interface.label,
        {case.load_case: case.pressure_mpa for case in interface.cases},
        adjustment,
        moved.align.adapters if by_adapters else (),
    )


def turned_document(
    folder: Path, document: CaseDocument, memo: Memo, move: Move, evaluation: Evaluation
) -> tuple[CaseDocument, Adjustment]:
    """The case with its adapters set for a change of the foot, and what was turned for it.

    Raises
    ------
    InvalidCase
        When the change leads beyond what a case may state.
    """
    parts = in_hand(document.couple, read_catalogue(folder, memo)).parts
    adapters = adapters_of(document.align.adapters, parts)
    wanted = FootChange(
        move.foot_forward_mm,
        move.foot_out_mm,
        move.dorsiflexion_deg,
        move.outer_border_up_deg,
        move.foot_up_mm or None,
        move.toe_out_deg or None,
    )
    adjustment = adjust(evaluation.outcomes["align"].result.leg, wanted, adapters)
    align = turned_plan(document.align, adapters, adjustment.steps)
    return document.model_copy(update={"align": align}), adjustment


def moved_document(document: CaseDocument, move: Move, evaluation: Evaluation) -> CaseDocument:
    """The case with a change of the alignment entered, as a practitioner would enter it.

    Parameters
    ----------
    document : CaseDocument
    move : Move
    evaluation : Evaluation
        Of the case, up to align at least: it tells what a default stands for.

    Raises
    ------
    InvalidCase
        When the change leads beyond what a case may state.
    """
    aligned: Alignment = evaluation.outcomes["align"].result
    plan = document.align
    values: dict[str, Any] = {"adapters": _tilted(plan.adapters, move)}
    if move.foot_forward_mm:
        values["foot_forward_mm"] = (plan.foot_forward_mm or 0.0) + move.foot_forward_mm
    if move.foot_out_mm:
        values["foot_inset_mm"] = aligned.planned["foot inset"][0] - move.foot_out_mm
    if move.toe_out_deg:
        values["toe_out_deg"] = aligned.planned["toe-out"][0] + move.toe_out_deg
    align = checked(AlignPlan, plan, values, "align")
    couple = document.couple
    if move.foot_up_mm:
        height = evaluation.outcomes["couple"].result.height.datum_floor_mm
        lower = {"datum_floor_mm": height - move.foot_up_mm}
        parts = checked(PartsPlan, couple.parts, lower, "couple.parts")
        couple = couple.model_copy(update={"parts": parts})
    return document.model_copy(update={"align": align, "couple": couple})


def _tilted(adapters: Sequence[AdapterPlan], move: Move) -> tuple[AdapterPlan, ...]:
    """The adapters with the main pyramids tilted on; a default one is listed to be tilted."""
    listed = list(adapters)
    tilts = (
        (AdapterPlace.SOCKET, move.socket_flexion_deg, move.socket_adduction_deg),
        (AdapterPlace.FOOT, move.dorsiflexion_deg, move.outer_border_up_deg),
    )
    for place, flexion, adduction in tilts:
        if not (flexion or adduction):
            continue
        number = _main_pyramid(listed, place)
        old = listed[number]
        turned = {
            "flexion_deg": old.flexion_deg + flexion,
            "adduction_deg": old.adduction_deg + adduction,
        }
        listed[number] = checked(AdapterPlan, old, turned, f"align.adapters.{number}")
    return tuple(listed)


def _main_pyramid(listed: list[AdapterPlan], place: AdapterPlace) -> int:
    """Where the main pyramid of an end stands in the list; put there if it is not."""
    found = [
        number
        for number, one in enumerate(listed)
        if one.place is place and one.kind is AdapterKind.PYRAMID
    ]
    if found:
        return found[0] if place is AdapterPlace.SOCKET else found[-1]
    at = 0 if place is AdapterPlace.SOCKET else len(listed)
    listed.insert(at, AdapterPlan(place=place))
    return at


def held_seat(
    before: CaseDocument, after: CaseDocument, evaluation: Evaluation
) -> Mapping[str, Outcome]:
    """The coupling as it is seated: a socket that is made keeps its seat when the foot moves.

    Left to itself, a balanced seat would be weighed anew for where the foot then stands.
    """
    same = before.couple == after.couple
    return {"couple": evaluation.outcomes["couple"]} if same else NOTHING_HELD


def _evaluated(
    folder: Path,
    document: CaseDocument,
    memo: Memo,
    held: Mapping[str, Outcome] = NOTHING_HELD,
) -> Evaluation:
    evaluation = evaluate(folder, document, memo, upto="prove", held=held)
    for error in evaluation.errors:
        raise error
    return evaluation


def _moments(before: Evaluation, after: Evaluation) -> tuple[MomentChange, ...]:
    pairs = zip(_phase_moments(before), _phase_moments(after), strict=True)
    return tuple(
        MomentChange(
            first.place,
            first.phase,
            plane,
            getattr(first, f"{plane}_n_m"),
            getattr(second, f"{plane}_n_m"),
        )
        for first, second in pairs
        for plane in ("coronal", "sagittal", "transverse")
    )


def _phase_moments(evaluation: Evaluation) -> tuple[PhaseMoments, ...]:
    results = {name: out.result for name, out in evaluation.outcomes.items()}
    assessment, leg = results["assess"], results["align"].leg
    walker = Walker(assessment.body_weight_n, assessment.speed_m_s, assessment.speed_basis)
    return phase_moments(leg, stand(leg), walker, knee_centre(results["capture"])[0])


def _areas(before: Evaluation, after: Evaluation) -> tuple[AreaChange, ...]:
    first, second = (_pressures(one) for one in (before, after))
    names = dict.fromkeys([*first, *second])
    found = []
    for load_case, area in names:
        one, other = first.get((load_case, area)), second.get((load_case, area))
        known = one or other
        limit = known.limit_kpa if known is not None else None
        found.append(
            AreaChange(
                load_case,
                area,
                one.mean_kpa if one is not None else None,
                other.mean_kpa if other is not None else None,
                one.peak_kpa if one is not None else None,
                other.peak_kpa if other is not None else None,
                limit,
            )
        )
    return tuple(found)


def _pressures(evaluation: Evaluation) -> dict[tuple[str, str], AreaPressure]:
    interface = evaluation.outcomes["prove"].result.interface
    return {(case.load_case, area.area): area for case in interface.cases for area in case.areas}


def _beyond(those: tuple[Finding, ...], these: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Telling findings of one evaluation whose like is not in the other."""
    known = {(one.stage, one.code, one.where) for one in these if one.severity in TELLING}
    return tuple(
        one
        for one in those
        if one.severity in TELLING and (one.stage, one.code, one.where) not in known
    )
