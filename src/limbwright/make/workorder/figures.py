"""The work order's figures: the shaped limb from four sides, coupling and alignment with sizes."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from limbwright.core.frame import Side
from limbwright.core.mesh import Mesh, Vector, Vertices
from limbwright.core.slicing import slice_loops
from limbwright.make.workorder.drawing import Drawing, Points2
from limbwright.make.workorder.picture import Coloured, Picture, View, render
from limbwright.make.workorder.sheet import Sheet
from limbwright.shape.plan import AreaName

PLASTER = np.array([0.86, 0.83, 0.78])
LOAD_COLOUR = np.array([0.80, 0.36, 0.10])
RELIEF_COLOUR = np.array([0.10, 0.42, 0.62])
TRIM_COLOUR = np.array([0.12, 0.14, 0.16])
ABOVE_TRIM_FADE = 0.5
TRIM_HALF_WIDTH_MM = 1.2

Project = Callable[[Vertices], Points2]


def area_colours(sheet: Sheet) -> NDArray[np.float64]:
    """Colour of each vertex of the rectified surface: load, relief, faded above the trim line."""
    colours = np.tile(PLASTER, (len(sheet.shape.surface.vertices), 1))
    for area in sheet.shape.areas:
        if area.depth_mm == 0.0:
            continue
        colour = LOAD_COLOUR if area.loads else RELIEF_COLOUR
        share = 0.85 * area.weight[:, None]
        colours = colours * (1 - share) + colour * share
    faded = 1 - ABOVE_TRIM_FADE * (1 - colours)
    return np.where(sheet.shape.below_trim[:, None], colours, faded)


def shape_picture(sheet: Sheet, view: View) -> Picture:
    """The rectified limb with its areas and trim line, from one side."""
    trim = ribbon(sheet.shape.trim.points_mm, sheet.shape.surface)
    bodies = [
        Coloured(sheet.shape.surface, area_colours(sheet)),
        Coloured(trim, np.tile(TRIM_COLOUR, (len(trim.vertices), 1))),
    ]
    return render(bodies, sheet.person.side, view)


def ribbon(line: Vertices, surface: Mesh) -> Mesh:
    """A closed line as a narrow upright band just outside the surface it lies on."""
    middle = surface.vertices[:, :2].mean(axis=0)
    outward = line - np.array([*middle, 0.0])
    outward[:, 2] = 0.0
    outward /= np.linalg.norm(outward, axis=1, keepdims=True)
    lifted = line + 0.8 * outward
    half = np.array([0.0, 0.0, TRIM_HALF_WIDTH_MM])
    count = len(line)
    here = np.arange(count)
    after = (here + 1) % count
    faces = np.concatenate(
        [
            np.column_stack([here, after, here + count]),
            np.column_stack([after, after + count, here + count]),
        ]
    )
    return Mesh(np.concatenate([lifted - half, lifted + half]), faces.astype(np.int32))


def plane_of(view: View, side: Side) -> Project:
    """Projection of limb-frame points on paper: x to the reader's right, y up."""
    outward_right = {
        (View.FRONT, Side.RIGHT): -1.0,
        (View.FRONT, Side.LEFT): 1.0,
    }
    if view is View.FRONT:
        sign = outward_right[(view, side)]
        return lambda points: np.atleast_2d(points)[:, [0, 2]] * [sign, 1.0]
    # Seen from the lateral side, forward is on the left for a right limb's outside and on the
    # right for a left limb's: a right limb seen from its right shows its front to the right.
    sign = 1.0 if side is Side.RIGHT else -1.0
    return lambda points: np.atleast_2d(points)[:, [1, 2]] * [sign, 1.0]


def outline(mesh: Mesh, view: View, side: Side) -> Points2:
    """Outline of a limb-shaped body in a view: its extent at every level, as a closed line."""
    low, high = mesh.vertices[:, 2].min(), mesh.vertices[:, 2].max()
    left, right = [], []
    project = plane_of(view, side)
    for level in np.linspace(low + 0.3, high - 0.3, 80):
        loops = slice_loops(mesh, float(level))
        if not loops:
            continue
        points = np.concatenate(loops)
        flat = project(np.column_stack([points, np.full(len(points), level)]))
        left.append([flat[:, 0].min(), level])
        right.append([flat[:, 0].max(), level])
    return np.array(left + right[::-1])


