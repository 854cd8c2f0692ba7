"""The line on the limb's surface that each area follows, from its landmarks."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.core.mesh import Vector, Vertices
from limbwright.shape import tables
from limbwright.shape.basis import Heading, ShapeBasis, moved_along, on_surface, way_along
from limbwright.shape.plan import AreaName

Points = Mapping[str, Vector]
SAMPLE_MM = 3.0


@dataclass(frozen=True, slots=True)
class Guide:
    """How an area's line follows from landmarks.

    Parameters
    ----------
    needs : tuple of landmark names
    draw : callable
        (basis, landmarks, width mm) -> (k, 3) float64, mm, on the surface, proximal end
        first; one point for a spot, none where the limb leaves no room.
    """

    needs: tuple[str, ...]
    draw: Callable[[ShapeBasis, Points, float], Vertices]


def _spot(name: str, drop_mm: float = 0.0) -> Guide:
    """A spot at a landmark, or some way below it."""

    def draw(basis: ShapeBasis, points: Points, width_mm: float) -> Vertices:
        return moved_along(basis, on_surface(basis, points[name]), Heading.DISTAL, drop_mm)

    return Guide((name,), draw)


def _midway(upper: str, lower: str) -> Guide:
    """A spot halfway between two landmarks."""

    def draw(basis: ShapeBasis, points: Points, width_mm: float) -> Vertices:
        return on_surface(basis, 0.5 * (points[upper] + points[lower]))

    return Guide((upper, lower), draw)


def _along(names: tuple[str, ...], from_top_mm: float, from_end_mm: float, side: int = 0) -> Guide:
    """Along landmarks, short of the first and last one; `side` goes beside (+1 medial)."""

    def draw(basis: ShapeBasis, points: Points, width_mm: float) -> Vertices:
        line = drawn_through(basis, np.stack([points[name] for name in names]))
        line = part_of(line, from_top_mm, length_of(line) - from_end_mm)
        if side == 0 or len(line) == 0:
            return line
        aside_mm = tables.CREST_CLEARANCE_MM.value + 0.5 * width_mm
        return moved_along(basis, line, Heading.AROUND, side * aside_mm)

    return Guide(names, draw)


_CREST = ("tibial_tubercle", "crest_upper", "crest_lower", "distal_tibia")
_FIBULA = ("fibular_head", "distal_fibula")
_BESIDE = (tables.BELOW_TUBERCLE_MM.value, tables.ABOVE_DISTAL_TIBIA_MM.value)

GUIDES: dict[AreaName, Guide] = {
    AreaName.PATELLAR_TENDON: _midway("patella_lower_pole", "tibial_tubercle"),
    AreaName.MEDIAL_TIBIAL_FLARE: _spot("medial_tibial_flare", tables.FLARE_DROP_MM.value),
    AreaName.MEDIAL_PRETIBIAL: _along(_CREST, *_BESIDE, side=1),
    AreaName.LATERAL_PRETIBIAL: _along(_CREST, *_BESIDE, side=-1),
    AreaName.FIBULAR_SHAFT: _along(
        _FIBULA, tables.BELOW_NECK_MM.value, tables.ABOVE_DISTAL_FIBULA_MM.value
    ),
    AreaName.BELOW_FIBULAR_HEAD: _spot("fibular_head", tables.BELOW_HEAD_MM.value),
    AreaName.POPLITEAL: _spot("popliteal_centre", tables.POPLITEAL_DROP_MM.value),
    AreaName.FIBULAR_HEAD: _spot("fibular_head", tables.HEAD_TO_RELIEF_MM.value),
    AreaName.TIBIAL_CREST: _along(_CREST, tables.BELOW_TUBERCLE_MM.value, 0.0),
    AreaName.TIBIAL_TUBERCLE: _spot("tibial_tubercle", tables.TUBERCLE_DROP_MM.value),
    AreaName.DISTAL_TIBIA: _spot("distal_tibia"),
    AreaName.DISTAL_FIBULA: _spot("distal_fibula"),
    AreaName.MEDIAL_HAMSTRING: _spot("medial_hamstring_tendon", tables.HAMSTRING_DROP_MM.value),
    AreaName.LATERAL_HAMSTRING: _spot("lateral_hamstring_tendon", tables.HAMSTRING_DROP_MM.value),
}


def spine(
    basis: ShapeBasis, guide: Vertices, length_mm: float | None, width_mm: float
) -> tuple[Vertices, float]:
    """The curve from which an area's full depth reaches half its narrower extent.

    Parameters
    ----------
    basis : ShapeBasis
    guide : (k, 3) float64, mm, on the surface
    length_mm : float or None
        Full depth along the limb; None follows the guide from end to end.
    width_mm : float
        Full depth around the limb.

    Returns
    -------
    curve : (j, 3) float64, mm
    half_mm : float
    """
    if length_mm is None:
        length_mm = max(length_of(guide), width_mm)
    long_mm = 0.5 * abs(length_mm - width_mm)
    half_mm = 0.5 * min(length_mm, width_mm)
    if length_mm >= width_mm:
        return _lengthwise(basis, guide, long_mm), half_mm
    return _walked_on(basis, middle_of(guide)[None], Heading.AROUND, long_mm), half_mm


def middle_of(curve: Vertices) -> Vector:
    """Point halfway along a curve, (3,) mm."""
    return point_at(curve, 0.5 * length_of(curve))


def drawn_through(basis: ShapeBasis, points: Vertices) -> Vertices:
    """A curve on the surface through points (k, 3) mm, sampled every few mm."""
    reach = _arc(points)
    samples = np.linspace(0.0, reach[-1], max(2, int(np.ceil(reach[-1] / SAMPLE_MM)) + 1))
    return on_surface(basis, _at(points, reach, samples))


def length_of(curve: Vertices) -> float:
    """Length of a curve, mm; 0 for a spot."""
    return float(_arc(curve)[-1]) if len(curve) else 0.0


def point_at(curve: Vertices, arc_mm: float) -> Vector:
    """The point of a curve some way from its start, (3,) mm."""
    point: Vector = _at(curve, _arc(curve), np.array([arc_mm]))[0]
    return point


def part_of(curve: Vertices, start_mm: float, end_mm: float) -> Vertices:
    """The curve between two lengths from its start; empty where they leave nothing."""
    if end_mm <= start_mm:
        return np.empty((0, 3))
    arc = _arc(curve)
    inner = arc[(arc > start_mm) & (arc < end_mm)]
    return _at(curve, arc, np.concatenate([[start_mm], inner, [end_mm]]))


def _lengthwise(basis: ShapeBasis, guide: Vertices, half_length_mm: float) -> Vertices:
    """The guide's middle part, walked on beyond its ends where it is too short."""
    half_guide_mm = 0.5 * length_of(guide)
    short_mm = half_length_mm - half_guide_mm
    if short_mm <= 0.0 and len(guide) > 1:
        part = part_of(guide, half_guide_mm - half_length_mm, half_guide_mm + half_length_mm)
        return part if len(part) else middle_of(guide)[None]
    return _walked_on(basis, guide, Heading.DISTAL, max(short_mm, 0.0))


def _walked_on(
    basis: ShapeBasis, curve: Vertices, heading: Heading, distance_mm: float
) -> Vertices:
    """A curve walked on beyond both ends: against the heading first, along it last."""
    before = way_along(basis, curve[:1], heading, -distance_mm)[:0:-1, 0]
    after = way_along(basis, curve[-1:], heading, distance_mm)[1:, 0]
    return np.concatenate([before, curve, after])


def _arc(curve: Vertices) -> NDArray[np.float64]:
    steps = np.linalg.norm(np.diff(curve, axis=0), axis=1)
    return np.concatenate([[0.0], np.cumsum(steps)])


def _at(
    curve: Vertices, arc: NDArray[np.float64], samples: NDArray[np.float64]
) -> NDArray[np.float64]:
    return np.stack([np.interp(samples, arc, curve[:, d]) for d in range(3)], axis=1)
