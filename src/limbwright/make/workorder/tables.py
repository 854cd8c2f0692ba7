"""The work order's tables as rows of plain text."""

from __future__ import annotations

from collections.abc import Sequence

from limbwright.core.findings import Finding, Severity
from limbwright.core.sources import Basis
from limbwright.make.workorder.figures import area_words
from limbwright.make.workorder.sheet import Sheet
from limbwright.prove.result import Check

Rows = list[list[str]]


def number(value: float | None, digits: int = 0) -> str:
    """A number for paper; an en dash where there is none."""
    if value is None:
        return "–"
    text = f"{value:.{digits}f}"
    return text.replace("-", "−") if float(text) != 0 else text.lstrip("-")


def person_rows(sheet: Sheet) -> Rows:
    """Who the leg is for and what was assumed of them."""
    person, assessment = sheet.person, sheet.assessment
    liner = sheet.liner
    worn = (
        "none"
        if liner.material.value == "none"
        else f"{liner.material.value}, {number(liner.thickness_mm, 1)} mm,"
        f" cap {number(liner.cap_thickness_mm, 1)} mm"
    )
    return [
        ["Code", person.code],
        ["Side", person.side.value.upper()],
        ["Mass and stature", f"{number(person.mass_kg, 1)} kg, {number(person.stature_mm)} mm"],
        ["Activity class", person.activity.value],
        [
            "Walking speed",
            f"{number(assessment.speed_m_s, 2)} m/s ({assessment.speed_basis.value})",
        ],
        ["Reference load level", assessment.load_level or "not established"],
        ["Liner", worn],
        ["Scanned over", sheet.capture_plan.scanned_over.value],
        ["Scan's unit", f"{sheet.limb.unit.unit.value} ({sheet.limb.unit.basis.value})"],
        ["Bones", sheet.limb.bones.basis.value],
    ]


def dimension_rows(sheet: Sheet) -> Rows:
    """Girths of limb and model by level, with breadths of the limb."""
    breadth = {round(item.level_mm, 3): item for item in sheet.limb.measures.levels}
    rows = []
    for girth in sheet.shape.girths:
        level = breadth.get(round(girth.level_mm, 3))
        rows.append(
            [
                number(girth.level_mm),
                number(girth.limb_mm, 1),
                number(girth.model_mm, 1),
                number(girth.take_up_percent, 1),
                number(level.ml_mm, 1) if level else "–",
                number(level.ap_mm, 1) if level else "–",
            ]
        )
    return rows


def area_rows(sheet: Sheet) -> Rows:
    """Load and relief areas with their depths."""
    return [
        [
            area_words(area.name),
            "presses in" if area.loads else "space added",
            number(abs(area.depth_mm), 1),
            number(area.area_cm2, 1),
            "guessed landmark" if area.rests_on_guess else "landmarks",
        ]
        for area in sheet.shape.areas
    ]


def trim_rows(sheet: Sheet) -> Rows:
    """Heights of the trim line above the datum."""
    return [
        [name, number(float(point[2]), 1)] for name, point in sheet.shape.trim.controls_mm.items()
    ]


def seat_rows(sheet: Sheet) -> Rows:
    """The coupling's figures."""
    seat, plan = sheet.coupling.seat, sheet.couple_plan.coupling
    out = sheet.coupling.withdrawal
    caught = (
        "free"
        if out.catch_mm <= 0
        else f"catches {number(out.catch_mm, 1)} mm at {number(out.level_mm)} mm below MPT"
    )
    return [
        ["Kind", plan.kind.value],
        ["Spacing cap to coupling", f"{number(plan.spacing_mm, 1)} mm"],
        [
            "Body",
            f"⌀ {number(seat.body_diameter_mm, 1)} mm, height {number(seat.body_height_mm, 1)} mm",
        ],
        [
            "Screws",
            f"4 × ⌀ {number(plan.screw_diameter_mm, 1)} mm on a square of"
            f" {number(plan.screw_square_mm, 1)} mm",
        ],
        ["Tilt of target, unloaded", f"{number(seat.tilt_deg, 1)}°"],
        ["Offset of target, unloaded", f"{number(seat.offset_mm, 1)} mm"],
        ["Rigid withdrawal along the axis", caught],
    ]


def height_rows(sheet: Sheet) -> Rows:
    """Everything between datum and floor; the sum is exact."""
    height = sheet.coupling.height
    rows = [[item.name, number(item.height_mm, 1), item.basis.value] for item in height.items]
    rows.append(
        [
            f"pylon between stops (at least {number(height.pylon_minimum_mm, 1)})",
            number(height.pylon_mm, 1),
            "computed",
        ]
    )
    rows.append(["datum to floor", number(height.datum_floor_mm, 1), height.datum_basis.value])
    return rows


