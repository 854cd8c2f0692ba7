"""The casting plan of a case: fed from the whole document, kept beside the captured limb."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from limbwright.capture.casting.casting import CouplingBody, plan_casting
from limbwright.capture.casting.marks import TrimHeights
from limbwright.capture.result import Limb
from limbwright.case.document import CaseDocument
from limbwright.case.memo import key_of
from limbwright.case.parts_file import read_catalogue
from limbwright.case.stepping import StepInputs
from limbwright.core.errors import LimbwrightError
from limbwright.couple.figures import coupling_figures
from limbwright.couple.in_hand import in_hand
from limbwright.couple.plan import CouplingKind, CouplingPlan
from limbwright.prove.plan import SocketProcess

_BUILT_IN = (CouplingKind.PIN, CouplingKind.MAGNET, CouplingKind.LANYARD)


def with_casting(inputs: StepInputs, limb: Limb) -> Limb:
    """The limb with its casting plan; the same object for the same document."""
    coupling = _coupling_in_hand(inputs)
    key = key_of("casting", [inputs.key, _reads(inputs.document, coupling)])
    found: Limb = inputs.memo.get(key, lambda: _planned(limb, inputs.document, coupling))
    return found


def _coupling_in_hand(inputs: StepInputs) -> CouplingPlan:
    """The coupling with the figures of the catalogue's entry that it names."""
    plan = inputs.document.couple
    try:
        return in_hand(plan, read_catalogue(inputs.folder, inputs.memo)).coupling
    except LimbwrightError:
        # A wrong name or file is refused where the coupling is seated; the limb stands without it.
        return plan.coupling


def _planned(limb: Limb, document: CaseDocument, coupling: CouplingPlan) -> Limb:
    trim = document.shape.trim
    casting = plan_casting(
        limb,
        document.liner,
        document.person.mass_kg,
        document.capture.scanned_over,
        TrimHeights(trim.anterior_mm, trim.medial_mm, trim.lateral_mm, trim.posterior_mm),
        _body(coupling),
        document.prove.process is SocketProcess.WALKING_CAST,
        document.capture.casting,
    )
    return replace(limb, casting=casting, findings=(*limb.findings, *casting.findings))


def _body(plan: CouplingPlan) -> CouplingBody | None:
    """What is built into the cast; straps, sleeves and seals leave it as it is."""
    if plan.kind not in _BUILT_IN:
        return None
    figures = coupling_figures(plan)
    return CouplingBody(
        body_mm=figures.body_diameter_mm,
        height_mm=figures.body_height_mm,
        spacing_mm=plan.spacing_mm,
        screw_square_mm=plan.screw_square_mm,
        exit_deg=plan.exit_angle_deg,
        exit_mm=plan.exit_diameter_mm,
    )


def _reads(document: CaseDocument, coupling: CouplingPlan) -> list[Any]:
    return [
        document.liner.model_dump(mode="json"),
        document.person.mass_kg,
        document.shape.trim.model_dump(mode="json"),
        coupling.model_dump(mode="json", exclude={"taken"}),
        document.prove.process.value,
        document.capture.casting.model_dump(mode="json"),
    ]
