"""What a small change does to this leg: moments, load cases and length, before a screw is touched.

The foot is moved and the rest of the leg held, or one adapter tilts and the leg below swings
with it. Changes of moment are upper bounds, since people adapt.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from limbwright.align.chain import Leg, LegPose, Tilt, datum_height_mm, stand
from limbwright.align.gait_loads import EARLY, LATE, MID
from limbwright.align.loads import Walker, moment_curve, stance_forces, standing_wrench
from limbwright.align.moves import FootChange, change_of_pose, moved_pose
from limbwright.align.result import ChangeEffect, MomentCurve, PhaseMoments
from limbwright.align.tables import SMALL_SHIFT_MM, SMALL_TILT_DEG, SMALL_TOE_OUT_DEG
from limbwright.core.mesh import Vector
from limbwright.core.units import n_m_from_n_mm

PHASES = {"early_stance": EARLY, "mid_stance": MID, "late_stance": LATE}


STILL = FootChange()


@dataclass(frozen=True, slots=True)
class Change:
    """A change of the leg: of the foot, of the socket's tilt over the tube, or both.

    Parameters
    ----------
    name : str
        In words.
    foot : FootChange
        With the rest of the leg held.
    socket_flexion_deg, socket_adduction_deg : float
        At the main pyramid under the socket alone: everything below swings with it.
    amount : float
    unit : str
        Size, for a table.
    """

    name: str
    foot: FootChange = STILL
    socket_flexion_deg: float = 0.0
    socket_adduction_deg: float = 0.0
    amount: float = 0.0
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Effect:
    """Moments through stance before and after a change of the foot.

    Parameters
    ----------
    before, after : MomentCurve
        At the same place; the changes are upper bounds, since people adapt.
    """

    before: MomentCurve
    after: MomentCurve


def effect_of_foot_move(leg: Leg, change: FootChange, walker: Walker, at: str = "datum") -> Effect:
    """Moments at the socket through stance before and after moving or tilting the foot."""
    moved = moved_pose(leg, change)
    return Effect(moment_curve(leg, walker, at), moment_curve(leg, walker, at, moved))


def small_changes() -> tuple[Change, ...]:
    """The standard set of small changes, each beside its opposite."""
    shift, tilt, out = SMALL_SHIFT_MM.value, SMALL_TILT_DEG.value, SMALL_TOE_OUT_DEG.value
    foot = (
        ("foot forward", FootChange(forward_mm=shift), shift, "mm"),
        ("foot back", FootChange(forward_mm=-shift), shift, "mm"),
        ("foot out", FootChange(outward_mm=shift), shift, "mm"),
        ("foot in", FootChange(outward_mm=-shift), shift, "mm"),
        ("foot up", FootChange(up_mm=shift), shift, "mm"),
        ("foot down", FootChange(up_mm=-shift), shift, "mm"),
        ("toe out", FootChange(toe_out_deg=out), out, "deg"),
        ("toe in", FootChange(toe_out_deg=-out), out, "deg"),
        ("dorsiflexion", FootChange(flexion_deg=tilt), tilt, "deg"),
        ("plantar flexion", FootChange(flexion_deg=-tilt), tilt, "deg"),
        ("outer border up", FootChange(adduction_deg=tilt), tilt, "deg"),
        ("inner border up", FootChange(adduction_deg=-tilt), tilt, "deg"),
    )
    return (
        *(Change(name, change, amount=size, unit=unit) for name, change, size, unit in foot),
        Change("socket flexion", socket_flexion_deg=tilt, amount=tilt, unit="deg"),
        Change("socket extension", socket_flexion_deg=-tilt, amount=tilt, unit="deg"),
        Change("socket adduction", socket_adduction_deg=tilt, amount=tilt, unit="deg"),
        Change("socket abduction", socket_adduction_deg=-tilt, amount=tilt, unit="deg"),
    )


def effect_of(leg: Leg, change: Change, walker: Walker, knee_mm: Vector) -> ChangeEffect:
    """Moments, lengths and the foot's place before and after a change of this leg.

    Parameters
    ----------
    leg : Leg
    change : Change
    walker : Walker
    knee_mm : (3,) float64, limb frame
    """
    before, after = stand(leg), changed_pose(leg, change)
    moved = change_of_pose(before, after)
    return ChangeEffect(
        name=change.name,
        amount=change.amount,
        unit=change.unit,
        before=phase_moments(leg, before, walker, knee_mm),
        after=phase_moments(leg, after, walker, knee_mm),
        standing_before_n_m=_standing(leg, before, walker),
        standing_after_n_m=_standing(leg, after, walker),
        length_before_mm=datum_height_mm(before),
        length_after_mm=datum_height_mm(after),
        foot_forward_mm=moved.forward_mm,
        foot_outward_mm=moved.outward_mm,
        foot_flexion_deg=moved.flexion_deg,
        foot_adduction_deg=moved.adduction_deg,
    )


def effects_of(
    leg: Leg, changes: tuple[Change, ...], walker: Walker, knee_mm: Vector
) -> tuple[ChangeEffect, ...]:
    """`effect_of` for several changes."""
    return tuple(effect_of(leg, change, walker, knee_mm) for change in changes)


def changed_pose(leg: Leg, change: Change) -> LegPose:
    """Where the leg stands after a change."""
    socket = Tilt(
        leg.socket.flexion_rad + math.radians(change.socket_flexion_deg),
        leg.socket.adduction_rad + math.radians(change.socket_adduction_deg),
    )
    return moved_pose(replace(leg, socket=socket), change.foot)


def phase_moments(
    leg: Leg, pose: LegPose, walker: Walker, knee_mm: Vector
) -> tuple[PhaseMoments, ...]:
    """Moments at the socket's datum, its base and the knee at the phases of stance."""
    forces = stance_forces(leg, pose, walker, np.array(list(PHASES.values())))
    places = {"datum": np.zeros(3), "socket base": leg.base_mm, "knee": knee_mm}
    found = []
    for place, point in places.items():
        about = n_m_from_n_mm(1.0) * forces.moments_n_mm(point) @ pose.ground_axes
        for phase, (sagittal, coronal, transverse) in zip(PHASES, about.tolist(), strict=True):
            found.append(PhaseMoments(place, phase, coronal, sagittal, transverse))
    return tuple(found)


def moment_at(moments: tuple[PhaseMoments, ...], place: str, phase: str) -> PhaseMoments:
    """The moments at one place in one phase."""
    return next(one for one in moments if one.place == place and one.phase == phase)


def _standing(leg: Leg, pose: LegPose, walker: Walker) -> tuple[float, float]:
    """Coronal and sagittal moment at the datum in quiet standing, N·m."""
    about = standing_wrench(leg, pose, walker).moment_n_mm @ pose.ground_axes
    return n_m_from_n_mm(float(about[1])), n_m_from_n_mm(float(about[0]))
