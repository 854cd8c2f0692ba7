"""Newton's method for the tissue and the pose of the socket together.

Far from the balance Coulomb's limits are held as they are in each step. The step is then one of
descent for an energy, and a line search along it cannot fail by sliding and sticking in turn.
Near the balance the change of the limits with the pressure is taken in as well, so that the end
is quadratic; the factors of the symmetric system then serve as preconditioner for the tangent,
and are kept as long as they serve well.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from limbwright.core.mesh import Scalars
from limbwright.prove.interface.finite_elements.assembly import (
    Pattern,
    add,
    assemble,
    spread,
    summed,
    times,
)
from limbwright.prove.interface.finite_elements.contact import SocketPose, Touch, rest_product
from limbwright.prove.interface.finite_elements.equilibrium import (
    Demand,
    Imbalance,
    Model,
    Standing,
    imbalance,
    measure,
)
from limbwright.prove.interface.finite_elements.linear_solver import Factors
from limbwright.prove.interface.socket_field import SocketField

Watch = Callable[[Imbalance, Standing], None]
"""Told after each step; raise from it to cancel."""

_NEAR = 0.3
"""Unbalanced share from which, after a whole step, the change of Coulomb's limits is taken in."""
_PATIENCE = 16
"""Steps after which it is taken in from far as well: a limb that slides all over its socket, more
steeply than the wall leans, is not found with limits that follow behind."""
_LEAST_VOLUME = 0.02
"""Smallest change of volume J that a step may lead to."""
_FLATTER = 0.1
"""A step is taken whole when the energy's slope along it is not steeper upward than this share."""
_GONE_MM = 100.0
"""A limb that moved so far in its socket is not in it any longer."""
_INNER_TOLERANCE = 3e-3
_INNER_STEPS = 12


@dataclass(frozen=True, slots=True)
class Effort:
    """How hard Newton's method may try.

    Parameters
    ----------
    tolerance : float
        Share of the contact force that may be left unbalanced at the nodes, and of the load in
        the pose.
    most_steps : int
    longest_step_mm : float
    """

    tolerance: float = 2e-4
    most_steps: int = 25
    longest_step_mm: float = 6.0


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """An equilibrium.

    Parameters
    ----------
    standing : Standing
        With what contact is to remember.
    contact : Touch
    share : float
        Largest unbalanced share: of the contact force at the nodes, of the load in the pose.
    steps, factorings : int
    gross_n : float
        Sum of the sizes of all contact forces.
    """

    standing: Standing
    contact: Touch
    share: float
    steps: int
    factorings: int
    gross_n: float


class NoBalance(Exception):
    """Newton's method did not find the equilibrium.

    Parameters
    ----------
    standing : Standing
        Where it ended.
    share : float
    steps, factorings : int
    element : int
        Element with the smallest change of volume.
    smallest_change : float
        That change, J; not positive = turned inside out.
    gone : bool
        Whether the limb left its socket.
    """

    def __init__(self, standing: Standing, last: Imbalance, steps: int, factorings: int) -> None:
        super().__init__(f"unbalanced share {last.share:.2g} after {steps} steps")
        self.standing, self.share = standing, last.share
        self.steps, self.factorings = steps, factorings
        self.element = int(last.response.smallest_change.argmin())
        self.smallest_change = float(last.response.smallest_change[self.element])
        self.gone = _gone(standing)


@dataclass(frozen=True, slots=True, eq=False)
class Bordered:
    """The tissue's symmetric system, bordered by the free components of the pose.

    Parameters
    ----------
    entries : (z,) float64
        Of the symmetric part.
    border, below : (u, f) and (f, u) float64
    corner : (f, f) float64
    """

    entries: Scalars
    border: NDArray[np.float64]
    below: NDArray[np.float64]
    corner: NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Solver:
    """A bordered system whose tissue part has been factored.

    Parameters
    ----------
    factors : Factors
    flexible : (u, f) float64
        The tissue's answer to the border.
    below : (f, u) float64
    corner : (f, f) float64
        What is left for the pose.
    """

    factors: Factors
    flexible: NDArray[np.float64]
    below: NDArray[np.float64]
    corner: NDArray[np.float64]

    def solve(self, right: NDArray[np.float64]) -> NDArray[np.float64]:
        """Tissue and pose for a right-hand side, (u + f,)."""
        count = len(self.flexible)
        tissue = self.factors.solve(right[:count])
        if not len(self.corner):
            return tissue
        pose = np.linalg.solve(self.corner, right[count:] - self.below @ tissue)
        return np.concatenate([tissue - self.flexible @ pose, pose])


