"""What every interface engine answers to, and which engines there are.

An engine prepares a limb once, takes a socket at every edit, and solves one load case from a
remembered state. Whatever stands between skin and bone (springs, a condensed body, finite
elements) stays inside it; pressure and shear come back on the vertices of `Limb.surface`.
"""

from __future__ import annotations

import importlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray

from limbwright.align.result import LoadCase, Wrench
from limbwright.assess.plan import Liner
from limbwright.capture.plan import ScannedOver
from limbwright.capture.result import Limb
from limbwright.core.errors import BadInput, DesignRefused, NotConverged
from limbwright.core.sources import Basis
from limbwright.core.telling import Tell, silent
from limbwright.couple.result import Seat
from limbwright.prove.interface.reading import ZoneMap
from limbwright.prove.plan import ProvePlan
from limbwright.prove.result import CasePressure, InterfaceResult
from limbwright.shape.result import SocketShape


class FittedSocket(Protocol):
    """A limb against one socket, whatever the engine: it knows how the surface is divided."""

    @property
    def zones(self) -> ZoneMap:
        """Areas, rest of the wall and distal end, on the vertices of `Limb.surface`."""


PreparedT = TypeVar("PreparedT")
FittedT = TypeVar("FittedT", bound=FittedSocket)
StateT = TypeVar("StateT")

DONNED = "donned"


class InterfaceEngine(Protocol[PreparedT, FittedT, StateT]):
    """One way of computing what the limb will feel.

    Prepared, fitted and state are frozen and can be pickled; the caller keeps `prepared` as long
    as limb, liner and tissue stay, `fitted` as long as the shape and the seat stay.
    """

    @property
    def name(self) -> str:
        """Name in the case document."""

    def prepare(
        self,
        limb: Limb,
        liner: Liner,
        scanned_over: ScannedOver,
        plan: ProvePlan,
        progress: Tell = silent,
    ) -> PreparedT:
        """What depends on limb, liner and tissue alone: once per limb.

        Of `plan` only `tissue` and `mesh` may be read: what is prepared is kept by these.
        """

    def with_socket(
        self, prepared: PreparedT, shape: SocketShape, seat: Seat | None = None
    ) -> FittedT:
        """The limb against one socket; `seat` is where the coupling pulls in swing."""

    def label(self, fitted: FittedT) -> str:
        """What the numbers are and what they assume; shown wherever a number is shown."""

    def solve(
        self,
        fitted: FittedT,
        load_case: LoadCase,
        start: StateT | None = None,
        progress: Tell = silent,
    ) -> tuple[CasePressure, StateT]:
        """Equilibrium of one load case, from a remembered state; None dons the socket first.

        Raises
        ------
        NotConverged
            When there is none: names the case and what to do.
        """


AnyEngine = InterfaceEngine[Any, Any, Any]

ENGINES: Mapping[str, str] = {
    "live": "limbwright.prove.interface.condensed.live:LIVE",
    "spring_bed": "limbwright.prove.interface.spring_bed:SPRING_BED",
    "fe": "limbwright.prove.interface.finite_elements.engine:FINITE_ELEMENTS",
}
"""Engine by name, as module and attribute, so that none is imported before it is asked for."""


def engine(name: str) -> AnyEngine:
    """The engine of a name, as the case document states it.

    Raises
    ------
    BadInput
        When there is no such engine.
    """
    if name not in ENGINES:
        known = ", ".join(sorted(ENGINES))
        raise BadInput(
            f'there is no interface engine "{name}"; choose one of: {known}.',
            where="prove.engine",
        )
    module, attribute = ENGINES[name].split(":")
    found: AnyEngine = getattr(importlib.import_module(module), attribute)
    return found


@dataclass(frozen=True, slots=True, eq=False)
class Attempt:
    """All load cases tried: those in equilibrium, and why the others are not.

    Parameters
    ----------
    result : InterfaceResult
        Donned first, then the cases that found equilibrium, in the order given.
    refused : tuple of NotConverged
        One for each case without equilibrium.
    donned : tuple of CasePressure and the engine's state
        Where every load starts: enough to load again without donning.
    """

    result: InterfaceResult
    refused: tuple[NotConverged, ...]
    donned: tuple[CasePressure, Any]


def attempt_all(
    chosen: AnyEngine,
    fitted: FittedSocket,
    load_cases: Iterable[LoadCase],
    progress: Tell = silent,
    donned: tuple[CasePressure, Any] | None = None,
) -> Attempt:
    """Don the socket, then load it case by case from the donned state.

    A case without equilibrium does not hide the others.

    Parameters
    ----------
    chosen : InterfaceEngine
    fitted : what its `with_socket` gave
    load_cases : iterable of LoadCase
        One named "donned" is solved first; without one, donning without load is added.
    progress : callable, optional
    donned : tuple of CasePressure and state, optional
        From an earlier attempt with the same limb and socket: donning is not repeated.

    Raises
    ------
    NotConverged
        When donning itself finds no equilibrium.
    """
    given = tuple(load_cases)
    others = tuple(case for case in given if case.name != DONNED)
    start = donned or chosen.solve(fitted, donned_case(given), None, progress)
    state = start[1]
    cases, refused = [start[0]], []
    for number, case in enumerate(others):
        progress(case.name, (number + 1) / (len(others) + 1))
        try:
            cases.append(chosen.solve(fitted, case, state, progress)[0])
        except NotConverged as error:
            refused.append(error)
    result = InterfaceResult(chosen.name, chosen.label(fitted), tuple(cases))
    return Attempt(result, tuple(refused), start)


def donned_case(load_cases: Iterable[LoadCase]) -> LoadCase:
    """The case that is solved first: the one named "donned", or donning without load."""
    return next((case for case in load_cases if case.name == DONNED), unloaded())


def run_all(
    chosen: AnyEngine,
    fitted: FittedSocket,
    load_cases: Iterable[LoadCase],
    progress: Tell = silent,
) -> InterfaceResult:
    """Pressure of all load cases, donned first, each from the donned state.

    Raises
    ------
    NotConverged
        The first case without equilibrium.
    """
    attempt = attempt_all(chosen, fitted, load_cases, progress)
    if attempt.refused:
        raise attempt.refused[0]
    return attempt.result


def is_unloaded(load_case: LoadCase) -> bool:
    """Whether nothing acts: neither force, moment nor the coupling's pull."""
    wrench = load_case.wrench_on_limb
    return not (wrench.force_n.any() or wrench.moment_n_mm.any() or load_case.coupling_pull_n)


def load_size_n(whole: NDArray[np.float64], load_case: LoadCase) -> float:
    """Size of a load that an imbalance is told as a share of, N; 0 where nothing acts.

    Parameters
    ----------
    whole : (6,) float64, N
        Force, then moment divided by a length that makes the two comparable.
    load_case : LoadCase
    """
    if is_unloaded(load_case):
        return 0.0
    force, moment = float(np.linalg.norm(whole[:3])), float(np.linalg.norm(whole[3:]))
    return max(force, moment, abs(load_case.coupling_pull_n))


def no_socket() -> DesignRefused:
    """What every engine says of a trim line that leaves nothing."""
    return DesignRefused(
        "the trim line leaves no socket that could touch the limb; raise it.",
        where="shape.trim",
    )


def unloaded() -> LoadCase:
    """Donned and not loaded: the limb hangs in the socket by itself."""
    nothing = Wrench(np.zeros(3), np.zeros(3))
    return LoadCase(DONNED, nothing, 0.0, Basis.GIVEN, "Donned, without any load.")
