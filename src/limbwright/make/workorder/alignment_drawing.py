"""The leg as it stands on the bench, from the front and from the side, at one scale."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import ConvexHull

from limbwright.align.chain import HEEL_JOINT, Joint, LegPose, Slot, stand
from limbwright.align.plan import AdapterKind
from limbwright.align.result import ChainAdapter
from limbwright.align.setup import socket_centre
from limbwright.core.frame import points_to_patient
from limbwright.core.mesh import Mesh, Vector, Vertices
from limbwright.core.slicing import slice_loops
from limbwright.core.wording import words
from limbwright.make.workorder.drawing import (
    AXIS,
    HIDDEN,
    PALE,
    PART_GREY,
    Drawing,
    Note,
    Points2,
)
from limbwright.make.workorder.picture import View, direction_word, on_paper, view_in_limb
from limbwright.make.workorder.sheet import Sheet
from limbwright.make.workorder.wording import number

SOCKET_GREY = "#d9dde0"
CLAMP_WIDER_MM = 8.0
"""How much wider than its tube a clamp is drawn."""
OUTLINE_LEVELS = 110
_SEEN = {
    View.FRONT: ("adduction", "outward", "turn", "length", "offset"),
    View.LATERAL: ("flexion", "forward", "length", "offset"),
}
"""What of an adapter's settings shows in a view."""
_FOOT = (
    (0.00, 22.0, 0.38),
    (0.07, 29.0, 0.72),
    (0.22, 28.0, 0.92),
    (0.34, 29.0, 0.80),
    (0.50, 33.0, 0.48),
    (0.72, 42.0, 0.30),
    (0.90, 36.0, 0.22),
    (1.00, 18.0, 0.16),
)
"""A foot for the eye only: share of its length from the heel, half its width in mm, and height
as a share of the sole's depth under the pyramid."""


@dataclass(frozen=True, slots=True, eq=False)
class Bench:
    """A leg turned as it stands on the bench, seen in one view.

    Parameters
    ----------
    sheet : Sheet
    view : View
    turn : (3, 3) float64
        From the limb frame to outward, forward and vertical of the bench.
    pose : LegPose
    shell : (n, 2) float64, mm
        Outline of the socket on paper.
    """

    sheet: Sheet
    view: View
    turn: NDArray[np.float64]
    pose: LegPose
    shell: Points2

    def flat(self, points_mm: Vertices) -> Points2:
        """Limb-frame points on paper, (n, 2) mm, the floor at no particular height."""
        stood = np.atleast_2d(points_mm) @ self.turn.T
        return on_paper(stood, self.view, self.sheet.person.side)[:, :2]

    def at(self, name: str) -> NDArray[np.float64]:
        """A point of the leg on paper."""
        return np.asarray(self.flat(self.sheet.alignment.points_mm[name])[0], dtype=np.float64)

    @property
    def floor_mm(self) -> float:
        """Height of the ground on paper."""
        return float(min(self.at("heel")[1], self.at("toe")[1]))


def bench_turn(up: Vector, forward: Vector) -> NDArray[np.float64]:
    """Rotation from the limb frame to the bench: rows outward, forward, vertical."""
    level = forward - (forward @ up) * up
    level /= np.linalg.norm(level)
    return np.stack([np.cross(level, up), level, up])


def bench_of(sheet: Sheet, view: View) -> Bench:
    """The leg of a case as it stands on the bench, seen in one view."""
    turn = bench_turn(sheet.alignment.up, sheet.alignment.forward)
    return Bench(sheet, view, turn, stand(sheet.alignment.leg), _shell_outline(sheet, view, turn))


