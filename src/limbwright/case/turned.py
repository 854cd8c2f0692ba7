"""A case whose adapters are turned and slid for a wanted change of the foot."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from limbwright.align.adapters import Adapters, with_main_pyramids
from limbwright.align.plan import AdapterPlan, AlignPlan
from limbwright.align.result import AdjustmentStep
from limbwright.case.checked import checked

WISHES = tuple(name for name in AlignPlan.model_fields if name.startswith("wanted_"))
_UNITS = {"flexion": "deg", "adduction": "deg", "turn": "deg"}


def turned_plan(plan: AlignPlan, adapters: Adapters, steps: Sequence[AdjustmentStep]) -> AlignPlan:
    """The alignment after the steps are done: set at the adapters, and nothing wanted any more.

    Figures that the catalogue gave an adapter stay unstated, so that the part still gives them.

    Parameters
    ----------
    plan : AlignPlan
    adapters : tuple of Adapter
        Those of the plan.
    steps : sequence of AdjustmentStep

    Raises
    ------
    InvalidCase
        When a step leads beyond what a case may state.
    """
    listed = list(with_main_pyramids(plan.adapters))
    number_of = {one.name: number for number, one in enumerate(adapters)}
    for step in steps:
        number = number_of[step.adapter]
        field = f"{step.what}_{_UNITS.get(step.what, 'mm')}"
        value = {field: getattr(listed[number], field) + step.change}
        listed[number] = checked(AdapterPlan, listed[number], value, f"align.adapters.{number}")
    met: dict[str, Any] = {name: AlignPlan.model_fields[name].default for name in WISHES}
    turned: AlignPlan = checked(AlignPlan, plan, {**met, "adapters": tuple(listed)}, "align")
    return turned
