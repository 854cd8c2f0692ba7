"""Interface pressure of a case: engines, what is kept of them, and what is read.

What an engine prepares is costly for some and is kept in the case's cache; so is the donned state
of the finite elements, from which a changed load starts, and their last result. Where a limb
cannot be meshed, the first estimate stands in and says so.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar, get_args, get_type_hints

from limbwright.align.result import LoadCase
from limbwright.case.cache import load_cached, store_cached
from limbwright.case.document import CaseDocument
from limbwright.case.memo import key_of
from limbwright.case.stepping import Depth, StepInputs
from limbwright.core.errors import LimbwrightError, NotConverged
from limbwright.core.sources import Basis
from limbwright.couple.result import Seat
from limbwright.prove.interface.engine import (
    AnyEngine,
    Attempt,
    FittedSocket,
    attempt_all,
    donned_case,
    engine,
)
from limbwright.prove.interface.limb_response import (
    LimbResponse,
    limb_response,
    reference_load,
)
from limbwright.prove.interface.measured import STANDING
from limbwright.prove.interface.places import Place, anatomical_places
from limbwright.prove.interface.pressure import Pressure, read_pressure
from limbwright.prove.interface.reading import ZoneMap
from limbwright.prove.interface.readings import Relative, figures_basis
from limbwright.prove.interface.sensitivity import PoissonSensitivity, poisson_sensitivity
from limbwright.prove.interface.setting import Setting
from limbwright.prove.interface.stiffness import assumptions_of
from limbwright.prove.interface.study import Study, study
from limbwright.prove.interface.variations import Variation, variations
from limbwright.prove.plan import MeshLevel
from limbwright.prove.pressure_result import BalanceAnswer, Uncertainty, WhatIf
from limbwright.prove.result import CasePressure, InterfaceResult
from limbwright.shape.basis import ShapeBasis, prepare_areas
from limbwright.shape.defaults import default_shape_plan
from limbwright.shape.preparation import prepare
from limbwright.shape.rectify import apply
from limbwright.shape.result import SocketShape

FIRST_ESTIMATE, LIVE, CONFIRMING = "spring_bed", "live", "fe"
COSTLY = (LIVE, CONFIRMING)
"""Engines whose preparation is kept in the case's cache."""

T = TypeVar("T")


def with_engine(document: CaseDocument, name: str | None, mesh: str | None) -> CaseDocument:
    """The document with another engine or mesh for one evaluation; None keeps what it says."""
    changes: dict[str, object] = {}
    if name is not None:
        changes["engine"] = name
    if mesh is not None:
        changes["mesh"] = MeshLevel(mesh)
    plan = document.prove.model_copy(update=changes)
    return document.model_copy(update={"prove": plan})


@dataclass(frozen=True, slots=True, eq=False)
class Pressed:
    """All that the proof needs of interface pressure.

    Parameters
    ----------
    result : InterfaceResult
    zones : ZoneMap
    refused : tuple of NotConverged
        Load cases without equilibrium.
    pressure : Pressure
    sensitivity : PoissonSensitivity or None
        Only of the first estimate, where nothing more thorough was asked for.
    """

    result: InterfaceResult
    zones: ZoneMap
    refused: tuple[NotConverged, ...]
    pressure: Pressure
    sensitivity: PoissonSensitivity | None


@dataclass(frozen=True, slots=True, eq=False)
class _Solved:
    chosen: AnyEngine
    prepared: Any
    fitted: FittedSocket
    result: InterfaceResult
    refused: tuple[NotConverged, ...]


def shape_basis(inputs: StepInputs) -> ShapeBasis:
    """The limb's surface ready for shaping, kept as long as the limb stays."""
    limb = inputs.results["capture"]
    return inputs.memo.get(
        key_of("shape basis", inputs.keys["capture"]), lambda: prepare_areas(limb)
    )


def pressed(inputs: StepInputs) -> Pressed:
    """Pressure of all load cases with the engine that the case names, and what is read of it.

    Raises
    ------
    BadInput
        When there is no such engine.
    NotConverged
        When donning finds no equilibrium.
    """
    name = inputs.document.prove.engine
    solved, why = _solved_or_first_estimate(inputs, name)
    quick = None
    if solved.chosen.name == CONFIRMING:
        quick, _ = _solved_or_first_estimate(inputs, LIVE)
    places = _places(inputs)
    studied = _study(inputs, _studied_with(inputs, quick or solved), places)
    pressure = read_pressure(
        solved.result,
        solved.fitted.zones,
        inputs.results["shape"],
        places,
        _figures(inputs),
        study=studied,
        quick=None if quick is None else quick.result,
        fallen_back=why,
    )
    return Pressed(
        solved.result,
        solved.fitted.zones,
        solved.refused,
        pressure,
        None if studied is not None else _sensitivity(inputs, solved),
    )


