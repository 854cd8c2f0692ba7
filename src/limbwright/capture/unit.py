"""In which unit a scan is: from its size, and from where the landmarks then lie.

Size alone tells millimetres, centimetres and metres apart for certain, and centimetres from
inches for all but very small or very large limbs. Landmarks settle it: only in the right unit
do they lie on the surface, since both are given in one frame but each in its own unit.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from limbwright.capture.plan import LandmarkSet
from limbwright.capture.result import RawScan, UnitFound
from limbwright.capture.tables import (
    LANDMARK_OFF_SURFACE_MM,
    LIMB_GIRTH_SPREAD,
    POSSIBLE_LIMB_GIRTH_MM,
    UNLIKELY_LIMB_SPREADS,
    USUAL_LIMB_GIRTH_MM,
)
from limbwright.core.errors import InvalidLandmarks, InvalidScan
from limbwright.core.mesh import Vertices
from limbwright.core.sources import Basis
from limbwright.core.units import LengthUnit

_SURE = 0.99
"""Sureness when landmarks and size agree; a statement is surer still."""
_MAX_SAMPLE = 60_000
_MAX_EDGES = 20_000
_Gaps = Mapping[LengthUnit, float]
"""Median distance of the landmarks from the surface, mm, for each unit of the scan."""


def find_unit(raw: RawScan, landmarks: LandmarkSet | None, given: LengthUnit | None) -> UnitFound:
    """The unit of a scan, how sure it is, and how it was found.

    Parameters
    ----------
    raw : RawScan
    landmarks : LandmarkSet or None
        In the scan's frame but in their own unit.
    given : LengthUnit or None
        The unit that somebody states; taken unless size or landmarks contradict it.

    Raises
    ------
    InvalidScan
        When no unit makes the scan the size of a limb, or the given unit cannot be right.
    InvalidLandmarks
        When the landmarks can only be right in another unit than their file states.
    """
    sample = _sample(raw)
    girth, length = size_of(sample.points)
    possible = [unit for unit in LengthUnit if _possible(girth * unit.to_mm)]
    if not possible:
        raise InvalidScan(
            f"No unit makes this scan the size of a limb: read as mm it is {girth:.3g} mm around "
            f"and {length:.3g} mm long; check that the file holds one limb and nothing else.",
            fields={"girth": girth, "length": length},
        )
    gaps = _landmark_gaps(sample, landmarks)
    fitting = [unit for unit, gap in gaps.items() if gap <= LANDMARK_OFF_SURFACE_MM.value]
    if landmarks is not None:
        _check_landmark_unit(sample, landmarks, girth, possible, fitting)
    if given is not None:
        _check_given(given, girth, possible, fitting)
        return UnitFound(given, Basis.GIVEN, 1.0, f"The scan is in {given.value}, as stated.")
    declared = raw.declared_unit
    if declared in possible and (not fitting or declared in fitting):
        return UnitFound(
            declared, Basis.GIVEN, 1.0, f"The scan is in {declared.value}, as its file declares."
        )
    found = _from_landmarks(fitting, girth, length) or _from_size(possible, girth, length, gaps)
    if declared is None:
        return found
    doubt = f" The file declares {declared.value}, which cannot be right."
    return UnitFound(found.unit, found.basis, found.sureness, found.text + doubt)


def size_of(vertices: Vertices) -> tuple[float, float]:
    """Rough girth and length of what was scanned, in its own unit.

    The extents along the principal axes without the outermost hundredth of the points, so that
    stray specks do not count; the girth is that of an ellipse-like section of the two shorter.

    Returns
    -------
    girth, length : float
    """
    spread = vertices - np.median(vertices, axis=0)
    reach = np.linalg.norm(spread, axis=1)
    near = spread[reach <= np.quantile(reach, 0.98)]
    axes = np.linalg.eigh(np.cov(near.T))[1]
    low, high = np.quantile(spread @ axes, [0.01, 0.99], axis=0)
    extents = np.sort(high - low)
    return float(np.pi * extents[:2].mean()), float(extents[2])


def _possible(girth_mm: float) -> bool:
    low, high = POSSIBLE_LIMB_GIRTH_MM.value
    return low <= girth_mm <= high


@dataclass(frozen=True, slots=True, eq=False)
class _Sample:
    """Points of a scan in its own unit, and the usual length of its edges."""

    points: Vertices
    edge: float


def _sample(raw: RawScan) -> _Sample:
    points = raw.vertices[:: max(1, len(raw.vertices) // _MAX_SAMPLE)]
    ends = raw.vertices[raw.faces[:: max(1, len(raw.faces) // _MAX_EDGES)]]
    edge = float(np.median(np.linalg.norm(ends[:, 0] - ends[:, 1], axis=1)))
    return _Sample(points, edge)


def _landmark_gaps(sample: _Sample, landmarks: LandmarkSet | None) -> _Gaps:
    if landmarks is None or not landmarks.points:
        return {}
    points_mm = np.array(list(landmarks.points.values())) * landmarks.unit.to_mm
    tree = cKDTree(sample.points)
    gaps = {}
    for unit in LengthUnit:
        away = float(np.median(tree.query(points_mm / unit.to_mm)[0]))
        # a place on a triangle may lie most of an edge away from its corners
        gaps[unit] = max(0.0, away - 0.6 * sample.edge) * unit.to_mm
    return gaps


def _check_landmark_unit(
    sample: _Sample,
    landmarks: LandmarkSet,
    girth: float,
    possible: list[LengthUnit],
    fitting: list[LengthUnit],
) -> None:
    """Refuse landmarks whose own unit must be another one."""
    if any(unit in possible for unit in fitting):
        return
    fits = [
        (other, unit)
        for other in LengthUnit
        if other is not landmarks.unit
        for unit, gap in _landmark_gaps(
            sample, landmarks.model_copy(update={"unit": other})
        ).items()
        if unit in possible and gap <= LANDMARK_OFF_SURFACE_MM.value
    ]
    if not fits:
        return
    told = " or ".join(
        f"{other.value} (the scan is then in {unit.value} and {girth * unit.to_mm:.0f} mm around)"
        for other, unit in fits
    )
    raise InvalidLandmarks(
        f"The landmarks are said to be in {landmarks.unit.value}, but they lie on a limb of "
        f"possible size only if they are in {told}; correct their unit.",
        where="landmarks.unit",
        fields={
            "given": landmarks.unit.value,
            "fits": list(dict.fromkeys(other.value for other, _ in fits)),
        },
    )


def _check_given(
    given: LengthUnit, girth: float, possible: list[LengthUnit], fitting: list[LengthUnit]
) -> None:
    if given not in possible:
        fits = " or ".join(f"{unit.value} ({girth * unit.to_mm:.0f} mm)" for unit in possible)
        raise InvalidScan(
            f"The scan is said to be in {given.value}, which makes the limb "
            f"{girth * given.to_mm:.3g} mm around; {fits} would fit: correct the unit.",
            where="capture.unit",
            fields={"given": given.value, "fits": [unit.value for unit in possible]},
        )
    if fitting and given not in fitting:
        fits = " or ".join(unit.value for unit in fitting)
        raise InvalidScan(
            f"The scan is said to be in {given.value}, but the landmarks lie on its surface only "
            f"if it is in {fits}; correct the unit of the scan or of the landmarks.",
            where="capture.unit",
            fields={"given": given.value, "fits": [unit.value for unit in fitting]},
        )


def _from_landmarks(fitting: list[LengthUnit], girth: float, length: float) -> UnitFound | None:
    if len(fitting) != 1 or not _possible(girth * fitting[0].to_mm):
        return None
    unit = fitting[0]
    return UnitFound(
        unit,
        Basis.ESTIMATED,
        _SURE,
        f"The scan is in {unit.value} (found): only so do the landmarks lie on its surface, and "
        f"the limb is {girth * unit.to_mm:.0f} mm around and {length * unit.to_mm:.0f} mm long.",
    )


def _from_size(possible: list[LengthUnit], girth: float, length: float, gaps: _Gaps) -> UnitFound:
    off = np.array([np.log(girth * unit.to_mm / USUAL_LIMB_GIRTH_MM.value) for unit in possible])
    weight = np.exp(-0.5 * (off / LIMB_GIRTH_SPREAD.value) ** 2)
    best = int(weight.argmax())
    unit = possible[best]
    no_limb = np.exp(-0.5 * UNLIKELY_LIMB_SPREADS.value**2)
    sureness = min(_SURE, float(weight[best] / (weight.sum() + no_limb)))
    others = [other for other in possible if other is not unit]
    doubt = "".join(f"; in {o.value} it would be {girth * o.to_mm:.0f} mm around" for o in others)
    missed = " The landmarks lie on its surface in no unit." if gaps else ""
    return UnitFound(
        unit,
        Basis.ESTIMATED,
        round(sureness, 3),
        f"The scan is in {unit.value} (found from its size): {girth * unit.to_mm:.0f} mm around "
        f"and {length * unit.to_mm:.0f} mm long{doubt}.{missed}",
    )
