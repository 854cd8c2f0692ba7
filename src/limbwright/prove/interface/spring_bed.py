"""The first estimate: rigid bones in a rigid socket on a bed of independent springs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.align.result import LoadCase
from limbwright.assess.plan import Liner
from limbwright.capture.plan import ScannedOver
from limbwright.capture.result import Limb
from limbwright.core.kernels import reals
from limbwright.core.mesh import Scalars, Vertices
from limbwright.core.sources import Basis
from limbwright.core.telling import Tell, silent
from limbwright.couple.result import Seat
from limbwright.prove.interface.balancing import ACROSS_AND_TILT, Balance, find_balance
from limbwright.prove.interface.bed import (
    Bed,
    BedState,
    Motion,
    at_rest,
    fields,
    make_bed,
    pose_of,
    wrench_about_reference,
)
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
from limbwright.prove.interface.stiffness import (
    Assumptions,
    Stiffness,
    assumptions_of,
    bed_stiffness,
)
from limbwright.prove.plan import ProvePlan
from limbwright.prove.result import CasePressure, Pose
from limbwright.shape.result import SocketShape


@dataclass(frozen=True, slots=True, eq=False)
class Prepared:
    """What depends on the limb and what it wears.

    Parameters
    ----------
    skin : Skin
    cover_mm : (n,) float64
    bones : Basis
    assumed : Assumptions
    """

    skin: Skin
    cover_mm: Scalars
    bones: Basis
    assumed: Assumptions


@dataclass(frozen=True, slots=True, eq=False)
class Fitted:
    """A limb against one socket.

    Parameters
    ----------
    prepared : Prepared
    zones : ZoneMap
    covered : (k,) int
        Vertices of `Limb.surface` that carry a spring.
    bed : Bed
    pull_at_mm, pull_along : (3,) float64
        Where the coupling holds the limb's end, and the way it pulls.
    """

    prepared: Prepared
    zones: ZoneMap
    covered: NDArray[np.intp]
    bed: Bed
    pull_at_mm: NDArray[np.float64]
    pull_along: NDArray[np.float64]


class SpringBed:
    """First estimate of interface pressure (see docs/method/pressure_first_estimate.md)."""

    name = "spring_bed"

    def prepare(
        self,
        limb: Limb,
        liner: Liner,
        scanned_over: ScannedOver,
        plan: ProvePlan,
        progress: Tell = silent,
    ) -> Prepared:
        """Surface, cover and elastic figures of one limb."""
        return Prepared(
            skin_of(limb.surface),
            reals(limb.cover_mm),
            limb.bones.basis,
            assumptions_of(liner, plan.tissue),
        )

    def with_socket(
        self, prepared: Prepared, shape: SocketShape, seat: Seat | None = None
    ) -> Fitted:
        """Springs wherever the socket covers the limb.

        Raises
        ------
        DesignRefused
            When the trim line leaves no socket.
        """
        covered = np.flatnonzero(shape.below_trim & (prepared.skin.areas_mm2 > 0))
        if len(covered) < 4:
            raise no_socket()
        skin = prepared.skin
        bed = make_bed(
            skin.points_mm[covered],
            skin.normals[covered],
            skin.areas_mm2[covered],
            (shape.liner_mm - shape.displacement_mm - shape.flare_mm)[covered],
            _stiffness(prepared, shape, covered),
            prepared.assumed.friction,
        )
        at, along = _pull(skin, shape, seat)
        return Fitted(prepared, divide(skin, shape), covered, bed, at, along)

    def label(self, fitted: Fitted) -> str:
        """What the numbers are and what they assume."""
        return label_of(fitted.prepared.assumed, fitted.prepared.bones)

    def solve(
        self,
        fitted: Fitted,
        load_case: LoadCase,
        start: BedState | None = None,
        progress: Tell = silent,
    ) -> tuple[CasePressure, BedState]:
        """Equilibrium of one load case from a donned state; None dons the socket first."""
        if start is None:
            start = seat_limb(fitted)
            if not is_unloaded(load_case):
                start = self.solve(fitted, unloaded(), start)[1]
        found = carry(fitted, load_case, start)
        bed = fitted.bed
        pressure, shear = fields(bed, start, found.motion, bed.friction)
        return _case(fitted, load_case.name, found, pressure, shear), BedState(found.motion, shear)


SPRING_BED = SpringBed()


def seat_limb(fitted: Fitted) -> BedState:
    """The limb pushed in to its designed depth, before it is let go.

    Whoever dons a socket sets how deep and how far turned about its long axis the limb goes in.
    While it slides, friction acts against the sliding, along the limb, and holds nothing across
    it: so the limb finds its place across and its tilt freely. From there shear is remembered;
    the push is then released (see `SpringBed.solve`).
    """
    rest = at_rest(fitted.bed)
    found = find_balance(fitted.bed, np.zeros(6), rest, 0.0, free=ACROSS_AND_TILT)
    refuse_if_lost(fitted.bed, DONNED, np.zeros(6), found)
    return BedState(found.motion, rest.shear_mpa)


def carry(fitted: Fitted, load_case: LoadCase, start: BedState) -> Balance:
    """The motion at which contact carries a load case.

    Raises
    ------
    NotConverged
        When contact cannot carry it.
    """
    bed, wrench = fitted.bed, load_case.wrench_on_limb
    load = contact_load_n(fitted, load_case)
    whole = wrench_about_reference(bed, wrench.force_n, wrench.moment_n_mm)
    scale = load_size_n(whole, load_case)
    found = find_balance(bed, load, start, bed.friction, scale_n=scale)
    refuse_if_lost(bed, load_case.name, load, found)
    return found


def contact_load_n(fitted: Fitted, load_case: LoadCase) -> Motion:
    """What contact alone must exert on the limb: the whole wrench less the coupling's pull."""
    pull = load_case.coupling_pull_n * fitted.pull_along
    wrench = load_case.wrench_on_limb
    return wrench_about_reference(
        fitted.bed, wrench.force_n - pull, wrench.moment_n_mm - np.cross(fitted.pull_at_mm, pull)
    )


