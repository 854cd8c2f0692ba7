"""How each stage of the job is fed from the document and the stages before it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from limbwright.align.result import Alignment
from limbwright.align.setup import set_up
from limbwright.assess.assessment import assess
from limbwright.capture.intake import RawBones, take_in
from limbwright.capture.read import read_bone, read_scan
from limbwright.capture.result import Limb
from limbwright.capture.tape import read_tape
from limbwright.case.cache import load_cached, store_cached
from limbwright.case.document import CaseDocument
from limbwright.case.folder import file_digest
from limbwright.case.memo import Memo, key_of
from limbwright.case.parts_file import catalogue_digest, read_catalogue
from limbwright.couple.hardware import seat_solids
from limbwright.couple.in_hand import in_hand
from limbwright.couple.plan import CouplePlan
from limbwright.couple.result import Coupling
from limbwright.couple.seating import seat_basis, seat_coupling
from limbwright.make.making import make_parts
from limbwright.make.result import Made
from limbwright.prove.interface.engine import attempt_all, engine
from limbwright.prove.interface.sensitivity import PoissonSensitivity, poisson_sensitivity
from limbwright.prove.interface.spring_bed import Prepared
from limbwright.prove.materials import plate_thickness_mm, wall_thickness_mm
from limbwright.prove.proof import prove
from limbwright.prove.result import Proof
from limbwright.shape.basis import prepare_areas
from limbwright.shape.preparation import geometry_of, prepare
from limbwright.shape.rectify import apply
from limbwright.shape.result import SocketShape


@dataclass(frozen=True, slots=True, eq=False)
class StepInputs:
    """What a step may read.

    Parameters
    ----------
    folder : Path
    document : CaseDocument
    results : mapping of stage name to its result, for the stages that the step needs
    keys : mapping of stage name to the key of that result
    key : str
        Key of the result to be computed.
    memo : Memo
        For parts of a stage that outlive an edit.
    """

    folder: Path
    document: CaseDocument
    results: Mapping[str, Any]
    keys: Mapping[str, str]
    key: str
    memo: Memo


@dataclass(frozen=True, slots=True)
class Step:
    """One stage's wiring.

    Parameters
    ----------
    stage : str
    needs : tuple of stage names whose results it reads
    reads : what it reads of the document and its files, as plain JSON values
    run : computes the result
    """

    stage: str
    needs: tuple[str, ...]
    reads: Callable[[Path, CaseDocument], Any]
    run: Callable[[StepInputs], Any]


def _capture(inputs: StepInputs) -> Limb:
    cached = load_cached(inputs.folder, "capture", inputs.key, Limb)
    if cached is not None:
        return cached
    plan = inputs.document.capture
    tape = read_tape(inputs.folder / plan.tape) if plan.tape else None
    raw = read_scan(inputs.folder / plan.scan)
    bones = None
    if plan.bones is not None:
        bones = RawBones(
            tibia=read_bone(inputs.folder / plan.bones.tibia, plan.bones.unit),
            fibula=read_bone(inputs.folder / plan.bones.fibula, plan.bones.unit),
        )
    limb = take_in(raw, bones, tape, inputs.document.person.side, plan)
    store_cached(inputs.folder, "capture", inputs.key, limb)
    return limb


def _capture_reads(folder: Path, document: CaseDocument) -> Any:
    plan = document.capture
    names = [plan.scan, plan.tape]
    if plan.bones is not None:
        names += [plan.bones.tibia, plan.bones.fibula]
    digests = [file_digest(folder / name) for name in names if name]
    return [document.person.side.value, plan.model_dump(mode="json"), digests]


def _shape(inputs: StepInputs) -> SocketShape:
    document, limb = inputs.document, inputs.results["capture"]
    plan, liner, over = document.shape, document.liner, document.capture.scanned_over
    captured = inputs.keys["capture"]
    basis = inputs.memo.get(key_of("shape basis", captured), lambda: prepare_areas(limb))
    # All but the depths, which are what a slider moves.
    fixed = [geometry_of(plan).model_dump(mode="json"), liner.model_dump(mode="json"), over.value]
    prepared = inputs.memo.get(
        key_of("shape preparation", [captured, fixed]),
        lambda: prepare(basis, plan, liner, over),
    )
    return apply(prepared, plan)


def _parts_in_hand(inputs: StepInputs) -> CouplePlan:
    """The coupling's plan with the figures of the catalogue entries that it names."""
    return in_hand(inputs.document.couple, read_catalogue(inputs.folder, inputs.memo))


