"""The leg as a chain, the loads through it and the screws that change it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from limbwright.align.chain import Leg
from limbwright.core.findings import Finding
from limbwright.core.mesh import Vector
from limbwright.core.sources import Basis


@dataclass(frozen=True, slots=True, eq=False)
class Wrench:
    """A force and a moment.

    Parameters
    ----------
    force_n : (3,) float64, limb frame (o, f, u)
    moment_n_mm : (3,) float64, about the limb frame's origin
    """

    force_n: Vector
    moment_n_mm: Vector


@dataclass(frozen=True, slots=True, eq=False)
class LoadCase:
    """What the socket must carry at one instant.

    Parameters
    ----------
    name : str
        "donned", "standing", "early_stance", "mid_stance", "late_stance", "swing".
    wrench_on_limb : Wrench
        Resultant that the socket wall and, in swing, the coupling together exert on the limb:
        standing pushes up (+u).
    coupling_pull_n : float
        Part of it that the coupling transmits along the seat's axis (pulling the limb's end
        distally); 0 outside swing.
    basis : Basis
    text : str
        What it rests on, in one sentence.
    """

    name: str
    wrench_on_limb: Wrench
    coupling_pull_n: float
    basis: Basis
    text: str


@dataclass(frozen=True, slots=True)
class GroundLoad:
    """A load case in the axes of the ground, in which every moment of the alignment is told.

    Parameters
    ----------
    name : str
        Of the load case.
    up_n, forward_n, outward_n : float
        Force of the socket on the limb.
    coronal_n_m, sagittal_n_m : float
        Its moments at the datum, signed as in `MomentCurve`.
    """

    name: str
    up_n: float
    forward_n: float
    outward_n: float
    coronal_n_m: float
    sagittal_n_m: float


@dataclass(frozen=True, slots=True)
class ScrewTurn:
    """Turns of one pair of opposed screws on one adapter, positive tightens the named screw.

    Parameters
    ----------
    adapter : str
        "socket" or "foot" for the main pyramids, else the adapter's name.
    screw : str
        Screw to drive in, by its place round the leg: "anterior", "posterior", "medial" or
        "lateral", or between two of them; the opposite one is backed out first by the same turns.
    turns : float
        Multiple of a quarter.
    """

    adapter: str
    screw: str
    turns: float


@dataclass(frozen=True, slots=True)
class AdjustmentStep:
    """One thing to do at one adapter.

    Parameters
    ----------
    number : int
        In the order in which they are done, from 1.
    adapter, kind : str
    what : str
        "flexion", "adduction", "forward", "outward", "turn" or "length".
    undo, do : str
        What is loosened first, and what is then done.
    screw : str
        The screw to drive in; "" where there is none.
    amount : float
    unit : str
        "turns", "deg" or "mm".
    change : float
        What it changes at the adapter, in `change_unit`.
    change_unit : str
    start, end : float
        Where the adapter stands before and after, from straight or its middle, in `change_unit`.
    """

    number: int
    adapter: str
    kind: str
    what: str
    undo: str
    do: str
    screw: str
    amount: float
    unit: str
    change: float
    change_unit: str
    start: float
    end: float


@dataclass(frozen=True, slots=True)
class Adjustment:
    """How the wanted change is reached, and what it really gives after rounding to quarters.

    Parameters
    ----------
    turns : tuple of ScrewTurn
    angles_deg : mapping of "socket flexion", "socket adduction", "foot flexion",
        "foot adduction" and the like to the exact change of angle
    reached_forward_mm, reached_outward_mm : float
        Shift of the foot with the rounded turns.
    reached_foot_flexion_deg, reached_foot_adduction_deg : float
    length_change_mm : float
        Change of datum-to-floor length.
    feasible : bool
    text : str
    steps : tuple of AdjustmentStep
        Everything to be done, in order. Where the change is out of reach: what comes nearest.
    shifts_mm : mapping of "socket slide forward" and the like to the exact shift
    reached_up_mm, reached_toe_out_deg : float
    missing_forward_mm, missing_outward_mm, missing_up_mm, missing_toe_out_deg : float
        What no setting within the ranges gives: an offset adapter's step, a tube's length or turn.
    seat_forward_mm, seat_outward_mm : float
        Shift of the coupling's seat, in its own plane, that gives the missing shift instead.
    nearest_text : str
        The steps that come nearest, where the change is out of reach.
    """

    turns: tuple[ScrewTurn, ...]
    angles_deg: Mapping[str, float]
    reached_forward_mm: float
    reached_outward_mm: float
    reached_foot_flexion_deg: float
    reached_foot_adduction_deg: float
    length_change_mm: float
    feasible: bool
    text: str
    steps: tuple[AdjustmentStep, ...] = ()
    shifts_mm: Mapping[str, float] = field(default_factory=dict)
    reached_up_mm: float = 0.0
    reached_toe_out_deg: float = 0.0
    missing_forward_mm: float = 0.0
    missing_outward_mm: float = 0.0
    missing_up_mm: float = 0.0
    missing_toe_out_deg: float = 0.0
    seat_forward_mm: float = 0.0
    seat_outward_mm: float = 0.0
    nearest_text: str = ""


@dataclass(frozen=True, slots=True)
class MomentCurve:
    """Moments at the socket through stance.

    Coronal positive drives the knee outward (varus thrust), sagittal positive drives it back
    (extension), transverse positive turns the limb's front inward.

    Parameters
    ----------
    stance_percent : tuple of float
    coronal_n_m, sagittal_n_m, transverse_n_m : tuple of float
        About f, o and u at `at`, in the axes of the ground that the sole stands on.
    vertical_n : tuple of float
    at : str
        "datum" or "socket base".
    """

    stance_percent: tuple[float, ...]
    coronal_n_m: tuple[float, ...]
    sagittal_n_m: tuple[float, ...]
    transverse_n_m: tuple[float, ...]
    vertical_n: tuple[float, ...]
    at: str


@dataclass(frozen=True, slots=True)
class LoadLinePlace:
    """How far the load line passes from a place.

    Parameters
    ----------
    name : str
        "knee", a place of the chain, or a landmark.
    height_mm : float
        Over the floor.
    line_forward_mm, line_outward_mm : float
        The line passes in front of the place, and lateral of it: positive.
    basis : Basis
    """

    name: str
    height_mm: float
    line_forward_mm: float
    line_outward_mm: float
    basis: Basis


@dataclass(frozen=True, slots=True, eq=False)
class LoadLine:
    """The vertical through the centre of pressure in quiet standing.

    Parameters
    ----------
    point_mm : (3,) float64, limb frame
        Where it meets the floor.
    direction : (3,) float64, unit
    places : tuple of LoadLinePlace
        From the top down.
    """

    point_mm: Vector
    direction: Vector
    places: tuple[LoadLinePlace, ...]


@dataclass(frozen=True, slots=True)
class PhaseMoments:
    """Moments at a place in a phase of stance, N·m; signs as in MomentCurve.

    Parameters
    ----------
    place : str
        "datum", "socket base" or "knee".
    phase : str
        "early_stance", "mid_stance" or "late_stance".
    coronal_n_m, sagittal_n_m, transverse_n_m : float
    """

    place: str
    phase: str
    coronal_n_m: float
    sagittal_n_m: float
    transverse_n_m: float


@dataclass(frozen=True, slots=True)
class ChangeEffect:
    """What a small change does, before and after. Changes are upper bounds: people adapt.

    Parameters
    ----------
    name : str
    amount : float
    unit : str
    before, after : tuple of PhaseMoments
    standing_before_n_m, standing_after_n_m : (coronal, sagittal) at the datum in quiet standing
    length_before_mm, length_after_mm : float
        Datum to floor.
    foot_forward_mm, foot_outward_mm, foot_flexion_deg, foot_adduction_deg : float
        What happens to the foot.
    """

    name: str
    amount: float
    unit: str
    before: tuple[PhaseMoments, ...]
    after: tuple[PhaseMoments, ...]
    standing_before_n_m: tuple[float, float]
    standing_after_n_m: tuple[float, float]
    length_before_mm: float
    length_after_mm: float
    foot_forward_mm: float
    foot_outward_mm: float
    foot_flexion_deg: float
    foot_adduction_deg: float


@dataclass(frozen=True, slots=True)
class SeenScrew:
    """Where a screw is for someone who stands in front of the person and faces the leg.

    Parameters
    ----------
    adapter, screw : str
    gives : str
        What driving it in gives more of: "flexion", "extension", "adduction" or "abduction".
    to_the_right : float
        -1 far left of the one who looks to 1 far right.
    towards_one : float
        -1 at the back of the leg to 1 at its front.
    seen : str
        In words: "in front", "on your left" and the like.
    """

    adapter: str
    screw: str
    gives: str
    to_the_right: float
    towards_one: float
    seen: str


@dataclass(frozen=True, slots=True, eq=False)
class ChainAdapter:
    """One adapter as it stands in the leg.

    Parameters
    ----------
    name, kind, place : str
    point_mm : (3,) float64, limb frame
        A pyramid's ball; else where the adapter begins.
    azimuth_deg, height_mm : float
    set_to : mapping of "flexion", "forward" and the like to (value, unit)
    range_deg, range_mm : float
        To each side; 0 where it does not move that way.
    range_basis : Basis
    screw_pitch_mm, screw_arm_mm : float
    screw_basis : Basis
    height_basis : Basis
    """

    name: str
    kind: str
    place: str
    point_mm: Vector
    azimuth_deg: float
    height_mm: float
    set_to: Mapping[str, tuple[float, str]]
    range_deg: float
    range_mm: float
    range_basis: Basis
    screw_pitch_mm: float
    screw_arm_mm: float
    screw_basis: Basis
    height_basis: Basis


@dataclass(frozen=True, slots=True)
class CauseReading:
    """A cause that teaching lists name for a deviation, and what this leg says to it.

    Parameters
    ----------
    cause : str
    says : str
        What is computed for this leg, in words.
    verdict : str
        "fits", "speaks against", "not seen here" or "not computed".
    value : float or None
    unit : str
    """

    cause: str
    says: str
    verdict: str
    value: float | None
    unit: str


@dataclass(frozen=True, slots=True)
class DeviationAnswer:
    """What may be behind something that was seen, and what to change first.

    Parameters
    ----------
    phase, what : str
    causes : tuple of CauseReading
    contradictions : tuple of str
        Where this leg's computed state and what was seen do not agree.
    remarks : tuple of str
        What else the computed state says, and what it cannot say.
    first_change : str
    adjustment : Adjustment or None
        The first change at this leg's screws; None where it is none of the alignment.
    predicted : str
        What the first change does to this leg's moments, by computation.
    """

    phase: str
    what: str
    causes: tuple[CauseReading, ...]
    contradictions: tuple[str, ...]
    remarks: tuple[str, ...]
    first_change: str
    adjustment: Adjustment | None
    predicted: str


@dataclass(frozen=True, slots=True, eq=False)
class Alignment:
    """The aligned leg.

    Parameters
    ----------
    points_mm : mapping of name to (3,) float64, limb frame
        "datum", "socket_base", "socket_adapter", "pylon_top", "pylon_bottom", "foot_adapter",
        "ankle", "heel", "toe", "sole_centre".
    up : (3,) float64
        Vertical in the limb frame on the bench (socket flexion and adduction undone).
    forward : (3,) float64
        Line of progression in the limb frame.
    load_cases : tuple of LoadCase
    ground_loads : tuple of GroundLoad
        The same in the axes of the ground.
    moments : MomentCurve
    adjustment : Adjustment
    settings : mapping of name to (value, unit, Basis)
        How the leg stands, after whatever its adapters were turned; defaults marked.
    findings : tuple of Finding
    leg : Leg
        The chain itself, for changes of it.
    chain : tuple of ChainAdapter
        Every adapter from the socket down.
    screws : tuple of SeenScrew
        Every screw, as the practitioner looks at the leg.
    load_line : LoadLine or None
        In quiet standing.
    effects : tuple of ChangeEffect
        What a standard set of small changes does to this leg.
    guide : tuple of DeviationAnswer
        For what was observed.
    planned : mapping of name to (value, unit, Basis)
        What the bench was set to before anything was turned.
    turned : tuple of AdjustmentStep
        All that has been turned and slid from the bench position, in order.
    """

    points_mm: Mapping[str, Vector]
    up: Vector
    forward: Vector
    load_cases: tuple[LoadCase, ...]
    ground_loads: tuple[GroundLoad, ...]
    moments: MomentCurve
    adjustment: Adjustment
    settings: Mapping[str, tuple[float, str, Basis]]
    findings: tuple[Finding, ...]
    leg: Leg
    chain: tuple[ChainAdapter, ...] = ()
    screws: tuple[SeenScrew, ...] = ()
    load_line: LoadLine | None = None
    effects: tuple[ChangeEffect, ...] = ()
    guide: tuple[DeviationAnswer, ...] = ()
    planned: Mapping[str, tuple[float, str, Basis]] = field(default_factory=dict)
    turned: tuple[AdjustmentStep, ...] = ()
