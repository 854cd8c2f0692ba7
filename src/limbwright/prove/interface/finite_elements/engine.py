"""The confirming model of interface pressure: finite elements of tissue and liner."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from limbwright.align.result import LoadCase
from limbwright.assess.plan import Liner
from limbwright.capture.plan import ScannedOver
from limbwright.capture.result import Limb
from limbwright.core.kernels import reals
from limbwright.core.mesh import Vertices, vertex_normals
from limbwright.core.telling import Tell, silent
from limbwright.couple.result import Seat
from limbwright.prove.interface.engine import DONNED, no_socket
from limbwright.prove.interface.finite_elements.body import body_of, on_unknowns, pull_on_nodes
from limbwright.prove.interface.finite_elements.contact import node_tractions, turn_of
from limbwright.prove.interface.finite_elements.equilibrium import Model, Standing
from limbwright.prove.interface.finite_elements.refusals import refusal, refuse_if_far
from limbwright.prove.interface.finite_elements.sequence import (
    ContactSettings,
    Load,
    NotReached,
    Reached,
    no_load,
    solve_equilibrium,
)
from limbwright.prove.interface.labels import label_of
from limbwright.prove.interface.reading import (
    ZoneMap,
    divide,
    read_zones,
    share_in_contact,
    skin_of,
)
from limbwright.prove.interface.socket_field import SocketField, field_of_shape
from limbwright.prove.interface.stiffness import Assumptions, assumptions_of
from limbwright.prove.interface.tissue_mesh.mesh import TissueMesh, mesh_tissue
from limbwright.prove.interface.tissue_mesh.transfer import Transfer, transfer
from limbwright.prove.plan import ProvePlan
from limbwright.prove.result import CasePressure, Pose
from limbwright.prove.tables import LEAST_LOAD_N
from limbwright.shape.result import SocketShape


@dataclass(frozen=True, slots=True, eq=False)
class Prepared:
    """What depends on the limb and what it wears.

    Parameters
    ----------
    limb : Limb
    mesh : TissueMesh
    assumed : Assumptions
    scanned_over : ScannedOver
    cap_radius_mm : float
        Of the liner's cap, which a pin, magnet or lanyard holds.
    """

    limb: Limb
    mesh: TissueMesh
    assumed: Assumptions
    scanned_over: ScannedOver
    cap_radius_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class Fitted:
    """A limb against one socket.

    Parameters
    ----------
    prepared : Prepared
    zones : ZoneMap
    field : SocketField
    model : Model
    carried_over : Transfer
        Between the mesh's outer nodes and `Limb.surface`.
    pull_n : (n, 3) float64
        On each node, for a pull of the coupling of one newton.
    """

    prepared: Prepared
    zones: ZoneMap
    field: SocketField
    model: Model
    carried_over: Transfer
    pull_n: Vertices


class FiniteElements:
    """Confirming model of interface pressure (see docs/method/pressure_finite_elements.md)."""

    name = "fe"

    def prepare(
        self,
        limb: Limb,
        liner: Liner,
        scanned_over: ScannedOver,
        plan: ProvePlan,
        progress: Tell = silent,
    ) -> Prepared:
        """The mesh of tissue and liner, and what their stiffness is taken to be.

        Raises
        ------
        MeshFailed
            When bone and skin leave no room for tissue: names the place.
        """
        mesh = mesh_tissue(limb, liner, scanned_over, plan.mesh)
        assumed = assumptions_of(liner, plan.tissue)
        return Prepared(limb, mesh, assumed, scanned_over, 0.5 * liner.cap_diameter_mm)

    def with_socket(
        self, prepared: Prepared, shape: SocketShape, seat: Seat | None = None
    ) -> Fitted:
        """The mesh against the distance field of one socket.

        Raises
        ------
        DesignRefused
            When the trim line leaves no socket.
        """
        if not shape.below_trim.any():
            raise no_socket()
        limb, mesh = prepared.limb, prepared.mesh
        over = transfer(limb.surface, mesh, prepared.scanned_over)
        cover = np.zeros(len(mesh.nodes_mm))
        cover[over.outer_nodes] = over.to_outer @ shape.below_trim.astype(np.float64)
        model = body_of(mesh, prepared.assumed, cover)
        return Fitted(
            prepared,
            divide(skin_of(limb.surface), shape),
            field_of_shape(shape),
            model,
            over,
            pull_on_nodes(model, seat, prepared.cap_radius_mm),
        )

    def label(self, fitted: Fitted) -> str:
        """What the numbers are and what they assume."""
        ready, unknowns = fitted.prepared, fitted.model.pattern.unknowns
        model = (
            "confirming model: finite elements of tissue and liner between rigid bones and a "
            "rigid socket, nearly incompressible neo-Hooke, "
            f"{ready.mesh.level.value} mesh of {unknowns} unknowns"
        )
        return label_of(ready.assumed, ready.limb.bones.basis, model)

    def solve(
        self,
        fitted: Fitted,
        load_case: LoadCase,
        start: Standing | None = None,
        progress: Tell = silent,
    ) -> tuple[CasePressure, Standing]:
        """Equilibrium of one load case from a donned state; None dons the socket first.

        Raises
        ------
        NotConverged
            When there is none: names the case, the stage, how far it came, and what to change.
        """
        model, name = fitted.model, load_case.name
        load = contact_load(fitted, load_case)
        settings = ContactSettings(fitted.prepared.assumed.friction)

        def report(share: float) -> None:
            progress(name, share)

        try:
            reached = solve_equilibrium(model, fitted.field, load, start, settings, report)
        except NotReached as stopped:
            told_of = name if stopped.stage == "loading" else DONNED
            raise refusal(
                fitted.prepared.limb, model, told_of, load or no_load(model), stopped
            ) from stopped
        standing = reached.found.standing
        refuse_if_far(model, name, load or no_load(model), standing)
        return _case(fitted, name, reached), standing


FINITE_ELEMENTS = FiniteElements()


def contact_load(fitted: Fitted, load_case: LoadCase) -> Load | None:
    """The whole wrench less the coupling's pull, which contact must carry; None for nothing."""
    model, wrench = fitted.model, load_case.wrench_on_limb
    pull = load_case.coupling_pull_n * fitted.pull_n
    force = wrench.force_n - pull.sum(axis=0)
    about = np.cross(model.nodes_mm - model.reference_mm, pull).sum(axis=0)
    moment = wrench.moment_n_mm - np.cross(model.reference_mm, wrench.force_n) - about
    whole = np.concatenate([force, moment])
    if not (whole.any() or pull.any()):
        return None
    size = max(
        float(np.linalg.norm(wrench.force_n)),
        float(np.linalg.norm(moment)) / model.length_mm,
        abs(load_case.coupling_pull_n),
        LEAST_LOAD_N.value,
    )
    return Load(whole, on_unknowns(model, pull), size)


