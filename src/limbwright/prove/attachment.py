"""The distal attachment: four screws, the plate round them and the floor they sit in."""

from __future__ import annotations

import math

import numpy as np

from limbwright.core.mesh import Scalars, Vector, Vertices
from limbwright.prove.strength_tables import (
    COARSE_PITCH_MM,
    SCREW_PROOF_MPA,
    SCREW_ULTIMATE_MPA,
    WASHER_MM,
)


def screw_tension_n(screws_mm: Vertices, axis: Vector, moment_n_mm: Vector) -> float:
    """Tension of the most loaded screw of a group that bends about its middle, N.

    Parameters
    ----------
    screws_mm, axis, moment_n_mm : as in `screw_tensions_n`
    """
    return float(screw_tensions_n(screws_mm, axis, moment_n_mm).max())


def screw_tensions_n(screws_mm: Vertices, axis: Vector, moment_n_mm: Vector) -> Scalars:
    """Tension of each screw of a group that bends about its middle, (k,) N.

    T = M·y / Σ y², y the distance from the neutral line through the group's middle; negative
    where the plate is pressed on. What presses the plate on, and the plate's edge as a pivot, are
    not credited.

    Parameters
    ----------
    screws_mm : (k, 3) float64
    axis : (3,) float64, unit
        Of the screws.
    moment_n_mm : (3,) float64
        Moment at the group of the force that acts on what is screwed on; its part about the axis
        is no bending.
    """
    bending = moment_n_mm - (moment_n_mm @ axis) * axis
    size = float(np.linalg.norm(bending))
    if size == 0.0:
        return np.zeros(len(screws_mm))
    arms = (screws_mm - screws_mm.mean(axis=0)) @ np.cross(axis, bending / size)
    return np.asarray(size * arms / float(arms @ arms))


def screw_shear_n(screws_mm: Vertices, axis: Vector, force_n: Vector, moment_n_mm: Vector) -> float:
    """Shear of the most loaded screw of a group, N.

    Each screw bears an even part of the force across them, V/k, and of the moment about their
    axis what its distance from the group's middle asks, T·r/Σ r² (elastic group); friction under
    the plate is not credited.

    Parameters
    ----------
    screws_mm : (k, 3) float64
    axis : (3,) float64, unit
        Of the screws.
    force_n, moment_n_mm : (3,) float64
        At the group's middle.
    """
    arms = screws_mm - screws_mm.mean(axis=0)
    arms = arms - np.outer(arms @ axis, axis)
    across = force_n - (force_n @ axis) * axis
    turning = float(moment_n_mm @ axis) * np.cross(axis, arms) / float((arms**2).sum())
    return float(np.linalg.norm(across / len(screws_mm) + turning, axis=1).max())


def screws_together(diameter_mm: float, tension_n: float, shear_n: float) -> float | None:
    """How far a class 8.8 screw is used up in tension and shear together; 1 is all of it.

    Fv/Fv,R + Ft/(1.4·Ft,R) with Fv,R = 0.6·fub·As and Ft,R = 0.9·fub·As (EN 1993-1-8, table 3.4,
    without its partial factor), and not less than the tension alone. None for a diameter without
    a coarse thread.
    """
    area = stress_area_mm2(diameter_mm)
    if area is None:
        return None
    full_n = SCREW_ULTIMATE_MPA.value * area
    tension = tension_n / (0.9 * full_n)
    return max(shear_n / (0.6 * full_n) + tension / 1.4, tension)


def stress_area_mm2(diameter_mm: float) -> float | None:
    """Stress area of a coarse thread, π/4·(d − 0.9382·p)² (ISO 898-1), mm²."""
    pitch = COARSE_PITCH_MM.value.get(diameter_mm)
    return None if pitch is None else math.pi / 4.0 * (diameter_mm - 0.9382 * pitch) ** 2


def clamp_bearing_mpa(
    moment_n_mm: float, force_n: float, outside_mm: float, insert_mm: float
) -> float:
    """Greatest pressure of a tube on the clamp it stands in, 6·M/(D·L²) + V/(D·L), MPa.

    Moment and force are those at the middle of the insert; the pressure falls in a straight line
    along it, as under a stiff post.
    """
    return 6.0 * moment_n_mm / (outside_mm * insert_mm**2) + force_n / (outside_mm * insert_mm)


def screw_proof_n(diameter_mm: float) -> float | None:
    """Proof load of a class 8.8 screw, N; None for a diameter without a coarse thread.

    Stress area times the proof stress (ISO 898-1).
    """
    area = stress_area_mm2(diameter_mm)
    return None if area is None else area * SCREW_PROOF_MPA.value


def pull_through_n(diameter_mm: float, plate_mm: float, shear_mpa: float) -> float | None:
    """Force at which a screw's washer shears through the plate, N: π·d·t·τ.

    None for a diameter without a standard washer.

    Parameters
    ----------
    diameter_mm : float
        Of the screw.
    plate_mm : float
    shear_mpa : float
        Shear strength of the plate round the screw.
    """
    washer = WASHER_MM.value.get(diameter_mm)
    return None if washer is None else math.pi * washer * plate_mm * shear_mpa


def floor_bending_mpa(
    moment_n_mm: float, hub_mm: float, rim_mm: float, thickness_mm: float
) -> float:
    """Greatest bending stress of a round floor that a plate screwed to its middle tilts, MPa.

    Thin plate, clamped at its rim, with a rigid hub that a couple tilts (Kirchhoff):
    w = (A·r + B·r³ + C/r + D·r·ln r)·cos θ with D = M/(4πK), no deflection and no slope at the
    rim, and the hub's slope w/r at the hub. On both circles the radial moment is then −K·w″,
    whatever Poisson's ratio.

    Parameters
    ----------
    moment_n_mm : float
        Couple on the hub, about a diameter.
    hub_mm, rim_mm : float
        Radii of the rigid middle and of the clamped rim. Without a span there is no bending.
    thickness_mm : float
    """
    if rim_mm <= hub_mm:
        return 0.0
    d = moment_n_mm / (4.0 * math.pi)
    # lengths in units of the rim keep the equations well scaled
    hub = hub_mm / rim_mm
    conditions = np.array([[1.0, 1.0, 1.0], [1.0, 3.0, -1.0], [0.0, -2.0 * hub**3, 2.0 / hub]])
    _, b, c = np.linalg.solve(conditions, [0.0, -d, d * hub])
    curvature = [6.0 * b * r + 2.0 * c / r**3 + d / r for r in (hub, 1.0)]
    moment_n = max(abs(float(value)) for value in curvature) / rim_mm
    return 6.0 * moment_n / thickness_mm**2


def floor_shear_mpa(
    moment_n_mm: float, force_n: float, rim_mm: float, thickness_mm: float
) -> float:
    """Greatest shear stress of the floor at its rim, MPa.

    Line shear of a couple, M·cos θ/(π·R²), and of a force, N/(2π·R), over the thickness; one and
    a half times the mean, as in a rectangle.
    """
    line = abs(moment_n_mm) / (math.pi * rim_mm**2) + abs(force_n) / (2.0 * math.pi * rim_mm)
    return 1.5 * line / thickness_mm
