"""What a practitioner reads from interface pressure: places, bands, contact, what if."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from limbwright.core.sources import Basis, Source


@dataclass(frozen=True, slots=True)
class CaseReading:
    """What one place carries in one load case.

    Parameters
    ----------
    load_case : str
    mean_kpa : float
        Over the place, as far as the socket covers it.
    peak_kpa : float
        Largest mean over any 1 cm2 in it.
    share : float or None
        Peak as a share of the limit; None without one.
    mean_band_kpa, peak_band_kpa : tuple of 2 floats or None
        One standard deviation of what is uncertain to either side; None when not computed.
    """

    load_case: str
    mean_kpa: float
    peak_kpa: float
    share: float | None
    mean_band_kpa: tuple[float, float] | None = None
    peak_band_kpa: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class PlaceReading:
    """What one area of the socket or one place of the limb carries in every load case.

    Parameters
    ----------
    place : str
        Area, part of the wall, or anatomical place.
    kind : str
        "load area", "relief area", "wall", "distal end" or "place" (about a landmark).
    surface_cm2 : float
    covered_share : float
        Share of it that the socket covers.
    limit_kpa : float or None
    limit_source : Source or None
    basis : Basis
        The weakest of what it rests on: landmark, bones, figures of tissue, liner and friction.
    cases : tuple of CaseReading
    """

    place: str
    kind: str
    surface_cm2: float
    covered_share: float
    limit_kpa: float | None
    limit_source: Source | None
    basis: Basis
    cases: tuple[CaseReading, ...]


@dataclass(frozen=True, slots=True)
class CarriedPart:
    """What one part of the socket carries: force along the limb, and percent of the whole."""

    part: str
    force_n: float
    percent: float


@dataclass(frozen=True, slots=True)
class Carried:
    """Who carries a load case, along the limb's long axis.

    Parameters
    ----------
    load_case : str
    total_n : float
        Contact's force on the limb along it, up.
    load_n : float
        Size of contact's whole force: the load leans against the limb.
    parts : tuple of CarriedPart
        Pressure of the areas and of the rest of the wall, the distal end by pressure and friction
        together, and friction of all but the distal end: they add up to the total.
    basis : Basis
    """

    load_case: str
    total_n: float
    load_n: float
    parts: tuple[CarriedPart, ...]
    basis: Basis


@dataclass(frozen=True, slots=True)
class ContactReading:
    """Where contact is missing or crowded in one load case.

    Parameters
    ----------
    load_case : str
    end_contact_share : float
        Share of the distal end's surface in contact.
    end_gap_mm : tuple of 2 floats or None
        Least and mean gap between the worn liner's cap (the skin without one) and the socket over
        the part of the distal end without contact; None where all of it touches.
    brim_ratio : float or None
        Mean pressure in contact within `BRIM_STRIP_MM` of the trim line, over that of the rest.
    brim_peak_kpa : float
        Largest mean over 1 cm2 in that strip.
    brim_height_mm, brim_angle_deg : float or None
        Where it is: above the mid-patellar tendon, from outward, anti-clockwise from above.
    basis : Basis
    """

    load_case: str
    end_contact_share: float
    end_gap_mm: tuple[float, float] | None
    brim_ratio: float | None
    brim_peak_kpa: float
    brim_height_mm: float | None
    brim_angle_deg: float | None
    basis: Basis


@dataclass(frozen=True, slots=True)
class Influence:
    """What one uncertainty does to pressure.

    Parameters
    ----------
    name : str
    tried : str
        What was computed with what, in words.
    typical_percent : tuple of 2 floats
        Change of area means, down and up: root mean square over areas and load cases.
    worst_area, worst_case : str
        Area and load case in which a mean changes most, and by how much.
    worst_percent : float
    basis : Basis
    source : Source
    """

    name: str
    tried: str
    typical_percent: tuple[float, float]
    worst_area: str
    worst_case: str
    worst_percent: float
    basis: Basis
    source: Source


@dataclass(frozen=True, slots=True)
class Uncertainty:
    """What the bands rest on.

    Parameters
    ----------
    engine : str
        Engine that the relative band was computed with.
    text : str
        What the band is, in one or two sentences.
    influences : tuple of Influence
        The most influential first.
    left_out : tuple of str
        What could not be computed, and why.
    """

    engine: str
    text: str
    influences: tuple[Influence, ...]
    left_out: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WhatIf:
    """The standing load with a limb that has changed.

    Parameters
    ----------
    name : str
        "volume loss 3 %", "1-ply sock".
    load_case : str
    held : bool
        False when the limb finds no equilibrium; the numbers are then None.
    socket_mm : float
        How much nearer (negative) or farther the wall stands all round.
    sinks_mm : float or None
        Change of the limb's depth; positive sinks.
    mean_kpa, peak_kpa : float or None
        Mean in contact and largest mean over 1 cm2 of the whole socket.
    distal_end_n : float or None
        Force of the distal end along the limb.
    most_changed : str
        Area whose mean changes most, and by how much.
    most_changed_kpa : float or None
    basis : Basis
    source : Source
        Of the volume or thickness.
    text : str
    """

    name: str
    load_case: str
    held: bool
    socket_mm: float
    sinks_mm: float | None
    mean_kpa: float | None
    peak_kpa: float | None
    distal_end_n: float | None
    most_changed: str
    most_changed_kpa: float | None
    basis: Basis
    source: Source
    text: str


@dataclass(frozen=True, slots=True)
class PressurePair:
    """One area in one load case, computed twice.

    Parameters
    ----------
    area, load_case : str
    mean_kpa, peak_kpa : tuple of 2 floats
        The first and the second.
    mean_change_kpa, peak_change_kpa : float
        Second less first.
    mean_change_percent : float or None
        Of the first; None where it is nothing.
    """

    area: str
    load_case: str
    mean_kpa: tuple[float, float]
    peak_kpa: tuple[float, float]
    mean_change_kpa: float
    peak_change_kpa: float
    mean_change_percent: float | None


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two results side by side: two engines, or two revisions.

    Parameters
    ----------
    first, second : str
        What they are.
    pairs : tuple of PressurePair
        Areas and load cases that both have.
    rank_correlation : mapping of load case to float
        Of area means (Spearman); only cases with at least 3 areas.
    median_percent : float or None
        Median size of the change of area means that are not nothing.
    shift_mm, turn_deg : mapping of load case to float
        How far the limb stands apart in the two.
    basis : Basis
        The weakest of what either rests on.
    text : str
    """

    first: str
    second: str
    pairs: tuple[PressurePair, ...]
    rank_correlation: Mapping[str, float]
    median_percent: float | None
    shift_mm: Mapping[str, float]
    turn_deg: Mapping[str, float]
    basis: Basis
    text: str


@dataclass(frozen=True, slots=True)
class DepthMove:
    """A change of one load area's depth; negative presses in farther."""

    area: str
    from_mm: float
    change_mm: float


@dataclass(frozen=True, slots=True)
class BalanceAnswer:
    """Which change of depth would balance the donned limb.

    Parameters
    ----------
    moves : tuple of DepthMove
        The least number of areas that does it; the best that was found when none suffices.
    suffices : bool
    shift_mm, turn_deg : float
        How far the donned limb is still pushed across and turned with it, computed.
    basis : Basis
    text : str
    """

    moves: tuple[DepthMove, ...]
    suffices: bool
    shift_mm: float
    turn_deg: float
    basis: Basis
    text: str


@dataclass(frozen=True, slots=True)
class AgainstMeasured:
    """One figure beside what was measured in sockets."""

    what: str
    value: float
    unit: str
    low: float
    high: float
    within: bool
    basis: Basis
    source: Source
