"""The coupling under the limb: sections along its axis, with names and with sizes."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.assess.plan import LinerMaterial
from limbwright.core.frame import points_to_patient
from limbwright.core.mesh import Mesh, Vector, Vertices, vertex_normals, with_vertices
from limbwright.core.slicing import slice_loops
from limbwright.couple.build_height import part_heights
from limbwright.couple.hardware import exit_level
from limbwright.couple.tables import KINDS_WITH_BODY, KINDS_WITH_VALVE
from limbwright.make.workorder.drawing import AXIS, HIDDEN, PALE, PART_GREY, Drawing, Note, Points2
from limbwright.make.workorder.picture import View, direction_word, view_in_limb
from limbwright.make.workorder.sheet import Sheet
from limbwright.make.workorder.wording import number

ABOVE_FACE_MM = 50.0
"""How much of the limb is shown above the coupling's face."""
WALL_GREY = "#b9c0c5"
SKIN = "#ffffff"


@dataclass(frozen=True, slots=True, eq=False)
class Plane:
    """A plane along the coupling's axis, seen square on.

    Parameters
    ----------
    origin_mm : (3,) float64
        On the axis, limb frame.
    right, up, toward : (3,) float64, unit
        On paper to the right and up, and towards the onlooker; up is as upright as it can be.
    """

    origin_mm: Vector
    right: Vector
    up: Vector
    toward: Vector

    def flat(self, points_mm: Vertices) -> Points2:
        """Points (n, 3) on paper, (n, 2) mm."""
        local = np.atleast_2d(points_mm) - self.origin_mm
        return np.column_stack([local @ self.right, local @ self.up])

    def section(self, mesh: Mesh) -> list[Points2]:
        """Outlines of a mesh in the plane."""
        axes = np.column_stack([self.right, self.up, self.toward])
        placed = Mesh((mesh.vertices - self.origin_mm) @ axes, mesh.faces)
        return slice_loops(placed, 0.0)


def section_plane(sheet: Sheet, view: View) -> Plane:
    """The plane through the coupling's axis that a view looks at most squarely."""
    axis = sheet.coupling.seat.axis
    right, toward = view_in_limb(view, sheet.person.side)
    square = np.cross(axis, right)
    square = square / np.linalg.norm(square) * np.sign(square @ toward)
    up = np.array([0.0, 0.0, 1.0]) - square[2] * square
    up /= np.linalg.norm(up)
    across = np.cross(up, square)
    across *= np.sign(across @ right)
    return Plane(sheet.coupling.seat.face_mm, across, up, square)


@dataclass(frozen=True, slots=True, eq=False)
class Cut:
    """Socket and limb cut in the plane of a view.

    Parameters
    ----------
    sheet : Sheet
    view : View
    plane : Plane
    shell, skin, lined : lists of (n, 2) float64, mm
        Outlines in the plane; none of the lined limb where the scan shows the liner.
    """

    sheet: Sheet
    view: View
    plane: Plane
    shell: list[Points2]
    skin: list[Points2]
    lined: list[Points2]

    @property
    def window(self) -> tuple[Points2, Points2]:
        """Lower left and upper right of what is shown of limb and socket."""
        points = np.concatenate([*self.shell, np.zeros((1, 2))])
        near = points[points[:, 1] < ABOVE_FACE_MM]
        half = float(np.abs(near[:, 0]).max()) + 2.0
        return np.array([-half, near[:, 1].min() - 2.0]), np.array([half, ABOVE_FACE_MM])


def coupling_cut(sheet: Sheet, view: View) -> Cut:
    """Socket and limb of a case, cut along the coupling's axis."""
    plane, surface = section_plane(sheet, view), sheet.limb.surface
    lined = surface.vertices + sheet.shape.liner_mm[:, None] * vertex_normals(surface)
    shell = sheet.made.shell
    in_limb = Mesh(points_to_patient(shell.mesh.vertices, shell.side), shell.mesh.faces)
    return Cut(
        sheet,
        view,
        plane,
        plane.section(in_limb),
        plane.section(surface),
        plane.section(with_vertices(surface, lined)) if (sheet.shape.liner_mm > 0).any() else [],
    )


