"""The work order: what to make, from what, how to set it up, and what was checked."""

from __future__ import annotations

from limbwright.make.workorder import tables
from limbwright.make.workorder.drawing import Drawing
from limbwright.make.workorder.figures import (
    alignment_drawing,
    coupling_drawing,
    screw_drawing,
    shape_picture,
)
from limbwright.make.workorder.picture import View
from limbwright.make.workorder.sheet import Sheet
from limbwright.make.workorder.typeset import compiled, escaped, page_settings, table

FOOT_CAUTION = (
    "Supports a practitioner's decision and never makes it. Follow licensed practice, the"
    " component makers' instructions and local codes."
)
_FACTS = "(38mm, 1fr)"


def work_order_pdf(sheet: Sheet) -> bytes:
    """The whole work order as PDF.

    Parameters
    ----------
    sheet : Sheet

    Returns
    -------
    bytes
    """
    files: dict[str, bytes] = {}
    parts = [
        page_settings(page_title(sheet), sheet.person.side.value.upper(), FOOT_CAUTION),
        _opening(sheet),
        _shape(sheet, files),
        _coupling(sheet, files),
        _alignment(sheet, files),
        _making(sheet),
        _proof(sheet),
        _findings(sheet),
        _closing(sheet),
    ]
    return compiled("\n".join(parts), files)


def page_title(sheet: Sheet) -> str:
    """What stands at the head of every page."""
    parts = ["Limbwright work order", sheet.title or sheet.person.code]
    if sheet.invented:
        parts.append("INVENTED PERSON, for demonstration")
    return " · ".join([*parts, f"print {sheet.case_key[:8]}"])


def _opening(sheet: Sheet) -> str:
    side = sheet.person.side.value.upper()
    facts = tables.person_rows(sheet)
    half = (len(facts) + 1) // 2
    return (
        f"= Socket for a #box(fill: black, inset: 4pt, text(white)[{side}]) limb\n"
        "#grid(columns: (1fr, 1fr), gutter: 8mm,\n"
        f"[{table(['Who', ''], facts[:half], _FACTS)}],\n"
        f"[{table(['Rests on', ''], facts[half:], _FACTS)}])\n"
    )


def _shape(sheet: Sheet, files: dict[str, bytes]) -> str:
    views = [View.FRONT, View.LATERAL, View.BACK, View.MEDIAL]
    cells = []
    for view in views:
        name = f"shape-{view.value}.png"
        files[name] = shape_picture(sheet, view).png
        cells.append(
            f'figure(image("{name}", width: 100%), caption: [{view.value}], numbering: none)'
        )
    change = sheet.shape.model_volume_ml - sheet.shape.limb_volume_ml
    volume = (
        "Volume below the trim line's lowest point: limb"
        f" {tables.number(sheet.shape.limb_volume_ml)} ml, model"
        f" {tables.number(sheet.shape.model_volume_ml)} ml"
        f" ({tables.number(change)} ml; the model holds the liner where the skin was scanned)."
    )
    legend = (
        "#text(8pt)[#box(width: 8pt, height: 8pt, fill: rgb(204, 92, 26)) load area, presses in"
        " #h(8pt) #box(width: 8pt, height: 8pt, fill: rgb(26, 107, 158)) relief area, space added"
        " #h(8pt) #box(width: 12pt, height: 2pt, baseline: -3pt, fill: black) trim line]\n"
    )
    return (
        "== Shape\n"
        f"#grid(columns: 4, gutter: 3mm, {', '.join(cells)})\n{legend}\n"
        "#grid(columns: (1.25fr, 1fr), gutter: 8mm, [\n"
        "=== Dimensions (mm; levels below the mid-patellar tendon)\n"
        + table(
            ["level", "limb girth", "model girth", "take-up %", "ML", "AP"],
            tables.dimension_rows(sheet),
            "(auto, 1fr, 1fr, 1fr, 1fr, 1fr)",
        )
        + f"#text(8.5pt)[{escaped(volume)}]\n], [\n=== Trim line (mm above the datum)\n"
        + table(["place", "height"], tables.trim_rows(sheet), "(1fr, auto)")
        + f"#text(8.5pt)[Brim rolled outward"
        f" {tables.number(sheet.shape_plan.brim.flare_mm, 1)} mm over"
        f" {tables.number(sheet.shape_plan.brim.height_mm, 1)} mm.]\n])\n"
        "=== Areas and depths\n"
        + table(
            ["area", "what it does", "depth mm", "surface cm²", "placed by"],
            tables.area_rows(sheet),
            "(1.4fr, 1fr, auto, auto, 1fr)",
        )
    )


