"""Changes of the foot against the socket: how they are counted, and where the foot then stands."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from limbwright.align.chain import (
    Leg,
    LegPose,
    Tilt,
    about_up,
    below_carried_below,
    datum_height_mm,
    stand,
    tilt_from_up,
    turned_out_rad,
)
from limbwright.core.mesh import Scalars


@dataclass(frozen=True, slots=True)
class FootChange:
    """A change of the foot against the socket.

    Parameters
    ----------
    forward_mm, outward_mm : float
        Shift of the foot along the ground: forward in the line of progression. It is the place
        on top of the foot that shifts, the ball of its pyramid, so that a tilt about it is none.
    flexion_deg, adduction_deg : float
        Of the leg over the foot: dorsiflexion and outer border up are positive.
    up_mm : float or None
        Foot up, the leg shorter; None where it is left to what the angles do.
    toe_out_deg : float or None
        Toes further out; None where it is left to what the angles do.
    """

    forward_mm: float = 0.0
    outward_mm: float = 0.0
    flexion_deg: float = 0.0
    adduction_deg: float = 0.0
    up_mm: float | None = None
    toe_out_deg: float | None = None

    @property
    def is_none(self) -> bool:
        """Whether nothing is wanted."""
        return not any(
            (
                self.forward_mm,
                self.outward_mm,
                self.flexion_deg,
                self.adduction_deg,
                self.up_mm,
                self.toe_out_deg,
            )
        )


def change_between(before: Leg, after: Leg) -> FootChange:
    """How the foot of one leg differs from that of another, every part of it."""
    return change_of_pose(stand(before), stand(after))


def change_of_pose(first: LegPose, second: LegPose) -> FootChange:
    """How the foot of one pose differs from that of another, every part of it."""
    ground = first.ground_axes
    outward, forward, up = (second.points_mm["foot_top"] - first.points_mm["foot_top"]) @ ground
    tilt = tilt_from_up(first.foot_axes.T @ second.foot_axes[:, 2])
    turned = _heading(second.foot_axes[:, 1] @ ground) - _heading(first.foot_axes[:, 1] @ ground)
    return FootChange(
        float(forward),
        float(outward),
        math.degrees(tilt.flexion_rad),
        math.degrees(tilt.adduction_rad),
        float(up),
        math.degrees(turned),
    )


def moved_pose(leg: Leg, change: FootChange) -> LegPose:
    """Where the foot stands after a change, whatever adapter brings it there.

    The socket and the tube are left where they are; only the foot's own points move. A part of
    the change that is None counts as none.
    """
    pose = stand(leg)
    shift = pose.ground_axes @ np.array([change.outward_mm, change.forward_mm, change.up_mm or 0.0])
    tilted = pose.foot_axes @ below_carried_below(
        Tilt(math.radians(change.flexion_deg), math.radians(change.adduction_deg))
    )
    turn = math.radians(change.toe_out_deg or 0.0)
    foot = tilted @ about_up(-turn)
    top = pose.points_mm["foot_top"]
    points = dict(pose.points_mm)
    for name in ("foot_top", "foot_adapter", "ankle", "heel", "toe", "sole_centre"):
        points[name] = top + shift + foot @ (pose.foot_axes.T @ (points[name] - top))
    ground = foot @ about_up(leg.toe_out_rad + turned_out_rad(leg) + turn)
    return replace(pose, points_mm=points, foot_axes=foot, ground_axes=ground)


def length_change_mm(before: LegPose, after: LegPose) -> float:
    """Change of the datum's height over the ground that the sole stands on."""
    return datum_height_mm(after) - datum_height_mm(before)


def _heading(direction: Scalars) -> float:
    """Angle of a direction from forward, outward positive."""
    return math.atan2(direction[0], direction[1])
