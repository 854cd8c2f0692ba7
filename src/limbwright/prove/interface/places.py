"""Anatomical places about landmarks, read whether or not the socket has an area there."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.core.edges import edge_vertices
from limbwright.core.mesh import Vertices
from limbwright.core.sources import Basis, Sourced
from limbwright.prove.interface.reading import Border, border_of
from limbwright.prove.tables import PLACE_RADIUS_MM, STOP_ANYWHERE_KPA, STOP_KPA
from limbwright.shape.basis import ShapeBasis, on_surface
from limbwright.shape.guides import GUIDES, Points
from limbwright.shape.plan import AreaName

_BEYOND_MM = 8.0
"""Longest edge of a surface: so far beyond a place's outline its distance is still known."""
Drawn = Callable[[ShapeBasis, Points], Vertices]


@dataclass(frozen=True, slots=True)
class PlaceRule:
    """How a place follows from landmarks: its line, and the area whose tolerance it has."""

    needs: tuple[str, ...]
    draw: Drawn
    like: AreaName | None


@dataclass(frozen=True, slots=True, eq=False)
class Place:
    """An anatomical place on the limb's surface.

    Parameters
    ----------
    name : str
    inside : (k,) int
        Vertices of `Limb.surface` within the place's radius, along the skin.
    border : Border
        Its outline.
    like : AreaName or None
        Area whose tolerance holds here.
    basis : Basis
        Of its landmarks.
    """

    name: str
    inside: NDArray[np.intp]
    border: Border
    like: AreaName | None
    basis: Basis


def _at(landmark: str, like: AreaName | None = None) -> PlaceRule:
    return PlaceRule((landmark,), lambda basis, points: on_surface(basis, points[landmark]), like)


def _as(area: AreaName) -> PlaceRule:
    """Where that area would be: between landmarks, or some way from one."""
    guide = GUIDES[area]
    return PlaceRule(guide.needs, lambda basis, points: guide.draw(basis, points, 0.0), area)


PLACES: dict[str, PlaceRule] = {
    "patellar tendon": _as(AreaName.PATELLAR_TENDON),
    "tibial tubercle": _at("tibial_tubercle", AreaName.TIBIAL_TUBERCLE),
    "tibial crest": _as(AreaName.TIBIAL_CREST),
    "medial tibial flare": _at("medial_tibial_flare", AreaName.MEDIAL_TIBIAL_FLARE),
    "lateral tibial tubercle": _at("lateral_tibial_tubercle"),
    "fibular head": _at("fibular_head", AreaName.FIBULAR_HEAD),
    "distal tibia": _at("distal_tibia", AreaName.DISTAL_TIBIA),
    "distal fibula": _at("distal_fibula", AreaName.DISTAL_FIBULA),
    "popliteal": _as(AreaName.POPLITEAL),
    "medial hamstring": _as(AreaName.MEDIAL_HAMSTRING),
    "lateral hamstring": _as(AreaName.LATERAL_HAMSTRING),
    "limb end": _at("limb_end"),
}
"""In the order of the limb, proximal and anterior first."""


def stop_kpa(place: str) -> Sourced[float]:
    """Peak over 1 cm² that stops the job at an area of the socket, a part of the wall or a place.

    Parameters
    ----------
    place : str
        As in `PlaceReading`.
    """
    area = PLACES[place].like if place in PLACES else _AREAS.get(place)
    return STOP_ANYWHERE_KPA if area is None else STOP_KPA.get(area, STOP_ANYWHERE_KPA)


_AREAS = {area.value: area for area in AreaName}


def anatomical_places(basis: ShapeBasis) -> tuple[Place, ...]:
    """The places of one limb whose landmarks are known; once per limb.

    Parameters
    ----------
    basis : ShapeBasis
        The limb's surface, ready for distances along the skin.
    """
    known = basis.limb.landmarks
    points = {name: landmark.point_mm for name, landmark in known.items()}
    radius_mm, edges = PLACE_RADIUS_MM.value, edge_vertices(basis.limb.surface.faces)
    found = []
    for name, rule in PLACES.items():
        if any(needed not in known for needed in rule.needs):
            continue
        curve = rule.draw(basis, points)
        if len(curve) == 0:
            continue
        distance = basis.distance.from_curve(curve, radius_mm + _BEYOND_MM)
        guessed = any(known[needed].basis is Basis.GUESSED for needed in rule.needs)
        found.append(
            Place(
                name,
                np.flatnonzero(distance <= radius_mm),
                border_of(edges, -distance, -radius_mm),
                rule.like,
                Basis.GUESSED if guessed else Basis.GIVEN,
            )
        )
    return tuple(found)
