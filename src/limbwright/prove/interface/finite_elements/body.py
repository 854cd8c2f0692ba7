"""The tissue's mesh with its materials, where it is held, and what pulls on it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from limbwright.core.mesh import Scalars, Vector
from limbwright.couple.plan import CouplingKind
from limbwright.prove.interface.finite_elements.assembly import summed
from limbwright.prove.interface.finite_elements.contact import contact_surface
from limbwright.prove.interface.finite_elements.equilibrium import Model, model_of
from limbwright.prove.interface.finite_elements.hexahedra import bricks_of, moduli_mpa
from limbwright.prove.interface.stiffness import Assumptions
from limbwright.prove.interface.tissue_mesh.mesh import TissueMesh

CAP_RADIUS_MM = 20.0
"""Of the liner's cap, over which a pin, magnet or lanyard pulls: common practice, no source."""
_BY_AIR = (CouplingKind.SUCTION, CouplingKind.VACUUM)


def body_of(mesh: TissueMesh, assumed: Assumptions, cover: Scalars) -> Model:
    """The mesh as a model: tissue and liner with their moduli, held on the bones and at the top.

    Parameters
    ----------
    mesh : TissueMesh
    assumed : Assumptions
    cover : (n,) float64
        Share of each node that the socket covers, 0 off the outer surface.
    """
    layers = [
        moduli_mpa(layer.modulus_mpa, layer.poisson) for layer in (assumed.tissue, assumed.liner)
    ]
    shear, bulk = (np.array(moduli)[mesh.layer] for moduli in zip(*layers, strict=True))
    held = np.repeat(mesh.held[:, None], 3, axis=1)
    held[mesh.top, 2] = True
    bricks = bricks_of(mesh.nodes_mm, mesh.hexahedra, shear, bulk)
    return model_of(mesh.nodes_mm, bricks, held, contact_surface(mesh.nodes_mm, mesh.outer, cover))


def pull_on_nodes(
    model: Model, kind: CouplingKind | None, cap_mm: Vector, axis: Vector
) -> NDArray[np.float64]:
    """How a pull of one newton along the coupling's axis is spread over the outer nodes.

    A coupling that holds the liner pulls on its cap alone. Air under less than the atmosphere's
    pressure draws on all covered faces of the distal half that look distally, along their normals.

    Parameters
    ----------
    model : Model
    kind : CouplingKind or None
    cap_mm, axis : (3,) float64
        The cap's distal face on the axis; unit, pointing distally.

    Returns
    -------
    (n, 3) float64, N per N
    """
    quads, nodes = model.surface.quads, model.nodes_mm
    corner = nodes[quads]
    normal = 0.5 * np.cross(corner[:, 2] - corner[:, 0], corner[:, 3] - corner[:, 1])
    middle = corner.mean(axis=1)
    along = normal @ axis
    distally = along > 0.5 * np.linalg.norm(normal, axis=1)
    if kind in _BY_AIR:
        drawn = distally & ((middle - model.reference_mm) @ axis > 0)
        force = np.where(drawn, model.surface.cover.mean(axis=1), 0.0)[:, None] * normal
    else:
        off = middle - cap_mm
        away = np.linalg.norm(off - (off @ axis)[:, None] * axis, axis=1)
        near = distally & (away <= max(CAP_RADIUS_MM, float(away[distally].min(initial=0.0))))
        force = np.where(near, along, 0.0)[:, None] * axis
    total = float((force @ axis).sum())
    out = np.zeros_like(nodes)
    if total > 0.0:
        np.add.at(out, quads.ravel(), np.repeat(0.25 * force / total, 4, axis=0))
    return out


def on_unknowns(model: Model, forces: NDArray[np.float64]) -> Scalars:
    """Forces on nodes, (n, 3) N, as loads on the unknowns, (u,)."""
    return summed(model.pattern, model.pattern.unknown, forces)
