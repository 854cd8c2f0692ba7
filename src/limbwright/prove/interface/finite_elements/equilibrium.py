"""Displacement of the tissue and pose of the socket at which everything balances."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from limbwright.core.kernels import indices
from limbwright.core.mesh import Scalars, Vector, Vertices
from limbwright.prove.interface.finite_elements.assembly import (
    Pattern,
    pattern_of,
    summed,
)
from limbwright.prove.interface.finite_elements.contact import (
    Blocks,
    ContactLaw,
    ContactMemory,
    ContactSurface,
    SocketPose,
    Touch,
    blocks_of,
    touch,
)
from limbwright.prove.interface.finite_elements.hexahedra import Bricks, Response, respond
from limbwright.prove.interface.socket_field import SocketField
from limbwright.prove.tables import LEAST_LOAD_N

ALL = np.ones(6, dtype=bool)
NONE = np.zeros(6, dtype=bool)
ACROSS_AND_TILT = np.array([True, True, False, True, True, False])
"""All but moving along the long axis and turning about it."""


@dataclass(frozen=True, slots=True, eq=False)
class Model:
    """Tissue and liner on bones that stand still, ready to meet a socket.

    Parameters
    ----------
    nodes_mm : (n, 3) float64, mm, limb frame
    bricks : Bricks
    pattern : Pattern
    surface : ContactSurface
    contact_unknowns : (k, 12) int32
        Unknowns of each contact face.
    reference_mm : (3,) float64, mm
        Middle of the contact surface: the pose turns about it.
    length_mm : float
        Root mean square distance of the contact surface from it: makes turns and shifts
        comparable.
    """

    nodes_mm: Vertices
    bricks: Bricks
    pattern: Pattern
    surface: ContactSurface
    contact_unknowns: NDArray[np.int32]
    reference_mm: Vector
    length_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class Standing:
    """Where everything stands, and what contact remembers.

    Parameters
    ----------
    displacement_mm : (n, 3) float64, mm
    pose : SocketPose
    memory : ContactMemory or None
        None before the socket was first let go: no shear is held.
    """

    displacement_mm: Vertices
    pose: SocketPose
    memory: ContactMemory | None


@dataclass(frozen=True, slots=True, eq=False)
class Demand:
    """What is to be in balance.

    Parameters
    ----------
    law : ContactLaw
    free : (6,) bool
        Components of the pose (shift, turn) that may change.
    wrench : (6,) float64, N and N·mm, about the model's reference
        That contact must exert on the limb, in the free components.
    pull_n : (u,) float64, N
        Load on the limb's unknowns beside contact.
    scale_n : float
        Size of the load that imbalance is measured against; 0 takes the gross contact force.
    """

    law: ContactLaw
    free: NDArray[np.bool_]
    wrench: NDArray[np.float64]
    pull_n: Scalars
    scale_n: float = 0.0


class Imbalance(NamedTuple):
    """What is out of balance at a standing, with all that its change needs."""

    nodes_n: Scalars
    pose: NDArray[np.float64]
    share: float
    gross_n: float
    response: Response
    contact: Touch
    blocks: Blocks


def model_of(
    nodes_mm: Vertices, bricks: Bricks, held: NDArray[np.bool_], surface: ContactSurface
) -> Model:
    """Put a model together.

    Parameters
    ----------
    nodes_mm : (n, 3) float64, mm
    bricks : Bricks
    held : (n, 3) bool
        True where a node may not move along an axis.
    surface : ContactSurface
    """
    pattern = pattern_of(bricks.hexahedra, held)
    unknowns = pattern.unknown[surface.quads].reshape(len(surface.quads), 12)
    weight = (surface.areas_mm2 * surface.cover).ravel()
    points = (surface.shapes @ nodes_mm[surface.quads]).reshape(-1, 3)
    middle = weight @ points / weight.sum()
    spread_mm2 = weight @ ((points - middle) ** 2).sum(axis=1) / weight.sum()
    return Model(
        nodes_mm, bricks, pattern, surface, indices(unknowns), middle, float(np.sqrt(spread_mm2))
    )


def at_rest(model: Model) -> Standing:
    """Nothing deformed, the socket where it was designed."""
    return Standing(np.zeros_like(model.nodes_mm), SocketPose(np.zeros(3), np.eye(3)), None)


def imbalance(
    model: Model,
    field: SocketField,
    standing: Standing,
    demand: Demand,
    *,
    tangent: bool = True,
    coupled: bool = False,
    limit_mpa: NDArray[np.float64] | None = None,
) -> Imbalance:
    """What is out of balance.

    At the nodes: internal forces, plus what contact exerts on the socket, less the pull. In the
    pose: what contact must exert on the limb, less what it exerts.

    Parameters
    ----------
    model, field, standing, demand
    tangent, coupled : bool
        Whether stiffness is wanted, and whether with the change of Coulomb's limit.
    limit_mpa : (k, q) float64, optional
        Shear that contact points may hold at most; Coulomb's limit when not given.
    """
    response = respond(model.bricks, standing.displacement_mm, tangent=tangent)
    contact = touch(
        model.surface,
        field,
        model.nodes_mm + standing.displacement_mm,
        model.reference_mm,
        standing.pose,
        standing.memory,
        demand.law,
        limit_mpa,
    )
    blocks = blocks_of(model.surface, contact, tangent=tangent, coupled=coupled)
    pattern = model.pattern
    inner = summed(pattern, pattern.element_unknowns, response.force_n)
    wall = summed(pattern, model.contact_unknowns, blocks.force_n)
    nodes = inner + wall - demand.pull_n
    pose = np.where(demand.free, -blocks.wrench - demand.wrench, 0.0)
    weights = model.surface.areas_mm2 * model.surface.cover
    gross = float((weights * np.linalg.norm(contact.traction_mpa, axis=-1)).sum())
    scale = demand.scale_n or max(gross, LEAST_LOAD_N.value)
    in_pose = np.abs(pose / measure(model)).max() / scale
    at_nodes = np.linalg.norm(nodes) / max(float(np.linalg.norm(wall)), 1e-3 * scale)
    share = float(max(in_pose, at_nodes))
    return Imbalance(nodes, pose, share, gross, response, contact, blocks)


def measure(model: Model) -> NDArray[np.float64]:
    """What moments are divided by, and turns multiplied by, to be like forces and shifts."""
    return np.array([1.0, 1.0, 1.0, model.length_mm, model.length_mm, model.length_mm])
