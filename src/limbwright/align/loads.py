"""From the ground to the socket: wrenches of the load cases, and moments through stance.

The foot is taken to bend and roll over the ground in the same way whatever the alignment: the
ground reaction keeps its place and direction on the foot, and the leg above rides on it. Changes
of moment are thus upper bounds: people adapt, and measured changes are smaller. Weight and
inertia of the prosthesis in stance, about 2 percent of the load, are left out, as is the
ground's free moment.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from limbwright.align.chain import Leg, LegPose, about_outward, stand
from limbwright.align.gait_loads import EARLY, LATE, MID, ground_reaction
from limbwright.align.result import GroundLoad, LoadCase, MomentCurve, Wrench
from limbwright.align.swing import swing_pull
from limbwright.align.tables import ANKLE_HEIGHT_MM, STANDING_POINT, STANDING_SHARE
from limbwright.core.mesh import Scalars, Vector, Vertices
from limbwright.core.sources import Basis
from limbwright.core.units import n_m_from_n_mm
from limbwright.couple.hanging_mass import HangingMass
from limbwright.couple.plan import CouplingKind
from limbwright.couple.result import Seat

CURVE_STEPS = 51
PULLS_AT_END = frozenset(
    {
        CouplingKind.PIN,
        CouplingKind.MAGNET,
        CouplingKind.LANYARD,
        CouplingKind.SUCTION,
        CouplingKind.VACUUM,
    }
)
"""Suspensions that hold the limb at its end; sleeve and strap hold it further up."""


@dataclass(frozen=True, slots=True)
class Walker:
    """What the loads need to know of the person.

    Parameters
    ----------
    body_weight_n, speed_m_s : float
    basis : Basis
        Of the speed.
    """

    body_weight_n: float
    speed_m_s: float
    basis: Basis


@dataclass(frozen=True, slots=True, eq=False)
class StanceForces:
    """Ground reaction on the leg at instants of stance, limb frame.

    Parameters
    ----------
    point_mm, force_n : (n, 3) float64
    """

    point_mm: Vertices
    force_n: Vertices

    def moments_n_mm(self, about_mm: Vector) -> Vertices:
        """Moments about a place, (n, 3)."""
        return np.cross(self.point_mm - about_mm, self.force_n)


def stance_forces(leg: Leg, pose: LegPose, walker: Walker, stance: Scalars) -> StanceForces:
    """Ground reaction on the leg at instants of stance, limb frame.

    Parameters
    ----------
    leg : Leg
    pose : LegPose
        Where its foot stands.
    walker : Walker
    stance : (n,) float64, 0 to 1
    """
    reaction = ground_reaction(stance, walker.speed_m_s)
    lean = np.array([about_outward(float(angle)) for angle in reaction.lean_rad])
    force = np.einsum("ij,njk,nk->ni", pose.ground_axes, lean, reaction.force_bw)
    place = leg.foot_length_mm * np.column_stack(
        [np.zeros_like(reaction.ahead), reaction.ahead, reaction.rise]
    )
    return StanceForces(_sole(pose) + place @ pose.foot_axes.T, walker.body_weight_n * force)


def stance_wrench(leg: Leg, pose: LegPose, walker: Walker, stance: float) -> Wrench:
    """Wrench of the socket on the limb at an instant of stance, about the datum, limb frame."""
    at = stance_forces(leg, pose, walker, np.array([stance]))
    return Wrench(at.force_n[0], np.cross(at.point_mm[0], at.force_n[0]))


def standing_wrench(leg: Leg, pose: LegPose, walker: Walker) -> Wrench:
    """Wrench in quiet standing on both legs."""
    force = STANDING_SHARE.value * walker.body_weight_n * pose.ground_axes[:, 2]
    return Wrench(force, np.cross(standing_point_mm(leg, pose), force))


def standing_point_mm(leg: Leg, pose: LegPose) -> Vector:
    """Where the ground pushes in quiet standing, (3,) limb frame."""
    ahead = STANDING_POINT.value * leg.foot_length_mm
    return np.asarray(_sole(pose) + ahead * pose.foot_axes[:, 1], dtype=np.float64)


def load_cases(
    leg: Leg, pose: LegPose, walker: Walker, seat: Seat, mass: HangingMass, fast_m_s: float
) -> tuple[LoadCase, ...]:
    """The six load cases of a leg, in the order of a step.

    Parameters
    ----------
    leg : Leg
    pose : LegPose
    walker : Walker
    seat : Seat
    mass : HangingMass
        What is swung, as in the proof of the suspension.
    fast_m_s : float
        Speed at which it is swung, as there.
    """
    nothing = Wrench(np.zeros(3), np.zeros(3))
    speed = f"{walker.speed_m_s:.2f} m/s"
    cases = [
        LoadCase("donned", nothing, 0.0, Basis.GIVEN, "The limb in the socket, nothing loaded."),
        LoadCase(
            "standing",
            standing_wrench(leg, pose, walker),
            0.0,
            Basis.ESTIMATED,
            "Half of body weight, both legs on the ground, in front of the ankle as in quiet"
            " standing.",
        ),
    ]
    for name, part, words in (
        ("early_stance", EARLY, "first peak of the ground reaction"),
        ("mid_stance", MID, "its valley, the other leg in swing"),
        ("late_stance", LATE, "second peak of the ground reaction"),
    ):
        text = f"Level walking at {speed}, {words}; forces of able-bodied walking."
        wrench = stance_wrench(leg, pose, walker, part)
        cases.append(LoadCase(name, wrench, 0.0, _weaker(walker.basis), text))
    return (*cases, _swing(pose, walker, seat, mass, fast_m_s))


def ground_loads(cases: tuple[LoadCase, ...], pose: LegPose) -> tuple[GroundLoad, ...]:
    """Load cases as a person who looks at the leg tells them: in the axes of the ground.

    Parameters
    ----------
    cases : tuple of LoadCase
        In the limb's own axes, which the socket holds at an angle to the ground.
    pose : LegPose
        The one that they were computed in.
    """
    found = []
    for case in cases:
        outward, forward, up = (case.wrench_on_limb.force_n @ pose.ground_axes).tolist()
        about = n_m_from_n_mm(1.0) * case.wrench_on_limb.moment_n_mm @ pose.ground_axes
        sagittal, coronal, _ = about.tolist()
        found.append(GroundLoad(case.name, up, forward, outward, coronal, sagittal))
    return tuple(found)


def moment_curve(
    leg: Leg, walker: Walker, at: str = "datum", pose: LegPose | None = None
) -> MomentCurve:
    """Moments of the ground reaction about a place on the socket, through stance.

    Signs: coronal positive drives the knee outward (varus thrust), as an inset foot does;
    sagittal positive drives the knee back (extension), as a foot set forward does; transverse
    positive turns the limb's front inward.

    Parameters
    ----------
    leg : Leg
    walker : Walker
    at : str
        "datum" or "socket base".
    pose : LegPose, optional
        Where the foot stands; by default as the leg is set.

    Raises
    ------
    KeyError
        When the place is neither.
    """
    pose = pose or stand(leg)
    point = {"datum": np.zeros(3), "socket base": leg.base_mm}[at]
    parts = np.linspace(0.0, 1.0, CURVE_STEPS)
    forces = stance_forces(leg, pose, walker, parts)
    about = n_m_from_n_mm(1.0) * forces.moments_n_mm(point) @ pose.ground_axes
    return MomentCurve(
        tuple(float(100.0 * part) for part in parts),
        tuple(about[:, 1].tolist()),
        tuple(about[:, 0].tolist()),
        tuple(about[:, 2].tolist()),
        tuple((forces.force_n @ pose.ground_axes[:, 2]).tolist()),
        at,
    )


def _sole(pose: LegPose) -> Vector:
    """Place of the flat sole under the ankle."""
    return pose.points_mm["ankle"] - ANKLE_HEIGHT_MM.value * pose.foot_axes[:, 2]


def _swing(
    pose: LegPose, walker: Walker, seat: Seat, mass: HangingMass, fast_m_s: float
) -> LoadCase:
    """The prosthesis pulls down the line of its pylon, by the hand bound."""
    pull = swing_pull(mass.kg, fast_m_s)
    force = -pull.bound_n * pose.pylon_axes[:, 2]
    wrench = Wrench(force, np.cross(pose.points_mm["socket_adapter"], force))
    along = float(force @ seat.axis) if seat.kind in PULLS_AT_END else 0.0
    return LoadCase(
        "swing",
        wrench,
        along,
        mass.basis if mass.basis is Basis.DEFAULT else _weaker(walker.basis),
        f"{mass.kg:.1f} kg of prosthesis with shoe ({mass.says}) swung as in walking at"
        f" {fast_m_s:.2f} m/s: {pull.bound_n:.0f} N, the hand bound of one measured walker, who"
        f" pulled with {pull.table_n:.0f} N, scaled.",
    )


def _weaker(basis: Basis) -> Basis:
    """Loads of walking are never better than estimated."""
    return basis if basis in (Basis.GUESSED, Basis.DEFAULT) else Basis.ESTIMATED
