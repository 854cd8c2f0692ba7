"""The work order's tables of how to build: coupling, heights, bench settings and materials."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from limbwright.align.effects import moment_at
from limbwright.align.result import AdjustmentStep, ChainAdapter, PhaseMoments
from limbwright.align.setup import socket_centre
from limbwright.core.mesh import Vector, face_areas
from limbwright.core.sources import Basis
from limbwright.core.wording import words
from limbwright.couple.result import COUPLING_BODY, HeightItem, Seat
from limbwright.couple.tables import FREE_CATCH_MM, KINDS_WITH_BODY, SCREW_CLEARANCE_MM
from limbwright.make.result import Part
from limbwright.make.workorder.sheet import Sheet
from limbwright.make.workorder.typeset import Column, Markup, table
from limbwright.make.workorder.wording import (
    NONE,
    basis_word,
    number,
    unit_word,
    with_minus,
)
from limbwright.prove.materials import (
    LAYERED,
    layer_thickness_mm,
    layers_of,
    material_of,
    plate_basis,
    plate_thickness_mm,
    wall_basis,
)

Rows = list[list[str]]
LINE_PLACES = ("knee", "datum", "socket_base", "socket_adapter", "foot_adapter", "ankle")
"""Places whose distance from the load line is told on paper."""


def seat_rows(sheet: Sheet) -> Rows:
    """The coupling's figures."""
    seat, plan = sheet.coupling.seat, sheet.couple_plan.coupling
    body = (
        f"⌀ {number(seat.body_diameter_mm, 1)} mm, height {number(seat.body_height_mm, 1)} mm"
        if plan.kind in KINDS_WITH_BODY
        else "none: the plate is screwed to the socket's own floor"
    )
    drill = plan.screw_diameter_mm + SCREW_CLEARANCE_MM.value
    rows = [
        ["Kind", f"{plan.kind.value}, axis: {_axis_word(plan.axis.value)}"],
        ["Body", body],
        [
            "Screws",
            f"4 of ⌀ {number(plan.screw_diameter_mm, 1)} mm in holes of {number(drill, 1)} mm, on a"
            f" square of {number(plan.screw_square_mm, 1)} mm",
        ],
        ["Middle of the screws", f"{_beside_axis(seat.base_mm)} at the floor's outside"],
    ]
    if plan.kind in KINDS_WITH_BODY:
        rows.insert(2, ["Spacing", f"{number(plan.spacing_mm, 1)} mm from liner cap to coupling"])
        rows += [["Target off the axis", misfit_words(sheet)]]
    return [*rows, ["Model drawn out", _withdrawal(sheet)]]


def misfit_words(sheet: Sheet) -> str:
    """Tilt and offset of the liner's target, unloaded and at worst under load."""
    seat, proof = sheet.coupling.seat, sheet.proof
    words = f"{number(seat.tilt_deg, 1)}°, {number(seat.offset_mm, 1)} mm unloaded"
    if not proof.coupling_tilt_deg:
        return words
    tilt, offset = max(proof.coupling_tilt_deg.values()), max(proof.coupling_offset_mm.values())
    return f"{words}; up to {number(tilt, 1)}°, {number(offset, 1)} mm under load"


def _withdrawal(sheet: Sheet) -> str:
    out = sheet.coupling.withdrawal
    if out.catch_mm <= FREE_CATCH_MM.value:
        return "comes straight out along the axis"
    return (
        f"catches by {number(out.catch_mm, 1)} mm {number(out.level_mm)} mm below the datum:"
        " break it out"
    )


def _beside_axis(place_mm: Vector) -> str:
    """Where a place is from the limb's axis, in words."""
    out, forward = float(place_mm[0]), float(place_mm[1])
    side = "lateral" if out >= 0 else "medial"
    front = "ahead of" if forward >= 0 else "behind"
    return (
        f"{number(abs(out), 1)} mm {side} to and {number(abs(forward), 1)} mm {front} the limb's"
        " axis"
    )


def _axis_word(axis: str) -> str:
    return {
        "limb": "the limb's",
        "distal": "the distal limb's",
        "socket": "the socket's",
        "balanced": "between target and adapters",
        "chosen": "as chosen",
    }[axis]


def height_table(sheet: Sheet) -> Markup:
    """Everything between datum and floor along the limb's axis; the sum is exact."""
    height = sheet.coupling.height
    rows = [
        [
            _height_name(item, sheet.coupling.seat),
            number(item.height_mm, 1),
            basis_word(item.basis),
        ]
        for item in height.items
    ]
    weakest = weakest_basis((*(item.basis for item in height.items), height.datum_basis))
    rows.append(["tube that is left", number(height.pylon_mm, 1), basis_word(weakest)])
    rows.append(
        ["datum to floor", number(height.datum_floor_mm, 1), basis_word(height.datum_basis)]
    )
    return table([Column("build height", "1fr"), Column("mm", numeric=True), Column("basis")], rows)


