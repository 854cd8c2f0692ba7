"""The work order: what to make, from what, how to set it up, and what was checked."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from limbwright.core.findings import Finding, Severity, accepted_count, gives_way
from limbwright.core.wording import words
from limbwright.make.workorder import bench_tables, shape_tables, verdict_tables
from limbwright.make.workorder.limb_pictures import governing_case, pressure_bands
from limbwright.make.workorder.panels import (
    Files,
    alignment_panel,
    coupling_panel,
    pressure_panel,
    screws_panel,
    shape_panel,
    tags_of,
)
from limbwright.make.workorder.sheet import Sheet
from limbwright.make.workorder.typeset import (
    Markup,
    beside,
    compiled,
    fine,
    kept,
    page_settings,
    quoted,
    shown,
)
from limbwright.make.workorder.wording import (
    BASIS_WORDS,
    SourceList,
    finding_text,
    number,
    opening_of,
    shortened,
    with_minus,
)

FOOT_CAUTION = (
    "Supports a practitioner's decision and never makes it. Follow licensed practice, the"
    " component makers' instructions and local codes."
)
INVENTED = "INVENTED PERSON, NOT FOR USE"
_TITLE_LENGTH = 60
_STANDING = (
    "Through an assumed centre of pressure of quiet standing: let the person stand and look."
)
MOST_NAMED = 3
"""Of what does not hold, how many are told on the first page; the rest follows by weight."""
_TIGHTEN = "Tighten every screw as the part's maker says, and try before the next change."
_TURNED = (
    "Every turn so far, counted from the leg as it was planned on the bench: drawing and table show"
    " the leg after them. A leg that has been turned before needs only what it still lacks: go by"
    " where each adapter is to stand, angles from straight."
)
_EFFECTS = (
    "Moments at the datum in N·m by phase of stance; coronal drives the knee outward, sagittal"
    " drives it back, where positive. Changes are upper bounds: people adapt."
)
_LIMITS = (
    "Highest: largest mean over 1 cm². ▲ above the limit. The limits rank places and warn; they"
    " never approve. Where none is known, none is shown."
)
_SINKS = "Limb sinks: in the middle of the socket; negative, it rises."
_WEIGHTS = {
    Severity.STOP: "STOP: answer these before anything is made",
    Severity.NOT_ESTABLISHED: "NOT ESTABLISHED: nobody can say from what is known here",
    Severity.WARNING: "WARNING: look at these",
    Severity.NOTE: "NOTE: what else was found and assumed",
}
_MARKS = {
    Severity.STOP: "#box(fill: black, inset: 3pt, text(fill: white)[■])",
    Severity.NOT_ESTABLISHED: '#box(stroke: (dash: "dashed", thickness: 0.8pt), inset: 3pt)[?]',
    Severity.WARNING: "#box(stroke: 1.6pt, inset: 3pt)[▲]",
    Severity.NOTE: "#box(inset: 3pt)[○]",
}


def work_order_pdf(sheet: Sheet) -> bytes:
    """The whole work order as PDF; the same sheet gives the same bytes.

    Parameters
    ----------
    sheet : Sheet

    Returns
    -------
    bytes
    """
    files: Files = {}
    sources = SourceList()
    parts = [
        page_settings(page_title(sheet), page_marks(sheet), FOOT_CAUTION),
        _opening(sheet),
        _shape(sheet, files),
        _dimensions(sheet),
        _coupling(sheet, files),
        _heights_and_materials(sheet),
        _alignment(sheet, files),
        _checks(sheet, sources),
        _pressure(sheet, files, sources),
        _findings(sheet, sources),
        _closing(sheet),
        _sources(sources),
    ]
    return compiled("\n".join(parts), files)


def page_title(sheet: Sheet) -> str:
    """What stands at the head of every page."""
    name = shortened(sheet.title or sheet.person.code, _TITLE_LENGTH)
    return f"Limbwright work order · {name} · print {sheet.case_key[:8]}"


def page_marks(sheet: Sheet) -> list[str]:
    """What is boxed at the head of every page; the side comes last."""
    side = sheet.person.side.value.upper()
    return [INVENTED, side] if sheet.invented else [side]


def _opening(sheet: Sheet) -> Markup:
    side = sheet.person.side.value.upper()
    badge = f'#box(fill: black, inset: 4pt, text(fill: white, "{side}"))'
    named = f"#text(11pt, {quoted(sheet.title)})\n" if sheet.title else ""
    return Markup(
        f"= Socket for a {badge} limb\n{named}"
        + beside(
            "(1fr, 1fr)",
            shape_tables.facts("Who", shape_tables.person_rows(sheet), "30mm"),
            shape_tables.facts("Rests on", shape_tables.foundation_rows(sheet), "30mm"),
        )
        + _verdict(sheet)
    )


def _verdict(sheet: Sheet) -> Markup:
    """Whether anything stops the job, before anything else is read."""
    stops = verdict_tables.findings_of(sheet.findings, Severity.STOP)
    others = (Severity.NOT_ESTABLISHED, Severity.WARNING, Severity.NOTE)
    unaccepted = [finding for finding in sheet.findings if not finding.accepted]
    counts = ", ".join(
        f"{len(found)} × {weight.value}"
        for weight in others
        if (found := verdict_tables.findings_of(unaccepted, weight))
    )
    if accepted := accepted_count(sheet.findings):
        counts += f"{', ' if counts else ''}{accepted} accepted"
    also = f"{counts or 'nothing'}; from page #context counter(page).at(<findings>).first()."
    weak = _giving_way(sheet)
    if not stops:
        return Markup(
            f"#boxed[{weak}*Read before making:* {also} No finding stops this job by itself.]\n"
        )
    return Markup(
        f"#boxed[{_MARKS[Severity.STOP]} *STOP. Do not make this socket until these are answered:*"
        f"\n{_listed(stops, finding_text)}\n{weak}Also {also}]\n"
    )


def _giving_way(sheet: Sheet) -> Markup:
    """What would break or let go below its demand, worst first; nothing where all holds."""
    weak = [one for one in sheet.findings if gives_way(one) and one.severity is not Severity.STOP]
    if not weak:
        return Markup("")
    more = len(weak) - MOST_NAMED
    rest = (
        f"\n{more} more {'stands' if more == 1 else 'stand'} among the warnings.\n"
        if more > 0
        else ""
    )
    return Markup(
        f"{_MARKS[Severity.WARNING]} *Does not hold by this estimate:*"
        f"\n{_listed(weak[:MOST_NAMED], lambda one: opening_of(finding_text(one)))}\n{rest}\n"
    )


def _listed(findings: Sequence[Finding], text_of: Callable[[Finding], str]) -> str:
    told = (verdict_tables.with_remedy(text_of(one), one) for one in findings)
    return "\n".join(f"- {line}" for line in told)


def _shape(sheet: Sheet, files: Files) -> Markup:
    areas = (
        shape_tables.area_table(sheet, tags_of(sheet))
        + fine(
            "Depth, length and width: of full depth, along and across the limb's surface; blend:"
            " from full depth to nothing; surface: where at least half the depth is reached."
        )
        if sheet.shape.areas
        else shown("No area is asked for: the limb's shape, its liner and the take-up alone.")
    )
    return Markup(kept("== Shape", shape_panel(sheet, files)) + f"== Areas and depths\n{areas}")


def _dimensions(sheet: Sheet) -> Markup:
    brim = sheet.shape_plan.brim
    rolled = (
        f"Over the datum; negative below it. Brim rolled outward {number(brim.flare_mm, 1)} mm"
        f" over the last {number(brim.height_mm, 1)} mm."
    )
    return kept(
        beside(
            "(1fr, 50mm)",
            "== Dimensions\n" + shape_tables.dimension_table(sheet),
            "== Trim line\n" + shape_tables.trim_table(sheet) + fine(rolled),
        ),
        fine(shape_tables.dimension_words(sheet)),
    )


def _coupling(sheet: Sheet, files: Files) -> Markup:
    seat = shape_tables.facts("Coupling", bench_tables.seat_rows(sheet), "34mm")
    return kept("== Coupling", coupling_panel(sheet, files, seat))


def _heights_and_materials(sheet: Sheet) -> Markup:
    height = bench_tables.height_table(sheet) + fine(bench_tables.height_words(sheet))
    materials = shape_tables.facts("Socket", bench_tables.material_rows(sheet), "34mm") + fine(
        "No mass is given: densities are the maker's. The wall was measured on the part away from"
        " brim and seat."
    )
    return kept(
        beside(
            "(72mm, 1fr)", f"== Build height\n{height}", f"== Materials, quantities\n{materials}"
        )
    )


def _alignment(sheet: Sheet, files: Files) -> Markup:
    parts = [
        kept("== Alignment", alignment_panel(sheet, files)),
        kept(
            beside(
                "(1fr, 1fr)",
                bench_tables.setting_table(sheet),
                "=== Load line in standing\n"
                + bench_tables.load_line_table(sheet)
                + fine(_STANDING)
                + fine(bench_tables.plumb_words(sheet)),
            )
        ),
        kept("=== Adapters, from the socket down", bench_tables.chain_table(sheet)),
        _turned(sheet),
        _wanted(sheet, files),
        kept("=== What a small change does", bench_tables.effect_table(sheet), fine(_EFFECTS)),
    ]
    if sheet.alignment.guide:
        parts.append(Markup("=== What was seen of the walk\n" + bench_tables.guide_table(sheet)))
    return Markup("".join(parts))


def _turned(sheet: Sheet) -> Markup:
    """What brings a leg from its planned bench setting to where it is drawn."""
    steps = sheet.alignment.turned
    if not steps:
        return Markup("")
    return kept(
        "=== Turned from the planned bench setting",
        bench_tables.step_table(steps),
        fine(f"{_TURNED} {_TIGHTEN}"),
    )


def _wanted(sheet: Sheet, files: Files) -> Markup:
    """What to turn and slide for the wanted change, with the screws as one looks at the leg."""
    adjustment = sheet.alignment.adjustment
    head = "=== Screws for the wanted change"
    if not _change_wanted(sheet):
        more = "beyond what has been turned " if sheet.alignment.turned else ""
        return kept(head, fine(f"No change {more}is asked for."), screws_panel(sheet, files))
    change = f"Length changes by {number(adjustment.length_change_mm, 1)} mm."
    drive = fine(with_minus(adjustment.text))
    if adjustment.steps:
        drive = Markup(
            bench_tables.step_table(adjustment.steps) + drive + fine(f"{_TIGHTEN} {change}")
        )
    if not adjustment.feasible:
        nearest = "What follows comes nearest." if adjustment.steps else ""
        mark = _MARKS[Severity.WARNING]
        drive = Markup(f"{mark} *Cannot be reached as asked.* {nearest}\n\n{drive}")
    return kept(head, drive, screws_panel(sheet, files))


def _change_wanted(sheet: Sheet) -> bool:
    plan = sheet.align_plan
    return any(
        value
        for name in type(plan).model_fields
        if name.startswith("wanted_") and (value := getattr(plan, name)) is not None
    ) or (plan.wanted_coronal_n_m is not None or plan.wanted_sagittal_n_m is not None)


def _pressure(sheet: Sheet, files: Files, sources: SourceList) -> Markup:
    case, interface = governing_case(sheet), sheet.proof.interface
    kind, _, rest = interface.label.partition(":")
    box = f"#boxed[*{shown(kind.upper())}*: {shown(rest)}]\n"
    if case is None:
        nothing = shown("No load case found its equilibrium, so there is no pressure to show.")
        return kept("== Pressure", box, nothing)
    bands = pressure_bands(max((area.peak_kpa for area in case.areas), default=1.0))
    name = words(case.load_case).capitalize()
    caption = f"*{shown(name)}*, the load case with the highest share of a limit.\n"
    return Markup(
        kept("== Pressure", box, caption, pressure_panel(sheet, case, bands, files))
        + kept(
            verdict_tables.case_table(sheet),
            fine(_SINKS),
            f"*Balance.* {shown(verdict_tables.balance_words(sheet))}\n",
        )
        + kept("=== By area", verdict_tables.pressure_table(sheet, sources), fine(_LIMITS))
    )


def _checks(sheet: Sheet, sources: SourceList) -> Markup:
    proof = sheet.proof
    if not (proof.suspension or proof.strength):
        return kept("== Strength and suspension", shown("Nothing could be checked."))
    missing = (
        ""
        if sheet.assessment.load_level is not None
        else " No reference load is established for this body mass: strength is shown beside that"
        " of the highest level, which does not suffice."
    )
    parts = [
        kept(
            "== Strength and suspension",
            verdict_tables.check_table((*proof.suspension, *proof.strength), sources),
            fine(verdict_tables.check_words((*proof.suspension, *proof.strength)) + missing),
        )
    ]
    if proof.strength_detail is not None:
        parts.append(
            kept(
                "=== Forces along the leg",
                shown(verdict_tables.weakest_words(proof.strength_detail)),
                verdict_tables.force_table(proof.strength_detail),
                fine(verdict_tables.force_words(proof.strength_detail)),
            )
        )
    return Markup("".join(parts))


def _findings(sheet: Sheet, sources: SourceList) -> Markup:
    texts, once = verdict_tables.finding_texts(sheet.findings)
    opening = f"== Findings, worst first <findings>\n{fine(BASIS_WORDS)}"
    parts = [f"#block(sticky: true, width: 100%)[\n{opening}]\n"]
    for weight in verdict_tables.SHOWN:
        findings = verdict_tables.findings_of(sheet.findings, weight)
        if findings:
            parts.append(f"=== {_MARKS[weight]} #h(2mm) {_WEIGHTS[weight]} ({len(findings)})\n")
            parts.append(verdict_tables.finding_table(findings, texts, sources))
    if once:
        said = " ".join(f"{mark} {sentence}" for mark, sentence in once.items())
        parts.append(fine(f"Said of several findings: {said}"))
    return Markup("".join(parts))


def _sources(sources: SourceList) -> Markup:
    if not sources.texts:
        return Markup("")
    listed = [f"[{place}] {text}" for place, text in enumerate(sources.texts, start=1)]
    reach = np.cumsum([len(text) for text in listed])
    half = int(np.searchsorted(reach, 0.5 * reach[-1])) + 1
    columns = [
        "#text(7.5pt)[\n" + " \\\n".join(shown(text) for text in part) + "\n]"
        for part in (listed[:half], listed[half:])
    ]
    return Markup("== Sources\n" + beside("(1fr, 1fr)", *columns, gutter_mm=6.0))


def _closing(sheet: Sheet) -> Markup:
    cautions = "\n".join(f"- {shown(caution)}" for caution in sheet.cautions)
    signed = ", ".join(
        f"[#line(length: 100%, stroke: 0.5pt)#v(-2mm) {who}]"
        for who in ("Prosthetist", "Technician", "Date")
    )
    print_of = f"Engine {sheet.engine_version}, case {sheet.case_key[:16]}."
    return kept(
        "== Cautions",
        cautions,
        f"#v(14mm)\n#grid(columns: (1fr, 1fr, 1fr), column-gutter: 8mm, {signed})",
        fine(print_of),
    )
