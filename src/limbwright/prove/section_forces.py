"""Forces and moments along the leg, from the brim down to the ankle."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from limbwright.align.result import Alignment
from limbwright.core.mesh import Vector
from limbwright.core.units import n_m_from_n_mm
from limbwright.couple.result import Seat
from limbwright.prove.handover import Handed
from limbwright.prove.reference_loads import (
    ReferenceLoad,
    height_over_floor_mm,
    reference_axes,
)
from limbwright.prove.result import SectionForces
from limbwright.prove.strength_tables import Failure
from limbwright.prove.wall import WallRing, carried_at

PYLON_STATIONS = 6
LIMB_UP = np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True, slots=True, eq=False)
class Station:
    """A place on the leg and the axis that its forces are told along.

    Parameters
    ----------
    part : str
    point_mm : (3,) float64, limb frame
    up : (3,) float64, unit
    handed : Handed or None
        What of the load is there; None for all of it.
    """

    part: str
    point_mm: Vector
    up: Vector
    handed: Handed | None = None


def stations_of(rings: Iterable[WallRing], seat: Seat, alignment: Alignment) -> tuple[Station, ...]:
    """Places from the brim down: each level of the wall, the socket's base, the pylon, the ankle.

    Parameters
    ----------
    rings : iterable of WallRing, from the brim down
    seat : Seat
    alignment : Alignment
    """
    socket = [
        Station("socket", np.append(place.ring.centroid_mm, place.u_mm), LIMB_UP, place.handed)
        for place in rings
    ]
    points = alignment.points_mm
    top, bottom = points["pylon_top"], points["pylon_bottom"]
    line = (top - bottom) / np.linalg.norm(top - bottom)
    pylon = [
        Station("pylon", top + part * (bottom - top), line)
        for part in np.linspace(0.0, 1.0, PYLON_STATIONS)
    ]
    base = Station("socket", seat.base_mm, LIMB_UP)
    return (*socket, base, *pylon, Station("pylon", points["ankle"], line))


def section_forces(
    load: ReferenceLoad, failure: Failure, stations: tuple[Station, ...], alignment: Alignment
) -> SectionForces:
    """Forces and moments of one condition at the ultimate force of the failure type.

    Parameters
    ----------
    load : ReferenceLoad
    failure : Failure
    stations : tuple of Station
    alignment : Alignment
    """
    force_n = load.force_n(failure)
    axes = reference_axes(alignment)
    rows = []
    for place in stations:
        force, moment = carried_at(place.handed, load, force_n, place.point_mm)
        axial = float(force @ place.up)
        torsion = float(moment @ place.up)
        bending = moment - torsion * place.up
        rows.append(
            (
                -float(place.point_mm[2]),
                height_over_floor_mm(alignment, place.point_mm),
                axial,
                float(np.linalg.norm(force - axial * place.up)),
                n_m_from_n_mm(float(np.linalg.norm(bending))),
                n_m_from_n_mm(float(bending @ axes[0])),
                n_m_from_n_mm(float(bending @ axes[1])),
                n_m_from_n_mm(torsion),
            )
        )
    columns = tuple(zip(*rows, strict=True))
    parts = tuple(place.part for place in stations)
    return SectionForces(load.condition.value, load.level, force_n, parts, *columns)
