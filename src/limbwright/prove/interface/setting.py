"""One limb in one socket with one engine: what every further computation starts from."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from limbwright.align.result import LoadCase
from limbwright.assess.plan import Liner
from limbwright.capture.plan import ScannedOver
from limbwright.capture.result import Limb
from limbwright.core.mesh import Vertices
from limbwright.core.sources import Basis
from limbwright.couple.result import Seat
from limbwright.prove.interface.engine import AnyEngine, Attempt, FittedSocket, attempt_all
from limbwright.prove.interface.stiffness import assumptions_of
from limbwright.prove.plan import ProvePlan
from limbwright.shape.result import SocketShape


@dataclass(frozen=True, slots=True, eq=False)
class Setting:
    """A limb, what it wears, its socket, its loads and the engine.

    Parameters
    ----------
    engine : InterfaceEngine
    limb : Limb
    liner : Liner
    scanned_over : ScannedOver
    plan : ProvePlan
    prepared : what the engine prepared for this limb
    shape : SocketShape
    normals : (n, 3) float64
        Directions in which the shape's vertices move.
    seat : Seat or None
    load_cases : tuple of LoadCase
    figures : Basis
        Weakest of what the pressures rest on.
    """

    engine: AnyEngine
    limb: Limb
    liner: Liner
    scanned_over: ScannedOver
    plan: ProvePlan
    prepared: Any
    shape: SocketShape
    normals: Vertices
    seat: Seat | None
    load_cases: tuple[LoadCase, ...]
    figures: Basis


def attempt_in(
    setting: Setting,
    shape: SocketShape,
    load_cases: tuple[LoadCase, ...],
) -> tuple[Attempt, FittedSocket]:
    """Load cases in another socket on the same limb.

    Raises
    ------
    NotConverged
        When donning finds no equilibrium.
    """
    fitted = setting.engine.with_socket(setting.prepared, shape, setting.seat)
    return attempt_all(setting.engine, fitted, load_cases), fitted


def attempt_with(
    setting: Setting, limb: Limb, liner: Liner, plan: ProvePlan
) -> tuple[Attempt, FittedSocket]:
    """All load cases with another limb or other figures in the same socket.

    Raises
    ------
    LimbwrightError
        When the limb cannot be prepared or donning finds no equilibrium.
    """
    prepared = _same_but_friction(setting, limb, liner, plan) or setting.engine.prepare(
        limb, liner, setting.scanned_over, plan
    )
    fitted = setting.engine.with_socket(prepared, setting.shape, setting.seat)
    return attempt_all(setting.engine, fitted, setting.load_cases), fitted


def _same_but_friction(setting: Setting, limb: Limb, liner: Liner, plan: ProvePlan) -> Any:
    """What was prepared, with another friction: it enters only where skin meets socket.

    None when more differs, or when the engine keeps its assumptions elsewhere.
    """
    before = assumptions_of(setting.liner, setting.plan.tissue)
    after = assumptions_of(liner, plan.tissue)
    same = replace(after, friction=before.friction, friction_basis=before.friction_basis)
    kept = getattr(setting.prepared, "assumed", None)
    if limb is not setting.limb or same != before or kept != before:
        return None
    return replace(setting.prepared, assumed=after)
