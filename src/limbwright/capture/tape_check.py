"""How a scan compares with the hand measures of a tape sheet."""

from __future__ import annotations

import math

import numpy as np

from limbwright.capture.measure import place
from limbwright.capture.result import LevelMeasure, Measures
from limbwright.capture.tables import (
    SCAN_AGAINST_HAND_MM,
    SCAN_BREADTH_BIAS_MM,
    SCAN_DEPTH_BIAS_MM,
    SCAN_GIRTH_BIAS_MM,
    TAPE_BETWEEN_RATERS_MM,
)
from limbwright.capture.tape import TapeRow, TapeSheet
from limbwright.core.findings import Finding, Severity
from limbwright.core.sources import Basis, Sourced

_SAME_LEVEL_MM = 1e-6
_LEAST_LEVELS = 3
"""Fewer say nothing of the limb as a whole."""


def compare(measures: Measures, tape: TapeSheet) -> tuple[Finding, ...]:
    """Where scan and tape differ by more than is known to happen.

    Parameters
    ----------
    measures : Measures
        Of the scan, at the levels of the tape sheet; levels without a partner are left out.
    tape : TapeSheet

    Returns
    -------
    tuple of Finding
        One for each level that differs, one when all differ the same way, and one that says so
        when nothing does.
    """
    pairs = _pairs(measures, tape)
    if not pairs:
        return ()
    findings = [
        *(_girth_finding(scan, row) for scan, row in pairs if _girth_differs(scan, row)),
        *_width_findings(pairs),
        *_bias_findings(pairs),
    ]
    return tuple(findings) or (_agreement(pairs),)


_Pairs = list[tuple[LevelMeasure, TapeRow]]


def _pairs(measures: Measures, tape: TapeSheet) -> _Pairs:
    return [
        (scan, row)
        for row in tape.rows
        for scan in measures.levels
        if abs(scan.level_mm - row.level_mm) <= _SAME_LEVEL_MM
    ]


def _girth_differs(scan: LevelMeasure, row: TapeRow) -> bool:
    return abs(scan.tape_mm - row.tape_mm) > SCAN_AGAINST_HAND_MM.value


def _girth_finding(scan: LevelMeasure, row: TapeRow) -> Finding:
    difference = scan.tape_mm - row.tape_mm
    raters = TAPE_BETWEEN_RATERS_MM.value
    if abs(difference) > raters:
        remedy, more = "another measure; level, side and what was worn when scanned, checked", ""
    else:
        remedy = "another measure"
        more = f"; two people's tapes may differ by up to {raters:g} mm (from memory)"
    return Finding(
        "capture",
        "girth-differs-from-tape",
        Severity.WARNING,
        f"The scan is {abs(difference):.1f} mm {'larger' if difference > 0 else 'smaller'} around "
        f"than the tape ({scan.tape_mm:.0f} against {row.tape_mm:.0f} mm){more}.",
        where=place(row.level_mm),
        value=difference,
        limit=SCAN_AGAINST_HAND_MM.value,
        unit="mm",
        basis=Basis.MEASURED,
        source=SCAN_AGAINST_HAND_MM.source,
        remedy=remedy,
    )


def _width_findings(pairs: _Pairs) -> list[Finding]:
    ml = [(scan.ml_mm - row.ml_mm, row.level_mm) for scan, row in pairs if row.ml_mm is not None]
    ap = [(scan.ap_mm - row.ap_mm, row.level_mm) for scan, row in pairs if row.ap_mm is not None]
    return [
        *_one_width(ml, "ml-differs", "ML", SCAN_BREADTH_BIAS_MM),
        *_one_width(ap, "ap-differs", "AP", SCAN_DEPTH_BIAS_MM),
    ]


def _one_width(
    differences: list[tuple[float, float]], code: str, name: str, limit: Sourced[float]
) -> list[Finding]:
    return [
        Finding(
            "capture",
            f"{code}-from-tape",
            Severity.WARNING,
            f"{name} of the scan is {abs(difference):.1f} mm "
            f"{'more' if difference > 0 else 'less'} than the hand measure.",
            where=place(level_mm),
            value=difference,
            limit=limit.value,
            unit="mm",
            basis=Basis.MEASURED,
            source=limit.source,
            remedy="another measure, both taken along the same axis",
        )
        for difference, level_mm in differences
        if abs(difference) > limit.value
    ]


def _mean_difference(pairs: _Pairs) -> tuple[float, float]:
    """Mean of scan less tape over the levels, and half of its 95 % range; infinite for few."""
    difference = np.array([scan.tape_mm - row.tape_mm for scan, row in pairs])
    if len(difference) < _LEAST_LEVELS:
        return float(difference.mean()), math.inf
    spread = float(difference.std(ddof=1))
    return float(difference.mean()), 1.96 * spread / math.sqrt(len(difference))


def _agreement(pairs: _Pairs) -> Finding:
    """No level differs; approved when the mean with its 95 % range keeps the standard too."""
    limit = SCAN_AGAINST_HAND_MM
    mean, error = _mean_difference(pairs)
    shown = abs(mean) + error <= SCAN_GIRTH_BIAS_MM.value
    text = f"Scan and tape agree within known variation at all {len(pairs)} levels."
    if not shown:
        text += (
            f" That they agree on the whole, the mean within {SCAN_GIRTH_BIAS_MM.value:g} mm with"
            " 95 % confidence, is not shown."
        )
    return Finding(
        "capture",
        "tape-agrees",
        Severity.OK if shown else Severity.NOTE,
        text,
        value=max(abs(scan.tape_mm - row.tape_mm) for scan, row in pairs),
        limit=limit.value,
        unit="mm",
        basis=Basis.MEASURED,
        source=limit.source,
        remedy="" if shown else "more levels measured",
    )


def _bias_findings(pairs: _Pairs) -> list[Finding]:
    """All levels off the same way: more than the standard allows, with 95 % confidence."""
    mean, error = _mean_difference(pairs)
    limit = SCAN_GIRTH_BIAS_MM
    if abs(mean) - error <= limit.value:
        return []
    return [
        Finding(
            "capture",
            "scan-and-tape-biased",
            Severity.WARNING,
            f"At all levels together the scan is {abs(mean):.1f} mm "
            f"{'larger' if mean > 0 else 'smaller'} around than the tape.",
            value=mean,
            limit=limit.value,
            unit="mm",
            basis=Basis.MEASURED,
            source=limit.source,
            remedy="the time after doffing, the pull on the tape, the scan's unit and whether a"
            " liner was worn, checked",
            entry="capture.unit",
        )
    ]
