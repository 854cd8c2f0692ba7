"""What a place carries, in words: nothing, next to nothing, some, the most."""

from __future__ import annotations

import pytest

from limbwright.fit.load_words import amount_words, limit_words, rank_words


@pytest.mark.parametrize(
    ("kpa", "words"),
    [(0.0, "No pressure"), (0.2, "Less than 1 kPa of pressure"), (38.4, "38 kPa of pressure")],
)
def test_nothing_is_not_called_a_pressure_of_0_kpa(kpa: float, words: str) -> None:
    assert amount_words(kpa, "pressure") == words


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (None, ""),
        (0.0, ""),
        (0.001, ", less than 1 % of its working limit"),
        (0.84, ", 84 % of its working limit"),
    ],
)
def test_a_limit_that_is_not_used_is_not_said_to_be_used_to_0_percent(
    share: float | None, words: str
) -> None:
    assert limit_words(share) == words


def test_a_place_at_either_end_of_the_rank_is_not_told_in_0_or_100_percent() -> None:
    assert rank_words(0.0) == "no part of the covered skin carries less"
    assert rank_words(100.0) == "hardly any of the covered skin carries more"
    assert rank_words(72.4) == "72 % of the covered skin carries less"