def _solved_or_first_estimate(inputs: StepInputs, name: str) -> tuple[_Solved, str]:
    """All load cases with an engine; why the first estimate had to stand in, else ""."""
    chosen = engine(name)
    if name not in COSTLY:
        return _solved(inputs, chosen, _prepared(inputs, chosen)), ""
    try:
        prepared = _prepared(inputs, chosen)
    except LimbwrightError as error:
        instead = engine(FIRST_ESTIMATE)
        why = f"The engine {name} could not take this limb: {error.message}"
        return _solved(inputs, instead, _prepared(inputs, instead)), why
    return _solved(inputs, chosen, prepared), ""


def _prepared(inputs: StepInputs, chosen: AnyEngine) -> Any:
    document = inputs.document

    def compute() -> Any:
        return chosen.prepare(
            inputs.results["capture"],
            document.liner,
            document.capture.scanned_over,
            document.prove,
            inputs.tell,
        )

    key = _prepared_key(inputs, chosen.name)
    if chosen.name not in COSTLY:
        return inputs.memo.get(key, compute)
    kind = get_type_hints(type(chosen).prepare)["return"]
    name = f"interface_{chosen.name}"
    return inputs.memo.get(key, lambda: _kept(inputs, name, key, kind, compute), large=True)


def _prepared_key(inputs: StepInputs, name: str) -> str:
    """What an engine may read when it prepares a limb."""
    plan = inputs.document.prove
    return key_of(
        f"interface {name}",
        [
            inputs.keys["capture"],
            plan.tissue.model_dump(),
            plan.mesh.value if name == CONFIRMING else None,
            inputs.document.liner.model_dump(mode="json"),
        ],
    )


def prepared_already(inputs: StepInputs, name: str) -> Any | None:
    """What an engine prepared of this limb, if it is at hand; None where it is yet to be made."""
    return inputs.memo.held(_prepared_key(inputs, name))


def _kept(inputs: StepInputs, name: str, key: str, kind: type[T], compute: Callable[[], T]) -> T:
    """From the case's cache, or computed and put there."""
    found = load_cached(inputs.folder, name, key, kind)
    if found is None:
        found = compute()
        store_cached(inputs.folder, name, key, found)
    return found


def _solved(inputs: StepInputs, chosen: AnyEngine, prepared: Any) -> _Solved:
    results = inputs.results
    fitted = chosen.with_socket(prepared, results["shape"], results["couple"].seat)
    if chosen.name != CONFIRMING:
        attempt = attempt_all(chosen, fitted, results["align"].load_cases, inputs.tell)
        return _Solved(chosen, prepared, fitted, attempt.result, attempt.refused)
    key = key_of(
        f"interface result {chosen.name}",
        [
            _prepared_key(inputs, chosen.name),
            *(inputs.keys[stage] for stage in ("shape", "couple", "align")),
        ],
    )
    name = f"interface_{chosen.name}_result"
    known = load_cached(inputs.folder, name, key, InterfaceResult)
    if known is not None:
        return _Solved(chosen, prepared, fitted, known, ())
    attempt = _from_donned(inputs, chosen, fitted)
    if not attempt.refused:
        store_cached(inputs.folder, name, key, attempt.result)
    return _Solved(chosen, prepared, fitted, attempt.result, attempt.refused)


@dataclass(frozen=True, slots=True, eq=False)
class _DonnedCase:
    """The donned case by itself: its engine's state is kept beside it, by its own type."""

    case: CasePressure


def _from_donned(inputs: StepInputs, chosen: AnyEngine, fitted: FittedSocket) -> Attempt:
    """Every load from the donned state, which is kept as long as limb and socket stay."""
    load_cases = inputs.results["align"].load_cases
    first = donned_case(load_cases)
    wrench = first.wrench_on_limb
    key = key_of(
        f"interface donned {chosen.name}",
        [
            _prepared_key(inputs, chosen.name),
            *(inputs.keys[stage] for stage in ("shape", "couple")),
            [wrench.force_n.tolist(), wrench.moment_n_mm.tolist(), first.coupling_pull_n],
        ],
    )
    kind = get_args(get_type_hints(type(chosen).solve)["return"])[1]
    names = [f"interface_{chosen.name}_donned", f"interface_{chosen.name}_state"]
    case = load_cached(inputs.folder, names[0], key, _DonnedCase)
    state = load_cached(inputs.folder, names[1], key, kind)
    known = (case.case, state) if case is not None and state is not None else None
    attempt = attempt_all(chosen, fitted, load_cases, inputs.tell, known)
    if known is None:
        store_cached(inputs.folder, names[0], key, _DonnedCase(attempt.donned[0]))
        store_cached(inputs.folder, names[1], key, attempt.donned[1])
    return attempt


