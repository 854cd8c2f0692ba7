"""Saying why finite elements found no equilibrium, in the words of the trade."""

from __future__ import annotations

import numpy as np

from limbwright.capture.result import Limb
from limbwright.core.errors import NotConverged
from limbwright.core.units import degrees
from limbwright.prove.interface.finite_elements.contact import turn_of
from limbwright.prove.interface.finite_elements.equilibrium import Model, Standing
from limbwright.prove.interface.finite_elements.sequence import Load, NotReached
from limbwright.prove.interface.loss import told
from limbwright.prove.tables import SMALL_MOTION_SHIFT_MM, SMALL_MOTION_TURN_DEG
from limbwright.shape.places import place_words

_CRUSHED = 0.1
"""Change of volume J under which an element is called crushed."""


def refusal(limb: Limb, model: Model, case: str, load: Load, stopped: NotReached) -> NotConverged:
    """Why a case has no equilibrium: names the case, how far it came, and what to change."""
    cause = stopped.cause
    shift_mm, turn_deg = _size(cause.standing)
    reached = f"{stopped.stage} came to {100 * stopped.share_reached:.0f} %"
    if not cause.gone and cause.smallest_change < _CRUSHED:
        nodes = model.bricks.hexahedra[cause.element]
        place = place_words(limb, model.nodes_mm[nodes].mean(axis=0))
        happens = f"the tissue is crushed {place}"
        remedy = "lessen the depth there, or check scan and bones"
    else:
        happens, remedy = told(_going(model, cause.standing), load.wrench)
        happens = f"the limb {happens}"
    return NotConverged(
        f"no equilibrium in load case {case}: {happens}; {reached} and contact leaves "
        f"{100 * min(cause.share, 1.0):.2g} % uncarried, with the limb moved {shift_mm:.0f} mm and "
        f"turned {turn_deg:.0f} degrees; {remedy}.",
        where=f"prove.interface.{case}",
        fields={
            "load_case": case,
            "stage": stopped.stage,
            "share_reached": stopped.share_reached,
            "unbalanced_share": cause.share,
            "shift_mm": shift_mm,
            "turn_deg": turn_deg,
        },
    )


def refuse_if_far(model: Model, case: str, load: Load, standing: Standing) -> None:
    """Refuse an equilibrium in which the limb is not held any longer.

    Raises
    ------
    NotConverged
    """
    shift_mm, turn_deg = _size(standing)
    most_mm, most_deg = SMALL_MOTION_SHIFT_MM.value, SMALL_MOTION_TURN_DEG.value
    if shift_mm <= most_mm and turn_deg <= most_deg:
        return
    happens, remedy = told(_going(model, standing), load.wrench)
    raise NotConverged(
        f"no equilibrium in load case {case}: the limb {happens}; it moves {shift_mm:.0f} mm and "
        f"{turn_deg:.0f} degrees before contact carries the load (at most {most_mm:g} mm and "
        f"{most_deg:g} degrees count as held); {remedy}.",
        where=f"prove.interface.{case}",
        fields={"load_case": case, "shift_mm": shift_mm, "turn_deg": turn_deg},
    )


def _size(standing: Standing) -> tuple[float, float]:
    pose = standing.pose
    return float(np.linalg.norm(pose.shift_mm)), degrees(float(np.linalg.norm(turn_of(pose))))


def _going(model: Model, standing: Standing) -> np.ndarray:
    """Motion of the limb against the socket, turns as shifts at the model's length."""
    pose = standing.pose
    return -np.concatenate([pose.shift_mm, model.length_mm * turn_of(pose)])
