"""What is said beside every number of interface pressure."""

from __future__ import annotations

from limbwright.core.sources import Basis
from limbwright.core.units import kpa_from_mpa
from limbwright.prove.interface.stiffness import Assumptions

FIRST_ESTIMATE = "first estimate: rigid bones in a rigid socket on a bed of independent springs"

_ENGINES = {
    "spring_bed": "first estimate",
    "live": "live model",
    "fe": "finite elements",
}


def engine_words(name: str) -> str:
    """An engine as a person reads it; one that has no words here by its own name."""
    return _ENGINES.get(name, name)


def label_of(assumed: Assumptions, bones: Basis, model: str = FIRST_ESTIMATE) -> str:
    """One line: model, assumptions with their basis, and that it is not validated."""
    tissue = kpa_from_mpa(assumed.tissue.modulus_mpa)
    liner = kpa_from_mpa(assumed.liner.modulus_mpa)
    worn = (
        f"liner {assumed.liner_thickness_mm:g} mm, {liner:g} kPa {_said(assumed.liner_basis)}"
        if assumed.liner_thickness_mm > 0
        else "no liner"
    )
    return (
        f"{model}; tissue {tissue:g} kPa {_said(assumed.tissue_basis)}, "
        f"Poisson's ratio {assumed.tissue.poisson:g} {_said(assumed.poisson_basis)}, {worn}, "
        f"friction {assumed.friction:g} {_said(assumed.friction_basis)}, "
        f"bones {bones.value}; not validated on people"
    )


def _said(basis: Basis) -> str:
    return f"({basis.value})"
