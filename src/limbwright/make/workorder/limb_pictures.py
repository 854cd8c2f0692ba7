"""Pictures of the shaped limb: its areas and trim line, and what it carries."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.core.clipping import clip_by_scalar, interpolate
from limbwright.core.mesh import Mesh, Vertices, vertex_normals
from limbwright.core.proximity import DistanceTree
from limbwright.core.topology import boundary_loops
from limbwright.core.units import kpa_from_mpa
from limbwright.make.workorder.picture import Body, Picture, View, on_paper, render
from limbwright.make.workorder.sheet import Sheet
from limbwright.prove.result import CasePressure
from limbwright.shape.result import PlacedArea

PLASTER = (0.90, 0.88, 0.84)
LOAD_COLOUR = (0.165, 0.353, 0.561)
RELIEF_COLOUR = (0.70, 0.42, 0.10)
BARE = (0.93, 0.93, 0.93)
ABOVE_TRIM_FADE = 0.45
ABOVE_TRIM_MM = 30.0
"""How much of the limb is shown above the trim line, where the scan has it."""
TRIM_HALF_WIDTH_MM = 1.2
TRIM_LIFT_MM = 0.5
FACING = 0.55
"""An area is numbered in each view that it faces at least so squarely (cosine)."""

PRESSURE_STOPS = ("#f1e9da", "#f0cf94", "#e4a45c", "#cb6d4b", "#9c3f55", "#662a5c", "#331c45")
"""From bare plaster to graphite violet: each darker than the one before, in grey as in colour."""
MOST_BANDS = 9


@dataclass(frozen=True, slots=True)
class Tag:
    """The number of an area and where it stands in a picture, from its upper left, mm."""

    number: int
    loads: bool
    right_mm: float
    down_mm: float


@dataclass(frozen=True, slots=True)
class Bands:
    """Steps of pressure, each of one colour.

    Parameters
    ----------
    step_kpa : float
    colours : (k, 3) tuple, 0 to 1
        Lowest first; the last one stands for all above it too.
    """

    step_kpa: float
    colours: tuple[tuple[float, float, float], ...]

    @property
    def edges_kpa(self) -> tuple[float, ...]:
        """Lower edge of each band."""
        return tuple(number * self.step_kpa for number in range(len(self.colours)))


def shape_pictures(sheet: Sheet) -> dict[View, Picture]:
    """The rectified limb with its areas and trim line, from four sides."""
    mesh, colours = _cropped(sheet, area_colours(sheet))
    return _four(sheet, Body(mesh, colours, lambda seen: seen))


def pressure_pictures(sheet: Sheet, case: CasePressure, bands: Bands) -> dict[View, Picture]:
    """The rectified limb in bands of pressure under one load case, from four sides."""
    kpa = kpa_from_mpa(1.0) * case.pressure_mpa
    mesh, values = _cropped(sheet, np.column_stack([kpa, sheet.shape.below_trim]))
    palette = np.array(bands.colours, dtype=np.float32)

    def colouring(seen: NDArray[np.float32]) -> NDArray[np.float32]:
        band = np.clip((seen[:, 0] / bands.step_kpa).astype(int), 0, len(palette) - 1)
        covered = seen[:, 1:] > 0.5
        return np.where(covered, palette[band], np.array(BARE, dtype=np.float32))

    return _four(sheet, Body(mesh, values, colouring, shade=0.12))


def pressure_bands(largest_kpa: float) -> Bands:
    """A few bands of a round width from nothing to the largest value."""
    wanted = max(largest_kpa, 1.0) / MOST_BANDS
    unit = 10.0 ** math.floor(math.log10(wanted))
    step = next(share * unit for share in (1.0, 2.0, 2.5, 5.0, 10.0) if share * unit >= wanted)
    count = max(2, math.ceil(max(largest_kpa, 1.0) / step - 1e-9))
    return Bands(step, tuple(_sample(number / (count - 1)) for number in range(count)))


def area_colours(sheet: Sheet) -> NDArray[np.float64]:
    """Colour of each vertex of the rectified surface: load, relief, faded above the trim line."""
    colours = np.tile(PLASTER, (len(sheet.shape.surface.vertices), 1))
    for area in sheet.shape.areas:
        if area.depth_mm == 0.0:
            continue
        colour = np.array(LOAD_COLOUR if area.loads else RELIEF_COLOUR)
        share = 0.9 * area.weight[:, None]
        colours = colours * (1 - share) + colour * share
    faded = 1 - ABOVE_TRIM_FADE * (1 - colours)
    return np.where(sheet.shape.below_trim[:, None], colours, faded)


def area_tags(sheet: Sheet, view: View, picture: Picture) -> tuple[Tag, ...]:
    """Numbers of the areas that face a view; each area faces at least one."""
    normals = vertex_normals(sheet.shape.surface)
    tags = []
    for number, area in enumerate(sheet.shape.areas, start=1):
        if area.depth_mm == 0.0 or not _faces(sheet, area, normals, view):
            continue
        right, up, _ = on_paper(area.centre_mm, view, sheet.person.side)[0]
        tags.append(
            Tag(number, area.loads, float(right) - picture.left_mm, picture.top_mm - float(up))
        )
    return tuple(tags)


def governing_case(sheet: Sheet) -> CasePressure | None:
    """The load case with the highest share of a limit, else with the highest pressure."""
    cases = sheet.proof.interface.cases
    if not cases:
        return None

    def weight(case: CasePressure) -> tuple[float, float]:
        shares = [area.share for area in case.areas if area.share is not None]
        return max(shares, default=0.0), max((area.peak_kpa for area in case.areas), default=0.0)

    return max(cases, key=weight)


def ribbon(line: Vertices, surface: Mesh) -> Mesh:
    """A closed line (k, 3) mm as a narrow band on the surface below it.

    The line itself may stand off, where the brim flares.
    """
    _, face, line = DistanceTree(surface).closest(line)
    normal = vertex_normals(surface)[surface.faces[face]].mean(axis=1)
    along = np.roll(line, -1, axis=0) - np.roll(line, 1, axis=0)
    across = np.cross(along, normal)
    across /= np.maximum(np.linalg.norm(across, axis=1, keepdims=True), 1e-9)
    lifted = line + TRIM_LIFT_MM * normal
    count = len(line)
    here = np.arange(count)
    after = (here + 1) % count
    faces = np.concatenate(
        [
            np.column_stack([here, after, here + count]),
            np.column_stack([after, after + count, here + count]),
        ]
    )
    both = [lifted - TRIM_HALF_WIDTH_MM * across, lifted + TRIM_HALF_WIDTH_MM * across]
    return Mesh(np.concatenate(both), faces.astype(np.int32))


def _four(sheet: Sheet, body: Body) -> dict[View, Picture]:
    """A body with the trim line on it from four sides."""
    trim = ribbon(sheet.shape.trim.points_mm, sheet.shape.surface)
    line = Body(trim, np.zeros((len(trim.vertices), 3)), lambda seen: seen, shade=0.0)
    return {view: render([body, line], sheet.person.side, view) for view in View}


def _cropped(sheet: Sheet, values: NDArray[np.float64]) -> tuple[Mesh, NDArray[np.float64]]:
    """The surface cut level below the ragged rim of the scan, with its values."""
    surface = sheet.shape.surface
    highest = float(sheet.shape.trim.points_mm[:, 2].max())
    rims = [surface.vertices[loop, 2].min() for loop in boundary_loops(surface)]
    rim_mm = float(min(rims, default=np.inf)) - 1.0
    top_mm = max(min(rim_mm, highest + ABOVE_TRIM_MM), highest + 2 * TRIM_HALF_WIDTH_MM)
    clipped = clip_by_scalar(surface, surface.vertices[:, 2], top_mm)
    return clipped.mesh, interpolate(clipped, values)


def _faces(sheet: Sheet, area: PlacedArea, normals: Vertices, view: View) -> bool:
    vertices = sheet.shape.surface.vertices
    normal = normals[int(np.argmin(((vertices - area.centre_mm) ** 2).sum(axis=1)))]
    squareness = {other: float(on_paper(normal, other, sheet.person.side)[0, 2]) for other in View}
    best = max(squareness.values())
    return squareness[view] >= min(FACING, best)


def _sample(share: float) -> tuple[float, float, float]:
    place = share * (len(PRESSURE_STOPS) - 1)
    below = min(int(place), len(PRESSURE_STOPS) - 2)
    first, second = (_rgb(PRESSURE_STOPS[below + step]) for step in (0, 1))
    red, green, blue = (a + (b - a) * (place - below) for a, b in zip(first, second, strict=True))
    return red, green, blue


def _rgb(colour: str) -> tuple[float, float, float]:
    red, green, blue = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    return red, green, blue
