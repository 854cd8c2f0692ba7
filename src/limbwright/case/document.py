"""The case document: everything decided about one leg, nothing computed."""

from __future__ import annotations

from pydantic import Field

from limbwright.align.plan import AlignPlan
from limbwright.assess.description import SocketDescription
from limbwright.assess.plan import Liner, Person
from limbwright.capture.plan import CapturePlan
from limbwright.case.acceptance import AcceptedFinding
from limbwright.core.plan import Plan
from limbwright.couple.plan import CouplePlan
from limbwright.fit.plan import FitPlan
from limbwright.make.plan import MakePlan
from limbwright.prove.plan import ProvePlan
from limbwright.shape.plan import ShapePlan

SCHEMA = 1


class CaseDocument(Plan):
    """One person's leg, from assessment to fabrication; stored as case.toml."""

    schema_version: int = Field(default=SCHEMA, ge=SCHEMA, le=SCHEMA)
    title: str = Field(default="", max_length=120)
    invented: bool = False
    """True for a demo case: shown as such everywhere."""
    person: Person
    liner: Liner = Liner()
    socket: SocketDescription = SocketDescription()
    capture: CapturePlan
    shape: ShapePlan = ShapePlan()
    couple: CouplePlan = CouplePlan()
    align: AlignPlan = AlignPlan()
    prove: ProvePlan = ProvePlan()
    make: MakePlan = MakePlan()
    fit: FitPlan = FitPlan()
    accepted: tuple[AcceptedFinding, ...] = Field(default=(), max_length=500)
