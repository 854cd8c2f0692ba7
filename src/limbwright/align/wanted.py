"""What is wanted of the foot: as stated, or as a wanted moment on the socket asks for it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from limbwright.align.chain import Leg, LegPose, stand
from limbwright.align.gait_loads import MID
from limbwright.align.loads import Walker, stance_forces
from limbwright.align.moves import FootChange, moved_pose
from limbwright.align.plan import AlignPlan
from limbwright.core.mesh import Scalars
from limbwright.core.units import n_m_from_n_mm


def wanted_change(plan: AlignPlan, leg: Leg, walker: Walker) -> FootChange:
    """The change of the foot that is wanted, moments turned into shifts."""
    stated = FootChange(
        plan.wanted_forward_mm,
        plan.wanted_outward_mm,
        plan.wanted_foot_flexion_deg,
        plan.wanted_foot_adduction_deg,
        plan.wanted_up_mm,
        plan.wanted_toe_out_deg,
    )
    return shift_for_moments(leg, stated, walker, plan.wanted_coronal_n_m, plan.wanted_sagittal_n_m)


def shift_for_moments(
    leg: Leg,
    stated: FootChange,
    walker: Walker,
    coronal_n_m: float | None,
    sagittal_n_m: float | None,
) -> FootChange:
    """The shift of the foot that gives wanted moments at the datum at mid-stance.

    The force keeps its place on the foot, so that moments are linear in its shift: the answer is
    exact. What is wanted besides a moment is made first.

    Parameters
    ----------
    leg : Leg
    stated : FootChange
        Its outward shift gives way to a coronal moment, its forward shift to a sagittal one.
    walker : Walker
    coronal_n_m, sagittal_n_m : float or None
    """
    wanted = (coronal_n_m, sagittal_n_m)
    names = ("outward_mm", "forward_mm")
    asked = [number for number, value in enumerate(wanted) if value is not None]
    if not asked:
        return stated
    still = replace(stated, **{names[number]: 0.0 for number in asked})

    def moments(change: FootChange) -> Scalars:
        pose = moved_pose(leg, change)
        return _at_mid_stance(leg, pose, walker)[asked]

    base = moments(still)
    slopes = np.column_stack(
        [moments(replace(still, **{names[number]: 1.0})) - base for number in asked]
    )
    goal = np.array([wanted[number] for number in asked], dtype=np.float64)
    shifts = np.linalg.solve(slopes, goal - base)
    return replace(
        still, **{names[number]: float(mm) for number, mm in zip(asked, shifts, strict=True)}
    )


def coronal_and_sagittal_n_m(leg: Leg, walker: Walker) -> tuple[float, float]:
    """Moments at the datum at mid-stance as the leg stands."""
    coronal, sagittal = _at_mid_stance(leg, stand(leg), walker)
    return float(coronal), float(sagittal)


def _at_mid_stance(leg: Leg, pose: LegPose, walker: Walker) -> Scalars:
    about = stance_forces(leg, pose, walker, np.array([MID])).moments_n_mm(np.zeros(3))
    turned = n_m_from_n_mm(1.0) * about[0] @ pose.ground_axes
    return np.array([turned[1], turned[0]])