def find_equilibrium(
    model: Model,
    field: SocketField,
    start: Standing,
    demand: Demand,
    factors: Factors,
    effort: Effort,
    watch: Watch | None = None,
) -> Found:
    """The equilibrium nearest to a standing whose contact memory is kept throughout.

    Raises
    ------
    NoBalance
    """
    standing = start
    solver: Solver | None = None
    near, factorings = False, 0
    for number in range(effort.most_steps + 1):
        now = imbalance(model, field, standing, demand, coupled=near)
        if watch is not None:
            watch(now, standing)
        if now.share < effort.tolerance:
            remembered = replace(standing, memory=now.contact.memory)
            return Found(remembered, now.contact, now.share, number, factorings, now.gross_n)
        if number == effort.most_steps or _gone(standing):
            break
        system = _bordered(model, now, demand)
        right = -np.concatenate([now.nodes_n, _scaled(model, now.pose, demand)])
        step = None
        if near and solver is not None:
            step = _exact_step(model, now, system, solver, right)
        if step is None:
            fresh = solver = _factored(factors, system)
            factorings += 1
            if near:
                step = _exact_step(model, now, system, fresh, right)
            step = fresh.solve(right) if step is None else step
        search = _shortened if near and number > _PATIENCE else _searched
        standing, share_taken = search(model, field, standing, now, demand, step, effort)
        close = share_taken == 1.0 and now.share < _NEAR
        near = demand.law.friction > 0.0 and (close or number >= _PATIENCE)
    raise NoBalance(standing, now, number, factorings)


def _gone(standing: Standing) -> bool:
    return float(np.linalg.norm(standing.pose.shift_mm)) > _GONE_MM


def _bordered(model: Model, now: Imbalance, demand: Demand) -> Bordered:
    pattern, blocks = model.pattern, now.blocks
    entries = assemble(pattern, now.response.tangent)
    add(pattern, model.contact_unknowns, blocks.symmetric, entries)
    free = np.flatnonzero(demand.free)
    scale = measure(model)[free]
    border, below = np.zeros((pattern.unknowns, len(free))), np.zeros((len(free), pattern.unknowns))
    for column, component in enumerate(free):
        to_pose, by_pose = blocks.to_pose[:, :, component], blocks.by_pose[:, component]
        border[:, column] = summed(pattern, model.contact_unknowns, to_pose) / scale[column]
        below[column] = summed(pattern, model.contact_unknowns, by_pose) / scale[column]
    corner = blocks.pose[np.ix_(free, free)] / np.outer(scale, scale)
    return Bordered(entries, border, below, corner)


def _scaled(model: Model, pose: NDArray[np.float64], demand: Demand) -> NDArray[np.float64]:
    return np.asarray((pose / measure(model))[demand.free])


def _factored(factors: Factors, system: Bordered) -> Solver:
    factors.factor(system.entries)
    if not len(system.corner):
        return Solver(factors, system.border, system.below, system.corner)
    flexible = factors.solve(system.border)
    corner = system.corner - system.below @ flexible
    # a limb that nothing holds yet moves along its load, and not without bounds
    least = 1e-6 * max(float(np.abs(corner).max()), 1.0)
    return Solver(factors, flexible, system.below, corner + least * np.eye(len(corner)))


def _exact_step(
    model: Model, now: Imbalance, system: Bordered, solver: Solver, right: NDArray[np.float64]
) -> NDArray[np.float64] | None:
    """The step of the exact tangent, by GMRES; None when the factors do not serve for it."""
    count = model.pattern.unknowns

    def product(vector: NDArray[np.float64]) -> NDArray[np.float64]:
        back = solver.solve(vector)
        tissue, pose = back[:count], back[count:]
        nodes = times(model.pattern, system.entries, tissue) + system.border @ pose
        nodes += rest_product(model.surface, model.contact_unknowns, now.contact, tissue)
        return np.concatenate([nodes, system.below @ tissue + system.corner @ pose])

    found = _gmres(product, right)
    return None if found is None else solver.solve(found)


