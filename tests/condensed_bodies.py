"""Small limbs for the tests of the live model: tubes, cones and a stump of bricks."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from brick_bodies import BrickBody
from interface_bodies import NO_LINER, limb_of
from limbwright.capture.plan import ScannedOver
from limbwright.capture.result import Limb
from limbwright.core.mesh import Mesh
from limbwright.prove.interface.condensed.live import LIVE, LiveFitted, LivePrepared, prepared_from
from limbwright.prove.interface.stiffness import assumptions_of
from limbwright.prove.interface.tissue_mesh.mesh import TissueMesh
from limbwright.prove.interface.tissue_mesh.quality import MeshQuality
from limbwright.prove.interface.tissue_mesh.weights import split
from limbwright.prove.plan import MeshLevel, TissuePlan
from limbwright.shape.result import SocketShape

UNMEASURED = MeshQuality(0, 0, 0, 1.0, 1.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0, 0, "made for a test")


def mesh_of(body: BrickBody, held: NDArray[np.bool_], level: NDArray[np.bool_]) -> TissueMesh:
    """A body of bricks as bare tissue: nodes held on the bone, and nodes that keep their height."""
    count = len(body.nodes_mm)
    skin_node = np.full(count, -1, np.int32)
    used = np.unique(body.outer)
    skin_node[used] = used
    return TissueMesh(
        body.nodes_mm,
        body.hexahedra,
        np.zeros(len(body.hexahedra), np.int8),
        held,
        level,
        body.outer,
        skin_node,
        MeshLevel.COARSE,
        UNMEASURED,
    )


def limb_around(body: BrickBody) -> Limb:
    """A limb whose surface is the body's outside."""
    used, quads = np.unique(body.outer, return_inverse=True)
    faces = split(quads.reshape(body.outer.shape).astype(np.int32))
    return limb_of(Mesh(body.nodes_mm[used], faces), 10.0)


def prepared_body(
    body: BrickBody,
    held: NDArray[np.bool_],
    level: NDArray[np.bool_],
    friction: float = 0.5,
    tissue: TissuePlan | None = None,
) -> tuple[Limb, LivePrepared]:
    """A limb of bricks without a liner, ready for sockets."""
    limb = limb_around(body)
    liner = NO_LINER.model_copy(update={"friction": friction})
    assumed = assumptions_of(liner, tissue or TissuePlan())
    mesh = mesh_of(body, held, level)
    return limb, prepared_from(limb, liner, ScannedOver.SKIN, mesh, assumed)


def fitted_body(prepared: LivePrepared, shape: SocketShape) -> LiveFitted:
    """The same in a socket."""
    return LIVE.with_socket(prepared, shape)
