"""What is said about limb, model and dummy on their way out: where they catch, what frees them."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from limbwright.core.findings import Finding, Severity
from limbwright.core.mesh import Vector
from limbwright.core.sources import Basis
from limbwright.core.wording import words
from limbwright.couple.result import Withdrawal
from limbwright.couple.tables import FREE_CATCH_MM, LIMB_DRAWN_OUT
from limbwright.shape.places import direction_of, height_words
from limbwright.shape.result import SocketShape

_ON_AREA = 0.3
"""Weight from which a place is said to lie on an area."""


@dataclass(frozen=True, slots=True)
class _Body:
    """How a body is spoken of.

    Parameters
    ----------
    code : str
    name : str
    severity : Severity
        When it catches.
    last_resort : str
        What is done when nothing else frees it.
    """

    code: str
    name: str
    severity: Severity
    last_resort: str


_MODEL = _Body("model", "A rigid model", Severity.WARNING, "break it out")
_DUMMY = _Body(
    "dummy", "The coupling's dummy", Severity.WARNING, "cut the cast open or use a narrower dummy"
)


def withdrawal_findings(
    rigid: Withdrawal, limb: Withdrawal, dummy: Withdrawal | None, shape: SocketShape
) -> tuple[Finding, ...]:
    """Whether model, dummy and limb come out, where they catch, and what would free them."""
    found = [_rigid(_MODEL, rigid, shape)]
    if dummy is not None:
        found.append(_rigid(_DUMMY, dummy, shape))
    if limb.catch_mm > FREE_CATCH_MM.value:
        found.append(_limb(limb))
    return tuple(found)


def _rigid(body: _Body, out: Withdrawal, shape: SocketShape) -> Finding:
    free = out.catch_mm <= FREE_CATCH_MM.value
    ways: list[str] = []
    entry = ""
    if free:
        text = f"{body.name} comes straight out along the coupling's axis."
    else:
        trim, areas = _trim(out, shape), _area(out, shape)
        ways = [*_leaning(out), *trim, *areas, body.last_resort]
        entry = "shape.trim" if trim else "shape.areas" if areas else ""
        text = (
            f"{body.name} catches by {out.catch_mm:.1f} mm, drawn out along the coupling's axis:"
            f" at {_words(out.place_mm)}, it is wider than the wall above it, narrowest at"
            f" {height_words(-out.narrow_level_mm)}."
        )
    return Finding(
        stage="couple",
        code=f"{body.code}-comes-out" if free else f"{body.code}-catches",
        severity=Severity.OK if free else body.severity,
        text=text,
        where="" if free else _words(out.place_mm),
        value=out.catch_mm,
        limit=FREE_CATCH_MM.value,
        unit="mm",
        basis=Basis.MEASURED,
        source=FREE_CATCH_MM.source,
        remedy="; or ".join(ways),
        entry=entry,
    )


def _limb(out: Withdrawal) -> Finding:
    return Finding(
        stage="couple",
        code="limb-must-yield",
        severity=Severity.NOTE,
        text=(
            f"To get in and out, limb and liner must yield by {out.catch_mm:.1f} mm"
            f" at {_words(out.place_mm)}; soft tissue tolerates some, how much is not established."
        ),
        where=_words(out.place_mm),
        value=out.catch_mm,
        unit="mm",
        basis=Basis.MEASURED,
        source=LIMB_DRAWN_OUT,
        remedy="; or ".join(_leaning(out)),
    )


def _leaning(out: Withdrawal) -> list[str]:
    """The way out that leans, when it catches clearly less."""
    if out.free_tilt_deg == 0.0 or out.free_catch_mm > out.catch_mm - FREE_CATCH_MM.value:
        return []
    left = (
        "free"
        if out.free_catch_mm <= FREE_CATCH_MM.value
        else f"{out.free_catch_mm:.1f} mm are left"
    )
    side = direction_of(math.radians(out.free_angle_deg))
    return [f"draw it {out.free_tilt_deg:.0f} degrees towards {side} ({left})"]


def _trim(out: Withdrawal, shape: SocketShape) -> list[str]:
    """The trim line lowered in the direction of the catch."""
    if out.trim_to_mm is None or out.narrow_mm is None:
        return []
    now_mm = _trim_height_mm(shape, out.narrow_mm)
    return [
        f"lower the trim line {_side(out.narrow_mm)} to {height_words(-out.trim_to_mm)}"
        f" (now {height_words(now_mm)})"
    ]


def _area(out: Withdrawal, shape: SocketShape) -> list[str]:
    """The load area that narrows the wall, or the relief area that widens the part below it."""
    if out.narrow_mm is None or out.place_mm is None:
        return []
    ways = []
    for point, loads in ((out.narrow_mm, True), (out.place_mm, False)):
        name, gives_mm = _area_at(shape, point, loads)
        if gives_mm > FREE_CATCH_MM.value:
            lessen = min(out.catch_mm, gives_mm)
            ways.append(
                f"lessen the {name} {'load' if loads else 'relief'} by up to {lessen:.1f} mm there"
            )
    return ways


def _area_at(shape: SocketShape, point: Vector, loads: bool) -> tuple[str, float]:
    """The area of a kind that does most nearest to a point, and how much it does there, mm."""
    away = shape.surface.vertices - point
    vertex = int(np.einsum("ij,ij->i", away, away).argmin())
    best = ("", 0.0)
    for area in shape.areas:
        weight = float(area.weight[vertex])
        if area.loads is loads and weight >= _ON_AREA and abs(area.depth_mm) * weight > best[1]:
            best = (words(area.name.value), abs(area.depth_mm) * weight)
    return best


def _trim_height_mm(shape: SocketShape, point: Vector) -> float:
    """Height of the trim line in the direction of a point."""
    angle = math.atan2(point[1], point[0])
    line = shape.trim.points_mm
    turn = np.arctan2(line[:, 1], line[:, 0]) - angle
    return float(line[np.abs(np.remainder(turn + math.pi, 2 * math.pi) - math.pi).argmin(), 2])


def _words(point: Vector | None) -> str:
    if point is None:
        return ""
    return f"{height_words(float(point[2]))}, {_side(point)}"


def _side(point: Vector) -> str:
    return direction_of(math.atan2(point[1], point[0]))
