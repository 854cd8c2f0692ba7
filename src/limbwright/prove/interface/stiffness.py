"""How stiff tissue and liner are between bone and socket wall."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from limbwright.assess.plan import Liner, LinerMaterial
from limbwright.core.mesh import Scalars
from limbwright.core.sources import Basis
from limbwright.prove.plan import TissuePlan
from limbwright.prove.tables import (
    FRICTION,
    LINER_MODULUS_KPA,
    LINER_POISSON,
    THINNEST_COVER_MM,
    TISSUE_MODULUS_KPA,
    TISSUE_POISSON,
)

_MPA_PER_KPA = 1e-3


@dataclass(frozen=True, slots=True)
class Elastic:
    """Young's modulus and Poisson's ratio of a layer."""

    modulus_mpa: float
    poisson: float


@dataclass(frozen=True, slots=True)
class Assumptions:
    """What a first estimate takes for granted about tissue, liner and friction.

    Parameters
    ----------
    tissue, liner : Elastic
    liner_thickness_mm : float
        0 when no liner is worn.
    friction : float
    tissue_basis, poisson_basis, liner_basis, friction_basis : Basis
        GIVEN by the practitioner or DEFAULT.
    """

    tissue: Elastic
    liner: Elastic
    liner_thickness_mm: float
    friction: float
    tissue_basis: Basis
    poisson_basis: Basis
    liner_basis: Basis
    friction_basis: Basis


@dataclass(frozen=True, slots=True, eq=False)
class Stiffness:
    """Stiffness of the bed at each place, MPa per mm.

    Parameters
    ----------
    normal, along : (n,) float64, MPa/mm
        Against pressing in, and against shearing along the surface.
    """

    normal: Scalars
    along: Scalars


def assumptions_of(liner: Liner, tissue: TissuePlan) -> Assumptions:
    """Figures as given, and marked defaults for the rest."""
    material = liner.material
    worn = material is not LinerMaterial.NONE and liner.thickness_mm > 0
    default_liner = LINER_MODULUS_KPA.get(material, TISSUE_MODULUS_KPA)
    return Assumptions(
        tissue=Elastic(
            _MPA_PER_KPA * _or(tissue.modulus_kpa, TISSUE_MODULUS_KPA.value),
            _or(tissue.poisson, TISSUE_POISSON.value),
        ),
        liner=Elastic(
            _MPA_PER_KPA * _or(liner.modulus_kpa, default_liner.value), LINER_POISSON.value
        ),
        liner_thickness_mm=liner.thickness_mm if worn else 0.0,
        friction=_or(liner.friction, FRICTION[material].value),
        tissue_basis=_basis(tissue.modulus_kpa),
        poisson_basis=_basis(tissue.poisson),
        liner_basis=_basis(liner.modulus_kpa),
        friction_basis=_basis(liner.friction),
    )


def confined_modulus_mpa(layer: Elastic) -> float:
    """Stiffness of a thin layer that cannot flow aside, M = E(1 − ν) / ((1 + ν)(1 − 2ν)).

    Uniaxial strain of an isotropic linear body (Timoshenko and Goodier 1970, Theory of
    Elasticity, section 6).

    Examples
    --------
    >>> round(confined_modulus_mpa(Elastic(0.2, 0.45)), 4)
    0.7586
    """
    nu = layer.poisson
    return layer.modulus_mpa * (1 - nu) / ((1 + nu) * (1 - 2 * nu))


def shear_modulus_mpa(layer: Elastic) -> float:
    """Stiffness of a layer against shear, G = E / (2(1 + ν))."""
    return layer.modulus_mpa / (2 * (1 + layer.poisson))


def bed_stiffness(assumed: Assumptions, cover_mm: Scalars, liner_mm: Scalars) -> Stiffness:
    """Tissue over bone and the liner on it, as springs in series.

    Parameters
    ----------
    assumed : Assumptions
    cover_mm : (n,) float64, mm
        Tissue between skin and nearest bone; thinner than skin alone is taken as skin.
    liner_mm : (n,) float64, mm
        Thickness of the liner at each place, 0 where there is none.
    """
    tissue_mm = np.maximum(cover_mm, THINNEST_COVER_MM.value)
    tissue, liner = assumed.tissue, assumed.liner
    yield_normal = tissue_mm / confined_modulus_mpa(tissue) + liner_mm / confined_modulus_mpa(liner)
    yield_along = tissue_mm / shear_modulus_mpa(tissue) + liner_mm / shear_modulus_mpa(liner)
    return Stiffness(1.0 / yield_normal, 1.0 / yield_along)


def _or(given: float | None, default: float) -> float:
    return default if given is None else given


def _basis(given: float | None) -> Basis:
    return Basis.DEFAULT if given is None else Basis.GIVEN
