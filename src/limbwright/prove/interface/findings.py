"""What interface pressure has to say: pressure, balance, contact, and how far to trust it."""

from __future__ import annotations

import numpy as np

from limbwright.capture.leg_table import COVERS
from limbwright.capture.result import Bones
from limbwright.core.findings import Finding, Severity
from limbwright.core.sources import Basis
from limbwright.core.wording import words
from limbwright.prove.interface.balance import DonnedBalance
from limbwright.prove.interface.engine import DONNED
from limbwright.prove.interface.measured import STANDING, end_body_percent, end_share_percent
from limbwright.prove.interface.pressure import Pressure
from limbwright.prove.interface.reading import (
    DISTAL_END,
    REST_OF_WALL,
    ZoneMap,
    largest_patch_kpa,
    mean_in_contact_kpa,
)
from limbwright.prove.interface.reading_findings import (
    load_case_words,
    reading_findings,
    share_findings,
)
from limbwright.prove.interface.sensitivity import PoissonSensitivity
from limbwright.prove.pressure_result import BalanceAnswer
from limbwright.prove.result import CasePressure, InterfaceResult
from limbwright.prove.tables import (
    AREA_IN_CONTACT_SHARE,
    BELIEVABLE_MEAN_KPA,
    BELIEVABLE_PEAK_KPA,
    DISTAL_END_PERCENT_BW,
    POISSON_HIGH,
    PRESSURE_MODEL,
    UNBALANCED_SHIFT_MM,
)
from limbwright.shape.result import PlacedArea, depth_entry

_STAGE = "prove"
_NO_AREA = ("", REST_OF_WALL, DISTAL_END)


def interface_findings(
    result: InterfaceResult,
    zones: ZoneMap,
    areas: tuple[PlacedArea, ...],
    bones: Bones,
    balance: DonnedBalance,
    sensitivity: PoissonSensitivity | None = None,
    pressure: Pressure | None = None,
) -> tuple[Finding, ...]:
    """All findings on interface pressure; only what is beyond any tolerance stops the job.

    Parameters
    ----------
    result : InterfaceResult
    zones : ZoneMap
        The division of the covered surface that `result` was read with.
    areas : tuple of PlacedArea
    bones : Bones
    balance : DonnedBalance
    sensitivity : PoissonSensitivity, optional
    pressure : Pressure, optional
        What else was read; its findings are added.
    """
    answer = pressure.answer if pressure is not None else None
    found = [_label(result), _balance(balance, answer, areas)]
    if pressure is None or pressure.uncertainty is None:
        found.append(_bones(bones))
    found += _gates(result, zones)
    found += share_findings(result, pressure, areas)
    found += _missing_contact(result, zones, areas)
    found += _distal_end(result)
    if sensitivity is not None:
        found.append(_poisson(sensitivity))
    if pressure is not None:
        found += reading_findings(pressure)
    return tuple(found)


def _label(result: InterfaceResult) -> Finding:
    """What the numbers are; the first estimate keeps its name."""
    first = result.engine == "spring_bed"
    return Finding(
        _STAGE,
        "first-estimate" if first else "pressure-rests-on",
        Severity.NOTE,
        f"Pressures {'are a' if first else 'come from the'} {result.label}. Watch the skin at the "
        "fitting whatever they say.",
        source=PRESSURE_MODEL,
        remedy="figures of tissue and liner that were measured, and bones that were palpated",
        entry="prove.tissue.modulus_kpa",
    )


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
        source=COVERS.source,
        remedy="" if bones.basis is Basis.GIVEN else "palpated depths, or bones given as meshes",
        entry="" if bones.basis is Basis.GIVEN else "capture.palpated",
    )


def _balance(
    balance: DonnedBalance, answer: BalanceAnswer | None, areas: tuple[PlacedArea, ...]
) -> Finding:
    """A warning when an area pushes without an answer; the rest of the wall is only noted."""
    text = balance.text[0].upper() + balance.text[1:]
    unanswered = balance.pushed_by not in _NO_AREA and not balance.answered_by
    if balance.balanced:
        severity = Severity.OK
    elif unanswered or balance.turned_by not in _NO_AREA:
        severity = Severity.WARNING
    else:
        severity = Severity.NOTE
    if not balance.balanced:
        text = f"Donned and not loaded, the limb is {balance.text}"
        text += f"; {answer.text}" if answer is not None else ""
    return Finding(
        _STAGE,
        "donned-balance",
        severity,
        f"{text}.",
        where=balance.pushed_by or balance.turned_by,
        value=float(np.hypot(balance.shift_mm[0], balance.shift_mm[1])),
        limit=UNBALANCED_SHIFT_MM.value,
        usual=True,
        unit="mm",
        source=UNBALANCED_SHIFT_MM.source,
        remedy="the depths of the areas that push, and of those that answer them",
        entry=depth_entry(areas, balance.pushed_by or balance.turned_by),
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
                f"{value:.0f} kPa {what} {load_case_words(worst.load_case)} is more than any "
                "socket was measured at: check the depths, the take-up, the bones and the "
                "tissue's figures."
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
                f"{words(zone.name).capitalize()} is a load area, yet only {100 * share:.0f} % of "
                f"it bears in {words(standing.load_case)}."
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
                    remedy="more depth there, or an answer to what moves the limb away from it",
                    entry=depth_entry(areas, zone.name),
                    at_least=True,
                )
            )
    return found


def _standing(result: InterfaceResult) -> CasePressure:
    by_name = {case.load_case: case for case in result.cases}
    return by_name.get(STANDING, result.cases[-1])


def _distal_end(result: InterfaceResult) -> list[Finding]:
    standing = _standing(result)
    share = end_share_percent(standing)
    if standing.load_case == DONNED or share is None:
        return []
    end = next(area for area in standing.areas if area.area == DISTAL_END)
    low, high = DISTAL_END_PERCENT_BW.value
    of_body = end_body_percent(standing) if standing.load_case == STANDING else None
    bottoms_out = of_body is not None and of_body > high
    said = "" if of_body is None else f", {of_body:.0f} % of body weight"
    text = (
        f"The distal end carries {share:.0f} % of the load in {words(standing.load_case)}{said} "
        f"({end.force_n[2]:.0f} N along the limb, mean {end.mean_kpa:.0f} kPa); in daily life with "
        f"pin liners {low:g} to {high:g} % of body weight were measured."
        + (" The limb may bottom out." if bottoms_out else "")
    )
    return [
        Finding(
            _STAGE,
            "distal-end",
            Severity.WARNING if bottoms_out else Severity.NOTE,
            text,
            where=DISTAL_END,
            value=share if of_body is None else of_body,
            limit=None if of_body is None else high,
            unit="%" if of_body is None else DISTAL_END_PERCENT_BW.unit,
            source=DISTAL_END_PERCENT_BW.source,
            remedy="take-up, the thickness of the liner's cap, or load areas that bear more",
            entry="shape.take_up",
        )
    ]


def _poisson(sensitivity: PoissonSensitivity) -> Finding:
    (mean, mean_other), (peak, peak_other) = sensitivity.mean_kpa, sensitivity.peak_kpa
    text = (
        f"With Poisson's ratio {sensitivity.other:g} instead of {sensitivity.used:g} the mean in "
        f"{words(sensitivity.load_case)} would be {mean_other:.0f} instead of {mean:.0f} kPa and "
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
        source=POISSON_HIGH.source,
        remedy="a Poisson's ratio of this tissue",
        entry="prove.tissue.poisson",
    )
