"""Reading a pressure field by area: mean, peak over 1 cm², resultant and share of the limit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix

from limbwright.core.edges import edge_vertices
from limbwright.core.mesh import Mesh, Scalars, Vertices, vertex_areas, vertex_normals
from limbwright.core.sources import Sourced
from limbwright.core.units import kpa_from_mpa
from limbwright.prove.interface.patches import Neighbours, find_neighbours, patch_operator
from limbwright.prove.result import AreaPressure
from limbwright.prove.tables import WALKING_LIMIT_KPA
from limbwright.shape.result import PlacedArea, SocketShape

REST_OF_WALL = "rest of wall"
DISTAL_END = "distal end"
INSIDE = 0.5
"""Weight from which a vertex counts as inside an area."""
_DISTAL_FACING = -np.cos(np.deg2rad(45.0))


@dataclass(frozen=True, slots=True, eq=False)
class Skin:
    """The limb's surface as places that can be pressed.

    Parameters
    ----------
    points_mm, normals : (n, 3) float64, limb frame
    areas_mm2 : (n,) float64
    neighbours : Neighbours
    """

    points_mm: Vertices
    normals: Vertices
    areas_mm2: Scalars
    neighbours: Neighbours


@dataclass(frozen=True, slots=True, eq=False)
class Border:
    """Where the edges of the mesh cross the outline of an area.

    Parameters
    ----------
    ends : (k, 2) int
        Vertex inside and vertex outside of every edge that crosses.
    share : (k,) float64
        How far along the edge the outline lies, 0 at the vertex inside.
    """

    ends: NDArray[np.int32]
    share: Scalars

    def of(self, field: Scalars) -> Scalars:
        """A field on the outline, (k,)."""
        inside, outside = field[self.ends].T
        return np.asarray(inside + self.share * (outside - inside))

    def under(self, covered: NDArray[np.bool_]) -> Border:
        """The part of it that the socket covers, (n,) bool."""
        kept = covered[self.ends].all(axis=1)
        return Border(self.ends[kept], self.share[kept])


def border_of(edges: NDArray[np.int32], field: Scalars, level: float) -> Border:
    """The outline on which a field has a level; inside it is at least as much.

    Parameters
    ----------
    edges : (m, 2) int32
        Half-edges of the surface.
    field : (n,) float64
        Where it is not finite nothing is known, and no outline is.
    level : float
    """
    within = field >= level
    crossing = edges[within[edges[:, 0]] != within[edges[:, 1]]]
    crossing = crossing[np.isfinite(field[crossing]).all(axis=1)]
    outward = within[crossing[:, 0]]
    ends = np.concatenate([crossing[outward], crossing[~outward, ::-1]])
    inside, outside = field[ends].T
    return Border(ends, np.asarray((inside - level) / (inside - outside)))


NO_BORDER = Border(np.zeros((0, 2), np.int32), np.zeros(0))


@dataclass(frozen=True, slots=True, eq=False)
class Zone:
    """One area as a set of vertices.

    Parameters
    ----------
    name : str
    inside : (k,) int
        Vertices that mean and peak are taken over; areas may overlap.
    own : (j,) int
        Vertices whose force it is credited with; every covered vertex has one owner.
    limit : Sourced or None
    border : Border
        Outline of an area of the socket: a peak that stands there does not hang on where the
        vertices happen to lie.
    """

    name: str
    inside: NDArray[np.intp]
    own: NDArray[np.intp]
    limit: Sourced[float] | None
    border: Border = NO_BORDER


@dataclass(frozen=True, slots=True, eq=False)
class ZoneMap:
    """The covered surface, divided.

    Parameters
    ----------
    skin : Skin
    covered : (n,) bool
    zones : tuple of Zone
        Areas in the order of the shape, then the rest of the wall, then the distal end.
    patch_mean : (n, n) csr_matrix
        Mean over the nearest 1 cm².
    """

    skin: Skin
    covered: NDArray[np.bool_]
    zones: tuple[Zone, ...]
    patch_mean: csr_matrix


def skin_of(surface: Mesh) -> Skin:
    """Places of the limb's surface; once per limb."""
    normals = vertex_normals(surface)
    return Skin(
        surface.vertices, normals, vertex_areas(surface), find_neighbours(surface.vertices, normals)
    )