def _stiffness(prepared: Prepared, shape: SocketShape, covered: NDArray[np.intp]) -> Stiffness:
    """Springs from the tissue's cover and the liner; a scan over the liner contains it already."""
    cover, liner = prepared.cover_mm[covered], shape.liner_mm[covered]
    if not shape.liner_mm.any():
        worn = prepared.assumed.liner_thickness_mm
        cover, liner = cover - worn, np.full(len(covered), worn)
    return bed_stiffness(prepared.assumed, cover, liner)


def _pull(
    skin: Skin, shape: SocketShape, seat: Seat | None
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Where and which way the coupling pulls; without a seat, straight down at the limb's end."""
    if seat is not None:
        return seat.cap_mm, seat.axis
    height = np.where(shape.below_trim, skin.points_mm[:, 2], np.inf)
    return skin.points_mm[int(height.argmin())], np.array([0.0, 0.0, -1.0])


def _case(
    fitted: Fitted, name: str, found: Balance, pressure: Scalars, shear: Vertices
) -> CasePressure:
    count = len(fitted.prepared.cover_mm)
    pressure_mpa, shear_mpa = np.zeros(count), np.zeros((count, 3))
    pressure_mpa[fitted.covered] = pressure
    shear_mpa[fitted.covered] = -shear
    shift, turn = pose_of(fitted.bed, found.motion)
    return CasePressure(
        name,
        reals(pressure_mpa),
        reals(shear_mpa),
        Pose(reals(shift), reals(turn)),
        read_zones(fitted.zones, pressure_mpa, shear_mpa),
        share_in_contact(fitted.zones, pressure_mpa),
        found.share,
        found.iterations,
    )
