"""Measure how far the live model's pressures hang on where its search begins: SEARCH_SCATTER_KPA.

python scripts/live_scatter.py   the demo limb, and the open test limbs if they are there

Where places are at the verge of sliding, more than one equilibrium meets the same equations. Every
load case is searched from where the search ended in other sockets of the same limb, whose areas
are deeper or shallower, and compared with what is put on record, which always begins at the limb as
it was designed. Printed is the greatest difference by what is read.
"""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from mesh_spread import cases

from limbwright.align.result import LoadCase
from limbwright.case.document import CaseDocument
from limbwright.case.evaluate import evaluate
from limbwright.case.memo import Memo
from limbwright.prove.interface.condensed.equilibrium import Stand, remember
from limbwright.prove.interface.condensed.glance import begun_at
from limbwright.prove.interface.condensed.live import (
    LIVE,
    LiveFitted,
    LivePrepared,
    LiveState,
    carry,
    case_of,
    seat_limb,
)
from limbwright.prove.interface.engine import DONNED, unloaded
from limbwright.prove.interface.reading import largest_patch_kpa
from limbwright.prove.result import CasePressure

FACTORS = (0.5, 0.8, 1.2, 1.5)
"""Depths of the other sockets' areas, as shares of this one's."""
READ = ("area mean", "area peak", "1 cm²", "single place", "shear of a single place")

Found = dict[str, CasePressure]
Stands = dict[str, Stand]


@dataclass(frozen=True)
class Fitted:
    """A limb in one of the sockets, and its loads."""

    socket: LiveFitted
    loads: tuple[LoadCase, ...]


def deepened(document: CaseDocument, factor: float) -> CaseDocument:
    """The case with every area as many times as deep."""
    areas = tuple(
        area.model_copy(update={"depth_mm": factor * area.depth_mm})
        for area in document.shape.areas
    )
    shape = document.shape.model_copy(update={"areas": areas})
    return document.model_copy(update={"shape": shape})


def fitted_in(
    folder: Path, document: CaseDocument, memo: Memo, prepared: LivePrepared | None
) -> Fitted:
    """The limb in the socket that a document plans."""
    results = {
        name: outcome.result
        for name, outcome in evaluate(folder, document, memo, upto="align").outcomes.items()
    }
    if prepared is None:
        over = document.capture.scanned_over
        prepared = LIVE.prepare(results["capture"], document.liner, over, document.prove)
    socket = LIVE.with_socket(prepared, results["shape"], results["couple"].seat)
    return Fitted(socket, results["align"].load_cases)


def searched(limb: Fitted, near: Mapping[str, Stand] | None) -> tuple[Found, Stands]:
    """All load cases, each search begun where the one before ended, or near other stands."""
    socket = limb.socket

    def begun(name: str, pull_n: float = 0.0) -> Stand | None:
        return None if near is None else begun_at(socket, near[name], pull_n)

    seated = seat_limb(socket, begun("seated"))
    found = carry(socket, unloaded(), seated, begun(DONNED))
    donned = LiveState(found.stand, remember(found), 0.0)
    ended = {"seated": seated.stand, DONNED: found.stand}
    pressed = {DONNED: case_of(socket, DONNED, found)}
    for case in limb.loads:
        if case.name != DONNED:
            found = carry(socket, case, donned, begun(case.name, case.coupling_pull_n))
            ended[case.name] = found.stand
            pressed[case.name] = case_of(socket, case.name, found)
    return pressed, ended


def apart_kpa(socket: LiveFitted, one: CasePressure, other: CasePressure) -> np.ndarray:
    """Greatest difference of each thing that is read, in the order of READ."""
    pairs = list(zip(one.areas, other.areas, strict=True))
    pressure = 1e3 * (one.pressure_mpa - other.pressure_mpa)
    shear = 1e3 * np.linalg.norm(one.shear_mpa - other.shear_mpa, axis=1)
    return np.array(
        [
            max(abs(a.mean_kpa - b.mean_kpa) for a, b in pairs),
            max(abs(a.peak_kpa - b.peak_kpa) for a, b in pairs),
            np.abs(socket.zones.patch_mean @ pressure).max(),
            np.abs(pressure).max(),
            shear.max(),
        ]
    )


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as folder:
        for place, document in cases(Path(folder)):
            memo = Memo()
            limb = fitted_in(place, document, memo, None)
            prepared = limb.socket.prepared
            recorded, _ = searched(limb, None)
            worst = {name: np.zeros(len(READ)) for name in recorded}
            for factor in FACTORS:
                other = fitted_in(place, deepened(document, factor), memo, prepared)
                again, _ = searched(limb, searched(other, None)[1])
                for name, case in again.items():
                    apart = apart_kpa(limb.socket, recorded[name], case)
                    worst[name] = np.maximum(worst[name], apart)
            for name, found in worst.items():
                told = ", ".join(
                    f"{what} {value:.2f}" for what, value in zip(READ, found, strict=True)
                )
                highest = largest_patch_kpa(limb.socket.zones, recorded[name].pressure_mpa)
                print(f"{place.name}, {name}, kPa, of {highest:.0f} at most: {told}", flush=True)


if __name__ == "__main__":
    main()