def _coupling(sheet: Sheet, files: dict[str, bytes]) -> str:
    return (
        "#pagebreak()\n== Coupling\n"
        "#grid(columns: (1fr, 1fr, 1fr), gutter: 4mm, align: bottom,\n"
        + _figure(files, "coupling-front", coupling_drawing(sheet, View.FRONT), "100%")
        + ", "
        + _figure(files, "coupling-side", coupling_drawing(sheet, View.LATERAL), "100%")
        + ", "
        + _figure(files, "screws", screw_drawing(sheet), "100%")
        + ")\n#text(8pt)[Right: the socket's end from below; the true-size template has it 1:1.]\n"
        "#grid(columns: (1fr, 1fr), gutter: 8mm,\n["
        + table(["coupling", ""], tables.seat_rows(sheet), "(1fr, 1fr)")
        + "],\n["
        + table(["build height", "mm", "basis"], tables.height_rows(sheet), "(1fr, auto, auto)")
        + "])\n"
    )


def _alignment(sheet: Sheet, files: dict[str, bytes]) -> str:
    adjustment = sheet.alignment.adjustment
    turns = tables.turn_rows(sheet)
    drive = (
        table(["adapter", "drive in", "by"], turns, "(1fr, 1fr, 1fr)")
        + "#text(8.5pt)[Back out the opposite screw first by the same turns.]\n"
        if turns
        else "#text(8.5pt)[No change of foot position is asked for.]\n"
    )
    return (
        "== Alignment\n#grid(columns: (0.7fr, 0.7fr, 1.2fr), gutter: 6mm,\n"
        + _figure(files, "align-front", alignment_drawing(sheet, View.FRONT), "100%")
        + ", "
        + _figure(files, "align-side", alignment_drawing(sheet, View.LATERAL), "100%")
        + ", [\n"
        + table(
            ["bench setting", "value", "basis"], tables.setting_rows(sheet), "(1fr, auto, auto)"
        )
        + "=== Screws for the wanted change\n"
        + drive
        + f"#text(8.5pt)[{escaped(adjustment.text)} Length changes by"
        f" {tables.number(adjustment.length_change_mm, 1)} mm.]\n])\n"
    )


def _making(sheet: Sheet) -> str:
    return "== Materials\n" + table(["material", ""], tables.material_rows(sheet), "(60mm, 1fr)")


def _proof(sheet: Sheet) -> str:
    checks = (*sheet.proof.suspension, *sheet.proof.strength)
    return (
        "== Checks\n"
        + table(
            ["check", "demand", "capacity", "margin", "wanted", "basis", "source of the capacity"],
            tables.check_rows(checks),
            "(1.3fr, auto, auto, auto, auto, auto, 1.4fr)",
        )
        + "#text(8.5pt)[Compared with reference loads; not a conformity test.]\n"
        f"== Pressure by area\n#text(8.5pt)[{escaped(sheet.proof.interface.label)}]\n\n"
        + table(
            ["area", "highest in", "mean kPa", "peak kPa", "limit kPa", "share"],
            tables.pressure_rows(sheet),
            "(1.3fr, 1fr, auto, auto, auto, auto)",
        )
        + "#text(8.5pt)[Peak: highest mean over 1 cm². The limits are a project choice on"
        " remembered pain thresholds; they warn and never approve.]\n"
    )


def _findings(sheet: Sheet) -> str:
    return "== Findings, worst first\n" + table(
        ["weight", "stage", "finding", "value / limit", "basis", "source of the limit"],
        tables.finding_rows(sheet.findings),
        "(auto, auto, 2fr, auto, auto, 1.2fr)",
    )


def _closing(sheet: Sheet) -> str:
    cautions = "\n".join(f"- {escaped(caution)}" for caution in sheet.cautions)
    return (
        "#block(breakable: false)[\n== Cautions\n" + cautions + "\n\n#v(10mm)\n"
        "#grid(columns: (1fr, 1fr, 1fr), gutter: 8mm,\n"
        "  [#line(length: 100%) Prosthetist], [#line(length: 100%) Technician],"
        " [#line(length: 100%) Date])\n"
        f"#text(7.5pt, fill: luma(90))[Engine {escaped(sheet.engine_version)},"
        f" case {sheet.case_key[:16]}]\n]\n"
    )


def _figure(files: dict[str, bytes], name: str, drawing: Drawing, width: str) -> str:
    files[f"{name}.svg"] = drawing.svg()
    return f'image("{name}.svg", width: {width})'