def alignment_drawing(bench: Bench, scale: float) -> Drawing:
    """Socket, tube and foot as they stand on the bench in one view, with names and sizes."""
    sheet, shell = bench.sheet, bench.shell
    drawing = Drawing(scale)
    foot = _foot(bench)
    drawing.line(shell, closed=True, fill=SOCKET_GREY, width=0.35)
    _chain(drawing, bench)
    _draw_foot(drawing, foot)
    plumb = bench.flat(socket_centre(sheet.shape))[0]
    floor, top = bench.floor_mm, float(shell[:, 1].max())
    drawing.line([[plumb[0], top + 2.5 * scale], [plumb[0], floor]], width=0.18, dash=AXIS)
    _limb_axis(drawing, bench)
    _load_line(drawing, bench)
    left = float(min(shell[:, 0].min(), min(part[:, 0].min() for part in foot)))
    right = float(max(shell[:, 0].max(), max(part[:, 0].max() for part in foot)))
    drawing.line([[left - 5 * scale, floor], [right + 5 * scale, floor]], width=0.45)
    # Names stand over the forefoot, where there is room.
    names_right = bool(bench.at("toe")[0] >= bench.at("heel")[0]) or bench.view is View.FRONT
    edge = float(shell[:, 0].max()) if names_right else float(shell[:, 0].min())
    _height(drawing, bench, left if names_right else right, names_right)
    drawing.notes(_notes(bench, plumb, top), edge + 3.5 * scale * (1 if names_right else -1))
    _foot_shift(drawing, bench, plumb)
    _directions(drawing, bench, left - 5 * scale, right + 5 * scale)
    return drawing


def foot_shift_words(sheet: Sheet, view: View) -> tuple[float, str]:
    """How far the ankle stands off the plumb line in a view, mm, and in which words."""
    settings = sheet.alignment.settings
    if view is View.FRONT:
        inset = settings["foot inset"][0]
        return abs(inset), "inset" if inset >= 0 else "outset"
    forward = settings["ankle forward of plumb line"][0]
    return abs(forward), "ankle forward" if forward >= 0 else "ankle behind"


def _notes(bench: Bench, plumb: NDArray[np.float64], top: float) -> list[Note]:
    """Names of the parts with what the view shows of their angles."""
    settings = bench.sheet.alignment.settings
    angle = "adduction" if bench.view is View.FRONT else "flexion"

    def degrees(name: str) -> str:
        return f"{number(settings[name][0], 1)}°"

    tube = 0.5 * (bench.at("pylon_top") + bench.at("pylon_bottom"))
    lean = "pylon leans outward" if bench.view is View.FRONT else "pylon leans forward"
    leans = settings[lean][0]
    way = lean.removeprefix("pylon leans ")
    if leans < 0:
        way = {"outward": "inward", "forward": "back"}[way]
    notes = [
        Note((float(plumb[0]), top), "plumb line"),
        Note(_pair(bench.at("datum")), f"datum; socket {angle} {degrees(f'socket {angle}')}"),
        Note(_pair(bench.at("socket_base")), "plate on the socket's floor"),
        Note(
            _pair(bench.at("socket_adapter")),
            f"socket adapter, {angle} {degrees(f'socket adapter {angle}')}",
        ),
        Note(
            _pair(tube),
            f"tube {number(settings['pylon'][0], 1)}, top {number(abs(leans), 1)}° {way}",
        ),
        Note(
            _pair(bench.at("foot_adapter")),
            f"foot adapter, {angle} {degrees(f'foot adapter {angle}')}",
        ),
    ]
    notes += [
        Note(_pair(bench.at(one.name)), words)
        for one in bench.sheet.alignment.chain
        if (words := _added_words(one, bench.view))
    ]
    if bench.view is View.FRONT:
        toes = bench.at("toe") + np.array([0.0, 10.0])
        notes.append(Note(_pair(toes), f"toe-out {degrees('toe-out')}"))
    return notes


def _added_words(adapter: ChainAdapter, view: View) -> str:
    """What a view shows of an added adapter; nothing for a main pyramid."""
    if adapter.name in ("socket", "foot"):
        return ""
    seen = _SEEN[view]
    told = [
        f"{words(what)} {number(value, 1)}{'°' if unit == 'deg' else ''}"
        for what, (value, unit) in adapter.set_to.items()
        if what in seen
    ]
    return ", ".join([adapter.name, *told])