def _figures(inputs: StepInputs) -> Basis:
    """The weakest of bones and figures that every pressure rests on."""
    document = inputs.document
    assumed = assumptions_of(document.liner, document.prove.tissue)
    return figures_basis(assumed, inputs.results["capture"].bones.basis)


def _places(inputs: StepInputs) -> tuple[Place, ...]:
    return inputs.memo.get(
        key_of("anatomical places", inputs.keys["capture"]),
        lambda: anatomical_places(shape_basis(inputs)),
    )


@dataclass(frozen=True, slots=True)
class _Banded:
    """One band with what it is of."""

    kind: str
    name: str
    load_case: str
    relative: Relative


@dataclass(frozen=True, slots=True)
class _StoredStudy:
    """A study as the case's cache holds it."""

    uncertainty: Uncertainty
    bands: tuple[_Banded, ...]
    what_if: tuple[WhatIf, ...]
    answer: BalanceAnswer | None


def _studied_with(inputs: StepInputs, solved: _Solved) -> _Solved:
    """What the bands are computed with: the live model meshes the limb anew for every figure."""
    if inputs.depth is Depth.BANDS and solved.chosen.name in COSTLY:
        return _solved_or_first_estimate(inputs, FIRST_ESTIMATE)[0]
    return solved


def _study(inputs: StepInputs, solved: _Solved, places: tuple[Place, ...]) -> Study | None:
    """The study of a quick engine; what a costly one found is kept in the case's cache."""
    if inputs.depth is Depth.QUICK:
        return None
    name = solved.chosen.name
    if name not in COSTLY:
        return _studied(inputs, solved, places)
    key = key_of(
        f"interface study {name}",
        [
            _prepared_key(inputs, name),
            *(inputs.keys[stage] for stage in ("shape", "couple", "align")),
        ],
    )

    def compute() -> _StoredStudy:
        found = _studied(inputs, solved, places)
        bands = tuple(_Banded(*key, relative) for key, relative in found.relatives.items())
        return _StoredStudy(found.uncertainty, bands, found.what_if, found.answer)

    kept = _kept(inputs, f"interface_{name}_study", key, _StoredStudy, compute)
    relatives = {(one.kind, one.name, one.load_case): one.relative for one in kept.bands}
    return Study(kept.uncertainty, relatives, kept.what_if, kept.answer)


def _studied(inputs: StepInputs, solved: _Solved, places: tuple[Place, ...]) -> Study:
    results = inputs.results
    seat = results["couple"].seat
    setting = _setting(inputs, solved, results["shape"], results["align"].load_cases, seat)
    known = _response(inputs, solved) if solved.chosen.name in COSTLY else None
    return study(setting, solved.result, solved.fitted.zones, places, inputs.tell, known=known)


def _setting(
    inputs: StepInputs,
    solved: _Solved,
    shape: SocketShape,
    load_cases: tuple[LoadCase, ...],
    seat: Seat | None = None,
) -> Setting:
    document = inputs.document
    return Setting(
        solved.chosen,
        inputs.results["capture"],
        document.liner,
        document.capture.scanned_over,
        document.prove,
        solved.prepared,
        shape,
        shape_basis(inputs).normals,
        seat,
        load_cases,
        _figures(inputs),
    )


def _response(
    inputs: StepInputs, solved: _Solved
) -> tuple[tuple[Variation, ...], LimbResponse] | None:
    """How this limb responds to what is uncertain, kept in the case's cache once per limb.

    None where the limb has no default socket, or none that holds it: this socket serves then.
    """
    document, limb = inputs.document, inputs.results["capture"]
    found = variations(limb, document.liner, document.prove, both_sides=False)
    name = f"interface_{solved.chosen.name}_response"

    def compute() -> LimbResponse:
        plan = default_shape_plan(document.liner)
        over = document.capture.scanned_over
        shape = apply(prepare(shape_basis(inputs), plan, document.liner, over), plan)
        setting = _setting(inputs, solved, shape, (reference_load(),))
        return limb_response(setting, found, inputs.tell)

    key = key_of(name, _prepared_key(inputs, solved.chosen.name))
    try:
        return found, _kept(inputs, name, key, LimbResponse, compute)
    except LimbwrightError:
        return None


def _sensitivity(inputs: StepInputs, solved: _Solved) -> PoissonSensitivity | None:
    """What the least certain assumption does to standing; only the first estimate has it."""
    if solved.chosen.name != FIRST_ESTIMATE:
        return None
    results = inputs.results
    standing = next((case for case in results["align"].load_cases if case.name == STANDING), None)
    if standing is None:
        return None
    return poisson_sensitivity(solved.prepared, results["shape"], results["couple"].seat, standing)
