"""What the socket's material may be asked to bear, and on which figure that rests."""

from __future__ import annotations

from dataclasses import dataclass

from limbwright.core.sources import Basis, Confidence, Origin, Source
from limbwright.core.wording import words
from limbwright.couple.tables import FLOOR_MM
from limbwright.prove.coupons import CouponSummary, summarise
from limbwright.prove.plan import CouponDirection, ProvePlan, SocketProcess
from limbwright.prove.strength_tables import (
    ACROSS_LAYERS,
    BOLTED_ZONE,
    COUPON_OF_WALL,
    LAYER_MM,
    LAYERS,
    MATERIALS,
    WALL_MM,
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
    round_mpa : float or None
        Round the wall, where it is bent by an opening brim.
    modulus_mpa : float or None
    modulus_source : Source or None
    """

    wall_mpa: float | None
    bolted_mpa: float | None
    undiminished_mpa: float | None
    failure: Failure
    basis: Basis
    source: Source | None
    says: str
    round_mpa: float | None = None
    modulus_mpa: float | None = None
    modulus_source: Source | None = None


@dataclass(frozen=True, slots=True)
class _Figure:
    """One strength before its knock-downs; `wall_share` comes on top of the material's own."""

    strength_mpa: float
    basis: Basis
    source: Source
    says: str
    wall_share: float = 1.0
    round_mpa: float | None = None


def material_of(plan: ProvePlan) -> Material | None:
    """The table's material, if its key names one for the way the socket is made."""
    found = MATERIALS.get(plan.material)
    return found if found is not None and found.process is plan.process else None


def layers_of(plan: ProvePlan) -> int:
    """Layers of cast tape or cloth, as stated or by default."""
    return plan.layers if plan.layers is not None else LAYERS.value


def layer_thickness_mm(plan: ProvePlan) -> float:
    """Thickness of one layer, as stated or by default."""
    return plan.layer_mm if plan.layer_mm is not None else LAYER_MM.value


def wall_thickness_mm(plan: ProvePlan) -> float:
    """Wall of the socket: layers times their thickness where it is built of layers."""
    if plan.process in LAYERED:
        return layers_of(plan) * layer_thickness_mm(plan)
    return plan.wall_mm if plan.wall_mm is not None else WALL_MM.value


def plate_thickness_mm(plan: ProvePlan) -> float:
    """Distal plate of the socket, as stated or by default."""
    return plan.distal_plate_mm if plan.distal_plate_mm is not None else FLOOR_MM.value


def wall_basis(plan: ProvePlan) -> Basis:
    """DEFAULT unless all that the wall's thickness follows from was stated."""
    if plan.process in LAYERED:
        stated = plan.layers is not None and plan.layer_mm is not None
    else:
        stated = plan.wall_mm is not None
    return Basis.GIVEN if stated else Basis.DEFAULT


def plate_basis(plan: ProvePlan) -> Basis:
    """DEFAULT unless the distal plate's thickness was stated."""
    return Basis.GIVEN if plan.distal_plate_mm is not None else Basis.DEFAULT


def allowable(plan: ProvePlan) -> Allowable:
    """What the material is credited with: own figure, else own coupons, else the table's.

    A print is weakened across its layers whoever measured it; a bent coupon's strength is cut for
    a wall that is stressed all through; round the screws every figure is halved. A figure without
    a source, or one that nobody is sure of, is not credited.

    Parameters
    ----------
    plan : ProvePlan
    """
    table = material_of(plan)
    failure = table.failure if table is not None else Failure.BRITTLE
    found = _figure(plan, table)
    if isinstance(found, str):
        return _nothing(plan, failure, found)
    return _credited(plan, table, failure, found)


def _figure(plan: ProvePlan, table: Material | None) -> _Figure | str:
    """The figure that counts, or why there is none."""
    own = plan.own_material
    if own.strength_mpa is not None:
        if not own.source.strip():
            return (
                f"{own.strength_mpa:g} MPa is entered for the material without a source; say where"
                " it was measured or who states it"
            )
        source = Source(Origin.STATED, own.source.strip(), Confidence.MEDIUM)
        return _Figure(own.strength_mpa, Basis.GIVEN, source, f"{own.strength_mpa:g} MPa")
    along = summarise(plan.coupons.specimens)
    if along is not None:
        return _from_coupons(plan, along)
    if table is None:
        return _unknown(plan)
    strength = table.strength_mpa
    if strength is None or strength.source.confidence is Confidence.LOW:
        return f"no strength of {table.name} is established; {_COUPON}"
    return _Figure(strength.value, Basis.DEFAULT, strength.source, f"{strength.value:g} MPa")


def _from_coupons(plan: ProvePlan, along: CouponSummary) -> _Figure | str:
    source = plan.coupons.source.strip()
    if not source:
        return "coupons are entered without a source; say which lay-up they are of and when"
    if along.lower_mpa is None:
        return along.says
    across = summarise(plan.coupons.specimens, CouponDirection.ROUND)
    return _Figure(
        along.lower_mpa,
        Basis.MEASURED,
        Source(Origin.STATED, f"{source}: {along.says}", Confidence.MEDIUM),
        along.says,
        COUPON_OF_WALL.value,
        across.lower_mpa if across is not None else None,
    )


def _credited(
    plan: ProvePlan, table: Material | None, failure: Failure, figure: _Figure
) -> Allowable:
    printed = plan.process is SocketProcess.PRINTED
    across = ACROSS_LAYERS.value if printed else 1.0
    wall_share = table.wall_share.value if table is not None else across
    plate_share = table.plate_share.value if table is not None else across
    if table is not None:
        round_share = table.round_share.value
    else:
        round_share = 1.0
    wall_mpa = figure.strength_mpa * wall_share * figure.wall_share
    round_mpa = figure.strength_mpa * round_share
    weakest_mpa = figure.strength_mpa * plate_share
    if figure.round_mpa is not None and not printed:
        # coupons cut round the socket replace the share of a published lay-up
        round_mpa = figure.round_mpa
        weakest_mpa = min(figure.strength_mpa, figure.round_mpa)
    bolted_mpa = weakest_mpa * BOLTED_ZONE.value
    name = table.name if table is not None else plan.material
    says = (
        f"{name}, {figure.says} ({failure.value}), of which {wall_mpa:.1f} MPa are credited"
        f" along the wall and {bolted_mpa:.1f} MPa round the screws"
    )
    modulus, modulus_source = _modulus(plan, table)
    return Allowable(
        wall_mpa,
        bolted_mpa,
        figure.strength_mpa,
        failure,
        figure.basis,
        figure.source,
        says,
        round_mpa,
        modulus,
        modulus_source,
    )


def _modulus(plan: ProvePlan, table: Material | None) -> tuple[float | None, Source | None]:
    """Own modulus with its source, else the coupons', else the table's."""
    own = plan.own_material
    if own.modulus_mpa is not None and own.source.strip():
        return own.modulus_mpa, Source(Origin.STATED, own.source.strip(), Confidence.MEDIUM)
    along = summarise(plan.coupons.specimens)
    source = plan.coupons.source.strip()
    if along is not None and along.modulus_mpa is not None and source:
        return along.modulus_mpa, Source(Origin.STATED, source, Confidence.MEDIUM)
    if table is None or table.modulus_mpa is None:
        return None, None
    return table.modulus_mpa.value, table.modulus_mpa.source


def _nothing(plan: ProvePlan, failure: Failure, why: str) -> Allowable:
    modulus, source = _modulus(plan, material_of(plan))
    return Allowable(None, None, None, failure, Basis.DEFAULT, None, why, None, modulus, source)


def _unknown(plan: ProvePlan) -> str:
    made = words(plan.process.value)
    known = ", ".join(key for key, item in MATERIALS.items() if item.process is plan.process)
    return (
        f'"{plan.material}" is no material of the table for a {made}; choose one of {known}, or'
        f" enter your own strength with its source: {_COUPON}"
    )
