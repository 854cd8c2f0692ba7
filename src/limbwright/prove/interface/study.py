"""What takes more than one solution: bands, what if, and what would balance the donned limb."""

from __future__ import annotations

from dataclasses import dataclass

from limbwright.prove.interface.counter import balance_answer
from limbwright.prove.interface.engine import DONNED, Progress
from limbwright.prove.interface.measured import STANDING
from limbwright.prove.interface.places import Place
from limbwright.prove.interface.reading import ZoneMap
from limbwright.prove.interface.readings import AREA, PLACE, Key, Relatives, pressures_of
from limbwright.prove.interface.setting import Setting, attempt_with
from limbwright.prove.interface.uncertainty import combined, try_all, uncertainty
from limbwright.prove.interface.variations import Variation, cover_scale, variations
from limbwright.prove.interface.what_if import what_if
from limbwright.prove.pressure_result import BalanceAnswer, Uncertainty, WhatIf
from limbwright.prove.result import InterfaceResult


@dataclass(frozen=True, slots=True, eq=False)
class Study:
    """All that was computed beyond the load cases themselves.

    Parameters
    ----------
    uncertainty : Uncertainty
    relatives : mapping
        Band of every area and place in every load case, as logarithms of ratios.
    what_if : tuple of WhatIf
    answer : BalanceAnswer or None
    """

    uncertainty: Uncertainty
    relatives: Relatives
    what_if: tuple[WhatIf, ...]
    answer: BalanceAnswer | None


def study(
    setting: Setting,
    result: InterfaceResult,
    zones: ZoneMap,
    places: tuple[Place, ...],
    tell: Progress | None = None,
    *,
    both_sides: bool = True,
) -> Study:
    """Vary what is uncertain, change the limb, and look for what would balance it.

    Parameters
    ----------
    setting : Setting
    result : InterfaceResult
        Of the same setting.
    zones : ZoneMap
    places : tuple of Place
    tell : callable, optional
        Called with what is computed next.
    both_sides : bool
        Whether each uncertain factor is tried to both sides; see `variations`.
    """
    base = pressures_of(result, zones, places)
    found = variations(setting.limb, setting.liner, setting.plan, both_sides=both_sides)

    def compute(variation: Variation) -> dict[Key, tuple[float, float]]:
        attempt, fitted = attempt_with(setting, variation.limb, variation.liner, variation.plan)
        return pressures_of(attempt.result, fitted.zones, places)

    scales = {(AREA, zone.name): cover_scale(setting.limb, zone.inside) for zone in zones.zones}
    scales |= {(PLACE, place.name): cover_scale(setting.limb, place.inside) for place in places}
    tried, left_out = try_all(base, found, compute, tell, scales)
    cases = {case.load_case: case for case in result.cases}
    standing = next((case for case in setting.load_cases if case.name == STANDING), None)
    if tell is not None:
        tell("with volume lost, with socks, with other depths", 1.0)
    changed = (
        what_if(setting, zones, cases[STANDING], standing)
        if standing is not None and STANDING in cases
        else ()
    )
    return Study(
        uncertainty(setting.engine.name, base, tried, left_out),
        combined(tried, base),
        changed,
        balance_answer(setting, zones, cases[DONNED].pose),
    )
