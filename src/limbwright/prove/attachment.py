"""The distal attachment: four screws, the plate round them and the floor they sit in."""

from __future__ import annotations

import math

import numpy as np

from limbwright.core.mesh import Vector, Vertices
from limbwright.prove.strength_tables import COARSE_PITCH_MM, SCREW_PROOF_MPA, WASHER_MM


def screw_tension_n(screws_mm: Vertices, axis: Vector, moment_n_mm: Vector) -> float:
    """Tension of the most loaded screw of a group that bends about its middle, N.

    T = M·y / Σ y², y the distance from the neutral line through the group's middle. What presses
    the plate on, and the plate's edge as a pivot, are not credited.

    Parameters
    ----------
    screws_mm : (k, 3) float64
    axis : (3,) float64, unit
        Of the screws.
    moment_n_mm : (3,) float64
        Moment at the group; its part about the axis is no bending.
    """
    bending = moment_n_mm - (moment_n_mm @ axis) * axis
    size = float(np.linalg.norm(bending))
    if size == 0.0:
        return 0.0
    arms = (screws_mm - screws_mm.mean(axis=0)) @ np.cross(axis, bending / size)
    return size * float(np.abs(arms).max()) / float(arms @ arms)


def screw_proof_n(diameter_mm: float) -> float | None:
    """Proof load of a class 8.8 screw, N; None for a diameter without a coarse thread.

    Stress area π/4·(d − 0.9382·p)² (ISO 898-1) times the proof stress.
    """
    pitch = COARSE_PITCH_MM.value.get(diameter_mm)
    if pitch is None:
        return None
    return math.pi / 4.0 * (diameter_mm - 0.9382 * pitch) ** 2 * SCREW_PROOF_MPA.value


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
