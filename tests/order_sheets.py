"""Sheets for the tests of work order and template, and what is read back from their PDFs."""

from __future__ import annotations

import io
from dataclasses import replace
from functools import cache
from pathlib import Path

import pypdf
from pypdf.generic import ContentStream

from limbwright.case.evaluate import evaluate
from limbwright.case.folder import read_case
from limbwright.case.memo import Memo
from limbwright.case.outputs import work_sheet
from limbwright.core.frame import Side
from limbwright.core.mesh import Mesh
from limbwright.make.result import Part
from limbwright.make.workorder.sheet import Sheet

POINTS_PER_MM = 72.0 / 25.4


@cache
def demo_sheet(folder: Path) -> Sheet:
    """The sheet of a captured demo case, its shell sampled coarsely to be quick."""
    document = read_case(folder)
    coarse = document.make.model_copy(update={"field_spacing_mm": 2.0})
    evaluation = evaluate(folder, document.model_copy(update={"make": coarse}), Memo())
    return work_sheet(evaluation)


def mirrored(sheet: Sheet) -> Sheet:
    """The same limb on the other side of the body: the limb frame hides the reflection."""
    other = Side.LEFT if sheet.person.side is Side.RIGHT else Side.RIGHT
    made = replace(
        sheet.made,
        shell=_other_side(sheet.made.shell, other),
        positive=_other_side(sheet.made.positive, other),
    )
    return replace(sheet, person=sheet.person.model_copy(update={"side": other}), made=made)


def _other_side(part: Part, side: Side) -> Part:
    turned = Mesh(part.mesh.vertices * [-1.0, 1.0, 1.0], part.mesh.faces[:, ::-1])
    return replace(part, side=side, mesh=turned)


def page_texts(pdf: bytes) -> list[str]:
    """The text of each page."""
    return [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages]


def undrawn_glyphs(pdf: bytes) -> int:
    """How often a PDF shows glyph 0, the box that stands for what a font does not have."""
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    return sum(_undrawn(page, reader) for page in reader.pages)


def _undrawn(content: pypdf.PageObject, reader: pypdf.PdfReader) -> int:
    stream = content.get_contents() if "/Contents" in content else content
    count = 0
    for operands, operator in ContentStream(stream, reader).operations:
        if operator in (b"Tj", b"TJ"):
            shown = operands[0] if isinstance(operands[0], list) else operands
            for piece in shown:
                if not isinstance(piece, (int, float)):
                    codes = piece if isinstance(piece, bytes) else piece.original_bytes
                    count += sum(codes[at : at + 2] == b"\0\0" for at in range(0, len(codes), 2))
    forms = content.get("/Resources", {}).get("/XObject", {})
    for form in forms.values():
        inner = form.get_object()
        if inner.get("/Subtype") == "/Form":
            count += _undrawn(inner, reader)
    return count
