"""What suction and vacuum ask of the socket: pressure, a closed wall, and no leak."""

from __future__ import annotations

from limbwright.core.findings import Finding, Severity
from limbwright.core.sources import Basis, Confidence, Origin, Source
from limbwright.core.units import kpa_from_mpa
from limbwright.couple.plan import CouplingKind, CouplingPlan
from limbwright.prove.holding import SEALED, seal_level_mm, seal_section_mm2
from limbwright.prove.plan import ProvePlan, SocketProcess
from limbwright.prove.suspension_tables import LINER_BELOW_SEAL_MM, SEAL_PRESSURE_KPA
from limbwright.shape.places import height_words
from limbwright.shape.result import SocketShape

STAGE = "prove"
_TIGHT = Source(
    Origin.TRADE,
    "a socket for suction or vacuum must be airtight: every hole, seam and print layer below the"
    " seal",
    Confidence.MEDIUM,
)
_SLEEVE = Source(
    Origin.TRADE,
    "a sealing sleeve grips liner or skin above the brim, hinders bending the knee and wears"
    " through at a sharp brim",
    Confidence.MEDIUM,
)


def seal_findings(
    shape: SocketShape,
    coupling: CouplingPlan,
    plan: ProvePlan,
    walking_n: float,
) -> tuple[Finding, ...]:
    """What the seal of suction or vacuum asks of brim, trim line, wall and sleeve.

    Parameters
    ----------
    shape : SocketShape
    coupling : CouplingPlan
    plan : ProvePlan
    walking_n : float
        Greatest pull of walking, without reserve.
    """
    kinds = (coupling.kind, plan.suspension.second)
    sealed = next((kind for kind in kinds if kind in SEALED), None)
    if sealed is None:
        return ()
    with_sleeve = CouplingKind.SLEEVE in kinds
    return (
        _pressure(shape, sealed, plan, walking_n),
        _closed_wall(shape, plan, with_sleeve),
        _sleeve(shape, with_sleeve),
        _airtight(plan),
    )


def _pressure(shape: SocketShape, kind: CouplingKind, plan: ProvePlan, walking_n: float) -> Finding:
    """The pressure that walking asks for, beside what was measured in swing."""
    measured = SEAL_PRESSURE_KPA[kind]
    section = seal_section_mm2(shape, plan.suspension)
    level_mm, where = seal_level_mm(shape, plan.suspension)
    if section <= 0.0:
        needed, severity = None, Severity.NOT_ESTABLISHED
        text = f"The seal, {level_mm:.0f} mm below the mid-patellar tendon, misses the socket"
    else:
        needed = kpa_from_mpa(walking_n / section)
        held = needed <= measured.value
        severity = Severity.NOTE if held else Severity.NOT_ESTABLISHED
        text = (
            f"Holding {walking_n:.0f} N of walking takes {needed:.1f} kPa less in the socket over"
            f" the section {level_mm:.0f} mm below the mid-patellar tendon; up to"
            f" {measured.value:g} kPa were measured in swing with {kind.value}"
        )
    return Finding(
        STAGE,
        "seal-pressure",
        severity,
        text,
        where="suspension",
        value=needed,
        limit=measured.value,
        unit="kPa",
        basis=Basis.DEFAULT if where is Basis.DEFAULT else Basis.ESTIMATED,
        source=measured.source,
        remedy="a seal where the socket is wider, or a lighter leg",
    )


def _closed_wall(shape: SocketShape, plan: ProvePlan, with_sleeve: bool) -> Finding:
    """A seal inside the socket needs wall all round it; a sleeve closes over the brim instead."""
    level_mm, where = seal_level_mm(shape, plan.suspension)
    lowest_mm = float(shape.trim.points_mm[:, 2].min())
    cover_mm = lowest_mm + level_mm
    if with_sleeve:
        severity = Severity.NOTE
        text = "A sleeve closes over the brim, so that the trim line may lie below the liner's seal"
    elif cover_mm < 0.0:
        severity = Severity.STOP if where is Basis.GIVEN else Severity.NOT_ESTABLISHED
        text = (
            f"The seal stands {-cover_mm:.0f} mm above the lowest point of the trim line, where the"
            " wall is open"
        )
    elif cover_mm < LINER_BELOW_SEAL_MM.value:
        severity = Severity.WARNING
        text = (
            f"Only {cover_mm:.0f} mm of closed wall stand above the seal at the lowest point of the"
            " trim line: a lifted liner lets air in"
        )
    else:
        severity = Severity.NOTE
        text = (
            f"{cover_mm:.0f} mm of closed wall stand above the seal at the lowest point of the trim"
            f" line ({height_words(lowest_mm)})"
        )
    return Finding(
        STAGE,
        "seal-closed-wall",
        severity,
        text,
        where="trim line",
        value=cover_mm,
        limit=0.0 if with_sleeve else LINER_BELOW_SEAL_MM.value,
        unit="mm",
        basis=where,
        source=LINER_BELOW_SEAL_MM.source,
        remedy=""
        if with_sleeve
        else "a higher trim line there, a lower seal, or a sleeve over the brim",
        entry="" if with_sleeve else "shape.trim",
        at_least=True,
    )


def _sleeve(shape: SocketShape, with_sleeve: bool) -> Finding:
    highest_mm = float(shape.trim.points_mm[:, 2].max())
    over = height_words(highest_mm)
    text = (
        f"The sleeve has to reach over the brim ({over}) and grip above it: round the brim's edge,"
        " look for wear at every visit, and try how far the knee still bends"
        if with_sleeve
        else "Without a sleeve the liner itself must seal (a ring or a sealing face): no sock may"
        " bridge it, and a limb that loses volume lets air in"
    )
    return Finding(
        STAGE,
        "seal-at-brim",
        Severity.NOTE,
        text,
        where="brim",
        value=highest_mm,
        unit="mm",
        basis=Basis.ESTIMATED,
        source=_SLEEVE,
    )


def _airtight(plan: ProvePlan) -> Finding:
    printed = plan.process is SocketProcess.PRINTED
    porous = printed or plan.process is SocketProcess.WALKING_CAST
    wall = "A printed wall leaks between its layers until it is coated; " if printed else ""
    return Finding(
        STAGE,
        "seal-airtight",
        Severity.WARNING if porous else Severity.NOTE,
        f"{wall}{'c' if printed else 'C'}lose the screw holes and the valve's hole, and hold the"
        " finished socket under vacuum with a gauge before it is worn",
        where="socket",
        basis=Basis.DEFAULT,
        source=_TIGHT,
    )