def _height_name(item: HeightItem, seat: Seat) -> str:
    """What rises, and how high the body is itself where its axis is tilted."""
    name = f"{item.name} {item.part}".strip()
    own, rise = number(seat.body_height_mm, 1), number(item.height_mm, 1)
    return f"{name}, {own} tilted" if item.name == COUPLING_BODY and own != rise else name


def height_words(sheet: Sheet) -> str:
    """What to do with the tube that is left."""
    height = sheet.coupling.height
    short = height.pylon_minimum_mm - height.pylon_mm
    if short > 0:
        return (
            f"The parts do not fit: {number(short, 1)} mm are missing to the shortest tube of"
            f" {number(height.pylon_minimum_mm, 1)} mm."
        )
    cut = sheet.alignment.settings["pylon"][0]
    return (
        "A first look: rises along the limb's axis. Cut the tube to the length that flexion and"
        f" adduction ask for: {number(cut, 1)} mm from end to end, both ends at their stops; the"
        f" clamps take no tube shorter than {number(height.pylon_minimum_mm, 1)} mm."
    )


def weakest_basis(bases: Iterable[Basis]) -> Basis:
    """The least certain of several bases."""
    order = (Basis.MEASURED, Basis.GIVEN, Basis.ESTIMATED, Basis.DEFAULT, Basis.GUESSED)
    return max(bases, key=order.index)


def setting_table(sheet: Sheet) -> Markup:
    """How the leg stands and what follows from it; once it is turned, what was planned too."""
    alignment = sheet.alignment
    rows = [
        [words(name), number(value, 1), unit_word(unit), basis_word(basis)]
        for name, (value, unit, basis) in alignment.settings.items()
    ]
    if not alignment.turned:
        columns = [Column("bench setting", "1fr"), Column("value", numeric=True)]
        return table([*columns, Column(""), Column("basis")], rows)
    for row, name in zip(rows, alignment.settings, strict=True):
        planned = alignment.planned.get(name)
        row.append(NONE if planned is None else f"({number(planned[0], 1)})")
    columns = [Column("the leg as it stands", "1fr"), Column("after the turns", "15mm", True)]
    planned_head = Column("planned, before the turns", "16mm", True)
    return table([*columns, Column(""), Column("basis"), planned_head], rows)


def plumb_words(sheet: Sheet) -> str:
    """Where the plumb line starts."""
    return (
        "The plumb line hangs through the middle of the socket's section at the datum,"
        f" {_beside_axis(socket_centre(sheet.shape))}. Positive flexion: the part above leans"
        " forward over the part below (at the foot: toes up); positive adduction: it leans outward."
        " Adapter angles count from straight."
    )


def step_table(steps: Sequence[AdjustmentStep]) -> Markup:
    """What is turned and slid, in order: what is loosened, what is done, from where to where."""
    rows = [
        [
            str(step.number),
            step.adapter,
            step.undo,
            with_minus(step.do),
            f"{words(step.what)} {number(step.start, 1)} to {number(step.end, 1)}"
            f"{_sign(step.change_unit)}",
        ]
        for step in steps
    ]
    columns = [Column("no."), Column("adapter"), Column("first", "1fr"), Column("then", "1fr")]
    return table([*columns, Column("from and to")], rows)


def chain_table(sheet: Sheet) -> Markup:
    """Every adapter from the socket down: how it stands, how far it goes, on what that rests."""
    rows = [
        [
            one.name,
            ", ".join(
                f"{what} {number(value, 1)}{_sign(unit)}"
                for what, (value, unit) in one.set_to.items()
            ),
            _ranges(one),
            basis_word(one.range_basis),
            f"{number(one.screw_pitch_mm, 2)} / {number(one.screw_arm_mm, 1)}"
            f" ({basis_word(one.screw_basis)})"
            if one.kind == "pyramid"
            else NONE,
        ]
        for one in sheet.alignment.chain
    ]
    columns = [
        Column("adapter"),
        Column("stands at", "1fr"),
        Column("range ±"),
        Column("basis"),
        Column("screws: pitch / arm, mm"),
    ]
    return table(columns, rows)


def load_line_table(sheet: Sheet) -> Markup:
    """How far the load line of standing passes from knee, socket, adapters and ankle."""
    line = sheet.alignment.load_line
    rows = [
        [
            words(place.name),
            _aside(place.line_forward_mm, "in front", "behind"),
            _aside(place.line_outward_mm, "lateral", "medial"),
            basis_word(place.basis),
        ]
        for place in (line.places if line is not None else ())
        if place.name in LINE_PLACES
    ]
    columns = [
        Column("line passes"),
        Column("side view, mm", "1fr"),
        Column("front view, mm", "1fr"),
        Column("basis"),
    ]
    return table(columns, rows)