def setting_rows(sheet: Sheet) -> Rows:
    """Bench settings, defaults marked."""
    return [
        [name.replace("_", " "), f"{number(value, 1)} {unit}", basis.value]
        for name, (value, unit, basis) in sheet.alignment.settings.items()
    ]


def turn_rows(sheet: Sheet) -> Rows:
    """Screw turns for the wanted change."""
    return [
        [turn.adapter, turn.screw, quarter_turns(turn.turns)]
        for turn in sheet.alignment.adjustment.turns
    ]


def quarter_turns(turns: float) -> str:
    """Turns in words of quarters, for example "1 1/4 turns"."""
    quarters = round(abs(turns) * 4)
    whole, rest = divmod(quarters, 4)
    fraction = {0: "", 1: "1/4", 2: "1/2", 3: "3/4"}[rest]
    words = " ".join(part for part in (str(whole) if whole else "", fraction) if part)
    return f"{words or '0'} turn{'s' if quarters > 4 else ''}"


def material_rows(sheet: Sheet) -> Rows:
    """What the socket is made of, and how much."""
    plan = sheet.prove_plan
    rows = [
        ["Process", plan.process.value.replace("_", " ")],
        ["Material", plan.material.replace("_", " ")],
        ["Wall", f"{number(plan.wall_mm, 1)} mm"],
        ["Floor at the coupling", f"{number(plan.distal_plate_mm, 1)} mm"],
        ["Volume of the shell", f"{number(sheet.made.material_volume_ml)} ml"],
        ["Volume of the positive model", f"{number(sheet.made.positive.volume_ml)} ml"],
        [
            "Wall measured on the part",
            f"median {number(sheet.made.wall_median_mm, 2)} mm,"
            f" 2nd to 98th percentile {number(sheet.made.wall_p02_mm, 2)} to"
            f" {number(sheet.made.wall_p98_mm, 2)} mm",
        ],
    ]
    if plan.process.value in ("walking_cast", "laminated"):
        rows.insert(2, ["Layers", f"{plan.layers} of {number(plan.layer_mm, 2)} mm"])
    return rows


def check_rows(checks: Sequence[Check]) -> Rows:
    """Demand against capacity; a missing capacity reads "not established"."""
    return [
        [
            f"{check.name}, {check.place}" if check.place else check.name,
            f"{number(check.demand, 1)} {check.unit}",
            "not established"
            if check.capacity is None
            else f"{number(check.capacity, 1)} {check.unit}",
            "–" if check.margin is None else number(check.margin, 2),
            number(check.required_margin, 2),
            check.capacity_basis.value,
            str(check.capacity_source) if check.capacity_source else "–",
        ]
        for check in checks
    ]


def pressure_rows(sheet: Sheet) -> Rows:
    """For each area, the load case with the highest peak."""
    worst: dict[str, tuple[str, list[str], float]] = {}
    for case in sheet.proof.interface.cases:
        for area in case.areas:
            if area.area in worst and worst[area.area][2] >= area.peak_kpa:
                continue
            share = "–" if area.share is None else f"{number(100 * area.share)} %"
            row = [
                area.area.replace("_", " "),
                case.load_case.replace("_", " "),
                number(area.mean_kpa),
                number(area.peak_kpa),
                number(area.limit_kpa),
                share,
            ]
            worst[area.area] = (case.load_case, row, area.peak_kpa)
    return [row for _, row, _ in worst.values()]


SHOWN = (Severity.STOP, Severity.NOT_ESTABLISHED, Severity.WARNING, Severity.NOTE)


def finding_rows(findings: Sequence[Finding]) -> Rows:
    """Findings worst first, with value, limit, basis and source; passes are left to the JSON."""
    return [
        [
            finding.severity.value,
            finding.stage,
            finding.text + (f" ({finding.where})" if finding.where else ""),
            _held(finding),
            finding.basis.value if finding.basis is not Basis.GUESSED else "guess",
            str(finding.source) if finding.source else "–",
        ]
        for finding in findings
        if finding.severity in SHOWN
    ]


def _held(finding: Finding) -> str:
    if finding.value is None:
        return "–"
    text = f"{_short(finding.value)} {finding.unit}".strip()
    return text if finding.limit is None else f"{text} / {_short(finding.limit)}"


def _short(value: float) -> str:
    return f"{value:.4g}".replace("-", "−")
