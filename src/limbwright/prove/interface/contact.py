"""Where contact is missing or crowded, and who carries the load."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from limbwright.core.mesh import Scalars
from limbwright.core.sources import Basis
from limbwright.core.units import degrees, kpa_from_mpa
from limbwright.prove.interface.engine import DONNED
from limbwright.prove.interface.reading import DISTAL_END, REST_OF_WALL, ZoneMap
from limbwright.prove.pressure_result import Carried, CarriedPart, ContactReading
from limbwright.prove.result import CasePressure, InterfaceResult, Pose
from limbwright.prove.tables import BRIM_STRIP_MM
from limbwright.shape.result import SocketShape

AREAS, FRICTION = "areas", "friction"
_LEAST_TOTAL_N = 1.0


def carried(result: InterfaceResult, zones: ZoneMap, figures: Basis) -> tuple[Carried, ...]:
    """Who carries each load along the limb, as all that is told of the distal end is counted.

    Left out are the donned limb, which nothing loads, and a limb that hangs in the socket.

    Parameters
    ----------
    result : InterfaceResult
    zones : ZoneMap
    figures : Basis
        Weakest of what the pressures rest on.
    """
    found = (_carried(case, zones, figures) for case in result.cases if case.load_case != DONNED)
    return tuple(one for one in found if one is not None)


def _carried(case: CasePressure, zones: ZoneMap, figures: Basis) -> Carried | None:
    skin = zones.skin
    pressed = -skin.areas_mm2[:, None] * case.pressure_mpa[:, None] * skin.normals
    rubbed = skin.areas_mm2[:, None] * case.shear_mpa
    whole = (pressed + rubbed).sum(axis=0)
    total = float(whole[2])
    if total < _LEAST_TOTAL_N:
        return None
    sums = {AREAS: 0.0, REST_OF_WALL: 0.0, DISTAL_END: 0.0, FRICTION: 0.0}
    for zone in zones.zones:
        part = zone.name if zone.name in sums else AREAS
        sums[part] += float(pressed[zone.own, 2].sum())
        gripped = DISTAL_END if part == DISTAL_END else FRICTION
        sums[gripped] += float(rubbed[zone.own, 2].sum())
    parts = tuple(CarriedPart(name, force, 100 * force / total) for name, force in sums.items())
    return Carried(case.load_case, total, float(np.linalg.norm(whole)), parts, figures)


def contact_readings(
    result: InterfaceResult, zones: ZoneMap, shape: SocketShape, figures: Basis
) -> tuple[ContactReading, ...]:
    """Distal gap and brim in every load case.

    Parameters
    ----------
    result : InterfaceResult
    zones : ZoneMap
    shape : SocketShape
        The one that `result` was computed with.
    figures : Basis
        Weakest of what the pressures rest on.
    """
    strip = _brim_strip(zones, shape)
    return tuple(_contact(case, zones, shape, strip, figures) for case in result.cases)


def gap_mm(zones: ZoneMap, shape: SocketShape, pose: Pose) -> Scalars:
    """Room between what is worn and the socket with the limb in a pose, tissue at rest.

    Returns
    -------
    (n,) float64, mm
        Negative where the socket presses in.
    """
    skin = zones.skin
    moved = pose.shift_mm + np.cross(pose.turn_rad, skin.points_mm)
    designed = shape.displacement_mm + shape.flare_mm - shape.liner_mm
    return np.asarray(designed - np.einsum("ij,ij->i", skin.normals, moved))


def _contact(
    case: CasePressure,
    zones: ZoneMap,
    shape: SocketShape,
    strip: NDArray[np.bool_],
    figures: Basis,
) -> ContactReading:
    areas, pressure = zones.skin.areas_mm2, case.pressure_mpa
    end = next(zone.own for zone in zones.zones if zone.name == DISTAL_END)
    open_end = end[(pressure[end] <= 0) & (areas[end] > 0)]
    gap = None
    if len(open_end):
        room = np.maximum(gap_mm(zones, shape, case.pose)[open_end], 0.0)
        gap = float(room.min()), float(areas[open_end] @ room / areas[open_end].sum())
    size = areas[end].sum()
    touching = float(areas[end][pressure[end] > 0].sum() / size) if size > 0 else 0.0
    peaks = np.where(strip, zones.patch_mean @ pressure, 0.0)
    worst = int(peaks.argmax())
    at = zones.skin.points_mm[worst] if peaks[worst] > 0 else None
    return ContactReading(
        case.load_case,
        touching,
        gap,
        _ratio(areas, pressure, strip, zones.covered & ~strip),
        kpa_from_mpa(float(peaks[worst])),
        None if at is None else float(at[2]),
        None if at is None else degrees(float(np.arctan2(at[1], at[0]))),
        figures,
    )


def _ratio(
    areas: Scalars, pressure: Scalars, part: NDArray[np.bool_], rest: NDArray[np.bool_]
) -> float | None:
    means = []
    for where in (part, rest):
        touching = where & (pressure > 0)
        size = areas[touching].sum()
        if size <= 0:
            return None
        means.append(float(areas[touching] @ pressure[touching] / size))
    return means[0] / means[1]


def _brim_strip(zones: ZoneMap, shape: SocketShape) -> NDArray[np.bool_]:
    """Covered vertices near the trim line, both on the socket's inside."""
    line = shape.trim.points_mm
    if len(line) == 0:
        return np.zeros(len(zones.covered), np.bool_)
    dense = np.concatenate([line, 0.5 * (line + np.roll(line, -1, axis=0))])
    distance = cKDTree(dense).query(shape.surface.vertices)[0]
    return np.asarray(zones.covered & (distance <= BRIM_STRIP_MM.value))
