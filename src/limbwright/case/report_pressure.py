"""Interface pressure as tables of text."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

from limbwright.core.wording import signed, words
from limbwright.prove.interface.labels import engine_words
from limbwright.prove.interface.readings import PLACE
from limbwright.prove.pressure_result import CaseReading, Comparison, PlaceReading
from limbwright.prove.result import Proof
from limbwright.prove.tables import PLACE_RADIUS_MM

_NAME = 28
_COLUMN = 15
_PLACES = (
    f"A place is the skin within {PLACE_RADIUS_MM.value:g} mm of its landmarks; an area of its name"
    " is where the socket is shaped, which may lie beside it."
)


def pressure_lines(proof: Proof, width: int) -> Iterator[str]:
    """Each place's worst case with its band, and two engines side by side where both computed.

    Parameters
    ----------
    proof : Proof
    width : int
        Letters in a line.
    """
    readings = [reading for reading in proof.readings if reading.cases]
    if not readings:
        return
    banded, engine = proof.uncertainty is not None, proof.interface.engine
    yield ""
    yield from _wrapped(
        f"Pressure in kPa by the {engine_words(engine)}: the load case with the highest 1 cm²"
        + (" (in brackets one standard deviation of what is uncertain)" if banded else ""),
        width,
    )
    areas = [reading for reading in readings if reading.kind != PLACE]
    yield from _table("by area", areas)
    places = [one for one in readings if one.kind == PLACE]
    if places:
        yield from _wrapped(_PLACES, width)
    yield from _table("by place", places)
    if proof.agreement is not None:
        yield from comparison_lines("TWO ENGINES SIDE BY SIDE", proof.agreement, width)


def comparison_lines(title: str, comparison: Comparison, width: int) -> Iterator[str]:
    """Mean and peak of every area and load case, first and second."""
    yield ""
    yield from _wrapped(f"{title}: {comparison.text}", width)
    head = f"{'':<{_NAME}}{'load case':<{_COLUMN}}{'mean kPa':>15}{'peak kPa':>15}{'mean':>8}"
    yield f"  {head}"
    for pair in comparison.pairs:
        percent = pair.mean_change_percent
        change = "" if percent is None else f"{signed(percent)} %"
        yield (
            f"  {words(pair.area):<{_NAME}}{words(pair.load_case):<{_COLUMN}}"
            f"{_both(pair.mean_kpa):>15}{_both(pair.peak_kpa):>15}{change:>8}"
        )


def _table(title: str, readings: Sequence[PlaceReading]) -> Iterator[str]:
    if not readings:
        return
    head = f"{title:<{_NAME}}{'load case':<{_COLUMN}}{'mean':<17}{'peak':<17}{'of limit'}"
    yield f"  {head}"
    for reading in readings:
        case = max(reading.cases, key=lambda one: one.peak_kpa)
        name = f"  {words(reading.place):<{_NAME}}"
        if reading.covered_share <= 0:
            yield f"{name}not covered by the socket"
            continue
        part = "" if reading.covered_share > 0.5 else ", half or less of it covered"
        yield (
            f"{name}{words(case.load_case):<{_COLUMN}}"
            f"{_banded(case.mean_kpa, case.mean_band_kpa):<17}"
            f"{_banded(case.peak_kpa, case.peak_band_kpa):<17}{_share(reading, case)}{part}"
        )


def _share(reading: PlaceReading, case: CaseReading) -> str:
    if reading.limit_kpa is None or case.share is None:
        return "no limit established"
    return f"{100 * case.share:.0f} % of {reading.limit_kpa:.0f}"


def _banded(value: float, band: tuple[float, float] | None) -> str:
    return f"{value:.0f}" if band is None else f"{value:.0f} ({band[0]:.0f}-{band[1]:.0f})"


def _both(pair: tuple[float, float]) -> str:
    return f"{pair[0]:.0f} -> {pair[1]:.0f}"


def _wrapped(text: str, width: int) -> list[str]:
    return textwrap.wrap(text, width, initial_indent="  ", subsequent_indent="  ")
