"""What an edit shows first: some stages, and the pressure under the one load case in view.

The whole evaluation follows and replaces it. A first look never waits for what is made once per
limb, and says nothing where anything fails: the evaluation tells what and why.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from limbwright.align.result import LoadCase
from limbwright.align.setup import loads_of
from limbwright.align.stand import bench_stand
from limbwright.case.document import CaseDocument
from limbwright.case.evaluate import Evaluation, State, evaluate, inputs_from
from limbwright.case.interface import CONFIRMING, LIVE, prepared_already
from limbwright.case.memo import Memo
from limbwright.case.stepping import Capturing, StepInputs
from limbwright.case.steps import parts_in_hand, seat_ground
from limbwright.core.errors import LimbwrightError
from limbwright.couple.result import Seat
from limbwright.couple.seating import seat_and_height
from limbwright.prove.interface.engine import attempt_all, donned_case, engine
from limbwright.prove.materials import plate_thickness_mm
from limbwright.prove.result import CasePressure

_GROUND = ("assess", "capture", "shape")
"""Stages that a pressure rests on, beside seat and loads."""


@dataclass(frozen=True, slots=True, eq=False)
class FirstLook:
    """Some stages of a case, and the pressure of one load case.

    Parameters
    ----------
    evaluation : Evaluation
    pressure : CasePressure or None
    ended : where the search ended, for the next look to begin at; None where nothing is kept
    """

    evaluation: Evaluation
    pressure: CasePressure | None = None
    ended: Any = None


def first_look(
    folder: Path,
    document: CaseDocument,
    memo: Memo,
    upto: str,
    load_case: str | None = None,
    last: Any = None,
    capturing: Capturing | None = None,
) -> FirstLook:
    """Evaluate a case up to a stage, and press the limb with one load case.

    Parameters
    ----------
    folder : Path
    document : CaseDocument
    memo : Memo
    upto : str
        Last stage wanted.
    load_case : str, optional
        Without one, or where the engine has nothing at hand for this limb, no pressure is told.
    last : optional
        `ended` of the last look at this limb.
    capturing : callable, optional
        As in `evaluate`.

    Raises
    ------
    KeyError
        When `upto` is no stage.
    """
    seen = evaluate(folder, document, memo, upto=upto, capturing=capturing)
    outcomes = seen.outcomes
    if load_case is None or any(outcomes[name].state is not State.READY for name in _GROUND):
        return FirstLook(seen)
    try:
        pressure, ended = _pressed(inputs_from(folder, seen, memo), load_case, last)
    except LimbwrightError:
        return FirstLook(seen)
    return FirstLook(seen, pressure, ended)


def _pressed(inputs: StepInputs, load_case: str, last: Any) -> tuple[CasePressure | None, Any]:
    chosen = engine(inputs.document.prove.engine)
    prepared = prepared_already(inputs, chosen.name)
    if prepared is None or chosen.name == CONFIRMING:
        return None, None
    seat, load_cases = _stood(inputs)
    case = next((one for one in load_cases if one.name == load_case), None)
    if case is None:
        return None, None
    fitted = chosen.with_socket(prepared, inputs.results["shape"], seat)
    if chosen.name == LIVE:
        # The live model is loaded only where it is used.
        from limbwright.prove.interface.condensed.glance import glance

        return glance(fitted, case, last)
    cases = attempt_all(chosen, fitted, [donned_case(load_cases), case]).result.cases
    return next((one for one in cases if one.load_case == load_case), None), None


def _stood(inputs: StepInputs) -> tuple[Seat, tuple[LoadCase, ...]]:
    """Seat and loads: of the stages that were evaluated, or by themselves."""
    results, document = inputs.results, inputs.document
    if "align" in results:
        return results["couple"].seat, results["align"].load_cases
    plan, shape, person = parts_in_hand(inputs), results["shape"], document.person
    seat, height = seat_and_height(
        seat_ground(inputs),
        shape,
        plan,
        person,
        document.liner,
        plate_thickness_mm(document.prove),
        bench_stand(document.align, person, shape, plan.parts),
    )
    loads = loads_of(shape, seat, height, document.align, person, results["assess"], plan.parts)
    return seat, loads
