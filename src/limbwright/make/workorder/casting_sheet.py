"""The casting sheet: one page to lie beside the bowl while the cast is taken."""

from __future__ import annotations

import numpy as np

from limbwright.capture.casting.result import Casting
from limbwright.core.findings import Severity, worst_first
from limbwright.core.mesh import Mesh, Vector
from limbwright.make.workorder.limb_pictures import PLASTER, Tag, ribbon
from limbwright.make.workorder.order import FOOT_CAUTION, page_marks, page_title
from limbwright.make.workorder.panels import Files, picture_row
from limbwright.make.workorder.picture import Body, Picture, View, on_paper, render
from limbwright.make.workorder.sheet import Sheet
from limbwright.make.workorder.typeset import (
    Column,
    Markup,
    beside,
    compiled,
    fine,
    kept,
    page_settings,
    shown,
    table,
)
from limbwright.make.workorder.wording import finding_text, number, remedy_text

DOT_MM = 3.0
"""Radius of a landmark in the picture."""
_PRESS_COLOUR, _SPARE_COLOUR = (0.165, 0.353, 0.561), (0.70, 0.42, 0.10)
_SHOWN = (Severity.STOP, Severity.NOT_ESTABLISHED, Severity.WARNING)
_FACING = 0.2
"""A place is numbered in a view that it faces at least so squarely."""


def casting_sheet_pdf(sheet: Sheet) -> bytes | None:
    """The casting sheet as PDF; None when the case holds no casting plan.

    Parameters
    ----------
    sheet : Sheet
    """
    casting = sheet.limb.casting
    if casting is None:
        return None
    files: Files = {}
    title = page_title(sheet).replace("work order", "casting sheet")
    parts = [
        page_settings(title, page_marks(sheet), FOOT_CAUTION),
        _small(),
        f"= Casting the {sheet.person.side.value.upper()} limb\n",
        _warnings(casting),
        kept(_pictures(sheet, casting, files)),
        beside("(1fr, 1fr)", _hands(casting), _parts(casting), gutter_mm=6.0),
        beside("(1fr, 1fr)", _marks(casting), _filling(casting), gutter_mm=6.0),
    ]
    return compiled("\n".join(parts), files)


def _small() -> Markup:
    """Closer lines than in the order: all of it stands on one page."""
    return Markup(
        "#set text(8.5pt)\n#set par(spacing: 0.6em)\n"
        "#show heading.where(level: 1): it => block(above: 0pt, below: 5pt, text(15pt, it.body))\n"
        "#show heading.where(level: 2): it => block(above: 6pt, below: 3pt, sticky: true,"
        " text(11pt, it.body))\n#show table: set text(8pt)\n"
    )


def _warnings(casting: Casting) -> Markup:
    found = [item for item in worst_first(casting.findings) if item.severity in _SHOWN]
    if not found:
        return Markup("")
    lines = "\n".join(
        f"- *{item.severity.value.upper()}* {shown(f'{finding_text(item)} {remedy_text(item)}')}"
        for item in found
    )
    return Markup(f"#boxed[\n{lines}\n]\n")


def _pictures(sheet: Sheet, casting: Casting, files: Files) -> Markup:
    surface = sheet.limb.surface
    limb = Body(surface, np.tile(PLASTER, (len(surface.vertices), 1)), lambda seen: seen)
    trim = ribbon(sheet.shape.trim.points_mm, surface)
    line = Body(trim, np.zeros((len(trim.vertices), 3)), lambda seen: seen, shade=0.0)
    dots = [_dot(_place_mm(sheet, number), hand.press) for number, hand in enumerate(casting.hands)]
    pictures = {view: render([limb, line, *dots], sheet.person.side, view) for view in View}
    tags = {view: _tags(sheet, casting, view, picture) for view, picture in pictures.items()}
    legend = (
        "#fine[#tag([1], true) press #h(6mm) #tag([2], false) keep off #h(6mm)"
        " #box(width: 14pt, height: 2.4pt, baseline: -2pt, fill: black) trim line]\n"
    )
    return Markup(picture_row(sheet, "casting", pictures, tags, files) + legend)


def _place_mm(sheet: Sheet, place: int) -> Vector:
    """Point of the skin where a hand presses or keeps off."""
    casting = sheet.limb.casting
    assert casting is not None
    hand = casting.hands[place]
    point = sheet.limb.landmarks[hand.landmark].point_mm
    wanted = np.array([point[0], point[1], -hand.level_mm])
    vertices = sheet.limb.surface.vertices
    return np.asarray(vertices[int(np.argmin(((vertices - wanted) ** 2).sum(axis=1)))])


