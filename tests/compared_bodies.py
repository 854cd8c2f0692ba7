"""The same body on the same mesh by our finite elements and by CalculiX."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

import calculix
from brick_bodies import BrickBody, block, stump, tube
from limbwright.capture.plan import ScannedOver
from limbwright.capture.result import Limb
from limbwright.core.mesh import Mesh, Scalars, Vertices, vertex_normals
from limbwright.prove.interface.finite_elements.contact import (
    ContactLaw,
    ContactSurface,
    SocketPose,
    contact_surface,
)
from limbwright.prove.interface.finite_elements.equilibrium import (
    NONE,
    Demand,
    Model,
    Standing,
    at_rest,
    model_of,
)
from limbwright.prove.interface.finite_elements.hexahedra import bricks_of, moduli_mpa, respond
from limbwright.prove.interface.finite_elements.linear_solver import Factors, analyse
from limbwright.prove.interface.finite_elements.newton import Effort, Found, find_equilibrium
from limbwright.prove.interface.socket_field import (
    SocketField,
    field_of_function,
    field_of_surface,
    penetration,
)
from limbwright.prove.interface.tissue_mesh.mesh import mesh_tissue
from limbwright.prove.plan import MeshLevel
from mesh_limbs import BARE
from rigid_sockets import RigidSocket, on_the_wall, socket_of, used_alone

WALL, SLIDING = 2.0, 0.4
"""Penalties, MPa/mm: those of the engine."""
NO_STIFFNESS = 1e-6
"""Share of the tissue's moduli that the socket's bricks get: their nodes are told where to go."""
NOWHERE = field_of_function(lambda p: p[:, 2] - 1e3, np.array([[-9.0, -9, -9], [9, 9, 9]]), 2.0)
"""A wall that nothing reaches."""


@dataclass(frozen=True)
class Push:
    """One stage: the socket shifted along u, with friction from here on."""

    shift_mm: float
    friction: float = 0.0
    pieces: int = 1


@dataclass(frozen=True)
class Pressed:
    """A stage's end by both.

    Parameters
    ----------
    displacement_share : float
        Root mean square difference of the nodes' displacements over their root mean square.
    pressure_kpa, shear_kpa : (w, 2) float64
        Means under each weight, ours and CalculiX's; shear along u, on the socket.
    axial_n : (2,) float64
        Resultant on the socket along u.
    """

    displacement_share: float
    pressure_kpa: NDArray[np.float64]
    shear_kpa: NDArray[np.float64]
    axial_n: NDArray[np.float64]


def share_apart(ours: Vertices, theirs: Vertices) -> float:
    """Root mean square difference over root mean square."""
    return float(np.linalg.norm(ours - theirs) / np.linalg.norm(theirs))


# --- a block held below, its top moved ------------------------------------------------------------

BLOCK_MM = (10.0, 10.0, 30.0)
_PIECES = 4


def block_told(body: BrickBody, shift_mm: Scalars) -> Vertices:
    """Displacement told to bottom (none) and top; NaN where free."""
    told = np.full(body.nodes_mm.shape, np.nan)
    told[body.nodes_mm[:, 2] == 0.0] = 0.0
    told[body.nodes_mm[:, 2] == BLOCK_MM[2]] = shift_mm
    return told


def block_by_us(count: int, poisson: float, shift_mm: Scalars) -> tuple[Vertices, Scalars]:
    """Displacements and the force on the top."""
    body = block(BLOCK_MM, (count, count, 3 * count))
    told = block_told(body, shift_mm)
    bricks = bricks_of(body.nodes_mm, body.hexahedra, *moduli_mpa(0.2, poisson))
    surface = contact_surface(body.nodes_mm, body.outer, np.ones(len(body.nodes_mm)))
    model = model_of(body.nodes_mm, bricks, ~np.isnan(told), surface)
    evenly = body.nodes_mm[:, 2:] / BLOCK_MM[2] * np.asarray(shift_mm)
    moved = np.zeros_like(evenly)
    law, factors = (
        ContactLaw(WALL, SLIDING, 0.0),
        analyse(model.pattern.starts, model.pattern.columns),
    )
    for _ in range(_PIECES):
        start = replace(at_rest(model), displacement_mm=moved + evenly / _PIECES)
        moved = _balanced(model, NOWHERE, start, law, factors, 1e-6).standing.displacement_mm
    factors.close()
    parts = respond(bricks, moved, tangent=False).force_n.reshape(-1, 3)
    force = np.zeros_like(moved)
    np.add.at(force, body.hexahedra.ravel(), parts)
    return moved, force[body.nodes_mm[:, 2] == BLOCK_MM[2]].sum(axis=0)


def block_by_calculix(
    count: int, poisson: float, shift_mm: Scalars, element: str, folder: Path
) -> tuple[Vertices, Scalars]:
    """The same by CalculiX."""
    body = block(BLOCK_MM, (count, count, 3 * count))
    step = calculix.Step(block_told(body, shift_mm))
    moduli = [np.full(len(body.hexahedra), value) for value in moduli_mpa(0.2, poisson)]
    deck = calculix.Deck(body.nodes_mm, body.hexahedra, *moduli, steps=[step], element=element)
    answer = calculix.run(deck, folder)
    top = body.nodes_mm[:, 2] == BLOCK_MM[2]
    return answer.moved_mm[0], answer.reaction_n[0][top].sum(axis=0)


# --- bodies of revolution in a rigid socket -------------------------------------------------------


@dataclass(frozen=True)
class Fit:
    """A body, where it is held, and the socket that it is put into.

    Parameters
    ----------
    body : BrickBody
    surface : ContactSurface
        Of the body.
    held : (n, 3) bool
    field : SocketField
    socket : RigidSocket
        Wide open: its nodes go by `closing_mm` to where it is donned.
    closing_mm : (s, 3) float64
    outward : callable
        Places (k, 3) to the wall's unit normals, out of the socket.
    bent : callable
        See `calculix.Deck`.
    young_mpa, poisson : float
    """

    body: BrickBody
    surface: ContactSurface
    held: NDArray[np.bool_]
    field: SocketField
    socket: RigidSocket
    closing_mm: Vertices
    outward: Callable[[Vertices], Vertices]
    bent: Callable[[NDArray[np.float64]], NDArray[np.float64]]
    young_mpa: float
    poisson: float

    @property
    def moduli(self) -> tuple[Scalars, Scalars]:
        """Of each brick of the body, (m,) MPa."""
        count = len(self.body.hexahedra)
        shear, bulk = moduli_mpa(self.young_mpa, self.poisson)
        return np.full(count, shear), np.full(count, bulk)


def model_to_press(fit: Fit) -> Model:
    """The body as our model."""
    body = fit.body
    bricks = bricks_of(body.nodes_mm, body.hexahedra, *fit.moduli)
    return model_of(body.nodes_mm, bricks, fit.held, fit.surface)


def pressed_by_us(fit: Fit, pushes: list[Push], tolerance: float = 1e-6) -> list[Found]:
    """Donned without friction on a hardening wall, then pushed: an equilibrium for each stage."""
    model = model_to_press(fit)
    start = at_rest(model)
    factors = analyse(model.pattern.starts, model.pattern.columns)
    try:
        for softer in (27.0, 9.0, 3.0):
            law = ContactLaw(WALL / softer, SLIDING, 0.0)
            start = _balanced(model, fit.field, start, law, factors, 2e-2).standing
        law = ContactLaw(WALL, SLIDING, 0.0)
        found = [_balanced(model, fit.field, start, law, factors, tolerance)]
        before = 0.0
        for push in pushes:
            last, law = found[-1], ContactLaw(WALL, SLIDING, push.friction)
            for piece in range(1, push.pieces + 1):
                shift = before + piece / push.pieces * (push.shift_mm - before)
                pose = SocketPose(np.array([0.0, 0.0, shift]), np.eye(3))
                start = replace(last.standing, pose=pose)
                last = _balanced(model, fit.field, start, law, factors, tolerance)
            before = push.shift_mm
            found.append(last)
        return found
    finally:
        factors.close()


def _balanced(
    model: Model,
    field: SocketField,
    start: Standing,
    law: ContactLaw,
    factors: Factors,
    tolerance: float,
) -> Found:
    demand = Demand(law, NONE, np.zeros(6), np.zeros(model.pattern.unknowns))
    effort = Effort(tolerance=tolerance)
    return find_equilibrium(model, field, start, demand, factors, effort)


def deck_to_press(fit: Fit, pushes: list[Push], element: str) -> calculix.Deck:
    """The same for CalculiX: the socket closes, then moves along u."""
    body, socket, count = fit.body, fit.socket, len(fit.body.nodes_mm)
    told = np.full((count + len(socket.nodes_mm), 3), np.nan)
    told[:count][fit.held] = 0.0
    told[count:] = fit.closing_mm
    steps = [calculix.Step(told, first=0.34, largest=0.5)]
    for push in pushes:
        moved = told.copy()
        moved[count:, 2] += push.shift_mm
        piece = 1.0 / push.pieces
        friction = push.friction or None
        steps.append(calculix.Step(moved, first=piece, largest=piece, friction=friction))
    soft = NO_STIFFNESS * np.ones(len(socket.bricks))
    shear, bulk = fit.moduli
    return calculix.Deck(
        np.concatenate([body.nodes_mm, socket.nodes_mm]),
        np.concatenate([body.hexahedra, socket.bricks + np.int32(count)]),
        np.concatenate([shear, shear[0] * soft]),
        np.concatenate([bulk, bulk[0] * soft]),
        steps,
        calculix.Contact(body.outer, socket.inside + np.int32(count), WALL, SLIDING),
        element,
        bent=fit.bent,
    )


def compared(
    fit: Fit,
    pushes: list[Push],
    ours: list[Found],
    answer: calculix.Answer,
    weights: list[Callable[[Vertices], Scalars]],
) -> list[Pressed]:
    """Each stage by both; weights are functions of the place in the socket's frame."""
    nodes = fit.body.nodes_mm
    count, surface = len(nodes), fit.surface
    own_mm2 = _to_nodes(surface, surface.areas_mm2, count)
    out = []
    shifts = [0.0, *(push.shift_mm for push in pushes)]
    for found, moved, reaction, shift in zip(
        ours, answer.moved_mm, answer.reaction_n, shifts, strict=True
    ):
        sides = []
        shift_mm = np.array([0.0, 0.0, shift])
        for place, force in (
            (nodes + found.standing.displacement_mm, _on_the_socket(surface, found, count)),
            (fit.socket.nodes_mm + moved[count:], -reaction[count:]),
        ):
            at = place - shift_mm
            outward = fit.outward(at)
            pressing = (force * outward).sum(axis=1)
            sides.append((at, pressing, force - pressing[:, None] * outward, force))
        rows, shears = [], []
        for weight in weights:
            per = 1e3 / (weight(sides[0][0]) @ own_mm2)
            rows.append([per * (weight(at) @ pressing) for at, pressing, _, _ in sides])
            shears.append([per * (weight(at) @ sliding[:, 2]) for at, _, sliding, _ in sides])
        axial = np.array([force[:, 2].sum() for _, _, _, force in sides])
        share = share_apart(found.standing.displacement_mm, moved[:count])
        out.append(Pressed(share, np.array(rows), np.array(shears), axial))
    return out


