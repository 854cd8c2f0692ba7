"""Solids of the coupling's seat: what is added under the socket, and what is cut out of it."""

from __future__ import annotations

import manifold3d
import numpy as np
from numpy.typing import NDArray

from limbwright.core.holes import boundary_loops, fill_hole
from limbwright.core.mesh import Mesh, Vector
from limbwright.core.solids import skin, solid
from limbwright.core.topology import compact
from limbwright.couple.figures import coupling_figures
from limbwright.couple.plan import CouplePlan, CouplingKind, CouplingPlan
from limbwright.couple.result import Seat
from limbwright.couple.tables import (
    FIT_CLEARANCE_MM,
    KINDS_WITH_BODY,
    KINDS_WITH_VALVE,
    PIN_BORE_MM,
    SCREW_CLEARANCE_MM,
)

SEGMENTS = 96
"""Sides of a round: the flats stand back 0.02 mm on a radius of 35 mm."""
_OVERLAP_MM = 1.0
"""How far a cutter reaches past what it opens, so that no film of material is left."""
_CAVITY_ABOVE_MM = 30.0
"""How far past the way in for the body the inside is kept as a solid."""


def seat_solids(
    seat: Seat, cavity: Mesh, plan: CouplePlan, wall_mm: float, distal_plate_mm: float
) -> tuple[tuple[Mesh, ...], tuple[Mesh, ...]]:
    """Solids that seat the coupling in a socket of a given wall and floor.

    Unite the additions with the shell, then cut the cutters.

    Parameters
    ----------
    seat : Seat
    cavity : Mesh
        Of `cavity_of`; nothing that is added stands in it.
    plan : CouplePlan
    wall_mm : float
        Wall of the shell, and of the boss around the coupling body.
    distal_plate_mm : float
        Floor between coupling body and plate. The seat was set for `seat.floor_mm`: with another
        thickness the plate sits that much lower or higher than `seat.base_mm` says.

    Returns
    -------
    additions : tuple of Mesh
        A boss under the socket's end; it leaves the inside of the socket free.
    cutters : tuple of Mesh
        Pocket for the body, four screw holes, exit for button, lanyard or valve.
        All are closed manifolds in the limb frame, wound outward.
    """
    floor_top = seat.face_mm + seat.body_height_mm * seat.axis
    base = floor_top + distal_plate_mm * seat.axis
    boss = _boss(seat, cavity, plan.coupling, wall_mm, base)
    cutters = [
        *_pocket(seat, plan.coupling, floor_top),
        *_screw_holes(seat, plan.coupling, floor_top, base),
        *_floor_bore(seat, plan.coupling, floor_top, base),
        *_exit(seat, plan.coupling, wall_mm),
    ]
    return (skin(boss, 0.0),), tuple(skin(cutter, 0.0) for cutter in cutters)


def boss_radius_mm(seat: Seat, plan: CouplingPlan, wall_mm: float) -> float:
    """Radius of the boss: wide enough for the body and for the screws, with a wall round each."""
    corner = plan.screw_square_mm / np.sqrt(2.0) + 0.5 * plan.screw_diameter_mm
    return float(max(_pocket_radius(seat, plan), corner) + wall_mm)


def cavity_of(seat: Seat, model: Mesh) -> Mesh:
    """The lower part of the socket's inside as a closed solid, past the way in for the body.

    Parameters
    ----------
    seat : Seat
    model : Mesh
        Inside of the socket, open at the top, wound outward, limb frame.

    Raises
    ------
    DesignRefused
        When the model cannot be closed to a solid.
    """
    axis = seat.axis
    level = float(axis @ seat.face_mm) - seat.mouth_mm - _CAVITY_ABOVE_MM
    low = _near_end(model, axis, level)
    closed = low if low is not None else _all_closed(model)
    whole = solid(closed, "inside of the socket, closed at the brim,")
    return skin(whole.trim_by_plane(tuple(axis), level), 0.0)


def _near_end(model: Mesh, axis: Vector, level: float) -> Mesh | None:
    """The part of the inside that reaches past a level, closed above it; None if the brim does.

    The cap spans corners above the level alone, so that the cut at the level takes it away again.
    """
    along = model.vertices @ axis
    kept = (along[model.faces] > level).any(axis=1)
    if not kept.any() or kept.all():
        return None
    low = compact(Mesh(model.vertices, model.faces[kept]))
    loops = boundary_loops(low)
    if len(loops) != 1 or float((low.vertices[loops[0]] @ axis).max()) > level:
        return None
    rim, middle = loops[0], len(low.vertices)
    fan = np.column_stack([np.roll(rim, -1), rim, np.full(len(rim), middle)])
    vertices = np.vstack([low.vertices, low.vertices[rim].mean(axis=0)])
    return Mesh(vertices, np.vstack([low.faces, fan]).astype(np.int32))


