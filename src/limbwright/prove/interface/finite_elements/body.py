"""The tissue's mesh with its materials, where it is held, and what pulls on it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from limbwright.core.mesh import Scalars
from limbwright.couple.result import Seat
from limbwright.prove.interface.coupling_pull import Surface, pull_of_one_newton
from limbwright.prove.interface.finite_elements.assembly import summed
from limbwright.prove.interface.finite_elements.contact import contact_surface
from limbwright.prove.interface.finite_elements.equilibrium import Model, model_of
from limbwright.prove.interface.finite_elements.hexahedra import bricks_of, moduli_mpa
from limbwright.prove.interface.stiffness import Assumptions
from limbwright.prove.interface.tissue_mesh.mesh import TissueMesh


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


def pull_on_nodes(model: Model, seat: Seat | None, cap_radius_mm: float) -> NDArray[np.float64]:
    """How a pull of one newton along the coupling's axis is spread over the outer nodes.

    Each face takes its part, as `pull_of_one_newton` deals it out, and hands a quarter to each of
    its nodes.

    Parameters
    ----------
    model : Model
    seat : Seat or None
    cap_radius_mm : float

    Returns
    -------
    (n, 3) float64, N per N
    """
    quads, nodes = model.surface.quads, model.nodes_mm
    corner = nodes[quads]
    vectors = 0.5 * np.cross(corner[:, 2] - corner[:, 0], corner[:, 3] - corner[:, 1])
    areas = np.linalg.norm(vectors, axis=1)
    outer = corner.reshape(-1, 3)
    faces = Surface(
        corner.mean(axis=1),
        vectors / areas[:, None],
        areas * model.surface.cover.mean(axis=1),
        outer[int(outer[:, 2].argmin())],
    )
    force = pull_of_one_newton(faces, seat, cap_radius_mm)
    out = np.zeros_like(nodes)
    np.add.at(out, quads.ravel(), np.repeat(0.25 * force, 4, axis=0))
    return out


def on_unknowns(model: Model, forces: NDArray[np.float64]) -> Scalars:
    """Forces on nodes, (n, 3) N, as loads on the unknowns, (u,)."""
    return summed(model.pattern, model.pattern.unknown, forces)