def _to_nodes(surface: ContactSurface, values: Vertices, count: int) -> Vertices:
    """Values of contact points, (k, q) or (k, q, 3), shared out to the nodes by the shapes."""
    shared = np.einsum("qa,kq...->ka...", surface.shapes, values)
    out = np.zeros((count, *shared.shape[2:]))
    np.add.at(out, surface.quads, shared)
    return out


def _on_the_socket(surface: ContactSurface, found: Found, count: int) -> Vertices:
    return _to_nodes(surface, surface.areas_mm2[..., None] * found.contact.traction_mpa, count)


def annulus(poisson: float, around: int, layers: int, press_mm: float = 1.0) -> Fit:
    """A ring of tissue on a rigid core (radii 15 and 50 mm, plane strain) in a tighter socket."""
    inner, outer, high, open_mm = 15.0, 50.0, 4.0, 1.0
    body = tube(
        lambda h: inner + 0 * h, lambda h: outer + 0 * h, np.array([0, high]), around, layers
    )
    held = np.zeros(body.nodes_mm.shape, bool)
    held[np.hypot(*body.nodes_mm[:, :2].T) < inner + 1e-6] = True
    held[:, 2] = True
    size = outer + open_mm
    ring = tube(
        lambda h: size + 0 * h, lambda h: size + 3 + 0 * h, np.array([-1, high + 1]), around, 1
    )
    field = field_of_function(
        lambda p: np.hypot(p[:, 0], p[:, 1]) - (outer - press_mm),
        np.array([[-62.0, -62, -10], [62, 62, high + 10]]),
    )
    return _fit_round(
        body,
        _whole_surface(body),
        held,
        field,
        ring,
        size + 1,
        open_mm + press_mm,
        poisson,
        0.1,
        _flattened,
    )