def _load_line(drawing: Drawing, bench: Bench) -> None:
    """The load line of standing, from the floor to above the knee."""
    line = bench.sheet.alignment.load_line
    if line is None:
        return
    high = max(place.height_mm for place in line.places)
    ends = bench.flat(np.stack([line.point_mm, line.point_mm + high * line.direction]))
    drawing.line(ends, width=0.3, dash=HIDDEN)
    top, text = ends[1], drawing.text_mm
    drawing.text((float(top[0]), float(top[1]) + 0.4 * text), "load line", anchor="middle")


def _limb_axis(drawing: Drawing, bench: Bench) -> None:
    """The limb's own axis through the datum, as far as the socket reaches."""
    low = float(bench.sheet.shape.model.vertices[:, 2].min())
    ends = bench.flat(np.array([[0.0, 0.0, 30.0], [0.0, 0.0, low]]))
    drawing.line(ends, width=0.13, colour=PALE)
    drawing.circle(bench.at("datum"), 0.7 * drawing.scale, fill="#000000", width=0.0)


def _height(drawing: Drawing, bench: Bench, edge: float, leftmost: bool) -> None:
    """Datum over the floor, beside everything."""
    datum = bench.at("datum")
    height = float(datum[1]) - bench.floor_mm
    away = -1.0 if leftmost else 1.0
    edge = edge + 7 * away * drawing.scale
    drawing.line([_pair(datum), (edge, float(datum[1]))], width=0.1, colour=PALE)
    drawing.dimension(
        (edge, bench.floor_mm), (edge, datum[1]), number(height), offset_mm=-1e-3 * away
    )


def _foot_shift(drawing: Drawing, bench: Bench, plumb: NDArray[np.float64]) -> None:
    """How far the ankle stands off the plumb line, below the floor."""
    shift, words = foot_shift_words(bench.sheet, bench.view)
    ankle, floor = float(bench.at("ankle")[0]), bench.floor_mm
    level = floor - 4.0 * drawing.scale
    for x in (ankle, float(plumb[0])):
        drawing.line([[x, floor], [x, level - 0.7 * drawing.scale]], width=0.1, colour=PALE)
    drawing.line([[ankle, floor], [ankle, bench.at("ankle")[1]]], width=0.13, colour=PALE)
    drawing.line([[ankle, level], [float(plumb[0]), level]], width=0.35)
    text = f"{words} {number(shift, 1)}"
    place = (max(ankle, float(plumb[0])) + 0.5 * drawing.text_mm, level - 0.35 * drawing.text_mm)
    drawing.text(place, text)


def _directions(drawing: Drawing, bench: Bench, left: float, right: float) -> None:
    way, _ = view_in_limb(bench.view, bench.sheet.person.side)
    height = float(drawing.bounds_mm[0][1]) - 1.5 * drawing.text_mm
    drawing.text((left, height), f"← {direction_word(-way)}")
    drawing.text((right, height), f"{direction_word(way)} →", anchor="end")


def _chain(drawing: Drawing, bench: Bench) -> None:
    """Plate, added adapters, clamps and tube, one meeting the other."""
    tube = bench.sheet.couple_plan.parts.pylon_outside_mm
    ball, foot_ball = bench.at("socket_adapter"), bench.at("foot_adapter")
    top, bottom = bench.at("pylon_top"), bench.at("pylon_bottom")
    square = bench.sheet.couple_plan.coupling.screw_square_mm + 18.0
    wide = tube + CLAMP_WIDER_MM
    for joint in bench.sheet.alignment.leg.joints:
        _added(drawing, bench, joint, wide)
    base = bench.at(_last_end(bench, Slot.UNDER_PLATE, "socket_base"))
    _part(drawing, _taper(base, ball, square, 20.0))
    drawing.line(_taper(top, bottom, tube, tube), closed=True, fill="#ffffff", width=0.3)
    for end, place, held in (
        (top, ball, _first(bench, Slot.OVER_TUBE)),
        (bottom, foot_ball, _last_end(bench, Slot.UNDER_TUBE, "")),
    ):
        if held:
            _part(drawing, _taper(place, bench.at(held), wide, wide))
        else:
            _part(drawing, _taper(place, end + (end - place), wide, wide))
    foot_top = bench.at(_first(bench, Slot.OVER_FOOT) or "foot_adapter")
    sole = np.array([foot_top[0], bench.floor_mm])
    share = 0.4 * (sole - foot_top)
    _part(drawing, _taper(foot_ball, foot_top + share, 20.0, square - 12.0))
    for place in (ball, foot_ball):
        drawing.circle(place, 5.0, fill="#ffffff", width=0.3)


