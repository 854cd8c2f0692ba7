"""What is to be said about an aligned leg."""

from __future__ import annotations

import math
from collections.abc import Mapping

from limbwright.align.bench import adapter_plans
from limbwright.align.chain import Leg, LegPose, Tilt
from limbwright.align.gait_loads import MID, held_speed_m_s
from limbwright.align.loads import Walker
from limbwright.align.plan import AdapterPlace, AdapterPlan, AlignPlan
from limbwright.align.result import Adjustment, MomentCurve
from limbwright.align.screws import degrees_per_turn
from limbwright.align.tables import (
    PEAKS_BY_SPEED,
    PYLON_LEAN_DEG,
    RANGE_DEG,
    RESERVE_DEG,
    SCREWS,
    TESTED_SHIFT_MM,
    TESTED_TILT_DEG,
    VARUS_AT_MID_STANCE,
)
from limbwright.capture.result import Limb
from limbwright.core.findings import Finding, Severity
from limbwright.core.sources import Basis

STAGE = "align"


def adapter_findings(leg: Leg, adapters: Mapping[AdapterPlace, AdapterPlan]) -> tuple[Finding, ...]:
    """Whether each adapter can stand at the angle that the leg asks of it."""
    tilts = {AdapterPlace.SOCKET: leg.socket, AdapterPlace.FOOT: leg.foot}
    return tuple(_adapter(place, tilts[place], adapters[place]) for place in AdapterPlace)


def pylon_lean_deg(pose: LegPose) -> tuple[float, float]:
    """Lean of the pylon from upright: forward, and outward (top over bottom), degrees."""
    up = pose.ground_axes.T @ pose.pylon_axes[:, 2]
    return math.degrees(math.atan2(up[1], up[2])), math.degrees(math.atan2(up[0], up[2]))


def pylon_finding(pose: LegPose) -> Finding:
    """Whether the pylon stands upright, seen from the front and from the side."""
    forward, outward = pylon_lean_deg(pose)
    worst = max(forward, outward, key=abs)
    upright = abs(worst) <= PYLON_LEAN_DEG.value
    leans = ", ".join(
        f"{abs(angle):.1f} degrees {positive if angle > 0 else negative}"
        for angle, positive, negative in (
            (outward, "outward", "inward"),
            (forward, "forward", "back"),
        )
    )
    return Finding(
        stage=STAGE,
        code="pylon-upright" if upright else "pylon-leans",
        severity=Severity.OK if upright else Severity.NOTE,
        text=(
            f"The pylon's top leans {leans}."
            + ("" if upright else " Shift the seat or the foot to bring it upright.")
        ),
        where="pylon",
        value=abs(worst),
        limit=PYLON_LEAN_DEG.value,
        unit="deg",
        basis=Basis.ESTIMATED,
        source=PYLON_LEAN_DEG.source,
    )


def moment_finding(moments: MomentCurve) -> Finding:
    """Mid-stance is to have a slight varus moment, which an inset foot gives."""
    middle = len(moments.stance_percent) // 2
    coronal = moments.coronal_n_m[middle]
    varus = coronal > 0.0
    return Finding(
        stage=STAGE,
        code="varus-at-mid-stance" if varus else "valgus-at-mid-stance",
        severity=Severity.OK if varus else Severity.WARNING,
        text=(
            f"At {100 * MID:.0f} percent of stance the coronal moment at the {moments.at} is"
            f" {abs(coronal):.1f} N·m, driving the knee {'outward' if varus else 'inward'}"
            + ("." if varus else "; a slight varus moment is wanted: move the foot inward.")
        ),
        where=moments.at,
        value=coronal,
        limit=0.0,
        unit="N·m",
        basis=Basis.ESTIMATED,
        source=VARUS_AT_MID_STANCE,
    )


def adjustment_findings(plan: AlignPlan, adjustment: Adjustment) -> tuple[Finding, ...]:
    """Whether the wanted change can be made, and whether anyone has measured one as large."""
    shift = math.hypot(plan.wanted_forward_mm, plan.wanted_outward_mm)
    tilt = max(abs(plan.wanted_foot_flexion_deg), abs(plan.wanted_foot_adduction_deg))
    if shift == 0.0 and tilt == 0.0:
        return ()
    found = [
        Finding(
            stage=STAGE,
            code="change-feasible" if adjustment.feasible else "change-beyond-range",
            severity=Severity.OK if adjustment.feasible else Severity.WARNING,
            text=adjustment.text,
            where="adapters",
            basis=Basis.GIVEN,
            source=RESERVE_DEG.source,
        ),
        *_default_screws(plan, adjustment),
    ]
    for value, tested, unit in (
        (shift, TESTED_SHIFT_MM, "mm"),
        (tilt, TESTED_TILT_DEG, "deg"),
    ):
        if value > tested.value:
            found.append(
                Finding(
                    stage=STAGE,
                    code="change-beyond-tested",
                    severity=Severity.WARNING,
                    text=(
                        f"A change of {value:.0f} {'degrees' if unit == 'deg' else unit} at once is"
                        f" beyond the {tested.value:.0f} that gait studies measured; go in steps."
                    ),
                    where="foot",
                    value=value,
                    limit=tested.value,
                    unit=unit,
                    basis=Basis.GIVEN,
                    source=tested.source,
                )
            )
    return tuple(found)


