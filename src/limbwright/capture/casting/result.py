"""A cast as it is to be taken: parts, tape, water, hands, marks and filling."""

from __future__ import annotations

from dataclasses import dataclass

from limbwright.capture.casting.tables import Event
from limbwright.core.findings import Finding


@dataclass(frozen=True, slots=True)
class SealedDummy:
    """The coupling's stand-in during casting, and the ring that seals it to the liner's cap.

    Parameters
    ----------
    body_mm, height_mm : float
    ring_outside_mm, ring_inside_mm, ring_height_mm : float
    exit_mm : float
        Diameter of the exit's dummy; 0 without one.
    exit_words : str
        Where the exit points, in the trade's words with left and right.
    """

    body_mm: float
    height_mm: float
    ring_outside_mm: float
    ring_inside_mm: float
    ring_height_mm: float
    exit_mm: float
    exit_words: str


@dataclass(frozen=True, slots=True)
class Rolls:
    """Rolls of one width: how many the wrap needs, and how many to have open."""

    width_mm: float
    needed: float
    open: int


@dataclass(frozen=True, slots=True)
class Wrap:
    """The wrap.

    Parameters
    ----------
    area_cm2 : float
        Of limb and liner up to the wrap's upper edge.
    upper_mm : float
        That edge over the datum.
    layers : int
    layers_from : str
        Where their number comes from.
    rolls : tuple of Rolls
        The chosen width first, then the usual ones.
    """

    area_cm2: float
    upper_mm: float
    layers: int
    layers_from: str
    rolls: tuple[Rolls, ...]


@dataclass(frozen=True, slots=True)
class Mark:
    """Something to draw on liner or film before the tape goes on.

    Parameters
    ----------
    name : str
    level_mm : float
        Below the datum (negative: above).
    side_words : str
        Where around the limb, with left and right.
    """

    name: str
    level_mm: float
    side_words: str


@dataclass(frozen=True, slots=True)
class Hand:
    """A place to press, or to keep off."""

    name: str
    press: bool
    level_mm: float
    landmark: str


@dataclass(frozen=True, slots=True)
class Filling:
    """How the cast is filled.

    Parameters
    ----------
    volume_ml : float
    powder_kg, water_kg : float
        With the reserve.
    dummy_in_place : bool
    order : tuple of str
        What is done and what must come out, first to last.
    growth_mm : float
        By which the model's largest diameter grows on setting.
    """

    volume_ml: float
    powder_kg: float
    water_kg: float
    dummy_in_place: bool
    order: tuple[str, ...]
    growth_mm: float


@dataclass(frozen=True, slots=True)
class Casting:
    """Everything about the cast.

    Parameters
    ----------
    dummy : SealedDummy or None
        None without a coupling body.
    film : bool
    film_girth_mm : float
        By which the film enlarges a girth.
    wrap : Wrap
    water_c : float
    events : tuple of Event
    hands : tuple of Hand
    marks : tuple of Mark
    filling : Filling
    findings : tuple of Finding
    """

    dummy: SealedDummy | None
    film: bool
    film_girth_mm: float
    wrap: Wrap
    water_c: float
    events: tuple[Event, ...]
    hands: tuple[Hand, ...]
    marks: tuple[Mark, ...]
    filling: Filling
    findings: tuple[Finding, ...]
