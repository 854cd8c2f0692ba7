"""How the leg stands: what was planned on the bench, and where it is after the turns."""

from __future__ import annotations

import math
from collections.abc import Mapping

from limbwright.align.bench import BenchSettings
from limbwright.align.chain import Leg, LegPose, datum_height_mm
from limbwright.align.checks import pylon_lean_deg
from limbwright.core.mesh import Vector
from limbwright.core.sources import Basis
from limbwright.couple.result import BuildHeight

Settings = Mapping[str, tuple[float, str, Basis]]


def planned_settings(bench: BenchSettings) -> Settings:
    """What the bench is set to, before any adapter is turned from it; defaults marked."""
    basis = bench.bases
    return {
        "socket flexion": (bench.socket_flexion_deg, "deg", basis["socket_flexion"]),
        "socket adduction": (bench.socket_adduction_deg, "deg", basis["socket_adduction"]),
        "foot inset": (bench.foot_inset_mm, "mm", basis["foot_inset"]),
        "ankle forward of plumb line": (bench.ankle_forward_mm, "mm", basis["ankle_forward"]),
        "toe-out": (bench.toe_out_deg, "deg", basis["toe_out"]),
    }


def standing_settings(
    planned: Settings,
    leg: Leg,
    pose: LegPose,
    plumb_mm: Vector,
    height: BuildHeight,
    *,
    turned: bool,
) -> Settings:
    """How the leg stands, and what follows from it.

    A leg that was turned from its bench position stands with its sole level again: socket and
    plumb line have then tipped over the foot, so that every angle and shift is measured anew.

    Parameters
    ----------
    planned : Settings
        As `planned_settings` has them: how the leg stands while nothing is turned.
    leg : Leg
    pose : LegPose
        Of that leg.
    plumb_mm : (3,) float64, limb frame
        Where the plumb line starts.
    height : BuildHeight
    turned : bool
        Whether any adapter was turned from the bench position.
    """
    forward_deg, outward_deg = pylon_lean_deg(pose)
    bases = {item.basis for item in height.items}
    height_basis = Basis.DEFAULT if Basis.DEFAULT in bases else height.datum_basis
    return {
        **(_measured(planned, pose, plumb_mm) if turned else planned),
        "socket adapter flexion": _angle(leg.socket.flexion_rad),
        "socket adapter adduction": _angle(leg.socket.adduction_rad),
        "foot adapter flexion": _angle(leg.foot.flexion_rad),
        "foot adapter adduction": _angle(leg.foot.adduction_rad),
        "tube turned outward": _angle(leg.twist_rad),
        "pylon leans forward": (forward_deg, "deg", Basis.ESTIMATED),
        "pylon leans outward": (outward_deg, "deg", Basis.ESTIMATED),
        "pylon": (leg.pylon_mm, "mm", height_basis),
        "datum to floor": (datum_height_mm(pose), "mm", height.datum_basis),
    }


def _measured(planned: Settings, pose: LegPose, plumb_mm: Vector) -> Settings:
    """The planned settings as they are after the turns; one that did not change keeps its basis."""
    ankle = (pose.points_mm["ankle"] - plumb_mm) @ pose.ground_axes
    limb_axis = pose.ground_axes[2]
    foot = (pose.points_mm["toe"] - pose.points_mm["heel"]) @ pose.ground_axes
    values = {
        "socket flexion": math.degrees(math.asin(limb_axis[1])),
        "socket adduction": math.degrees(math.atan2(limb_axis[0], limb_axis[2])),
        "foot inset": -float(ankle[0]),
        "ankle forward of plumb line": float(ankle[1]),
        "toe-out": math.degrees(math.atan2(foot[0], foot[1])),
    }
    return {
        name: (now, unit, basis if math.isclose(now, before, abs_tol=1e-6) else Basis.ESTIMATED)
        for name, (before, unit, basis) in planned.items()
        for now in (values[name],)
    }


def _angle(angle_rad: float) -> tuple[float, str, Basis]:
    return math.degrees(angle_rad), "deg", Basis.ESTIMATED
