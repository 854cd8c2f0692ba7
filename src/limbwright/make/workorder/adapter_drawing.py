"""The four screws of each pyramid from above, as the one who stands before the leg has them."""

from __future__ import annotations

import numpy as np

from limbwright.align.result import AdjustmentStep, SeenScrew
from limbwright.align.screws import opposite_screw
from limbwright.make.workorder.drawing import PART_GREY, Drawing
from limbwright.make.workorder.sheet import Sheet
from limbwright.make.workorder.wording import quarter_turns

BOSS_MM, REACH_MM, APART_MM = 9.0, 22.0, 92.0
"""Half the boss, how far the screws stand out, and one pyramid from the next, as drawn."""


def adapter_drawing(sheet: Sheet, scale: float) -> Drawing:
    """Every pyramid from above, the person's front towards the one who looks.

    The screw to drive in is black, the one to back out first is struck through; the others rest.
    """
    drawing = Drawing(scale)
    names = dict.fromkeys(screw.adapter for screw in sheet.alignment.screws)
    for place, name in enumerate(names):
        screws = [one for one in sheet.alignment.screws if one.adapter == name]
        steps = [one for one in sheet.alignment.adjustment.steps if one.adapter == name]
        _pyramid(drawing, np.array([place * APART_MM, 0.0]), name, screws, steps)
    low, high = drawing.bounds_mm
    drawing.text(
        (0.5 * (low[0] + high[0]), low[1] - 1.6 * drawing.text_mm),
        "you, looking at the leg",
        anchor="middle",
    )
    return drawing


def _pyramid(
    drawing: Drawing,
    middle: np.ndarray[tuple[int], np.dtype[np.float64]],
    name: str,
    screws: list[SeenScrew],
    steps: list[AdjustmentStep],
) -> None:
    corners = BOSS_MM * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]], dtype=np.float64)
    first = screws[0]
    ahead = np.array([first.to_the_right, -first.towards_one])
    turn = np.column_stack([[-ahead[1], ahead[0]], ahead])
    drawing.line(middle + corners @ turn.T, closed=True, fill=PART_GREY, width=0.3)
    drawing.text(middle - [0.0, 0.35 * drawing.text_mm], name, anchor="middle")
    drives = {step.screw: step for step in steps if step.screw}
    backs = {opposite_screw(screw) for screw in drives}
    for screw in screws:
        _screw(drawing, middle, screw, drives.get(screw.screw), screw.screw in backs)


def _screw(
    drawing: Drawing,
    middle: np.ndarray[tuple[int], np.dtype[np.float64]],
    screw: SeenScrew,
    step: AdjustmentStep | None,
    backed_out: bool,
) -> None:
    away = np.array([screw.to_the_right, -screw.towards_one])
    aside = 3.5 * np.array([-away[1], away[0]])
    near, far = middle + 1.15 * BOSS_MM * away, middle + REACH_MM * away
    fill = "#000000" if step is not None else "#ffffff"
    shank = [near - aside, near + aside, far + aside, far - aside]
    drawing.line(shank, closed=True, fill=fill, width=0.3)
    if backed_out:
        drawing.line([near - aside, far + aside], width=0.4)
    text = drawing.text_mm
    words = [screw.screw]
    if step is not None:
        words.append(f"in {quarter_turns(step.amount).rpartition(' ')[0]}")
    elif backed_out:
        words.append("out first")
    tip = middle + (REACH_MM + 0.5 * text) * away
    anchor = "start" if away[0] > 0.4 else "end" if away[0] < -0.4 else "middle"
    # above the screw when it points away, below it when it points at the one who looks
    start = tip[1] + (1.2 * text * (len(words) - 1) if away[1] > 0.4 else -0.9 * text)
    if abs(away[1]) <= 0.4:
        start = tip[1] + 0.6 * text * (len(words) - 1) - 0.3 * text
    for row, word in enumerate(words):
        drawing.text((tip[0], start - 1.2 * text * row), word, anchor=anchor)
