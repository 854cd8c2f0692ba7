"""The wall under the reference load by finite elements, to confirm the section properties."""

from __future__ import annotations

import math

import numpy as np

from limbwright.core.mesh import Vector, Vertices
from limbwright.prove.materials import Allowable, wall_basis, wall_thickness_mm
from limbwright.prove.plan import ProvePlan
from limbwright.prove.rated import rated, weaker_basis
from limbwright.prove.reference_loads import ReferenceLoad
from limbwright.prove.result import Check
from limbwright.prove.strength_findings import NOT_A_TEST, WALL_BY_ELEMENTS
from limbwright.prove.strength_tables import POISSON, Failure
from limbwright.prove.wall import TURN, WallRing
from limbwright.prove.wall_elements import displaced, elements_of, face_stress_mpa, principal_mpa
from limbwright.prove.wall_mesh import WallMesh, wall_mesh
from limbwright.shape.places import direction_of, height_words
from limbwright.shape.result import SocketShape

COLUMNS = 60
HAND_OVER_MM = 40.0
"""Wall under the trim line's lowest point that is left out."""
_UNIT_MPA = 1000.0


def stress_by_elements(
    mesh: WallMesh, load: ReferenceLoad, failure: Failure, low_mm: float, high_mm: float
) -> tuple[Vertices, Vertices]:
    """Greatest shear stress twice over (Tresca) in each brick, and where the bricks are.

    Held where the boss begins; the limb takes the load evenly between two heights, as the section
    properties assume, each row of the wall its part of the force on the load line.

    Parameters
    ----------
    mesh : WallMesh
    load : ReferenceLoad
    failure : Failure
    low_mm, high_mm : float
        Lowest and highest point of the trim line.

    Returns
    -------
    stress_mpa : (m,) float64
    middle_mm : (m, 3) float64
    """
    body = elements_of(mesh.nodes_mm, mesh.hexahedra, _UNIT_MPA, POISSON.value)
    force = np.zeros(mesh.nodes_mm.shape)
    shares = _shares(mesh, low_mm, high_mm)
    for row, share in enumerate(shares):
        if share > 0.0:
            nodes = mesh.index[:, row].ravel()
            middle = mesh.nodes_mm[nodes].mean(axis=0)
            wanted = -share * load.force_n(failure)
            moment = load.moment_about(middle, wanted)
            force[nodes] += spread(mesh.nodes_mm[nodes], wanted * load.direction, moment)
    moved = displaced(body, force, mesh.held)
    faces = [principal_mpa(face_stress_mpa(body, moved, outer)) for outer in (False, True)]
    stress = np.max([face[:, 2] - face[:, 0] for face in faces], axis=0)
    return stress, mesh.nodes_mm[mesh.hexahedra].mean(axis=1)


def spread(points_mm: Vertices, force_n: Vector, moment_n_mm: Vector) -> Vertices:
    """Forces at points that add up to a force and a moment about their middle, (k, 3) N.

    Even parts of the force, and those of the moment in proportion to a rigid turn.

    Parameters
    ----------
    points_mm : (k, 3) float64
    force_n, moment_n_mm : (3,) float64
    """
    arms = points_mm - points_mm.mean(axis=0)
    inertia = float((arms**2).sum()) * np.eye(3) - arms.T @ arms
    turn = np.linalg.solve(inertia, moment_n_mm)
    return np.asarray(force_n / len(points_mm) + np.cross(turn, arms))


def confirmed_check(
    shape: SocketShape,
    below: tuple[WallRing, ...],
    loads: tuple[ReferenceLoad, ...],
    plan: ProvePlan,
    credit: Allowable,
) -> Check | None:
    """The wall's greatest stress by finite elements; None without closed wall deep enough.

    From where the boss begins up to where it no longer matters how the limb hands over its load:
    slopes and hollows of the wall, which section properties leave out, are in it.

    Parameters
    ----------
    shape : SocketShape
    below : tuple of WallRing
    loads : tuple of ReferenceLoad
    plan : ProvePlan
    credit : Allowable

    Raises
    ------
    NotConverged
        When the wall folds over itself.
    """
    if len(below) < 2:
        return None
    mesh = wall_mesh(shape, below, wall_thickness_mm(plan), COLUMNS)
    heights = shape.trim.points_mm[:, 2]
    worst: tuple[float, Vector, ReferenceLoad] | None = None
    for load in loads:
        stress, middle = stress_by_elements(
            mesh, load, credit.failure, float(heights.min()), float(heights.max())
        )
        stress[: 2 * COLUMNS] = 0.0  # held stiffer than the boss is
        # nearer to the brim it would matter how the limb hands its load to the wall
        stress[middle[:, 2] > float(heights.min()) - HAND_OVER_MM] = 0.0
        most = int(stress.argmax())
        if worst is None or stress[most] > worst[0]:
            worst = float(stress[most]), middle[most], load
    if worst is None or worst[0] <= 0.0:
        return None
    return _check(*worst, plan, credit)


def _check(
    stress_mpa: float, point: Vector, load: ReferenceLoad, plan: ProvePlan, credit: Allowable
) -> Check:
    angle = float(np.mod(np.arctan2(point[1], point[0]), TURN))
    text = (
        f"Wall of {wall_thickness_mm(plan):.1f} mm by finite elements, from the boss up to"
        f" {HAND_OVER_MM:g} mm under the trim line's lowest point, slopes and hollows included,"
        f" twice the greatest shear stress, under {load.named} at"
        f" {load.force_n(credit.failure):.0f} N: {credit.says}. {NOT_A_TEST}."
    )
    return rated(
        WALL_BY_ELEMENTS,
        f"{height_words(float(point[2]))}, {direction_of(angle)} wall",
        stress_mpa,
        credit.wall_mpa,
        "MPa",
        weaker_basis(credit, wall_basis(plan)),
        credit.source,
        text,
        point_mm=point,
        angle_deg=math.degrees(angle),
    )


def _shares(mesh: WallMesh, low_mm: float, high_mm: float) -> Vertices:
    """Part of the load that the limb takes at each row, by the row's mean height; in all 1."""
    heights = mesh.nodes_mm[mesh.index[0], 2].mean(axis=1)
    edges = np.concatenate([[-np.inf], 0.5 * (heights[1:] + heights[:-1]), [np.inf]])
    inside = np.clip(edges, low_mm, high_mm)
    spans = np.diff(inside)
    if spans.sum() <= 0.0:
        spans[-1] = 1.0  # a level trim line: all at the brim
    return np.asarray(spans / spans.sum())
