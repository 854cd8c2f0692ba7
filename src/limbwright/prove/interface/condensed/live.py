"""The live model: a condensed linear body with friction in a rigid socket, at every edit."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from limbwright.align.result import LoadCase
from limbwright.assess.plan import Liner
from limbwright.capture.plan import ScannedOver
from limbwright.capture.result import Limb
from limbwright.core.kernels import reals
from limbwright.core.mesh import Scalars, Vector, Vertices
from limbwright.core.sources import Basis
from limbwright.core.telling import Tell, silent
from limbwright.couple.result import Seat
from limbwright.prove.interface.balancing import ACROSS_AND_TILT, Balance
from limbwright.prove.interface.bed import wrench_about_reference
from limbwright.prove.interface.condensed.body import (
    CondensedBody,
    Sparse,
    condense,
    matrix_from,
    sparse_of,
)
from limbwright.prove.interface.condensed.compressed import diagonal_of
from limbwright.prove.interface.condensed.equilibrium import (
    ALL,
    TARGET,
    Contact,
    Demand,
    Found,
    Memory,
    Stand,
    at_rest,
    find_equilibrium,
    remember,
    yielded,
)
from limbwright.prove.interface.condensed.motion import turn_of
from limbwright.prove.interface.condensed.tables import (
    AREA_MEAN,
    AREA_PEAK,
    LAYER_MPA_PER_MM,
    SEARCH_SCATTER_KPA,
    SINGLE_PLACE,
)
from limbwright.prove.interface.condensed.wall import WallBasis, wall_basis, wall_of
from limbwright.prove.interface.coupling_pull import Surface, pull_of_one_newton
from limbwright.prove.interface.engine import (
    DONNED,
    is_unloaded,
    load_size_n,
    no_socket,
    unloaded,
)
from limbwright.prove.interface.labels import label_of
from limbwright.prove.interface.loss import refuse_if_lost
from limbwright.prove.interface.reading import (
    Skin,
    ZoneMap,
    divide,
    read_zones,
    share_in_contact,
    skin_of,
)
from limbwright.prove.interface.stiffness import Assumptions, assumptions_of
from limbwright.prove.interface.tissue_mesh.mesh import TissueMesh, mesh_tissue
from limbwright.prove.interface.tissue_mesh.transfer import transfer
from limbwright.prove.plan import MeshLevel, ProvePlan
from limbwright.prove.result import CasePressure, Pose
from limbwright.shape.result import SocketShape

_SCATTER = SEARCH_SCATTER_KPA.value
MODEL = (
    "live model: rigid bones in a rigid socket, between them tissue and liner as one linear body, "
    "checked against the finite elements of this project; where skin is about to slide, an area's "
    f"mean is known to {_SCATTER[AREA_MEAN]:g} kPa, its peak to {_SCATTER[AREA_PEAK]:g} kPa and a "
    f"single place to {_SCATTER[SINGLE_PLACE]:g} kPa"
)


@dataclass(frozen=True, slots=True, eq=False)
class LivePrepared:
    """What depends on the limb and what it wears: plain arrays, to be kept with the case.

    Parameters
    ----------
    skin : Skin
    bones : Basis
    assumed : Assumptions
    body : CondensedBody
    wall : WallBasis
    to_outer : Sparse
        From vertices of `Limb.surface` to the body's nodes.
    to_skin : Sparse
        Tractions from the body's nodes to vertices of `Limb.surface`, force kept.
    cap_radius_mm : float
    mesh_text : str
        How good the mesh is, in words.
    """

    skin: Skin
    bones: Basis
    assumed: Assumptions
    body: CondensedBody
    wall: WallBasis
    to_outer: Sparse
    to_skin: Sparse
    cap_radius_mm: float
    mesh_text: str


@dataclass(frozen=True, slots=True, eq=False)
class LiveFitted:
    """A limb against one socket.

    Parameters
    ----------
    prepared : LivePrepared
    zones : ZoneMap
    covered : (v,) bool
        Vertices of `Limb.surface` below the trim line.
    contact : Contact
    pull : (n, 3) float64
        Forces of a coupling that pulls with 1 N, on the contact's places, limb frame.
    """

    prepared: LivePrepared
    zones: ZoneMap
    covered: NDArray[np.bool_]
    contact: Contact
    pull: Vertices


@dataclass(frozen=True, slots=True, eq=False)
class LiveState:
    """An equilibrium that the next load case starts from."""

    stand: Stand
    memory: Memory
    pull_n: float


class LiveModel:
    """Condensed model of interface pressure (see docs/method/pressure_live.md)."""

    name = "live"

    def prepare(
        self,
        limb: Limb,
        liner: Liner,
        scanned_over: ScannedOver,
        plan: ProvePlan,
        progress: Tell = silent,
    ) -> LivePrepared:
        """Mesh the tissue and liner, condense them to the surface that meets the socket.

        Raises
        ------
        MeshFailed
            When there is no room for tissue between skin and bone.
        """
        assumed = assumptions_of(liner, plan.tissue)
        mesh = mesh_tissue(limb, liner, scanned_over, MeshLevel.COARSE)
        progress("mesh", 0.4)
        return prepared_from(limb, liner, scanned_over, mesh, assumed)

    def with_socket(
        self, prepared: LivePrepared, shape: SocketShape, seat: Seat | None = None
    ) -> LiveFitted:
        """The wall's field and what of the limb it covers.

        Raises
        ------
        DesignRefused
            When the trim line leaves no socket.
        """
        covered = shape.below_trim & (prepared.skin.areas_mm2 > 0)
        body = prepared.body
        share = matrix_from(prepared.to_outer) @ covered.astype(np.float64)
        weights = body.areas_mm2 * share
        reached = np.flatnonzero(weights > 0)
        if len(reached) < 4:
            raise no_socket()
        count = int(reached[-1]) + 1
        contact = _contact(prepared, shape, weights[:count])
        points = contact.points_mm
        lowest = points[int(points[:, 2].argmin())]
        surface = Surface(points, body.normals[:count], contact.weights_mm2, lowest)
        pull = pull_of_one_newton(surface, seat, prepared.cap_radius_mm)
        return LiveFitted(prepared, divide(prepared.skin, shape), covered, contact, pull)

    def label(self, fitted: LiveFitted) -> str:
        """What the numbers are and what they assume."""
        return label_of(fitted.prepared.assumed, fitted.prepared.bones, MODEL)

    def solve(
        self,
        fitted: LiveFitted,
        load_case: LoadCase,
        start: LiveState | None = None,
        progress: Tell = silent,
    ) -> tuple[CasePressure, LiveState]:
        """Equilibrium of one load case from a donned state; None dons the socket first."""
        if start is None:
            start = seat_limb(fitted)
            if not is_unloaded(load_case):
                start = self.solve(fitted, unloaded(), start)[1]
        found = carry(fitted, load_case, start)
        state = LiveState(found.stand, remember(found), load_case.coupling_pull_n)
        return case_of(fitted, load_case.name, found), state


LIVE = LiveModel()


def prepared_from(
    limb: Limb, liner: Liner, scanned_over: ScannedOver, mesh: TissueMesh, assumed: Assumptions
) -> LivePrepared:
    """Condense a mesh of tissue and liner, and tie it to the limb's surface."""
    body = condense(mesh, assumed)
    carried = transfer(limb.surface, mesh, scanned_over)
    order = np.searchsorted(carried.outer_nodes, body.nodes)
    room_mm = liner.thickness_mm if scanned_over is ScannedOver.SKIN else 0.0
    return LivePrepared(
        skin_of(limb.surface),
        limb.bones.basis,
        assumed,
        body,
        wall_basis(limb.surface, room_mm),
        sparse_of(carried.to_outer[order]),
        sparse_of(carried.traction_to_surface[:, order]),
        0.5 * liner.cap_diameter_mm,
        mesh.quality.text,
    )


