"""Where a missing landmark probably is: its usual level and bearing, shifted by its neighbours.

Each landmark has a usual level, counted from the datum or from the limb's end, and a usual
bearing around the section there. Where neighbours in the same row (extensor tendon and crest,
fibula, medial side) are given, their departure from the usual bearing is carried over. What
would stand above the scan's rim is proposed at the rim. A proposal is a guess for a person to
accept or to move.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from limbwright.capture.leg_table import PLACES, From, Place
from limbwright.core.mesh import Mesh, Vector
from limbwright.core.slicing import slice_loops, slice_moments

Points = Mapping[str, Vector]

_ROWS = (
    (
        "patella_lower_pole",
        "mid_patellar_tendon",
        "tibial_tubercle",
        "crest_upper",
        "crest_lower",
        "distal_tibia",
    ),
    ("fibular_head", "distal_fibula"),
    ("medial_epicondyle", "medial_tibial_flare"),
)
_LEAST_GAP_MM = 8.0
"""Between a proposal and its given neighbours in a row."""
_RIM_MM = 3.0
"""How far below the scan's rim and above its end a section is still looked for."""


def propose(surface: Mesh, placed: Points, name: str) -> Vector:
    """Propose one landmark on the skin.

    Parameters
    ----------
    surface : Mesh
        Skin of the limb, limb frame, open at the top.
    placed : mapping of name to (3,) float64, mm, limb frame
        Landmarks that are given.
    name : str

    Returns
    -------
    (3,) float64, mm, limb frame
    """
    if name == "limb_end":
        return np.array(surface.vertices[int(surface.vertices[:, 2].argmin())])
    row = next((row for row in _ROWS if name in row), ())
    upper, lower = _neighbours(row, placed, name)
    place = PLACES.value[name]
    level = _level_between(_usual_level(surface, place), upper, lower)
    departures = [
        (float(point[2]), _bearing(surface, point) - np.radians(PLACES.value[other].bearing_deg))
        for other, point in ((n, placed[n]) for n in row if n in placed)
    ]
    return at_bearing(surface, level, np.radians(place.bearing_deg) + _carried(departures, level))


def at_bearing(surface: Mesh, level_u_mm: float, bearing_rad: float) -> Vector:
    """Point of the skin at a level and bearing from the middle of the section, (3,) mm."""
    heights = surface.vertices[:, 2]
    level = float(np.clip(level_u_mm, heights.min() + _RIM_MM, heights.max() - _RIM_MM))
    outline = slice_loops(surface, level)[0]
    away = outline - _middle(surface, level)
    off = np.abs(_wrapped(np.arctan2(away[:, 1], away[:, 0]) - bearing_rad))
    point = outline[int(off.argmin())]
    return np.array([point[0], point[1], level])


def _wrapped(angle_rad: Vector) -> Vector:
    return np.asarray((angle_rad + np.pi) % (2.0 * np.pi) - np.pi)


def _middle(surface: Mesh, level_u_mm: float) -> Vector:
    found = slice_moments(surface, np.array([level_u_mm]))
    if found.gap_mm[0] == 0.0 and np.isfinite(found.centroid_mm[0]).all():
        return np.asarray(found.centroid_mm[0])
    return np.asarray(0.5 * (found.low_mm[0] + found.high_mm[0]))


def _bearing(surface: Mesh, point: Vector) -> float:
    out = point[:2] - _middle(surface, float(point[2]))
    return float(np.arctan2(out[1], out[0]))


def _usual_level(surface: Mesh, place: Place) -> float:
    end = float(surface.vertices[:, 2].min())
    if place.counted is From.END:
        return end + place.level_mm
    if place.counted is From.SHARE_OF_LENGTH:
        return -end * place.level_mm
    return place.level_mm


def _neighbours(
    row: tuple[str, ...], placed: Points, name: str
) -> tuple[Vector | None, Vector | None]:
    """Next given landmark above and below in the row."""
    at = row.index(name) if name in row else 0
    above = [placed[n] for n in row[:at] if n in placed]
    below = [placed[n] for n in row[at + 1 :] if n in placed]
    return (above[-1] if above else None), (below[0] if below else None)


def _level_between(level: float, upper: Vector | None, lower: Vector | None) -> float:
    """Keep the order of a row: never above the upper or below the lower neighbour."""
    if upper is not None and lower is not None:
        gap = min(_LEAST_GAP_MM, float(upper[2] - lower[2]) / 2.0)
        return float(np.clip(level, lower[2] + gap, upper[2] - gap))
    if upper is not None:
        return min(level, float(upper[2]) - _LEAST_GAP_MM)
    if lower is not None:
        return max(level, float(lower[2]) + _LEAST_GAP_MM)
    return level


def _carried(departures: list[tuple[float, float]], level: float) -> float:
    """Departure from the usual bearing at a level, interpolated between given neighbours."""
    if not departures:
        return 0.0
    levels, angles = np.array(sorted(departures)).T
    return float(np.interp(level, levels, _wrapped(angles)))
