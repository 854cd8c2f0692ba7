"""What each place carries and whether it holds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.core.findings import Finding
from limbwright.core.mesh import Scalars, Vector, Vertices
from limbwright.core.sources import Basis, Source
from limbwright.prove.pressure_result import (
    AgainstMeasured,
    BalanceAnswer,
    Carried,
    Comparison,
    ContactReading,
    PlaceReading,
    Uncertainty,
    WhatIf,
)


@dataclass(frozen=True, slots=True, eq=False)
class Pose:
    """How the limb stands in the socket, relative to the shape as designed.

    Parameters
    ----------
    shift_mm : (3,) float64
        Of the limb frame's origin, (o, f, u); u negative = the limb sinks.
    turn_rad : (3,) float64
        Small rotation vector about (o, f, u).
    """

    shift_mm: Vector
    turn_rad: Vector


@dataclass(frozen=True, slots=True)
class AreaPressure:
    """What one area carries in one load case.

    Parameters
    ----------
    area : str
        AreaName value, or "rest of wall", "distal end".
    mean_kpa : float
        Area mean over the part with weight >= 0.5.
    peak_kpa : float
        Largest mean over any 1 cm2 inside the area.
    force_n : tuple of 3 floats
        Resultant on the limb (o, f, u).
    limit_kpa : float or None
    limit_source : Source or None
    share : float or None
        peak / limit.
    """

    area: str
    mean_kpa: float
    peak_kpa: float
    force_n: tuple[float, float, float]
    limit_kpa: float | None
    limit_source: Source | None
    share: float | None


@dataclass(frozen=True, slots=True, eq=False)
class CasePressure:
    """Pressure of one load case.

    Parameters
    ----------
    load_case : str
    pressure_mpa : (n,) float64
        Per vertex of `Limb.surface`; 0 above the trim line and where there is no contact.
    shear_mpa : (n, 3) float64
        Traction on the limb along the surface.
    pose : Pose
    areas : tuple of AreaPressure
    contact_share : float
        Share of the surface below the trim line that is in contact.
    residual : float
        Largest unbalanced share of the load (force and moment, scaled): below 1e-3.
    iterations : int
    """

    load_case: str
    pressure_mpa: Scalars
    shear_mpa: Vertices
    pose: Pose
    areas: tuple[AreaPressure, ...]
    contact_share: float
    residual: float
    iterations: int


@dataclass(frozen=True, slots=True, eq=False)
class InterfaceResult:
    """Interface pressure of all load cases by one engine.

    Parameters
    ----------
    engine : str
        "spring_bed" for the first estimate.
    label : str
        Shown wherever a number of it is shown: "first estimate ...".
    cases : tuple of CasePressure
    """

    engine: str
    label: str
    cases: tuple[CasePressure, ...]


@dataclass(frozen=True, slots=True)
class Check:
    """One strength or suspension check.

    Parameters
    ----------
    name : str
    place : str
    demand, capacity : float or None
        In `unit`; capacity None = not established.
    unit : str
    margin : float or None
        capacity / demand.
    required_margin : float
    capacity_basis : Basis
    capacity_source : Source or None
    text : str
    point_mm : tuple of 3 floats or None
        Where on the leg, limb frame.
    level_mm : float or None
        Below the datum.
    angle_deg : float or None
        Round the limb's axis, from outward, anti-clockwise seen from above.
    """

    name: str
    place: str
    demand: float | None
    capacity: float | None
    unit: str
    margin: float | None
    required_margin: float
    capacity_basis: Basis
    capacity_source: Source | None
    text: str
    point_mm: tuple[float, float, float] | None = None
    level_mm: float | None = None
    angle_deg: float | None = None


@dataclass(frozen=True, slots=True)
class SwingCurve:
    """Pull of the prosthesis on its suspension through swing.

    Parameters
    ----------
    swing_percent : tuple of float
        From the foot leaving the ground to the heel's contact.
    pull_n : tuple of float
        Along the shank, away from the knee.
    lean_deg : tuple of float
        Of the shank, foot forward positive.
    bound_n : float
        Hand bound, straight down and turning fastest with the knee unaccelerated.
    peak_n, peak_percent : float
    """

    swing_percent: tuple[float, ...]
    pull_n: tuple[float, ...]
    lean_deg: tuple[float, ...]
    bound_n: float
    peak_n: float
    peak_percent: float


@dataclass(frozen=True, slots=True)
class SuspensionDetail:
    """What the picture of suspension is drawn from.

    Parameters
    ----------
    mass_kg : float
        That hangs on the suspension, shoe included.
    mass_basis : Basis
    centre_of_mass_mm : float
        Below the knee's axis.
    speed_m_s : float
    swing : SwingCurve
    hold_n : float or None
        None where nothing is established.
    pistoning_mm : float or None
        How far the limb rises out of the socket from standing to swing, by the pressure model;
        None without both load cases.
    pistoning_rank : int
        Of the kind in published comparisons, 1 moves least, 4 most.
    """

    mass_kg: float
    mass_basis: Basis
    centre_of_mass_mm: float
    speed_m_s: float
    swing: SwingCurve
    hold_n: float | None
    pistoning_mm: float | None
    pistoning_rank: int


@dataclass(frozen=True, slots=True)
class SectionForces:
    """What the leg carries at each level under one loading condition, from the brim down.

    Parameters
    ----------
    condition : str
        "I" (heel) or "II" (forefoot).
    level : str
        "P3", "P4" or "P5".
    force_n : float
        On the load line.
    part : tuple of str
        "socket" or "pylon", one for each level.
    level_mm : tuple of float
        Below the datum, along the limb's axis.
    height_mm : tuple of float
        Over the floor, on the bench.
    axial_n : tuple of float
        Pressing along the limb's axis in the socket and along the tube in the pylon.
    shear_n : tuple of float
        Across it.
    bending_n_m, sagittal_n_m, coronal_n_m : tuple of float
        Size, and its parts about the standard's outward and forward axes.
    torsion_n_m : tuple of float
        About the axis, anti-clockwise seen from above positive.
    """

    condition: str
    level: str
    force_n: float
    part: tuple[str, ...]
    level_mm: tuple[float, ...]
    height_mm: tuple[float, ...]
    axial_n: tuple[float, ...]
    shear_n: tuple[float, ...]
    bending_n_m: tuple[float, ...]
    sagittal_n_m: tuple[float, ...]
    coronal_n_m: tuple[float, ...]
    torsion_n_m: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class WallLevel:
    """The wall at one level under the worse condition.

    Parameters
    ----------
    level_mm : float
        Below the datum.
    stress_mpa : float
    share : float or None
        Of what the wall is credited with; None where nothing is established.
    angle_deg : float
        Where round the wall, from outward, anti-clockwise.
    condition : str
    closed : bool
        False above the trim line's lowest point, or beside a hole.
    area_mm2 : float
        Of the wall that is cut.
    """

    level_mm: float
    stress_mpa: float
    share: float | None
    angle_deg: float
    condition: str
    closed: bool
    area_mm2: float


@dataclass(frozen=True, slots=True)
class WeakestPlace:
    """Where the leg is used up most, by this estimate.

    Parameters
    ----------
    check : str
        Name of the check.
    place : str
    share : float
        Demand over capacity.
    point_mm : tuple of 3 floats or None
        Limb frame.
    level_mm, angle_deg : float or None
        Below the datum; round the axis from outward, anti-clockwise.
    """

    check: str
    place: str
    share: float
    point_mm: tuple[float, float, float] | None
    level_mm: float | None
    angle_deg: float | None


@dataclass(frozen=True, slots=True, eq=False)
class StrengthDetail:
    """What the picture of strength is drawn from.

    Parameters
    ----------
    forces : tuple of SectionForces
        Both conditions.
    wall : tuple of WallLevel, from the brim down
    weakest : WeakestPlace or None
        None where no place is established.
    wall_share : (n,) float64
        Per vertex of `Limb.surface`: stress over what the wall is credited with; NaN where the
        wall was not looked at or nothing is established.
    """

    forces: tuple[SectionForces, ...]
    wall: tuple[WallLevel, ...]
    weakest: WeakestPlace | None
    wall_share: Scalars


@dataclass(frozen=True, slots=True, eq=False)
class Proof:
    """All proofs of a case.

    Parameters
    ----------
    interface : InterfaceResult
    suspension : tuple of Check
    strength : tuple of Check
    covered : (n,) bool
        Vertices of `Limb.surface` that take part in contact.
    coupling_tilt_deg, coupling_offset_mm : mapping of load case to float
        Liner target against coupling axis with the pose of each case.
    findings : tuple of Finding
    readings : tuple of PlaceReading
        Areas and anatomical places.
    carried : tuple of Carried
    contact : tuple of ContactReading
    measured : tuple of AgainstMeasured
    uncertainty : Uncertainty or None
        None, as the four below, where only the quick part of an evaluation was asked for.
    what_if : tuple of WhatIf
    answer : BalanceAnswer or None
        None also when the donned limb is balanced as it is.
    quick : InterfaceResult or None
        The quick engine's result beside that of the finite elements.
    agreement : Comparison or None
        How far the two agree.
    cautions : tuple of str
        What the pressures rest on, and that they are not validated on people.
    strength_detail : StrengthDetail or None
        None where no reference load was placed.
    suspension_detail : SuspensionDetail or None
    socket_middle_mm : (3,) float64 or None
        Where a push on the limb is told: the middle of what the socket covers, limb frame.
    """

    interface: InterfaceResult
    suspension: tuple[Check, ...]
    strength: tuple[Check, ...]
    covered: NDArray[np.bool_]
    coupling_tilt_deg: Mapping[str, float]
    coupling_offset_mm: Mapping[str, float]
    findings: tuple[Finding, ...]
    readings: tuple[PlaceReading, ...] = ()
    carried: tuple[Carried, ...] = ()
    contact: tuple[ContactReading, ...] = ()
    measured: tuple[AgainstMeasured, ...] = ()
    uncertainty: Uncertainty | None = None
    what_if: tuple[WhatIf, ...] = ()
    answer: BalanceAnswer | None = None
    quick: InterfaceResult | None = None
    agreement: Comparison | None = None
    cautions: tuple[str, ...] = ()
    strength_detail: StrengthDetail | None = None
    suspension_detail: SuspensionDetail | None = None
    socket_middle_mm: Vector | None = None
