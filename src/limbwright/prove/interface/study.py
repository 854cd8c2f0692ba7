"""What takes more than one solution: bands, what if, and what would balance the donned limb."""

from __future__ import annotations

from dataclasses import dataclass

from limbwright.core.errors import NotConverged
from limbwright.core.telling import Tell, silent
from limbwright.prove.interface.counter import balance_answer
from limbwright.prove.interface.engine import DONNED
from limbwright.prove.interface.limb_response import LimbResponse, response_pressures
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
    tell: Tell = silent,
    *,
    known: tuple[tuple[Variation, ...], LimbResponse] | None = None,
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
    known : tuple of variations and LimbResponse, optional
        How the limb responds to what is uncertain, from its reference socket; without it every
        variation is computed in this socket, to both sides.
    """
    base = pressures_of(result, zones, places)

    scales = {(AREA, zone.name): cover_scale(setting.limb, zone.inside) for zone in zones.zones}
    scales |= {(PLACE, place.name): cover_scale(setting.limb, place.inside) for place in places}
    if known is None:
        found = variations(setting.limb, setting.liner, setting.plan)
        reference = base

        def compute(variation: Variation) -> dict[Key, tuple[float, float]]:
            attempt, fitted = attempt_with(setting, variation.limb, variation.liner, variation.plan)
            return pressures_of(attempt.result, fitted.zones, places)
    else:
        found, response = known
        names = tuple(case.load_case for case in result.cases)
        reference = response_pressures(response, 0, zones, places, names)
        numbers = {variation.tried: number for number, variation in enumerate(found, 1)}

        def compute(variation: Variation) -> dict[Key, tuple[float, float]]:
            number = numbers[variation.tried]
            if response.refused[number]:
                raise NotConverged(response.refused[number])
            return response_pressures(response, number, zones, places, names)

    tried, left_out = try_all(reference, found, compute, tell if known is None else silent, scales)
    cases = {case.load_case: case for case in result.cases}
    standing = next((case for case in setting.load_cases if case.name == STANDING), None)
    tell("with volume lost, with socks, with other depths", 1.0)
    changed = (
        what_if(setting, zones, cases[STANDING], standing)
        if standing is not None and STANDING in cases
        else ()
    )
    return Study(
        uncertainty(
            setting.engine.name, reference, tried, left_out, in_reference=known is not None
        ),
        combined(tried, base),
        changed,
        balance_answer(setting, zones, cases[DONNED].pose),
    )