def coupling_drawing(sheet: Sheet, view: View) -> Drawing:
    """Limb end, liner cap, coupling and plate in one view, with sizes."""
    seat, side = sheet.coupling.seat, sheet.person.side
    project = plane_of(view, side)
    drawing = Drawing(text_mm=4.2)
    lowest = sheet.shape.surface.vertices[:, 2].min()
    drawing.line(_below(outline(sheet.shape.surface, view, side), lowest + 75), width_mm=0.6)
    floor = seat.face_mm + seat.body_height_mm * seat.axis
    drawing.line(
        _box(project, seat.face_mm, floor, seat.body_diameter_mm), closed=True, fill="#e4e1d8"
    )
    drawing.line(
        _box(project, floor, seat.base_mm, seat.body_diameter_mm + 14), closed=True, fill="#c9d3d8"
    )
    axis = project(np.array([seat.cap_mm - 60 * seat.axis, seat.base_mm + 25 * seat.axis]))
    drawing.line(axis, width_mm=0.3, dash="6 2 1 2")
    for screw in project(seat.screws_mm):
        drawing.line([screw, screw + project(8 * seat.axis)[0]], width_mm=1.2)
    cap, face, base = (project(point)[0] for point in (seat.cap_mm, seat.face_mm, seat.base_mm))
    side_mm = 0.5 * seat.body_diameter_mm + 18
    foot = project(floor)[0]
    drawing.dimension(
        cap + np.array([side_mm, 0]),
        face + np.array([side_mm, 0]),
        f"spacing {_length(cap, face):.1f}",
        offset_mm=-4,
    )
    drawing.dimension(
        face + np.array([side_mm, 0]),
        foot + np.array([side_mm, 0]),
        f"body {_length(face, foot):.1f}",
        offset_mm=-4,
    )
    drawing.dimension(
        foot + np.array([side_mm, 0]),
        base + np.array([side_mm, 0]),
        f"floor {_length(foot, base):.1f}",
        offset_mm=-4,
    )
    drawing.text((axis[0, 0] + 2, axis[0, 1] + 2), "axis")
    drawing.text((base[0], base[1] - 34), _view_title(view), anchor="middle", scale=1.1)
    return drawing


def screw_drawing(sheet: Sheet) -> Drawing:
    """The screw square as seen from below on the socket, true size."""
    seat, side = sheet.coupling.seat, sheet.person.side
    plan = sheet.couple_plan.coupling
    right, forward = _plate_axes(seat.axis, side)
    drawing = Drawing(text_mm=3.6)
    local = seat.screws_mm - seat.base_mm
    outward = right @ np.array([1.0, 0, 0])
    flat = np.column_stack([local @ right, local @ forward])
    for place in flat:
        drawing.circle(place, 0.5 * plan.screw_diameter_mm)
        drawing.line([place - np.array([4, 0]), place + np.array([4, 0])], width_mm=0.2)
        drawing.line([place - np.array([0, 4]), place + np.array([0, 4])], width_mm=0.2)
    drawing.circle((0, 0), 0.5 * seat.body_diameter_mm, width_mm=0.3)
    drawing.line([[-9, 0], [9, 0]], width_mm=0.2)
    drawing.line([[0, -9], [0, 9]], width_mm=0.2)
    exit_flat = np.array([seat.exit_direction @ right, seat.exit_direction @ forward])
    reach = 0.5 * seat.body_diameter_mm
    drawing.line([exit_flat * reach, exit_flat * (reach + 14)], width_mm=0.9)
    drawing.text(exit_flat * (reach + 18), "exit", anchor="middle")
    order = np.argsort(np.arctan2(flat[:, 1], flat[:, 0]))
    a, b = flat[order[0]], flat[order[1]]
    drawing.dimension(
        a, b, f"{np.linalg.norm(b - a):.1f}", offset_mm=-(0.5 * seat.body_diameter_mm)
    )
    edge = 0.5 * seat.body_diameter_mm + 26
    drawing.text((0, edge), "ANTERIOR", anchor="middle")
    drawing.text((0, -edge - 4), "POSTERIOR", anchor="middle")
    lateral = edge + 6 if outward > 0 else -edge - 6
    drawing.text((lateral, 0), "LATERAL", anchor="start" if outward > 0 else "end")
    drawing.text((-lateral, 0), "MEDIAL", anchor="end" if outward > 0 else "start")
    return drawing


