"""Axes under the limb: of its distal part, of the coupling's seat, and where they come out."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.core.errors import DesignRefused
from limbwright.core.kernels import indices, kernel, reals
from limbwright.core.mesh import Faces, Mesh, Scalars, Vector, Vertices
from limbwright.core.slicing import slice_moments
from limbwright.couple.plan import CouplingPlan, SeatAxis

DISTAL_PART = (0.4, 0.95)
"""Part of the length below the datum in which sections are taken for the distal axis."""
SOCKET_PART = (0.1, 0.95)
"""The same for the axis of the socket's inside: nearly all that closes round the limb."""
SHAFT_SHARE = 0.6
"""Sections smaller than this share of the largest belong to the rounded end, whose middle wanders
with the shape of the pad and says nothing of the limb's direction."""
_LEVELS = 28
_SLACK = 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """A directed line.

    Parameters
    ----------
    point_mm : (3,) float64, limb frame
    direction : (3,) float64, unit, pointing distally
    """

    point_mm: Vector
    direction: Vector


def distal_axis(surface: Mesh, part: tuple[float, float] = DISTAL_PART) -> Line:
    """The line through the middles of the distal limb's sections, its rounded end left out.

    Parameters
    ----------
    surface : Mesh
        Limb surface, open at the top, limb frame.
    part : (float, float)
        Part of the length below the datum in which sections are taken.

    Raises
    ------
    DesignRefused
        When the limb does not reach below the datum, or its sections do not close.
    """
    length_mm = -float(surface.vertices[:, 2].min())
    if length_mm <= 0.0:
        raise DesignRefused(
            "The limb does not reach below the mid-patellar tendon; check the landmarks."
        )
    levels = -length_mm * np.linspace(*part, _LEVELS)
    sections = slice_moments(surface, levels)
    closed = (sections.area_mm2 > 0.0) & (sections.gap_mm == 0.0)
    if closed.sum() < 3:
        raise DesignRefused("The limb's distal half has holes; repair the scan there.")
    shaft = closed & (sections.area_mm2 >= SHAFT_SHARE * sections.area_mm2[closed].max())
    centres = np.column_stack([sections.centroid_mm, levels])[shaft]
    middle = centres.mean(axis=0)
    direction = np.linalg.svd(centres - middle)[2][0]
    return Line(middle, direction * -math.copysign(1.0, direction[2]))


def tilted(forward_deg: float, inward_deg: float) -> Vector:
    """Direction of an axis whose distal end is tilted forward and inward."""
    forward, inward = math.radians(forward_deg), math.radians(inward_deg)
    return np.array(
        [
            -math.sin(inward),
            math.cos(inward) * math.sin(forward),
            -math.cos(inward) * math.cos(forward),
        ]
    )


def seat_line(plan: CouplingPlan, distal: Line) -> Line:
    """The line of an axis that the limb alone gives, before any offset.

    The limb's own axis runs down the middle of the limb frame; the distal and a chosen axis run
    through the middle of the distal limb.
    """
    if plan.axis is SeatAxis.LIMB:
        return Line(np.zeros(3), np.array([0.0, 0.0, -1.0]))
    if plan.axis is SeatAxis.CHOSEN:
        return Line(distal.point_mm, tilted(plan.tilt_forward_deg, plan.tilt_inward_deg))
    return distal


def shifted(line: Line, plan: CouplingPlan) -> Line:
    """A line moved square to itself by the plan's offsets."""
    outward, forward, _ = seat_frame(line.direction).T
    shift = plan.offset_o_mm * outward + plan.offset_f_mm * forward
    return Line(line.point_mm + shift, line.direction)


def seat_frame(axis: Vector) -> NDArray[np.float64]:
    """Outward, forward and up of a part seated on an axis, as columns, (3, 3), limb frame.

    Up is against the distal axis; forward is the limb's forward, squared to it.
    """
    up = -axis / np.linalg.norm(axis)
    forward = np.array([0.0, 1.0, 0.0]) - up[1] * up
    forward = forward / np.linalg.norm(forward)
    return np.column_stack([np.cross(forward, up), forward, up])


def exit_direction(axis: Vector, angle_deg: float) -> Vector:
    """Direction square to a seat's axis at an angle from outward, anti-clockwise, (3,) unit."""
    outward, forward, _ = seat_frame(axis).T
    angle = math.radians(angle_deg)
    return np.asarray(math.cos(angle) * outward + math.sin(angle) * forward, dtype=np.float64)


def leaves_at(mesh: Mesh, line: Line, what: str) -> Vector:
    """Where a line leaves a surface at its distal end, (3,) mm.

    Parameters
    ----------
    mesh : Mesh
    line : Line
    what : str
        Name of the surface, for the message.

    Raises
    ------
    DesignRefused
        When the line passes beside the surface.
    """
    along = meetings_mm(mesh, line)
    if len(along) == 0:
        raise DesignRefused(
            f"The coupling's axis passes beside the end of the {what}; lessen its offset or tilt."
        )
    return np.asarray(line.point_mm + along.max() * line.direction, dtype=np.float64)


def meetings_mm(mesh: Mesh, line: Line) -> Scalars:
    """Where a line meets a surface, along it from its point, (k,) mm, in the faces' order.

    One line is met by looking at every triangle: for so few, a tree would cost more to build than
    it saves.
    """
    local = (mesh.vertices - line.point_mm) @ seat_frame(line.direction)
    return _meetings(reals(local), indices(mesh.faces))


@kernel
def _meetings(points: Vertices, faces: Faces) -> Scalars:
    """Where triangles meet the third axis, against it, by their barycentric weights."""
    found = np.empty(faces.shape[0])
    count = 0
    for t in range(faces.shape[0]):
        a, b, c = faces[t, 0], faces[t, 1], faces[t, 2]
        ax, ay, bx, by = points[a, 0], points[a, 1], points[b, 0], points[b, 1]
        cx, cy = points[c, 0], points[c, 1]
        wa, wb, wc = bx * cy - by * cx, cx * ay - cy * ax, ax * by - ay * bx
        whole = wa + wb + wc
        if whole == 0.0:
            continue
        # a little slack, so that no line slips through between two triangles
        if min(wa / whole, wb / whole, wc / whole) < -_SLACK:
            continue
        up = (wa * points[a, 2] + wb * points[b, 2] + wc * points[c, 2]) / whole
        found[count] = -up
        count += 1
    return found[:count]
