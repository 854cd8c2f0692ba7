"""Legs whose places and moments can be worked out by hand."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from coupling_bodies import END_MM, LINER, person, round_limb_and_socket
from limbwright.align.chain import Leg, Tilt
from limbwright.align.loads import Walker
from limbwright.align.plan import AlignPlan
from limbwright.align.result import Alignment
from limbwright.align.setup import set_up
from limbwright.assess.assessment import assess
from limbwright.assess.plan import Person
from limbwright.core.frame import Side
from limbwright.core.sources import Basis
from limbwright.couple.plan import CouplePlan
from limbwright.couple.result import Coupling
from limbwright.couple.seating import seat_coupling

WALKER = Walker(800.0, 1.2, Basis.GIVEN)


def straight_leg(between_mm: float = 200.0, toe_out_rad: float = 0.0) -> Leg:
    """A leg that hangs straight down the limb's axis, every angle zero.

    Datum 480 mm over the ground when the adapters stand 200 mm apart.
    """
    return Leg(
        base_mm=np.array([0.0, 0.0, -185.0]),
        plate_axes=np.eye(3),
        plate_mm=15.0,
        socket_adapter_mm=20.0,
        pylon_mm=between_mm - 40.0,
        foot_adapter_mm=20.0,
        sole_mm=80.0,
        foot_length_mm=260.0,
        socket=Tilt(0.0, 0.0),
        foot=Tilt(0.0, 0.0),
        twist_rad=toe_out_rad,
        toe_out_rad=toe_out_rad,
    )


@lru_cache
def coupled(
    plan: CouplePlan, end_mm: float = END_MM, side: Side = Side.RIGHT, who: Person | None = None
) -> Coupling:
    """A coupling under the round-ended limb."""
    limb, shape = round_limb_and_socket(end_mm=end_mm, side=side)
    return seat_coupling(limb, shape, plan, who or person(side), LINER)


def aligned(
    plan: AlignPlan | None = None,
    couple: CouplePlan | None = None,
    end_mm: float = END_MM,
    side: Side = Side.RIGHT,
    who: Person | None = None,
) -> Alignment:
    """The aligned leg under the round-ended limb."""
    couple = couple or CouplePlan()
    who = who or person(side)
    limb, shape = round_limb_and_socket(end_mm=end_mm, side=side)
    coupling = coupled(couple, end_mm, side, who)
    plan = plan or AlignPlan()
    return set_up(limb, shape, coupling, plan, who, assess(who), couple.parts)
