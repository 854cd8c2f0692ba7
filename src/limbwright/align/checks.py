"""What is to be said about an aligned leg."""

from __future__ import annotations

import math

from limbwright.align.adapters import Adapter, Adapters
from limbwright.align.adjust import adapter_name
from limbwright.align.chain import Leg, LegPose
from limbwright.align.freedoms import Freedom, freedoms_of, value_of
from limbwright.align.gait_loads import MID, held_speed_m_s
from limbwright.align.loads import Walker, moment_curve
from limbwright.align.moves import FootChange
from limbwright.align.plan import AdapterKind
from limbwright.align.result import Adjustment, MomentCurve
from limbwright.align.screws import degrees_per_turn
from limbwright.align.tables import (
    ADDED_HEIGHT_MM,
    CLAMP_RANGE_MM,
    OFFSET_RANGE_MM,
    PEAKS_BY_SPEED,
    PYLON_LEAN_DEG,
    PYRAMID_RANGE_DEG,
    RESERVE_DEG,
    ROTATION_RANGE_DEG,
    SCREWS,
    SLIDE_RANGE_MM,
    SOCKET_BASE_BANDS,
    TESTED_SHIFT_MM,
    TESTED_TILT_DEG,
    VARUS_AT_MID_STANCE,
)
from limbwright.capture.leg_table import PLACES
from limbwright.capture.result import Limb
from limbwright.core.findings import Finding, Severity
from limbwright.core.sources import Basis, Confidence, Origin, Source
from limbwright.core.units import STANDARD_GRAVITY_M_S2

STAGE = "align"
STATED_RANGE = Source(Origin.STATED, "range of the adapter in hand", Confidence.HIGH)
_RANGE_SOURCE = {
    AdapterKind.PYRAMID: PYRAMID_RANGE_DEG.source,
    AdapterKind.SLIDE: SLIDE_RANGE_MM.source,
    AdapterKind.ROTATION: ROTATION_RANGE_DEG.source,
    AdapterKind.TUBE_CLAMP: CLAMP_RANGE_MM.source,
    AdapterKind.OFFSET: OFFSET_RANGE_MM.source,
}
_OF = {
    "flexion": "flexion",
    "adduction": "adduction",
    "forward": "shift forward",
    "outward": "shift outward",
    "turn": "turn outward",
    "length": "length drawn out",
}


def adapter_findings(leg: Leg, adapters: Adapters) -> tuple[Finding, ...]:
    """Whether each adapter can stand where the leg asks it to."""
    return tuple(
        _adapter(leg, one, freedom)
        for one in adapters
        if (freedom := most_used(leg, one)) is not None
    )


def most_used(leg: Leg, adapter: Adapter) -> Freedom | None:
    """Of what an adapter lets one move, what has gone farthest of its range; None if nothing."""
    freedoms = freedoms_of((adapter,))
    if not freedoms:
        return None
    return max(freedoms, key=lambda one: abs(value_of(leg, one)) / one.range)


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
        text=(f"The pylon's top leans {leans}."),
        where="pylon",
        value=abs(worst),
        limit=PYLON_LEAN_DEG.value,
        unit="deg",
        basis=Basis.ESTIMATED,
        source=PYLON_LEAN_DEG.source,
        remedy="" if upright else "the seat or the foot shifted to bring it upright",
        entry="" if upright else "align.foot_forward_mm",
        usual=True,
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
            + ("." if varus else "; a slight varus moment is wanted.")
        ),
        where=moments.at,
        value=coronal,
        limit=0.0,
        unit="N·m",
        basis=Basis.ESTIMATED,
        source=VARUS_AT_MID_STANCE,
        remedy="" if varus else "the foot moved inward",
        entry="" if varus else "align.foot_inset_mm",
        at_least=True,
    )


def adjustment_findings(
    wanted: FootChange, adjustment: Adjustment, adapters: Adapters
) -> tuple[Finding, ...]:
    """Whether the wanted change can be made, and whether anyone has measured one as large.

    A wish is none of the leg as it stands: these are notes, and say of what they speak.
    """
    if wanted.is_none:
        return ()
    shift = math.hypot(wanted.forward_mm, wanted.outward_mm)
    tilt = max(abs(wanted.flexion_deg), abs(wanted.adduction_deg))
    found = [
        Finding(
            stage=STAGE,
            code="change-feasible" if adjustment.feasible else "change-beyond-range",
            severity=Severity.OK if adjustment.feasible else Severity.NOTE,
            text=f"For the wanted change: {adjustment.text}",
            where="adapters",
            value=math.hypot(adjustment.missing_forward_mm, adjustment.missing_outward_mm),
            limit=0.0,
            unit="mm",
            basis=Basis.GIVEN,
            source=RESERVE_DEG.source,
        ),
        *_default_screws(adjustment, adapters),
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
                    severity=Severity.NOTE,
                    text=(
                        f"A wanted change of {value:.0f}"
                        f" {'degrees' if unit == 'deg' else unit} at once is"
                        f" beyond the {tested.value:.0f} that gait studies measured."
                    ),
                    where="foot",
                    value=value,
                    limit=tested.value,
                    unit=unit,
                    basis=Basis.GIVEN,
                    source=tested.source,
                    remedy="smaller steps",
                    entry="align.wanted_forward_mm"
                    if unit == "mm"
                    else "align.wanted_foot_flexion_deg",
                )
            )
    return tuple(found)


