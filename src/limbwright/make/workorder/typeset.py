"""From text and pictures to a PDF, with the fonts that the typesetter brings along."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path

import typst

STYLE = """
#set page(paper: "a4", margin: (x: 16mm, top: 18mm, bottom: 24mm),
  header: context [#set text(8pt, fill: luma(90)); #page-title #h(1fr) #page-side],
  footer: context [#set text(7.5pt, fill: luma(70)); #page-caution #h(1fr)
    page #counter(page).display() of #counter(page).final().first()])
#set text(font: "Libertinus Serif", size: 9.5pt, lang: "en")
#set par(justify: false, leading: 0.55em)
#show heading.where(level: 1): it => block(above: 0pt, below: 8pt, text(17pt, it.body))
#show heading.where(level: 2): it => block(above: 13pt, below: 6pt, text(12pt, it.body))
#set table(stroke: (x, y) => (bottom: 0.4pt + luma(if y == 0 { 60 } else { 190 })),
  inset: (x: 4pt, y: 3pt))
#show table.cell.where(y: 0): strong
#show table: set text(8.5pt)
"""


def escaped(text: str) -> str:
    """Text that the typesetter shows as it is."""
    return "".join(f"\\{char}" if char in "\\#$*_`<>@[]{}~/=-+\"'" else char for char in text)


def quoted(text: str) -> str:
    """A string literal of the typesetter."""
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def table(head: Sequence[str], rows: Sequence[Sequence[str]], columns: str) -> str:
    """A table whose head repeats on every page.

    Parameters
    ----------
    head : names of the columns
    rows : cells as plain text
    columns : widths in the typesetter's words, for example "(2fr, 1fr)"
    """
    cells = ", ".join(f"[{escaped(cell)}]" for cell in head)
    body = "\n".join("  " + ", ".join(f"[{escaped(cell)}]" for cell in row) + "," for row in rows)
    numeric = "left + horizon"
    return f"#table(columns: {columns}, align: {numeric},\n  table.header({cells}),\n{body}\n)\n"


def compiled(source: str, files: Mapping[str, bytes]) -> bytes:
    """The PDF of a source and the pictures that it names.

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


def page_settings(title: str, side: str, caution: str) -> str:
    """What every page says at its head and foot, then the house style."""
    return (
        f"#let page-title = [{escaped(title)}]\n"
        f"#let page-side = [{escaped(side)}]\n"
        f"#let page-caution = [{escaped(caution)}]\n{STYLE}"
    )