def coupling_section(cut: Cut, scale: float) -> Drawing:
    """Limb end, liner, socket wall, coupling and plate cut along the axis, with names or sizes.

    From the front the parts are named, from the side their lengths along the axis are given.
    """
    seat, plane = cut.sheet.coupling.seat, cut.plane
    low, high = cut.window
    drawing = Drawing(scale)
    drawing.region(cut.shell, low, high, fill=WALL_GREY, width=0.3)
    drawing.region(cut.skin, low, high, fill=SKIN, width=0.3)
    for loop in cut.lined:
        inside = loop[(loop[:, 1] < high[1]) & (np.abs(loop[:, 0]) < high[0])]
        if len(inside):
            drawing.line(_from_gap(inside), width=0.18, dash=HIDDEN)
    _hardware(drawing, cut)
    top = seat.face_mm - (ABOVE_FACE_MM + 3.0) * seat.axis
    axis = plane.flat(np.array([top, _ball(cut.sheet) + 8 * seat.axis]))
    drawing.line(axis, width=0.18, dash=AXIS)
    drawing.line([[0.0, 0.0], [0.0, ABOVE_FACE_MM]], width=0.13, colour=PALE)
    _directions(drawing, cut)
    if cut.view is View.FRONT:
        drawing.notes(part_notes(cut), float(high[0]) + 2 * scale)
    else:
        _lengths(drawing, cut, float(high[0]) + 2 * scale)
    return drawing


def axis_words(sheet: Sheet, view: View) -> str:
    """How far the coupling's axis leans from the limb's axis in a view, and which way."""
    seat = sheet.coupling.seat
    right, _ = view_in_limb(view, sheet.person.side)
    lean = math.degrees(math.atan2(float(seat.axis @ right), -float(seat.axis[2])))
    if abs(lean) < 0.05:
        return "axis along the limb's axis"
    toward = right if lean > 0 else -right
    return f"axis {number(abs(lean), 1)}° off the limb's axis, lower end {direction_word(toward)}"


def part_notes(cut: Cut) -> list[Note]:
    """What is what in a section, each with a place on it."""
    sheet, plane = cut.sheet, cut.plane
    seat, plan = sheet.coupling.seat, sheet.couple_plan.coupling
    aside = 0.3 * seat.body_diameter_mm * plane.right
    notes = _soft_notes(cut)
    if plan.kind in KINDS_WITH_BODY:
        middle = seat.face_mm + 0.3 * seat.body_height_mm * seat.axis
        size = f"⌀ {number(seat.body_diameter_mm, 1)} × {number(seat.body_height_mm, 1)}"
        notes += [
            _note(plane, 0.5 * (seat.cap_mm + seat.face_mm) + 0.6 * aside, "spacing"),
            _note(plane, middle + aside, f"coupling body, {size}"),
        ]
    floor = seat.base_mm - 0.5 * seat.floor_mm * seat.axis
    notes.append(_note(plane, floor + 1.2 * aside, "socket floor"))
    screw = max(seat.screws_mm, key=lambda place: float(plane.flat(place)[0, 0]))
    size = number(plan.screw_diameter_mm, 1)
    notes.append(_note(plane, screw - 0.25 * seat.floor_mm * seat.axis, f"4 screws, ⌀ {size}"))
    notes.append(_note(plane, 0.5 * (seat.base_mm + _ball(sheet)), "plate with pyramid"))
    notes.append(_note(plane, _ball(sheet), "pyramid's ball centre"))
    if plan.kind in KINDS_WITH_BODY | KINDS_WITH_VALVE:
        place = exit_level(seat, plan) + 0.42 * seat.body_diameter_mm * seat.exit_direction
        word = "valve bore" if plan.kind in KINDS_WITH_VALVE else "exit"
        notes.append(_note(plane, place, f"{word}, ⌀ {number(plan.exit_diameter_mm, 1)}"))
    return notes


def _soft_notes(cut: Cut) -> list[Note]:
    """Skin, liner and wall, named where the limb is still wide."""
    sheet, height = cut.sheet, 0.8 * ABOVE_FACE_MM
    liner, seat = sheet.liner, sheet.coupling.seat
    name = "limb" if cut.lined or liner.material is LinerMaterial.NONE else "limb in its liner"
    notes = [Note((_edge(cut.skin, height) - 5.0, height), name)]
    if cut.lined:
        middle = _edge(cut.lined, 0.9 * height) - 0.5 * liner.thickness_mm
        text = f"liner, {number(liner.thickness_mm, 1)}"
        notes.append(Note((middle, 0.9 * height), text))
        cap = seat.cap_mm - 0.5 * liner.cap_thickness_mm * seat.axis + 8.0 * cut.plane.right
        notes.append(_note(cut.plane, cap, f"liner cap, {number(liner.cap_thickness_mm, 1)}"))
    wall_mm = sheet.made.wall_median_mm
    place = (_edge(cut.shell, 0.8 * height) - 0.5 * wall_mm, 0.8 * height)
    return [*notes, Note(place, f"socket wall, {number(wall_mm, 1)}")]


