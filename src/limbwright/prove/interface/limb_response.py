"""How a limb's pressures respond to what is uncertain, in one reference socket, once per limb.

Where a limb takes seconds to prepare, an uncertain figure is not tried anew for every shape: its
effect is a ratio, and that is taken from the limb's own default socket, donned and under one load.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.align.result import LoadCase, Wrench
from limbwright.core.errors import LimbwrightError
from limbwright.core.mesh import Scalars
from limbwright.core.sources import Basis
from limbwright.core.telling import Tell, silent
from limbwright.core.units import kpa_from_mpa
from limbwright.prove.interface.engine import DONNED, Attempt, attempt_all
from limbwright.prove.interface.places import Place
from limbwright.prove.interface.reading import ZoneMap, peak_kpa
from limbwright.prove.interface.readings import AREA, PLACE, Key
from limbwright.prove.interface.setting import Setting, attempt_with
from limbwright.prove.interface.variations import Variation
from limbwright.prove.tables import REFERENCE_LOAD_N

_LOADED = "loaded"


@dataclass(frozen=True, slots=True, eq=False)
class LimbResponse:
    """Pressure fields in the reference socket: the limb as it is, then each variation.

    Parameters
    ----------
    donned_mpa, loaded_mpa : (1 + v, n) float32
        Per vertex of `Limb.surface`.
    covered : (n,) bool
        What the reference socket covers.
    refused : tuple of str
        Why a variation has no field; "" where it has one.
    """

    donned_mpa: NDArray[np.float32]
    loaded_mpa: NDArray[np.float32]
    covered: NDArray[np.bool_]
    refused: tuple[str, ...]


def limb_response(
    setting: Setting, found: tuple[Variation, ...], tell: Tell = silent
) -> LimbResponse:
    """Compute the limb as it is and every variation of it, donned and loaded.

    Parameters
    ----------
    setting : Setting
        Its shape is the reference socket; its load cases are `reference_load`.
    found : tuple of Variation
    tell : callable, optional

    Raises
    ------
    NotConverged
        When the limb as it is has no equilibrium in the reference socket.
    """
    fitted = setting.engine.with_socket(setting.prepared, setting.shape, setting.seat)
    base = attempt_all(setting.engine, fitted, setting.load_cases)
    if base.refused:
        raise base.refused[0]
    attempts: list[Attempt | str] = [base]
    for number, variation in enumerate(found):
        tell(f"with {variation.tried}", number / len(found))
        try:
            attempt, _ = attempt_with(setting, variation.limb, variation.liner, variation.plan)
            attempts.append(attempt.refused[0].message if attempt.refused else attempt)
        except LimbwrightError as error:
            attempts.append(error.message)
    return LimbResponse(
        _fields(attempts, DONNED),
        _fields(attempts, _LOADED),
        fitted.zones.covered,
        tuple(one if isinstance(one, str) else "" for one in attempts),
    )


def reference_load() -> LoadCase:
    """An even load along the limb's axis."""
    wrench = Wrench(np.array([0.0, 0.0, REFERENCE_LOAD_N.value]), np.zeros(3))
    return LoadCase(_LOADED, wrench, 0.0, Basis.GIVEN, "Along the limb's axis, for comparison.")


def response_pressures(
    response: LimbResponse,
    number: int,
    zones: ZoneMap,
    places: tuple[Place, ...],
    load_cases: tuple[str, ...],
) -> dict[Key, tuple[float, float]]:
    """Mean and peak (kPa) that one field of the response has in the zones of any other socket.

    Parameters
    ----------
    response : LimbResponse
    number : int
        0 for the limb as it is, then the variations.
    zones : ZoneMap
    places : tuple of Place
    load_cases : tuple of str
        Donned is read from the donned field, every other from the loaded one.
    """
    parts = [(AREA, zone.name, zone.inside, zone.border) for zone in zones.zones]
    parts += [(PLACE, place.name, place.inside, place.border) for place in places]
    both_cover = zones.covered & response.covered
    found: dict[Key, tuple[float, float]] = {}
    for name in load_cases:
        fields = response.donned_mpa if name == DONNED else response.loaded_mpa
        field = fields[number].astype(np.float64)
        patches = zones.patch_mean @ field
        for kind, part, inside, border in parts:
            both = inside[both_cover[inside]]
            peak = peak_kpa(both, border.under(both_cover), patches)
            found[kind, part, name] = _mean_kpa(zones.skin.areas_mm2[both], field[both]), peak
    return found


def _mean_kpa(areas_mm2: Scalars, field_mpa: Scalars) -> float:
    size = float(areas_mm2.sum())
    return kpa_from_mpa(float(areas_mm2 @ field_mpa) / size) if size > 0 else 0.0


def _fields(attempts: list[Attempt | str], name: str) -> NDArray[np.float32]:
    rows = [
        None
        if isinstance(one, str)
        else next(case.pressure_mpa for case in one.result.cases if case.load_case == name)
        for one in attempts
    ]
    first = rows[0]
    assert first is not None
    whole = [np.zeros_like(first) if row is None else row for row in rows]
    stacked = np.stack(whole).astype(np.float32)
    stacked.setflags(write=False)
    return stacked
