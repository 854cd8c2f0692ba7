"""What the first estimate has to say: pressure, balance, contact, and how far to trust it."""

from __future__ import annotations

import numpy as np

from limbwright.align.tables import STANDING_SHARE
from limbwright.capture.result import Bones
from limbwright.core.findings import Finding, Severity
from limbwright.core.sources import Basis
from limbwright.prove.interface.balance import DonnedBalance, plain
from limbwright.prove.interface.engine import DONNED
from limbwright.prove.interface.reading import (
    DISTAL_END,
    REST_OF_WALL,
    ZoneMap,
    largest_patch_kpa,
    mean_in_contact_kpa,
)
from limbwright.prove.interface.sensitivity import PoissonSensitivity
from limbwright.prove.result import AreaPressure, CasePressure, InterfaceResult
from limbwright.prove.tables import (
    AREA_IN_CONTACT_SHARE,
    BELIEVABLE_MEAN_KPA,
    BELIEVABLE_PEAK_KPA,
    DISTAL_END_PERCENT_BW,
    UNBALANCED_SHIFT_MM,
)
from limbwright.shape.result import PlacedArea

_STAGE = "prove"
_STANDING = "standing"
_NO_AREA = ("", REST_OF_WALL, DISTAL_END)


def interface_findings(
    result: InterfaceResult,
    zones: ZoneMap,
    areas: tuple[PlacedArea, ...],
    bones: Bones,
    balance: DonnedBalance,
    sensitivity: PoissonSensitivity | None = None,
) -> tuple[Finding, ...]:
    """All findings on interface pressure; none of them stops the job.

    Parameters
    ----------
    result : InterfaceResult
    zones : ZoneMap
        The division of the covered surface that `result` was read with.
    areas : tuple of PlacedArea
    bones : Bones
    balance : DonnedBalance
    sensitivity : PoissonSensitivity, optional
    """
    found = [_label(result), _bones(bones), _balance(balance)]
    found += _gates(result, zones)
    found += _shares(result)
    found += _missing_contact(result, zones, areas)
    found += _distal_end(result)
    if sensitivity is not None:
        found.append(_poisson(sensitivity))
    return tuple(found)


def _label(result: InterfaceResult) -> Finding:
    text = f"Pressures are a {result.label}. Watch the skin at the fitting whatever they say."
    return Finding(_STAGE, "first-estimate", Severity.NOTE, text)


def _bones(bones: Bones) -> Finding:
    if bones.basis is Basis.GIVEN:
        text = "Pressure rests on bones that were given as meshes."
    else:
        text = (
            f"Pressure rests on estimated bones: their cover is known to about "
            f"±{bones.cover_sd_mm:.0f} mm, and where it is thin that changes pressure most."
        )
    return Finding(
        _STAGE,
        "bones-under-pressure",
        Severity.NOTE,
        text,
        value=bones.cover_sd_mm,
        unit="mm",
        basis=bones.basis,
    )


def _balance(balance: DonnedBalance) -> Finding:
    """A warning when an area pushes without an answer; the rest of the wall is only noted."""
    text = balance.text[0].upper() + balance.text[1:]
    unanswered = balance.pushed_by not in _NO_AREA and not balance.answered_by
    if balance.balanced:
        severity = Severity.OK
    elif unanswered or balance.turned_by not in _NO_AREA:
        severity = Severity.WARNING
    else:
        severity = Severity.NOTE
    return Finding(
        _STAGE,
        "donned-balance",
        severity,
        f"{text}." if balance.balanced else f"Donned and not loaded, the limb is {balance.text}.",
        where=balance.pushed_by or balance.turned_by,
        value=float(np.hypot(balance.shift_mm[0], balance.shift_mm[1])),
        limit=UNBALANCED_SHIFT_MM.value,
        unit="mm",
        source=UNBALANCED_SHIFT_MM.source,
    )


def _gates(result: InterfaceResult, zones: ZoneMap) -> list[Finding]:
    """Levels that no socket was measured at: the estimate, not the tissue, is in doubt."""
    found = []
    for what, gate, read in (
        ("over 1 cm²", BELIEVABLE_PEAK_KPA, largest_patch_kpa),
        ("as the mean in contact", BELIEVABLE_MEAN_KPA, mean_in_contact_kpa),
    ):
        worst = max(result.cases, key=lambda case: read(zones, case.pressure_mpa))
        value = read(zones, worst.pressure_mpa)
        if value > gate.value:
            text = (
                f"{value:.0f} kPa {what} {_when(worst)} is more than any socket was "
                "measured at: check the depths, the take-up, the bones and the tissue's figures."
            )
            found.append(
                Finding(
                    _STAGE,
                    "beyond-belief",
                    Severity.NOT_ESTABLISHED,
                    text,
                    where=worst.load_case,
                    value=value,
                    limit=gate.value,
                    unit=gate.unit,
                    source=gate.source,
                )
            )
    return found


