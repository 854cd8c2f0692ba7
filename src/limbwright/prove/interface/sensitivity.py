"""What the least certain assumption does to the first estimate: Poisson's ratio of the tissue."""

from __future__ import annotations

from dataclasses import dataclass, replace

from limbwright.align.result import LoadCase
from limbwright.core.errors import NotConverged
from limbwright.couple.result import Seat
from limbwright.prove.interface.reading import largest_patch_kpa, mean_in_contact_kpa
from limbwright.prove.interface.spring_bed import SPRING_BED, Prepared
from limbwright.prove.tables import POISSON_HIGH, TISSUE_POISSON
from limbwright.shape.result import SocketShape


@dataclass(frozen=True, slots=True)
class PoissonSensitivity:
    """One load case with two Poisson's ratios of the tissue.

    Parameters
    ----------
    load_case : str
    used, other : float
        The ratio of the estimate, and the one it is held against.
    mean_kpa, peak_kpa : tuple of 2 floats
        Mean in contact and largest mean over 1 cm², with `used` and with `other`.
    """

    load_case: str
    used: float
    other: float
    mean_kpa: tuple[float, float]
    peak_kpa: tuple[float, float]


def poisson_sensitivity(
    prepared: Prepared, shape: SocketShape, seat: Seat | None, load_case: LoadCase
) -> PoissonSensitivity | None:
    """The same case with the other end of the range of Poisson's ratios in limb models.

    None when the limb has no equilibrium with it.
    """
    used = prepared.assumed.tissue.poisson
    middle = 0.5 * (TISSUE_POISSON.value + POISSON_HIGH.value)
    other = POISSON_HIGH.value if used < middle else TISSUE_POISSON.value
    try:
        first = _read(prepared, shape, seat, load_case)
        second = _read(_with_poisson(prepared, other), shape, seat, load_case)
    except NotConverged:
        return None
    return PoissonSensitivity(
        load_case.name, used, other, (first[0], second[0]), (first[1], second[1])
    )


def _with_poisson(prepared: Prepared, poisson: float) -> Prepared:
    tissue = replace(prepared.assumed.tissue, poisson=poisson)
    return replace(prepared, assumed=replace(prepared.assumed, tissue=tissue))


def _read(
    prepared: Prepared, shape: SocketShape, seat: Seat | None, load_case: LoadCase
) -> tuple[float, float]:
    fitted = SPRING_BED.with_socket(prepared, shape, seat)
    case, _ = SPRING_BED.solve(fitted, load_case)
    pressure = case.pressure_mpa
    return mean_in_contact_kpa(fitted.zones, pressure), largest_patch_kpa(fitted.zones, pressure)
