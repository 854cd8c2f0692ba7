"""The socket's end from below: where its screws, its coupling and its exit are."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from limbwright.core.frame import Side
from limbwright.core.mesh import Vector
from limbwright.couple.hardware import boss_radius_mm
from limbwright.couple.tables import KINDS_WITH_BODY, KINDS_WITH_VALVE
from limbwright.make.workorder.drawing import AXIS, HIDDEN, PART_GREY, Drawing, Points2
from limbwright.make.workorder.sheet import Sheet
from limbwright.make.workorder.wording import number
from limbwright.prove.materials import wall_thickness_mm


def screw_drawing(sheet: Sheet, scale: float) -> Drawing:
    """The socket's end from below: screws, boss, coupling body and exit; anterior at the top."""
    seat, plan = sheet.coupling.seat, sheet.couple_plan.coupling
    right, forward = plate_axes(seat.axis, sheet.person.side)
    drawing = Drawing(scale)
    boss = boss_radius_mm(seat, plan, wall_thickness_mm(sheet.prove_plan))
    drawing.circle((0, 0), boss, fill=PART_GREY if scale > 1 else "none")
    if plan.kind in KINDS_WITH_BODY:
        drawing.circle((0, 0), 0.5 * seat.body_diameter_mm, width=0.18, dash=HIDDEN)
    _cross(drawing, (0.0, 0.0), boss + 3 * scale)
    local = seat.screws_mm - seat.base_mm
    flat = np.column_stack([local @ right, local @ forward])
    for place in flat:
        drawing.circle(place, 0.5 * plan.screw_diameter_mm, fill="#ffffff", width=0.3)
        _cross(drawing, place, 0.5 * plan.screw_diameter_mm + 2.5)
    _exit_arrow(drawing, sheet, right, forward, boss)
    exit_right = float(seat.exit_direction @ right) > 0.3
    _square(drawing, flat, plan.screw_square_mm, boss + 5 * scale, exit_right)
    _sides(drawing, right, boss)
    return drawing


def plate_axes(axis: Vector, side: Side) -> tuple[Vector, Vector]:
    """Right and up on paper when the socket's end is looked at from below, anterior up."""
    forward = np.array([0.0, 1.0, 0.0]) - axis[1] * axis
    forward /= np.linalg.norm(forward)
    outward = np.cross(forward, -axis)
    # From below with the front up, the patient's right is on the paper's left.
    return (-outward if side is Side.RIGHT else outward), forward


def _square(
    drawing: Drawing, places: Points2, side_mm: float, away_mm: float, exit_right: bool
) -> None:
    """Both sides of the screw square, measured clear of boss and exit."""
    half = 0.5 * side_mm
    corner = {(x > 0, y > 0): (x, y) for x, y in places}
    text, aside = number(side_mm, 1), away_mm - half
    drawing.dimension(corner[(False, False)], corner[(True, False)], text, offset_mm=-aside)
    upright = (False, -1.0) if exit_right else (True, 1.0)
    low, high = corner[(upright[0], False)], corner[(upright[0], True)]
    drawing.dimension(low, high, text, offset_mm=-upright[1] * aside)


def _exit_arrow(
    drawing: Drawing, sheet: Sheet, right: Vector, forward: Vector, boss_mm: float
) -> None:
    seat, plan = sheet.coupling.seat, sheet.couple_plan.coupling
    if plan.kind not in KINDS_WITH_BODY | KINDS_WITH_VALVE:
        return
    way = np.array([seat.exit_direction @ right, seat.exit_direction @ forward])
    aside = 0.5 * plan.exit_diameter_mm * np.array([-way[1], way[0]])
    for sign in (1.0, -1.0):
        drawing.line(
            [way * 8 + sign * aside, way * boss_mm + sign * aside], width=0.18, dash=HIDDEN
        )
    drawing.arrow(way * (boss_mm - 6), way * (boss_mm + 3 * drawing.scale))
    word = "valve" if plan.kind in KINDS_WITH_VALVE else "exit"
    rightward = way[0] >= 0
    along = way * (boss_mm + 1.5 * drawing.scale)
    clear = [0.5 if rightward else -0.5, -1.3 if abs(way[0]) > abs(way[1]) else 0.0]
    anchor = "start" if rightward else "end"
    drawing.text(along + drawing.text_mm * np.array(clear), word, anchor=anchor)


def _sides(drawing: Drawing, right: Vector, boss_mm: float) -> None:
    """Names of the sides, close to what they name."""
    low, high = drawing.bounds_mm
    lateral_right = float(right[0]) > 0
    text = drawing.text_mm
    drawing.text((0, high[1] + 0.4 * text), "ANTERIOR", anchor="middle")
    drawing.text((0, low[1] - 1.1 * text), "POSTERIOR", anchor="middle")
    words = ("LATERAL", "MEDIAL") if lateral_right else ("MEDIAL", "LATERAL")
    drawing.text((high[0] + 1.2 * text, -0.3 * text), words[0])
    drawing.text((min(low[0], -boss_mm) - 1.2 * text, -0.3 * text), words[1], anchor="end")


def _cross(drawing: Drawing, centre: ArrayLike, reach_mm: float) -> None:
    x, y = np.asarray(centre, dtype=np.float64)
    drawing.line([[x - reach_mm, y], [x + reach_mm, y]], width=0.12, dash=AXIS)
    drawing.line([[x, y - reach_mm], [x, y + reach_mm]], width=0.12, dash=AXIS)
