"""The trim line: a closed curve around the limb through control points.

Height over the angle about the limb's axis, as a periodic monotone spline: it passes through
every control, rises and falls only between them, and cannot cross itself.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from limbwright.core.errors import DesignRefused, SelfIntersection
from limbwright.core.holes import boundary_loops
from limbwright.core.mesh import Mesh, Scalars, Vector, Vertices
from limbwright.shape.basis import ShapeBasis
from limbwright.shape.places import direction_of, height_words
from limbwright.shape.plan import TrimPlan
from limbwright.shape.tables import RIM_CLEARANCE_MM, SHORTEST_SOCKET_MM, STEEPEST_TRIM_DEG

TURN = 2.0 * np.pi
SAMPLES = 720


@dataclass(frozen=True, slots=True)
class TrimControl:
    """One control point.

    Parameters
    ----------
    name : str
        "anterior", "medial", "posterior", "lateral" or "extra[0]" ...
    path : str
        Where the case document states its height.
    angle_rad : float
        From outward, anti-clockwise seen from above, 0 to 2 pi.
    height_mm : float
        Above the mid-patellar tendon.
    """

    name: str
    path: str
    angle_rad: float
    height_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class TrimCurve:
    """The trim line as height over angle.

    Parameters
    ----------
    controls : tuple of TrimControl, by rising angle
    spline : PchipInterpolator
        Height in mm over angles from -pi to 3 pi.
    """

    controls: tuple[TrimControl, ...]
    spline: PchipInterpolator

    def height_mm(self, angle_rad: Scalars) -> NDArray[np.float64]:
        """Height above the mid-patellar tendon at angles, mm."""
        return np.asarray(self.spline(np.mod(angle_rad, TURN)), dtype=np.float64)

    def slope_mm(self, angle_rad: Scalars) -> NDArray[np.float64]:
        """Change of height with the angle, mm per radian."""
        return np.asarray(self.spline(np.mod(angle_rad, TURN), 1), dtype=np.float64)

    def below_mm(self, points: Vertices) -> NDArray[np.float64]:
        """How far points (n, 3) lie below the line, straight down, mm; negative above it."""
        return np.asarray(self.height_mm(angle_of(points)) - points[:, 2], dtype=np.float64)


def trim_curve(basis: ShapeBasis, plan: TrimPlan) -> TrimCurve:
    """The trim line of a plan on a limb.

    Raises
    ------
    SelfIntersection
        When two controls are so close and so different in height that the line would double
        back on itself.
    DesignRefused
        When the line leaves the scan, above its top edge or below the limb's end.
    """
    curve = curve_through(_ordered(basis, _controls(basis, plan)))
    _stays_on_scan(basis, curve)
    return curve


def curve_through(controls: Sequence[TrimControl]) -> TrimCurve:
    """The line through controls, whether a scan holds it or not."""
    ordered = sorted(controls, key=lambda control: control.angle_rad)
    heights = {control.angle_rad: control.height_mm for control in ordered}
    return TrimCurve(tuple(ordered), heights_around(heights))


def heights_around(heights_mm: Mapping[float, float]) -> PchipInterpolator:
    """Height over the angle through controls, mm: periodic, rising and falling only between them.

    Parameters
    ----------
    heights_mm : mapping of angle in radians, 0 to 2 pi, to height in mm
    """
    angles = np.array(sorted(heights_mm))
    heights = np.array([heights_mm[angle] for angle in angles])
    around = np.concatenate([angles + turn * TURN for turn in (-2, -1, 0, 1, 2)])
    return PchipInterpolator(around, np.tile(heights, 5))


def apart_rad(first_rad: float, second_rad: float) -> float:
    """The shorter way between two angles, 0 to pi."""
    return abs(float(np.mod(first_rad - second_rad + np.pi, TURN) - np.pi))


def doubles_back(rise_mm: float, along_mm: float) -> bool:
    """Whether a line rises too much for how far its controls stand apart round the limb."""
    return bool(rise_mm > np.tan(np.radians(STEEPEST_TRIM_DEG.value)) * along_mm)


def angle_of(points: Vertices | Vector) -> NDArray[np.float64]:
    """Angle about the limb's axis from outward, anti-clockwise seen from above, 0 to 2 pi."""
    return np.asarray(np.mod(np.arctan2(points[..., 1], points[..., 0]), TURN))


def height_at(line: Vertices, angle_rad: Scalars) -> Scalars:
    """Height of a closed line round the limb at angles, mm.

    Parameters
    ----------
    line : (n, 3) float64, limb frame, mm
    angle_rad : (...) float64
    """
    # A period has the points put in order.
    return np.asarray(np.interp(angle_rad, angle_of(line), line[:, 2], period=TURN))


def radius_at(outline: Vertices, angle_rad: Scalars) -> Scalars:
    """Distance of a closed outline from the limb's axis at angles, mm.

    Parameters
    ----------
    outline : (n, 2 or more) float64, limb frame, mm
    angle_rad : (...) float64
    """
    away = np.hypot(outline[:, 0], outline[:, 1])
    return np.asarray(np.interp(angle_rad, angle_of(outline), away, period=TURN))


def control_points(curve: TrimCurve, line: Vertices) -> Mapping[str, Vector]:
    """Each control's point on the trim line as cut, (3,) mm by name."""
    angle = angle_of(line)
    order = np.argsort(angle)
    at = np.array([control.angle_rad for control in curve.controls])
    points = np.stack(
        [np.interp(at, angle[order], line[order, d], period=TURN) for d in range(3)], axis=1
    )
    return {control.name: point for control, point in zip(curve.controls, points, strict=True)}


