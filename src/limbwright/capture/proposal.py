"""Where a missing landmark probably is: usual level and bearing, shifted to what is known.

Each landmark has a usual level, counted from the datum or from the limb's end, and a usual
bearing around the section there. Landmarks on the crest and the fibula lie on the line
through their given neighbours. A proposal is a guess for a person to accept or to move.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from limbwright.capture.leg_table import PLACES, From
from limbwright.core.mesh import Mesh, Vector
from limbwright.core.slicing import slice_loops, slice_moments

Points = Mapping[str, Vector]


def propose(surface: Mesh, placed: Points, name: str) -> Vector:
    """Propose one landmark on the skin.

    Parameters
    ----------
    surface : Mesh
        Skin of the limb, limb frame.
    placed : mapping of name to (3,) float64, mm, limb frame
        Landmarks that are given.
    name : str

    Returns
    -------
    (3,) float64, mm, limb frame
    """
    if name == "limb_end":
        return np.array(surface.vertices[int(surface.vertices[:, 2].argmin())])
    rule = _RULES.get(name)
    point = rule(surface, placed) if rule is not None else None
    return _usual(surface, placed, name) if point is None else point


def at_bearing(surface: Mesh, level_u_mm: float, bearing_rad: float) -> Vector:
    """Point of the skin at a level and bearing from the middle of the section, (3,) mm."""
    low, high = surface.vertices[:, 2].min() + 2.0, surface.vertices[:, 2].max() - 2.0
    level = float(np.clip(level_u_mm, low, high))
    outline = slice_loops(surface, level)[0]
    centre = _middle(surface, level)
    away = outline - centre
    off = np.arctan2(away[:, 1], away[:, 0]) - bearing_rad
    off = np.abs((off + np.pi) % (2.0 * np.pi) - np.pi)
    point = outline[int(off.argmin())]
    return np.array([point[0], point[1], level])


def _middle(surface: Mesh, level_u_mm: float) -> Vector:
    found = slice_moments(surface, np.array([level_u_mm]))
    if found.gap_mm[0] == 0.0 and np.isfinite(found.centroid_mm[0]).all():
        return np.asarray(found.centroid_mm[0])
    return np.asarray(0.5 * (found.low_mm[0] + found.high_mm[0]))


def _usual(surface: Mesh, placed: Points, name: str) -> Vector:
    place = PLACES.value[name]
    level = place.level_mm
    if place.counted is From.END:
        level += float(surface.vertices[:, 2].min())
    elif place.counted is From.SHARE_OF_LENGTH:
        level *= -float(surface.vertices[:, 2].min())
    return at_bearing(surface, level, np.radians(place.bearing_deg))


def _between(surface: Mesh, placed: Points, ends: tuple[str, str], name: str) -> Vector | None:
    """On the line between two given landmarks, at the usual level, put on the skin."""
    if any(end not in placed for end in ends):
        return None
    upper, lower = placed[ends[0]], placed[ends[1]]
    usual = _usual(surface, placed, name)[2]
    share = float(np.clip((usual - upper[2]) / (lower[2] - upper[2]), 0.0, 1.5))
    point = upper + share * (lower - upper)
    out = point[:2] - _middle(surface, float(point[2]))
    return at_bearing(surface, float(point[2]), float(np.arctan2(out[1], out[0])))


def _tendon(surface: Mesh, placed: Points) -> Vector | None:
    return _between(
        surface, placed, ("patella_lower_pole", "tibial_tubercle"), "mid_patellar_tendon"
    )


_RULES: dict[str, Callable[[Mesh, Points], Vector | None]] = {
    "mid_patellar_tendon": _tendon,
    "crest_upper": lambda s, p: _between(s, p, ("tibial_tubercle", "crest_lower"), "crest_upper"),
    "crest_lower": lambda s, p: _between(s, p, ("tibial_tubercle", "crest_upper"), "crest_lower"),
}
