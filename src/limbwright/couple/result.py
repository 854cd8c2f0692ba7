"""Where the coupling sits and what fits under it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from limbwright.core.findings import Finding
from limbwright.core.mesh import Mesh, Vector, Vertices
from limbwright.core.sources import Basis


@dataclass(frozen=True, slots=True, eq=False)
class Seat:
    """The coupling's place under the limb, limb frame.

    Parameters
    ----------
    axis : (3,) float64, unit, pointing distally along the coupling's axis
    cap_mm : (3,) float64
        Distal face of the liner cap on the axis.
    face_mm : (3,) float64
        Proximal face of the coupling on the axis: cap + spacing along the axis.
    base_mm : (3,) float64
        Distal face of the coupling body on the axis: where the plate is screwed on.
    screws_mm : (4, 3) float64
        Screw centres in the plane of base_mm.
    exit_direction : (3,) float64, unit, perpendicular to the axis
    tilt_deg, offset_mm : float
        Liner target against coupling axis, unloaded.
    body_diameter_mm, body_height_mm : float
    """

    axis: Vector
    cap_mm: Vector
    face_mm: Vector
    base_mm: Vector
    screws_mm: Vertices
    exit_direction: Vector
    tilt_deg: float
    offset_mm: float
    body_diameter_mm: float
    body_height_mm: float


@dataclass(frozen=True, slots=True)
class HeightItem:
    """One part of the build height; height along the pylon's line."""

    name: str
    height_mm: float
    basis: Basis


@dataclass(frozen=True, slots=True)
class BuildHeight:
    """From datum to floor.

    Parameters
    ----------
    datum_floor_mm : float
    datum_basis : Basis
    items : tuple of HeightItem, proximal first, pylon excluded
    pylon_mm : float
        Length of tube between the clamps' stops that makes the sum exact.
    pylon_minimum_mm : float
    """

    datum_floor_mm: float
    datum_basis: Basis
    items: tuple[HeightItem, ...]
    pylon_mm: float
    pylon_minimum_mm: float


@dataclass(frozen=True, slots=True)
class Withdrawal:
    """Whether the limb or model comes out of the socket along the axis.

    Parameters
    ----------
    catch_mm : float
        Largest interference met on the way out; 0 when it comes free.
    level_mm : float
        Level where it catches.
    angle_deg : float
        Direction of the catch from outward, anti-clockwise.
    """

    catch_mm: float
    level_mm: float
    angle_deg: float


@dataclass(frozen=True, slots=True, eq=False)
class Coupling:
    """The coupling set under the limb, with all it implies.

    Parameters
    ----------
    seat : Seat
    height : BuildHeight
    withdrawal : Withdrawal
    tilt_by_case_deg, offset_by_case_mm : mapping of load case to float
        Filled once poses are known (prove); empty at first.
    additions : tuple of Mesh
        Closed solids to unite with the shell (seat boss), limb frame.
    cutters : tuple of Mesh
        Closed solids to cut from the shell (body pocket, screw holes, exit), limb frame.
    findings : tuple of Finding
    """

    seat: Seat
    height: BuildHeight
    withdrawal: Withdrawal
    tilt_by_case_deg: Mapping[str, float]
    offset_by_case_mm: Mapping[str, float]
    additions: tuple[Mesh, ...]
    cutters: tuple[Mesh, ...]
    findings: tuple[Finding, ...]