def _case(fitted: Fitted, name: str, reached: Reached) -> CasePressure:
    found = reached.found
    traction = on_surface(
        fitted, node_tractions(fitted.model.surface, found.contact, len(fitted.model.nodes_mm))
    )
    normals = vertex_normals(fitted.prepared.limb.surface)
    pressure = np.maximum(-np.einsum("ij,ij->i", traction, normals), 0.0)
    shear = traction + pressure[:, None] * normals
    return CasePressure(
        name,
        reals(pressure),
        reals(shear),
        pose_of_limb(fitted.model, found.standing),
        read_zones(fitted.zones, pressure, shear),
        share_in_contact(fitted.zones, pressure),
        found.share,
        reached.steps,
    )


def on_surface(fitted: Fitted, tractions_mpa: Vertices) -> Vertices:
    """Tractions of the nodes, (n, 3) MPa, carried to `Limb.surface`; 0 above the trim line."""
    over = fitted.carried_over
    carried = over.traction_to_surface @ tractions_mpa[over.outer_nodes]
    return np.where(fitted.zones.covered[:, None], carried, 0.0)


def pose_of_limb(model: Model, standing: Standing) -> Pose:
    """How the limb stands in the socket: the inverse of how the socket stands against the bones."""
    pose, about = standing.pose, model.reference_mm
    origin = about - pose.rotation.T @ (about + pose.shift_mm)
    return Pose(reals(origin), reals(-turn_of(pose)))
