"""The reference load lines of ISO 10328, placed on this leg.

Limb frame. The standard's u axis runs through the effective centres of ankle and knee: here
through the ankle and the datum, the limb's axis close below the knee. It starts at the floor;
forward is the bench's, squared to it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.align.result import Alignment
from limbwright.assess.iso_10328 import (
    FORCES,
    PLANES_MM,
    Condition,
    TestForces,
    load_line,
    offsets_at,
)
from limbwright.core.mesh import Vector
from limbwright.prove.strength_tables import Failure


@dataclass(frozen=True, slots=True, eq=False)
class ReferenceLoad:
    """One loading condition on this leg.

    Parameters
    ----------
    level : str
        "P3", "P4" or "P5".
    condition : Condition
    point_mm : (3,) float64, limb frame
        Where the load line meets the floor.
    direction : (3,) float64, unit, limb frame
        Of the force on the leg: up along the line.
    forces : TestForces
    own_line : bool
        False where the level borrows another level's offsets.
    """

    level: str
    condition: Condition
    point_mm: Vector
    direction: Vector
    forces: TestForces
    own_line: bool

    @property
    def named(self) -> str:
        """Level and condition in words, with the line that it borrows."""
        borrowed = "" if self.own_line else " (load line of P4: none is established for P3)"
        return f"{self.level} condition {self.condition.value}{borrowed}"

    def force_n(self, failure: Failure) -> float:
        """Ultimate force to be held: the lower for ductile failure, the upper for brittle."""
        if failure is Failure.DUCTILE:
            return self.forces.ultimate_ductile_n
        return self.forces.ultimate_brittle_n

    def moment_about(self, point_mm: Vector, force_n: float) -> Vector:
        """Moment of a force on the line about a point, (3,) N·mm, limb frame."""
        return np.asarray(np.cross(self.point_mm - point_mm, force_n * self.direction))


def reference_loads(level: str, alignment: Alignment) -> tuple[ReferenceLoad, ...]:
    """Both loading conditions of a level on the aligned leg.

    Parameters
    ----------
    level : str
    alignment : Alignment
    """
    axes = reference_axes(alignment)
    ankle = alignment.points_mm["ankle"]
    along_mm = height_over_floor_mm(alignment, ankle) / float(_up(alignment) @ axes[2])
    origin = ankle - along_mm * axes[2]
    loads = []
    for condition in Condition:
        line, own = load_line(level, condition)
        low, high = (
            origin + np.array([o_mm, f_mm, u_mm]) @ axes
            for u_mm in (PLANES_MM.value[0], PLANES_MM.value[2])
            for f_mm, o_mm in [offsets_at(line, u_mm)]
        )
        along = (high - low) / np.linalg.norm(high - low)
        forces = FORCES.value[(level, condition)]
        loads.append(ReferenceLoad(level, condition, low, along, forces, own))
    return tuple(loads)


def reference_axes(alignment: Alignment) -> NDArray[np.float64]:
    """Outward, forward and up of the standard on this leg, as rows in the limb frame, (3, 3)."""
    points = alignment.points_mm
    axis = points["datum"] - points["ankle"]
    axis = axis / np.linalg.norm(axis)
    forward = alignment.forward - (alignment.forward @ axis) * axis
    forward = forward / np.linalg.norm(forward)
    return np.stack([np.cross(forward, axis), forward, axis])


def height_over_floor_mm(alignment: Alignment, point_mm: Vector) -> float:
    """Height of a point of the limb frame over the floor, on the bench."""
    return float((point_mm - alignment.points_mm["sole_centre"]) @ _up(alignment))


def _up(alignment: Alignment) -> Vector:
    return np.asarray(alignment.up / np.linalg.norm(alignment.up))
