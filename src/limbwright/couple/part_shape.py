"""The shape of a catalogue part, as a few plain bodies that are united and cut.

One description serves both the mesh (for printing and drawing) and the exact solid (STEP). Part
frame: u up as the part stands in the leg, o outward, f forward, mm. A part is drawn as far as its
entry tells: an outline to lay out, drill and stand in for it, not a drawing to make it by.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import product

from limbwright.couple.catalogue import (
    AnyPart,
    Dummy,
    DummyRing,
    Foot,
    Lock,
    OffsetAdapter,
    PartKind,
    Pylon,
    PyramidPlate,
    SquarePlate,
    TubeClamp,
    Valve,
)
from limbwright.couple.tables import PIN_BORE_MM, SCREW_CLEARANCE_MM

Point = tuple[float, float, float]
"""Outward, forward, up in the part frame, mm."""

PAST_MM = 1.0
"""How far a cut reaches past what it opens."""
CLAMP_RIM_MM = 5.0
CLAMP_WEB_MM = 3.0
CLAMP_SLIT_MM = 2.0
"""Wall round a receiver's pocket, web between pocket and tube, slit of the clamp: drawn so."""


@dataclass(frozen=True, slots=True)
class Round:
    """A round bar or cone between two points.

    Parameters
    ----------
    start, end : (o, f, u), mm
    start_radius_mm, end_radius_mm : float
    """

    start: Point
    end: Point
    start_radius_mm: float
    end_radius_mm: float


@dataclass(frozen=True, slots=True)
class Block:
    """A box along the axes, by its least and greatest corner."""

    low: Point
    high: Point


@dataclass(frozen=True, slots=True)
class Pyramid:
    """A square frustum about u, its sides along o and f.

    Parameters
    ----------
    low_mm, high_mm : float
        Heights of its ends.
    low_side_mm, high_side_mm : float
    """

    low_mm: float
    high_mm: float
    low_side_mm: float
    high_side_mm: float


@dataclass(frozen=True, slots=True)
class Dome:
    """The upper half of a ball."""

    centre: Point
    radius_mm: float


Body = Round | Block | Pyramid | Dome


@dataclass(frozen=True, slots=True)
class PartShape:
    """Bodies that are united, and those that are then cut out."""

    united: tuple[Body, ...]
    cut: tuple[Body, ...] = ()


def part_shape(part: AnyPart) -> PartShape:
    """The shape of a part.

    Where it has its origin: a lock in the middle of the face that the liner meets; a plate, ring
    or offset adapter in the middle of its upper face; a clamp in the centre of the pyramid's dome;
    a tube in the middle of its upper end, a valve and a dummy likewise; a foot at the height of the
    dome's centre over the end of its heel.
    """
    if isinstance(part, Lock):
        return _lock(part)
    if isinstance(part, Valve):
        return _valve(part)
    if isinstance(part, SquarePlate):
        return _square_plate(part)
    if isinstance(part, PyramidPlate):
        return _pyramid_plate(part)
    if isinstance(part, TubeClamp):
        return _tube_clamp(part)
    if isinstance(part, OffsetAdapter):
        return _offset_adapter(part)
    if isinstance(part, Pylon):
        return _pylon(part)
    if isinstance(part, Foot):
        return _foot(part)
    return _dummy(part) if isinstance(part, Dummy) else _ring(part)


def upright(
    low_mm: float, high_mm: float, radius_mm: float, at: tuple[float, float] = (0, 0)
) -> Round:
    """A round bar along u."""
    return Round((*at, low_mm), (*at, high_mm), radius_mm, radius_mm)


def _lock(part: Lock) -> PartShape:
    """Body; bore for pin or cord; four screw holes from below; the exit's bore at mid-height."""
    low = -part.height_mm
    cut: list[Body] = []
    if part.kind is PartKind.PIN_LOCK and part.target_diameter_mm is not None:
        bore = 0.5 * (part.target_diameter_mm + PIN_BORE_MM.value)
        cut.append(upright(low - PAST_MM, PAST_MM, bore))
    if part.kind is PartKind.LANYARD_LOCK and part.exit_diameter_mm is not None:
        cut.append(upright(0.5 * low, PAST_MM, 0.5 * part.exit_diameter_mm))
    square, screw = part.screw_square_mm, part.screw_diameter_mm
    if square is not None and screw is not None and _inside(part.body_diameter_mm, square, screw):
        cut += _square_of(square, 0.5 * screw, low - PAST_MM, 0.75 * low)
    if part.exit_diameter_mm is not None and part.exit_diameter_mm < part.height_mm:
        middle, reach = 0.5 * low, 0.5 * part.body_diameter_mm + PAST_MM
        radius = 0.5 * part.exit_diameter_mm
        cut.append(Round((0.0, 0.0, middle), (-reach, 0.0, middle), radius, radius))
    return PartShape((upright(low, 0.0, 0.5 * part.body_diameter_mm),), tuple(cut))


def _valve(part: Valve) -> PartShape:
    """Head as wide as the body, shank as wide as the hole in the wall, bored through."""
    shank = 0.5 * min(part.exit_diameter_mm, part.body_diameter_mm)
    head = 0.4 * part.length_mm
    return PartShape(
        (
            upright(-head, 0.0, 0.5 * part.body_diameter_mm),
            upright(-part.length_mm, -0.5 * head, shank),
        ),
        (upright(-part.length_mm - PAST_MM, PAST_MM, 0.5 * part.bore_mm),),
    )


