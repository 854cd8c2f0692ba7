"""What a suspension holds along its axis, by its kind."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from limbwright.core.slicing import slice_moments
from limbwright.core.sources import Basis, Source
from limbwright.couple.figures import (
    CouplingFigures,
    Figure,
    coupling_figures,
    disc_overlap,
)
from limbwright.couple.plan import CouplingKind, CouplingPlan
from limbwright.prove.plan import SuspensionPlan
from limbwright.prove.suspension_tables import (
    MAGNET_BENCH_N,
    MAGNET_REACH_MM,
    SEAL_DEPTH_SHARE,
    SEAL_PRESSURE_KPA,
)
from limbwright.shape.result import SocketShape

SEALED = frozenset(SEAL_PRESSURE_KPA)


@dataclass(frozen=True, slots=True)
class Holding:
    """What the suspension holds along its axis.

    Parameters
    ----------
    force_n : float or None
        None where no figure is established.
    at_least : bool
        True when it may hold more: that much is known, or stands at a level nobody stated.
    basis : Basis
    source : Source or None
    says : str
    most_n : float or None
        The most that it may hold as far as is known: before what gap, offset and tilt are guessed
        to take away, and for a magnet by default as much as one was pulled off at. None where no
        most is known.
    """

    force_n: float | None
    at_least: bool
    basis: Basis
    source: Source | None
    says: str
    most_n: float | None = None


@dataclass(frozen=True, slots=True)
class Misfit:
    """How the liner's target stands on the coupling in swing."""

    tilt_deg: float
    offset_mm: float


def holding(
    plan: CouplingPlan,
    shape: SocketShape,
    suspension: SuspensionPlan | None = None,
    misfit: Misfit | None = None,
) -> Holding:
    """What the suspension holds: as its maker states, else the marked default of its kind.

    For suction and vacuum the default is pressure times section, at most the bench figure; a
    magnet's is cut by gap, offset and tilt. A second suspension is credited where it is the
    stronger; how two share a pull is not known, so they are never added.

    Parameters
    ----------
    plan : CouplingPlan
    shape : SocketShape
        Its section carries the pressure of a seal.
    suspension : SuspensionPlan, optional
    misfit : Misfit, optional
        From the pressure model's swing pose; a target that sits true when not given.
    """
    known = suspension if suspension is not None else SuspensionPlan()
    first = _of_kind(plan, shape, known, misfit)
    if known.second is None or known.second is plan.kind:
        return first
    other = CouplingPlan(kind=known.second, capacity_n=known.second_capacity_n)
    second = _of_kind(other, shape, known, None)
    return _stronger(plan.kind, first, known.second, second)


def seal_force_n(pressure_kpa: float, section_mm2: float) -> float:
    """Force that a pressure difference over a section holds, N."""
    return pressure_kpa / 1000.0 * section_mm2


def round_section_mm2(girth_mm: float) -> float:
    """Area inside a girth if it were round, C²/4π: the most that it can enclose, mm²."""
    return girth_mm**2 / (4.0 * math.pi)


def magnet_share(
    gap_mm: float, offset_mm: float, tilt_deg: float, figures: CouplingFigures
) -> float:
    """Part of its force that a magnet keeps over a gap, shifted aside and tilted.

    1/(1 + g/g₀)² for the gap, to which a tilt beyond the tolerated one adds half of what it opens
    at the edge, D/2·tan; and the common part of two discs for an offset, counted from what is
    tolerated. A target that is known not to seat itself is tolerated no tilt.

    Parameters
    ----------
    gap_mm, offset_mm, tilt_deg : float
    figures : CouplingFigures
    """
    diameter = figures.target_diameter_mm.value
    tolerated = figures.tolerance_tilt_deg.value or 0.0
    if figures.self_seating is False:
        tolerated = 0.0
    beyond = math.radians(min(max(tilt_deg - tolerated, 0.0), 80.0))
    width = diameter if diameter is not None else figures.body_diameter_mm
    whole_gap = gap_mm + 0.5 * width * math.tan(beyond)
    over_gap = 1.0 / (1.0 + whole_gap / MAGNET_REACH_MM.value) ** 2
    shared, allowed = (
        disc_overlap(aside, width)
        for aside in (offset_mm, figures.tolerance_offset_mm.value or 0.0)
    )
    # not divided by what may be nothing: a maker may tolerate more than the target is wide
    return over_gap if shared >= allowed else over_gap * shared / allowed


def seal_level_mm(shape: SocketShape, plan: SuspensionPlan) -> tuple[float, Basis]:
    """Where a seal stands, mm below the datum: as stated, else half-way to the socket's end."""
    if plan.seal_level_mm is not None:
        return plan.seal_level_mm, Basis.GIVEN
    return -SEAL_DEPTH_SHARE.value * float(shape.surface.vertices[:, 2].min()), Basis.DEFAULT


