"""The casting plan of a case: fed from the whole document, kept beside the captured limb."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from limbwright.capture.casting.casting import CouplingBody, plan_casting
from limbwright.capture.casting.marks import TrimHeights
from limbwright.capture.result import Limb
from limbwright.case.document import CaseDocument
from limbwright.case.memo import key_of
from limbwright.case.stepping import StepInputs
from limbwright.couple.figures import coupling_figures
from limbwright.couple.plan import CouplingKind
from limbwright.prove.plan import SocketProcess

_BUILT_IN = (CouplingKind.PIN, CouplingKind.MAGNET, CouplingKind.LANYARD)


def with_casting(inputs: StepInputs, limb: Limb) -> Limb:
    """The limb with its casting plan; the same object for the same document."""
    key = key_of("casting", [inputs.key, _reads(inputs.document)])
    found: Limb = inputs.memo.get(key, lambda: _planned(limb, inputs.document))
    return found


def _planned(limb: Limb, document: CaseDocument) -> Limb:
    trim = document.shape.trim
    casting = plan_casting(
        limb,
        document.liner,
        document.person.mass_kg,
        document.capture.scanned_over,
        TrimHeights(trim.anterior_mm, trim.medial_mm, trim.lateral_mm, trim.posterior_mm),
        _body(document),
        document.prove.process is SocketProcess.WALKING_CAST,
        document.capture.casting,
    )
    return replace(limb, casting=casting, findings=(*limb.findings, *casting.findings))


def _body(document: CaseDocument) -> CouplingBody | None:
    """What is built into the cast; straps, sleeves and seals leave it as it is."""
    plan = document.couple.coupling
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


def _reads(document: CaseDocument) -> list[Any]:
    return [
        document.liner.model_dump(mode="json"),
        document.person.mass_kg,
        document.shape.trim.model_dump(mode="json"),
        document.couple.coupling.model_dump(mode="json"),
        document.prove.process.value,
        document.capture.casting.model_dump(mode="json"),
    ]
