"""What was seen of the walk at a fitting, and the first change as an edit of the plan."""

from __future__ import annotations

from limbwright.align.deviations import DEVIATIONS
from limbwright.align.moves import FootChange
from limbwright.align.plan import Deviation
from limbwright.align.result import DeviationAnswer
from limbwright.fit.result import PlanEdit, Suggestion, WalkAnswer


def walk_answer(answer: DeviationAnswer) -> WalkAnswer:
    """The alignment's answer, with its first change as what is wanted of the foot.

    What is wanted counts from the leg as it stands, so that taking it twice is taking it once.
    """
    change = DEVIATIONS[Deviation(answer.what)].change
    edits = () if change is None else tuple(_wanted(change))
    return WalkAnswer(answer, Suggestion(answer.first_change, edits) if edits else None)


def _wanted(change: FootChange) -> list[PlanEdit]:
    wanted = {
        "wanted_forward_mm": change.forward_mm,
        "wanted_outward_mm": change.outward_mm,
        "wanted_foot_flexion_deg": change.flexion_deg,
        "wanted_foot_adduction_deg": change.adduction_deg,
        "wanted_up_mm": change.up_mm,
        "wanted_toe_out_deg": change.toe_out_deg,
    }
    return [PlanEdit(f"align.{name}", value) for name, value in wanted.items() if value]
