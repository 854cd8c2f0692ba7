"""How the capture stage is fed: the limb from the case's cache, or captured here or elsewhere.

Apart from the other stages' steps, so that a process which captures loads nothing of them.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from limbwright.capture.intake import Mended, Mending, RawBones, mended, take_in
from limbwright.capture.read import read_bone, read_scan
from limbwright.capture.result import Limb, RawScan
from limbwright.capture.tape import read_tape
from limbwright.case.cache import load_cached, store_cached
from limbwright.case.document import CaseDocument
from limbwright.case.folder import file_digest
from limbwright.case.memo import Memo, key_of
from limbwright.case.stepping import StepInputs, result_key
from limbwright.core.errors import CannotWrite
from limbwright.core.frame import Side
from limbwright.core.telling import Tell
from limbwright.core.units import LengthUnit


def capture(inputs: StepInputs) -> Limb:
    """The limb: from the case's cache, or captured and kept there.

    Raises
    ------
    LimbwrightError
    """
    cached = load_cached(inputs.folder, "capture", inputs.key, Limb)
    if cached is None and inputs.capturing is not None:
        inputs.capturing(inputs.folder, inputs.document)
        cached = load_cached(inputs.folder, "capture", inputs.key, Limb)
        if cached is None:
            raise CannotWrite(
                "The captured limb was not kept in the case's folder: free some space on the disk,"
                " or see that the folder may be written to, and try again."
            )
    if cached is not None:
        return cached
    inputs.tell("reading the scan", 0.0)
    plan = inputs.document.capture
    tape = read_tape(inputs.folder / plan.tape) if plan.tape else None
    raw = read_scan(inputs.folder / plan.scan)
    bones = None
    if plan.bones is not None:
        bones = RawBones(
            tibia=read_bone(inputs.folder / plan.bones.tibia, plan.bones.unit),
            fibula=read_bone(inputs.folder / plan.bones.fibula, plan.bones.unit),
        )
    side = inputs.document.person.side
    limb = take_in(raw, bones, tape, side, plan, inputs.tell, _mending(inputs))
    store_cached(inputs.folder, "capture", inputs.key, limb)
    return limb


def _mending(inputs: StepInputs) -> Mending:
    """What is the same for every landmark is done once, and kept in the case's cache."""
    folder, scan = inputs.folder, inputs.folder / inputs.document.capture.scan

    def mend(raw: RawScan, unit: LengthUnit, side: Side, edge_mm: float) -> Mended:
        key = key_of("mended", [file_digest(scan), unit.value, side.value, edge_mm])
        known = load_cached(folder, "mended", key, Mended)
        if known is None:
            known = mended(raw, unit, side, edge_mm)
            store_cached(folder, "mended", key, known)
        return known

    return mend


def capture_into_cache(folder: Path, document: CaseDocument, tell: Tell) -> str:
    """Capture a case's limb into its cache; returns the key that it is kept under.

    Raises
    ------
    LimbwrightError
    """
    key = result_key("capture", capture_reads(folder, document))
    capture(StepInputs(folder, document, results={}, keys={}, key=key, memo=Memo(), tell=tell))
    return key


def capture_reads(folder: Path, document: CaseDocument) -> Any:
    """What capturing reads of the document and its files, as plain JSON values."""
    plan = document.capture
    names = [plan.scan, plan.tape]
    if plan.bones is not None:
        names += [plan.bones.tibia, plan.bones.fibula]
    digests = [file_digest(folder / name) for name in names if name]
    return [document.person.side.value, plan.model_dump(mode="json", exclude={"casting"}), digests]
