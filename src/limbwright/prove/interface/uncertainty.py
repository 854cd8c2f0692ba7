"""The band around every pressure, and which uncertainty makes most of it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from limbwright.core.errors import LimbwrightError
from limbwright.core.telling import Tell, silent
from limbwright.prove.interface.readings import AREA, Key, Relative, Relatives
from limbwright.prove.interface.variations import BONES, Variation
from limbwright.prove.pressure_result import Influence, Uncertainty
from limbwright.prove.tables import BEARING_KPA, LEAST_READ_KPA, REFERENCE_LOAD_N

Pressures = Mapping[Key, tuple[float, float]]


@dataclass(frozen=True, slots=True, eq=False)
class Tried:
    """What one variation did to the pressures.

    Parameters
    ----------
    variation : Variation
    change : mapping of Key to (2,) float
        Logarithm of mean and peak against those of the limb as designed, for one standard
        deviation; load cases without equilibrium are not in it.
    """

    variation: Variation
    change: Mapping[Key, tuple[float, float]]


def try_all(
    base: Pressures,
    found: tuple[Variation, ...],
    compute: Callable[[Variation], Pressures],
    tell: Tell = silent,
    cover_scale: Mapping[tuple[str, str], float] | None = None,
) -> tuple[tuple[Tried, ...], tuple[str, ...]]:
    """Compute every variation and hold it against the base.

    Parameters
    ----------
    base : mapping of Key to (mean, peak) in kPa
    found : tuple of Variation
    compute : callable
        Pressures of one variation.
    tell : callable, optional
        Called with each variation and the share done before it.
    cover_scale : mapping of (kind, name) to float, optional
        How uncertain the cover is there, against the moves of the bones.

    Returns
    -------
    tried : tuple of Tried
    left_out : tuple of str
        Variations that could not be computed, and why.
    """
    tried, left_out = [], []
    for number, variation in enumerate(found):
        tell(f"with {variation.tried}", number / len(found))
        try:
            other = compute(variation)
        except LimbwrightError as error:
            left_out.append(f"{variation.tried}: {error.message}")
            continue
        local = cover_scale if cover_scale is not None and variation.influence == BONES else {}
        change = {}
        for key in (key for key in base if key in other):
            scale = local.get(key[:2], 1.0) / variation.share
            change[key] = (
                scale * log_ratio(base[key][0], other[key][0]),
                scale * log_ratio(base[key][1], other[key][1]),
            )
        missing = sorted({key[2] for key in base if key not in other})
        if missing:
            left_out.append(f"{variation.tried}: no equilibrium in {', '.join(missing)}")
        tried.append(Tried(variation, change))
    return tuple(tried), tuple(left_out)


def log_ratio(base_kpa: float, other_kpa: float) -> float:
    """Logarithm of a ratio of pressures, both raised by `LEAST_READ_KPA`.

    Examples
    --------
    >>> round(float(np.exp(log_ratio(48.0, 98.0))), 3)
    2.0
    """
    least = LEAST_READ_KPA.value
    return float(np.log((other_kpa + least) / (base_kpa + least)))


def combined(tried: tuple[Tried, ...], keys: Iterable[Key]) -> Relatives:
    """Independent factors together: the root of the sum of squares, up and down apart.

    Of the variations of one factor the larger rise counts up and the larger fall counts down.
    """
    by_factor = _grouped(tried, lambda one: one.variation.factor)
    return {key: _relative([_sides(group, key) for group in by_factor.values()]) for key in keys}


def uncertainty(
    engine: str,
    base: Pressures,
    tried: tuple[Tried, ...],
    left_out: tuple[str, ...],
    *,
    in_reference: bool = False,
) -> Uncertainty:
    """Influences ranked by what they do to the means of areas that bear.

    Parameters
    ----------
    engine : str
        Engine that was used.
    base : mapping of Key to (mean, peak) in kPa
    tried : tuple of Tried
    left_out : tuple of str
    in_reference : bool
        Whether the ratios are those of the limb's default socket.
    """
    socket = (
        f"in this limb's default socket, donned and under {REFERENCE_LOAD_N.value:g} N (ratios "
        "alone are taken from there)"
        if in_reference
        else "in this socket"
    )
    bearing = [
        key for key, (mean, _) in base.items() if key[0] == AREA and mean >= BEARING_KPA.value
    ]
    groups = _grouped(tried, lambda one: one.variation.influence)
    found = [_influence(name, group, bearing) for name, group in groups.items()]
    found.sort(key=lambda one: (-max(map(abs, one.typical_percent)), one.name))
    text = (
        "Bands are one standard deviation to either side, from "
        + (", ".join(one.name for one in found) or "nothing that is known to be uncertain")
        + f", each varied alone with the engine {engine} {socket} and combined as "
        "independent (root of the sum of squares of logarithms), with how the limb's mesh happens "
        "to lie. The model's own error is not in them."
    )
    return Uncertainty(engine, text, tuple(found), left_out)


def _grouped(tried: Iterable[Tried], name: Callable[[Tried], str]) -> dict[str, tuple[Tried, ...]]:
    groups: dict[str, tuple[Tried, ...]] = {}
    for one in tried:
        groups[name(one)] = (*groups.get(name(one), ()), one)
    return groups


def _sides(group: tuple[Tried, ...], key: Key) -> Relative:
    sides = [
        (side * one.change[key][0], side * one.change[key][1])
        for one in group
        if key in one.change
        for side in (1.0, -one.variation.mirror)
    ]
    means, peaks = [mean for mean, _ in sides], [peak for _, peak in sides]
    return Relative(
        max(0.0, -min(means, default=0.0)),
        max(0.0, max(means, default=0.0)),
        max(0.0, -min(peaks, default=0.0)),
        max(0.0, max(peaks, default=0.0)),
    )


def _relative(parts: list[Relative]) -> Relative:
    return Relative(
        float(np.sqrt(sum(part.mean_down**2 for part in parts))),
        float(np.sqrt(sum(part.mean_up**2 for part in parts))),
        float(np.sqrt(sum(part.peak_down**2 for part in parts))),
        float(np.sqrt(sum(part.peak_up**2 for part in parts))),
    )


def _influence(name: str, group: tuple[Tried, ...], bearing: list[Key]) -> Influence:
    together = combined(group, bearing)
    down = [together[key].mean_down for key in bearing]
    up = [together[key].mean_up for key in bearing]
    size = [max(pair) for pair in zip(down, up, strict=True)]
    worst = int(np.argmax(size)) if size else -1
    first = group[0].variation
    return Influence(
        name=name,
        tried="; ".join(one.variation.tried for one in group),
        typical_percent=(_percent(-_rms(down)), _percent(_rms(up))),
        worst_area=bearing[worst][1] if size else "",
        worst_case=bearing[worst][2] if size else "",
        worst_percent=_percent(up[worst] if up[worst] >= down[worst] else -down[worst])
        if size
        else 0.0,
        basis=first.basis,
        source=first.source,
    )


def _rms(values: list[float]) -> float:
    return float(np.sqrt(np.mean(np.square(values)))) if values else 0.0


def _percent(logarithm: float) -> float:
    return 100 * (float(np.exp(logarithm)) - 1)
