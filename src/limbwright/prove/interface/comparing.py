"""Two results side by side: two engines on one socket, or two revisions of a case."""

from __future__ import annotations

import numpy as np

from limbwright.core.sources import Basis
from limbwright.core.units import degrees
from limbwright.prove.pressure_result import Comparison, PressurePair
from limbwright.prove.result import AreaPressure, InterfaceResult
from limbwright.prove.tables import LEAST_READ_KPA

_LEAST_RANKED = 3


def compare(
    first: InterfaceResult, second: InterfaceResult, names: tuple[str, str], figures: Basis
) -> Comparison:
    """What changes by area and load case from the first result to the second.

    Areas or load cases that only one of them has are left out.

    Parameters
    ----------
    first, second : InterfaceResult
    names : tuple of 2 str
        What they are, in words.
    figures : Basis
        Weakest of what both rest on.
    """
    others = {case.load_case: case for case in second.cases}
    pairs: list[PressurePair] = []
    ranks: dict[str, float] = {}
    shifts: dict[str, float] = {}
    turns: dict[str, float] = {}
    for case in first.cases:
        other = others.get(case.load_case)
        if other is None:
            continue
        areas = {area.area: area for area in other.areas}
        both = [
            _pair(case.load_case, area.area, areas[area.area], area)
            for area in case.areas
            if area.area in areas
        ]
        pairs += both
        means = np.array([pair.mean_kpa for pair in both])
        correlation = rank_correlation(*means.T) if len(both) >= _LEAST_RANKED else None
        if correlation is not None:
            ranks[case.load_case] = correlation
        shifts[case.load_case] = float(np.linalg.norm(other.pose.shift_mm - case.pose.shift_mm))
        turns[case.load_case] = degrees(
            float(np.linalg.norm(other.pose.turn_rad - case.pose.turn_rad))
        )
    median = _median_percent(pairs)
    text = _text(names, pairs, ranks, median)
    return Comparison(*names, tuple(pairs), ranks, median, shifts, turns, figures, text)


def rank_correlation(first: np.ndarray, second: np.ndarray) -> float | None:
    """Spearman's rank correlation, ties shared; None when either has no spread.

    Examples
    --------
    >>> rank_correlation(np.array([1.0, 2.0, 3.0]), np.array([10.0, 30.0, 20.0]))
    0.5
    """
    # Loaded only where it is used: the package is large, and the service shall start soon.
    from scipy.stats import rankdata

    ranks = np.stack([rankdata(first), rankdata(second)])
    ranks -= ranks.mean(axis=1, keepdims=True)
    size = float(np.sqrt((ranks[0] @ ranks[0]) * (ranks[1] @ ranks[1])))
    return float(ranks[0] @ ranks[1]) / size if size > 0 else None


def _pair(load_case: str, name: str, second: AreaPressure, first: AreaPressure) -> PressurePair:
    means = (first.mean_kpa, second.mean_kpa)
    peaks = (first.peak_kpa, second.peak_kpa)
    change = means[1] - means[0]
    counts = means[0] >= LEAST_READ_KPA.value
    return PressurePair(
        name,
        load_case,
        means,
        peaks,
        change,
        peaks[1] - peaks[0],
        100 * change / means[0] if counts else None,
    )


def _median_percent(pairs: list[PressurePair]) -> float | None:
    sizes = [
        abs(pair.mean_change_percent) for pair in pairs if pair.mean_change_percent is not None
    ]
    return float(np.median(sizes)) if sizes else None


def _text(
    names: tuple[str, str],
    pairs: list[PressurePair],
    ranks: dict[str, float],
    median: float | None,
) -> str:
    first, second = names
    if not pairs or median is None:
        return f"{first} and {second} share no area that bears in a load case."
    worst = max(pairs, key=lambda pair: abs(pair.mean_change_kpa))
    ranked = f"; places rank alike by {min(ranks.values()):.2f} or more" if ranks else ""
    return (
        f"From {first} to {second} area means change by {median:.0f} % in the median; most in "
        f"{worst.load_case.replace('_', ' ')} at the {worst.area.replace('_', ' ')}, from "
        f"{worst.mean_kpa[0]:.0f} to {worst.mean_kpa[1]:.0f} kPa{ranked} (rank correlation)."
    )
