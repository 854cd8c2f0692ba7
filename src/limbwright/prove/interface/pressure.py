"""All that is read from interface pressure, put together."""

from __future__ import annotations

from dataclasses import dataclass

from limbwright.core.sources import Basis
from limbwright.prove.interface.comparing import compare
from limbwright.prove.interface.contact import carried, contact_readings
from limbwright.prove.interface.labels import engine_words
from limbwright.prove.interface.measured import against_measured
from limbwright.prove.interface.places import Place
from limbwright.prove.interface.reading import ZoneMap
from limbwright.prove.interface.readings import place_readings
from limbwright.prove.interface.study import Study
from limbwright.prove.pressure_result import (
    AgainstMeasured,
    BalanceAnswer,
    Carried,
    Comparison,
    ContactReading,
    PlaceReading,
    Uncertainty,
    WhatIf,
)
from limbwright.prove.result import InterfaceResult
from limbwright.shape.result import SocketShape

RELIEFS_LESS_SURE = (
    "Pressures of relief areas and of their edges are less sure than those of load areas: whether "
    "a place touches at all hangs on a millimetre of shape, bone or volume."
)
CAUTIONS = (
    "Interface pressures are not validated on people. Use them to compare shapes and places on "
    "one limb, and watch the skin at the fitting whatever they say.",
    RELIEFS_LESS_SURE,
    "Shares are of working limits that rank places; they are no clinical limits and decide "
    "nothing.",
)


@dataclass(frozen=True, slots=True, eq=False)
class Pressure:
    """What a practitioner reads; the fields are those of `Proof`.

    Parameters
    ----------
    readings : tuple of PlaceReading
    carried : tuple of Carried
    contact : tuple of ContactReading
    measured : tuple of AgainstMeasured
    uncertainty : Uncertainty or None
    what_if : tuple of WhatIf
    answer : BalanceAnswer or None
    quick : InterfaceResult or None
    agreement : Comparison or None
    cautions : tuple of str
    fallen_back : str
        Why another engine than the one asked for computed; "" when none had to.
    """

    readings: tuple[PlaceReading, ...]
    carried: tuple[Carried, ...]
    contact: tuple[ContactReading, ...]
    measured: tuple[AgainstMeasured, ...]
    uncertainty: Uncertainty | None
    what_if: tuple[WhatIf, ...]
    answer: BalanceAnswer | None
    quick: InterfaceResult | None
    agreement: Comparison | None
    cautions: tuple[str, ...]
    fallen_back: str


def read_pressure(
    result: InterfaceResult,
    zones: ZoneMap,
    shape: SocketShape,
    places: tuple[Place, ...],
    figures: Basis,
    *,
    study: Study | None = None,
    quick: InterfaceResult | None = None,
    fallen_back: str = "",
) -> Pressure:
    """Read a result by area and place, and put beside it what else was computed.

    Parameters
    ----------
    result : InterfaceResult
    zones : ZoneMap
    shape : SocketShape
    places : tuple of Place
    figures : Basis
        Weakest of bones, tissue, liner and friction.
    study : Study, optional
        May be of another engine: its bands are relative.
    quick : InterfaceResult, optional
        The quick engine's result on the same limb, socket and loads.
    fallen_back : str
    """
    return Pressure(
        readings=place_readings(
            result,
            zones,
            shape.areas,
            places,
            figures,
            None if study is None else study.relatives,
        ),
        carried=carried(result, zones, figures),
        contact=contact_readings(result, zones, shape, figures),
        measured=against_measured(result, zones, shape.areas, figures),
        uncertainty=None if study is None else study.uncertainty,
        what_if=() if study is None else study.what_if,
        answer=None if study is None else study.answer,
        quick=quick,
        agreement=None
        if quick is None
        else compare(
            quick, result, (engine_words(quick.engine), engine_words(result.engine)), figures
        ),
        cautions=(f"Pressures rest on: {result.label}.", *CAUTIONS),
        fallen_back=fallen_back,
    )
