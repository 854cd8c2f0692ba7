"""Everything that a work order shows, gathered from the stages."""

from __future__ import annotations

from dataclasses import dataclass

from limbwright.align.plan import AlignPlan
from limbwright.align.result import Alignment
from limbwright.assess.plan import Liner, Person
from limbwright.assess.result import Assessment
from limbwright.capture.plan import CapturePlan
from limbwright.capture.result import Limb
from limbwright.core.findings import Finding
from limbwright.couple.plan import CouplePlan
from limbwright.couple.result import Coupling
from limbwright.make.result import Made
from limbwright.prove.plan import ProvePlan
from limbwright.prove.result import Proof
from limbwright.shape.plan import ShapePlan
from limbwright.shape.result import SocketShape


@dataclass(frozen=True, slots=True, eq=False)
class Sheet:
    """What the work order is written from.

    Parameters
    ----------
    title : str
    invented : bool
        True for an invented person: said on every page.
    case_key : str
        Hash of the evaluated case; its first characters tell two prints apart.
    engine_version : str
    person, liner, capture_plan, shape_plan, couple_plan, align_plan, prove_plan : plans
    assessment, limb, shape, coupling, alignment, proof, made : results
    findings : tuple of Finding
        Of all stages, worst first.
    cautions : tuple of str
    """

    title: str
    invented: bool
    case_key: str
    engine_version: str
    person: Person
    liner: Liner
    capture_plan: CapturePlan
    shape_plan: ShapePlan
    couple_plan: CouplePlan
    align_plan: AlignPlan
    prove_plan: ProvePlan
    assessment: Assessment
    limb: Limb
    shape: SocketShape
    coupling: Coupling
    alignment: Alignment
    proof: Proof
    made: Made
    findings: tuple[Finding, ...]
    cautions: tuple[str, ...]
