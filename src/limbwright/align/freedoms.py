"""What can be moved in a leg: every angle, shift and turn of its adapters, one by one."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from limbwright.align.adapters import Adapter, Adapters
from limbwright.align.chain import Joint, Leg, Tilt
from limbwright.align.plan import AdapterKind, AdapterPlace
from limbwright.align.screws import angle_after, quarter_turn_rad, turns_for
from limbwright.align.tables import RESERVE_DEG, SMALL_MOVE_MM, SMALL_TURN_DEG, TURN_STEP
from limbwright.core.mesh import Scalars

ANGLES = ("flexion", "adduction", "turn")
SAGITTAL = ("turn", "length", "flexion", "forward")
"""What is set before the coronal plane, whose moments answer to changes in every plane."""


@dataclass(frozen=True, slots=True)
class Freedom:
    """One thing that can be moved.

    Parameters
    ----------
    adapter : Adapter
    what : str
        "flexion", "adduction", "forward", "outward", "turn" or "length".
    """

    adapter: Adapter
    what: str

    @property
    def is_angle(self) -> bool:
        """Whether it is in radians; else mm."""
        return self.what in ANGLES

    @property
    def is_screwed(self) -> bool:
        """Whether screws of a pyramid set it, by quarters of a turn."""
        return self.adapter.kind is AdapterKind.PYRAMID

    @property
    def range(self) -> float:
        """How far to each side of its middle it goes, radians or mm."""
        one = self.adapter
        return math.radians(one.range_deg) if self.is_angle else one.range_mm

    @property
    def reserve(self) -> float:
        """What is kept back of the range, radians or mm."""
        return math.radians(RESERVE_DEG.value) if self.is_screwed else 0.0

    @property
    def step(self) -> float:
        """The least move that is made: a quarter turn near the middle, a degree, half a mm."""
        if self.is_screwed:
            one = self.adapter
            return quarter_turn_rad(one.screw_pitch_mm, one.screw_arm_mm)
        return math.radians(SMALL_TURN_DEG.value) if self.is_angle else SMALL_MOVE_MM.value

    def steps_between(self, start: float, end: float) -> float:
        """How many least moves lead from one value to another."""
        if self.is_screwed:
            one = self.adapter
            return turns_for(start, end, one.screw_pitch_mm, one.screw_arm_mm) / TURN_STEP.value
        return (end - start) / self.step

    def after_steps(self, start: float, steps: float) -> float:
        """Value after some least moves."""
        if self.is_screwed:
            one = self.adapter
            turns = steps * TURN_STEP.value
            return angle_after(start, turns, one.screw_pitch_mm, one.screw_arm_mm)
        return start + steps * self.step


_OF_KIND = {
    AdapterKind.PYRAMID: ("flexion", "adduction"),
    AdapterKind.SLIDE: ("forward", "outward"),
    AdapterKind.ROTATION: ("turn",),
    AdapterKind.TUBE_CLAMP: ("turn", "length"),
    AdapterKind.OFFSET: ("forward",),
}


def freedoms_of(adapters: Adapters) -> tuple[Freedom, ...]:
    """Everything that can be moved, from the socket down."""
    every = (Freedom(one, what) for one in adapters for what in _OF_KIND[one.kind])
    return tuple(one for one in every if one.range > 0.0)


def value_of(leg: Leg, freedom: Freedom) -> float:
    """How far something stands from its middle, radians or mm."""
    first, second = _pair(leg, freedom.adapter)
    # the step that an offset adapter is made with is its middle
    return first - freedom.adapter.plan.offset_mm if _is_first(freedom) else second


def values_of(leg: Leg, freedoms: Sequence[Freedom]) -> Scalars:
    """How far each stands from its middle, (n,) radians or mm."""
    return np.array([value_of(leg, one) for one in freedoms])


def with_values(leg: Leg, freedoms: Sequence[Freedom], values: Sequence[float] | Scalars) -> Leg:
    """The leg with some of its adapters set anew.

    Parameters
    ----------
    leg : Leg
    freedoms : sequence of Freedom
    values : (n,) radians or mm, from the middle
    """
    pairs: dict[str, list[float]] = {}
    for freedom, value in zip(freedoms, values, strict=True):
        pair = pairs.setdefault(freedom.adapter.name, list(_pair(leg, freedom.adapter)))
        if _is_first(freedom):
            pair[0] = float(value) + freedom.adapter.plan.offset_mm
        else:
            pair[1] = float(value)
    main = {AdapterPlace.SOCKET: leg.socket, AdapterPlace.FOOT: leg.foot}
    for freedom in freedoms:
        if freedom.adapter.slot is None:
            main[freedom.adapter.place] = Tilt(*pairs[freedom.adapter.name])
    joints = tuple(_set(joint, pairs) for joint in leg.joints)
    return replace(
        leg, socket=main[AdapterPlace.SOCKET], foot=main[AdapterPlace.FOOT], joints=joints
    )


def _set(joint: Joint, pairs: dict[str, list[float]]) -> Joint:
    if joint.name not in pairs:
        return joint
    first, second = pairs[joint.name]
    return replace(joint, first=first, second=second)


def _pair(leg: Leg, adapter: Adapter) -> tuple[float, float]:
    if adapter.slot is None:
        tilt = leg.socket if adapter.place is AdapterPlace.SOCKET else leg.foot
        return tilt.flexion_rad, tilt.adduction_rad
    joint = next(one for one in leg.joints if one.name == adapter.name)
    return joint.first, joint.second


def _is_first(freedom: Freedom) -> bool:
    return freedom.what in ("flexion", "forward", "turn")