def _gmres(
    product: Callable[[NDArray[np.float64]], NDArray[np.float64]], right: NDArray[np.float64]
) -> NDArray[np.float64] | None:
    """A few steps of GMRES; None when they do not suffice.

    SciPy's works one vector at a time through threads that cost more than the sums of this size.
    """
    size = float(np.linalg.norm(right))
    basis = np.zeros((_INNER_STEPS + 1, len(right)))
    reduced = np.zeros((_INNER_STEPS + 1, _INNER_STEPS))
    basis[0] = right / size
    for k in range(_INNER_STEPS):
        ahead = product(basis[k])
        for _ in range(2):  # once more for what rounding left
            along = np.einsum("ij,j->i", basis[: k + 1], ahead)
            ahead -= np.einsum("ij,i->j", basis[: k + 1], along)
            reduced[: k + 1, k] += along
        reduced[k + 1, k] = np.sqrt(np.einsum("i,i->", ahead, ahead))
        wanted = np.zeros(k + 2)
        wanted[0] = size
        small = reduced[: k + 2, : k + 1]
        share = np.linalg.lstsq(small, wanted, rcond=None)[0]
        if np.linalg.norm(small @ share - wanted) <= _INNER_TOLERANCE * size:
            return np.asarray(np.einsum("ij,i->j", basis[: k + 1], share))
        basis[k + 1] = ahead / reduced[k + 1, k]
    return None


def _searched(
    model: Model,
    field: SocketField,
    standing: Standing,
    now: Imbalance,
    demand: Demand,
    step: NDArray[np.float64],
    effort: Effort,
) -> tuple[Standing, float]:
    """How far to go along a step: to where the energy's slope along it is small or gone.

    Coulomb's limits are held, so that there is an energy (Wriggers 2006, Computational Contact
    Mechanics, section 5; the slope is that of the residual along the step).
    """
    count = model.pattern.unknowns
    turned = np.zeros(6)
    turned[demand.free] = step[count:] / measure(model)[demand.free]
    longest = max(float(np.abs(step).max()), 1e-12)
    share = min(1.0, effort.longest_step_mm / longest)
    limit = demand.law.friction * now.contact.pressure_mpa
    slope = step[:count] @ now.nodes_n + turned @ now.pose
    low, low_slope = 0.0, slope
    for _ in range(8):
        ahead = _moved(model.pattern, standing, share * step[:count], share * turned)
        then = imbalance(model, field, ahead, demand, tangent=False, limit_mpa=limit)
        if then.response.smallest_change.min() <= _LEAST_VOLUME:
            share = low + 0.5 * (share - low)
            continue
        there = step[:count] @ then.nodes_n + turned @ then.pose
        if there <= _FLATTER * abs(slope):
            break
        span = share - low
        share = low + span * float(np.clip(-low_slope / (there - low_slope), 0.1, 0.9))
        if there < 0.5 * abs(slope):
            ahead = _moved(model.pattern, standing, share * step[:count], share * turned)
            break
    return ahead, share


def _shortened(
    model: Model,
    field: SocketField,
    standing: Standing,
    now: Imbalance,
    demand: Demand,
    step: NDArray[np.float64],
    effort: Effort,
) -> tuple[Standing, float]:
    """How far to go along a step of the exact tangent: to where less is out of balance."""
    count = model.pattern.unknowns
    turned = np.zeros(6)
    turned[demand.free] = step[count:] / measure(model)[demand.free]
    share = min(1.0, effort.longest_step_mm / max(float(np.abs(step).max()), 1e-12))
    best, least = standing, np.inf
    best_share = 0.0
    for _ in range(5):
        ahead = _moved(model.pattern, standing, share * step[:count], share * turned)
        then = imbalance(model, field, ahead, demand, tangent=False)
        if then.response.smallest_change.min() > _LEAST_VOLUME:
            if then.share < least:
                best, least, best_share = ahead, then.share, share
            if then.share < (1.0 - 0.25 * share) * now.share:
                break
        share *= 0.5
    return best, best_share


def _moved(
    pattern: Pattern, standing: Standing, tissue: Scalars, turned: NDArray[np.float64]
) -> Standing:
    rotation = Rotation.from_rotvec(turned[3:]).as_matrix() @ standing.pose.rotation
    return replace(
        standing,
        displacement_mm=standing.displacement_mm + spread(pattern, tissue),
        pose=SocketPose(standing.pose.shift_mm + turned[:3], rotation),
    )