def effect_table(sheet: Sheet) -> Markup:
    """What small changes of this leg do to the moments at the datum."""
    effects = sheet.alignment.effects
    rows = []
    if effects:
        rows.append(["as set", *_moment_cells(effects[0].before), ""])
    for one in effects:
        size = f"{number(one.amount)}{_sign(one.unit)}"
        longer = number(one.length_after_mm - one.length_before_mm, 1)
        rows.append([f"{one.name} {size}", *_moment_cells(one.after), longer])
    columns = [
        Column("change", "1fr"),
        *(
            Column(f"{plane}, {phase}", numeric=True)
            for plane, phase in (
                ("coronal", "mid"),
                ("sagittal", "early"),
                ("sagittal", "mid"),
                ("sagittal", "late"),
            )
        ),
        Column("length, mm", numeric=True),
    ]
    return table(columns, rows)


def guide_table(sheet: Sheet) -> Markup:
    """What was seen, which causes this leg shows, and what to change first."""
    rows = [
        [
            f"{words(one.what)} ({words(one.phase)})",
            "; ".join(f"{cause.cause}: {cause.verdict}" for cause in one.causes),
            " ".join(
                [
                    f"{one.first_change[:1].upper()}{one.first_change[1:]}.",
                    *([one.adjustment.text] if one.adjustment is not None else []),
                    *one.contradictions,
                    *one.remarks,
                ]
            ),
        ]
        for one in sheet.alignment.guide
    ]
    columns = [
        Column("seen", "1fr"),
        Column("causes on this leg", "2fr"),
        Column("first change; what speaks for or against", "2fr"),
    ]
    return table(columns, rows)


def _moment_cells(moments: tuple[PhaseMoments, ...]) -> list[str]:
    early, mid, late = (
        moment_at(moments, "datum", phase)
        for phase in ("early_stance", "mid_stance", "late_stance")
    )
    values = (mid.coronal_n_m, early.sagittal_n_m, mid.sagittal_n_m, late.sagittal_n_m)
    return [number(value, 1) for value in values]


def _aside(value_mm: float, positive: str, negative: str) -> str:
    return f"{number(abs(value_mm))} {positive if value_mm >= 0 else negative}"


def _ranges(adapter: ChainAdapter) -> str:
    parts = [f"{number(adapter.range_deg, 1)}°"] if adapter.range_deg else []
    parts += [f"{number(adapter.range_mm, 1)} mm"] if adapter.range_mm else []
    return ", ".join(parts) or "fixed"


def _sign(unit: str) -> str:
    return "°" if unit == "deg" else f" {unit}"


def _by_default(basis: Basis) -> str:
    return " (default)" if basis is Basis.DEFAULT else ""


def material_rows(sheet: Sheet) -> Rows:
    """What the socket is made of, and how much."""
    plan, made = sheet.prove_plan, sheet.made
    known = material_of(plan)
    inside_cm2 = float(face_areas(sheet.shape.model).sum()) / 100.0
    rows = [
        ["Process", words(plan.process.value)],
        ["Material", known.name if known is not None else plan.material],
    ]
    if plan.process in LAYERED:
        layers, layer_mm = layers_of(plan), layer_thickness_mm(plan)
        total = number(layers * layer_mm, 1)
        by_default = _by_default(wall_basis(plan))
        rows.append(
            [
                "Layers",
                f"{layers} of {number(layer_mm, 2)} mm, together {total} mm{by_default}",
            ]
        )
        covered = number(layers * inside_cm2 / 10000.0, 2)
        rows.append(["Cloth or tape", f"{covered} m² in all layers, overlap and waste not counted"])
    rows += [
        [
            "Wall of the part",
            f"{number(made.wall_median_mm, 2)} mm (2nd to 98th percentile"
            f" {number(made.wall_p02_mm, 2)} to {number(made.wall_p98_mm, 2)} mm)",
        ],
        [
            "Floor at the coupling",
            f"{number(plate_thickness_mm(plan), 1)} mm{_by_default(plate_basis(plan))}",
        ],
        ["Inside of the socket", f"{number(inside_cm2)} cm², brim included"],
        ["Socket shell", f"{number(made.shell.volume_ml)} ml of material, {_extent(made.shell)}"],
        ["Positive model", f"{number(made.positive.volume_ml)} ml, {_extent(made.positive)}"],
    ]
    return rows


def _extent(part: Part) -> str:
    """The smallest upright box that a part fits into."""
    width, depth, height = np.ptp(part.mesh.vertices, axis=0)
    return f"in a box of {number(width)} × {number(depth)} × {number(height)} mm"