def _default_screws(adjustment: Adjustment, adapters: Adapters) -> tuple[Finding, ...]:
    """Turns hang on pitch and arm of the screws, which differ between parts."""
    turned = {turn.adapter for turn in adjustment.turns}
    assumed = [one for one in adapters if one.name in turned and one.screw_basis is Basis.DEFAULT]
    if not assumed:
        return ()
    pitch_mm, arm_mm = assumed[0].screw_pitch_mm, assumed[0].screw_arm_mm
    return (
        Finding(
            stage=STAGE,
            code="turns-rest-on-default-screws",
            severity=Severity.NOTE,
            text=(
                f"The turns at the {' and '.join(one.name for one in assumed)} take screws of"
                f" pitch {pitch_mm:g} mm that press {arm_mm:g} mm from the ball's centre, by"
                " default."
            ),
            where="adapters",
            value=degrees_per_turn(pitch_mm, arm_mm),
            unit="deg per turn",
            basis=Basis.DEFAULT,
            source=SCREWS,
            remedy="the screws of your adapters, entered, or what one turn does, measured",
            entry="align.adapters",
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
            remedy="the person's own walking speed, timed and entered",
            entry="person.walking_speed_m_s",
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
            text=("The mid-patellar tendon is a guess: heights, pylon and moments move with it."),
            where="mid-patellar tendon",
            basis=Basis.GUESSED,
            source=PLACES.source,
            remedy="the landmark set on the limb",
            entry="capture.landmarks.points.mid_patellar_tendon",
        ),
    )


def _adapter(leg: Leg, adapter: Adapter, freedom: Freedom) -> Finding:
    used = [
        (one, math.degrees(value_of(leg, one)) if one.is_angle else value_of(leg, one))
        for one in freedoms_of((adapter,))
    ]
    value = next(amount for one, amount in used if one == freedom)
    limit = adapter.range_deg if freedom.is_angle else adapter.range_mm
    room = limit - (RESERVE_DEG.value if freedom.is_screwed else 0.0)
    given = adapter.range_basis is Basis.GIVEN
    unit = "degrees" if freedom.is_angle else "mm"
    stands = f"The {adapter_name(adapter.name)} stands at " + " and ".join(
        f"{amount:.1f} {'degrees' if one.is_angle else 'mm'} of {_OF[one.what]}"
        for one, amount in used
    )
    if abs(value) > limit + 1e-9:
        code, severity = "adapter-beyond-range", Severity.STOP if given else Severity.WARNING
        text = f"{stands}: {abs(value) - limit:.1f} {unit} beyond its range of {limit:g} {unit}."
    elif abs(value) > room:
        code, severity = "adapter-reserve-used", Severity.NOTE
        left = f"{limit - abs(value):.1f} {unit}"
        text = f"{stands}, {left} short of its range: little is left to adjust."
    else:
        # what rests on a default is told, not approved
        code, severity = "adapter-within-range", Severity.OK if given else Severity.NOTE
        text = f"{stands}, within its range of {limit:g} {unit}."
    return Finding(
        stage=STAGE,
        code=code,
        severity=severity,
        text=text,
        where=adapter_name(adapter.name),
        value=abs(value),
        limit=limit,
        unit="deg" if freedom.is_angle else "mm",
        basis=adapter.range_basis,
        source=STATED_RANGE if given else _RANGE_SOURCE[adapter.kind],
        remedy="a seat tilted towards the upright, or shifted over the foot",
        entry="couple.coupling.axis",
    )


def band_finding(leg: Leg, walker: Walker) -> Finding:
    """The moments at the socket's base beside what is remembered of measured ones."""
    mass_kg = walker.body_weight_n / STANDARD_GRAVITY_M_S2
    curve = moment_curve(leg, walker, "socket base")
    extension = max(curve.sagittal_n_m) / mass_kg
    flexion = -min(curve.sagittal_n_m) / mass_kg
    coronal = max(curve.coronal_n_m, key=abs) / mass_kg
    bands = SOCKET_BASE_BANDS.value
    told = (
        ("extension peak", extension, bands["sagittal"]),
        ("early flexion peak", flexion, bands["early flexion"]),
        ("greatest coronal moment", abs(coronal), bands["coronal"]),
    )
    beside = "; ".join(
        f"{name} {value:.2f} beside {low:g} to {high:g}" for name, value, (low, high) in told
    )
    return Finding(
        stage=STAGE,
        code="moments-beside-measured-ones",
        severity=Severity.NOTE,
        text=(
            f"At the socket's base, in N·m/kg: {beside}. The bands are remembered orders of"
            " magnitude and decide nothing; the computed moments take no account of how this"
            " person adapts."
        ),
        where="socket base",
        value=extension,
        limit=bands["sagittal"][1],
        unit="N·m/kg",
        basis=Basis.ESTIMATED,
        source=SOCKET_BASE_BANDS.source,
        usual=True,
    )


def added_height_findings(adapters: Adapters) -> tuple[Finding, ...]:
    """What added adapters cost in height, where it is a default."""
    assumed = [one for one in adapters if one.height_basis is Basis.DEFAULT and one.height_mm > 0]
    if not assumed:
        return ()
    return (
        Finding(
            stage=STAGE,
            code="added-heights-rest-on-defaults",
            severity=Severity.NOTE,
            text=(
                "Heights by default: "
                + ", ".join(f"{one.name} {one.height_mm:g} mm" for one in assumed)
                + ". The tube is cut for them."
            ),
            where="adapters",
            value=sum(one.height_mm for one in assumed),
            unit="mm",
            basis=Basis.DEFAULT,
            source=ADDED_HEIGHT_MM.source,
            remedy="the heights of your adapters, stated",
            entry="align.adapters",
        ),
    )