def _dot(point_mm: Vector, press: bool) -> Body:
    """A small octahedron on the skin."""
    corners = DOT_MM * np.concatenate([np.eye(3), -np.eye(3)]) + point_mm
    faces = np.array(
        [
            [0, 1, 2],
            [1, 3, 2],
            [3, 4, 2],
            [4, 0, 2],
            [1, 0, 5],
            [3, 1, 5],
            [4, 3, 5],
            [0, 4, 5],
        ],
        dtype=np.int32,
    )
    colour = _PRESS_COLOUR if press else _SPARE_COLOUR
    return Body(Mesh(corners, faces), np.tile(colour, (6, 1)), lambda seen: seen, shade=0.0)


def _tags(sheet: Sheet, casting: Casting, view: View, picture: Picture) -> tuple[Tag, ...]:
    tags = []
    for place, hand in enumerate(casting.hands):
        point = _place_mm(sheet, place)
        outward = np.array([point[0], point[1], 0.0])
        toward = {
            other: on_paper(outward / np.linalg.norm(outward), other, sheet.person.side)[0, 2]
            for other in View
        }
        if toward[view] < max(_FACING, max(toward.values()) - 0.35):
            continue
        right, up, _ = on_paper(point, view, sheet.person.side)[0]
        tags.append(
            Tag(place + 1, hand.press, float(right) - picture.left_mm, picture.top_mm - float(up))
        )
    return tuple(tags)


def _hands(casting: Casting) -> Markup:
    rows = [
        [
            Markup(f"#tag([{place}], {'true' if hand.press else 'false'})"),
            hand.name,
            number(hand.level_mm),
        ]
        for place, hand in enumerate(casting.hands, start=1)
    ]
    columns = [Column("", "8mm"), Column("Press, keep off", "1fr"), Column("mm", numeric=True)]
    return Markup("== Hands\n" + table(columns, rows) + fine("Levels below the datum."))


def _parts(casting: Casting) -> Markup:
    wrap, dummy = casting.wrap, casting.dummy
    chosen = wrap.rolls[0]
    others = ", ".join(
        f"{number(item.width_mm)} mm: {item.open}"
        for item in wrap.rolls[1:]
        if item.width_mm != chosen.width_mm
    )
    rows = [
        ["Wrap", f"{number(wrap.area_cm2)} cm², to {number(wrap.upper_mm)} mm over the datum"],
        ["Layers", f"{wrap.layers} ({wrap.layers_from})"],
        [
            "Rolls",
            f"{chosen.open} of {number(chosen.width_mm)} mm (takes {number(chosen.needed, 2)},"
            f" waste included); or of one other width: {others}",
        ],
        ["Water", f"{number(casting.water_c)} °C"],
        [
            "Film",
            f"yes, smooth; adds {number(casting.film_girth_mm, 1)} mm of girth"
            if casting.film
            else "no",
        ],
    ]
    if dummy is not None:
        rows += [
            ["Dummy", f"⌀{number(dummy.body_mm, 1)} mm, {number(dummy.height_mm, 1)} mm high"],
            [
                "Sealing ring",
                f"⌀{number(dummy.ring_outside_mm, 1)} / {number(dummy.ring_inside_mm, 1)} mm,"
                f" {number(dummy.ring_height_mm, 1)} mm high, on the cap's rim",
            ],
            ["Exit's dummy", f"⌀{number(dummy.exit_mm, 1)} mm, {dummy.exit_words}"],
        ]
    times = [
        [
            number(event.at_min, 1 if event.at_min % 1 else 0)
            + (f"–{number(event.until_min)}" if event.until_min > event.at_min else ""),
            event.text,
        ]
        for event in casting.events
    ]
    return Markup(
        "== Tape and parts\n"
        + table([Column("", "20mm"), Column("", "1fr")], rows)
        + "== Clock\n"
        + table([Column("min", "12mm", numeric=True), Column("After the first dip", "1fr")], times)
    )


def _marks(casting: Casting) -> Markup:
    rows = [[mark.name, number(mark.level_mm), mark.side_words] for mark in casting.marks]
    columns = [Column("Mark", "1fr"), Column("mm", numeric=True), Column("Where", "1fr")]
    return Markup("== Marks on the film\n" + table(columns, rows))


def _filling(casting: Casting) -> Markup:
    filling = casting.filling
    rows = [
        ["Volume", f"{number(filling.volume_ml)} ml"],
        ["Plaster", f"{number(filling.powder_kg, 2)} kg"],
        ["Water", f"{number(filling.water_kg, 2)} kg"],
        ["Growth", f"{number(filling.growth_mm, 2)} mm of the largest breadth on setting"],
    ]
    steps = "\n".join(f"+ {shown(step)}" for step in filling.order)
    there = "with the dummy in place" if filling.dummy_in_place else "without a dummy in place"
    return Markup(
        f"== Filling, {there}\n"
        + table([Column("", "20mm"), Column("", "1fr")], rows)
        + f"{steps}\n"
        + fine(
            "Gloves, no bare skin, fresh air: resin is an isocyanate. The tape's and plaster's"
            " makers' instructions come first."
        )
    )
