"""The edge of the brim beside a complaint: which way it lies, and what takes it clear of the place.

A place under the edge is pressed by the brim: the edge is flared there, or lowered until the place
stands free above it. Over a place above the edge the skin rolls: the edge is raised until the
place stands inside, or flared.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from scipy.interpolate import LinearNDInterpolator

from limbwright.core.mesh import Scalars, Vector, Vertices
from limbwright.core.sources import Basis
from limbwright.fit.result import CauseReading, PlanEdit, Suggestion, Verdict
from limbwright.fit.spot import Picture, Spot, spot_to_edge_mm
from limbwright.fit.tables import CLEAR_OF_EDGE_MM, MOST_TRIM_MM, NEAR_BRIM_MM, TEACHING
from limbwright.shape.plan import TrimPlan
from limbwright.shape.trim import TURN, angle_of, apart_rad, heights_around

_BESIDE_MM = 3.0 * MOST_TRIM_MM.value
"""Of the wall about a place: an edge moved near to it runs along no more."""
_SURE_MM = 0.5
"""Shaped anew, the edge stands no nearer to the place than foreseen, less this."""
SIDES = ("anterior", "medial", "posterior", "lateral")


@dataclass(frozen=True, slots=True)
class _Control:
    """A control of the trim line, as the case document states it."""

    path: str
    name: str
    angle_rad: float
    height_mm: float


def outside_cause(spot: Spot) -> CauseReading:
    """Nothing of the socket lies on the place."""
    return CauseReading(
        "the socket does not reach there",
        Verdict.UNCLEAR,
        f"The place lies above the trim line, {spot.to_brim_mm:.0f} mm from it: look at the brim's"
        " edge, the sleeve or the liner's rim.",
        spot.to_brim_mm,
        None,
        "mm",
        Basis.GIVEN,
        TEACHING,
        None,
    )


def brim_cause(picture: Picture, spot: Spot, *, presses: bool) -> CauseReading:
    """The edge of the brim, and the least move of it that leaves the place clear.

    Parameters
    ----------
    picture : Picture
    spot : Spot
    presses : bool
        Whether the edge is felt there. One that gapes is neither moved away nor flared.
    """
    near = spot.to_brim_mm < CLEAR_OF_EDGE_MM.value
    far = spot.to_brim_mm > NEAR_BRIM_MM.value
    side = "below" if spot.below_edge_mm >= 0 else "above"
    return CauseReading(
        "the edge of the brim",
        Verdict.FITS if near else Verdict.AGAINST if far else Verdict.UNCLEAR,
        f"The place lies {side} the edge of the brim, {spot.to_brim_mm:.0f} mm from it.",
        spot.to_brim_mm,
        CLEAR_OF_EDGE_MM.value,
        "mm",
        Basis.GIVEN,
        TEACHING,
        _clearing(picture, spot) if near and presses else None,
        at_least=True,
    )


def _clearing(picture: Picture, spot: Spot) -> Suggestion:
    """Lower or raise the nearest control until the place is clear of the edge; else only flare."""
    lowers = spot.below_edge_mm >= 0
    control = _nearest_control(picture, spot)
    shift_mm = None if control is None else _least_shift_mm(picture, spot, control, lowers)
    do, flare = ("lower", "flare the brim there, its roll beginning below the place")
    if not lowers:
        do, flare = ("raise", "flare the edge there, so that it does not cut into the skin")
    if control is None or shift_mm is None:
        return Suggestion(
            f"{flare}: to {do} the trim line clear of the place would take more than"
            f" {MOST_TRIM_MM.value:.0f} mm",
            (),
        )
    stands = "free above the edge" if lowers else "inside, clear of the edge"
    after = control.height_mm + (-shift_mm if lowers else shift_mm)
    return Suggestion(
        f"{do} the trim line {control.name} by {shift_mm:.0f} mm, so that the place stands"
        f" {stands}; or {flare}",
        (PlanEdit(control.path, round(after, 1), control.height_mm),),
    )


def _least_shift_mm(picture: Picture, spot: Spot, control: _Control, lowers: bool) -> float | None:
    """The least whole millimetres at one control that take the edge clear; None within the most."""
    edge_with = _edge_with(picture, spot, control)
    for shift_mm in np.arange(1.0, MOST_TRIM_MM.value + 1.0):
        edge = edge_with(control.height_mm + (-shift_mm if lowers else shift_mm))
        below_mm, away_mm = spot_to_edge_mm(edge, spot.point_mm)
        if (below_mm < 0) == lowers and away_mm >= CLEAR_OF_EDGE_MM.value + _SURE_MM:
            return float(shift_mm)
    return None


def _edge_with(picture: Picture, spot: Spot, control: _Control) -> Callable[[float], Vertices]:
    """The trim line with one control at another height; its roll keeps to the wall as it slopes."""
    edge, wall_mm = picture.shape.trim.points_mm, _wall_beside(picture, spot)
    angles, radius_mm, stands_mm = angle_of(edge), _radius_mm(edge), wall_mm(edge)
    heights = {one.angle_rad: one.height_mm for one in _controls(picture)}
    height_mm = heights_around(heights)(angles)

    def shifted(control_mm: float) -> Vertices:
        moved = heights | {control.angle_rad: control_mm}
        out = edge.copy()
        out[:, 2] += heights_around(moved)(angles) - height_mm
        outward_mm = np.nan_to_num(wall_mm(out) - stands_mm)
        out[:, :2] *= (1.0 + outward_mm / radius_mm)[:, None]
        return out

    return shifted


def _wall_beside(picture: Picture, spot: Spot) -> Callable[[Vertices], Scalars]:
    """Tells how far the wall stands from the limb's axis at points beside a place; else nan."""
    surface = picture.shape.surface.vertices
    beside = surface[np.linalg.norm(surface - spot.point_mm, axis=1) < _BESIDE_MM]
    facing = float(angle_of(spot.point_mm))

    def unrolled(points: Vertices) -> Vertices:
        turn = np.mod(angle_of(points) - facing + np.pi, TURN) - np.pi
        return np.column_stack([_radius_mm(spot.point_mm) * turn, points[:, 2]])

    radius_mm = LinearNDInterpolator(unrolled(beside), _radius_mm(beside))
    return lambda points: radius_mm(unrolled(points))


def _radius_mm(points: Vertices | Vector) -> Vector:
    return np.asarray(np.hypot(points[..., 0], points[..., 1]))


def _nearest_control(picture: Picture, spot: Spot) -> _Control | None:
    angle = float(angle_of(spot.point_mm))
    return min(_controls(picture), key=lambda one: apart_rad(angle, one.angle_rad), default=None)


def _controls(picture: Picture) -> list[_Control]:
    """The controls that the trim line was drawn through, with what the plan says of each."""
    stated = _stated(picture.plan.trim)
    return [
        _Control(*stated[name][:2], float(angle_of(point)), stated[name][2])
        for name, point in picture.shape.trim.controls_mm.items()
    ]


def _stated(plan: TrimPlan) -> Mapping[str, tuple[str, str, float]]:
    """Path, words and height of each control, by its name on the trim line."""
    named = {
        side: (f"shape.trim.{side}_mm", f"on the {side} side", getattr(plan, f"{side}_mm"))
        for side in SIDES
    }
    extra = {
        f"extra[{number}]": (
            f"shape.trim.extra.{number}.height_mm",
            f"at its added point {number + 1}",
            point.height_mm,
        )
        for number, point in enumerate(plan.extra)
    }
    return named | extra
