"""A walking cast: how many layers and rolls for the wanted margin, by the coupons of its lay-up."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from limbwright.align.result import Alignment
from limbwright.core.findings import Finding, Severity
from limbwright.core.mesh import face_areas
from limbwright.core.sources import Basis, Source, Sourced
from limbwright.couple.plan import CouplingPlan
from limbwright.couple.result import Seat
from limbwright.prove.attachment_checks import attachment_checks
from limbwright.prove.materials import (
    Allowable,
    layer_thickness_mm,
    layers_of,
    plate_thickness_mm,
)
from limbwright.prove.plan import CastPlan, ProvePlan, SocketProcess
from limbwright.prove.reference_loads import ReferenceLoad
from limbwright.prove.result import Check
from limbwright.prove.strength_findings import FLOOR, PULL_THROUGH
from limbwright.prove.strength_tables import (
    CAST_SUPERVISED,
    ROLL_LENGTH_MM,
    ROLL_WASTE_PERCENT,
    ROLL_WIDTH_MM,
)
from limbwright.prove.wall_checks import loaded_wall, wall_checks, wall_cuts
from limbwright.shape.result import SocketShape

MOST_LAYERS = 40
STAGE = "prove"

Loads = tuple[ReferenceLoad, ...]
Holds = Callable[[int], bool]


@dataclass(frozen=True, slots=True)
class CastNeed:
    """What a walking cast needs to reach the wanted margin.

    Parameters
    ----------
    layers : int or None
        Of the wall; None where even the most layers do not suffice.
    plate_layers : int or None
        At the distal plate.
    """

    layers: int | None
    plate_layers: int | None


def cast_need(
    shape: SocketShape,
    seat: Seat,
    alignment: Alignment,
    loads: Loads,
    plan: ProvePlan,
    coupling: CouplingPlan,
    credit: Allowable,
) -> CastNeed:
    """The fewest layers of wall and plate with which every place reaches the wanted margin.

    More layers are never weaker, so that the fewest are found by halving.

    Parameters
    ----------
    shape, seat, alignment, loads, plan, coupling : as for the strength checks
    credit : Allowable
        With a figure for the wall.
    """
    layer_mm = layer_thickness_mm(plan)

    def wall_holds(layers: int) -> bool:
        tried = plan.model_copy(update={"layers": layers})
        cuts = wall_cuts(shape, seat, coupling, layers * layer_mm)
        wall = loaded_wall(cuts, loads, credit)
        return _reaches(wall_checks(wall, tried, credit), plan.wanted_margin)

    def plate_holds(layers: int) -> bool:
        tried = plan.model_copy(update={"distal_plate_mm": layers * layer_mm})
        checks = attachment_checks(loads, seat, alignment, tried, coupling, credit)
        own = [check for check in checks if check.name in (PULL_THROUGH, FLOOR)]
        return _reaches(own, plan.wanted_margin)

    return CastNeed(_fewest(wall_holds), _fewest(plate_holds))


def rolls_needed(area_mm2: float, layers: int, plan: CastPlan) -> int:
    """Whole rolls for a wrapped area: layers · area · (1 + waste) / (width · length).

    Parameters
    ----------
    area_mm2 : float
        Of the wrapped surface.
    layers : int
    plan : CastPlan
    """
    width, length, waste = (_figure(*pair)[0] for pair in _roll(plan))
    return math.ceil(layers * area_mm2 * (1.0 + waste / 100.0) / (width * length))


def cast_findings(
    shape: SocketShape,
    seat: Seat,
    alignment: Alignment,
    loads: Loads,
    plan: ProvePlan,
    coupling: CouplingPlan,
    credit: Allowable,
) -> tuple[Finding, ...]:
    """Layers and rolls of a walking cast; nothing for other sockets.

    Parameters
    ----------
    shape, seat, alignment, loads, plan, coupling, credit : as in `cast_need`
    """
    if plan.process is not SocketProcess.WALKING_CAST:
        return ()
    if credit.wall_mpa is None or credit.source is None:
        return (_uncounted(credit),)
    need = cast_need(shape, seat, alignment, loads, plan, coupling, credit)
    area_mm2 = float(face_areas(shape.model).sum())
    return (
        _wall_finding(need, plan, credit, credit.source, area_mm2),
        _plate_finding(need, plan, credit, credit.source),
    )


def _wall_finding(
    need: CastNeed, plan: ProvePlan, credit: Allowable, source: Source, area_mm2: float
) -> Finding:
    stated = layers_of(plan)
    wanted = f"{plan.wanted_margin:g} times the reference force"
    if need.layers is None:
        severity = Severity.WARNING
        text = f"Even {MOST_LAYERS} layers of wall do not reach {wanted} by the coupons"
    else:
        severity = Severity.NOTE if stated >= need.layers else Severity.WARNING
        rolls = rolls_needed(area_mm2, need.layers, plan.cast)
        width, length, waste = (_figure(*pair) for pair in _roll(plan.cast))
        assumed = "" if all(given for _, given in (width, length, waste)) else ", by default"
        text = (
            f"{need.layers} layers of wall reach {wanted} by the coupons ({stated} are planned):"
            f" {rolls} rolls of {width[0]:g} by {length[0]:g} mm with {waste[0]:g} % of"
            f" waste{assumed}"
        )
    return Finding(
        STAGE,
        "cast-layers",
        severity,
        f"{text}. For supervised use between bars only; no conformity test",
        where="wall",
        value=float(stated),
        limit=None if need.layers is None else float(need.layers),
        unit="layers",
        basis=credit.basis,
        source=source,
        remedy="more layers, or coupons of a stronger tape",
        entry="prove.layers",
        at_least=True,
    )


def _plate_finding(need: CastNeed, plan: ProvePlan, credit: Allowable, source: Source) -> Finding:
    stated_mm, layer_mm = plate_thickness_mm(plan), layer_thickness_mm(plan)
    wanted = f"{plan.wanted_margin:g} times the reference force"
    if need.plate_layers is None:
        severity, limit = Severity.WARNING, None
        text = f"Even {MOST_LAYERS} layers at the distal plate do not reach {wanted} by the coupons"
    else:
        limit = need.plate_layers * layer_mm
        severity = Severity.NOTE if stated_mm >= limit - 1e-9 else Severity.WARNING
        text = (
            f"{need.plate_layers} layers ({limit:.1f} mm) at the distal plate reach {wanted} by the"
            f" coupons ({stated_mm:g} mm are planned)"
        )
    return Finding(
        STAGE,
        "cast-plate",
        severity,
        text,
        where="distal attachment",
        value=stated_mm,
        limit=limit,
        unit="mm",
        basis=credit.basis,
        source=source,
        remedy="more layers at the distal plate, or a plate inside that spreads the screws' pull",
        entry="prove.distal_plate_mm",
        at_least=True,
    )


def _uncounted(credit: Allowable) -> Finding:
    return Finding(
        STAGE,
        "cast-layers",
        Severity.NOT_ESTABLISHED,
        f"How many layers a walking cast needs is not established: {credit.says}",
        where="wall",
        unit="layers",
        basis=Basis.DEFAULT,
        source=CAST_SUPERVISED,
        remedy="coupons of this lay-up, bent until they break and entered",
        entry="prove.coupons",
    )


def _reaches(checks: list[Check], wanted: float) -> bool:
    return bool(checks) and all(
        check.margin is not None and check.margin >= wanted for check in checks
    )


def _fewest(holds: Holds) -> int | None:
    if not holds(MOST_LAYERS):
        return None
    low, high = 0, MOST_LAYERS
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if holds(middle) else (middle, high)
    return high


def _roll(plan: CastPlan) -> tuple[tuple[float | None, Sourced[float]], ...]:
    return (
        (plan.roll_width_mm, ROLL_WIDTH_MM),
        (plan.roll_length_mm, ROLL_LENGTH_MM),
        (plan.waste_percent, ROLL_WASTE_PERCENT),
    )


def _figure(stated: float | None, default: Sourced[float]) -> tuple[float, bool]:
    return (stated, True) if stated is not None else (default.value, False)
