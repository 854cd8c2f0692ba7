"""The casting sheet as read back by a library that did not write it."""

from __future__ import annotations

import io
from dataclasses import replace

import pdfplumber
import pytest

from limbwright.make.workorder.casting_sheet import casting_sheet_pdf
from limbwright.make.workorder.sheet import Sheet
from order_sheets import demo_sheet

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def sheet(demo_folder) -> Sheet:
    return demo_sheet(demo_folder)


def test_all_of_it_stands_on_one_page_with_pictures_of_this_limb(sheet: Sheet) -> None:
    pdf = casting_sheet_pdf(sheet)
    with pdfplumber.open(io.BytesIO(pdf)) as opened:
        (page,) = opened.pages
        text = page.extract_text()
        assert len(page.images) == 4
    casting = sheet.limb.casting
    assert "Casting the RIGHT limb" in text
    assert "INVENTED PERSON" in text
    assert f"{casting.filling.powder_kg:.2f} kg" in text
    assert f"{casting.wrap.layers} (usual for" in text
    assert "medial (the person’s left)" in text or "medial (the person's left)" in text
    first, second, *_ = casting.wrap.rolls
    assert f"{first.open} of {first.width_mm:.0f} mm (takes {first.needed:.2f}" in text
    assert f"other width: {second.width_mm:.0f} mm: {second.open}" in text
    dummy = casting.dummy
    assert f"⌀{dummy.body_mm:.1f} mm, {dummy.height_mm:.1f} mm high" in text
    for name in ("patella lower pole", "trim line, lateral", "screw, 18 mm"):
        assert name in text


def test_what_stops_stands_at_the_head_of_the_page(sheet: Sheet) -> None:
    casting = sheet.limb.casting
    stop = replace(
        casting.findings[0], severity=type(casting.findings[0].severity).STOP, text="Too hot by far"
    )
    limb = replace(sheet.limb, casting=replace(casting, findings=(stop,)))
    with pdfplumber.open(io.BytesIO(casting_sheet_pdf(replace(sheet, limb=limb)))) as opened:
        text = opened.pages[0].extract_text()
    assert text.index("Too hot by far") < text.index("Hands")


def test_the_same_case_gives_the_same_sheet_byte_for_byte(sheet: Sheet) -> None:
    assert casting_sheet_pdf(sheet) == casting_sheet_pdf(sheet)


def test_a_case_without_a_casting_plan_has_no_sheet(sheet: Sheet) -> None:
    assert casting_sheet_pdf(replace(sheet, limb=replace(sheet.limb, casting=None))) is None
