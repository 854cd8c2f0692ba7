"""Whether a trim line may be lowered to let a body out, and still leave a socket that works."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from limbwright.core.mesh import Vector, vertex_areas
from limbwright.couple.checks import exit_gap_mm
from limbwright.couple.plan import CouplingPlan
from limbwright.couple.result import Seat, Withdrawal
from limbwright.couple.tables import EXIT_TO_TRIM_MM, KINDS_WITH_BODY, KINDS_WITH_VALVE
from limbwright.shape.result import PlacedArea, SocketShape
from limbwright.shape.tables import COVERED_SHARE
from limbwright.shape.trim import (
    TURN,
    TrimControl,
    TrimCurve,
    angle_of,
    apart_rad,
    curve_through,
    doubles_back,
)

_SAME_SIDE_RAD = math.radians(22.5)
"""A control no farther round than this is the one that is moved; half of a side's eighth."""
_LEVEL_MM = 0.5
"""Levels nearer than this count as the same."""


def offered(out: Withdrawal, seat: Seat, plan: CouplingPlan, shape: SocketShape) -> Withdrawal:
    """A way out, without the lower trim line when that would spoil the socket.

    The line may come down as far as its lowest point stands already: the closed wall under that,
    on which strength, seal and suspension rest, stays as it is. On the way no area may be cut
    away, nor the line come too near to the exit or double back on itself.
    """
    if out.trim_to_mm is None or out.narrow_mm is None:
        return out
    useful = _keeps_the_socket(-out.trim_to_mm, out.narrow_mm, seat, plan, shape)
    return out if useful else replace(out, trim_to_mm=None)


def _keeps_the_socket(
    to_mm: float, at: Vector, seat: Seat, plan: CouplingPlan, shape: SocketShape
) -> bool:
    if to_mm < float(shape.trim.points_mm[:, 2].min()) - _LEVEL_MM:
        return False
    lowered = _lowered(shape, float(angle_of(at)), to_mm)
    return (
        not _doubles_back(shape, lowered)
        and all(_stays_covered(area, shape, lowered) for area in shape.areas)
        and _clear_of_exit(seat, plan, shape, lowered)
    )


def _lowered(shape: SocketShape, angle_rad: float, to_mm: float) -> TrimCurve:
    """The line with the control on that side lowered, or with one more where none stands."""
    controls = [
        TrimControl(name, "", float(angle_of(point)), float(point[2]))
        for name, point in shape.trim.controls_mm.items()
    ]
    near = min(controls, key=lambda control: apart_rad(control.angle_rad, angle_rad))
    if apart_rad(near.angle_rad, angle_rad) <= _SAME_SIDE_RAD:
        controls.remove(near)
        moved = replace(near, height_mm=min(near.height_mm, to_mm))
    else:
        moved = TrimControl("", "", angle_rad, to_mm)
    return curve_through([*controls, moved])


def _doubles_back(shape: SocketShape, line: TrimCurve) -> bool:
    """As the shape stage refuses it: two controls too close for what they differ in height."""
    radius_mm = float(np.hypot(shape.trim.points_mm[:, 0], shape.trim.points_mm[:, 1]).mean())
    pairs = zip(line.controls, line.controls[1:] + line.controls[:1], strict=True)
    return any(
        doubles_back(
            abs(second.height_mm - first.height_mm),
            radius_mm * float(np.mod(second.angle_rad - first.angle_rad, TURN)),
        )
        for first, second in pairs
    )


def _stays_covered(area: PlacedArea, shape: SocketShape, line: TrimCurve) -> bool:
    """Whether enough of an area stays in the socket; one that is cut already may lose no more."""
    share = area.weight * vertex_areas(shape.surface)
    now = shape.below_trim
    then = now & (line.below_mm(shape.surface.vertices) >= 0.0)
    lost = float(share[now].sum() - share[then].sum())
    return lost <= 0.0 or float(share[then].sum()) >= COVERED_SHARE.value * float(share.sum())


def _clear_of_exit(seat: Seat, plan: CouplingPlan, shape: SocketShape, line: TrimCurve) -> bool:
    if plan.kind not in KINDS_WITH_BODY | KINDS_WITH_VALVE:
        return True
    points = shape.trim.points_mm.copy()
    points[:, 2] = np.minimum(points[:, 2], line.height_mm(angle_of(points)))
    then = replace(shape, trim=replace(shape.trim, points_mm=points))
    gap_mm = exit_gap_mm(seat, plan, then, plan.exit_angle_deg)
    return gap_mm >= min(EXIT_TO_TRIM_MM.value, exit_gap_mm(seat, plan, shape, plan.exit_angle_deg))
