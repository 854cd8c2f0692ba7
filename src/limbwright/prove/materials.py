"""What the socket's material may be asked to bear, and on which figure that rests."""

from __future__ import annotations

from dataclasses import dataclass

from limbwright.core.sources import Basis, Confidence, Origin, Source
from limbwright.prove.plan import ProvePlan, SocketProcess
from limbwright.prove.strength_tables import (
    ACROSS_LAYERS,
    BOLTED_ZONE,
    MATERIALS,
    Failure,
    Material,
)

LAYERED = frozenset({SocketProcess.WALKING_CAST, SocketProcess.LAMINATED})

_COUPON = (
    "test coupons of your own lay-up in three-point bending (some of four and some of eight"
    " layers) and enter the strength with its source"
)


@dataclass(frozen=True, slots=True)
class Allowable:
    """Stresses that the material is credited with.

    Parameters
    ----------
    wall_mpa : float or None
        Along the wall; None where no figure is established.
    bolted_mpa : float or None
        In the weakest direction round the screws of the distal plate.
    undiminished_mpa : float or None
        The figure itself, before any knock-down.
    failure : Failure
        Brittle where that is not known.
    basis : Basis
        GIVEN for the practitioner's own figure, else DEFAULT.
    source : Source or None
    says : str
        The figure and its knock-downs, or why there is none and what to do.
    """

    wall_mpa: float | None
    bolted_mpa: float | None
    undiminished_mpa: float | None
    failure: Failure
    basis: Basis
    source: Source | None
    says: str


def material_of(plan: ProvePlan) -> Material | None:
    """The table's material, if its key names one for the way the socket is made."""
    found = MATERIALS.get(plan.material)
    return found if found is not None and found.process is plan.process else None


def wall_thickness_mm(plan: ProvePlan) -> float:
    """Wall of the socket: layers times their thickness where it is built of layers."""
    return plan.layers * plan.layer_mm if plan.process in LAYERED else plan.wall_mm


def allowable(plan: ProvePlan) -> Allowable:
    """What the material is credited with: the practitioner's own figure, else the table's.

    A print is weakened across its layers whoever measured it; round the screws every figure is
    halved. A figure without a source, or one that nobody is sure of, is not credited.

    Parameters
    ----------
    plan : ProvePlan
    """
    table = material_of(plan)
    failure = table.failure if table is not None else Failure.BRITTLE
    own = plan.own_material
    if own.strength_mpa is not None:
        if not own.source.strip():
            return _nothing(
                failure,
                f"{own.strength_mpa:g} MPa is entered for the material without a source; say where"
                " it was measured or who states it",
            )
        source = Source(Origin.STATED, own.source.strip(), Confidence.MEDIUM)
        return _credited(plan, table, own.strength_mpa, failure, Basis.GIVEN, source)
    if table is None:
        return _nothing(failure, _unknown(plan))
    strength = table.strength_mpa
    if strength is None or strength.source.confidence is Confidence.LOW:
        return _nothing(failure, f"no strength of {table.name} is established; {_COUPON}")
    return _credited(plan, table, strength.value, failure, Basis.DEFAULT, strength.source)


def _credited(
    plan: ProvePlan,
    table: Material | None,
    strength_mpa: float,
    failure: Failure,
    basis: Basis,
    source: Source,
) -> Allowable:
    printed = ACROSS_LAYERS.value if plan.process is SocketProcess.PRINTED else 1.0
    wall_share = table.wall_share.value if table is not None else printed
    plate_share = table.plate_share.value if table is not None else printed
    wall_mpa = strength_mpa * wall_share
    bolted_mpa = strength_mpa * plate_share * BOLTED_ZONE.value
    name = table.name if table is not None else plan.material
    says = (
        f"{name}, {strength_mpa:g} MPa ({failure.value}), of which {wall_mpa:.1f} MPa are credited"
        f" along the wall and {bolted_mpa:.1f} MPa round the screws"
    )
    return Allowable(wall_mpa, bolted_mpa, strength_mpa, failure, basis, source, says)


def _nothing(failure: Failure, why: str) -> Allowable:
    return Allowable(None, None, None, failure, Basis.DEFAULT, None, why)


def _unknown(plan: ProvePlan) -> str:
    made = plan.process.value.replace("_", " ")
    known = ", ".join(key for key, item in MATERIALS.items() if item.process is plan.process)
    return (
        f'"{plan.material}" is no material of the table for a {made}; choose one of {known}, or'
        f" enter your own strength with its source: {_COUPON}"
    )
