"""The axis that the coupling is set on: what each choice costs the target and the adapters.

On the distal limb's own axis the liner's target faces the coupling squarely, but the plate under it
may hang so far off the upright that the adapters run out of range. On the limb's long axis the
adapters are content and the target stands aside. Between both, the seat is turned about the middle
of the target, which then stays on the axis: only its tilt has to be tolerated.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from limbwright.core.errors import DesignRefused
from limbwright.core.findings import Finding, Severity
from limbwright.core.mesh import Mesh, Scalars, Vector, Vertices
from limbwright.core.sources import Basis, Source
from limbwright.couple.axis import Line, leaves_at, seat_frame
from limbwright.couple.build_height import part_heights
from limbwright.couple.catalogue import PyramidPlate, TubeClamp
from limbwright.couple.figures import CouplingFigures, coupling_figures
from limbwright.couple.in_hand import named_parts
from limbwright.couple.misfit import stand_off
from limbwright.couple.plan import CouplePlan, SeatAxis
from limbwright.couple.result import AxisChoice
from limbwright.couple.tables import (
    ADAPTER_RANGE_DEG,
    ADAPTER_RESERVE_DEG,
    KINDS_WITH_BODY,
    SEAT_SHARE_OF_TILT,
    SEAT_TILT_UNKNOWN_DEG,
)

_TILT_STEP_DEG = 0.25
_DIRECTIONS = 72


@dataclass(frozen=True, slots=True, eq=False)
class BenchStand:
    """Where bench alignment wants the foot, in the limb frame.

    Parameters
    ----------
    foot_ball_mm : (3,) float64
        Centre of the pyramid's dome at the foot.
    up : (3,) float64, unit
        The upright.
    """

    foot_ball_mm: Vector
    up: Vector


@dataclass(frozen=True, slots=True, eq=False)
class Hang:
    """How far below the target the socket's adapter hangs, and what it may do.

    Parameters
    ----------
    stand : BenchStand
    drop_mm : float
        Target to the dome's centre, along the seat's axis.
    range_deg : float
        Least range of the leg's main adapters.
    range_source : Source
    """

    stand: BenchStand
    drop_mm: float
    range_deg: float
    range_source: Source


def hang(plan: CouplePlan, stand: BenchStand, floor_mm: float) -> Hang:
    """What the parts in hand make of the way from target to foot."""
    figures = coupling_figures(plan.coupling)
    body_mm = figures.body_height_mm + plan.coupling.spacing_mm if _has_target(plan) else 0.0
    stated = [
        (part.range_deg, part.source)
        for part in named_parts(plan).values()
        if isinstance(part, TubeClamp | PyramidPlate) and part.range_deg is not None
    ]
    least = min(stated, default=(ADAPTER_RANGE_DEG.value, ADAPTER_RANGE_DEG.source), key=_first)
    drop_mm = body_mm + floor_mm + part_heights(plan.parts).plate_mm
    return Hang(stand, drop_mm, *least)


def _first(pair: tuple[float, Source]) -> float:
    return pair[0]


def balanced_line(
    target: Line, hanging: Hang, most_deg: float, reserve_deg: float = ADAPTER_RESERVE_DEG.value
) -> Line:
    """The seat turned about the target by the least tilt that lets the adapters do their part.

    Where no tilt up to the most allowed does that, the one that relieves them most.

    Parameters
    ----------
    target : Line
        Middle of the liner's target and the axis that it is square to.
    hanging : Hang
    most_deg : float
    reserve_deg : float
        Left over of the adapters' range.
    """
    tilts = np.arange(0.0, most_deg + 1e-9, _TILT_STEP_DEG)
    turn = 2.0 * math.pi * np.arange(_DIRECTIONS) / _DIRECTIONS
    tilt, angle = (grid.ravel() for grid in np.meshgrid(np.radians(tilts), turn, indexing="ij"))
    frame = seat_frame(target.direction)
    local = np.stack(
        [np.sin(tilt) * np.cos(angle), np.sin(tilt) * np.sin(angle), -np.cos(tilt)], axis=1
    )
    ways = local @ frame.T
    worst = adapter_deg(target.point_mm, ways, hanging)
    aim = hanging.range_deg - reserve_deg
    good = worst <= aim
    # among those that suffice the least tilt counts, then what it leaves; else the most relief
    order = np.lexsort((worst, tilt, ~good)) if good.any() else np.lexsort((tilt, worst.round(6)))
    return Line(target.point_mm, ways[order[0]])


def adapter_deg(point_mm: Vector, directions: Vertices, hanging: Hang) -> Scalars:
    """Largest angle at which an adapter would stand with a seat, (n,) degrees.

    Parameters
    ----------
    point_mm : (3,) float64
        Middle of the target, on the seat's axis or beside it.
    directions : (n, 3) float64, unit, pointing distally
        Of the seats to compare.
    hanging : Hang
    """
    span = hanging.stand.foot_ball_mm - (point_mm + hanging.drop_mm * directions)
    tubes = span / np.linalg.norm(span, axis=1, keepdims=True)
    down = np.broadcast_to(-hanging.stand.up, tubes.shape)
    return np.fmax(_largest_deg(directions, tubes), _largest_deg(tubes, down))


def _largest_deg(above: Vertices, below: Vertices) -> Scalars:
    """The larger of flexion and adduction between parts that point distally, (n,) degrees.

    Read in the axes that `seat_frame` gives to the part above.
    """
    up = -above
    forward = np.array([0.0, 1.0, 0.0]) - up[:, 1:2] * up
    forward = forward / np.linalg.norm(forward, axis=1, keepdims=True)
    outward = np.cross(forward, up)
    o, f, u = (np.einsum("ij,ij->i", below, axis) for axis in (outward, forward, up))
    flexion, adduction = np.arctan2(f, -u), np.arcsin(np.clip(o, -1.0, 1.0))
    worst = np.degrees(np.maximum(np.abs(flexion), np.abs(adduction)))
    return np.asarray(worst, dtype=np.float64)


def most_tilt_deg(plan: CouplePlan, figures: CouplingFigures) -> float:
    """How far the seat may be turned off its target: not at all off one that does not seat itself.

    Unless the part's maker states what tilt it tolerates.
    """
    tolerance = figures.tolerance_tilt_deg.value
    if _has_target(plan) and tolerance is None and figures.self_seating is False:
        return 0.0
    if not _has_target(plan) or tolerance is None:
        return SEAT_TILT_UNKNOWN_DEG.value
    return SEAT_SHARE_OF_TILT.value * tolerance


def reserve_deg(plan: CouplePlan, figures: CouplingFigures) -> float:
    """What the seat leaves of the adapters' range: nothing at the price of an unknown tolerance.

    Where nobody knows what tilt the target tolerates, it is tilted no more than the range asks.
    """
    known = figures.tolerance_tilt_deg.value is not None
    return ADAPTER_RESERVE_DEG.value if known or not _has_target(plan) else 0.0


def axis_choices(
    lines: Mapping[SeatAxis, Line], target: Line, skin: Mesh, hanging: Hang, plan: CouplePlan
) -> tuple[AxisChoice, ...]:
    """What each axis costs: tilt and offset of the target, and how far the adapters stand."""
    choices = []
    for axis, line in lines.items():
        try:
            end = leaves_at(skin, line, "limb")
        except DesignRefused:
            continue
        face = end + float((target.point_mm - end) @ line.direction) * line.direction
        tilt_deg, offset_mm = (
            stand_off(Line(face, line.direction), target) if _has_target(plan) else (0.0, 0.0)
        )
        worst_deg = float(adapter_deg(face, line.direction[None], hanging)[0])
        choices.append(AxisChoice(axis, tilt_deg, offset_mm, worst_deg, axis is plan.coupling.axis))
    return tuple(choices)


def axis_finding(choices: tuple[AxisChoice, ...], hanging: Hang) -> tuple[Finding, ...]:
    """The trade-off between target and adapters, for the axis taken and the others."""
    taken = next((choice for choice in choices if choice.taken), None)
    if taken is None:
        return ()
    others = "; ".join(_words(choice) for choice in choices if not choice.taken)
    within = taken.adapter_deg <= hanging.range_deg
    return (
        Finding(
            stage="couple",
            code="seat-axis-weighed" if within else "seat-axis-beyond-adapters",
            severity=Severity.NOTE if within else Severity.WARNING,
            text=(
                f"The coupling is set on {_words(taken)}, of {hanging.range_deg:g} that they reach."
                f" Other axes: {others}."
            ),
            where="coupling",
            value=taken.adapter_deg,
            limit=hanging.range_deg,
            unit="deg",
            basis=Basis.ESTIMATED,
            source=hanging.range_source,
            remedy="another axis of the seat",
            entry="couple.coupling.axis",
        ),
    )


_NAMES = {
    SeatAxis.DISTAL: "the distal limb's axis",
    SeatAxis.LIMB: "the limb's long axis",
    SeatAxis.SOCKET: "the socket's axis",
    SeatAxis.CHOSEN: "the axis as chosen",
    SeatAxis.BALANCED: "an axis between target and adapters",
}


def _words(choice: AxisChoice) -> str:
    return (
        f"{_NAMES[choice.axis]} (target tilted {choice.tilt_deg:.1f} degrees and"
        f" {choice.offset_mm:.1f} mm aside, adapters at up to {choice.adapter_deg:.1f} degrees)"
    )


def _has_target(plan: CouplePlan) -> bool:
    return plan.coupling.kind in KINDS_WITH_BODY