def divide(skin: Skin, shape: SocketShape) -> ZoneMap:
    """Divide the covered surface among areas, the rest of the wall and the distal end.

    Each vertex belongs to the area whose weight is largest there, if that is at least one half;
    else to the distal end, if it lies in the distal half of the socket and faces within 45
    degrees of straight down; else to the rest of the wall. So all forces add up to the total.
    """
    covered = shape.below_trim
    owner = _owners(skin, covered, shape.areas)
    count = len(shape.areas)
    edges = edge_vertices(shape.surface.faces)
    zones = [
        Zone(
            area.name.value,
            np.flatnonzero(covered & (area.weight >= INSIDE)),
            np.flatnonzero(owner == number),
            WALKING_LIMIT_KPA.get(area.name),
            border_of(edges, area.weight, INSIDE).under(covered),
        )
        for number, area in enumerate(shape.areas)
    ]
    for number, name in ((count, REST_OF_WALL), (count + 1, DISTAL_END)):
        own = np.flatnonzero(owner == number)
        zones.append(Zone(name, own, own, None))
    mean = patch_operator(skin.neighbours, skin.areas_mm2, covered)
    return ZoneMap(skin, covered, tuple(zones), mean)


def read_zones(
    zones: ZoneMap, pressure_mpa: Scalars, shear_mpa: Vertices
) -> tuple[AreaPressure, ...]:
    """Mean, peak and resultant of every area.

    Parameters
    ----------
    zones : ZoneMap
    pressure_mpa : (n,) float64
    shear_mpa : (n, 3) float64
        Traction on the limb.
    """
    skin = zones.skin
    peaks = zones.patch_mean @ pressure_mpa
    forces = skin.areas_mm2[:, None] * (shear_mpa - pressure_mpa[:, None] * skin.normals)
    return tuple(_read(zone, skin.areas_mm2, pressure_mpa, peaks, forces) for zone in zones.zones)


def peak_kpa(inside: NDArray[np.intp], border: Border, peaks_mpa: Scalars) -> float:
    """Largest mean over 1 cm² in an area and on its outline, kPa.

    Beside a relief pressure rises so steeply that the vertex nearest the outline, here in and there
    out, would make the peak; on the outline itself it is read alike on every mesh.

    Parameters
    ----------
    inside : (k,) int
    border : Border
    peaks_mpa : (n,) float64
        Mean over the nearest 1 cm² of every vertex.
    """
    within = float(peaks_mpa[inside].max(initial=0.0))
    return kpa_from_mpa(float(border.of(peaks_mpa).max(initial=within)))


def largest_patch_kpa(zones: ZoneMap, pressure_mpa: Scalars) -> float:
    """Largest mean over any 1 cm² of the socket, kPa."""
    return kpa_from_mpa(float((zones.patch_mean @ pressure_mpa).max()))


def mean_in_contact_kpa(zones: ZoneMap, pressure_mpa: Scalars) -> float:
    """Mean over what is in contact, kPa; 0 without contact."""
    area = zones.skin.areas_mm2[pressure_mpa > 0].sum()
    return kpa_from_mpa(float(zones.skin.areas_mm2 @ pressure_mpa / area)) if area > 0 else 0.0


def share_in_contact(zones: ZoneMap, pressure_mpa: Scalars) -> float:
    """Share of the covered surface that is in contact."""
    areas = zones.skin.areas_mm2
    return float(areas[pressure_mpa > 0].sum() / areas[zones.covered].sum())


def _owners(
    skin: Skin, covered: NDArray[np.bool_], areas: tuple[PlacedArea, ...]
) -> NDArray[np.intp]:
    """Zone number of each vertex, -1 where the socket does not reach."""
    count = len(areas)
    height = skin.points_mm[:, 2]
    middle = 0.5 * (height[covered].min() + height[covered].max())
    distal = (skin.normals[:, 2] < _DISTAL_FACING) & (height < middle)
    owner = np.where(distal, count + 1, count)
    if areas:
        weights = np.stack([area.weight for area in areas])
        owner = np.where(weights.max(axis=0) >= INSIDE, weights.argmax(axis=0), owner)
    return np.where(covered, owner, -1)


def _read(
    zone: Zone, areas_mm2: Scalars, pressure_mpa: Scalars, peaks_mpa: Scalars, forces_n: Vertices
) -> AreaPressure:
    inside = areas_mm2[zone.inside]
    whole = float(inside.sum())
    mean = kpa_from_mpa(float(inside @ pressure_mpa[zone.inside]) / whole) if whole > 0 else 0.0
    peak = peak_kpa(zone.inside, zone.border, peaks_mpa)
    force = forces_n[zone.own].sum(axis=0)
    limit = zone.limit
    return AreaPressure(
        zone.name,
        mean,
        peak,
        (float(force[0]), float(force[1]), float(force[2])),
        None if limit is None else limit.value,
        None if limit is None else limit.source,
        None if limit is None else peak / limit.value,
    )