def _shares(result: InterfaceResult) -> list[Finding]:
    """Each area's worst case against its limit; one finding names the areas without a figure."""
    found, unknown = [], []
    for name in [area.area for area in result.cases[0].areas]:
        case, area = _worst(result, name)
        if name in _NO_AREA:
            continue
        if area.limit_kpa is None or area.share is None:
            unknown.append(f"{plain(name)} {area.peak_kpa:.0f}")
        else:
            found.append(_share(case, area, area.limit_kpa, area.share))
    if unknown:
        text = (
            "No tolerance is known for these places, so no share can be told (highest kPa over "
            f"1 cm²): {', '.join(unknown)}."
        )
        found.append(Finding(_STAGE, "tolerance-unknown", Severity.NOT_ESTABLISHED, text))
    return found


def _worst(result: InterfaceResult, name: str) -> tuple[CasePressure, AreaPressure]:
    pairs = [(case, area) for case in result.cases for area in case.areas if area.area == name]
    return max(pairs, key=lambda pair: pair[1].peak_kpa)


def _when(case: CasePressure) -> str:
    """The load case as it is said: "when donned", "in mid stance"."""
    name = plain(case.load_case)
    return f"when {name}" if name == "donned" else f"in {name}"


def _share(case: CasePressure, area: AreaPressure, limit_kpa: float, share: float) -> Finding:
    text = (
        f"{plain(area.area).capitalize()}: up to {area.peak_kpa:.0f} kPa over 1 cm² "
        f"{_when(case)}, {100 * share:.0f} % of {limit_kpa:.0f} kPa. "
        + (
            "Above the working limit for walking: spare it, or spread the load. "
            if share > 1
            else ""
        )
        + "The limit ranks places and decides nothing."
    )
    # not OK when under the limit: a figure of low confidence passes nothing either
    return Finding(
        _STAGE,
        "area-pressure",
        Severity.WARNING if share > 1 else Severity.NOTE,
        text,
        where=area.area,
        value=area.peak_kpa,
        limit=limit_kpa,
        unit="kPa",
        source=area.limit_source,
    )


def _missing_contact(
    result: InterfaceResult, zones: ZoneMap, areas: tuple[PlacedArea, ...]
) -> list[Finding]:
    """Load areas that do not bear when the person stands."""
    standing = _standing(result)
    bearing = {area.name.value for area in areas if area.loads}
    found = []
    for zone in zones.zones:
        surface = zones.skin.areas_mm2[zone.inside]
        if zone.name not in bearing or surface.sum() <= 0:
            continue
        touching = standing.pressure_mpa[zone.inside] > 0
        share = float(surface[touching].sum() / surface.sum())
        if share < AREA_IN_CONTACT_SHARE.value:
            text = (
                f"{plain(zone.name).capitalize()} is a load area, yet only {100 * share:.0f} % of "
                f"it bears in {plain(standing.load_case)}: deepen it, or answer what moves the "
                "limb away from it."
            )
            found.append(
                Finding(
                    _STAGE,
                    "load-area-without-contact",
                    Severity.WARNING,
                    text,
                    where=zone.name,
                    value=100 * share,
                    limit=100 * AREA_IN_CONTACT_SHARE.value,
                    unit="%",
                    source=AREA_IN_CONTACT_SHARE.source,
                )
            )
    return found


def _standing(result: InterfaceResult) -> CasePressure:
    by_name = {case.load_case: case for case in result.cases}
    return by_name.get(_STANDING, result.cases[-1])


def _distal_end(result: InterfaceResult) -> list[Finding]:
    standing = _standing(result)
    whole = sum(area.force_n[2] for area in standing.areas)
    if standing.load_case == DONNED or whole <= 0:
        return []
    end = next(area for area in standing.areas if area.area == DISTAL_END)
    share = 100 * end.force_n[2] / whole
    low, high = DISTAL_END_PERCENT_BW.value
    of_body = (
        f", {share * STANDING_SHARE.value:.0f} % of body weight"
        if standing.load_case == _STANDING
        else ""
    )
    text = (
        f"The distal end carries {share:.0f} % of the load in {plain(standing.load_case)}{of_body} "
        f"({end.force_n[2]:.0f} N, mean {end.mean_kpa:.0f} kPa); in daily life with pin liners "
        f"{low:g} to {high:g} % of body weight were measured. Take-up and the cap's thickness "
        "change it."
    )
    return [
        Finding(
            _STAGE,
            "distal-end",
            Severity.NOTE,
            text,
            where=DISTAL_END,
            value=share,
            unit="%",
            source=DISTAL_END_PERCENT_BW.source,
        )
    ]


def _poisson(sensitivity: PoissonSensitivity) -> Finding:
    (mean, mean_other), (peak, peak_other) = sensitivity.mean_kpa, sensitivity.peak_kpa
    text = (
        f"With Poisson's ratio {sensitivity.other:g} instead of {sensitivity.used:g} the mean in "
        f"{plain(sensitivity.load_case)} would be {mean_other:.0f} instead of {mean:.0f} kPa and "
        f"the highest 1 cm² {peak_other:.0f} instead of {peak:.0f} kPa: read places against each "
        "other, not single numbers."
    )
    return Finding(
        _STAGE,
        "poisson-sensitivity",
        Severity.NOTE,
        text,
        where=sensitivity.load_case,
        value=mean_other,
        unit="kPa",
        basis=Basis.DEFAULT,
    )
