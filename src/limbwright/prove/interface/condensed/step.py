"""One linear step of the contact problem: tractions and motion together, by GMRES.

The unknowns are the change d of the traction at each place (socket frame) and of the motion q. The
body's answer u = C f is one product with the compliance; all else is local, 3 x 3 at each place.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from limbwright.core.kernels import kernel, reals
from limbwright.prove.interface.condensed.compressed import Compressed, multiply

Reals = NDArray[np.float64]


class Linear(NamedTuple):
    """The linearised problem at one stand (socket frame).

    Rows of places: own d - place u + motion q = left; rows of the wrench: Σ arm d + Σ turn u
    + whole q = wrench_left.

    Parameters
    ----------
    own, place : (n, 3, 3)
    motion : (n, 3, 6)
    arm : (n, 6, 3)
    turn : (n, 3, 3)
        Into the last three rows of the wrench.
    whole : (6, 6)
    weights : (n,)
    rotation : (3, 3)
    self_compliance : (n, 3, 3), mm/N, socket frame
        What a place yields to itself besides the broad ways.
    compliance : Compressed
    broad : (3 n, k) float64
        Its broad ways, limb frame.
    """

    own: Reals
    place: Reals
    motion: Reals
    arm: Reals
    turn: Reals
    whole: Reals
    weights: Reals
    rotation: Reals
    self_compliance: Reals
    compliance: Compressed
    broad: Reals


class Step(NamedTuple):
    """A change of traction and displacement, (n, 3) in the socket frame, and of motion, (6,)."""

    traction: Reals
    displaced: Reals
    motion: Reals
    products: int


def linear_step(
    linear: Linear,
    left: Reals,
    wrench_left: Reals,
    free: NDArray[np.int64],
    tolerance: float,
    most: int,
) -> Step:
    """Solve the linearised problem to a share of its right-hand side."""
    count = len(left)
    total = float(linear.weights.sum())
    size = np.sqrt(linear.weights / total)
    size[size == 0.0] = 1.0
    near = _local(linear, free)
    directions: list[Reals] = []
    answers: list[Reals] = []
    motions: list[Reals] = []

    def operate(vector: Reals) -> Reals:
        rows = vector[: 3 * count].reshape(count, 3) / size[:, None]
        change, motion = near(rows, vector[3 * count :] * total)
        force = (change @ linear.rotation) * linear.weights[:, None]
        moved = multiply(linear.compliance, force) @ linear.rotation.T
        rows = np.empty_like(change)
        wrench = _rows(
            linear.own,
            linear.place,
            linear.motion,
            linear.arm,
            linear.turn,
            change,
            moved,
            motion,
            rows,
        )
        wrench += linear.whole @ motion
        directions.append(change)
        answers.append(moved)
        motions.append(motion)
        return np.concatenate([(rows * size[:, None]).ravel(), wrench[free] / total])

    right = np.concatenate([(left * size[:, None]).ravel(), wrench_left[free] / total])
    shares = gmres(operate, right, tolerance, most)
    return Step(
        np.tensordot(shares, np.array(directions[: len(shares)]), 1),
        np.tensordot(shares, np.array(answers[: len(shares)]), 1),
        np.tensordot(shares, np.array(motions[: len(shares)]), 1),
        len(directions),
    )


def _local(
    linear: Linear, free: NDArray[np.int64]
) -> Callable[[Reals, Reals], tuple[Reals, Reals]]:
    """The same problem with each place yielding to itself and in broad ways, solved exactly.

    The body's answer is taken as u = D f + B z, z = Bᵀ f, with D each place's own yield less what
    B tells of it. Places are eliminated by themselves; z and the motion are left.
    """
    count, turned, flat = len(linear.own), linear.rotation, linear.broad
    ways = flat.shape[1]
    own = linear.self_compliance * linear.weights[:, None, None]
    inverse = reals(np.linalg.inv(linear.own - linear.place @ own))
    moved = inverse @ linear.motion
    pressed = inverse @ linear.place @ turned
    arm = linear.arm.copy()
    arm[:, 3:] += linear.turn @ own
    small = np.zeros((ways + 6, ways + 6))
    by_ways = _blocks_times(reals(pressed), flat)
    forces = _blocks_times(reals(linear.weights[:, None, None] * (turned.T @ pressed)), flat)
    small[:ways, :ways] = np.eye(ways) - flat.T @ forces
    drawn = (linear.weights[:, None, None] * (turned.T @ moved)).reshape(3 * count, 6)
    small[:ways, ways:] = flat.T @ drawn
    gather = arm.transpose(1, 0, 2).reshape(6, 3 * count)
    small[ways:, :ways] = gather @ by_ways
    small[ways + 3 :, :ways] += (linear.turn @ turned).transpose(1, 0, 2).reshape(3, -1) @ flat
    small[ways:, ways:] = linear.whole - gather @ moved.reshape(3 * count, 6)
    kept = np.concatenate([np.arange(ways), ways + free])
    back = np.linalg.inv(small[np.ix_(kept, kept)])

    def apply(rows: Reals, wrench: Reals) -> tuple[Reals, Reals]:
        change = np.empty_like(rows)
        gathered = _invert(inverse, arm, rows, change)
        force = (change @ turned) * linear.weights[:, None]
        found = back @ np.concatenate([flat.T @ force.ravel(), wrench - gathered[free]])
        motion = np.zeros(6)
        motion[free] = found[ways:]
        change += (by_ways @ found[:ways]).reshape(count, 3)
        _less_moved(moved, motion, change)
        return change, motion

    return apply


def gmres(operate: Callable[[Reals], Reals], right: Reals, tolerance: float, most: int) -> Reals:
    """Shares of the directions met, so that the residual falls to a share of the right side.

    Saad and Schultz 1986, SIAM J Sci Stat Comput 7:856, orthogonalised twice.
    """
    norm = float(np.linalg.norm(right))
    if norm == 0.0:
        return np.zeros(0)
    basis = np.empty((most + 1, len(right)))
    basis[0] = right / norm
    triangle, turns = np.zeros((most, most)), np.zeros((most, 2))
    goal = np.zeros(most + 1)
    goal[0] = norm
    k = 0
    while True:
        found = operate(basis[k])
        column = np.zeros(k + 2)
        for _ in range(2):
            shares = basis[: k + 1] @ found
            found = found - shares @ basis[: k + 1]
            column[: k + 1] += shares
        column[k + 1] = np.linalg.norm(found)
        for j in range(k):
            c, s = turns[j]
            column[j], column[j + 1] = (
                c * column[j] + s * column[j + 1],
                c * column[j + 1] - s * column[j],
            )
        radius = float(np.hypot(column[k], column[k + 1]))
        turns[k] = column[k] / radius, column[k + 1] / radius
        triangle[: k + 1, k] = column[: k + 1]
        triangle[k, k] = radius
        goal[k + 1] = -turns[k, 1] * goal[k]
        goal[k] = turns[k, 0] * goal[k]
        beyond = column[k + 1]
        k += 1
        if abs(goal[k]) <= tolerance * norm or k == most or beyond <= 1e-14 * norm:
            return np.asarray(np.linalg.solve(triangle[:k, :k], goal[:k]))
        basis[k] = found / beyond


@kernel
def _rows(
    own: Reals,
    place: Reals,
    motion: Reals,
    arm: Reals,
    turn: Reals,
    change: Reals,
    moved: Reals,
    move: Reals,
    rows: Reals,
) -> Reals:
    wrench = np.zeros(6)
    for i in range(own.shape[0]):
        for a in range(3):
            s = 0.0
            for b in range(3):
                s += own[i, a, b] * change[i, b] - place[i, a, b] * moved[i, b]
            for b in range(6):
                s += motion[i, a, b] * move[b]
            rows[i, a] = s
        for a in range(6):
            for b in range(3):
                wrench[a] += arm[i, a, b] * change[i, b]
        for a in range(3):
            for b in range(3):
                wrench[3 + a] += turn[i, a, b] * moved[i, b]
    return wrench


@kernel
def _invert(inverse: Reals, arm: Reals, rows: Reals, change: Reals) -> Reals:
    gathered = np.zeros(6)
    for i in range(inverse.shape[0]):
        for a in range(3):
            change[i, a] = (
                inverse[i, a, 0] * rows[i, 0]
                + inverse[i, a, 1] * rows[i, 1]
                + inverse[i, a, 2] * rows[i, 2]
            )
        for a in range(6):
            for b in range(3):
                gathered[a] += arm[i, a, b] * change[i, b]
    return gathered


@kernel
def _blocks_times(blocks: Reals, columns: Reals) -> Reals:
    out = np.empty(columns.shape)
    for i in range(blocks.shape[0]):
        for a in range(3):
            for b in range(columns.shape[1]):
                out[3 * i + a, b] = (
                    blocks[i, a, 0] * columns[3 * i, b]
                    + blocks[i, a, 1] * columns[3 * i + 1, b]
                    + blocks[i, a, 2] * columns[3 * i + 2, b]
                )
    return out


@kernel
def _less_moved(moved: Reals, motion: Reals, change: Reals) -> None:
    for i in range(moved.shape[0]):
        for a in range(3):
            for b in range(6):
                change[i, a] -= moved[i, a, b] * motion[b]
