"""The wall under the reference load by finite elements, to confirm the section properties."""

from __future__ import annotations

import math

import numpy as np

from limbwright.core.mesh import Scalars, Vector, Vertices
from limbwright.prove.handover import handed_from_mm
from limbwright.prove.materials import Allowable, wall_basis, wall_thickness_mm
from limbwright.prove.plan import ProvePlan
from limbwright.prove.rated import rated, weaker_basis
from limbwright.prove.reference_loads import ReferenceLoad
from limbwright.prove.result import Check
from limbwright.prove.strength_findings import NOT_A_TEST, WALL_BY_ELEMENTS
from limbwright.prove.strength_tables import POISSON, Failure
from limbwright.prove.wall import WallRing
from limbwright.prove.wall_elements import displaced, elements_of, face_stress_mpa, principal_mpa
from limbwright.prove.wall_mesh import WallMesh, wall_mesh
from limbwright.shape.places import direction_of, height_words
from limbwright.shape.result import SocketShape
from limbwright.shape.trim import angle_of

COLUMNS = 60
HAND_OVER_MM = 40.0
"""Wall under the trim line's lowest point that is left out."""
_UNIT_MPA = 1000.0


def stress_by_elements(
    mesh: WallMesh, load: ReferenceLoad, failure: Failure, from_mm: float
) -> tuple[Vertices, Vertices]:
    """Greatest shear stress twice over (Tresca) in each brick, and where the bricks are.

    Held where the boss begins; the limb hands the load to the inside above a height, by the same
    traction that the section properties assume.

    Parameters
    ----------
    mesh : WallMesh
    load : ReferenceLoad
    failure : Failure
    from_mm : float
        Where that begins.

    Returns
    -------
    stress_mpa : (m,) float64
    middle_mm : (m, 3) float64
    """
    body = elements_of(mesh.nodes_mm, mesh.hexahedra, _UNIT_MPA, POISSON.value)
    # on both faces alike: a pull along the inside alone would bend the brim's edge
    areas = np.tile(_handed_areas(mesh, from_mm).ravel(), 2)
    middle = areas @ mesh.nodes_mm / areas.sum()
    wanted = -load.force_n(failure)
    moment = load.moment_about(middle, wanted)
    force = spread(mesh.nodes_mm, areas, wanted * load.direction, moment)
    moved = displaced(body, force, mesh.held)
    faces = [principal_mpa(face_stress_mpa(body, moved, outer)) for outer in (False, True)]
    stress = np.max([face[:, 2] - face[:, 0] for face in faces], axis=0)
    return stress, mesh.nodes_mm[mesh.hexahedra].mean(axis=1)


def spread(points_mm: Vertices, areas: Scalars, force_n: Vector, moment_n_mm: Vector) -> Vertices:
    """Forces at points that add up to a force and a moment about their middle, (k, 3) N.

    By each point's area, even for the force, and for the moment as in a rigid turn.

    Parameters
    ----------
    points_mm : (k, 3) float64
    areas : (k,) float64
    force_n, moment_n_mm : (3,) float64
    """
    arms = points_mm - areas @ points_mm / areas.sum()
    second = (arms.T * areas) @ arms
    turn = np.linalg.solve(np.trace(second) * np.eye(3) - second, moment_n_mm)
    return np.asarray(areas[:, None] * (force_n / areas.sum() + np.cross(turn, arms)))


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
    trim = shape.trim.points_mm
    top_mm = float(trim[:, 2].min()) - HAND_OVER_MM
    worst: tuple[float, Vector, ReferenceLoad] | None = None
    for load in loads:
        stress, middle = stress_by_elements(mesh, load, credit.failure, handed_from_mm(trim))
        stress[: 2 * COLUMNS] = 0.0  # held stiffer than the boss is
        # nearer to the brim it would matter how the limb hands its load to the wall
        stress[middle[:, 2] > top_mm] = 0.0
        most = int(stress.argmax())
        if worst is None or stress[most] > worst[0]:
            worst = float(stress[most]), middle[most], load
    if worst is None or worst[0] <= 0.0:
        return None
    return _check(*worst, plan, credit)


def _check(
    stress_mpa: float, point: Vector, load: ReferenceLoad, plan: ProvePlan, credit: Allowable
) -> Check:
    angle = float(angle_of(point))
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


def _handed_areas(mesh: WallMesh, from_mm: float) -> Vertices:
    """Area of the inside round each of its nodes that lies above a height, (rows, columns)."""
    inside = mesh.nodes_mm[mesh.index[0]]
    heights = inside[:, :, 2]
    between = 0.5 * (heights[1:] + heights[:-1])
    edges = np.concatenate([heights[:1], between, heights[-1:]])
    spans = np.diff(np.maximum(edges, from_mm), axis=0)
    across = np.roll(inside, -1, axis=1) - np.roll(inside, 1, axis=1)
    return np.asarray(0.5 * np.hypot(across[:, :, 0], across[:, :, 1]) * spans)
