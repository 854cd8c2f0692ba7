"""The leg as a chain: socket, plate, adapter, pylon, adapter, foot; from angles to places.

One rule of signs holds for every angle between two parts. *Flexion* is positive when the part
above leans forward over the part below, *adduction* when it leans outward over it (so that its
distal end points inward). At the foot, positive flexion is thus dorsiflexion, and positive
adduction lifts the foot's outer border.

An adapter's two angles are read in the axes of the part that carries its pyramid: the socket
for the upper adapter, the foot for the lower. Two opposed adapters then cancel exactly.

Between socket and foot stand two main pyramids and a tube; any number of further joints may stand
under the plate, over the tube, under it, or over the foot.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from limbwright.align.plan import AdapterKind
from limbwright.align.tables import ANKLE_HEIGHT_MM, ANKLE_SHARE
from limbwright.core.mesh import Vector

Axes = NDArray[np.float64]
"""(3, 3) float64: outward, forward, up of a part as columns, limb frame."""


@dataclass(frozen=True, slots=True)
class Tilt:
    """Two angles of a part over the part below, radians."""

    flexion_rad: float
    adduction_rad: float


class Slot(str, Enum):
    """Where in the chain a joint stands, from the socket down."""

    UNDER_PLATE = "between socket and upper pyramid"
    OVER_TUBE = "between upper pyramid and tube"
    UNDER_TUBE = "between tube and lower pyramid"
    OVER_FOOT = "between lower pyramid and foot"


HEEL_JOINT = "shoe heel"
"""Name of the joint by which a shoe's heel tips a foot that is built for another."""
LOWER_SLOTS = frozenset({Slot.UNDER_TUBE, Slot.OVER_FOOT})


@dataclass(frozen=True, slots=True)
class Joint:
    """A part added to the chain, and how it is set.

    Parameters
    ----------
    name : str
    kind : AdapterKind
    slot : Slot
    azimuth_rad : float
        How far its own forward is turned outward from that of the part above.
    height_mm : float
        What it adds to the leg.
    first, second : float
        Pyramid: flexion and adduction, radians. Slide and offset: forward and outward, mm.
        Rotation and tube clamp: turn, toes outward positive, radians, and length drawn out, mm.
    """

    name: str
    kind: AdapterKind
    slot: Slot
    azimuth_rad: float
    height_mm: float
    first: float
    second: float


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
    joints : tuple of Joint
        What else stands in the chain; those of one slot from the top down.
    socket_azimuth_rad, foot_azimuth_rad : float
        How far the main pyramids' own forward is turned outward.
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
    joints: tuple[Joint, ...] = ()
    socket_azimuth_rad: float = 0.0
    foot_azimuth_rad: float = 0.0

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
    """Where everything stands, from the socket down to the sole.

    Beside the points of the standard chain, each added joint has a point under its name, and one
    where it ends.
    """
    walk = _Walk(leg.base_mm, leg.plate_axes, {"datum": np.zeros(3), "socket_base": leg.base_mm})
    walk.joints(leg, Slot.UNDER_PLATE)
    walk.down(leg.plate_mm, "socket_adapter")
    walk.turn(_about_azimuth(below_carried_above(leg.socket), leg.socket_azimuth_rad))
    walk.down(leg.socket_adapter_mm)
    walk.joints(leg, Slot.OVER_TUBE)
    walk.mark("pylon_top")
    pylon = walk.axes
    walk.down(leg.pylon_mm, "pylon_bottom")
    walk.turn(about_up(-leg.twist_rad))
    walk.joints(leg, Slot.UNDER_TUBE)
    walk.down(leg.foot_adapter_mm, "foot_adapter")
    walk.turn(_about_azimuth(below_carried_below(leg.foot), leg.foot_azimuth_rad))
    walk.joints(leg, Slot.OVER_FOOT)
    walk.mark("foot_top")
    walk.down(leg.sole_mm)
    foot, ground = walk.axes, walk.point
    heel = ground - ANKLE_SHARE.value * leg.foot_length_mm * foot[:, 1]
    toe = heel + leg.foot_length_mm * foot[:, 1]
    walk.points["ankle"] = ground + ANKLE_HEIGHT_MM.value * foot[:, 2]
    walk.points.update({"heel": heel, "toe": toe, "sole_centre": 0.5 * (heel + toe)})
    out = leg.toe_out_rad + turned_out_rad(leg)
    return LegPose(walk.points, pylon, foot, foot @ about_up(out))


def turned_out_rad(leg: Leg) -> float:
    """How far added joints turn the toes outward, in their own planes."""
    turning = (AdapterKind.ROTATION, AdapterKind.TUBE_CLAMP)
    return sum(joint.first for joint in leg.joints if joint.kind in turning)


class _Walk:
    """A walk down the chain: where it has come to, and what it passed."""

    def __init__(self, point: Vector, axes: Axes, points: dict[str, Vector]) -> None:
        self.point, self.axes, self.points = point, axes, points

    def down(self, length_mm: float, name: str = "") -> None:
        """Along the part's own axis."""
        self.point = self.point - length_mm * self.axes[:, 2]
        if name:
            self.mark(name)

    def turn(self, below: Axes) -> None:
        """Into the part below, whose axes are given in those of the part above."""
        self.axes = self.axes @ below

    def mark(self, name: str) -> None:
        self.points[name] = self.point

    def joints(self, leg: Leg, slot: Slot) -> None:
        """Through what was added in one place of the chain."""
        for joint in leg.joints:
            if joint.slot is slot:
                self._joint(joint)

    def _joint(self, joint: Joint) -> None:
        self.mark(joint.name)
        if joint.kind is AdapterKind.PYRAMID:
            tilt = Tilt(joint.first, joint.second)
            carried = below_carried_below if slot_is_low(joint.slot) else below_carried_above
            self.turn(_about_azimuth(carried(tilt), joint.azimuth_rad))
        elif joint.kind in (AdapterKind.SLIDE, AdapterKind.OFFSET):
            own = self.axes @ about_up(-joint.azimuth_rad)
            self.point = self.point + joint.second * own[:, 0] + joint.first * own[:, 1]
        else:
            self.turn(about_up(-joint.first))
            self.down(joint.second)
        self.down(joint.height_mm, f"{joint.name} end")


def slot_is_low(slot: Slot) -> bool:
    """Whether a joint stands below the tube, where the part below carries the pyramid."""
    return slot in LOWER_SLOTS


def _about_azimuth(below: Axes, azimuth_rad: float) -> Axes:
    """A tilt about axes that are turned outward."""
    if azimuth_rad == 0.0:
        return below
    return about_up(-azimuth_rad) @ below @ about_up(azimuth_rad)


def datum_height_mm(pose: LegPose) -> float:
    """Height of the datum over the ground that the sole stands on."""
    down = pose.points_mm["datum"] - pose.points_mm["sole_centre"]
    return float(down @ pose.foot_axes[:, 2])