def seal_section_mm2(shape: SocketShape, plan: SuspensionPlan) -> float:
    """Section that a seal's pressure acts on; 0 where the level misses the socket."""
    level_mm, _ = seal_level_mm(shape, plan)
    return float(slice_moments(shape.surface, np.array([-level_mm])).area_mm2[0])


def _of_kind(
    plan: CouplingPlan, shape: SocketShape, known: SuspensionPlan, misfit: Misfit | None
) -> Holding:
    figures = coupling_figures(plan)
    figure, kind = figures.capacity_n, plan.kind
    if kind is CouplingKind.MAGNET and figure.value is not None:
        return _magnet(_plain(figure, kind), figures, known, misfit)
    if figure.basis is Basis.GIVEN or kind not in SEALED:
        return _plain(figure, kind)
    return _sealed(kind, figure, shape, known)


def _plain(figure: Figure, kind: CouplingKind) -> Holding:
    if figure.value is None:
        says = (
            f"no holding force of a {kind.value} is established; enter what its maker states, or"
            " pull it with a spring balance"
        )
        return Holding(None, False, Basis.DEFAULT, None, says)
    if figure.basis is Basis.GIVEN:
        says = f"{figure.value:g} N as entered for the {kind.value}"
    else:
        says = f"{figure.value:.1f} N by default for a {kind.value}{_BENCH.get(kind, _AT_FAILURE)}"
        says += "; enter what its maker states"
    stands_in = kind is CouplingKind.MAGNET and figure.basis is not Basis.GIVEN
    most_n = max(figure.value, MAGNET_BENCH_N.value) if stands_in else figure.value
    return Holding(figure.value, False, figure.basis, figure.source, says, most_n)


_AT_FAILURE = ", at which such suspensions failed on the bench: no working load"
_BENCH = {
    CouplingKind.MAGNET: f" (one was pulled off at {MAGNET_BENCH_N.value:.0f} N on the bench)",
    CouplingKind.STRAP: (
        f"{_AT_FAILURE} (a hook-and-loop strap at the liner's end, not a cuff above the knee)"
    ),
}


def _magnet(
    hold: Holding, figures: CouplingFigures, known: SuspensionPlan, misfit: Misfit | None
) -> Holding:
    gap_mm = known.magnet_gap_mm or 0.0
    tilt, offset = (misfit.tilt_deg, misfit.offset_mm) if misfit is not None else (0.0, 0.0)
    share = magnet_share(gap_mm, offset, tilt, figures)
    if share >= 1.0 or hold.force_n is None:
        return hold
    left = share * hold.force_n
    says = (
        f"{hold.says}; of that about {left:.0f} N over a gap of {gap_mm:g} mm, {offset:.1f} mm"
        f" aside and tilted by {tilt:.1f} degrees in swing, by a rule of thumb"
    )
    return replace(hold, force_n=left, basis=Basis.DEFAULT, says=says)


def _sealed(
    kind: CouplingKind, bench: Figure, shape: SocketShape, known: SuspensionPlan
) -> Holding:
    default = SEAL_PRESSURE_KPA[kind]
    stated = known.pressure_kpa
    pressure_kpa = stated if stated is not None else default.value
    level_mm, where = seal_level_mm(shape, known)
    force = seal_force_n(pressure_kpa, seal_section_mm2(shape, known))
    assumed = " where the seal is assumed;" if where is Basis.DEFAULT else " where the seal stands;"
    if stated is None and bench.value is not None and bench.value < force:
        says = (
            f"{bench.value:.0f} N on the bench, less than pressure times section; enter what yours"
            " holds"
        )
        return Holding(bench.value, False, Basis.DEFAULT, bench.source, says, bench.value)
    by = "that the gauge reads" if stated is not None else "measured in swing by others"
    says = (
        f"{force:.0f} N from {pressure_kpa:g} kPa ({by}) on the section {level_mm:.0f} mm below the"
        f" datum,{assumed} it holds at least that while it stays airtight, so enter what yours"
        " holds"
    )
    basis = Basis.GIVEN if stated is not None and where is Basis.GIVEN else Basis.DEFAULT
    least = basis is Basis.DEFAULT
    return Holding(force, least, basis, default.source, says, None if least else force)


def _stronger(kind: CouplingKind, first: Holding, other: CouplingKind, second: Holding) -> Holding:
    """The stronger of two; the weaker is named as what is left when the stronger lets go."""
    better, worse = first, second
    names = (kind.value, other.value)
    if (second.force_n or 0.0) > (first.force_n or 0.0):
        better, worse, names = second, first, (other.value, kind.value)
    if better.force_n is None:
        return replace(better, says=f"{first.says}; {second.says}")
    mosts = (better.most_n, worse.most_n)
    most_n = None if None in mosts else max(most for most in mosts if most is not None)
    left = "an unknown force" if worse.force_n is None else f"{worse.force_n:.0f} N"
    says = (
        f"{better.says}. The {names[0]} alone is credited, since how two share a pull is not known;"
        f" if it lets go, the {names[1]} is left with {left}"
    )
    return replace(better, says=says, most_n=most_n)