def _couple(inputs: StepInputs) -> Coupling:
    document, limb, shape = inputs.document, inputs.results["capture"], inputs.results["shape"]
    worn = [document.liner.model_dump(mode="json"), document.capture.scanned_over.value]
    basis = inputs.memo.get(
        key_of("seat basis", [inputs.keys["capture"], worn]),
        lambda: seat_basis(limb, shape.liner_mm),
    )
    return seat_coupling(
        limb,
        shape,
        _parts_in_hand(inputs),
        document.person,
        document.liner,
        plate_thickness_mm(document.prove),
        basis,
    )


def _align(inputs: StepInputs) -> Alignment:
    document = inputs.document
    return set_up(
        inputs.results["capture"],
        inputs.results["shape"],
        inputs.results["couple"],
        document.align,
        document.person,
        inputs.results["assess"],
        _parts_in_hand(inputs).parts,
    )


def _prove(inputs: StepInputs) -> Proof:
    document, results = inputs.document, inputs.results
    plan, liner = document.prove, document.liner
    chosen = engine(plan.engine)
    prepared = inputs.memo.get(
        key_of(
            f"interface {plan.engine}",
            [
                inputs.keys["capture"],
                plan.tissue.model_dump(),
                plan.mesh.value,
                liner.model_dump(mode="json"),
            ],
        ),
        lambda: chosen.prepare(results["capture"], liner, document.capture.scanned_over, plan),
    )
    fitted = chosen.with_socket(prepared, results["shape"], results["couple"].seat)
    attempt = attempt_all(chosen, fitted, results["align"].load_cases)
    return prove(
        results["capture"],
        results["shape"],
        results["couple"],
        results["align"],
        results["assess"],
        attempt.result,
        plan,
        _parts_in_hand(inputs),
        document.person,
        zones=fitted.zones,
        refused=attempt.refused,
        sensitivity=_sensitivity(prepared, inputs),
    )


def _sensitivity(prepared: Any, inputs: StepInputs) -> PoissonSensitivity | None:
    """What the least certain assumption does to standing; only the first estimate has it."""
    if not isinstance(prepared, Prepared):
        return None
    results = inputs.results
    standing = next(case for case in results["align"].load_cases if case.name == "standing")
    return poisson_sensitivity(prepared, results["shape"], results["couple"].seat, standing)


def _make(inputs: StepInputs) -> Made:
    document, results = inputs.document, inputs.results
    shape, coupling = results["shape"], results["couple"]
    wall_mm = wall_thickness_mm(document.prove)
    additions, cutters = seat_solids(
        coupling.seat, _parts_in_hand(inputs), wall_mm, plate_thickness_mm(document.prove)
    )
    return make_parts(
        shape.surface,
        shape.model,
        additions,
        cutters,
        document.person.side,
        wall_mm,
        document.make,
    )


STEPS: tuple[Step, ...] = (
    Step(
        "assess",
        (),
        lambda folder, document: document.person.model_dump(mode="json"),
        lambda inputs: assess(inputs.document.person),
    ),
    Step("capture", (), _capture_reads, _capture),
    Step(
        "shape",
        ("capture",),
        lambda folder, document: [
            document.shape.model_dump(mode="json"),
            document.liner.model_dump(mode="json"),
            document.capture.scanned_over.value,
        ],
        _shape,
    ),
    Step(
        "couple",
        ("capture", "shape"),
        lambda folder, document: [
            document.couple.model_dump(mode="json"),
            catalogue_digest(folder),
            document.person.model_dump(mode="json"),
            document.liner.model_dump(mode="json"),
            plate_thickness_mm(document.prove),
        ],
        _couple,
    ),
    Step(
        "align",
        ("assess", "capture", "shape", "couple"),
        lambda folder, document: [
            document.align.model_dump(mode="json"),
            document.person.model_dump(mode="json"),
        ],
        _align,
    ),
    Step(
        "prove",
        ("assess", "capture", "shape", "couple", "align"),
        lambda folder, document: [
            document.prove.model_dump(mode="json"),
            document.person.model_dump(mode="json"),
            document.liner.model_dump(mode="json"),
        ],
        _prove,
    ),
    Step(
        "make",
        ("capture", "shape", "couple"),
        lambda folder, document: [
            document.make.model_dump(mode="json"),
            wall_thickness_mm(document.prove),
            plate_thickness_mm(document.prove),
        ],
        _make,
    ),
)
"""One step for each of core.stages.STAGES, in that order."""
