"""A demand held against a capacity, as one check."""

from __future__ import annotations

from limbwright.core.errors import NotConverged
from limbwright.core.mesh import Vector
from limbwright.core.sources import Basis, Source
from limbwright.prove.materials import Allowable
from limbwright.prove.result import Check


def rated(
    name: str,
    place: str,
    demand: float,
    capacity: float | None,
    unit: str,
    basis: Basis,
    source: Source | None,
    text: str,
    *,
    point_mm: Vector | None = None,
    angle_deg: float | None = None,
) -> Check:
    """A check with its margin and its place on the leg.

    Parameters
    ----------
    name, place, demand, capacity, unit, text : as in `Check`
    basis : Basis
        Of the capacity and of what the demand follows from, the weaker.
    source : Source or None
        Of the capacity.
    point_mm : (3,) float64, optional
        Limb frame.
    angle_deg : float, optional
    """
    margin = capacity / demand if capacity is not None and demand > 0.0 else None
    point = None
    if point_mm is not None:
        point = (float(point_mm[0]), float(point_mm[1]), float(point_mm[2]))
    level = None if point is None else -point[2]
    return Check(
        name,
        place,
        demand,
        capacity,
        unit,
        margin,
        1.0,
        basis,
        source,
        text,
        point,
        level,
        angle_deg,
    )


def weaker_basis(credit: Allowable, *others: Basis) -> Basis:
    """DEFAULT as soon as anything is; else what the material rests on."""
    return Basis.DEFAULT if Basis.DEFAULT in others else credit.basis


def unknown(
    name: str, place: str, capacity: float | None, credit: Allowable, error: NotConverged
) -> Check:
    """A check whose demand could not be computed: nothing is said of it but why.

    Parameters
    ----------
    name, place : str
    capacity : float or None
        MPa.
    credit : Allowable
    error : NotConverged
    """
    text = (
        f"Not established: {error.message}; lessen the wall or smooth the shape there. Not a"
        " conformity test"
    )
    return Check(name, place, None, capacity, "MPa", None, 1.0, Basis.DEFAULT, credit.source, text)
