"""The pressures beside what was measured in sockets."""

from __future__ import annotations

import numpy as np

from limbwright.align.tables import STANDING_SHARE
from limbwright.core.sources import Basis, Sourced
from limbwright.core.units import kpa_from_mpa
from limbwright.prove.interface.reading import DISTAL_END, ZoneMap
from limbwright.prove.pressure_result import AgainstMeasured
from limbwright.prove.result import CasePressure, InterfaceResult
from limbwright.prove.tables import (
    DISTAL_END_PERCENT_BW,
    MEASURED_BEARING_PEAK_KPA,
    MEASURED_SHEAR_KPA,
    MEASURED_SPARED_PEAK_KPA,
    MEASURED_STANCE_PEAK_KPA,
    MEASURED_STANDING_SHARE,
)
from limbwright.shape.plan import AreaName
from limbwright.shape.result import PlacedArea

STANDING = "standing"
STANCE = ("early_stance", "mid_stance", "late_stance")
_BEARS_MOST = {AreaName.PATELLAR_TENDON.value, AreaName.POPLITEAL.value}


def against_measured(
    result: InterfaceResult, zones: ZoneMap, areas: tuple[PlacedArea, ...], figures: Basis
) -> tuple[AgainstMeasured, ...]:
    """Where the pressures stand among published ones; what cannot be told is left out.

    The stance peak of a place is the largest mean over 1 cm² there of all stance cases, as a
    sensor of that size would read it.

    Parameters
    ----------
    result : InterfaceResult
    zones : ZoneMap
    areas : tuple of PlacedArea
    figures : Basis
        Weakest of what the pressures rest on.
    """
    cases = {case.load_case: case for case in result.cases}
    stance = [cases[name] for name in STANCE if name in cases]
    found = []
    if stance:
        peak = np.max([zones.patch_mean @ case.pressure_mpa for case in stance], axis=0)
        touched = zones.covered & (np.max([case.pressure_mpa for case in stance], axis=0) > 0)
        size = zones.skin.areas_mm2[touched].sum()
        mean_peak = float(zones.skin.areas_mm2[touched] @ peak[touched] / size) if size else 0.0
        found.append(
            _row("mean of stance peaks", kpa_from_mpa(mean_peak), MEASURED_STANCE_PEAK_KPA, figures)
        )
        bearing = [area.name.value for area in areas if area.name.value in _BEARS_MOST]
        found += [
            _row(
                f"stance peak, {name.replace('_', ' ')}",
                _area_peak(stance, name),
                MEASURED_BEARING_PEAK_KPA,
                figures,
            )
            for name in bearing
        ]
        spared = [area.name.value for area in areas if not area.loads]
        if spared:
            highest = max(_area_peak(stance, name) for name in spared)
            found.append(
                _row("highest stance peak spared", highest, MEASURED_SPARED_PEAK_KPA, figures)
            )
        shear = max(
            float((zones.patch_mean @ np.linalg.norm(case.shear_mpa, axis=1)).max())
            for case in stance
        )
        found.append(
            _row("highest shear over 1 cm²", kpa_from_mpa(shear), MEASURED_SHEAR_KPA, figures)
        )
    standing = cases.get(STANDING)
    if standing is not None and stance and mean_peak > 0:
        at_rest = zones.patch_mean @ standing.pressure_mpa
        share = float(zones.skin.areas_mm2[touched] @ at_rest[touched] / size) / mean_peak
        found.append(_row("standing over stance peak", share, MEASURED_STANDING_SHARE, figures))
    if standing is not None:
        percent = end_body_percent(standing)
        if percent is not None:
            found.append(_row("distal end in standing", percent, DISTAL_END_PERCENT_BW, figures))
    return tuple(found)


def end_share_percent(case: CasePressure) -> float | None:
    """Percent of the load along the limb that the distal end carries; None without a load."""
    whole = sum(area.force_n[2] for area in case.areas)
    if whole <= 0:
        return None
    end = next(area for area in case.areas if area.area == DISTAL_END)
    return 100 * end.force_n[2] / whole


def end_body_percent(standing: CasePressure) -> float | None:
    """Percent of body weight that the distal end carries along the limb in standing.

    The load of standing is a known share of body weight, and leans a little against the limb: of
    the whole of it counts what the end carries along.
    """
    whole = float(np.linalg.norm(np.sum([area.force_n for area in standing.areas], axis=0)))
    if end_share_percent(standing) is None:
        return None
    end = next(area for area in standing.areas if area.area == DISTAL_END)
    return 100 * STANDING_SHARE.value * float(end.force_n[2]) / whole


def _area_peak(cases: list[CasePressure], name: str) -> float:
    return max(area.peak_kpa for case in cases for area in case.areas if area.area == name)


def _row(
    what: str, value: float, band: Sourced[tuple[float, float]], basis: Basis
) -> AgainstMeasured:
    low, high = band.value
    return AgainstMeasured(
        what, value, band.unit, low, high, low <= value <= high, basis, band.source
    )
