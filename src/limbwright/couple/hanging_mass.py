"""Mass of all that hangs on the suspension: the one figure that loads and proof go by."""

from __future__ import annotations

from dataclasses import dataclass

from limbwright.core.sources import Basis
from limbwright.couple.in_hand import WORN, parts_named
from limbwright.couple.plan import PartsPlan
from limbwright.couple.tables import PART_MASS_KG, PROSTHESIS_MASS_KG, SOCKET_MASS_KG


@dataclass(frozen=True, slots=True)
class HangingMass:
    """The prosthesis with its shoe; the liner stays on the limb.

    Parameters
    ----------
    kg : float
    sure_kg : float
        The least that it can be by what is stated: as weighed, else what the named parts weigh by
        the entries of their own in the catalogue.
    basis : Basis
        GIVEN when weighed, else DEFAULT.
    says : str
        How it came about.
    """

    kg: float
    sure_kg: float
    basis: Basis
    says: str


def hanging_mass(parts: PartsPlan) -> HangingMass:
    """Mass of the prosthesis with its shoe: as weighed, else summed, else a marked default.

    The sum takes the catalogue's entries, for those that do not say a usual mass, a usual socket
    and the shoe. A tube's mass is that of the uncut length. Without any entry the default of a
    whole prosthesis stands in.
    """
    if parts.prosthesis_mass_kg is not None:
        return HangingMass(parts.prosthesis_mass_kg, parts.prosthesis_mass_kg, Basis.GIVEN, WEIGHED)
    named = parts_named(parts)
    masses = {role: named[role].mass_kg for role in WORN if role in named}
    known = [mass for mass in masses.values() if mass is not None]
    if not known:
        whole = PROSTHESIS_MASS_KG.value + parts.shoe_mass_kg
        return HangingMass(whole, 0.0, Basis.DEFAULT, f"by default; {WEIGH}")
    summed = sum(known)
    assumed = sum(PART_MASS_KG.value.get(r, 0.0) for r in WORN if masses.get(r) is None)
    plural = "s" if len(known) > 1 else ""
    return HangingMass(
        summed + assumed + SOCKET_MASS_KG.value + parts.shoe_mass_kg,
        sum(mass for r, mass in masses.items() if mass is not None and not named[r].example),
        Basis.DEFAULT,
        f"{summed:.2f} kg of {len(known)} part{plural} of the catalogue, the rest and the socket by"
        f" usual masses; {WEIGH}",
    )


WEIGHED = "as weighed"
WEIGH = "weigh the leg"
