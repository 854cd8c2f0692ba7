"""Bench alignment: the settings, their defaults, and the adapter angles that realise them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from limbwright.align.adapters import Adapters, joint_of
from limbwright.align.chain import (
    HEEL_JOINT,
    Axes,
    Joint,
    Leg,
    Slot,
    Tilt,
    about_forward,
    about_outward,
    about_up,
    below_carried_above,
    stand,
    tilt_from_direction,
    tilt_from_up,
)
from limbwright.align.plan import AdapterKind, AdapterPlace, AdapterPlan, AlignPlan
from limbwright.align.solve import foot_at
from limbwright.align.tables import (
    ANKLE_BEHIND_PLUMB_MM,
    FLEXION_OVER_CONTRACTURE_DEG,
    FOOT_INSET_MM,
    SOCKET_ADDUCTION_DEG,
    TOE_OUT_DEG,
)
from limbwright.assess.plan import Person
from limbwright.core.errors import DoesNotFit
from limbwright.core.mesh import Scalars, Vector
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
    adapters: Adapters = (),
    heel_rad: float = 0.0,
) -> Leg:
    """The leg whose foot stands where the bench settings want it, sole level.

    The foot's place and the seat fix the tube's line; the angles of the main pyramids, the turn
    of the tube and its length follow without approximation. Added adapters stand in their middle.

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
    adapters : tuple of Adapter
    heel_rad : float
        How far the shoe tips the foot forward of the stand that it is built for.

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
    straight = Leg(
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
    leg = _with_foot(straight, upright @ about_up(-toe_out))
    joints = (*_joints(adapters), *_heel(heel_rad))
    if not joints and not any(one.azimuth_rad for one in adapters):
        return leg
    return _with_joints(leg, joints, adapters, height)


def with_settings(leg: Leg, adapters: Adapters) -> Leg:
    """The leg after its adapters were set from their bench position."""
    main = {AdapterPlace.SOCKET: leg.socket, AdapterPlace.FOOT: leg.foot}
    for one in adapters:
        if one.slot is None:
            main[one.place] = _turned(main[one.place], one.plan)
    added = {one.name: one for one in adapters if one.slot is not None}
    joints = tuple(
        joint_of(added[joint.name]) if joint.name in added else joint for joint in leg.joints
    )
    return replace(
        leg, socket=main[AdapterPlace.SOCKET], foot=main[AdapterPlace.FOOT], joints=joints
    )


def _joints(adapters: Adapters) -> tuple[Joint, ...]:
    return tuple(joint_of(one, neutral=True) for one in adapters if one.slot is not None)


def _heel(heel_rad: float) -> tuple[Joint, ...]:
    """A shoe that is higher than the foot's own heel tips the foot's top forward over the sole."""
    if heel_rad == 0.0:
        return ()
    kind, slot = AdapterKind.PYRAMID, Slot.OVER_FOOT
    return (Joint(HEEL_JOINT, kind, slot, 0.0, 0.0, heel_rad, 0.0),)


def _with_joints(
    leg: Leg, joints: tuple[Joint, ...], adapters: Adapters, height: BuildHeight
) -> Leg:
    """The bench leg with added joints: pyramids, tube's turn and length set anew for them."""
    target = stand(leg)
    azimuth = {one.place: one.azimuth_rad for one in adapters if one.slot is None}
    full = replace(
        leg,
        joints=joints,
        socket_azimuth_rad=azimuth.get(AdapterPlace.SOCKET, 0.0),
        foot_azimuth_rad=azimuth.get(AdapterPlace.FOOT, 0.0),
    )
    first = [*_angles(leg.socket), *_angles(leg.foot), leg.twist_rad, leg.pylon_mm]

    def build(values: Scalars) -> Leg:
        a, b, c, d, twist, tube = (float(value) for value in values)
        return replace(full, socket=Tilt(a, b), foot=Tilt(c, d), twist_rad=twist, pylon_mm=tube)

    try:
        found = foot_at(build, np.array(first), target)
    except ArithmeticError as error:
        raise DoesNotFit(
            "The added adapters leave no way for the tube to reach the foot: take out what is high"
            " or steps far aside, or turn an offset adapter the other way.",
            where="align.adapters",
        ) from error
    return replace(found, pylon_mm=pylon_length_mm(replace(height, pylon_mm=found.pylon_mm)))


def _angles(tilt: Tilt) -> tuple[float, float]:
    return tilt.flexion_rad, tilt.adduction_rad


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
