"""Where the coupling sits and what fits under it."""

from __future__ import annotations

from dataclasses import dataclass

from limbwright.core.findings import Finding
from limbwright.core.mesh import Mesh, Vector, Vertices
from limbwright.core.sources import STATED_IN_CASE, Basis, Source
from limbwright.couple.plan import CouplingKind, SeatAxis


@dataclass(frozen=True, slots=True, eq=False)
class Seat:
    """The coupling's place under the limb, limb frame.

    Along the axis stand, one below the other: liner cap, spacing, coupling body, the socket's
    floor, and under it the plate.

    Parameters
    ----------
    kind : CouplingKind
    axis : (3,) float64, unit, pointing distally along the coupling's axis
    cap_mm : (3,) float64
        Distal face of the liner cap on the axis.
    face_mm : (3,) float64
        Proximal face of the coupling on the axis: cap + spacing along the axis. Without a
        coupling body: the inside of the socket's floor.
    base_mm : (3,) float64
        Outer face of the socket's floor on the axis, where the plate is screwed on: face + body
        height + floor along the axis.
    screws_mm : (4, 3) float64
        Screw centres in the plane of base_mm.
    exit_direction : (3,) float64, unit, perpendicular to the axis
    tilt_deg, offset_mm : float
        Liner target against coupling axis, unloaded.
    body_diameter_mm, body_height_mm : float
    target_mm : (3,) float64
        Middle of the liner cap's distal face; rides with the limb.
    target_axis : (3,) float64, unit, pointing distally
        Axis of the distal limb, which the target is square to.
    floor_mm : float
        Thickness of the socket's floor between body and plate.
    mouth_mm : float
        How far above the face the pocket must reach for the body to go in from inside.
    """

    kind: CouplingKind
    axis: Vector
    cap_mm: Vector
    face_mm: Vector
    base_mm: Vector
    screws_mm: Vertices
    exit_direction: Vector
    tilt_deg: float
    offset_mm: float
    body_diameter_mm: float
    body_height_mm: float
    target_mm: Vector
    target_axis: Vector
    floor_mm: float
    mouth_mm: float


COUPLING_BODY = "coupling body"
"""Name of the item of the build height that is the coupling's body."""


@dataclass(frozen=True, slots=True)
class HeightItem:
    """One part of the build height; height along the pylon's line.

    Parameters
    ----------
    name : str
    height_mm : float
        What it rises: a part on a tilted axis is higher itself.
    basis : Basis
    part : str
        Key of the catalogue entry that gives it; "" when none does.
    """

    name: str
    height_mm: float
    basis: Basis
    part: str = ""


@dataclass(frozen=True, slots=True)
class BuildHeight:
    """From datum to floor.

    Parameters
    ----------
    datum_floor_mm : float
    datum_basis : Basis
    items : tuple of HeightItem, proximal first, pylon excluded
    pylon_mm : float
        Length of tube between the clamps' stops that makes the sum exact; less than the
        minimum, even negative, when the parts do not fit. Measured along the limb's axis: the
        length to cut is that of the aligned leg.
    pylon_minimum_mm : float
    slack_mm : float
        By how much what is not stated may give way: default heights down to the low end of what
        such parts measure, an estimated datum by one standard deviation, heights of the catalogue
        by their tolerance; 0 when every height is given exactly.
    remembered_mm : float
        What is not stated, all told: as long as no more than this is missing, only heights from
        memory say that the parts do not fit.
    clearance_mm : float
        From the liner cap's face on the axis to the floor that the sound side stands on.
    minimum_source : Source
        Of the shortest tube.
    """

    datum_floor_mm: float
    datum_basis: Basis
    items: tuple[HeightItem, ...]
    pylon_mm: float
    pylon_minimum_mm: float
    slack_mm: float = 0.0
    remembered_mm: float = 0.0
    clearance_mm: float = 0.0
    minimum_source: Source = STATED_IN_CASE


