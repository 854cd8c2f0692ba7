"""The leg as a chain, the loads through it and the screws that change it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

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
class ScrewTurn:
    """Turns of one pair of opposed screws on one adapter, positive tightens the named screw.

    Parameters
    ----------
    adapter : str
        "socket" or "foot".
    screw : str
        Screw to drive in: "anterior", "posterior", "medial" or "lateral"; the opposite one is
        backed out first by the same turns.
    turns : float
        Multiple of a quarter.
    """

    adapter: str
    screw: str
    turns: float


@dataclass(frozen=True, slots=True)
class Adjustment:
    """How the wanted change is reached, and what it really gives after rounding to quarters.

    Parameters
    ----------
    turns : tuple of ScrewTurn
    angles_deg : mapping of "socket flexion", "socket adduction", "foot flexion",
        "foot adduction" to the exact change of angle
    reached_forward_mm, reached_outward_mm : float
        Shift of the foot with the rounded turns.
    reached_foot_flexion_deg, reached_foot_adduction_deg : float
    length_change_mm : float
        Change of datum-to-floor length.
    feasible : bool
    text : str
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
    moments : MomentCurve
    adjustment : Adjustment
    settings : mapping of name to (value, unit, Basis)
        The bench settings used, defaults marked.
    findings : tuple of Finding
    leg : Leg
        The chain itself, for changes of it.
    """

    points_mm: Mapping[str, Vector]
    up: Vector
    forward: Vector
    load_cases: tuple[LoadCase, ...]
    moments: MomentCurve
    adjustment: Adjustment
    settings: Mapping[str, tuple[float, str, Basis]]
    findings: tuple[Finding, ...]
    leg: Leg
