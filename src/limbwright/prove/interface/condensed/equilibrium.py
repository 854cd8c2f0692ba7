"""Where the body, pressed by the wall, carries a load: Newton's method on tractions and motion."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from limbwright.core.kernels import reals
from limbwright.core.mesh import Scalars, Vector, Vertices
from limbwright.prove.interface.condensed.compressed import Compressed, multiply
from limbwright.prove.interface.condensed.contact import project
from limbwright.prove.interface.condensed.motion import cross_matrices, rotation_of
from limbwright.prove.interface.condensed.step import Linear, Step, linear_step
from limbwright.prove.interface.socket_field import SocketField, penetration
from limbwright.prove.tables import LEAST_LOAD_N, SMALL_MOTION_SHIFT_MM

Reals = NDArray[np.float64]

TARGET = 1e-4
"""Unbalanced share, of the wrench and of the tractions, at which iteration ends."""
ACCEPTED = 1e-3
"""Largest unbalanced share of the load that counts as equilibrium."""
ALL = np.arange(6)
_MOST_STEPS = 60
_MOST_PRODUCTS = 60
_SOLVED = 0.03
"""Share of its right-hand side to which a linear step is solved."""
_OF_TARGET, _SOLVED_BETWEEN = 0.2, (0.005, 0.1)
"""The same where a search may end sooner: this share of what it has to come down to."""
_LONGEST_STEP_MM = 8.0
_SHARES_OF_STEP = (1.0, 0.6, 0.35, 0.2, 0.1)
_ENOUGH = 0.7
"""A step that leaves less than this share of the unbalance is taken at once."""
_PATIENT_STEPS = 8
"""Steps after which half of what is accepted is good enough: places at the verge of sliding."""
_BARE_MM = -1e3
"""Stands for the depth of a place that the socket does not cover."""
_RISING = (0.2, 0.5, 0.8, 1.0)
"""Shares of friction over which a search that did not settle is led once more."""
_FIRST_DAMPING, _LEAST_DAMPING = 1e-3, 1e-9
_DRIVEN = 0.05
"""Unbalanced share of the wrench from which the limb must not move against its load."""
_OUT_OF_REACH_MM = 400.0
_TOUCH_MM = 0.02


@dataclass(frozen=True, slots=True, eq=False)
class Contact:
    """What can touch the wall, and how it yields.

    Parameters
    ----------
    points_mm : (n, 3) float64, limb frame
        Places of the unloaded body.
    weights_mm2 : (n,) float64
        Surface under the socket that each place stands for.
    compliance : Compressed, mm/N
        Of the whole body, these places first.
    own : (n, 3, 3) float64, mm/N
        Its blocks on the diagonal.
    broad : (3 n, k) float64
        Its broad ways, see `compressed.broad_ways`.
    narrow : (n, 3, 3) float64, mm/N
        What a place yields to itself besides them.
    field : SocketField
    reference_mm : (3,) float64, limb frame
        Moments and turns are about it.
    length_mm : float
        Root mean square distance of the places from it: makes turns and shifts comparable.
    softness : (n,) float64, mm/MPa
        Of the contact layer, see `contact.project`.
    along_mpa_mm : float
    friction : float
    """

    points_mm: Vertices
    weights_mm2: Scalars
    compliance: Compressed
    own: Reals
    broad: Reals
    narrow: Reals
    field: SocketField
    reference_mm: Vector
    length_mm: float
    softness: Scalars
    along_mpa_mm: float
    friction: float


@dataclass(frozen=True, slots=True, eq=False)
class Stand:
    """How the limb stands in the socket, and what acts on it.

    Parameters
    ----------
    shift_mm : (3,) float64
        Of the reference point.
    rotation : (3, 3) float64
        From limb axes to socket axes.
    traction_mpa : (n, 3) float64, limb frame
    displaced_mm : (n, 3) float64, limb frame
        Of the places against the bones.
    """

    shift_mm: Vector
    rotation: Reals
    traction_mpa: Vertices
    displaced_mm: Vertices


@dataclass(frozen=True, slots=True, eq=False)
class Memory:
    """What friction remembers of the last equilibrium.

    Parameters
    ----------
    place_mm : (n, 3) float64, socket frame
    shear_mpa : (n, 3) float64, socket frame
        On the limb.
    depth_mm : (n,) float64
        In the wall; negative = open.
    displaced_mm : (n, 3) float64, limb frame
    """

    place_mm: Vertices
    shear_mpa: Vertices
    depth_mm: Scalars
    displaced_mm: Vertices


class Demand(NamedTuple):
    """What contact must exert on the limb.

    Parameters
    ----------
    wrench : (6,) float64, N
        Force and moment about the reference / length, along the limb's axes.
    scale_n : float
        Size that what is left is measured against; 0 takes the gross contact force.
    friction : float
    free : (k,) int
        Components of the motion that may change.
    target : float
        Unbalanced share at which iteration ends.
    """

    wrench: Reals
    scale_n: float
    friction: float
    free: NDArray[np.int64]
    target: float = TARGET


class Look(NamedTuple):
    """Contact at one stand, socket frame."""

    place: Vertices
    traction: Vertices
    left: Vertices
    normal: Vertices
    depth: Scalars
    by_traction: Reals
    by_place: Reals
    by_motion: Reals
    wrench: Reals
    wrench_left: Reals
    gross_n: float
    refused_n: float


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """Where the search ended.

    Parameters
    ----------
    stand : Stand
    look : Look
    share : float
        Largest unbalanced part of the wrench as a share of the load.
    local : float
        What contact still refuses of the tractions as a share of their sum.
    iterations : int
    products : int
        Products with the compliance.
    """

    stand: Stand
    look: Look
    share: float
    local: float
    iterations: int
    products: int


def at_rest(contact: Contact, pulled_mm: Vertices) -> Stand:
    """The limb where the socket was designed around it, nothing touching."""
    return Stand(np.zeros(3), np.eye(3), np.zeros_like(contact.points_mm), pulled_mm)


def yielded(contact: Contact, force_n: Vertices) -> Vertices:
    """Displacement of the places by forces on them, limb frame, (n, 3) mm."""
    return multiply(contact.compliance, force_n)


def remember(found: Found, *, shear: bool = True) -> Memory:
    """What the next load case starts from; without `shear` all of it is let go."""
    seen = found.look
    pressure = -np.einsum("ni,ni->n", seen.traction, seen.normal)
    held = seen.traction + pressure[:, None] * seen.normal
    held[pressure <= 0] = 0.0
    depth = np.where(pressure > 0, np.maximum(seen.depth, 0.0), np.minimum(seen.depth, 0.0))
    return Memory(
        seen.place, held if shear else np.zeros_like(held), depth, found.stand.displaced_mm
    )


def find_equilibrium(
    contact: Contact, demand: Demand, start: Stand, memory: Memory | None
) -> Found:
    """The stand at which contact exerts what is demanded.

    Where places at the verge of sliding keep the search from settling, it is led there once more
    with friction rising to its value; that shapes the way alone, and what is found is held
    against the same equations.
    """
    found = _search(contact, demand, start, memory)
    far = np.abs(found.stand.shift_mm).max() > SMALL_MOTION_SHIFT_MM.value
    if memory is None or far or max(found.share, found.local) < ACCEPTED:
        return found
    stand, products = start, found.products
    for share in _RISING:
        led = _search(contact, demand._replace(friction=share * demand.friction), stand, memory)
        stand, products = led.stand, products + led.products
    better = max(led.share, led.local) < max(found.share, found.local)
    return replace(led if better else found, products=products)


def _search(contact: Contact, demand: Demand, start: Stand, memory: Memory | None) -> Found:
    """Newton's method on the projected tractions and the wrench, with exact derivatives.

    A step is shortened while it leaves much more unbalanced than there was. A limb without any
    contact first moves straight along its load until it touches.
    """
    stand, products, damping = start, 0, 0.0
    seen = look(contact, stand, memory, demand)
    now = best = Found(stand, seen, np.inf, np.inf, 0, 0)
    for iterations in range(_MOST_STEPS + 1):
        share, local = shares(seen, demand)
        now = Found(stand, seen, share, local, iterations, products)
        if max(share, local) < max(best.share, best.local):
            best = now
        enough = demand.target if iterations < _PATIENT_STEPS else 0.5 * ACCEPTED
        if max(share, local) < enough or iterations == _MOST_STEPS:
            break
        if np.abs(stand.shift_mm).max() > _OUT_OF_REACH_MM:
            break
        if not seen.by_place.any():
            # nothing touches: what pressed lets go, and the limb moves until it touches
            stand = _released(contact, stand)
            seen = look(contact, stand, memory, demand)
            if seen.by_place.any() or shares(seen, demand)[0] < enough:
                continue
            reached = _until_touch(contact, stand, seen, demand)
            if reached is None:
                break
            stand = reached
            seen = look(contact, stand, memory, demand)
            continue
        step, damping = _next_step(contact, stand, seen, demand, damping)
        products += step.products
        stand, seen = _taken(contact, stand, seen, step, memory, demand)
    accepted = max(best.share, best.local) < ACCEPTED
    return replace(best if accepted else now, iterations=iterations, products=products)


def _next_step(
    contact: Contact, stand: Stand, seen: Look, demand: Demand, damping: float
) -> tuple[Step, float]:
    """A Newton step, and the damping that it took.

    Contact that gives way (a cone's friction overcome, a brim passed) may send the limb against
    its load. The motion is then held back as if in a viscous bath, which leads it along the load;
    damping never enters the balance itself.
    """
    linear = linearised(contact, stand, seen, demand)
    share, local = shares(seen, demand)
    solved = _solved(demand, max(share, local))
    products = 0
    damping = 0.25 * damping if damping > _LEAST_DAMPING else 0.0
    while True:
        held = linear
        if damping:
            stiff = _alone_stiffness(contact, seen, stand)
            held = linear._replace(whole=linear.whole - damping * stiff)
        step = linear_step(held, seen.left, seen.wrench_left, demand.free, solved, _MOST_PRODUCTS)
        products += step.products
        against = float(step.motion @ seen.wrench_left) > 0
        if not against or share < _DRIVEN or damping >= 1.0:
            return step._replace(products=products), damping
        damping = max(_FIRST_DAMPING, 8.0 * damping)


def _solved(demand: Demand, size: float) -> float:
    """Share of its right-hand side that a step is solved to.

    A look begins so near that one step solved well leads it to its end; a last step that has little
    left to do is solved no further than it is held to.
    """
    if demand.target <= TARGET:
        return _SOLVED
    return float(np.clip(_OF_TARGET * demand.target / size, *_SOLVED_BETWEEN))


def _alone_stiffness(contact: Contact, seen: Look, stand: Stand) -> Reals:
    """Stiffness against motion if every place held by itself, (6, 6) N/mm: damping's measure."""
    moves = motion_rows(contact, stand, seen.place)
    stiff = measure(contact) * contact.weights_mm2
    return np.asarray(np.tensordot(moves * stiff[:, None, None], moves, ((0, 1), (0, 1))))


def look(contact: Contact, stand: Stand, memory: Memory | None, demand: Demand) -> Look:
    """Contact at one stand, with its derivatives."""
    place = places(contact, stand, stand.displaced_mm)
    depth, gradient, hessian = penetration(contact.field, place)
    depth[contact.weights_mm2 == 0] = _BARE_MM
    traction = stand.traction_mpa @ stand.rotation.T
    if memory is None:
        held, anchor, swept = np.zeros_like(place), place, None
    else:
        held, (anchor, swept) = memory.shear_mpa, _anchors(contact, stand, memory)
    allowed, by_traction, by_place, by_anchor, gap, normal = project(
        reals(traction),
        reals(place),
        reals(depth),
        reals(gradient),
        reals(hessian),
        reals(contact.softness),
        contact.along_mpa_mm,
        demand.friction if memory is not None else 0.0,
        reals(measure(contact)),
        reals(held),
        reals(anchor),
    )
    by_motion = np.zeros((len(place), 3, 6)) if swept is None else by_anchor @ swept
    force = contact.weights_mm2[:, None] * traction
    arms = place - contact.reference_mm
    wrench = np.concatenate(
        [force.sum(axis=0), np.cross(arms, force).sum(axis=0) / contact.length_mm]
    )
    wanted = (demand.wrench.reshape(2, 3) @ stand.rotation.T).ravel()
    gross = float(contact.weights_mm2 @ np.linalg.norm(traction, axis=1))
    left = allowed - traction
    return Look(
        place,
        traction,
        left,
        normal,
        gap,
        by_traction,
        by_place,
        by_motion,
        wrench,
        wanted - wrench,
        gross,
        float(contact.weights_mm2 @ np.linalg.norm(left, axis=1)),
    )


def shares(seen: Look, demand: Demand) -> tuple[float, float]:
    """What is left of the wrench and of the tractions, as shares of the load."""
    scale = max(demand.scale_n or seen.gross_n, LEAST_LOAD_N.value)
    share = float(np.abs(seen.wrench_left[demand.free]).max()) / scale
    return share, seen.refused_n / max(seen.gross_n, LEAST_LOAD_N.value)


def linearised(contact: Contact, stand: Stand, seen: Look, demand: Demand) -> Linear:
    """How contact and wrench change with tractions, displacements and motion at one stand."""
    length, weights = contact.length_mm, contact.weights_mm2[:, None, None]
    moves = motion_rows(contact, stand, seen.place)
    turned = -cross_matrices(seen.traction) / length
    own = np.eye(3) - seen.by_traction
    motion = -seen.by_place @ moves - seen.by_motion
    motion[:, :, 3:] += own @ turned
    arm = np.zeros((len(own), 6, 3))
    arm[:, 0, 0] = arm[:, 1, 1] = arm[:, 2, 2] = 1.0
    arm[:, 3:] = cross_matrices(seen.place - contact.reference_mm) / length
    arm *= weights
    turn = turned * weights
    whole = np.zeros((6, 6))
    whole[:, 3:] = np.tensordot(arm, turned, ((0, 2), (0, 1)))
    whole[3:] += np.tensordot(turn, moves, ((0, 2), (0, 1)))
    wanted = (demand.wrench.reshape(2, 3) @ stand.rotation.T) / length
    whole[:3, 3:] += cross_matrices(wanted)[0]
    whole[3:, 3:] += cross_matrices(wanted)[1]
    rotated = stand.rotation @ contact.narrow @ stand.rotation.T
    return Linear(
        own,
        seen.by_place,
        motion,
        arm,
        turn,
        whole,
        contact.weights_mm2,
        stand.rotation,
        rotated,
        contact.compliance,
        contact.broad,
    )


def measure(contact: Contact) -> Scalars:
    """Stiffness of each place by itself, MPa/mm: what augmentation is measured by."""
    itself = np.trace(contact.own, axis1=1, axis2=2) / 3 * contact.weights_mm2
    return np.asarray(np.minimum(1.0 / np.maximum(itself, 1e-9), 0.99 / contact.softness))


def places(contact: Contact, stand: Stand, displaced_mm: Vertices) -> Vertices:
    """Places in the socket's frame, (n, 3) mm."""
    arms = contact.points_mm + displaced_mm - contact.reference_mm
    return np.asarray(contact.reference_mm + stand.shift_mm + arms @ stand.rotation.T)


def motion_rows(contact: Contact, stand: Stand, place: Vertices) -> Reals:
    """Derivative of places by shift and by turn times length, (n, 3, 6)."""
    rows = np.zeros((len(place), 3, 6))
    rows[:, 0, 0] = rows[:, 1, 1] = rows[:, 2, 2] = 1.0
    arms = place - contact.reference_mm - stand.shift_mm
    rows[:, :, 3:] = -cross_matrices(arms) / contact.length_mm
    return rows


def _anchors(contact: Contact, stand: Stand, memory: Memory) -> tuple[Vertices, Reals | None]:
    """Where each place holds on, with its derivative by the motion.

    Where it was; a place that was open, where it touched on the straight way that the bones led
    it since.
    """
    opened = np.flatnonzero(memory.depth_mm < 0)
    if len(opened) == 0:
        return memory.place_mm, None
    led = places(contact, stand, memory.displaced_mm)[opened]
    depth, gradient, _ = penetration(contact.field, led)
    before = memory.depth_mm[opened]
    touches = depth > 0
    span = np.where(touches, depth - before, 1.0)
    share = np.where(touches, -before / span, 1.0)
    slope = np.where(touches, before / span**2, 0.0)
    way = led - memory.place_mm[opened]
    anchor = memory.place_mm.copy()
    anchor[opened] += share[:, None] * way
    moves = motion_rows(contact, stand, led)
    swept = np.zeros((len(anchor), 3, 6))
    swept[opened] = share[:, None, None] * moves
    swept[opened] += (slope[:, None] * way)[:, :, None] * (gradient[:, None, :] @ moves)
    return anchor, swept


def _taken(
    contact: Contact,
    stand: Stand,
    seen: Look,
    step: Step,
    memory: Memory | None,
    demand: Demand,
) -> tuple[Stand, Look]:
    """The stand after a step: whole if that helps enough, else the best share of it."""
    longest = min(1.0, _LONGEST_STEP_MM / max(float(np.abs(step.motion).max()), 1e-12))
    before = _size(seen, demand)
    best: tuple[float, Stand, Look] | None = None
    for share in _SHARES_OF_STEP:
        ahead = _moved(contact, stand, step, longest * share)
        now = look(contact, ahead, memory, demand)
        size = _size(now, demand)
        if best is None or size < best[0]:
            best = size, ahead, now
        if size < _ENOUGH * before:
            break
    assert best is not None
    return best[1], best[2]


def _moved(contact: Contact, stand: Stand, step: Step, share: float) -> Stand:
    turned = rotation_of(share * step.motion[3:] / contact.length_mm)
    return Stand(
        stand.shift_mm + share * step.motion[:3],
        turned @ stand.rotation,
        stand.traction_mpa + share * (step.traction @ stand.rotation),
        stand.displaced_mm + share * (step.displaced @ stand.rotation),
    )


def _size(seen: Look, demand: Demand) -> float:
    """One figure for what is left of tractions and wrench, N."""
    return float(np.hypot(seen.refused_n, np.abs(seen.wrench_left[demand.free]).max()))


def _released(contact: Contact, stand: Stand) -> Stand:
    """The same stand without any traction."""
    force = stand.traction_mpa * contact.weights_mm2[:, None]
    return replace(
        stand,
        traction_mpa=np.zeros_like(force),
        displaced_mm=stand.displaced_mm - yielded(contact, force),
    )


def _until_touch(contact: Contact, stand: Stand, seen: Look, demand: Demand) -> Stand | None:
    """The limb moved along its load until a place touches; None when none ever does."""
    whole = _alone_stiffness(contact, seen, stand)
    free = demand.free
    way = np.zeros(6)
    way[free] = np.linalg.solve(whole[np.ix_(free, free)], -seen.wrench_left[free])
    way /= max(float(np.abs(way).max()), 1e-12)
    gone, touching = 0.0, contact.weights_mm2 > 0
    while gone < _OUT_OF_REACH_MM:
        ahead = replace(
            stand,
            shift_mm=stand.shift_mm + gone * way[:3],
            rotation=rotation_of(gone * way[3:] / contact.length_mm) @ stand.rotation,
        )
        place = places(contact, ahead, stand.displaced_mm)[touching]
        deepest = float(penetration(contact.field, place)[0].max())
        if deepest > 0:
            return ahead
        gone += max(0.3 * -deepest, _TOUCH_MM)
    return None
