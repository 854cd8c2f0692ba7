"""Bench alignment: the settings, their defaults, and the adapter angles that realise them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from limbwright.align.chain import (
    Axes,
    Leg,
    Tilt,
    about_forward,
    about_outward,
    about_up,
    below_carried_above,
    tilt_from_direction,
    tilt_from_up,
)
from limbwright.align.plan import AdapterPlace, AdapterPlan, AlignPlan
from limbwright.align.tables import (
    ANKLE_BEHIND_PLUMB_MM,
    FLEXION_OVER_CONTRACTURE_DEG,
    FOOT_INSET_MM,
    SOCKET_ADDUCTION_DEG,
    TOE_OUT_DEG,
)
from limbwright.assess.plan import Person
from limbwright.core.errors import InvalidCase
from limbwright.core.mesh import Vector
from limbwright.core.sources import Basis
from limbwright.couple.axis import seat_frame
from limbwright.couple.build_height import PartHeights, pylon_length_mm
from limbwright.couple.result import BuildHeight, Seat


@dataclass(frozen=True, slots=True)
class BenchSettings:
    """What the leg is set to on the bench, defaults filled in.

    Parameters
    ----------
    socket_flexion_deg, socket_adduction_deg : float
        Of the socket over the upright.
    foot_inset_mm : float
        Foot inward of the plumb line through the socket's centre at the datum.
    ankle_forward_mm : float
        Ankle in front of the same plumb line; the default puts it behind.
    toe_out_deg : float
    bases : mapping of setting name to Basis
    """

    socket_flexion_deg: float
    socket_adduction_deg: float
    foot_inset_mm: float
    ankle_forward_mm: float
    toe_out_deg: float
    bases: Mapping[str, Basis]


def bench_settings(plan: AlignPlan, person: Person) -> BenchSettings:
    """The practitioner's settings, marked defaults where none is stated."""
    flexion = person.flexion_contracture_deg + FLEXION_OVER_CONTRACTURE_DEG.value
    stated = {
        "socket_flexion": plan.socket_flexion_deg,
        "socket_adduction": plan.socket_adduction_deg,
        "foot_inset": plan.foot_inset_mm,
        "ankle_forward": plan.foot_forward_mm,
        "toe_out": plan.toe_out_deg,
    }
    return BenchSettings(
        _or(plan.socket_flexion_deg, flexion),
        _or(plan.socket_adduction_deg, SOCKET_ADDUCTION_DEG.value),
        _or(plan.foot_inset_mm, FOOT_INSET_MM.value),
        _or(plan.foot_forward_mm, 0.0) - ANKLE_BEHIND_PLUMB_MM.value,
        _or(plan.toe_out_deg, TOE_OUT_DEG.value),
        {name: Basis.DEFAULT if value is None else Basis.GIVEN for name, value in stated.items()},
    )


def upright_axes(settings: BenchSettings) -> Axes:
    """Outward, line of progression and vertical in the limb frame: flexion, adduction undone."""
    return about_outward(math.radians(settings.socket_flexion_deg)) @ about_forward(
        -math.radians(settings.socket_adduction_deg)
    )


def bench_leg(
    seat: Seat,
    parts: PartHeights,
    settings: BenchSettings,
    height: BuildHeight,
    foot_length_mm: float,
    plumb_mm: Vector,
) -> Leg:
    """The leg whose foot stands where the bench settings want it, sole level.

    The foot's place and the seat fix the pylon's line; the adapter angles, the turn of the tube
    and the length of the tube follow without approximation.

    Parameters
    ----------
    seat : Seat
    parts : PartHeights
    settings : BenchSettings
    height : BuildHeight
        Gives the datum's height over the floor.
    foot_length_mm : float
    plumb_mm : (3,) float64, limb frame
        Where the plumb line starts: the socket's centre at the datum.

    Raises
    ------
    DoesNotFit
        When no tube of sufficient length is left.
    """
    upright = upright_axes(settings)
    toe_out = math.radians(settings.toe_out_deg)
    plate = seat_frame(seat.axis)
    sole_mm = parts.foot_mm + parts.shoe_heel_mm
    ball = seat.base_mm - parts.plate_mm * plate[:, 2]
    plumb = upright.T @ plumb_mm
    lower_ball = upright @ np.array(
        [
            plumb[0] - settings.foot_inset_mm,
            plumb[1] + settings.ankle_forward_mm,
            sole_mm - height.datum_floor_mm,
        ]
    )
    span = lower_ball - ball
    between_mm = float(np.linalg.norm(span))
    tube_mm = between_mm - parts.socket_adapter_mm - parts.foot_adapter_mm
    if float(span @ upright[:, 2]) >= 0.0:
        tube_mm = -between_mm - parts.socket_adapter_mm - parts.foot_adapter_mm
    pylon_mm = pylon_length_mm(replace(height, pylon_mm=tube_mm))
    socket = tilt_from_direction(plate.T @ span / between_mm)
    leg = Leg(
        seat.base_mm,
        plate,
        parts.plate_mm,
        parts.socket_adapter_mm,
        pylon_mm,
        parts.foot_adapter_mm,
        sole_mm,
        foot_length_mm,
        socket,
        Tilt(0.0, 0.0),
        0.0,
        toe_out,
    )
    return _with_foot(leg, upright @ about_up(-toe_out))


def adapter_plans(plan: AlignPlan) -> dict[AdapterPlace, AdapterPlan]:
    """The adapter at each place; one that is not listed is a default one.

    Raises
    ------
    InvalidCase
        When two adapters stand at the same place.
    """
    found: dict[AdapterPlace, AdapterPlan] = {}
    for number, adapter in enumerate(plan.adapters):
        if adapter.place in found:
            raise InvalidCase(
                [
                    (
                        f"align.adapters.{number}",
                        f"a second adapter at the {adapter.place.value}; name one for each place",
                    )
                ]
            )
        found[adapter.place] = adapter
    return {place: found.get(place, AdapterPlan(place=place)) for place in AdapterPlace}


def with_turned_adapters(leg: Leg, adapters: Mapping[AdapterPlace, AdapterPlan]) -> Leg:
    """The leg after the adapters were turned from their bench position."""
    return replace(
        leg,
        socket=_turned(leg.socket, adapters[AdapterPlace.SOCKET]),
        foot=_turned(leg.foot, adapters[AdapterPlace.FOOT]),
    )


def _turned(tilt: Tilt, adapter: AdapterPlan) -> Tilt:
    return Tilt(
        tilt.flexion_rad + math.radians(adapter.flexion_deg),
        tilt.adduction_rad + math.radians(adapter.adduction_deg),
    )


def _with_foot(leg: Leg, foot_axes: Axes) -> Leg:
    """The leg with the lower adapter and the tube turned so that the foot has the given axes."""
    pylon = leg.plate_axes @ below_carried_above(leg.socket)
    rest = pylon.T @ foot_axes
    # about up, about forward, about outward: the three turns in this order make any rotation
    twist = -math.atan2(rest[1, 0], rest[0, 0])
    untwisted = about_up(twist) @ rest
    return replace(leg, twist_rad=twist, foot=tilt_from_up(untwisted[:, 2]))


def _or(given: float | None, default: float) -> float:
    return given if given is not None else default
