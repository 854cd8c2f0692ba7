"""One-sided contact with Coulomb friction between the limb's outer surface and the rigid socket."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from limbwright.core.kernels import indices, kernel, reals
from limbwright.core.mesh import Scalars, Vector, Vertices
from limbwright.prove.interface.socket_field import SocketField, penetration

Quads = NDArray[np.int32]
"""(k, 4) int32, wound outward."""


@dataclass(frozen=True, slots=True, eq=False)
class ContactSurface:
    """The surface that may meet the socket, with its contact points.

    Parameters
    ----------
    quads : (k, 4) int32
        Nodes of each face.
    shapes : (q, 4) float64
        Share of each corner in each of a face's contact points.
    areas_mm2 : (k, q) float64
        Undeformed area that each contact point stands for.
    cover : (k, q) float64
        Share of it that the socket covers, 0 to 1.
    offset_mm : (k, q, 3) float64
        From the flat face to the curved skin that it stands for.
    """

    quads: Quads
    shapes: NDArray[np.float64]
    areas_mm2: NDArray[np.float64]
    cover: NDArray[np.float64]
    offset_mm: NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class SocketPose:
    """How the socket stands against the limb: about a reference point, first turned, then shifted.

    Parameters
    ----------
    shift_mm : (3,) float64
    rotation : (3, 3) float64
    """

    shift_mm: Vector
    rotation: NDArray[np.float64]


def turn_of(pose: SocketPose) -> Vector:
    """Rotation vector of a pose, (3,) rad."""
    return np.asarray(Rotation.from_matrix(pose.rotation).as_rotvec(), dtype=np.float64)


@dataclass(frozen=True, slots=True, eq=False)
class ContactMemory:
    """Where contact points stood in the socket and what shear they held, at the last equilibrium.

    Parameters
    ----------
    place_mm : (k, q, 3) float64, mm, frame of the socket
    shear_mpa : (k, q, 3) float64, frame of the socket
    depth_mm : (k, q) float64
        Depth in the wall; negative = gap.
    """

    place_mm: NDArray[np.float64]
    shear_mpa: NDArray[np.float64]
    depth_mm: NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class ContactLaw:
    """How the wall answers.

    Parameters
    ----------
    normal, along : float, MPa/mm
        Penalty against penetration and against elastic sliding.
    friction : float
        Coulomb's coefficient; 0 = none.
    """

    normal: float
    along: float
    friction: float


class Touch(NamedTuple):
    """What contact points exert on the socket, and how that changes as they move.

    Parameters
    ----------
    traction_mpa : (k, q, 3) float64
        On the socket, limb frame; the limb feels its opposite.
    stiffness : (k, q, 3, 3) float64, MPa/mm
        Derivative of the traction by the point's place, limb frame; not symmetric where it slides.
    held : (k, q, 3, 3) float64, MPa/mm
        The same while Coulomb's limit stays as it is, symmetric part.
    arm_mm : (k, q, 3) float64
        From the socket's moved reference to the point.
    pressure_mpa : (k, q) float64
    memory : ContactMemory
        To be remembered if this is the equilibrium.
    """

    traction_mpa: NDArray[np.float64]
    stiffness: NDArray[np.float64]
    held: NDArray[np.float64]
    arm_mm: NDArray[np.float64]
    pressure_mpa: NDArray[np.float64]
    memory: ContactMemory


def contact_surface(nodes_mm: Vertices, quads: Quads, cover: Scalars) -> ContactSurface:
    """Contact points at the 2 × 2 Gauss points of each face.

    Parameters
    ----------
    nodes_mm : (n, 3) float64, mm
    quads : (k, 4) int32
    cover : (n,) float64
        Share of each node that the socket covers.
    """
    corners = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]], dtype=np.float64)
    points = corners / np.sqrt(3.0)
    line = 1.0 + corners * points[:, None, :]
    shapes = 0.25 * line[..., 0] * line[..., 1]
    slopes = 0.25 * corners * line[..., ::-1]
    tangents = np.einsum("qak,fai->fqki", slopes, nodes_mm[quads])
    areas = np.linalg.norm(np.cross(tangents[:, :, 0], tangents[:, :, 1]), axis=-1)
    covered = np.einsum("qa,fa->fq", shapes, cover[quads])
    offset = _to_curved_skin(nodes_mm, quads, shapes)
    return ContactSurface(
        indices(quads), reals(shapes), reals(areas), reals(covered), reals(offset)
    )


def _to_curved_skin(
    nodes_mm: Vertices, quads: Quads, shapes: NDArray[np.float64]
) -> NDArray[np.float64]:
    """How far each contact point lies under the curved surface through the nodes, (k, q, 3) mm.

    On flat faces the points would stand inside the skin by up to the faces' sagitta, and so much
    of a take-up would be lost. Half the mean of the ways to the corners' tangent planes, weighted
    by the shapes, is that sagitta exactly where the surface is quadratic (with the corners'
    normals; the construction is that of Boubekeur and Alexa 2008, ACM Trans Graph 27:141).
    """
    corners = nodes_mm[quads]
    ahead, behind = np.roll(corners, -1, axis=1) - corners, np.roll(corners, 1, axis=1) - corners
    normals = np.zeros_like(nodes_mm)
    np.add.at(normals, quads.ravel(), np.cross(ahead, behind).reshape(-1, 3))
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-12)
    at_corner = normals[quads]
    ways = corners[:, None] - (shapes @ corners)[:, :, None]
    along = np.einsum("fqai,fai->fqa", ways, at_corner)
    return np.asarray(0.5 * np.einsum("qa,fqa,fai->fqi", shapes, along, at_corner))


def at_points(surface: ContactSurface, values: Vertices) -> NDArray[np.float64]:
    """Values at nodes, (n, 3), carried to the contact points, (k, q, 3)."""
    return np.asarray(surface.shapes @ values[surface.quads], dtype=np.float64)


def touch(
    surface: ContactSurface,
    field: SocketField,
    nodes_mm: Vertices,
    reference_mm: Vector,
    pose: SocketPose,
    memory: ContactMemory | None,
    law: ContactLaw,
    limit_mpa: NDArray[np.float64] | None = None,
) -> Touch:
    """What the wall answers to the limb's outer surface.

    Pressure is the penalty times the depth. Shear is carried on from what is remembered, by the
    penalty times the sliding since, and cut back to Coulomb's limit (Simo and Laursen 1992,
    Comput Struct 42:97). A point that was open is sheared only from where it touched, on the
    straight way between.

    Parameters
    ----------
    surface : ContactSurface
    field : SocketField
    nodes_mm : (n, 3) float64, mm
        Where the nodes stand now.
    reference_mm : (3,) float64, mm
        Point that the pose turns about.
    pose : SocketPose
    memory : ContactMemory or None
        None: nothing to remember, no friction.
    law : ContactLaw
    limit_mpa : (k, q) float64, optional
        Shear that may be held at most; Coulomb's limit when not given.
    """
    arms = at_points(surface, nodes_mm) + surface.offset_mm - reference_mm - pose.shift_mm
    place = arms @ pose.rotation + reference_mm
    depth, gradient, hessian = penetration(field, place.reshape(-1, 3))
    shape = surface.areas_mm2.shape
    count = depth.size
    traction = np.zeros((count, 3))
    stiffness, held = np.zeros((count, 3, 3)), np.zeros((count, 3, 3))
    pressure, shear = np.zeros(count), np.zeros((count, 3))
    none = memory is None or law.friction == 0.0
    old = ContactMemory(place, np.zeros_like(place), depth) if memory is None else memory
    _tractions(
        reals(surface.cover.ravel()),
        reals(depth),
        reals(gradient),
        reals(hessian),
        reals(place.reshape(-1, 3)),
        reals(old.place_mm.reshape(-1, 3)),
        reals(old.shear_mpa.reshape(-1, 3)),
        reals(old.depth_mm.ravel()),
        reals(np.zeros(0) if limit_mpa is None else limit_mpa.ravel()),
        reals(pose.rotation),
        float(law.normal),
        float(law.along),
        0.0 if none else float(law.friction),
        traction,
        stiffness,
        held,
        pressure,
        shear,
    )
    return Touch(
        traction.reshape(*shape, 3),
        stiffness.reshape(*shape, 3, 3),
        held.reshape(*shape, 3, 3),
        arms,
        pressure.reshape(shape),
        ContactMemory(place, shear.reshape(*shape, 3), depth.reshape(shape)),
    )


def node_tractions(surface: ContactSurface, now: Touch, count: int) -> Vertices:
    """What the socket exerts on each of `count` nodes, (n, 3) MPa, limb frame.

    The force that reaches a node through the faces, over the undeformed area that is its own: so
    a mesh's facets do not show, and force is kept.
    """
    shares = surface.areas_mm2[..., None] * surface.shapes
    nodes = np.broadcast_to(surface.quads[:, None, :], shares.shape).ravel()
    own_mm2 = np.bincount(nodes, shares.ravel(), minlength=count)
    pressed = -(surface.cover[..., None] * now.traction_mpa)
    forces = [
        np.bincount(nodes, (shares * pressed[..., axis, None]).ravel(), minlength=count)
        for axis in range(3)
    ]
    return np.asarray(np.stack(forces, axis=1) / np.maximum(own_mm2, 1e-12)[:, None])


class Blocks(NamedTuple):
    """Contact's share in the bordered system, by face.

    Parameters
    ----------
    force_n : (k, 12) float64
        On the socket, by corner and axis.
    symmetric : (k, 12, 12) float64, N/mm
        Symmetric part of the stiffness.
    to_pose : (k, 12, 6) float64
        Change of the faces' forces by the pose (shift, turn).
    by_pose : (k, 6, 12) float64
        Change of the pose's unbalanced load by the corners.
    pose : (6, 6) float64
        Change of the pose's unbalanced load by the pose.
    wrench : (6,) float64, N and N·mm
        On the socket, about its moved reference.
    """

    force_n: NDArray[np.float64]
    symmetric: NDArray[np.float64]
    to_pose: NDArray[np.float64]
    by_pose: NDArray[np.float64]
    pose: NDArray[np.float64]
    wrench: NDArray[np.float64]


def blocks_of(
    surface: ContactSurface, now: Touch, *, tangent: bool = True, coupled: bool = False
) -> Blocks:
    """Integrate over the faces.

    Parameters
    ----------
    surface : ContactSurface
    now : Touch
    tangent : bool
        Whether the stiffness is wanted.
    coupled : bool
        Whether the pose's share is to tell how Coulomb's limit changes with the pressure. The
        symmetric part never does: `rest_product` gives what is left of it.
    """
    count = len(surface.quads)
    sized = count if tangent else 0
    force = np.zeros((count, 12))
    symmetric = np.zeros((sized, 12, 12))
    to_pose, by_pose = np.zeros((sized, 12, 6)), np.zeros((sized, 6, 12))
    pose, wrench = np.zeros((6, 6)), np.zeros(6)
    _integrate(
        reals(surface.shapes),
        reals(surface.areas_mm2 * surface.cover),
        reals(now.traction_mpa),
        reals(now.stiffness if coupled else now.held),
        reals(now.held),
        reals(now.arm_mm),
        force,
        symmetric,
        to_pose,
        by_pose,
        pose,
        wrench,
    )
    return Blocks(force, symmetric, to_pose, by_pose, pose, wrench)


def rest_product(
    surface: ContactSurface,
    unknowns: NDArray[np.int32],
    now: Touch,
    vector: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Product of unknowns, (u,), with what the stiffness has beyond its symmetric part."""
    out = np.zeros(len(vector))
    _rest(
        indices(unknowns),
        reals(surface.shapes),
        reals(surface.areas_mm2 * surface.cover),
        reals(now.stiffness - now.held),
        reals(vector),
        out,
    )
    return out


