"""The true-size template: the screw square to drill by, and sections to check the socket with."""

from __future__ import annotations

import numpy as np

from limbwright.core.slicing import slice_loops
from limbwright.make.workorder.drawing import Drawing
from limbwright.make.workorder.figures import screw_drawing
from limbwright.make.workorder.order import FOOT_CAUTION, page_title
from limbwright.make.workorder.sheet import Sheet
from limbwright.make.workorder.typeset import compiled, escaped, page_settings

BAR_MM = 100.0
SECTION_LEVELS = 4
_BAR_TEXT = (
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
    files = {"bar.svg": bar_drawing().svg(), "screws.svg": screw_drawing(sheet).svg()}
    pages = [
        page_settings(
            f"{page_title(sheet)} · true size", sheet.person.side.value.upper(), FOOT_CAUTION
        ),
        _page(
            f"Screw square, {sheet.person.side.value} socket, from below",
            'image("screws.svg")',
        ),
    ]
    for level in section_levels(sheet):
        name = f"section-{level:.0f}.svg"
        files[name] = section_drawing(sheet, level).svg()
        title = f"Inside of the {sheet.person.side.value} socket {level:.0f} mm below the datum"
        pages.append("#pagebreak()\n" + _page(title + ", from above", f'image("{name}")'))
    return compiled("\n".join(pages), files)


def bar_drawing() -> Drawing:
    """A bar of exactly 100 mm with ticks every 10 mm."""
    drawing = Drawing(text_mm=3.5)
    drawing.line([[0.0, 0.0], [BAR_MM, 0.0]], width_mm=0.3)
    for place in np.arange(0.0, BAR_MM + 1, 10.0):
        height = 5.0 if place % 50 == 0 else 3.0
        drawing.line([[float(place), 0.0], [float(place), height]], width_mm=0.3)
    drawing.text((0.5 * BAR_MM, -4.5), "100 mm", anchor="middle")
    return drawing


def section_levels(sheet: Sheet) -> list[float]:
    """Levels below the datum, evenly spread over the socket's closed part, rounded to 5 mm."""
    top = -float(sheet.shape.trim.points_mm[:, 2].min())
    end = -float(sheet.shape.model.vertices[:, 2].min())
    levels = np.linspace(max(top, 0.0) + 10, end - 15, SECTION_LEVELS)
    return sorted({float(5 * round(level / 5)) for level in levels})


def section_drawing(sheet: Sheet, level_mm: float) -> Drawing:
    """The inside of the socket at a level, seen from above, anterior at the top."""
    drawing = Drawing(text_mm=3.6)
    right_limb = sheet.person.side.value == "right"
    # From above with the front up, the patient's right is on the paper's right.
    sign = 1.0 if right_limb else -1.0
    for loop in slice_loops(sheet.shape.model, -level_mm):
        drawing.line(loop * [sign, 1.0], closed=True, width_mm=0.3)
    drawing.line([[-8, 0], [8, 0]], width_mm=0.2)
    drawing.line([[0, -8], [0, 8]], width_mm=0.2)
    drawing.text((0, 14), "ANTERIOR", anchor="middle")
    drawing.text((20 * sign, -1), "LATERAL", anchor="start" if right_limb else "end")
    drawing.text((-20 * sign, -1), "MEDIAL", anchor="end" if right_limb else "start")
    drawing.text((0, -14), "cross: limb axis", anchor="middle")
    return drawing


def _page(title: str, image: str) -> str:
    return (
        f"= {escaped(title)}\n#align(center)[#{image}]\n"
        f'#v(1fr)\n#align(center)[#image("bar.svg")]\n#align(center)[{escaped(_BAR_TEXT)}]\n'
    )
