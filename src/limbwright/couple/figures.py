"""The figures a coupling is judged by: what the case states, else the marked defaults."""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.optimize import brentq

from limbwright.core.sources import Basis, Source, Sourced
from limbwright.couple.in_hand import entry_of
from limbwright.couple.plan import CouplingKind, CouplingPlan, PartsPlan
from limbwright.couple.tables import COUPLINGS, OVERLAP_WANTED


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of a part.

    Parameters
    ----------
    value : float or None
        None where nothing is established.
    basis : Basis
        GIVEN when the case or an entry of the catalogue states it, else DEFAULT.
    source : Source or None
        Of a default, or the catalogue's entry.
    """

    value: float | None
    basis: Basis
    source: Source | None


@dataclass(frozen=True, slots=True)
class CouplingFigures:
    """All figures of the coupling in hand.

    Parameters
    ----------
    body_diameter_mm, body_height_mm : float
    body_basis : Basis
        Of the body's height.
    target_diameter_mm, tolerance_tilt_deg, tolerance_offset_mm, capacity_n : Figure
    self_seating : bool or None
        Whether the target swivels or is guided onto the face; None when not known.
    """

    body_diameter_mm: float
    body_height_mm: float
    body_basis: Basis
    target_diameter_mm: Figure
    tolerance_tilt_deg: Figure
    tolerance_offset_mm: Figure
    capacity_n: Figure
    self_seating: bool | None = None


def coupling_figures(plan: CouplingPlan) -> CouplingFigures:
    """Figures of the coupling: of the case or its catalogue entry, else the kind's defaults."""
    table = COUPLINGS[plan.kind]
    target = _figure(plan, "target_diameter_mm", table.target_diameter_mm)
    offset = _figure(plan, "tolerance_offset_mm", table.tolerance_offset_mm)
    if plan.kind is CouplingKind.MAGNET and offset.value is None and target.value is not None:
        limit = offset_for_overlap_mm(target.value, OVERLAP_WANTED.value)
        offset = Figure(limit, Basis.DEFAULT, OVERLAP_WANTED.source)
    tilt = _figure(plan, "tolerance_tilt_deg", table.tolerance_tilt_deg)
    if plan.self_seating is False and tilt.basis is Basis.DEFAULT:
        # common practice's tilt is of targets that seat themselves
        tilt = Figure(None, Basis.DEFAULT, None)
    diameter, height = plan.body_diameter_mm, plan.body_height_mm
    return CouplingFigures(
        diameter if diameter is not None else table.body_diameter_mm.value,
        height if height is not None else table.body_height_mm.value,
        basis_of(plan, "body_height_mm"),
        target,
        tilt,
        offset,
        _figure(plan, "capacity_n", table.capacity_n),
        plan.self_seating,
    )


def basis_of(plan: CouplingPlan | PartsPlan, figure: str) -> Basis:
    """What a figure of a plan rests on; an invented example entry counts as a default."""
    entry = entry_of(plan, figure)
    if entry is not None:
        return entry.basis
    return Basis.DEFAULT if getattr(plan, figure) is None else Basis.GIVEN


def disc_overlap(offset_mm: float, diameter_mm: float) -> float:
    """Share of a round target's face that stays on an equal face when shifted sideways.

    (2/π)·[acos x − x·√(1 − x²)] with x = offset / diameter: the common part of two equal circles.
    """
    x = min(abs(offset_mm) / diameter_mm, 1.0)
    return 2.0 / math.pi * (math.acos(x) - x * math.sqrt(1.0 - x * x))


def offset_for_overlap_mm(diameter_mm: float, share: float) -> float:
    """Sideways shift at which two equal discs still share the given part of their face."""
    return float(
        brentq(lambda x: disc_overlap(x, diameter_mm) - share, 0.0, diameter_mm, xtol=1e-9)
    )


def _figure(plan: CouplingPlan, name: str, default: Sourced[float] | None) -> Figure:
    entry, stated = entry_of(plan, name), getattr(plan, name)
    if entry is not None:
        return Figure(stated, entry.basis, entry.source)
    if stated is not None:
        return Figure(stated, Basis.GIVEN, None)
    if default is None:
        return Figure(None, Basis.DEFAULT, None)
    return Figure(default.value, Basis.DEFAULT, default.source)
