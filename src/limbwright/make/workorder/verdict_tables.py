"""The work order's tables of what was checked: pressure, strength, suspension, findings."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np

from limbwright.core.findings import Finding, Severity
from limbwright.core.mesh import vertex_areas
from limbwright.core.units import kpa_from_mpa
from limbwright.core.wording import words
from limbwright.make.workorder.sheet import Sheet
from limbwright.make.workorder.typeset import Column, Markup, shown, table
from limbwright.make.workorder.wording import (
    NONE,
    SourceList,
    basis_word,
    finding_text,
    number,
    remedy_text,
    said_once,
    short,
    unit_word,
)
from limbwright.prove.result import (
    AreaPressure,
    CasePressure,
    Check,
    SectionForces,
    StrengthDetail,
)
from limbwright.shape.places import height_words

SHOWN = (Severity.STOP, Severity.NOT_ESTABLISHED, Severity.WARNING, Severity.NOTE)
"""Passes are left to the findings' own file."""
_CONDITION = re.compile(r"P\d condition I{1,2}\b")
_ONCE = "Compared with the reference force, not a conformity test."


def case_table(sheet: Sheet) -> Markup:
    """Each load case with its load, highest place, contact, and how the limb moves."""
    loads = {case.name: case for case in sheet.alignment.load_cases}
    columns = [
        Column("load case", "1.1fr"),
        Column("load N", numeric=True),
        Column("mean in contact kPa", "18mm", True),
        Column("highest over 1 cm² kPa", "21mm", True),
        Column("where", "1.6fr"),
        Column("in contact %", "15mm", True),
        Column("limb sinks mm", "13mm", True),
        Column("target tilt °", "12mm", True),
        Column("target offset mm", "13mm", True),
    ]
    rows = []
    for case in sheet.proof.interface.cases:
        load = loads.get(case.load_case)
        worst = max(case.areas, key=lambda area: area.peak_kpa, default=None)
        rows.append(
            [
                words(case.load_case),
                number(float(np.linalg.norm(load.wrench_on_limb.force_n))) if load else NONE,
                number(_mean_kpa(sheet, case)),
                number(worst.peak_kpa) if worst else NONE,
                words(worst.area) if worst else NONE,
                number(100 * case.contact_share),
                number(-_rise_mm(sheet, case), 1),
                number(sheet.proof.coupling_tilt_deg.get(case.load_case), 1),
                number(sheet.proof.coupling_offset_mm.get(case.load_case), 1),
            ]
        )
    return table(columns, rows)


def _rise_mm(sheet: Sheet, case: CasePressure) -> float:
    """Of the limb in the middle of the socket, where its balance is told too."""
    middle = sheet.proof.socket_middle_mm
    at = np.zeros(3) if middle is None else middle
    return float((case.pose.shift_mm + np.cross(case.pose.turn_rad, at))[2])


def _mean_kpa(sheet: Sheet, case: CasePressure) -> float:
    areas = vertex_areas(sheet.limb.surface)
    touching = areas[case.pressure_mpa > 0].sum()
    return kpa_from_mpa(float(areas @ case.pressure_mpa / touching)) if touching > 0 else 0.0


def pressure_table(sheet: Sheet, sources: SourceList) -> Markup:
    """For each area: donned, standing, and the load case with the highest value."""
    cases = {case.load_case: case for case in sheet.proof.interface.cases}
    columns = [
        Column("area", "1.4fr"),
        Column("donned kPa", "16mm", True),
        Column("standing kPa", "17mm", True),
        Column("highest kPa", "17mm", True),
        Column("in", "1fr"),
        Column("mean there kPa", "17mm", True),
        Column("limit kPa", "13mm", True),
        Column("share %", "13mm", True),
        Column("source"),
    ]
    names = dict.fromkeys(area.area for case in cases.values() for area in case.areas)
    rows = [_pressure_row(name, cases, sources) for name in names]
    return table(columns, rows)


def _pressure_row(name: str, cases: dict[str, CasePressure], sources: SourceList) -> list[str]:
    found: dict[str, AreaPressure] = {
        case: area for case, result in cases.items() for area in result.areas if area.area == name
    }
    worst = max(found, key=lambda case: found[case].peak_kpa)
    area = found[worst]
    return [
        words(name),
        *(
            number(found[case].peak_kpa) if case in found else NONE
            for case in ("donned", "standing")
        ),
        number(area.peak_kpa),
        words(worst),
        number(area.mean_kpa),
        number(area.limit_kpa),
        _share(area.share),
        sources.mark(area.limit_source),
    ]


def _share(share: float | None) -> str:
    if share is None:
        return NONE
    return ("▲ " if share > 1 else "") + number(100 * share)


def check_table(checks: Sequence[Check], sources: SourceList) -> Markup:
    """Demand against capacity; a missing capacity reads "not established"."""
    columns = [
        Column("check", "1fr"),
        Column("place", "1.5fr"),
        Column("demand", numeric=True),
        Column("capacity", "17mm", True),
        Column("unit"),
        Column("margin", numeric=True),
        Column("wanted", numeric=True),
        Column("basis"),
        Column("source"),
    ]
    return table(columns, [_check_row(check, sources) for check in checks])


