"""Mass of all that hangs on the suspension."""

from __future__ import annotations

from limbwright.align.swing import prosthesis_mass_kg
from limbwright.core.sources import Basis
from limbwright.couple.in_hand import named_mass_kg, named_parts
from limbwright.couple.plan import CouplePlan
from limbwright.prove.suspension_tables import PART_MASS_KG, SOCKET_MASS_KG


def hanging_mass_kg(plan: CouplePlan) -> tuple[float, Basis, str]:
    """Mass, what it rests on, and how it came about: as weighed, else the sum of the parts.

    The sum takes the catalogue's entries, for those that do not say a usual mass, a usual socket
    and the shoe; without any entry the default of a whole prosthesis stands in. The liner stays on
    the limb and does not hang on the suspension.

    Parameters
    ----------
    plan : CouplePlan
    """
    weighed = plan.parts.prosthesis_mass_kg
    if weighed is not None:
        return weighed, Basis.GIVEN, "as weighed"
    summed, missing = named_mass_kg(plan)
    if summed == 0.0:
        mass, basis = prosthesis_mass_kg(plan.parts)
        return mass, basis, "by default; weigh the leg"
    assumed = sum(PART_MASS_KG.value.get(role, 0.0) for role in missing)
    mass = summed + assumed + SOCKET_MASS_KG.value + plan.parts.shoe_mass_kg
    count = len(named_parts(plan)) - len([role for role in missing if role in named_parts(plan)])
    says = (
        f"{summed:.2f} kg of {count} parts of the catalogue, the rest and the socket by usual"
        " masses; weigh the leg"
    )
    return mass, Basis.DEFAULT, says
