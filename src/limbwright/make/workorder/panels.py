"""Pictures and drawings as they stand on the page, each set at one stated scale."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from limbwright.make.workorder.adapter_drawing import adapter_drawing
from limbwright.make.workorder.alignment_drawing import alignment_drawing, bench_of
from limbwright.make.workorder.coupling_drawing import axis_words, coupling_cut, coupling_section
from limbwright.make.workorder.drawing import Drawing
from limbwright.make.workorder.limb_pictures import (
    LOAD_COLOUR,
    RELIEF_COLOUR,
    Bands,
    Tag,
    area_tags,
    pressure_pictures,
    shape_pictures,
)
from limbwright.make.workorder.picture import Picture, View
from limbwright.make.workorder.screw_drawing import screw_drawing
from limbwright.make.workorder.sheet import Sheet
from limbwright.make.workorder.typeset import (
    TEXT_WIDTH_MM,
    Markup,
    beside,
    fine,
    image,
    kept,
)
from limbwright.prove.result import CasePressure

Files = dict[str, bytes]

SCALES = (1.0, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 15.0, 20.0)
"""Scales of reduction that a drawing may have."""
GAP_MM = 4.0
COUPLING_HEIGHT_MM = 95.0
ALIGNMENT_HEIGHT_MM = 150.0
SCREWS_HEIGHT_MM = 45.0
PICTURE_HEIGHT_MM = 82.0
SEEN_FROM = {
    View.FRONT: "front",
    View.LATERAL: "lateral side",
    View.BACK: "back",
    View.MEDIAL: "medial side",
}


def tags_of(sheet: Sheet) -> dict[int, Markup]:
    """The mark that stands for each area, white on black for loads."""
    return {
        number: _tag(number, area.loads) for number, area in enumerate(sheet.shape.areas, start=1)
    }


def shape_panel(sheet: Sheet, files: Files) -> Markup:
    """The rectified limb from four sides, its areas numbered."""
    pictures = shape_pictures(sheet)
    tags = {view: area_tags(sheet, view, picture) for view, picture in pictures.items()}
    legend = (
        f"#fine[{_swatch(LOAD_COLOUR)} #tag([1], true) load area, presses in #h(6mm)"
        f" {_swatch(RELIEF_COLOUR)} #tag([2], false) relief area, adds space #h(6mm)"
        " #box(width: 14pt, height: 2.4pt, baseline: -2pt, fill: black) trim line #h(6mm)"
        " numbers: see the table of areas]\n"
    )
    return kept(picture_row(sheet, "shape", pictures, tags, files), legend)


def pressure_panel(sheet: Sheet, case: CasePressure, bands: Bands, files: Files) -> Markup:
    """Pressure of one load case from four sides, with its legend."""
    pictures = pressure_pictures(sheet, case, bands)
    last = len(bands.colours) - 1
    cells = ", ".join(
        f"[#block(width: 100%, height: 9pt, stroke: 0.4pt, fill: {_rgb(colour)}){low:g}"
        + ("" if place < last else " and more")
        + "]"
        for place, (colour, low) in enumerate(zip(bands.colours, bands.edges_kpa, strict=True))
    )
    legend = (
        f"#fine[#grid(columns: (auto, {', '.join(['1fr'] * (last + 1))}), column-gutter: 0pt,"
        f" align: left + bottom, [kPa, from #h(4mm)], {cells})]\n"
    )
    return kept(picture_row(sheet, "pressure", pictures, {}, files), legend)


def coupling_panel(sheet: Sheet, files: Files, figures: str) -> Markup:
    """Two sections along the coupling's axis, and its screws from below beside its figures."""
    views = (View.FRONT, View.LATERAL)
    cuts = [coupling_cut(sheet, view) for view in views]
    scale, drawings = fitted(
        lambda scale: [coupling_section(cut, scale) for cut in cuts],
        TEXT_WIDTH_MM,
        COUPLING_HEIGHT_MM,
    )
    side = sheet.person.side.value.upper()
    captions = [
        f"{side} socket from the {SEEN_FROM[view]}, cut along the coupling's axis; scale"
        f" {_scale(scale)}; {axis_words(sheet, view)}"
        for view in views
    ]
    screws = screw_drawing(sheet, scale)
    below = f"{side} socket from below; scale {_scale(scale)}; true to size on the template"
    return Markup(
        kept(_drawings("coupling", drawings, captions, files))
        + kept(
            beside(
                f"({max(screws.paper_mm[0], 62.0):.2f}mm, 1fr)",
                _drawings("screws", [screws], [below], files),
                figures,
            )
        )
    )