def alignment_drawing(sheet: Sheet, view: View) -> Drawing:
    """Socket, chain and foot as they stand on the bench in one view, with sizes."""
    side, alignment = sheet.person.side, sheet.alignment
    upright = bench_turn(alignment.up, alignment.forward)
    project = plane_of(view, side)
    standing = Mesh(sheet.shape.surface.vertices @ upright.T, sheet.shape.surface.faces)
    points = {name: project(upright @ place)[0] for name, place in alignment.points_mm.items()}
    drawing = Drawing(text_mm=11.0)
    drawing.line(outline(standing, view, side), width_mm=1.2)
    chain = ["socket_base", "socket_adapter", "pylon_top", "pylon_bottom", "foot_adapter", "ankle"]
    drawing.line([points[name] for name in chain], width_mm=2.2)
    if view is View.FRONT:
        half = np.array([32.0, 0.0])
        sole = points["sole_centre"]
        drawing.line([sole - half, sole + half], width_mm=2.2)
    else:
        drawing.line([points["heel"], points["toe"]], width_mm=2.2)
        drawing.line([points["heel"], points["ankle"], points["toe"]], width_mm=0.8)
    for name in ("socket_adapter", "foot_adapter"):
        drawing.circle(points[name], 5.0, fill="#ffffff", width_mm=1.0)
    floor = min(place[1] for place in points.values())
    datum = points["datum"]
    drawing.line([datum + np.array([0, 40]), [datum[0], floor]], width_mm=0.5, dash="10 4 2 4")
    drawing.text((datum[0] + 4, datum[1] + 44), "plumb line through datum")
    edge = max(place[0] for place in points.values()) + 70
    drawing.dimension((edge, floor), (edge, datum[1]), f"{datum[1] - floor:.0f}", offset_mm=0)
    foot_x = points["sole_centre"][0] if view is View.FRONT else points["ankle"][0]
    drawing.dimension(
        (min(datum[0], foot_x), floor - 16),
        (max(datum[0], foot_x), floor - 16),
        f"{abs(foot_x - datum[0]):.0f}",
    )
    drawing.text((datum[0], floor - 48), _view_title(view), anchor="middle", scale=1.1)
    return drawing


def bench_turn(up: Vector, forward: Vector) -> NDArray[np.float64]:
    """Rotation from the limb frame to the bench: rows outward, forward, vertical."""
    level = forward - (forward @ up) * up
    level /= np.linalg.norm(level)
    return np.stack([np.cross(level, up), level, up])


def area_words(name: AreaName) -> str:
    """An area's name as read by people."""
    return name.value.replace("_", " ")


def _view_title(view: View) -> str:
    return "from the front" if view is View.FRONT else "from the lateral side"


def _plate_axes(axis: Vector, side: Side) -> tuple[Vector, Vector]:
    """Right and up on paper when the socket's end is looked at from below, anterior up."""
    forward = np.array([0.0, 1.0, 0.0]) - axis[1] * axis
    forward /= np.linalg.norm(forward)
    outward = np.cross(forward, -axis)
    # From below with the front up, the patient's right is on the paper's left.
    right_limb = side is Side.RIGHT
    return (-outward if right_limb else outward), forward


def _below(line: Points2, level: float) -> Points2:
    return line[line[:, 1] <= level]


def _box(project: Project, top: Vector, bottom: Vector, width_mm: float) -> Points2:
    a, b = project(top)[0], project(bottom)[0]
    along = (b - a) / max(float(np.linalg.norm(b - a)), 1e-9)
    aside = 0.5 * width_mm * np.array([-along[1], along[0]])
    return np.array([a - aside, a + aside, b + aside, b - aside])


def _length(a: NDArray[np.float64], b: NDArray[np.float64]) -> float:
    return float(np.linalg.norm(b - a))