def _controls(basis: ShapeBasis, plan: TrimPlan) -> list[TrimControl]:
    tendon = basis.limb.landmarks.get("mid_patellar_tendon")
    front = 0.5 * np.pi if tendon is None else float(angle_of(tendon.point_mm))
    named = (
        ("anterior", front, plan.anterior_mm),
        ("medial", np.pi, plan.medial_mm),
        ("posterior", 1.5 * np.pi, plan.posterior_mm),
        ("lateral", 0.0, plan.lateral_mm),
    )
    controls = [
        TrimControl(name, f"shape.trim.{name}_mm", angle, height) for name, angle, height in named
    ]
    for number, point in enumerate(plan.extra):
        path = f"shape.trim.extra[{number}]"
        angle = float(np.mod(np.radians(point.angle_deg), TURN))
        controls.append(TrimControl(f"extra[{number}]", path, angle, point.height_mm))
    return controls


def _ordered(basis: ShapeBasis, controls: list[TrimControl]) -> tuple[TrimControl, ...]:
    """Controls by angle, one at each; refused where the line would double back."""
    by_angle = sorted(controls, key=lambda control: control.angle_rad)
    kept: list[TrimControl] = []
    for control in by_angle:
        same = bool(kept) and control.angle_rad - kept[-1].angle_rad < 1e-6
        if not (same and control.height_mm == kept[-1].height_mm):
            kept.append(control)
    for first, second in zip(kept, kept[1:] + kept[:1], strict=True):
        _not_too_steep(basis, first, second)
    return tuple(kept)


def _not_too_steep(basis: ShapeBasis, first: TrimControl, second: TrimControl) -> None:
    turn = np.mod(second.angle_rad - first.angle_rad, TURN)
    rise_mm = abs(second.height_mm - first.height_mm)
    middle = first.angle_rad + 0.5 * turn
    height_mm = 0.5 * (first.height_mm + second.height_mm)
    along_mm = float(turn * _radius_mm(basis.surface, middle, height_mm))
    if not doubles_back(rise_mm, along_mm):
        return
    raise SelfIntersection(
        f"The trim line would double back on itself {direction_of(middle)}: {first.name} and"
        f" {second.name} differ by {rise_mm:.0f} mm in height but stand {along_mm:.0f} mm apart"
        " around the limb; bring their heights together or move them apart.",
        where=second.path,
        fields={"controls": [first.name, second.name], "rise_mm": rise_mm, "apart_mm": along_mm},
    )


def _radius_mm(surface: Mesh, angle_rad: float, height_mm: float) -> float:
    """Distance of the surface from the limb's axis near an angle and height, mm."""
    vertices = surface.vertices
    radius = np.hypot(vertices[:, 0], vertices[:, 1])
    turn = np.mod(angle_of(vertices) - angle_rad + np.pi, TURN) - np.pi
    return float(radius[np.argmin((radius * turn) ** 2 + (vertices[:, 2] - height_mm) ** 2)])


def _stays_on_scan(basis: ShapeBasis, curve: TrimCurve) -> None:
    angles = np.linspace(0.0, TURN, SAMPLES, endpoint=False)
    height = curve.height_mm(angles)
    top = _rim_height_mm(basis.surface, angles)
    over = height - (top - RIM_CLEARANCE_MM.value)
    if over.max() > 0.0:
        worst = int(np.argmax(over))
        control = _nearest(curve, angles[worst])
        raise DesignRefused(
            f"The trim line leaves the scan {direction_of(angles[worst])}: it stands"
            f" {height_words(height[worst])} where the scan ends at"
            f" {height_words(top[worst])}. Lower {control.name} to"
            f" {control.height_mm - over[worst]:.0f} mm or less (now {control.height_mm:.0f} mm),"
            " or scan higher up.",
            where=control.path,
            fields={
                "control": control.name,
                "over_mm": float(over[worst]),
                "possible_mm": float(control.height_mm - over[worst]),
            },
        )
    end_mm = float(basis.surface.vertices[:, 2].min())
    under = end_mm + SHORTEST_SOCKET_MM.value - height
    if under.max() > 0.0:
        worst = int(np.argmax(under))
        control = _nearest(curve, angles[worst])
        raise DesignRefused(
            f"The trim line runs off the limb {direction_of(angles[worst])}: it stands"
            f" {height_words(height[worst])} where the limb ends at {height_words(end_mm)} and a"
            f" socket needs {SHORTEST_SOCKET_MM.value:.0f} mm. Raise {control.name} to"
            f" {control.height_mm + under[worst]:.0f} mm or more (now"
            f" {control.height_mm:.0f} mm).",
            where=control.path,
            fields={
                "control": control.name,
                "under_mm": float(under[worst]),
                "possible_mm": float(control.height_mm + under[worst]),
            },
        )


def _rim_height_mm(surface: Mesh, angles: Scalars) -> Scalars:
    """Height of the scan's top edge at angles, the lowest within a few degrees, mm."""
    loops = boundary_loops(surface)
    if not loops:
        return np.full(len(angles), np.inf)
    rim = surface.vertices[max(loops, key=lambda loop: float(surface.vertices[loop, 2].mean()))]
    height = height_at(rim, angles)
    return np.asarray(np.min([np.roll(height, k) for k in range(-4, 5)], axis=0))


def _nearest(curve: TrimCurve, angle_rad: float) -> TrimControl:
    return min(curve.controls, key=lambda one: apart_rad(one.angle_rad, angle_rad))
