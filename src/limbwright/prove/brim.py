"""The brim forced open sideways: how far it gives and how it is stressed, by finite elements."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.core.mesh import Vector, Vertices, vertex_areas, vertex_normals
from limbwright.core.sources import Basis
from limbwright.core.wording import words
from limbwright.prove.materials import Allowable, wall_basis, wall_thickness_mm
from limbwright.prove.plan import ProvePlan
from limbwright.prove.rated import rated, weaker_basis
from limbwright.prove.result import Check, InterfaceResult
from limbwright.prove.strength_findings import BRIM
from limbwright.prove.strength_tables import BRIM_RESERVE, HAND_OPENING_N, POISSON
from limbwright.prove.wall import WallRing
from limbwright.prove.wall_elements import (
    displaced,
    elements_of,
    face_stress_mpa,
    principal_mpa,
)
from limbwright.prove.wall_mesh import wall_mesh
from limbwright.shape.places import direction_of, height_words
from limbwright.shape.result import SocketShape
from limbwright.shape.trim import angle_of

COLUMNS = 40
"""Bricks round the wall: with 90 the stress is 5 % and the opening 4 % greater."""
SIDE_DEG = 36.0
"""The forces are spread over the brim this far to both sides of straight outward and inward."""
LOADED_MM = 25.0
"""Height of brim, from its edge down, that the forces are spread over."""
_UNIT_MPA = 1000.0


@dataclass(frozen=True, slots=True)
class BrimOpening:
    """What a pair of forces across the brim does.

    Parameters
    ----------
    stress_mpa : float
        Greatest principal stress by size, for each newton of the pair.
    opening_per_mpa : float
        By how much the brim opens, mm for each newton, in a material of a modulus of 1 MPa.
    point_mm : (3,) float64
        Where it is stressed most, limb frame.
    """

    stress_mpa: float
    opening_per_mpa: float
    point_mm: Vector


@dataclass(frozen=True, slots=True)
class OpeningForce:
    """A pair of forces that opens the brim.

    Parameters
    ----------
    force_n : float
    says : str
        What it is.
    basis : Basis
    """

    force_n: float
    says: str
    basis: Basis


def brim_opening(
    shape: SocketShape, below: tuple[WallRing, ...], wall_mm: float
) -> BrimOpening | None:
    """Open the brim by a pair of forces at its outer and inner side, held where the boss begins.

    Parameters
    ----------
    shape : SocketShape
    below : tuple of WallRing
        Closed rings of the wall; the lowest is held.
    wall_mm : float

    Returns
    -------
    BrimOpening or None
        None without a closed ring under the brim.

    Raises
    ------
    NotConverged
        When the wall folds over itself.
    """
    if len(below) < 2:
        return None
    mesh = wall_mesh(shape, below, wall_mm, COLUMNS)
    nodes, index = mesh.nodes_mm, mesh.index
    body = elements_of(nodes, mesh.hexahedra, _UNIT_MPA, POISSON.value)
    moved = displaced(body, _pair(nodes, index), mesh.held)
    rim = (0, COLUMNS // 2)
    lateral, medial = (float(moved[index[:, -1, column], 0].mean()) for column in rim)
    stress = np.stack(
        [
            np.abs(principal_mpa(face_stress_mpa(body, moved, outer))).max(axis=1)
            for outer in (False, True)
        ]
    ).max(axis=0)
    stress[: 2 * COLUMNS] = 0.0  # where the wall is held is not where it is held in truth
    worst = int(stress.argmax())
    point = nodes[mesh.hexahedra[worst]].mean(axis=0)
    return BrimOpening(float(stress[worst]), (lateral - medial) * _UNIT_MPA, point)


def opening_force(shape: SocketShape, interface: InterfaceResult | None) -> OpeningForce:
    """What opens the brim: the limb's pressure on both sides of it, or a pair of hands.

    Parameters
    ----------
    shape : SocketShape
    interface : InterfaceResult or None
    """
    hands = OpeningForce(HAND_OPENING_N.value, "pulled apart by hand (assumed)", Basis.DEFAULT)
    if interface is None:
        return hands
    surface = shape.surface
    above = shape.below_trim & (surface.vertices[:, 2] > shape.trim.points_mm[:, 2].min())
    outward = vertex_areas(surface) * vertex_normals(surface)[:, 0] * above
    found = {}
    for case in interface.cases:
        aside = case.pressure_mpa * outward
        found[case.load_case] = min(float(aside[aside > 0].sum()), -float(aside[aside < 0].sum()))
    worst = max(found, key=lambda name: found[name], default=None)
    if worst is None or found[worst] <= hands.force_n:
        return hands
    return OpeningForce(
        found[worst],
        f"pressed apart by the limb in {words(worst)} (by the pressure model)",
        Basis.ESTIMATED,
    )


def brim_check(
    opening: BrimOpening, force: OpeningForce, plan: ProvePlan, credit: Allowable
) -> Check:
    """The brim at twice the force that opens it, beside the strength round the wall.

    Parameters
    ----------
    opening : BrimOpening
    force : OpeningForce
    plan : ProvePlan
    credit : Allowable
    """
    point = opening.point_mm
    angle = float(angle_of(point))
    gives = "how far it gives is not established, since the modulus is not"
    if credit.modulus_mpa is not None:
        gives = f"it gives {force.force_n * opening.opening_per_mpa / credit.modulus_mpa:.1f} mm"
    known = "no strength round the wall is established"
    if credit.round_mpa is not None:
        known = f"{credit.round_mpa:.1f} MPa are credited round the wall"
    text = (
        f"Brim of {wall_thickness_mm(plan):.1f} mm {force.says} with {force.force_n:.0f} N to each"
        f" side, by finite elements of the wall above the boss: {gives}. Held against"
        f" {BRIM_RESERVE.value:g} times that ({BRIM_RESERVE.source.origin.value}); {known}."
        " Not a conformity test"
    )
    return rated(
        BRIM,
        f"{height_words(float(point[2]))}, {direction_of(angle)} wall",
        BRIM_RESERVE.value * force.force_n * opening.stress_mpa,
        credit.round_mpa,
        "MPa",
        weaker_basis(credit, wall_basis(plan), force.basis),
        credit.source,
        text,
        point_mm=point,
        angle_deg=math.degrees(angle),
    )


def _pair(nodes: Vertices, index: NDArray[np.intp]) -> Vertices:
    """One newton outward over the brim's outer side and one inward over its inner side."""
    force = np.zeros(nodes.shape)
    reach = round(SIDE_DEG / 360.0 * COLUMNS)
    near = np.arange(-reach, reach + 1)
    inner = nodes[index[0]]
    upper = inner[:, :, 2] >= inner[-1, :, 2] - LOADED_MM
    for middle, sign in ((0, 1.0), (COLUMNS // 2, -1.0)):
        columns = (middle + near) % COLUMNS
        side = index[0][:, columns][upper[:, columns]]
        force[side, 0] = sign / len(side)
    return force