def alignment_panel(sheet: Sheet, files: Files) -> Markup:
    """The leg on the bench from the front and from the lateral side, at one scale."""
    views = (View.FRONT, View.LATERAL)
    benches = [bench_of(sheet, view) for view in views]
    scale, drawings = fitted(
        lambda scale: [alignment_drawing(bench, scale) for bench in benches],
        TEXT_WIDTH_MM,
        ALIGNMENT_HEIGHT_MM,
    )
    side = sheet.person.side.value.upper()
    captions = [
        f"{side} leg from the {SEEN_FROM[view]}; scale {_scale(scale)}; mm; tube, clamps and foot"
        " are drawn for the eye"
        for view in views
    ]
    return kept(_drawings("alignment", drawings, captions, files))


def screws_panel(sheet: Sheet, files: Files) -> Markup:
    """Every pyramid's screws from above, the person's front towards the one who looks."""
    _, drawings = fitted(
        lambda scale: [adapter_drawing(sheet, scale)], TEXT_WIDTH_MM, SCREWS_HEIGHT_MM
    )
    side = sheet.person.side.value.upper()
    caption = (
        f"Screws of the {side} leg from above, as you stand before it; black: drive in, struck"
        " through: back out first; not to scale"
    )
    return _drawings("adapters", drawings, [caption], files)


def fitted(
    draw: Callable[[float], list[Drawing]], width_mm: float, height_mm: float
) -> tuple[float, list[Drawing]]:
    """The largest scale at which drawings fit side by side, and the drawings."""
    for scale in SCALES:
        drawings = draw(scale)
        total = sum(drawing.paper_mm[0] for drawing in drawings) + GAP_MM * (len(drawings) - 1)
        if total <= width_mm and max(drawing.paper_mm[1] for drawing in drawings) <= height_mm:
            break
    return scale, drawings


def _drawings(
    name: str, drawings: Sequence[Drawing], captions: Sequence[str], files: Files
) -> Markup:
    cells, captioned, widths = [], [], []
    for place, (drawing, caption) in enumerate(zip(drawings, captions, strict=True)):
        file = f"{name}-{place}.svg"
        files[file] = drawing.svg()
        cells.append(f"[{image(file, drawing.paper_mm[0], caption)}]")
        captioned.append(f"grid.cell(align: top)[{fine(caption)}]")
        widths.append(f"{drawing.paper_mm[0]:.3f}mm")
    gap = f"{GAP_MM:g}mm"
    return Markup(
        f"#grid(columns: ({', '.join(widths)},), column-gutter: {gap}, align: left + bottom,"
        f" row-gutter: 2mm, {', '.join([*cells, *captioned])})\n"
    )


def picture_row(
    sheet: Sheet,
    name: str,
    pictures: dict[View, Picture],
    tags: dict[View, tuple[Tag, ...]],
    files: Files,
) -> Markup:
    """Pictures side by side at one scale, with captions and numbers."""
    total = sum(picture.width_mm for picture in pictures.values())
    tallest = max(picture.height_mm for picture in pictures.values())
    gaps = GAP_MM * (len(pictures) - 1)
    ratio = min((TEXT_WIDTH_MM - gaps) / total, PICTURE_HEIGHT_MM / tallest)
    cells = []
    for view, picture in pictures.items():
        file = f"{name}-{view.value}.png"
        files[file] = picture.png
        width, height = picture.width_mm * ratio, picture.height_mm * ratio
        says = f"{name} of the {sheet.person.side.value} limb, {SEEN_FROM[view]}"
        marks = "".join(
            f"#place(top + left, dx: {tag.right_mm * ratio:.2f}mm - 4.7pt,"
            f" dy: {tag.down_mm * ratio:.2f}mm - 2.7pt, {_tag(tag.number, tag.loads)[1:]})\n"
            for tag in tags.get(view, ())
        )
        cells.append(
            f"[#block(width: {width:.2f}mm, height: {height:.2f}mm, below: 2mm)["
            f"#place(top + left, {image(file, width, says)[1:]})\n{marks}]"
            f"#align(center)[{fine(SEEN_FROM[view])}]]"
        )
    widths = ", ".join(f"{picture.width_mm * ratio:.2f}mm" for picture in pictures.values())
    return Markup(f"#grid(columns: ({widths},), column-gutter: 1fr, {', '.join(cells)})\n")


def _tag(number: int, loads: bool) -> Markup:
    return Markup(f"#tag([{number}], {'true' if loads else 'false'})")


def _scale(scale: float) -> str:
    return f"1:{scale:g}"


def _swatch(colour: tuple[float, float, float]) -> str:
    return f"#box(width: 9pt, height: 9pt, baseline: 1pt, fill: {_rgb(colour)})"


def _rgb(colour: tuple[float, float, float]) -> str:
    return f"rgb({', '.join(f'{round(255 * part)}' for part in colour)})"
