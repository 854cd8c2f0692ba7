"""What a change would do, as lines of text."""

from __future__ import annotations

from collections.abc import Iterator

from limbwright.case.report_text import caution_lines, finding_lines
from limbwright.case.whatif import AreaChange, MomentChange, WhatIf

SEEN_KPA = 1.0
"""Pressures that change by less are not listed: they are told to whole kPa, as everywhere."""


def whatif_lines(found: WhatIf, width: int) -> Iterator[str]:
    """Moments, lengths and pressures before and after.

    Parameters
    ----------
    found : WhatIf
    width : int
        Letters in a line of the reader's window.
    """
    yield "MOMENTS, N·m (coronal: knee outward +; sagittal: knee back +)"
    yield f"{'':26}{'coronal':>18}{'sagittal':>20}"
    for place, phase in dict.fromkeys((one.place, one.phase) for one in found.moments):
        of = {one.plane: one for one in found.moments if (one.place, one.phase) == (place, phase)}
        shown = "".join(f"{_moment(of[plane]):>20}" for plane in ("coronal", "sagittal"))
        yield f"{place:12} {phase.replace('_', ' '):12}{shown}"
    yield ""
    yield (
        f"Datum to floor {found.length_before_mm:.1f} to {found.length_after_mm:.1f} mm,"
        f" tube {found.pylon_before_mm:.1f} to {found.pylon_after_mm:.1f} mm."
    )
    yield ""
    yield f"PRESSURES, kPa, before and after: {found.label}"
    yield f"{'':40}{'mean':>18}{'peak':>20}"
    shown_areas = [one for one in found.areas if _seen(one)]
    for area in shown_areas:
        name = f"{area.load_case.replace('_', ' ')}, {area.area.replace('_', ' ')}"
        mean = _pair(area.mean_before_kpa, area.mean_after_kpa)
        peak = _pair(area.peak_before_kpa, area.peak_after_kpa)
        over = " over its limit" if _over(area) else ""
        yield f"{name:40}{mean:>18}{peak:>20}{over}"
    if not shown_areas:
        yield f"No area changes by {SEEN_KPA:g} kPa."
    for title, findings in (
        ("COMES WITH IT", found.new_findings),
        ("GOES WITH IT", found.gone_findings),
    ):
        if findings:
            yield ""
            yield title
            yield from finding_lines(findings, width)
    yield ""
    yield "Changes are upper bounds: people adapt."
    yield from caution_lines(width)


def _moment(change: MomentChange) -> str:
    return f"{change.before_n_m:.1f} to {change.after_n_m:.1f}"


def _pair(before: float | None, after: float | None) -> str:
    first, second = ("none" if value is None else f"{value:.0f}" for value in (before, after))
    return f"{first} to {second}"


def _seen(area: AreaChange) -> bool:
    pairs = (
        (area.mean_before_kpa, area.mean_after_kpa),
        (area.peak_before_kpa, area.peak_after_kpa),
    )
    return any(one is None or other is None or abs(other - one) >= SEEN_KPA for one, other in pairs)


def _over(area: AreaChange) -> bool:
    return (
        area.limit_kpa is not None
        and area.peak_after_kpa is not None
        and area.peak_after_kpa > area.limit_kpa
    )