def _check_row(check: Check, sources: SourceList) -> list[str]:
    condition = _CONDITION.search(check.text)
    falls_short = check.margin is not None and check.margin < check.required_margin
    margin = short(check.margin)
    place = ", ".join(
        part
        for part in (check.place if check.place != check.name else "", condition and condition[0])
        if part
    )
    return [
        check.name,
        place or NONE,
        short(check.demand),
        "not established" if check.capacity is None else short(check.capacity),
        check.unit,
        f"▼ {margin}" if falls_short else margin,
        short(check.required_margin),
        basis_word(check.capacity_basis),
        sources.mark(check.capacity_source),
    ]


def check_words(checks: Sequence[Check]) -> str:
    """What is said once of all checks."""
    words = "▼ falls short. Margin: capacity over demand."
    if any(_ONCE in check.text for check in checks):
        words += " Strength is compared with the reference forces; this is not a conformity test."
    return words


def weakest_words(detail: StrengthDetail) -> str:
    """Where the socket is used up most, by this estimate."""
    weakest = detail.weakest
    if weakest is None:
        return "The weakest place is not established: a place of the socket has no capacity."
    level = "" if weakest.level_mm is None else f", {height_words(-weakest.level_mm)}"
    where = weakest.place if "mid-patellar" in weakest.place else f"{weakest.place}{level}"
    return (
        f"Weakest place by this estimate: {weakest.check} ({where}), {100 * weakest.share:.0f} %"
        " used up."
    )


def force_table(detail: StrengthDetail) -> Markup:
    """Forces and moments at the ends of the wall, the socket's base, the pylon and the ankle."""
    columns = [
        Column("at", "1fr"),
        Column("over the floor mm", "17mm", True),
        Column("load", "16mm"),
        Column("along N", numeric=True),
        Column("across N", numeric=True),
        Column("bending N·m", "16mm", True),
        Column("twisting N·m", "17mm", True),
    ]
    rows = []
    for name, row in _stations(detail.forces[0]):
        for forces in detail.forces:
            rows.append(
                [
                    name,
                    number(forces.height_mm[row]),
                    f"{forces.level} {forces.condition}",
                    number(forces.axial_n[row]),
                    number(forces.shear_n[row]),
                    number(forces.bending_n_m[row]),
                    number(forces.torsion_n_m[row]),
                ]
            )
    return table(columns, rows)


def force_words(detail: StrengthDetail) -> str:
    """At which force the table stands."""
    loads = ", ".join(
        f"{forces.level} condition {forces.condition} at {forces.force_n:.0f} N"
        for forces in detail.forces
    )
    return (
        f"Reference forces of ISO 10328 placed on this leg ({loads}); along presses; across and"
        " twisting are of the limb's axis on the socket, of the pylon's below it. Checks of the"
        " attachment bend across the coupling's axis. Every level stands in findings.json."
    )


def _stations(forces: SectionForces) -> list[tuple[str, int]]:
    """Names of the places worth a row, and their numbers from the brim down."""
    socket = forces.part.count("socket")
    last = len(forces.part) - 1
    wall = [("lowest level of the wall", socket - 2)] if socket > 1 else []
    return [
        *wall,
        ("socket base", socket - 1),
        ("pylon, upper end", socket),
        ("pylon, lower end", last - 1),
        ("ankle", last),
    ]


def findings_of(findings: Sequence[Finding], severity: Severity) -> list[Finding]:
    """The findings of one weight, in their order."""
    return [finding for finding in findings if finding.severity is severity]


def finding_texts(findings: Sequence[Finding]) -> tuple[dict[int, str], dict[str, str]]:
    """Texts of the shown findings by identity, and the sentences that are said once."""
    printed = [finding for finding in findings if finding.severity in SHOWN]
    texts, marks = said_once([finding_text(finding) for finding in printed])
    return {id(finding): text for finding, text in zip(printed, texts, strict=True)}, marks


def finding_table(
    findings: Sequence[Finding], texts: dict[int, str], sources: SourceList
) -> Markup:
    """Findings of one weight with value, limit, basis and source."""
    columns = [
        Column("stage", "14mm"),
        Column("finding", "1fr"),
        Column("value", "14mm", True),
        Column("limit", "14mm", True),
        Column("unit", "9mm"),
        Column("basis", "17mm"),
        Column("source", "12mm"),
    ]
    rows = [
        [
            finding.stage,
            with_remedy(texts[id(finding)], finding),
            short(finding.value),
            f"({short(finding.limit)})" if finding.usual else short(finding.limit),
            unit_word(finding.unit),
            basis_word(finding.basis),
            sources.mark(finding.source),
        ]
        for finding in findings
    ]
    return table(columns, rows)


def with_remedy(text: str, finding: Finding) -> Markup:
    """A finding's text, and on a line of its own what would change it."""
    remedy = remedy_text(finding)
    return Markup(f"{shown(text)}#linebreak()#emph[{shown(remedy)}]") if remedy else shown(text)


def balance_words(sheet: Sheet) -> str:
    """Whether the donned limb is pushed aside, in the proof's own sentence."""
    for finding in sheet.findings:
        if finding.code == "donned-balance":
            return finding_text(finding)
    return "The balance of the donned limb was not established."
