"""The work order's tables of what to make: person, dimensions, areas and trim line."""

from __future__ import annotations

import numpy as np

from limbwright.core.mesh import Scalars, Vertices
from limbwright.core.sources import Basis
from limbwright.core.wording import words
from limbwright.make.workorder.picture import direction_word
from limbwright.make.workorder.sheet import Sheet
from limbwright.make.workorder.typeset import Column, Markup, table
from limbwright.make.workorder.wording import (
    NONE,
    basis_word,
    number,
)
from limbwright.shape.plan import AreaPlan
from limbwright.shape.result import PlacedArea
from limbwright.shape.tables import AREA_TEMPLATES
from limbwright.shape.trim import height_at

Rows = list[list[str]]

AROUND = (
    "lateral",
    "anterolateral",
    "anterior",
    "anteromedial",
    "medial",
    "posteromedial",
    "posterior",
    "posterolateral",
)
"""Places around the limb, every 45 degrees from lateral by way of anterior."""


def facts(head: str, rows: Rows, width: str = "34mm") -> Markup:
    """A table of names and values."""
    return table([Column(head, width), Column("", "1fr")], rows)


def person_rows(sheet: Sheet) -> Rows:
    """Who the leg is for."""
    person, assessment = sheet.person, sheet.assessment
    return [
        ["Code", person.code],
        ["Side", person.side.value],
        ["Mass, stature", f"{number(person.mass_kg, 1)} kg, {number(person.stature_mm)} mm"],
        ["Activity class", person.activity.value],
        [
            "Walking speed",
            f"{number(assessment.speed_m_s, 2)} m/s ({basis_word(assessment.speed_basis)})",
        ],
        [
            "Foot length",
            f"{number(assessment.foot_length_mm)} mm ({basis_word(assessment.foot_length_basis)})",
        ],
    ]


def foundation_rows(sheet: Sheet) -> Rows:
    """What the order rests on."""
    liner, limb = sheet.liner, sheet.limb
    worn = (
        "none"
        if liner.material.value == "none"
        else f"{liner.material.value}, {number(liner.thickness_mm, 1)} mm,"
        f" cap {number(liner.cap_thickness_mm, 1)} mm"
    )
    guessed = sum(mark.basis is Basis.GUESSED for mark in limb.landmarks.values())
    return [
        ["Liner", worn],
        ["Scanned over", sheet.capture_plan.scanned_over.value],
        ["Scan's unit", f"{limb.unit.unit.value} ({basis_word(limb.unit.basis)})"],
        ["Landmarks", f"{len(limb.landmarks)}, {guessed or 'none'} of them guessed"],
        ["Bones", basis_word(limb.bones.basis)],
        ["Load level", sheet.assessment.load_level or "not established"],
    ]


def dimension_table(sheet: Sheet) -> Markup:
    """Girths of limb, lined limb and model by level, with breadths of the limb."""
    lined = bool((sheet.shape.liner_mm > 0).any())
    columns = [Column("level mm", numeric=True), Column("limb mm", "1fr", True)]
    columns += [Column("in liner mm", "1fr", True)] if lined else []
    columns += [Column(f"{name}", "1fr", True) for name in ("model mm", "change mm", "take-up %")]
    columns += [Column("ML mm", "1fr", True), Column("AP mm", "1fr", True)]
    return table(columns, _dimension_rows(sheet, lined))


def _dimension_rows(sheet: Sheet, lined: bool) -> Rows:
    breadth = {round(item.level_mm, 3): item for item in sheet.limb.measures.levels}
    heights = sheet.shape.trim.points_mm[:, 2]
    rows = []
    for girth in sheet.shape.girths:
        if -girth.level_mm > heights.max():
            continue
        level = breadth.get(round(girth.level_mm, 3))
        partly = "* " if -girth.level_mm > heights.min() else ""
        rows.append(
            [
                partly + number(girth.level_mm),
                number(girth.limb_mm, 1),
                *([number(girth.lined_mm, 1)] if lined else []),
                number(girth.model_mm, 1),
                number(girth.model_mm - girth.lined_mm, 1),
                number(girth.take_up_percent, 1),
                number(level.ml_mm, 1) if level else NONE,
                number(level.ap_mm, 1) if level else NONE,
            ]
        )
    return rows


