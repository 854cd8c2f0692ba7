"""The leg as a chain: socket, plate, adapter, pylon, adapter, foot; from angles to places.

One rule of signs holds for every angle between two parts. *Flexion* is positive when the part
above leans forward over the part below, *adduction* when it leans outward over it (so that its
distal end points inward). At the foot, positive flexion is thus dorsiflexion, and positive
adduction lifts the foot's outer border.

An adapter's two angles are read in the axes of the part that carries its pyramid: the socket
for the upper adapter, the foot for the lower. Two opposed adapters then cancel exactly.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.align.tables import ANKLE_HEIGHT_MM, ANKLE_SHARE
from limbwright.core.mesh import Vector

Axes = NDArray[np.float64]
"""(3, 3) float64: outward, forward, up of a part as columns, limb frame."""


@dataclass(frozen=True, slots=True)
class Tilt:
    """Two angles of a part over the part below, radians."""

    flexion_rad: float
    adduction_rad: float


@dataclass(frozen=True, slots=True, eq=False)
class Leg:
    """Everything between the socket's floor and the ground, as set.

    Parameters
    ----------
    base_mm : (3,) float64
        Where the plate sits, limb frame.
    plate_axes : (3, 3) float64
        Axes of the plate.
    plate_mm, socket_adapter_mm, pylon_mm, foot_adapter_mm : float
        Lengths along the chain; the adapters' from ball centre to tube stop.
    sole_mm : float
        Ball centre of the foot's pyramid to the ground, heel of the shoe included.
    foot_length_mm : float
    socket, foot : Tilt
        Of the socket over the pylon, of the pylon over the foot.
    twist_rad : float
        Turn of the foot about the pylon, toes outward positive.
    toe_out_rad : float
        Turn of the foot's axis from the line of progression, toes outward positive.
    """

    base_mm: Vector
    plate_axes: Axes
    plate_mm: float
    socket_adapter_mm: float
    pylon_mm: float
    foot_adapter_mm: float
    sole_mm: float
    foot_length_mm: float
    socket: Tilt
    foot: Tilt
    twist_rad: float
    toe_out_rad: float

    @property
    def between_adapters_mm(self) -> float:
        """Ball centre to ball centre."""
        return self.socket_adapter_mm + self.pylon_mm + self.foot_adapter_mm


@dataclass(frozen=True, slots=True, eq=False)
class LegPose:
    """Where the parts of a leg stand in the limb frame.

    Parameters
    ----------
    points_mm : mapping of name to (3,) float64
    pylon_axes, foot_axes : (3, 3) float64
    ground_axes : (3, 3) float64
        Outward, forward along the line of progression, and up, of the ground that the sole
        stands on.
    """

    points_mm: Mapping[str, Vector]
    pylon_axes: Axes
    foot_axes: Axes
    ground_axes: Axes


def about_outward(angle_rad: float) -> Axes:
    """Rotation about outward: forward turns up, up turns back."""
    c, s = math.cos(angle_rad), math.sin(angle_rad)
    return np.array([[1.0, 0.0, 0.0], [0.0, c, -s], [0.0, s, c]])


def about_forward(angle_rad: float) -> Axes:
    """Rotation about forward: up turns outward."""
    c, s = math.cos(angle_rad), math.sin(angle_rad)
    return np.array([[c, 0.0, s], [0.0, 1.0, 0.0], [-s, 0.0, c]])


def about_up(angle_rad: float) -> Axes:
    """Rotation about up: outward turns forward, so that toes turn inward."""
    c, s = math.cos(angle_rad), math.sin(angle_rad)
    return np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])


def below_carried_above(tilt: Tilt) -> Axes:
    """Axes of the part below in those of the part above, which carries the pyramid."""
    return about_outward(tilt.flexion_rad) @ about_forward(-tilt.adduction_rad)


def below_carried_below(tilt: Tilt) -> Axes:
    """Axes of the part below, which carries the pyramid, in those of the part above."""
    return about_forward(-tilt.adduction_rad) @ about_outward(tilt.flexion_rad)


def tilt_from_direction(down: Vector) -> Tilt:
    """Tilt of an upper adapter that points the part below along a direction.

    Parameters
    ----------
    down : (3,) float64, unit, in the axes of the part above; pointing distally
    """
    return Tilt(math.atan2(down[1], -down[2]), math.asin(max(-1.0, min(1.0, float(down[0])))))


def tilt_from_up(up: Vector) -> Tilt:
    """Tilt of a lower adapter that gives the part below a direction of up.

    Parameters
    ----------
    up : (3,) float64, unit, in the axes of the part above
    """
    return Tilt(math.asin(max(-1.0, min(1.0, -float(up[1])))), math.atan2(-up[0], up[2]))


def stand(leg: Leg) -> LegPose:
    """Where everything stands, from the socket down to the sole."""
    plate_up = leg.plate_axes[:, 2]
    pylon = leg.plate_axes @ below_carried_above(leg.socket)
    foot = pylon @ about_up(-leg.twist_rad) @ below_carried_below(leg.foot)
    ball = leg.base_mm - leg.plate_mm * plate_up
    top = ball - leg.socket_adapter_mm * pylon[:, 2]
    bottom = top - leg.pylon_mm * pylon[:, 2]
    lower_ball = bottom - leg.foot_adapter_mm * pylon[:, 2]
    ground = lower_ball - leg.sole_mm * foot[:, 2]
    behind = ANKLE_SHARE.value * leg.foot_length_mm
    heel = ground - behind * foot[:, 1]
    toe = heel + leg.foot_length_mm * foot[:, 1]
    points = {
        "datum": np.zeros(3),
        "socket_base": leg.base_mm,
        "socket_adapter": ball,
        "pylon_top": top,
        "pylon_bottom": bottom,
        "foot_adapter": lower_ball,
        "ankle": ground + ANKLE_HEIGHT_MM.value * foot[:, 2],
        "heel": heel,
        "toe": toe,
        "sole_centre": 0.5 * (heel + toe),
    }
    return LegPose(points, pylon, foot, foot @ about_up(leg.toe_out_rad))


def datum_height_mm(pose: LegPose) -> float:
    """Height of the datum over the ground that the sole stands on."""
    down = pose.points_mm["datum"] - pose.points_mm["sole_centre"]
    return float(down @ pose.foot_axes[:, 2])