@kernel
def _tractions(
    cover: NDArray[np.float64],
    depth: NDArray[np.float64],
    gradient: NDArray[np.float64],
    hessian: NDArray[np.float64],
    place: NDArray[np.float64],
    old_place: NDArray[np.float64],
    old_shear: NDArray[np.float64],
    old_depth: NDArray[np.float64],
    limits: NDArray[np.float64],
    rotation: NDArray[np.float64],
    normal: float,
    along: float,
    friction: float,
    traction: NDArray[np.float64],
    stiffness: NDArray[np.float64],
    held: NDArray[np.float64],
    pressure: NDArray[np.float64],
    shear: NDArray[np.float64],
) -> None:
    """Traction of each contact point on the socket, with its change by the point's place.

    In the socket's frame: n the gradient of the depth, m its unit, H its Hessian, p = ε depth. The
    trial shear is the part along the wall of what was held plus ε' φ times the sliding since.
    """
    m = np.empty(3)
    own = np.empty(3)
    tau = np.empty(3)
    trial = np.empty(3)
    d = np.empty((3, 3))
    fixed = np.empty((3, 3))
    change = np.empty((3, 3))
    for n in range(depth.shape[0]):
        if depth[n] <= 0.0 or cover[n] <= 0.0:
            continue
        p = normal * depth[n]
        pressure[n] = p
        g = gradient[n]
        h = hessian[n]
        for i in range(3):
            own[i] = p * g[i]
            for k in range(3):
                fixed[i, k] = normal * g[i] * g[k] + p * h[i, k]
                d[i, k] = fixed[i, k]
        if friction > 0.0:
            length = np.sqrt(g[0] ** 2 + g[1] ** 2 + g[2] ** 2)
            for i in range(3):
                m[i] = g[i] / length
            phi = 1.0
            slope = 0.0
            if old_depth[n] < 0.0:
                phi = depth[n] / (depth[n] - old_depth[n])
                slope = -old_depth[n] / (depth[n] - old_depth[n]) ** 2
            through = 0.0
            for i in range(3):
                trial[i] = old_shear[n, i] + along * phi * (place[n, i] - old_place[n, i])
                through += trial[i] * m[i]
            size = 0.0
            for i in range(3):
                tau[i] = trial[i] - through * m[i]
                size += tau[i] * tau[i]
            size = np.sqrt(size)
            limit = limits[n] if limits.shape[0] > 0 else friction * p
            share = 1.0 if size <= limit else limit / size
            for k in range(3):
                # change of the trial shear: sliding, later touching, and turning of the normal
                hm = m[0] * h[0, k] + m[1] * h[1, k] + m[2] * h[2, k]
                turning = 0.0
                for i in range(3):
                    turning += trial[i] * (h[i, k] - m[i] * hm) / length
                for i in range(3):
                    one = 1.0 if i == k else 0.0
                    change[i, k] = (
                        along * phi * (one - m[i] * m[k])
                        + tau[i] / phi * slope * g[k]
                        - turning * m[i]
                        - through * (h[i, k] - m[i] * hm) / length
                    )
                toward = 0.0
                if size > limit:
                    for i in range(3):
                        toward += tau[i] / size * change[i, k]
                for i in range(3):
                    one = 1.0 if i == k else 0.0
                    flat = one - m[i] * m[k]
                    if size > limit:
                        d[i, k] += friction * normal * tau[i] / size * g[k]
                        d[i, k] += share * (change[i, k] - tau[i] / size * toward)
                        flat -= tau[i] / size * tau[k] / size
                    else:
                        d[i, k] += change[i, k]
                    fixed[i, k] += share * along * phi * flat
            for i in range(3):
                shear[n, i] = share * tau[i]
                own[i] += shear[n, i]
        for i in range(3):
            traction[n, i] = (
                rotation[i, 0] * own[0] + rotation[i, 1] * own[1] + rotation[i, 2] * own[2]
            )
        _turn(rotation, d, stiffness[n])
        _turn(rotation, fixed, held[n])