def round_stump(poisson: float, across: int, along: int, layers: int, takeup_mm: float) -> Fit:
    """A quarter of a round-ended limb (bone 18, skin 45 mm) in a socket tighter by the take-up."""
    bone, skin, high, open_mm = 18.0, 45.0, 70.0, 1.0
    whole = stump(bone, skin, high, across, along, layers)
    body, of_whole = _quarter(whole)
    surface = _part_of(_whole_surface(whole), of_whole)
    nodes = body.nodes_mm
    held = nodes[:, :] < np.array([1e-6, 1e-6, -np.inf])
    held[np.linalg.norm(_rounded(nodes), axis=1) < bone + 1e-6] = True
    held[nodes[:, 2] > high - 1e-6, 2] = True
    size = skin + open_mm
    shell, _ = _quarter(stump(size, size + 3, high + 6, across, along, 1))
    field = field_of_function(
        lambda p: np.linalg.norm(_rounded(p), axis=1) - (skin - takeup_mm),
        np.array([[-65.0, -65, -65], [65, 65, high + 20]]),
    )
    return _fit_round(
        body, surface, held, field, shell, size + 1, open_mm + takeup_mm, poisson, 0.2, _rounded
    )


_END_MM, _OPENED = 45.0, 2.0
"""Where the spokes of a limb's end meet, above its lowest point; how far a socket is opened, in
take-ups."""


