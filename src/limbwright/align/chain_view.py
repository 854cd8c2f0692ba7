"""The chain as it is told and drawn: its adapters, and its screws as one looks at the leg."""

from __future__ import annotations

import math

from limbwright.align.adapters import Adapter, Adapters
from limbwright.align.chain import Leg, LegPose
from limbwright.align.freedoms import Freedom, freedoms_of, value_of
from limbwright.align.plan import AdapterKind, AdapterPlace
from limbwright.align.result import ChainAdapter, SeenScrew
from limbwright.align.screws import screw_bearing_deg, screw_to_drive
from limbwright.core.frame import Side

_GIVES = {
    ("flexion", 1.0): "flexion",
    ("flexion", -1.0): "extension",
    ("adduction", 1.0): "adduction",
    ("adduction", -1.0): "abduction",
}
_ASIDE = 0.4
"""Share of the way to a side from which it is named."""
_POINTS = {AdapterPlace.SOCKET: "socket_adapter", AdapterPlace.FOOT: "foot_adapter"}


def chain_of(leg: Leg, pose: LegPose, adapters: Adapters) -> tuple[ChainAdapter, ...]:
    """Every adapter of a leg from the socket down, as it stands."""
    return tuple(_told(leg, pose, one) for one in adapters)


def screws_seen(adapters: Adapters, side: Side) -> tuple[SeenScrew, ...]:
    """Where every screw is for someone who stands in front of the person and faces the leg.

    The outer side of a right leg is on the left of the one who looks, that of a left leg on the
    right.

    Parameters
    ----------
    adapters : tuple of Adapter
    side : Side
    """
    return tuple(
        _seen(freedom, sign, side)
        for one in adapters
        if one.kind is AdapterKind.PYRAMID
        for freedom in freedoms_of((one,))
        for sign in (1.0, -1.0)
    )


def _told(leg: Leg, pose: LegPose, adapter: Adapter) -> ChainAdapter:
    point = _POINTS[adapter.place] if adapter.slot is None else adapter.name
    return ChainAdapter(
        name=adapter.name,
        kind=adapter.kind.value,
        place=adapter.place.value,
        point_mm=pose.points_mm[point],
        azimuth_deg=math.degrees(adapter.azimuth_rad),
        height_mm=adapter.height_mm,
        set_to=_settings(leg, adapter),
        range_deg=adapter.range_deg,
        range_mm=adapter.range_mm,
        range_basis=adapter.range_basis,
        screw_pitch_mm=adapter.screw_pitch_mm,
        screw_arm_mm=adapter.screw_arm_mm,
        screw_basis=adapter.screw_basis,
        height_basis=adapter.height_basis,
    )


def _settings(leg: Leg, adapter: Adapter) -> dict[str, tuple[float, str]]:
    step = {"offset": (adapter.plan.offset_mm, "mm")} if adapter.plan.offset_mm else {}
    return step | {
        one.what: (math.degrees(value_of(leg, one)), "deg")
        if one.is_angle
        else (value_of(leg, one), "mm")
        for one in freedoms_of((adapter,))
    }


def _seen(freedom: Freedom, sign: float, side: Side) -> SeenScrew:
    azimuth = math.degrees(freedom.adapter.azimuth_rad)
    bearing = math.radians(screw_bearing_deg(freedom.what, sign, azimuth))
    outer_is_right = 1.0 if side is Side.LEFT else -1.0
    right, towards = outer_is_right * math.sin(bearing), math.cos(bearing)
    return SeenScrew(
        freedom.adapter.name,
        screw_to_drive(freedom.what, sign, azimuth),
        _GIVES[freedom.what, sign],
        right,
        towards,
        _words(right, towards),
    )


def _words(right: float, towards: float) -> str:
    depth = "in front" if towards > _ASIDE else "behind" if towards < -_ASIDE else ""
    hand = "on your right" if right > _ASIDE else "on your left" if right < -_ASIDE else ""
    return ", ".join(word for word in (depth, hand) if word)
