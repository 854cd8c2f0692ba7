"""Where a donned but unloaded limb is pushed and turned, and which area does it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from limbwright.core.mesh import Vector
from limbwright.core.units import degrees
from limbwright.core.wording import words
from limbwright.prove.interface.engine import DONNED
from limbwright.prove.interface.reading import ZoneMap
from limbwright.prove.result import CasePressure, InterfaceResult
from limbwright.prove.tables import (
    ANSWERING_SHARE,
    UNBALANCED_SHIFT_MM,
    UNBALANCED_TURN_DEG,
)
from limbwright.shape.result import PlacedArea

_PUSHED = (
    (("medially", "medial"), ("laterally", "lateral")),
    (
        ("posteriorly", "posterior"),
        ("anteriorly", "anterior"),
    ),
)
_TURNED = (
    ("distal end posterior", "distal end anterior"),
    ("distal end lateral", "distal end medial"),
    ("anterior face lateral", "anterior face medial"),
)


@dataclass(frozen=True, slots=True)
class Push:
    """What one area does to the donned limb.

    Parameters
    ----------
    area : str
    along_n : float
        Its force on the limb in the direction in which the limb is pushed; negative resists.
    turning_n_mm : float
        Its moment on the limb, about the socket's middle, in the sense in which it is turned.
    """

    area: str
    along_n: float
    turning_n_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class DonnedBalance:
    """Whether the areas balance before any load.

    Parameters
    ----------
    shift_mm : (3,) float64
        Of the limb at the socket's middle against the shape as designed, (o, f, u).
    turn_deg : (3,) float64
        About (o, f, u).
    pushes : tuple of Push
    pushed_by, turned_by : str
        Area that pushes and turns most; "" when hardly anything moves.
    answered_by : tuple of str
        Load areas that resist the push by a fair part of it.
    text : str
        One sentence.
    balanced : bool
        Whether shift and turn stay under the thresholds of reading.
    """

    shift_mm: Vector
    turn_deg: Vector
    pushes: tuple[Push, ...]
    pushed_by: str
    turned_by: str
    answered_by: tuple[str, ...]
    text: str
    balanced: bool


def donned_balance(
    result: InterfaceResult, zones: ZoneMap, areas: tuple[PlacedArea, ...]
) -> DonnedBalance:
    """Where the donned limb is pushed and turned, and by what.

    Parameters
    ----------
    result : InterfaceResult
        Its case "donned" is read.
    zones : ZoneMap
    areas : tuple of PlacedArea

    Raises
    ------
    KeyError
        When nothing was donned.
    """
    donned = next((case for case in result.cases if case.load_case == DONNED), None)
    if donned is None:
        raise KeyError(DONNED)
    middle = socket_middle(zones)
    turn = donned.pose.turn_rad
    shift = donned.pose.shift_mm + np.cross(turn, middle)
    pushes = _pushes(donned, zones, middle, shift)
    pushed = float(np.hypot(shift[0], shift[1])) >= UNBALANCED_SHIFT_MM.value
    turned = degrees(float(np.linalg.norm(turn))) >= UNBALANCED_TURN_DEG.value
    pusher = max(pushes, key=lambda push: push.along_n)
    turner = max(pushes, key=lambda push: push.turning_n_mm)
    answers = _answers(pushes, pusher, areas)
    texts = []
    if pushed:
        texts.append(_push_text(shift, pusher, answers))
    if turned:
        texts.append(_turn_text(turn, turner.area))
    return DonnedBalance(
        shift,
        np.degrees(turn),
        pushes,
        pusher.area if pushed else "",
        turner.area if turned else "",
        answers if pushed else (),
        "; ".join(texts) if texts else _still_text(shift, turn),
        not texts,
    )


def socket_middle(zones: ZoneMap) -> Vector:
    """Middle of the surface that the socket covers, where a push on the limb is told, (3,) mm."""
    skin = zones.skin
    weight = skin.areas_mm2 * zones.covered
    middle: Vector = weight @ skin.points_mm / weight.sum()
    return middle


def _pushes(
    donned: CasePressure, zones: ZoneMap, middle: Vector, shift: Vector
) -> tuple[Push, ...]:
    skin = zones.skin
    traction = donned.shear_mpa - donned.pressure_mpa[:, None] * skin.normals
    forces = skin.areas_mm2[:, None] * traction
    moments = np.cross(skin.points_mm - middle, forces)
    way = _unit(np.array([shift[0], shift[1], 0.0]))
    sense = _unit(donned.pose.turn_rad)
    return tuple(
        Push(
            zone.name,
            float(forces[zone.own].sum(axis=0) @ way),
            float(moments[zone.own].sum(axis=0) @ sense),
        )
        for zone in zones.zones
    )


def _unit(vector: Vector) -> Vector:
    length = float(np.linalg.norm(vector))
    return vector / length if length > 0 else vector


def _answers(
    pushes: tuple[Push, ...], pusher: Push, areas: tuple[PlacedArea, ...]
) -> tuple[str, ...]:
    bearing = {area.name.value for area in areas if area.loads}
    enough = -ANSWERING_SHARE.value * pusher.along_n
    return tuple(
        push.area for push in pushes if push.area in bearing and push.along_n < min(enough, 0.0)
    )


def _push_text(shift: Vector, pusher: Push, answers: tuple[str, ...]) -> str:
    across = np.abs(shift[:2])
    named = [axis for axis in (0, 1) if across[axis] >= 0.4 * across.max()]
    ways = [_PUSHED[axis][int(shift[axis] > 0)] for axis in named]
    way = " and ".join(adverb for adverb, _ in ways)
    side = " or ".join(adjective for _, adjective in ways)
    answer = (
        f"the {_joined(answers)} answers it in part"
        if answers
        else f"no {side} load area answers it"
    )
    return (
        f"pushed {np.hypot(*across):.1f} mm {way} by the {words(pusher.area)} "
        f"({pusher.along_n:.0f} N); {answer}"
    )


def _turn_text(turn: Vector, turner: str) -> str:
    axis = int(np.abs(turn).argmax())
    sense = _TURNED[axis][int(turn[axis] > 0)]
    return f"turned {degrees(abs(float(turn[axis]))):.1f} degrees, {sense}, by the {words(turner)}"


def _still_text(shift: Vector, turn: Vector) -> str:
    return (
        f"the donned limb stays within {np.hypot(shift[0], shift[1]):.1f} mm and "
        f"{degrees(float(np.linalg.norm(turn))):.1f} degrees of where the socket was designed"
    )


def _joined(areas: tuple[str, ...]) -> str:
    return " and ".join(words(area) for area in areas)
