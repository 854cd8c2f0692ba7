"""From text and pictures to a PDF, with the fonts that the typesetter brings along."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import typst

from limbwright.make.workorder.wording import printable

PAPER_MM = (210.0, 297.0)
SIDE_MARGIN_MM, TOP_MARGIN_MM, BOTTOM_MARGIN_MM = 16.0, 22.0, 18.0
TEXT_WIDTH_MM = PAPER_MM[0] - 2 * SIDE_MARGIN_MM
TEXT_HEIGHT_MM = PAPER_MM[1] - TOP_MARGIN_MM - BOTTOM_MARGIN_MM
FONT = "Libertinus Serif"

STYLE = f"""
#set page(paper: "a4",
  margin: (x: {SIDE_MARGIN_MM}mm, top: {TOP_MARGIN_MM}mm, bottom: {BOTTOM_MARGIN_MM}mm),
  header: {{
    set text(8pt)
    grid(columns: (1fr, auto), align: horizon, column-gutter: 6mm, page-title, page-marks)
    v(-1mm)
    line(length: 100%, stroke: 0.4pt)
  }},
  footer: context {{
    set text(7.5pt)
    grid(columns: (1fr, auto), column-gutter: 6mm, page-caution,
      [page #counter(page).display() of #counter(page).final().first()])
  }})
#set text(font: "{FONT}", size: 9.5pt, lang: "en", number-type: "lining")
#set par(justify: false, leading: 0.55em, spacing: 0.9em)
#show heading.where(level: 1): it => block(above: 0pt, below: 8pt, text(17pt, it.body))
#show heading.where(level: 2): it => block(above: 14pt, below: 7pt, sticky: true,
  text(12.5pt, it.body))
#show heading.where(level: 3): it => block(above: 9pt, below: 5pt, sticky: true,
  text(9.5pt, it.body))
#set table(stroke: (x, y) => (bottom: 0.4pt + luma(if y == 0 {{ 60 }} else {{ 190 }})),
  inset: (x: 3.5pt, y: 2.6pt))
#set table.cell(breakable: false)
#show table.cell.where(y: 0): strong
#show table: set text(8.5pt, number-width: "tabular")
#let fine(body) = text(8.5pt, body)
#let boxed(body) = block(width: 100%, stroke: 0.8pt, inset: 6pt, breakable: false, body)
#let tag(body, loads) = box(width: 9.4pt, height: 5.4pt, outset: (y: 2pt), radius: 4.7pt,
  fill: if loads {{ black }} else {{ white }}, stroke: 0.8pt + black,
  align(center + horizon, text(6.5pt, top-edge: "cap-height", bottom-edge: "baseline",
    weight: "bold", fill: if loads {{ white }} else {{ black }}, body)))
"""


class Markup(str):
    """Text in the typesetter's own language, not to be shown as it is."""

    __slots__ = ()


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table.

    Parameters
    ----------
    head : str
    width : str
        In the typesetter's words: "auto", "1fr", "20mm".
    numeric : bool
        Numbers stand to the right; their unit is in the head.
    """

    head: str
    width: str = "auto"
    numeric: bool = False


def shown(text: str) -> Markup:
    """Text that the typesetter shows as it is, whatever it holds."""
    return Markup(f"#{quoted(text)};")


def quoted(text: str) -> str:
    """A string literal of the typesetter with what its fonts can draw of a text."""
    inside = printable(text).replace("\\", "\\\\").replace('"', '\\"')
    return f'"{inside}"'


def table(columns: Sequence[Column], rows: Sequence[Sequence[str]]) -> Markup:
    """A table whose head repeats on every page and whose rows stay whole.

    Parameters
    ----------
    columns : sequence of Column
    rows : sequence of rows of cells; plain text is shown as it is, Markup is set
    """
    widths = ", ".join(column.width for column in columns)
    aligns = ", ".join("right + top" if column.numeric else "left + top" for column in columns)
    head = ", ".join(_cell(column.head) for column in columns)
    body = "\n".join("  " + ", ".join(_cell(cell) for cell in row) + "," for row in rows)
    return Markup(
        f"#table(columns: ({widths},), align: ({aligns},),\n  table.header({head}),\n{body}\n)\n"
    )


def fine(text: str) -> Markup:
    """A note in small letters."""
    return Markup(f"#fine[{shown(text)}]\n")


def kept(*parts: str) -> Markup:
    """Parts that stay together on one page."""
    return Markup("#block(breakable: false, width: 100%)[\n" + "\n".join(parts) + "\n]\n")


def beside(widths: str, *parts: str, gutter_mm: float = 8.0) -> Markup:
    """Parts side by side, their tops level."""
    cells = ", ".join(f"[\n{part}\n]" for part in parts)
    return Markup(f"#grid(columns: {widths}, column-gutter: {gutter_mm:g}mm, {cells})\n")


def image(name: str, width_mm: float, says: str) -> Markup:
    """A picture at a width on paper, with words for those who cannot see it."""
    return Markup(f"#image({quoted(name)}, width: {width_mm:.3f}mm, alt: {quoted(says)})")


def compiled(source: str, files: Mapping[str, bytes]) -> bytes:
    """The PDF of a source and the pictures that it names; the same source gives the same bytes.

    Parameters
    ----------
    source : str
    files : mapping of file name to content
    """
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder)
        (root / "order.typ").write_text(source, encoding="utf-8")
        for name, content in files.items():
            (root / name).write_bytes(content)
        pdf = typst.compile(
            str(root / "order.typ"),
            root=str(root),
            ignore_system_fonts=True,
            format="pdf",
            timestamp=0,
        )
    return bytes(pdf)


def page_settings(title: str, marks: Sequence[str], caution: str) -> Markup:
    """What every page says at its head and foot, then the house style.

    Parameters
    ----------
    title : str
    marks : sequence of str
        Boxed at the head's right; the last one white on black.
    caution : str
    """
    boxes = [_head_box(mark, place == len(marks)) for place, mark in enumerate(marks, start=1)]
    return Markup(
        f"#set document(title: {quoted(title)})\n"
        f"#let page-title = {quoted(title)}\n"
        f"#let page-marks = [{' '.join(boxes)}]\n"
        f"#let page-caution = {quoted(caution)}\n{STYLE}"
    )


def _head_box(mark: str, dark: bool) -> str:
    frame, ink = ("fill: black", "white") if dark else ("stroke: 0.8pt", "black")
    words = f'text(fill: {ink}, weight: "bold", {quoted(mark)})'
    return f"#box({frame}, inset: (x: 6pt, y: 3pt), {words})"


def _cell(text: str) -> str:
    return f"[{text}]" if isinstance(text, Markup) else f"[{shown(text)}]"
