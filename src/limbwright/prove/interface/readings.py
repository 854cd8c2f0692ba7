"""Reading a result by area and by anatomical place, with the band of what is uncertain."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from limbwright.core.sources import Basis, Sourced
from limbwright.core.units import kpa_from_mpa
from limbwright.prove.interface.places import Place
from limbwright.prove.interface.reading import DISTAL_END, REST_OF_WALL, ZoneMap, peak_kpa
from limbwright.prove.interface.stiffness import Assumptions
from limbwright.prove.pressure_result import CaseReading, PlaceReading
from limbwright.prove.result import AreaPressure, CasePressure, InterfaceResult
from limbwright.prove.tables import LEAST_READ_KPA, MESH_SPREAD, WALKING_LIMIT_KPA
from limbwright.shape.result import PlacedArea

Key = tuple[str, str, str]
"""("area" or "place", its name, load case)."""
AREA, PLACE = "area", "place"


@dataclass(frozen=True, slots=True)
class Relative:
    """How far mean and peak may lie off, as logarithms of a ratio: down and up, all >= 0."""

    mean_down: float = 0.0
    mean_up: float = 0.0
    peak_down: float = 0.0
    peak_up: float = 0.0


Relatives = Mapping[Key, Relative]


def pressures_of(
    result: InterfaceResult, zones: ZoneMap, places: tuple[Place, ...]
) -> dict[Key, tuple[float, float]]:
    """Mean and peak (kPa) of every area and place in every load case."""
    found: dict[Key, tuple[float, float]] = {}
    for case in result.cases:
        for area in case.areas:
            found[AREA, area.area, case.load_case] = (area.mean_kpa, area.peak_kpa)
        peaks = zones.patch_mean @ case.pressure_mpa
        for place in places:
            found[PLACE, place.name, case.load_case] = _of_place(place, zones, case, peaks)
    return found


def place_readings(
    result: InterfaceResult,
    zones: ZoneMap,
    areas: tuple[PlacedArea, ...],
    places: tuple[Place, ...],
    figures: Basis,
    relatives: Relatives | None = None,
) -> tuple[PlaceReading, ...]:
    """Every area of the socket, rest of the wall and distal end, then every anatomical place.

    Parameters
    ----------
    result : InterfaceResult
    zones : ZoneMap
    areas : tuple of PlacedArea
    places : tuple of Place
    figures : Basis
        Weakest of the bones and of the figures of tissue, liner and friction.
    relatives : mapping, optional
        Band of what is uncertain, from `uncertainty`.
    """
    placed = {area.name.value: area for area in areas}
    pressures = pressures_of(result, zones, places)
    bands = relatives or {}
    found = [
        _area_reading(result, zones, first, placed, figures, bands)
        for first in (result.cases[0].areas if result.cases else ())
    ]
    found += [_place_reading(result, zones, place, pressures, figures, bands) for place in places]
    return tuple(found)


def figures_basis(assumed: Assumptions, bones: Basis) -> Basis:
    """The weakest of what every pressure rests on."""
    used = [bones, assumed.tissue_basis, assumed.poisson_basis, assumed.friction_basis]
    if assumed.liner_thickness_mm > 0:
        used.append(assumed.liner_basis)
    return weakest(*used)


def weakest(*found: Basis) -> Basis:
    """The weakest of several: a default before a guess before an estimate."""
    order = list(Basis)
    return max(found, key=order.index)


def band_kpa(value_kpa: float, down: float, up: float) -> tuple[float, float]:
    """A pressure with its band.

    Ratios are of pressures raised by `LEAST_READ_KPA`, so that nothing stays next to nothing.

    Examples
    --------
    >>> [round(edge, 1) for edge in band_kpa(98.0, np.log(2.0), np.log(1.5))]
    [48.0, 148.0]
    """
    least = LEAST_READ_KPA.value
    raised = value_kpa + least
    return max(0.0, float(raised * np.exp(-down)) - least), float(raised * np.exp(up)) - least


def _of_place(
    place: Place, zones: ZoneMap, case: CasePressure, peaks_mpa: np.ndarray
) -> tuple[float, float]:
    inside = place.inside[zones.covered[place.inside]]
    surface = zones.skin.areas_mm2[inside]
    if surface.sum() <= 0:
        return 0.0, 0.0
    mean = float(surface @ case.pressure_mpa[inside] / surface.sum())
    return kpa_from_mpa(mean), peak_kpa(inside, place.border.under(zones.covered), peaks_mpa)


def _area_reading(
    result: InterfaceResult,
    zones: ZoneMap,
    first: AreaPressure,
    placed: Mapping[str, PlacedArea],
    figures: Basis,
    relatives: Relatives,
) -> PlaceReading:
    name = first.area
    area = placed.get(name)
    surface = zones.skin.areas_mm2
    zone = next(zone for zone in zones.zones if zone.name == name)
    whole = zone.inside if area is None else np.flatnonzero(area.weight >= 0.5)
    size = float(surface[whole].sum())
    guessed = area is not None and area.rests_on_guess
    cases = tuple(
        _case(
            _kind(name, area),
            case.load_case,
            found.mean_kpa,
            found.peak_kpa,
            zone.limit,
            relatives.get((AREA, name, case.load_case)),
        )
        for case in result.cases
        for found in case.areas
        if found.area == name
    )
    return PlaceReading(
        place=name,
        kind=_kind(name, area),
        surface_cm2=size / 100,
        covered_share=float(surface[zone.inside].sum()) / size if size > 0 else 0.0,
        limit_kpa=first.limit_kpa,
        limit_source=first.limit_source,
        basis=weakest(figures, Basis.GUESSED) if guessed else figures,
        cases=cases,
    )


def _kind(name: str, area: PlacedArea | None) -> str:
    if area is not None:
        return "load area" if area.loads else "relief area"
    return {REST_OF_WALL: "wall", DISTAL_END: "distal end"}[name]


def _place_reading(
    result: InterfaceResult,
    zones: ZoneMap,
    place: Place,
    pressures: Mapping[Key, tuple[float, float]],
    figures: Basis,
    relatives: Relatives,
) -> PlaceReading:
    limit = WALKING_LIMIT_KPA.get(place.like) if place.like is not None else None
    surface = zones.skin.areas_mm2[place.inside]
    size = float(surface.sum())
    covered = float(surface[zones.covered[place.inside]].sum())
    names = [case.load_case for case in result.cases]
    return PlaceReading(
        place=place.name,
        kind=PLACE,
        surface_cm2=size / 100,
        covered_share=covered / size if size > 0 else 0.0,
        limit_kpa=None if limit is None else limit.value,
        limit_source=None if limit is None else limit.source,
        basis=weakest(figures, place.basis),
        cases=tuple(
            _case(
                PLACE,
                name,
                *pressures[PLACE, place.name, name],
                limit,
                relatives.get((PLACE, place.name, name)),
            )
            for name in names
        ),
    )


def _case(
    kind: str,
    load_case: str,
    mean: float,
    peak: float,
    limit: Sourced[float] | None,
    off: Relative | None,
) -> CaseReading:
    """What stands there in one load case; the mesh widens the band of what is uncertain."""
    share = None if limit is None else peak / limit.value
    if off is None:
        return CaseReading(load_case, mean, peak, share, None, None)
    mean_mesh, peak_mesh = MESH_SPREAD.value[kind]
    return CaseReading(
        load_case,
        mean,
        peak,
        share,
        band_kpa(
            mean, float(np.hypot(off.mean_down, mean_mesh)), float(np.hypot(off.mean_up, mean_mesh))
        ),
        band_kpa(
            peak, float(np.hypot(off.peak_down, peak_mesh)), float(np.hypot(off.peak_up, peak_mesh))
        ),
    )