@kernel
def _turn(
    rotation: NDArray[np.float64], inner: NDArray[np.float64], out: NDArray[np.float64]
) -> None:
    """A 3 × 3 matrix carried from the socket's frame to the limb's, R A Rᵀ."""
    for i in range(3):
        for k in range(3):
            s = 0.0
            for j in range(3):
                for q in range(3):
                    s += rotation[i, j] * inner[j, q] * rotation[k, q]
            out[i, k] = s


@kernel
def _integrate(
    shapes: NDArray[np.float64],
    weights: NDArray[np.float64],
    traction: NDArray[np.float64],
    stiffness: NDArray[np.float64],
    held: NDArray[np.float64],
    arm: NDArray[np.float64],
    force: NDArray[np.float64],
    symmetric: NDArray[np.float64],
    to_pose: NDArray[np.float64],
    by_pose: NDArray[np.float64],
    pose: NDArray[np.float64],
    wrench: NDArray[np.float64],
) -> None:
    """Sums over the contact points of each face.

    A point at the arm r from the socket's reference moves against the wall by dx - G dq with
    G dq = dt + dω × r; its traction f changes by D (dx - G dq) + dω × f. The pose's unbalanced load
    is -Σ Gᵀ f; as r changes by dx - dt, its moment changes by r × df - f × (dx - dt).
    """
    g = np.zeros((3, 6))
    cross_f = np.zeros((3, 3))
    cross_r = np.zeros((3, 3))
    column = np.empty((3, 6))
    row = np.empty((6, 3))
    for n in range(weights.shape[0]):
        for q in range(weights.shape[1]):
            w = weights[n, q]
            f = traction[n, q]
            if w <= 0.0 or (f[0] == 0.0 and f[1] == 0.0 and f[2] == 0.0):
                continue
            r = arm[n, q]
            cross_r[0, 1], cross_r[0, 2], cross_r[1, 2] = -r[2], r[1], -r[0]
            cross_r[1, 0], cross_r[2, 0], cross_r[2, 1] = r[2], -r[1], r[0]
            for i in range(3):
                g[i, i] = 1.0
                for k in range(3):
                    g[i, 3 + k] = -cross_r[i, k]
            for i in range(6):
                s = 0.0
                for k in range(3):
                    s += g[k, i] * f[k]
                wrench[i] += w * s
            for a in range(4):
                for i in range(3):
                    force[n, 3 * a + i] += w * shapes[q, a] * f[i]
            if symmetric.shape[0] == 0:
                continue
            d = stiffness[n, q]
            cross_f[0, 1], cross_f[0, 2], cross_f[1, 2] = -f[2], f[1], -f[0]
            cross_f[1, 0], cross_f[2, 0], cross_f[2, 1] = f[2], -f[1], f[0]
            # change of the traction by the pose
            for i in range(3):
                for k in range(6):
                    column[i, k] = -(d[i, 0] * g[0, k] + d[i, 1] * g[1, k] + d[i, 2] * g[2, k])
                    if k >= 3:
                        column[i, k] -= cross_f[i, k - 3]
            # change of the pose's unbalanced load by the point's place
            for i in range(6):
                for k in range(3):
                    row[i, k] = -(g[0, i] * d[0, k] + g[1, i] * d[1, k] + g[2, i] * d[2, k])
                    if i >= 3:
                        row[i, k] += cross_f[i - 3, k]
            for i in range(6):
                for k in range(6):
                    s = 0.0
                    for j in range(3):
                        s -= g[j, i] * column[j, k]
                    if i >= 3 and k < 3:
                        s -= cross_f[i - 3, k]
                    pose[i, k] += w * s
            for a in range(4):
                wa = w * shapes[q, a]
                for i in range(3):
                    for k in range(6):
                        to_pose[n, 3 * a + i, k] += wa * column[i, k]
                        by_pose[n, k, 3 * a + i] += wa * row[k, i]
                    for b in range(4):
                        wab = wa * shapes[q, b]
                        for k in range(3):
                            symmetric[n, 3 * a + i, 3 * b + k] += wab * held[n, q, i, k]


@kernel
def _rest(
    unknowns: NDArray[np.int32],
    shapes: NDArray[np.float64],
    weights: NDArray[np.float64],
    rest: NDArray[np.float64],
    vector: NDArray[np.float64],
    out: NDArray[np.float64],
) -> None:
    moved = np.empty(3)
    for n in range(weights.shape[0]):
        for q in range(weights.shape[1]):
            if weights[n, q] <= 0.0 or not rest[n, q].any():
                continue
            moved[:] = 0.0
            for a in range(4):
                for i in range(3):
                    u = unknowns[n, 3 * a + i]
                    if u >= 0:
                        moved[i] += shapes[q, a] * vector[u]
            for a in range(4):
                for i in range(3):
                    u = unknowns[n, 3 * a + i]
                    if u >= 0:
                        s = (
                            rest[n, q, i, 0] * moved[0]
                            + rest[n, q, i, 1] * moved[1]
                            + rest[n, q, i, 2] * moved[2]
                        )
                        out[u] += weights[n, q] * shapes[q, a] * s