def _square_plate(part: SquarePlate) -> PartShape:
    low, half = -part.thickness_mm, 0.5 * part.side_mm
    cut = _square_of(part.screw_square_mm, 0.5 * part.screw_diameter_mm, low - PAST_MM, PAST_MM)
    if part.centre_hole_mm > 0.0:
        cut.append(upright(low - PAST_MM, PAST_MM, 0.5 * part.centre_hole_mm))
    return PartShape((Block((-half, -half, low), (half, half, 0.0)),), tuple(cut))


def _pyramid_plate(part: PyramidPlate) -> PartShape:
    """Plate, dome below it about its centre, pyramid below the centre, widening downward."""
    half, centre = 0.5 * part.side_mm, -part.height_mm
    plate = Block((-half, -half, -part.thickness_mm), (half, half, 0.0))
    hole = 0.5 * (part.screw_diameter_mm + SCREW_CLEARANCE_MM.value)
    return PartShape(
        (
            plate,
            Dome((0.0, 0.0, centre), part.dome_radius_mm),
            Pyramid(
                centre - part.pyramid_height_mm, centre, part.pyramid_top_mm, part.pyramid_root_mm
            ),
        ),
        (
            # a dome higher than the plate ends with it
            Block((-half, -half, 0.0), (half, half, part.dome_radius_mm + PAST_MM)),
            *_square_of(part.screw_square_mm, hole, -part.thickness_mm - PAST_MM, PAST_MM),
        ),
    )


def _tube_clamp(part: TubeClamp) -> PartShape:
    """Receiver with four set screws above, slit clamp for the tube below."""
    outside, tube = 0.5 * part.outside_mm, 0.5 * part.tube_outside_mm
    low = -part.height_mm - part.insert_mm
    pocket = min(outside - CLAMP_RIM_MM, tube)
    floor = -part.height_mm + min(CLAMP_WEB_MM, 0.25 * part.height_mm)
    cut: list[Body] = [
        upright(floor, PAST_MM, pocket),
        upright(low - PAST_MM, -part.height_mm, tube),
        Block(
            (0.0, -0.5 * CLAMP_SLIT_MM, low - PAST_MM),
            (outside + PAST_MM, 0.5 * CLAMP_SLIT_MM, -part.height_mm),
        ),
    ]
    if part.screw_arm_mm is not None and part.screw_arm_mm + 0.5 * part.screw_diameter_mm < -floor:
        reach, level, radius = outside + PAST_MM, -part.screw_arm_mm, 0.5 * part.screw_diameter_mm
        for o, f in ((1, 0), (0, 1), (-1, 0), (0, -1)):
            start = 0.5 * pocket
            cut.append(
                Round((start * o, start * f, level), (reach * o, reach * f, level), radius, radius)
            )
    return PartShape((upright(low, 0.0, outside),), tuple(cut))


def _offset_adapter(part: OffsetAdapter) -> PartShape:
    """Two discs, the lower one shifted inward, each with its square of screws."""
    radius, middle, low = 0.5 * part.diameter_mm, -0.5 * part.height_mm, -part.height_mm
    hole = 0.5 * (part.screw_diameter_mm + SCREW_CLEARANCE_MM.value)
    below = (-part.offset_mm, 0.0)
    return PartShape(
        (upright(middle, 0.0, radius), upright(low, middle, radius, below)),
        (
            *_square_of(part.screw_square_mm, hole, middle, PAST_MM),
            *_square_of(part.screw_square_mm, hole, low - PAST_MM, middle, below),
        ),
    )


def _pylon(part: Pylon) -> PartShape:
    low, outside = -part.length_mm, 0.5 * part.outside_mm
    return PartShape(
        (upright(low, 0.0, outside),),
        (upright(low - PAST_MM, PAST_MM, outside - part.wall_mm),),
    )


def _foot(part: Foot) -> PartShape:
    """The room that it takes: as long and wide as it is, from its sole to the dome's height."""
    half = 0.5 * part.width_mm
    return PartShape((Block((-half, 0.0, -part.height_mm), (half, part.length_mm, 0.0)),))


def _dummy(part: Dummy) -> PartShape:
    """Body, tapered so that it is drawn out upward, with its exit's stub inward."""
    wide = 0.5 * part.body_diameter_mm
    narrow = wide - part.height_mm * math.tan(math.radians(part.draft_deg))
    bodies: list[Body] = [Round((0.0, 0.0, -part.height_mm), (0.0, 0.0, 0.0), wide, narrow)]
    if part.exit_diameter_mm is not None and part.exit_length_mm is not None:
        middle, radius = -0.5 * part.height_mm, 0.5 * part.exit_diameter_mm
        reach = 0.5 * (wide + narrow) + part.exit_length_mm
        bodies.append(Round((0.0, 0.0, middle), (-reach, 0.0, middle), radius, radius))
    return PartShape(tuple(bodies))


def _ring(part: DummyRing) -> PartShape:
    low = -part.height_mm
    return PartShape(
        (upright(low, 0.0, 0.5 * part.outside_mm),),
        (upright(low - PAST_MM, PAST_MM, 0.5 * part.inside_mm),),
    )


def _square_of(
    side_mm: float,
    radius_mm: float,
    low_mm: float,
    high_mm: float,
    about: tuple[float, float] = (0.0, 0.0),
) -> list[Body]:
    """Four holes on a square."""
    half = 0.5 * side_mm
    return [
        upright(low_mm, high_mm, radius_mm, (about[0] + o * half, about[1] + f * half))
        for o, f in product((1.0, -1.0), repeat=2)
    ]


def _inside(diameter_mm: float, square_mm: float, screw_mm: float) -> bool:
    """Whether the screws of a square stand inside a round body."""
    return square_mm / math.sqrt(2.0) + 0.5 * screw_mm < 0.5 * diameter_mm
