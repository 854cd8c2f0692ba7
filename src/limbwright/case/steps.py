"""How each stage of the job is fed from the document and the stages before it."""

from __future__ import annotations

from limbwright.align.result import Alignment
from limbwright.align.setup import set_up
from limbwright.align.stand import bench_stand
from limbwright.assess.assessment import assess
from limbwright.case.capturing import capture, capture_reads
from limbwright.case.casting import with_casting
from limbwright.case.interface import pressed, shape_basis
from limbwright.case.memo import key_of
from limbwright.case.parts_file import catalogue_digest, read_catalogue
from limbwright.case.stepping import Step, StepInputs
from limbwright.case.worn import read_in
from limbwright.couple.hardware import cavity_of, seat_solids
from limbwright.couple.in_hand import in_hand
from limbwright.couple.plan import CouplePlan
from limbwright.couple.result import Coupling
from limbwright.couple.seating import SeatBasis, seat_basis, seat_coupling
from limbwright.fit.learning import learn
from limbwright.fit.result import FitResult
from limbwright.make.making import make_parts
from limbwright.make.result import Made
from limbwright.prove.materials import plate_thickness_mm, wall_thickness_mm
from limbwright.prove.proof import prove
from limbwright.prove.result import Proof
from limbwright.shape.preparation import geometry_of, prepare
from limbwright.shape.rectify import apply
from limbwright.shape.result import SocketShape


def _shape(inputs: StepInputs) -> SocketShape:
    document = inputs.document
    plan, liner, over = document.shape, document.liner, document.capture.scanned_over
    captured = inputs.keys["capture"]
    basis = shape_basis(inputs)
    # All but the depths, which are what a slider moves.
    fixed = [geometry_of(plan).model_dump(mode="json"), liner.model_dump(mode="json"), over.value]
    prepared = inputs.memo.get(
        key_of("shape preparation", [captured, fixed]),
        lambda: prepare(basis, plan, liner, over),
    )
    return apply(prepared, plan)


def parts_in_hand(inputs: StepInputs) -> CouplePlan:
    """The coupling's plan with the figures of the catalogue entries that it names."""
    return in_hand(inputs.document.couple, read_catalogue(inputs.folder, inputs.memo))


_BENCH = {"socket_flexion_deg", "socket_adduction_deg", "foot_inset_mm", "foot_forward_mm"}
"""Of bench alignment, what the seat is weighed with: where the foot is to stand."""


def seat_ground(inputs: StepInputs) -> SeatBasis:
    """The limb and its liner ready for seating, kept as long as they stay."""
    document, limb, shape = inputs.document, inputs.results["capture"], inputs.results["shape"]
    worn = [document.liner.model_dump(mode="json"), document.capture.scanned_over.value]
    return inputs.memo.get(
        key_of("seat basis", [inputs.keys["capture"], worn]),
        lambda: seat_basis(limb, shape.liner_mm),
    )


def _couple(inputs: StepInputs) -> Coupling:
    document, limb, shape = inputs.document, inputs.results["capture"], inputs.results["shape"]
    basis = seat_ground(inputs)
    plan = parts_in_hand(inputs)
    return seat_coupling(
        limb,
        shape,
        plan,
        document.person,
        document.liner,
        plate_thickness_mm(document.prove),
        basis,
        bench_stand(document.align, document.person, shape, plan.parts),
        read_catalogue(inputs.folder, inputs.memo),
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
        parts_in_hand(inputs).parts,
    )


def _prove(inputs: StepInputs) -> Proof:
    document, results = inputs.document, inputs.results
    felt = pressed(inputs)
    return prove(
        results["capture"],
        results["shape"],
        results["couple"],
        results["align"],
        results["assess"],
        felt.result,
        document.prove,
        parts_in_hand(inputs),
        document.person,
        zones=felt.zones,
        refused=felt.refused,
        sensitivity=felt.sensitivity,
        pressure=felt.pressure,
        tell=inputs.tell,
    )


def _make(inputs: StepInputs) -> Made:
    document, results = inputs.document, inputs.results
    shape, coupling = results["shape"], results["couple"]
    wall_mm = wall_thickness_mm(document.prove)
    additions, cutters = seat_solids(
        coupling.seat,
        cavity_of(coupling.seat, shape.model),
        parts_in_hand(inputs),
        wall_mm,
        plate_thickness_mm(document.prove),
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


def _fit(inputs: StepInputs) -> FitResult:
    frame = inputs.results["capture"].frame
    return learn(inputs.document.fit, frame, lambda fitting: read_in(inputs, fitting))


STEPS: tuple[Step, ...] = (
    Step(
        "assess",
        (),
        lambda folder, document: [
            document.person.model_dump(mode="json"),
            document.liner.model_dump(mode="json"),
            document.couple.coupling.kind.value,
            document.socket.model_dump(mode="json"),
        ],
        lambda inputs: assess(
            inputs.document.person,
            inputs.document.liner,
            inputs.document.couple.coupling.kind.value,
            inputs.document.socket,
        ),
    ),
    Step("capture", (), capture_reads, capture, finish=with_casting),
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
            document.align.model_dump(mode="json", include=_BENCH),
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
        studies=True,
    ),
    Step(
        "make",
        ("capture", "shape", "couple"),
        lambda folder, document: [
            document.make.model_dump(mode="json", exclude={"outputs"}),
            wall_thickness_mm(document.prove),
            plate_thickness_mm(document.prove),
        ],
        _make,
    ),
    Step(
        "fit",
        ("assess", "capture", "shape", "couple", "align", "prove"),
        lambda folder, document: [
            document.fit.model_dump(mode="json"),
            document.shape.model_dump(mode="json"),
        ],
        _fit,
    ),
)
"""One step for each of core.stages.STAGES, in that order."""