def _default_screws(plan: AlignPlan, adjustment: Adjustment) -> tuple[Finding, ...]:
    """Turns hang on pitch and arm of the screws, which differ between parts."""
    fields = AdapterPlan.model_fields
    usual = (fields["screw_pitch_mm"].default, fields["screw_arm_mm"].default)
    turned = {turn.adapter for turn in adjustment.turns}
    assumed = [
        place.value
        for place, adapter in adapter_plans(plan).items()
        if place.value in turned and (adapter.screw_pitch_mm, adapter.screw_arm_mm) == usual
    ]
    if not assumed:
        return ()
    pitch_mm, arm_mm = usual
    return (
        Finding(
            stage=STAGE,
            code="turns-rest-on-default-screws",
            severity=Severity.NOTE,
            text=(
                f"The turns at the {' and '.join(assumed)} take screws of pitch {pitch_mm:g} mm"
                f" that press {arm_mm:g} mm from the ball's centre, by default; enter those of"
                " your adapters, or measure what one turn does."
            ),
            where="adapters",
            value=degrees_per_turn(pitch_mm, arm_mm),
            unit="deg per turn",
            basis=Basis.DEFAULT,
            source=SCREWS,
        ),
    )


def load_findings(walker: Walker) -> tuple[Finding, ...]:
    """What the walking loads rest on."""
    held = held_speed_m_s(walker.speed_m_s)
    text = (
        "Walking loads are those of able-bodied people at this mass and speed; a change of moment"
        " is an upper bound, since people adapt."
    )
    if held != walker.speed_m_s:
        text += f" Forces are held at those of {held:.1f} m/s, beyond which none are known here."
    return (
        Finding(
            stage=STAGE,
            code="loads-rest-on-able-bodied-walking",
            severity=Severity.NOTE,
            text=text,
            where="loads",
            value=walker.speed_m_s,
            unit="m/s",
            basis=walker.basis,
            source=PEAKS_BY_SPEED.source,
        ),
    )


def datum_finding(limb: Limb) -> tuple[Finding, ...]:
    """Every level and the length of the leg rest on the datum: say so when it is a guess."""
    datum = limb.landmarks.get("mid_patellar_tendon")
    if datum is None or datum.basis is not Basis.GUESSED:
        return ()
    return (
        Finding(
            stage=STAGE,
            code="datum-is-guessed",
            severity=Severity.WARNING,
            text=(
                "The mid-patellar tendon is a guess: heights, pylon and moments move with it."
                " Set the landmark."
            ),
            where="mid-patellar tendon",
            basis=Basis.GUESSED,
        ),
    )


def _adapter(place: AdapterPlace, tilt: Tilt, adapter: AdapterPlan) -> Finding:
    angles = {
        "flexion": math.degrees(tilt.flexion_rad),
        "adduction": math.degrees(tilt.adduction_rad),
    }
    plane = max(angles, key=lambda name: abs(angles[name]))
    angle, limit = angles[plane], adapter.range_deg
    room = limit - RESERVE_DEG.value
    # a saved case states every default, so that only another value is known to be stated
    given = limit != AdapterPlan.model_fields["range_deg"].default
    stands = (
        f"The {place.value} adapter stands at {angles['flexion']:.1f} degrees of flexion and"
        f" {angles['adduction']:.1f} of adduction"
    )
    if abs(angle) > limit:
        code, severity = "adapter-beyond-range", Severity.STOP if given else Severity.WARNING
        text = (
            f"{stands}: {abs(angle) - limit:.1f} beyond its range of {limit:.0f}. Tilt the seat"
            " towards the upright, or shift it over the foot."
        )
    elif abs(angle) > room:
        code, severity = "adapter-reserve-used", Severity.NOTE
        text = f"{stands}, {limit - abs(angle):.1f} short of its range: little is left to adjust."
    else:
        # what rests on a default is told, not approved
        code, severity = "adapter-within-range", Severity.OK if given else Severity.NOTE
        text = f"{stands}, within its range of {limit:.0f}."
    return Finding(
        stage=STAGE,
        code=code,
        severity=severity,
        text=text,
        where=f"{place.value} adapter",
        value=abs(angle),
        limit=limit,
        unit="deg",
        basis=Basis.GIVEN if given else Basis.DEFAULT,
        source=None if given else RANGE_DEG,
    )
