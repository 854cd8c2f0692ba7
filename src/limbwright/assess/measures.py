"""Outcome measures: totals and dates as the case keeps them, and what each can be at all."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from pydantic import Field, model_validator

from limbwright.core.plan import DAY_PATTERN, Plan


class Measure(str, Enum):
    """Outcome measures of prosthetic mobility and comfort."""

    AMPPRO = "amppro"
    """Amputee Mobility Predictor, with prosthesis."""
    AMPNOPRO = "ampnopro"
    """Amputee Mobility Predictor, without prosthesis."""
    TWO_MINUTE_WALK = "two_minute_walk"
    SIX_MINUTE_WALK = "six_minute_walk"
    TEN_METRE_WALK = "ten_metre_walk"
    TIMED_UP_AND_GO = "timed_up_and_go"
    L_TEST = "l_test"
    FOUR_SQUARE_STEP = "four_square_step"
    SOCKET_COMFORT = "socket_comfort"


@dataclass(frozen=True, slots=True)
class Scale:
    """How a measure is read.

    Parameters
    ----------
    name : str
    unit : str
        "points" for a total.
    least, most : float
        Nothing outside can be meant.
    whole : bool
        Only whole numbers.
    higher_is_better : bool
    """

    name: str
    unit: str
    least: float
    most: float
    whole: bool
    higher_is_better: bool


SCALES: Mapping[Measure, Scale] = {
    Measure.AMPPRO: Scale("AMPPRO", "points", 0, 47, True, True),
    Measure.AMPNOPRO: Scale("AMPnoPRO", "points", 0, 43, True, True),
    Measure.TWO_MINUTE_WALK: Scale("2-minute walk", "m", 0, 400, False, True),
    Measure.SIX_MINUTE_WALK: Scale("6-minute walk", "m", 0, 1200, False, True),
    Measure.TEN_METRE_WALK: Scale("10-metre walk", "m/s", 0, 3, False, True),
    Measure.TIMED_UP_AND_GO: Scale("timed up and go", "s", 2, 300, False, False),
    Measure.L_TEST: Scale("L test", "s", 5, 600, False, False),
    Measure.FOUR_SQUARE_STEP: Scale("four square step test", "s", 2, 300, False, False),
    Measure.SOCKET_COMFORT: Scale("socket comfort score", "points", 0, 10, False, True),
}
"""Ranges of totals are the measures' own; those of times and distances guard against slips."""


class Score(Plan):
    """One total on one day."""

    measure: Measure
    value: float
    on: str = Field(pattern=DAY_PATTERN)
    """Date, as 2026-03-15."""

    @model_validator(mode="after")
    def _possible(self) -> Score:
        scale = SCALES[self.measure]
        if not scale.least <= self.value <= scale.most:
            raise ValueError(
                f"{scale.name} runs from {scale.least:g} to {scale.most:g} {scale.unit},"
                f" not {self.value:g}"
            )
        if scale.whole and self.value != int(self.value):
            raise ValueError(f"{scale.name} is a whole number, not {self.value:g}")
        return self