@dataclass(frozen=True, slots=True, eq=False)
class Withdrawal:
    """Whether limb, model or dummy comes out along the axis, and what would free it.

    Parameters
    ----------
    catch_mm : float
        Largest interference met on the way out, as if rigid; 0 when it comes free.
    level_mm : float
        Level of the part that catches, below the datum.
    angle_deg : float
        Direction of the catch from outward, anti-clockwise.
    narrow_level_mm : float
        Level of the wall that it catches on.
    trim_to_mm : float or None
        Level below the datum that the trim line would have to stand at, in that direction, for
        the part to pass; None when it does not catch, or when a socket cut so low would not work.
    free_catch_mm : float
        Catch along the easiest straight way near the axis.
    free_tilt_deg, free_angle_deg : float
        Tilt of that way from the axis, and to which side its upper end leans.
    place_mm, narrow_mm : (3,) float64 or None
        Both places, limb frame; None when nothing catches.
    """

    catch_mm: float
    level_mm: float
    angle_deg: float
    narrow_level_mm: float = 0.0
    trim_to_mm: float | None = None
    free_catch_mm: float = 0.0
    free_tilt_deg: float = 0.0
    free_angle_deg: float = 0.0
    place_mm: Vector | None = None
    narrow_mm: Vector | None = None


@dataclass(frozen=True, slots=True)
class Swap:
    """One part of the catalogue in place of what stands there.

    Parameters
    ----------
    role : str
        Place, as the plan's choice of parts names it.
    key, kind : str
        Of the entry.
    saves_mm : float
    capacity_n : float or None
        What a coupling holds; None for others and where it is not stated.
    mass_kg : float or None
    basis : Basis
        DEFAULT for an invented example.
    """

    role: str
    key: str
    kind: str
    saves_mm: float
    capacity_n: float | None
    mass_kg: float | None
    basis: Basis


@dataclass(frozen=True, slots=True)
class Alternative:
    """Parts of the catalogue that would make the leg fit.

    Parameters
    ----------
    swaps : tuple of Swap
    spare_mm : float
        Height left over the shortest tube.
    capacity_n : float or None
        Least that the exchanged couplings hold.
    mass_kg : float or None
        Of the exchanged parts together.
    basis : Basis
    """

    swaps: tuple[Swap, ...]
    spare_mm: float
    capacity_n: float | None
    mass_kg: float | None
    basis: Basis


@dataclass(frozen=True, slots=True)
class AxisChoice:
    """What setting the coupling on an axis costs.

    Parameters
    ----------
    axis : SeatAxis
    tilt_deg, offset_mm : float
        Of the liner's target against it, unloaded.
    adapter_deg : float
        Largest angle at which an adapter stands on the bench with it.
    taken : bool
    """

    axis: SeatAxis
    tilt_deg: float
    offset_mm: float
    adapter_deg: float
    taken: bool


@dataclass(frozen=True, slots=True, eq=False)
class Coupling:
    """The coupling set under the limb, with all it implies.

    Parameters
    ----------
    seat : Seat
    height : BuildHeight
    withdrawal : Withdrawal
        Of the rigid model (the positive).
    limb_withdrawal : Withdrawal
        Of the limb in its liner, as it sits in the socket.
    dummy_withdrawal : Withdrawal or None
        Of the coupling's dummy out of a cast; None without a coupling body.
    additions : tuple of Mesh
        Closed solids to unite with the shell (seat boss), limb frame. These and the cutters are
        for a common wall; `couple.hardware.seat_solids` makes them for the wall in hand.
    cutters : tuple of Mesh
        Closed solids to cut from the shell (body pocket, screw holes, exit), limb frame.
    findings : tuple of Finding
    axes : tuple of AxisChoice
        The axis taken and the others; empty when the bench's stand is not known.
    alternatives : tuple of Alternative
        What would fit, the best first; empty when the parts fit.
    free_exit_deg : float or None
        Direction nearest to the plan's in which an exit is free of trim line and shin; None when
        none is or there is no exit.
    """

    seat: Seat
    height: BuildHeight
    withdrawal: Withdrawal
    limb_withdrawal: Withdrawal
    additions: tuple[Mesh, ...]
    cutters: tuple[Mesh, ...]
    findings: tuple[Finding, ...]
    dummy_withdrawal: Withdrawal | None = None
    axes: tuple[AxisChoice, ...] = ()
    alternatives: tuple[Alternative, ...] = ()
    free_exit_deg: float | None = None