def seat_limb(fitted: LiveFitted, near: Stand | None = None, target: float = TARGET) -> LiveState:
    """The limb pushed in to its designed depth, before it is let go.

    Depth and turn about the long axis are held as designed; the limb finds its place across and
    its tilt without friction. From there shear is remembered; the push is then released. The
    search begins `near` a stand, if one is given.
    """
    contact = fitted.contact
    demand = Demand(np.zeros(6), 0.0, 0.0, ACROSS_AND_TILT, target)
    begun = near or at_rest(contact, np.zeros_like(contact.points_mm))
    found = find_equilibrium(contact, demand, begun, None)
    _refuse(fitted, DONNED, demand, found)
    return LiveState(found.stand, remember(found, shear=False), 0.0)


def carry(
    fitted: LiveFitted,
    load_case: LoadCase,
    start: LiveState,
    near: Stand | None = None,
    target: float = TARGET,
) -> Found:
    """The stand at which contact carries a load case.

    The search begins where the start stands, or `near` another stand that bears the same pull.

    Raises
    ------
    NotConverged
        When contact cannot carry it.
    """
    contact = fitted.contact
    demand = demand_of(fitted, load_case)._replace(target=target)
    more_n = load_case.coupling_pull_n - start.pull_n if near is None else 0.0
    stand = near or start.stand
    if more_n:
        pulled = yielded(contact, fitted.pull)
        stand = replace(stand, displaced_mm=stand.displaced_mm + more_n * pulled)
    found = find_equilibrium(contact, demand, stand, start.memory)
    _refuse(fitted, load_case.name, demand, found)
    return found


