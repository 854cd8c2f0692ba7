"""The bed of springs as arrays, and how it answers a motion."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from limbwright.core.kernels import reals
from limbwright.core.mesh import Scalars, Vector, Vertices
from limbwright.prove.interface.kernel import resultant, tractions, way_to_contact
from limbwright.prove.interface.stiffness import Stiffness

Motion = NDArray[np.float64]
"""(6,) mm: shift of the reference point, then turn times the bed's length."""


@dataclass(frozen=True, slots=True, eq=False)
class Bed:
    """Springs between limb and socket wall.

    Parameters
    ----------
    reference_mm : (3,) float64, limb frame
        Area centroid of the springs; moments and turns are taken about it.
    length_mm : float
        Root mean square distance of the springs from it: makes turns and shifts comparable.
    points : (n, 3) float64
        Springs relative to the reference, divided by the length.
    normals : (n, 3) float64
        Outward, unit.
    areas_mm2 : (n,) float64
    press_mm : (n,) float64
        How far the socket presses in before any motion; negative = gap.
    normal, along : (n,) float64, MPa/mm
    friction : float
    """

    reference_mm: Vector
    length_mm: float
    points: Vertices
    normals: Vertices
    areas_mm2: Scalars
    press_mm: Scalars
    normal: Scalars
    along: Scalars
    friction: float


@dataclass(frozen=True, slots=True, eq=False)
class BedState:
    """Where the limb stands and what shear is held there.

    Parameters
    ----------
    motion : (6,) float64, mm
    shear_mpa : (n, 3) float64
        Of the springs; the limb feels its opposite.
    """

    motion: Motion
    shear_mpa: Vertices


@dataclass(frozen=True, slots=True, eq=False)
class Answer:
    """The contact's resultant on the limb at one motion, with its stiffness."""

    resultant_n: NDArray[np.float64]
    stiffness: NDArray[np.float64]
    gross_n: float


def make_bed(
    points_mm: Vertices,
    normals: Vertices,
    areas_mm2: Scalars,
    press_mm: Scalars,
    stiffness: Stiffness,
    friction: float,
) -> Bed:
    """A bed from points on the limb's surface, (n, 3) mm, limb frame."""
    share = areas_mm2 / areas_mm2.sum()
    reference = share @ points_mm
    arms = points_mm - reference
    length = float(np.sqrt(share @ np.einsum("ij,ij->i", arms, arms)))
    return Bed(
        reference,
        length,
        reals(arms / length),
        reals(normals),
        reals(areas_mm2),
        reals(press_mm),
        reals(stiffness.normal),
        reals(stiffness.along),
        float(friction),
    )


def at_rest(bed: Bed) -> BedState:
    """The limb where the socket was designed around it, nothing sheared."""
    return BedState(np.zeros(6), np.zeros_like(bed.points))


def answer(bed: Bed, start: BedState, motion: Motion, friction: float) -> Answer:
    """Resultant, stiffness and gross normal force at a motion, remembering the start.

    Arrays are made read-only once more: unpickled ones are not, and would compile the kernel anew.
    """
    force, stiffness, gross = resultant(
        reals(bed.points),
        reals(bed.normals),
        reals(bed.areas_mm2),
        reals(bed.press_mm),
        reals(bed.normal),
        reals(bed.along),
        friction,
        reals(start.shear_mpa),
        reals(start.motion),
        reals(motion),
    )
    return Answer(force, stiffness, gross)


def fields(bed: Bed, start: BedState, motion: Motion, friction: float) -> tuple[Scalars, Vertices]:
    """Pressure (n,) and spring shear (n, 3) at a motion, MPa."""
    return tractions(
        reals(bed.points),
        reals(bed.normals),
        reals(bed.press_mm),
        reals(bed.normal),
        reals(bed.along),
        friction,
        reals(start.shear_mpa),
        reals(start.motion),
        reals(motion),
    )


def full_stiffness(bed: Bed) -> NDArray[np.float64]:
    """Stiffness if every spring touched and none slid, (6, 6) N/mm: the measure of a step."""
    closed = replace(bed, press_mm=np.ones(len(bed.points)))
    return answer(closed, at_rest(bed), np.zeros(6), friction=1e9).stiffness


def reach(bed: Bed, motion: Motion, direction: Motion) -> float:
    """Multiples of a direction until a first spring touches; infinite when none ever does."""
    found = way_to_contact(
        reals(bed.points),
        reals(bed.normals),
        reals(bed.press_mm),
        reals(motion),
        reals(direction),
    )
    return float(found)


class Referred(Protocol):
    """Whatever carries the limb: moments are taken about its reference and told by its length."""

    @property
    def reference_mm(self) -> Vector:
        """Limb frame."""

    @property
    def length_mm(self) -> float:
        """Turns are multiplied by it, moments divided."""


def wrench_about_reference(bed: Referred, force_n: Vector, moment_n_mm: Vector) -> Motion:
    """A wrench about the limb frame's origin as (force, moment about the reference / length)."""
    moment = moment_n_mm - np.cross(bed.reference_mm, force_n)
    return np.concatenate([force_n, moment / bed.length_mm])


def pose_of(bed: Bed, motion: Motion) -> tuple[Vector, Vector]:
    """Shift of the limb frame's origin (mm) and turn (rad)."""
    turn = motion[3:] / bed.length_mm
    return motion[:3] - np.cross(turn, bed.reference_mm), turn
