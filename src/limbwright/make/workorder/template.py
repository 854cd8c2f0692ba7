"""True-size templates: the screw square to drill by, and sections to check the socket with."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from limbwright.core.frame import Side
from limbwright.core.slicing import slice_loops
from limbwright.couple.tables import SCREW_CLEARANCE_MM
from limbwright.make.workorder.drawing import Drawing, Points2
from limbwright.make.workorder.order import FOOT_CAUTION, page_marks, page_title
from limbwright.make.workorder.picture import View, view_in_limb
from limbwright.make.workorder.screw_drawing import screw_drawing
from limbwright.make.workorder.sheet import Sheet
from limbwright.make.workorder.typeset import (
    TEXT_HEIGHT_MM,
    TEXT_WIDTH_MM,
    Markup,
    compiled,
    image,
    page_settings,
    shown,
)
from limbwright.make.workorder.wording import number

BAR_MM = 100.0
SECTION_LEVELS = 4
ROOM_MM = (TEXT_WIDTH_MM, TEXT_HEIGHT_MM - 62.0)
"""What a drawing may take of a page: the rest is its title, what to do with it, and the bar."""
_PRINTING = (
    "Print at 100 %, without fitting to the page. Measure the bar: unless it is 100 mm, do not use"
    " this page."
)


def template_pdf(sheet: Sheet) -> bytes:
    """Pages at true size, each with a bar to check the printer by.

    Parameters
    ----------
    sheet : Sheet

    Returns
    -------
    bytes
    """
    side = sheet.person.side.value
    files = {"bar.svg": bar_drawing().svg()}
    screws = screw_drawing(sheet, 1.0)
    pages = [_page(f"Screws of the {side} socket, from below", screw_words(sheet), screws, files)]
    for level in section_levels(sheet):
        title = f"Inside of the {side} socket, {_level_words(level)}, from above"
        pages.append(
            _page(title, section_words(sheet, level), section_drawing(sheet, level), files)
        )
    head = page_settings(f"{page_title(sheet)} · true size", page_marks(sheet), FOOT_CAUTION)
    return compiled(head + "#pagebreak()\n".join(pages), files)


def bar_drawing() -> Drawing:
    """A bar of exactly 100 mm with ticks every 10 mm."""
    drawing = Drawing()
    drawing.line([[0.0, 0.0], [BAR_MM, 0.0]], width=0.3)
    for place in np.arange(0.0, BAR_MM + 1, 10.0):
        height = 5.0 if place % 50 == 0 else 3.0
        drawing.line([[float(place), 0.0], [float(place), height]], width=0.3)
    drawing.text((0.5 * BAR_MM, -4.0), "100 mm", anchor="middle")
    return drawing


def section_levels(sheet: Sheet) -> list[float]:
    """Levels below the datum, evenly spread over the socket's closed part, rounded to 5 mm."""
    top = -float(sheet.shape.trim.points_mm[:, 2].min())
    end = -float(sheet.shape.model.vertices[:, 2].min())
    levels = np.linspace(top + 10.0, max(end - 15.0, top + 10.0), SECTION_LEVELS)
    return sorted({float(5 * round(level / 5)) for level in levels})


def section_drawing(sheet: Sheet, level_mm: float) -> Drawing:
    """The inside of the socket at a level, seen from above, anterior at the top."""
    drawing, side = Drawing(), sheet.person.side
    loops = [from_above(loop, side) for loop in slice_loops(sheet.shape.model, -level_mm)]
    for loop in loops:
        drawing.line(loop, closed=True, width=0.3)
    outline = loops[0] if loops else np.zeros((1, 2))
    _names(drawing, outline, side, level_mm)
    for reach in ([6.0, 0.0], [0.0, 6.0]):
        drawing.line([-np.array(reach), np.array(reach)], width=0.2)
    for front in _straight_ahead(outline):
        drawing.line([[0.0, front - 6.0], [0.0, front]], width=0.5)
    return drawing


