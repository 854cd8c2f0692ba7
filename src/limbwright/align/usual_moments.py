"""Moments of legs that walk well, as far as they are published, beside what is seen of a walk.

Published are directions, not sizes: flexion and then extension at the socket's base, a slight
varus moment at the knee in mid-stance. A computed moment therefore speaks against what is seen
only where it falls short of the usual direction while the walk seems to have more of it. How much
of the usual direction is too much is not established, and nothing is accused on it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from limbwright.align.chain import Leg, LegPose
from limbwright.align.deviations import MomentSeen
from limbwright.align.gait_loads import EARLY, LATE, MID
from limbwright.align.loads import Walker, stance_forces
from limbwright.align.tables import CLEAR_N_M, SAGITTAL_PATTERN, UNLOADED, VARUS_AT_MID_STANCE
from limbwright.core.mesh import Scalars, Vector
from limbwright.core.sources import Source
from limbwright.core.units import n_m_from_n_mm

_WORDS = {
    ("coronal", 1.0): "drives the knee outward",
    ("coronal", -1.0): "drives the knee inward",
    ("sagittal", 1.0): "drives the knee back, straight",
    ("sagittal", -1.0): "lets the knee flex",
}


@dataclass(frozen=True, slots=True, eq=False)
class Usual:
    """Which way a moment goes in people who walk well on such a leg.

    Parameters
    ----------
    plane, when, place : str
        "coronal" or "sagittal"; the time in words; "socket base" or "knee".
    stance : (n,) float64
        Instants of stance among which the one that goes furthest in this direction counts.
    direction : float
        1 or -1, signs as in MomentCurve.
    source : Source
    """

    plane: str
    when: str
    place: str
    stance: Scalars
    direction: float
    source: Source

    def read(self, leg: Leg, pose: LegPose, walker: Walker, knee_mm: Vector) -> float:
        """The moment of this leg that is to be compared, N·m."""
        about_mm = {"socket base": leg.base_mm, "knee": knee_mm}[self.place]
        forces = stance_forces(leg, pose, walker, self.stance)
        about = n_m_from_n_mm(1.0) * forces.moments_n_mm(about_mm) @ pose.ground_axes
        values = about[:, 1 if self.plane == "coronal" else 0]
        return float(values[(self.direction * values).argmax()])

    def named(self) -> str:
        """In words."""
        return f"{self.plane.capitalize()} moment at the {self.place} {self.when}"


USUAL = {
    MomentSeen.SAGITTAL_EARLY: Usual(
        "sagittal",
        "in early stance, where it flexes most,",
        "socket base",
        np.linspace(UNLOADED.value, EARLY, 21),
        -1.0,
        SAGITTAL_PATTERN,
    ),
    MomentSeen.SAGITTAL_LATE: Usual(
        "sagittal", "in late stance", "socket base", np.array([LATE]), 1.0, SAGITTAL_PATTERN
    ),
    MomentSeen.CORONAL_MID: Usual(
        "coronal", "in mid-stance", "knee", np.array([MID]), 1.0, VARUS_AT_MID_STANCE
    ),
}


def contradiction(usual: Usual, seen: float, value_n_m: float) -> str:
    """Why this leg's moment cannot be behind what is seen; "" where nothing established says so.

    Parameters
    ----------
    usual : Usual
    seen : float
        Direction of which the walk seems to have too much.
    value_n_m : float
        This leg's moment.
    """
    if seen != usual.direction or seen * value_n_m > -CLEAR_N_M.value:
        return ""
    return (
        f"{usual.named()} is computed as {abs(value_n_m):.1f} N·m and"
        f" {_WORDS[usual.plane, -seen]}, where people who walk well have one that"
        f" {_WORDS[usual.plane, seen]}: what was seen does not come from it. Look at fit, pain, the"
        " foot's own stiffness and how the person walks first."
    )


def remark(usual: Usual, seen: float, value_n_m: float) -> str:
    """What the moment says where it does not contradict what is seen."""
    told = f"{usual.named()} is computed as {abs(value_n_m):.1f} N·m"
    if seen != usual.direction and seen * value_n_m >= CLEAR_N_M.value:
        return (
            f"{told} and {_WORDS[usual.plane, seen]}, where people who walk well have one that"
            f" {_WORDS[usual.plane, usual.direction]}: it goes with what was seen."
        )
    return (
        f"{told}. How large it may be is not established: it neither supports nor contradicts"
        " what was seen."
    )