def true_limb(limb: Limb, level: MeshLevel, takeup_mm: float, poisson: float = 0.45) -> Fit:
    """A limb without a liner in a socket that is its own skin, tighter by the take-up everywhere.

    The socket's faces are those of the limb, carried onto the wall.
    """
    mesh = mesh_tissue(limb, BARE, ScannedOver.SKIN, level)
    body = BrickBody(mesh.nodes_mm, mesh.hexahedra, mesh.outer)
    held = np.repeat(mesh.held[:, None], 3, axis=1)
    held[mesh.top, 2] = True
    skin = limb.surface
    inside = Mesh(skin.vertices - takeup_mm * vertex_normals(skin), skin.faces)
    field = field_of_surface(inside)
    points, quads = used_alone(mesh.nodes_mm, mesh.outer)
    wall = on_the_wall(field, points)
    # opened along spokes, which never cross, unlike normals in a crease
    away = _rounded(wall - [0.0, 0.0, wall[:, 2].min() + _END_MM])
    away /= np.linalg.norm(away, axis=1, keepdims=True)
    open_mm = _OPENED * takeup_mm
    opened = socket_of(wall + open_mm * away, away, quads)
    closing = np.tile(-open_mm * away, (2, 1))

    def outward(points: Vertices) -> Vertices:
        slope = penetration(field, points)[1]
        return np.asarray(slope / np.linalg.norm(slope, axis=1, keepdims=True))

    return Fit(
        body,
        _whole_surface(body),
        held,
        field,
        opened,
        closing,
        outward,
        lambda ends: ends.mean(axis=1),
        0.2,
        poisson,
    )