def _straight_ahead(outline: Points2) -> list[float]:
    """Where an outline lies furthest in front of the limb's axis; nothing where it does not."""
    after = np.roll(outline, -1, axis=0)
    crosses = (outline[:, 0] < 0.0) != (after[:, 0] < 0.0)
    a, b = outline[crosses], after[crosses]
    heights = a[:, 1] - a[:, 0] * (b[:, 1] - a[:, 1]) / (b[:, 0] - a[:, 0])
    return [float(heights.max())] if len(heights) and heights.max() > 0.0 else []


def _names(drawing: Drawing, outline: Points2, side: Side, level_mm: float) -> None:
    """Sides and level, inside the outline and clear of the limb's axis."""
    low, high = outline.min(axis=0), outline.max(axis=0)
    middle, height = 0.5 * (low + high), float(high[1] - low[1])
    away = -0.2 if middle[1] <= 0.0 else 0.2
    x, y = float(middle[0]), float(middle[1]) + away * height
    lateral_right = from_above(np.array([[1.0, 0.0]]), side)[0, 0] > 0
    words = ("MEDIAL", "LATERAL") if lateral_right else ("LATERAL", "MEDIAL")
    drawing.text((x, y + 6.0), "↑ ANTERIOR", anchor="middle")
    drawing.text((x - 3.0, y), f"← {words[0]}", anchor="end")
    drawing.text((x + 3.0, y), f"{words[1]} →")
    text = f"{side.value.upper()} · {_level_words(level_mm)}"
    drawing.text((x, y - 6.0), text, anchor="middle")


def from_above(points_mm: NDArray[np.float64], side: Side) -> NDArray[np.float64]:
    """Limb-frame (o, f) points (n, 2) on paper, seen from above with the front up, mm.

    The patient's right is on the paper's right, as for one who looks down into the socket
    from behind it.
    """
    right, _ = view_in_limb(View.BACK, side)
    return np.column_stack([points_mm @ right[:2], points_mm[:, 1]])


def screw_words(sheet: Sheet) -> str:
    """What to do with the screws' template."""
    plan = sheet.couple_plan.coupling
    drill = number(plan.screw_diameter_mm + SCREW_CLEARANCE_MM.value, 1)
    return (
        "Cut out along the outer circle. Lay it on the flat outside of the socket's floor, print"
        " towards you, its middle on the coupling's axis and ANTERIOR to the front of the socket;"
        f" centre-punch the four crosses and drill {drill} mm square to the floor. A printed socket"
        " has its holes already: check them."
    )


def section_words(sheet: Sheet, level_mm: float) -> str:
    """What to do with a section's template, and where its level is."""
    front = float(sheet.shape.trim.controls_mm["anterior"][2]) + level_mm
    return (
        f"Cut out along the line. The level is {number(front)} mm below the front of the trim line,"
        " measured along the limb's axis. Lower the card into the socket, print upwards, level and"
        " with its front mark to the front: it fills the socket without a gap and without force."
        " The cross is the limb's axis, the mark lies straight in front of it."
        " On the positive model the rest of the sheet fits round it."
    )


def _page(title: str, words: str, drawing: Drawing, files: dict[str, bytes]) -> str:
    """A page with a drawing at true size, or with the reason why there is none."""
    width, height = drawing.paper_mm
    if width > ROOM_MM[0] or height > ROOM_MM[1]:
        refused = (
            f"Not drawn: the outline takes {width:.0f} by {height:.0f} mm and the paper has"
            f" {ROOM_MM[0]:.0f} by {ROOM_MM[1]:.0f} mm. A part of it would mislead; check this"
            " level by its girth in the work order."
        )
        return f"== {shown(title)}\n{shown(refused)}\n"
    name = f"drawing-{len(files)}.svg"
    files[name] = drawing.svg()
    bar = image("bar.svg", bar_drawing().paper_mm[0], "a bar of 100 mm")
    return Markup(
        f"== {shown(title)}\n#fine[{shown(words)}]\n#v(1fr)\n"
        f"#align(center)[{image(name, width, title)}]\n"
        f"#v(1fr)\n#align(center)[{bar}]\n#align(center)[*{shown(_PRINTING)}*]\n"
    )


def _level_words(level_mm: float) -> str:
    way = "below" if level_mm >= 0 else "above"
    return f"{number(abs(level_mm))} mm {way} the datum"