def dimension_words(sheet: Sheet) -> str:
    """What the columns of the dimension table say."""
    lined = bool((sheet.shape.liner_mm > 0).any())
    volume = (
        f"Volume below the trim line's lowest point: limb {number(sheet.shape.limb_volume_ml)} ml,"
        + (f" in its liner {number(sheet.shape.lined_volume_ml)} ml," if lined else "")
        + f" model {number(sheet.shape.model_volume_ml)} ml."
    )
    return (
        "Level: below the mid-patellar tendon (datum), along the limb's axis; negative is above it;"
        " * the trim line is partly below this level. Girths follow the surface. Limb: as scanned."
        + (" In liner: over the liner." if lined else "")
        + " Model: the socket's inside, areas included; check the positive model against it."
        f" Change: model less {'limb in liner' if lined else 'limb'}. Take-up: asked for, in"
        f" percent of girth. ML, AP: breadths of the limb. {volume}"
    )


def area_table(sheet: Sheet, tag: dict[int, Markup]) -> Markup:
    """Load and relief areas: number in the pictures, depth, extent, and what placed them."""
    columns = [
        Column("no."),
        Column("area", "1.3fr"),
        Column("what the socket does", "1.2fr"),
        Column("depth mm", numeric=True),
        Column("length mm", numeric=True),
        Column("width mm", numeric=True),
        Column("blend mm", numeric=True),
        Column("surface cm²", numeric=True),
        Column("moved", "1fr"),
        Column("landmarks"),
    ]
    rows = [
        [tag[place], *_area_row(area, plan)]
        for place, (area, plan) in enumerate(
            zip(sheet.shape.areas, sheet.shape_plan.areas, strict=True), start=1
        )
    ]
    return table(columns, rows)


def _area_row(area: PlacedArea, plan: AreaPlan) -> list[str]:
    template = AREA_TEMPLATES[area.name]
    length = plan.length_mm
    if length is None and template.length_mm is not None:
        length = template.length_mm.value
    width = template.width_mm.value if plan.width_mm is None else plan.width_mm
    blend = template.blend_mm.value if plan.blend_mm is None else plan.blend_mm
    does = "left as it is" if area.depth_mm == 0 else "presses in" if area.loads else "adds space"
    return [
        words(area.name.value),
        does,
        number(abs(area.depth_mm), 1),
        "all along" if length is None else number(length),
        number(width),
        number(blend),
        number(area.area_cm2, 1),
        _moved(area, plan),
        "guessed" if area.rests_on_guess else "given",
    ]


def _moved(area: PlacedArea, plan: AreaPlan) -> str:
    """Shifts from where the landmarks put an area, in words."""
    moves = []
    if plan.move_distal_mm:
        way = "down" if plan.move_distal_mm > 0 else "up"
        moves.append(f"{number(abs(plan.move_distal_mm))} {way}")
    if plan.move_around_mm:
        along = np.array([-area.centre_mm[1], area.centre_mm[0], 0.0]) * plan.move_around_mm
        moves.append(f"{number(abs(plan.move_around_mm))} {direction_word(along)}")
    return ", ".join(moves) or NONE


def trim_table(sheet: Sheet) -> Markup:
    """Heights of the trim line over the datum, every 45 degrees and at extra points."""
    line, controls = sheet.shape.trim.points_mm, sheet.shape.trim.controls_mm
    heights = height_at(line, np.radians(45.0 * np.arange(8)))
    rows = [
        (45.0 * step, name, float(controls[name][2] if name in controls else heights[step]))
        for step, name in enumerate(AROUND)
    ]
    for point in (point for name, point in controls.items() if name not in AROUND):
        around = float(_around_deg(point[None])[0])
        rows.append((around, f"extra, at {number(around)}°", float(point[2])))
    return table(
        [Column("place", "1fr"), Column("height mm", numeric=True)],
        [[name, number(height, 1)] for _, name, height in sorted(rows)],
    )


def _around_deg(points_mm: Vertices) -> Scalars:
    """Angle about the limb's axis from lateral by way of anterior, (n,) 0 to 360."""
    return np.asarray(np.degrees(np.arctan2(points_mm[:, 1], points_mm[:, 0])) % 360.0)