def _part(drawing: Drawing, outline: Points2) -> None:
    drawing.line(outline, closed=True, fill=PART_GREY, width=0.3)


def _added(drawing: Drawing, bench: Bench, joint: Joint, wide_mm: float) -> None:
    """An added adapter: a block from its upper face to its lower, a ball where it tilts."""
    start, end = bench.at(joint.name), bench.at(f"{joint.name} end")
    if joint.height_mm > 0.0:
        _part(drawing, _taper(start, end, wide_mm, wide_mm))
    if joint.kind is AdapterKind.PYRAMID and joint.name != HEEL_JOINT:
        drawing.circle(start, 5.0, fill="#ffffff", width=0.3)


def _in_slot(bench: Bench, slot: Slot) -> list[str]:
    """Names of what was added at one place of the chain and takes room there."""
    joints = bench.sheet.alignment.leg.joints
    return [one.name for one in joints if one.slot is slot and one.height_mm > 0.0]


def _first(bench: Bench, slot: Slot) -> str:
    return next(iter(_in_slot(bench, slot)), "")


def _last_end(bench: Bench, slot: Slot, without: str) -> str:
    names = _in_slot(bench, slot)
    return f"{names[-1]} end" if names else without


def _foot(bench: Bench) -> list[Points2]:
    """Outlines of pieces that make up a foot in its shoe."""
    leg, points = bench.sheet.alignment.leg, bench.sheet.alignment.points_mm
    axes = bench.pose.foot_axes
    along = points["toe"] - points["heel"]
    rings = []
    for share, half, height in _FOOT:
        middle = points["heel"] + share * along
        up = height * leg.sole_mm * axes[:, 2]
        wide = half * axes[:, 0]
        corners = [middle - wide, middle + wide, middle + up - 0.7 * wide, middle + up + 0.7 * wide]
        rings.append(bench.flat(np.array(corners)))
    pairs = [np.concatenate(pair) for pair in pairwise(rings)]
    return [pair[ConvexHull(pair).vertices] for pair in pairs]


def _draw_foot(drawing: Drawing, pieces: list[Points2]) -> None:
    """The pieces as one: each outlined, then all filled again over the lines between them."""
    for piece in pieces:
        drawing.line(piece, closed=True, fill="#ffffff", width=0.6)
    for piece in pieces:
        drawing.line(piece, closed=True, fill="#ffffff", colour="none")


def _shell_outline(sheet: Sheet, view: View, turn: NDArray[np.float64]) -> Points2:
    """Outline of the socket: its extent at every height, as a closed line."""
    shell = sheet.made.shell
    limb = points_to_patient(shell.mesh.vertices, shell.side)
    stood = on_paper(limb @ turn.T, view, sheet.person.side)
    mesh = Mesh(stood[:, [0, 2, 1]], shell.mesh.faces)
    low, high = mesh.vertices[:, 2].min(), mesh.vertices[:, 2].max()
    left, right = [], []
    for level in np.linspace(low + 0.2, high - 0.2, OUTLINE_LEVELS):
        loops = slice_loops(mesh, float(level))
        if loops:
            across = np.concatenate(loops)[:, 0]
            left.append((across.min(), level))
            right.append((across.max(), level))
    return np.array(left + right[::-1])


def _taper(
    start: NDArray[np.float64], end: NDArray[np.float64], first_mm: float, last_mm: float
) -> Points2:
    """A part between two places, with a width at each."""
    length = math.hypot(*(end - start))
    along = (end - start) / max(length, 1e-9)
    aside = np.array([-along[1], along[0]])
    return np.array(
        [
            start - 0.5 * first_mm * aside,
            start + 0.5 * first_mm * aside,
            end + 0.5 * last_mm * aside,
            end - 0.5 * last_mm * aside,
        ]
    )


def _pair(place: NDArray[np.float64]) -> tuple[float, float]:
    return float(place[0]), float(place[1])