def _hardware(drawing: Drawing, cut: Cut) -> None:
    sheet, plane = cut.sheet, cut.plane
    seat, plan = sheet.coupling.seat, sheet.couple_plan.coupling
    floor_top = seat.face_mm + seat.body_height_mm * seat.axis
    if plan.kind in KINDS_WITH_BODY:
        box = _box(plane, seat.face_mm, floor_top, seat.body_diameter_mm)
        drawing.line(box, closed=True, fill=PART_GREY, width=0.3)
    cap = 0.5 * sheet.liner.cap_diameter_mm * plane.right
    across = cap - (cap @ seat.axis) * seat.axis
    if cut.lined:
        drawing.line(plane.flat(np.array([seat.cap_mm - across, seat.cap_mm + across])), width=0.45)
    _plate(drawing, sheet, plane)
    for screw in seat.screws_mm:
        shank = _box(plane, screw - seat.floor_mm * seat.axis, screw, plan.screw_diameter_mm)
        drawing.line(shank, closed=True, width=0.18, dash=HIDDEN)
    exits = plan.kind in KINDS_WITH_BODY | KINDS_WITH_VALVE
    if exits and abs(float(seat.exit_direction @ plane.toward)) > 0.7:
        middle = plane.flat(exit_level(seat, plan))[0]
        drawing.circle(middle, 0.5 * plan.exit_diameter_mm, width=0.18, dash=HIDDEN)


def _plate(drawing: Drawing, sheet: Sheet, plane: Plane) -> None:
    """The plate as a body from its screws to the ball centre of its pyramid."""
    seat, ball = sheet.coupling.seat, plane.flat(_ball(sheet))[0]
    half = 0.5 * sheet.couple_plan.coupling.screw_square_mm + 9.0
    top = _box(plane, seat.base_mm, seat.base_mm + 4.0 * seat.axis, 2 * half)
    base = _box(plane, seat.base_mm + 4.0 * seat.axis, _ball(sheet), 26.0)
    drawing.line([*base], closed=True, fill=PART_GREY, width=0.3)
    drawing.line(top, closed=True, fill=PART_GREY, width=0.3)
    drawing.circle(ball, 3.0, fill="#ffffff", width=0.3)


def _lengths(drawing: Drawing, cut: Cut, reach: float) -> None:
    """Lengths along the axis from the liner cap to the ball centre."""
    sheet, seat = cut.sheet, cut.sheet.coupling.seat
    floor_top = seat.face_mm + seat.body_height_mm * seat.axis
    plate = part_heights(sheet.couple_plan.parts).plate_mm
    places = [floor_top, seat.base_mm, _ball(sheet)]
    texts = [f"{number(seat.floor_mm, 1)} floor", f"{number(plate, 1)} plate to ball"]
    if sheet.couple_plan.coupling.kind in KINDS_WITH_BODY:
        places.insert(0, seat.face_mm)
        texts.insert(0, f"{number(seat.body_height_mm, 1)} body")
        spacing = sheet.couple_plan.coupling.spacing_mm
        if spacing > 0:
            places.insert(0, seat.cap_mm)
            texts.insert(0, f"{number(spacing, 1)} spacing")
    drawing.chain([cut.plane.flat(place)[0] for place in places], texts, reach)


def _directions(drawing: Drawing, cut: Cut) -> None:
    """Which way is which, below the drawing."""
    low, high = drawing.bounds_mm
    right, _ = view_in_limb(cut.view, cut.sheet.person.side)
    height = float(low[1]) - 1.6 * drawing.text_mm
    drawing.text((low[0], height), f"← {direction_word(-right)}")
    drawing.text((high[0], height), f"{direction_word(right)} →", anchor="end")


def _ball(sheet: Sheet) -> Vector:
    seat = sheet.coupling.seat
    plate_mm = part_heights(sheet.couple_plan.parts).plate_mm
    return np.asarray(seat.base_mm + plate_mm * seat.axis, dtype=np.float64)


def _edge(loops: list[Points2], height: float) -> float:
    """Where outlines cross a height furthest to the right."""
    crossings = [0.0]
    for loop in loops:
        after = np.roll(loop, -1, axis=0)
        crosses = (loop[:, 1] < height) != (after[:, 1] < height)
        a, b = loop[crosses], after[crosses]
        share = (height - a[:, 1]) / (b[:, 1] - a[:, 1])
        crossings.extend(a[:, 0] + share * (b[:, 0] - a[:, 0]))
    return float(max(crossings))


def _from_gap(points: Points2) -> Points2:
    """A piece of a closed outline, begun after its widest jump."""
    jumps = np.linalg.norm(np.roll(points, -1, axis=0) - points, axis=1)
    return np.roll(points, -(int(np.argmax(jumps)) + 1), axis=0)


def _note(plane: Plane, place: NDArray[np.float64], text: str) -> Note:
    x, y = plane.flat(place)[0]
    return Note((float(x), float(y)), text)


def _box(plane: Plane, top: Vector, bottom: Vector, width_mm: float) -> Points2:
    a, b = plane.flat(np.array([top, bottom]))
    along = (b - a) / max(float(np.linalg.norm(b - a)), 1e-9)
    aside = 0.5 * width_mm * np.array([-along[1], along[0]])
    return np.array([a - aside, a + aside, b + aside, b - aside])