def _all_closed(model: Mesh) -> Mesh:
    for loop in boundary_loops(model):
        model = fill_hole(model, loop)
    return model


def round_bar(axis: Vector, bottom: Vector, top: Vector, radius_mm: float) -> Mesh:
    """A closed round bar between two points of an axis that points from top to bottom."""
    return skin(_cylinder(axis, bottom, top, radius_mm), 0.0)


def _boss(
    seat: Seat, cavity: Mesh, plan: CouplingPlan, wall_mm: float, base: Vector
) -> manifold3d.Manifold:
    top = seat.face_mm - (seat.mouth_mm + wall_mm) * seat.axis
    boss = _cylinder(seat.axis, base, top, boss_radius_mm(seat, plan, wall_mm))
    bodies = (boss - solid(cavity, "inside of the socket's end")).decompose()
    # where the inside bulges past the boss, slivers beyond it are cut loose: not part of it
    return max(bodies, key=lambda body: float(body.volume()))


def _pocket(seat: Seat, plan: CouplingPlan, floor_top: Vector) -> list[manifold3d.Manifold]:
    """Room for the body, open upward so that it goes in from inside the socket."""
    if plan.kind not in KINDS_WITH_BODY:
        return []
    mouth = seat.face_mm - (seat.mouth_mm + _OVERLAP_MM) * seat.axis
    return [_cylinder(seat.axis, floor_top, mouth, _pocket_radius(seat, plan))]


def _screw_holes(
    seat: Seat, plan: CouplingPlan, floor_top: Vector, base: Vector
) -> list[manifold3d.Manifold]:
    radius = 0.5 * (plan.screw_diameter_mm + SCREW_CLEARANCE_MM.value)
    holes = []
    for screw in seat.screws_mm - seat.base_mm:
        bottom = base + screw + _OVERLAP_MM * seat.axis
        top = floor_top + screw - _OVERLAP_MM * seat.axis
        holes.append(_cylinder(seat.axis, bottom, top, radius, SEGMENTS // 2))
    return holes


def _floor_bore(
    seat: Seat, plan: CouplingPlan, floor_top: Vector, base: Vector
) -> list[manifold3d.Manifold]:
    """A pin reaches through its lock: the floor gives way to it."""
    pin_mm = coupling_figures(plan).target_diameter_mm.value
    if plan.kind is not CouplingKind.PIN or pin_mm is None:
        return []
    radius = 0.5 * (pin_mm + PIN_BORE_MM.value)
    bottom, top = base + _OVERLAP_MM * seat.axis, floor_top - _OVERLAP_MM * seat.axis
    return [_cylinder(seat.axis, bottom, top, radius, SEGMENTS // 2)]


def _exit(seat: Seat, plan: CouplingPlan, wall_mm: float) -> list[manifold3d.Manifold]:
    """A bore from the axis outward for button, lanyard or valve."""
    if plan.kind not in KINDS_WITH_BODY | KINDS_WITH_VALVE:
        return []
    start = exit_level(seat, plan)
    reach = boss_radius_mm(seat, plan, wall_mm) + 4.0 * wall_mm + 20.0
    end = start + reach * seat.exit_direction
    return [_cylinder(seat.exit_direction, end, start, 0.5 * plan.exit_diameter_mm, SEGMENTS // 2)]


def exit_level(seat: Seat, plan: CouplingPlan) -> Vector:
    """Where the exit starts on the seat's axis: mid-body, or just above the floor for a valve."""
    if plan.kind in KINDS_WITH_BODY:
        along = 0.5 * seat.body_height_mm
    else:
        along = -0.5 * plan.exit_diameter_mm
    return np.asarray(seat.face_mm + along * seat.axis, dtype=np.float64)


def _pocket_radius(seat: Seat, plan: CouplingPlan) -> float:
    if plan.kind not in KINDS_WITH_BODY:
        return 0.0
    return 0.5 * seat.body_diameter_mm + FIT_CLEARANCE_MM.value


def _cylinder(
    axis: Vector, bottom: Vector, top: Vector, radius_mm: float, segments: int = SEGMENTS
) -> manifold3d.Manifold:
    """A round bar between two points of an axis that points from top to bottom."""
    height = float((bottom - top) @ axis)
    place = np.column_stack([_frame(axis), bottom])
    return manifold3d.Manifold.cylinder(height, radius_mm, radius_mm, segments).transform(place)


def _frame(axis: Vector) -> NDArray[np.float64]:
    """Any right-handed frame whose third column is against the axis."""
    up = -axis
    side = np.eye(3)[int(np.abs(up).argmin())]
    first = np.cross(side, up)
    first = first / np.linalg.norm(first)
    return np.column_stack([first, np.cross(up, first), up])