def bell(middle_mm: Vertices, spread_mm: float) -> Callable[[Vertices], Scalars]:
    """A weight by the distance from a place."""
    return lambda p: np.exp(-0.5 * ((p - middle_mm) ** 2).sum(axis=1) / spread_mm**2)


def hat(middle_mm: float, reach_mm: float) -> Callable[[Vertices], Scalars]:
    """A weight by the height: one at the middle, nothing beyond the reach."""
    return lambda p: np.maximum(0.0, 1.0 - np.abs(p[:, 2] - middle_mm) / reach_mm)


def _rounded(points: Vertices) -> Vertices:
    """From the nearest point of the half-line up from the origin."""
    return np.column_stack([points[:, :2], np.minimum(points[:, 2], 0.0)])


def _flattened(points: Vertices) -> Vertices:
    """From the nearest point of the axis along u."""
    return points * [1.0, 1.0, 0.0]


def _fit_round(
    body: BrickBody,
    surface: ContactSurface,
    held: NDArray[np.bool_],
    field: SocketField,
    shell: BrickBody,
    between_mm: float,
    closing_mm: float,
    poisson: float,
    young_mpa: float,
    spoke: Callable[[Vertices], Vertices],
) -> Fit:
    """With a socket of one layer whose inside lies within `between_mm` of the axis."""

    def outward(points: Vertices) -> Vertices:
        away = spoke(points)
        return np.asarray(away / np.linalg.norm(away, axis=1, keepdims=True))

    def bent(ends: NDArray[np.float64]) -> NDArray[np.float64]:
        middle = ends.mean(axis=1)
        away = spoke(middle)
        size = np.linalg.norm(away, axis=1)
        whole = np.mean([np.linalg.norm(spoke(ends[:, i]), axis=1) for i in (0, 1)], axis=0)
        return np.asarray(middle + (whole / np.maximum(size, 1e-12) - 1.0)[:, None] * away)

    faces = shell.hexahedra[:, calculix.FACES].reshape(-1, 4)
    within = np.linalg.norm(spoke(shell.nodes_mm), axis=1) < between_mm
    socket = RigidSocket(shell.nodes_mm, shell.hexahedra, faces[within[faces].all(axis=1)])
    closing = -closing_mm * outward(shell.nodes_mm)
    return Fit(body, surface, held, field, socket, closing, outward, bent, young_mpa, poisson)


def _whole_surface(body: BrickBody) -> ContactSurface:
    return contact_surface(body.nodes_mm, body.outer, np.ones(len(body.nodes_mm)))


def _quarter(body: BrickBody) -> tuple[BrickBody, NDArray[np.int32]]:
    """What lies outward and forward of the planes of symmetry; its node for each, -1 if none."""
    nodes = body.nodes_mm
    bricks = body.hexahedra[(nodes[body.hexahedra].mean(axis=1)[:, :2] > 0).all(axis=1)]
    used = np.unique(bricks)
    number = np.full(len(nodes), -1, np.int32)
    number[used] = np.arange(len(used), dtype=np.int32)
    outer = number[body.outer]
    return BrickBody(nodes[used], number[bricks], outer[(outer >= 0).all(axis=1)]), number


def _part_of(surface: ContactSurface, number: NDArray[np.int32]) -> ContactSurface:
    """The faces whose nodes are left: their curvature is that of the whole."""
    quads = number[surface.quads]
    kept = (quads >= 0).all(axis=1)
    return replace(
        surface,
        quads=quads[kept],
        areas_mm2=surface.areas_mm2[kept],
        cover=surface.cover[kept],
        offset_mm=surface.offset_mm[kept],
    )
