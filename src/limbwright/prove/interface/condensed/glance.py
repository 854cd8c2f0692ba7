"""A first look at an edit: the same equations, searched from where the last look ended.

An edit changes little, so the search begins next to what it will find: where the last look ended,
moved as what was found just before has moved since. What a look finds is shown until the whole
evaluation replaces it and is kept nowhere else: a result on record starts from the same place
whatever was tried before it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from limbwright.align.result import LoadCase
from limbwright.prove.interface.condensed.equilibrium import Stand, remember, yielded
from limbwright.prove.interface.condensed.live import (
    LiveFitted,
    LiveState,
    carry,
    case_of,
    seat_limb,
)
from limbwright.prove.interface.engine import unloaded
from limbwright.prove.result import CasePressure

SEEN = 4e-4
"""Unbalanced share at which a look ends. What is read of areas stays within 1 % of the peak: single
places at the verge of sliding differ more, also where the search goes on."""


@dataclass(frozen=True, slots=True, eq=False)
class Glance:
    """Where the last look ended.

    Parameters
    ----------
    seated, donned, loaded : Stand
    load_case : str
        What it was loaded with.
    """

    seated: Stand
    donned: Stand
    loaded: Stand
    load_case: str


def glance(
    fitted: LiveFitted, load_case: LoadCase, last: Glance | None
) -> tuple[CasePressure, Glance]:
    """Pressure of one load case against a socket that differs little from the last one.

    Parameters
    ----------
    fitted : LiveFitted
    load_case : LoadCase
    last : Glance or None
        Of the same limb; what was covered by another trim line begins anew.

    Raises
    ------
    NotConverged
        When contact cannot carry it.
    """
    near = last if last is not None and _fits(fitted, last) else None
    begun = begun_at(fitted, near.seated, 0.0) if near else None
    seated = seat_limb(fitted, begun, SEEN)
    if near is not None:
        begun = begun_at(fitted, _moved_as(near.donned, near.seated, seated.stand), 0.0)
    found = carry(fitted, unloaded(), seated, begun, SEEN)
    donned = LiveState(found.stand, remember(found), 0.0)
    begun = None
    if near is not None and near.load_case == load_case.name:
        moved = _moved_as(near.loaded, near.donned, donned.stand)
        begun = begun_at(fitted, moved, load_case.coupling_pull_n)
    loaded = carry(fitted, load_case, donned, begun, SEEN)
    seen = Glance(seated.stand, donned.stand, loaded.stand, load_case.name)
    return case_of(fitted, load_case.name, loaded), seen


def _fits(fitted: LiveFitted, last: Glance) -> bool:
    return len(last.seated.traction_mpa) == len(fitted.contact.points_mm)


def _moved_as(stand: Stand, before: Stand, after: Stand) -> Stand:
    """A stand with the change that another went through."""
    return replace(
        stand,
        shift_mm=stand.shift_mm + after.shift_mm - before.shift_mm,
        rotation=after.rotation @ before.rotation.T @ stand.rotation,
        traction_mpa=stand.traction_mpa + after.traction_mpa - before.traction_mpa,
    )


def begun_at(fitted: LiveFitted, stand: Stand, pull_n: float) -> Stand:
    """A stand with the tractions of another socket, and what this limb yields to them here."""
    contact = fitted.contact
    force = stand.traction_mpa * contact.weights_mm2[:, None] + pull_n * fitted.pull
    return Stand(stand.shift_mm, stand.rotation, stand.traction_mpa, yielded(contact, force))
