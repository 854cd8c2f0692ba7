"""Measures of a limb: girths, widths, areas and volumes at levels below the datum."""

from __future__ import annotations

import math

import numpy as np

from limbwright.capture.result import LevelMeasure, Measures
from limbwright.core.errors import InvalidScan
from limbwright.core.mesh import Mesh, Scalars
from limbwright.core.slicing import (
    convex_perimeter,
    slice_loops,
    slice_moments,
    volumes_below,
)
from limbwright.core.topology import boundary_loops

_MM3_PER_ML = 1000.0
_END_MARGIN_MM = 1.0
"""A section nearer than this to rim or end is a sliver and says nothing."""


def measure(skin: Mesh, levels_mm: Scalars) -> Measures:
    """Girths, widths and areas at the given levels, and volume and length below the datum.

    Parameters
    ----------
    skin : Mesh
        Repaired scan, mm, limb frame, open at the top or closed.
    levels_mm : (k,) float64
        Distal to the datum (mid-patellar tendon) positive.

    Raises
    ------
    InvalidScan
        When a level misses the limb or its section is not whole, or the limb does not reach
        from the datum down to a closed end.
    """
    levels = np.sort(np.asarray(levels_mm, dtype=np.float64))
    found = slice_moments(skin, -levels)
    _check_whole(levels, found.perimeter_mm, found.gap_mm)
    spans = found.high_mm - found.low_mm
    rows = tuple(
        LevelMeasure(
            float(level),
            float(found.perimeter_mm[i]),
            _tape_mm(skin, -float(level)),
            float(spans[i, 0]),
            float(spans[i, 1]),
            float(found.area_mm2[i]),
        )
        for i, level in enumerate(levels)
    )
    return Measures(rows, volume_below_ml(skin, 0.0), -float(skin.vertices[:, 2].min()))


def choose_levels(skin: Mesh, step_mm: float) -> Scalars:
    """Multiples of a step from the highest whole section to the limb's end, distal positive.

    Parameters
    ----------
    skin : Mesh
        mm, limb frame.
    step_mm : float

    Returns
    -------
    (k,) float64, mm below the datum
    """
    top = whole_below_u_mm(skin) - _END_MARGIN_MM
    end = float(skin.vertices[:, 2].min()) + _END_MARGIN_MM
    first, last = math.ceil(-top / step_mm), math.floor(-end / step_mm)
    return np.arange(first, last + 1, dtype=np.float64) * step_mm


def whole_below_u_mm(skin: Mesh) -> float:
    """Level below which every section is whole: the lowest point of the open rim, u in mm."""
    rims = boundary_loops(skin)
    if not rims:
        return float(skin.vertices[:, 2].max())
    return float(min(skin.vertices[rim, 2].min() for rim in rims))


def volume_below_ml(skin: Mesh, level_mm: float) -> float:
    """Volume of the limb below a level, ml."""
    return float(volumes_below(skin, np.array([-level_mm]))[0]) / _MM3_PER_ML


def volume_between_ml(skin: Mesh, upper_level_mm: float, lower_level_mm: float) -> float:
    """Volume of the limb between two levels below the datum, ml.

    Parameters
    ----------
    skin : Mesh
        mm, limb frame.
    upper_level_mm, lower_level_mm : float
        Distal positive; the upper one is the smaller number.
    """
    below = volumes_below(skin, -np.array([upper_level_mm, lower_level_mm]))
    return float(below[0] - below[1]) / _MM3_PER_ML


def frustum_volume_ml(girths_mm: Scalars, spacing_mm: float) -> float:
    """Volume that girths alone suggest, every section taken as a circle, ml.

    A stack of cone frustums, h / (12 pi) * (C1^2 + C1 C2 + C2^2) each. It exceeds the true
    volume of a limb, whose sections are not circles, and leaves out the rounded end.

    Parameters
    ----------
    girths_mm : (k,) float64
        At equal spacing, two or more.
    spacing_mm : float

    Raises
    ------
    ValueError
        When there are fewer than two girths, or one is not positive.

    Examples
    --------
    >>> round(frustum_volume_ml([300.0, 280.0], 100.0), 2)
    669.51
    """
    girths = np.asarray(girths_mm, dtype=np.float64)
    if girths.ndim != 1 or len(girths) < 2 or not (girths > 0).all() or not spacing_mm > 0:
        raise ValueError("a frustum needs two or more positive girths at a positive spacing")
    upper, lower = girths[:-1], girths[1:]
    squares = upper**2 + upper * lower + lower**2
    return float(squares.sum() * spacing_mm / (12.0 * np.pi)) / _MM3_PER_ML


def place(level_mm: float) -> str:
    """A level in the trade's words."""
    if level_mm == 0:
        return "at the mid-patellar-tendon level"
    return f"{abs(level_mm):g} mm {'below' if level_mm > 0 else 'above'} MPT"


def _tape_mm(skin: Mesh, u_mm: float) -> float:
    return convex_perimeter(np.concatenate(slice_loops(skin, u_mm)))


def _check_whole(levels_mm: Scalars, perimeter_mm: Scalars, gap_mm: Scalars) -> None:
    missed = perimeter_mm <= 0
    if missed.any():
        level = float(levels_mm[missed][0])
        raise InvalidScan(
            f"The scan has no section {place(level)}; leave that level out or scan further.",
            where=place(level),
            fields={"level_mm": level},
        )
    open_sections = gap_mm > 0
    if open_sections.any():
        level = float(levels_mm[open_sections][0])
        raise InvalidScan(
            f"The section {place(level)} runs through a gap of the scan; close it or scan again.",
            where=place(level),
            fields={"level_mm": level, "gap_mm": float(gap_mm[open_sections][0])},
        )
