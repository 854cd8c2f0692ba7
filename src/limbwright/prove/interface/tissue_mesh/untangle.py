"""Badly formed elements mended: nodes near them tried at places around, the best one kept.

What is kept is the place with the largest of the smallest scaled Jacobians of the elements
around the node, so no mesh comes out worse than it went in. Nodes on bone slide on it, nodes of
skin, liner and cut plane stay.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from limbwright.core.kernels import indices, kernel
from limbwright.core.mesh import Scalars, Vertices
from limbwright.prove.interface.tissue_mesh.quality import EDGES, Hexahedra, scaled_jacobians

WANTED = 0.25
"""Elements below this scaled Jacobian are worked on."""
_ROUNDS = 30
_REACH = (0.5, 0.2, 0.07)
"""How far places are tried, in mean lengths of the edges at the node, round by round."""
_WAYS = np.array(
    [
        (a, b, c)
        for a in (-1.0, 0.0, 1.0)
        for b in (-1.0, 0.0, 1.0)
        for c in (-1.0, 0.0, 1.0)
        if (a, b, c) != (0.0, 0.0, 0.0)
    ]
)
_WAYS /= np.linalg.norm(_WAYS, axis=1, keepdims=True)


def untangled(
    nodes_mm: Vertices,
    hexahedra: Hexahedra,
    movable: NDArray[np.bool_],
    on_bone: NDArray[np.bool_],
    placed: Callable[[Vertices], Vertices],
) -> Vertices:
    """Nodes (n, 3) mm after badly formed elements were mended.

    Parameters
    ----------
    nodes_mm : (n, 3) float64, mm
    hexahedra : (m, 8) int32
    movable : (n,) bool
    on_bone : (n,) bool
        Movable nodes that must stay on the bone.
    placed : callable
        Brings points (k, 3) onto the bone.
    """
    nodes = np.array(nodes_mm)
    owner = hexahedra.ravel()
    order = np.argsort(owner, kind="stable")
    starts = np.concatenate([[0], np.cumsum(np.bincount(owner, minlength=len(nodes)))])
    around = indices(order // 8)
    for turn in range(_ROUNDS):
        bad = scaled_jacobians(nodes, hexahedra) < WANTED
        chosen = np.unique(hexahedra[bad])
        chosen = chosen[movable[chosen]]
        if len(chosen) == 0:
            break
        tries = _tries(nodes, hexahedra, chosen, _REACH[turn % len(_REACH)])
        slide = on_bone[chosen]
        if slide.any():
            tries[slide] = placed(tries[slide].reshape(-1, 3)).reshape(-1, tries.shape[1], 3)
        _take_best(nodes, hexahedra, indices(starts), around, chosen, tries, EDGES)
    return nodes


def _tries(
    nodes: Vertices, hexahedra: Hexahedra, chosen: NDArray[np.int32], reach: float
) -> NDArray[np.float64]:
    """Places to try for each chosen node, (k, places, 3): its neighbours' mean and all around."""
    mean, size = _neighbours(nodes, hexahedra, chosen)
    around = nodes[chosen][:, None] + reach * size[:, None, None] * _WAYS
    toward = nodes[chosen] + 0.5 * (mean - nodes[chosen])
    return np.concatenate([mean[:, None], toward[:, None], around], axis=1)


def _neighbours(
    nodes: Vertices, hexahedra: Hexahedra, chosen: NDArray[np.int32]
) -> tuple[Vertices, Scalars]:
    """Mean of the nodes along edges and mean length of these edges, by chosen node."""
    place = np.full(len(nodes), -1)
    place[chosen] = np.arange(len(chosen))
    corner, which = np.nonzero(place[hexahedra] >= 0)
    own = hexahedra[corner, which]
    total, length, count = np.zeros((len(chosen), 3)), np.zeros(len(chosen)), np.zeros(len(chosen))
    for end in range(3):
        other = hexahedra[corner, EDGES[which, end]]
        np.add.at(total, place[own], nodes[other])
        np.add.at(length, place[own], np.linalg.norm(nodes[other] - nodes[own], axis=1))
        np.add.at(count, place[own], 1.0)
    return total / count[:, None], length / count


@kernel
def _corner_volume(
    nodes: Vertices, cell: NDArray[np.int32], corner: int, edges: NDArray[np.int64]
) -> float:
    """Scaled Jacobian of one corner."""
    ax = np.empty((3, 3))
    for e in range(3):
        size = 0.0
        for d in range(3):
            ax[e, d] = nodes[cell[edges[corner, e]], d] - nodes[cell[corner], d]
            size += ax[e, d] ** 2
        size = np.sqrt(size) + 1e-300
        for d in range(3):
            ax[e, d] /= size
    volume: float = (
        ax[0, 0] * (ax[1, 1] * ax[2, 2] - ax[1, 2] * ax[2, 1])
        + ax[0, 1] * (ax[1, 2] * ax[2, 0] - ax[1, 0] * ax[2, 2])
        + ax[0, 2] * (ax[1, 0] * ax[2, 1] - ax[1, 1] * ax[2, 0])
    )
    return volume


@kernel
def _worst_around(
    nodes: Vertices,
    hexahedra: Hexahedra,
    starts: NDArray[np.int32],
    around: NDArray[np.int32],
    node: int,
    edges: NDArray[np.int64],
) -> float:
    worst = 2.0
    for at in range(starts[node], starts[node + 1]):
        for corner in range(8):
            worst = min(worst, _corner_volume(nodes, hexahedra[around[at]], corner, edges))
    return worst


@kernel
def _take_best(
    nodes: Vertices,
    hexahedra: Hexahedra,
    starts: NDArray[np.int32],
    around: NDArray[np.int32],
    chosen: NDArray[np.int32],
    tries: NDArray[np.float64],
    edges: NDArray[np.int64],
) -> None:
    """Move nodes one after the other to the best of their places, if it is better."""
    for n in range(len(chosen)):
        node = chosen[n]
        best = _worst_around(nodes, hexahedra, starts, around, node, edges)
        keep = nodes[node].copy()
        for k in range(tries.shape[1]):
            nodes[node] = tries[n, k]
            now = _worst_around(nodes, hexahedra, starts, around, node, edges)
            if now > best + 1e-9:
                best = now
                keep[:] = tries[n, k]
        nodes[node] = keep