def demand_of(fitted: LiveFitted, load_case: LoadCase) -> Demand:
    """What contact alone must exert on the limb: the whole wrench less the coupling's pull."""
    contact, wrench = fitted.contact, load_case.wrench_on_limb
    whole = wrench_about_reference(contact, wrench.force_n, wrench.moment_n_mm)
    arms = contact.points_mm - contact.reference_mm
    pull = np.concatenate(
        [
            fitted.pull.sum(axis=0),
            np.cross(arms, fitted.pull).sum(axis=0) / contact.length_mm,
        ]
    )
    scale = load_size_n(whole, load_case)
    return Demand(whole - load_case.coupling_pull_n * pull, scale, contact.friction, ALL)


def _contact(prepared: LivePrepared, shape: SocketShape, weights_mm2: Scalars) -> Contact:
    body, count = prepared.body, len(weights_mm2)
    points = body.points_mm[:count]
    share = weights_mm2 / weights_mm2.sum()
    reference = share @ points
    arms = points - reference
    layer = LAYER_MPA_PER_MM.value
    own = diagonal_of(body.compliance)[:count]
    broad = body.broad[: 3 * count].astype(np.float64)
    blocks = broad.reshape(count, 3, -1)
    return Contact(
        points,
        reals(weights_mm2),
        body.compliance,
        own,
        reals(broad),
        own - blocks @ blocks.transpose(0, 2, 1),
        wall_of(prepared.wall, shape),
        reference,
        float(np.sqrt(share @ np.einsum("ij,ij->i", arms, arms))),
        np.full(count, 1.0 / layer),
        layer,
        prepared.assumed.friction,
    )


def _refuse(fitted: LiveFitted, case: str, demand: Demand, found: Found) -> None:
    contact, stand = fitted.contact, found.stand
    motion = np.concatenate([stand.shift_mm, contact.length_mm * turn_of(stand.rotation)])
    driven = np.zeros(6)
    driven[demand.free] = -found.look.wrench_left[demand.free]
    search = Balance(motion, driven, max(found.share, found.local), found.iterations)
    refuse_if_lost(contact, case, demand.wrench, search)


def case_of(fitted: LiveFitted, name: str, found: Found) -> CasePressure:
    """Fields on the vertices of `Limb.surface`.

    Pressure acts along the wall's normal; shear is what else there is of the traction, so that
    pressure along the skin's normal and shear together are the whole traction.
    """
    prepared, stand, seen = fitted.prepared, found.stand, found.look
    pressure = np.maximum(-np.einsum("ni,ni->n", seen.traction, seen.normal), 0.0)
    pressure = pressure * (fitted.contact.weights_mm2 > 0)
    traction = stand.traction_mpa * (pressure > 0)[:, None]
    rows = matrix_from(prepared.to_skin)[:, : len(pressure)]
    on_skin = np.where(fitted.covered, rows @ pressure, 0.0)
    whole = (rows @ traction) * (on_skin > 0)[:, None]
    shear = whole + on_skin[:, None] * prepared.skin.normals
    shift, turn = _pose(fitted.contact, stand)
    return CasePressure(
        name,
        reals(on_skin),
        reals(shear),
        Pose(reals(shift), reals(turn)),
        read_zones(fitted.zones, on_skin, shear),
        share_in_contact(fitted.zones, on_skin),
        found.share,
        found.iterations,
    )


def _pose(contact: Contact, stand: Stand) -> tuple[Vector, Vector]:
    """Shift of the limb frame's origin (mm) and turn (rad)."""
    reference = contact.reference_mm
    shift = reference + stand.shift_mm - stand.rotation @ reference
    return shift, turn_of(stand.rotation)
