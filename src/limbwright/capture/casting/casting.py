"""The whole cast: from limb, liner, person and coupling to parts, quantities and warnings."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from limbwright.assess.plan import Liner, LinerMaterial
from limbwright.capture.casting.filling import filling
from limbwright.capture.casting.marks import TrimHeights, around_words, hands, marks
from limbwright.capture.casting.plan import CastingPlan
from limbwright.capture.casting.result import Casting, SealedDummy, Wrap
from limbwright.capture.casting.tables import (
    COUNTED_ON_SCAN,
    EVENTS,
    EXIT_FROM_SHIN_DEG,
    FILM_RANGE_MM,
    LAYERS_CARRIED,
    RESIN_HARMS,
    RING_SQUEEZE_MM,
    RING_WIDTH_MM,
    THICK_WRAP_LAYERS,
    WATER_STOP_C,
    WATER_WARN_C,
)
from limbwright.capture.casting.wrap import usual_layers, wrap
from limbwright.capture.measure import volume_below_ml, whole_below_u_mm
from limbwright.capture.plan import ScannedOver
from limbwright.capture.result import Limb
from limbwright.core.findings import Finding, Severity
from limbwright.core.mesh import vertex_normals, with_vertices
from limbwright.core.sources import Basis, Source

STAGE = "capture"
_RIM_ROOM_MM = 3.0
"""Kept below the rim, which the liner's thickness moves a little."""


@dataclass(frozen=True, slots=True)
class CouplingBody:
    """What the casting must know of the coupling.

    Parameters
    ----------
    body_mm, height_mm : float
    spacing_mm : float
        Gap between the cap and the coupling's face.
    screw_square_mm : float
    exit_deg : float or None
        Direction of button, cord or valve; None without one.
    exit_mm : float
    """

    body_mm: float
    height_mm: float
    spacing_mm: float
    screw_square_mm: float
    exit_deg: float | None
    exit_mm: float


def plan_casting(
    limb: Limb,
    liner: Liner,
    mass_kg: float,
    over: ScannedOver,
    trim: TrimHeights,
    coupling: CouplingBody | None,
    walked_in: bool,
    plan: CastingPlan,
) -> Casting:
    """How the cast of this limb is taken and filled, and what to beware of.

    Parameters
    ----------
    limb : Limb
    liner : Liner
    mass_kg : float
    over : ScannedOver
        Whether the scan holds the liner already.
    trim : TrimHeights
    coupling : CouplingBody or None
        None where nothing is built into the cast.
    walked_in : bool
        Whether the socket is a walking cast; the plan may say otherwise.
    plan : CastingPlan
    """
    liner_mm = 0.0 if over is ScannedOver.LINER else liner.thickness_mm
    walked = walked_in if plan.walked_in is None else plan.walked_in
    upper = min(trim.highest_mm + plan.above_trim_mm, _rim_mm(limb))
    taped = wrap(limb.surface, liner_mm, upper, mass_kg, walked, plan)
    dummy = _dummy(coupling, liner, limb) if coupling is not None else None
    inside = with_vertices(
        limb.surface, limb.surface.vertices + liner_mm * vertex_normals(limb.surface)
    )
    poured = filling(
        volume_below_ml(inside, -upper),
        dummy,
        plan.dummy_in_place,
        plan.plaster_water_percent / 100.0,
        max((row.ml_mm for row in limb.measures.levels), default=0.0) + 2.0 * liner_mm,
    )
    return Casting(
        dummy=dummy,
        film=plan.film,
        film_girth_mm=2.0 * math.pi * plan.film_mm if plan.film else 0.0,
        wrap=taped,
        water_c=plan.water_c,
        events=EVENTS.value if walked else EVENTS.value[:-1],
        hands=hands(limb.landmarks),
        marks=marks(
            limb.landmarks, trim, coupling.screw_square_mm if coupling else None, limb.side
        ),
        filling=poured,
        findings=(
            _water_finding(plan),
            _film_finding(plan, liner),
            _layers_finding(taped, mass_kg, walked, plan),
            *_dummy_findings(coupling, liner, limb),
            *_rim_finding(limb, trim, plan, upper),
        ),
    )


def _rim_mm(limb: Limb) -> float:
    """Highest level at which the scan is whole."""
    return whole_below_u_mm(limb.surface) - _RIM_ROOM_MM


def _dummy(coupling: CouplingBody, liner: Liner, limb: Limb) -> SealedDummy:
    cap = liner.cap_diameter_mm
    exit_words = "none"
    if coupling.exit_deg is not None:
        exit_words = around_words(coupling.exit_deg, limb.side)
    return SealedDummy(
        body_mm=coupling.body_mm,
        height_mm=coupling.height_mm,
        ring_outside_mm=cap,
        ring_inside_mm=max(cap - 2.0 * RING_WIDTH_MM.value, 0.0),
        ring_height_mm=coupling.spacing_mm + RING_SQUEEZE_MM.value,
        exit_mm=coupling.exit_mm if coupling.exit_deg is not None else 0.0,
        exit_words=exit_words,
    )


def _finding(
    code: str,
    severity: Severity,
    text: str,
    *,
    where: str = "cast",
    value: float | None = None,
    limit: float | None = None,
    unit: str = "",
    basis: Basis = Basis.GIVEN,
    source: Source,
    remedy: str = "",
    entry: str = "",
    at_least: bool = False,
) -> Finding:
    return Finding(
        stage=STAGE,
        code=code,
        severity=severity,
        text=text,
        where=where,
        value=value,
        limit=limit,
        unit=unit,
        basis=basis,
        source=source,
        remedy=remedy,
        entry=entry,
        at_least=at_least,
    )


def _water_finding(plan: CastingPlan) -> Finding:
    water, warn, stop = plan.water_c, WATER_WARN_C, WATER_STOP_C
    if water > stop.value and not plan.hot_water_confirmed:
        severity, text, limit = (
            Severity.STOP,
            "is too hot to dip tape or plaster in: a curing cast burns",
            stop,
        )
    elif water > warn.value:
        severity, text, limit = (
            Severity.WARNING,
            "is warmer than is safe whatever the layers; it also shortens the working time",
            warn,
        )
    else:
        severity, text, limit = Severity.OK, "is cool enough whatever the layers", warn
    return _finding(
        "water-temperature" if severity is Severity.OK else "water-hot",
        severity,
        f"Water of {water:g} °C {text}",
        value=water,
        limit=limit.value,
        unit="degC",
        source=limit.source,
        remedy=""
        if severity is Severity.OK
        else "cooler water, or hot_water_confirmed with what protects the skin"
        if severity is Severity.STOP
        else "cooler water",
        entry="" if severity is Severity.OK else "capture.casting.water_c",
    )


def _film_finding(plan: CastingPlan, liner: Liner) -> Finding:
    if liner.material is LinerMaterial.NONE:
        return _finding(
            "cast-without-liner",
            Severity.WARNING,
            "No liner lies under the cast: uncured resin may not touch skin",
            source=RESIN_HARMS,
            remedy="a stocking and film over the skin",
            entry="capture.casting.film",
        )
    if plan.film:
        girth = 2.0 * math.pi * plan.film_mm
        return _finding(
            "film-under-tape",
            Severity.NOTE,
            f"Film smooth and without folds between liner and tape; it adds {girth:.1f} mm of"
            " girth, and a fold prints into the socket",
            value=girth,
            unit="mm",
            source=FILM_RANGE_MM.source,
            entry="capture.casting.film_mm",
            remedy="another thickness of film",
        )
    if liner.fabric_faced is False:
        return _finding(
            "no-film",
            Severity.NOTE,
            "No film: resin still harms some liners; see its maker",
            source=RESIN_HARMS,
        )
    known = liner.fabric_faced is True
    return _finding(
        "fabric-without-film",
        Severity.WARNING if known else Severity.NOT_ESTABLISHED,
        "A fabric-faced liner bonds to fresh resin"
        if known
        else "Whether the liner's outside is fabric was not said: fabric bonds to fresh resin",
        where="liner",
        source=RESIN_HARMS,
        remedy="film between" if known else "film between, or what the liner's outside is",
        entry="capture.casting.film" if known else "liner.fabric_faced",
    )


def _layers_finding(taped: Wrap, mass_kg: float, walked: bool, plan: CastingPlan) -> Finding:
    usual = usual_layers(mass_kg, walked)
    few, thick = taped.layers < usual, taped.layers > THICK_WRAP_LAYERS.value
    text = f"{taped.layers} layers, {taped.layers_from}"
    if thick:
        text += "; a wrap so thick gets hot while it sets: let each part cool"
    if few:
        text += f"; {usual} are usual"
    if walked:
        text += ". What it bears is a matter for prove, and for your own bend test of this tape"
    return _finding(
        "cast-layers",
        Severity.WARNING if few or thick else Severity.NOTE,
        text,
        value=float(taped.layers),
        limit=float(usual),
        basis=Basis.GIVEN if plan.layers is not None else Basis.DEFAULT,
        source=LAYERS_CARRIED.source,
        remedy="the number of layers",
        entry="capture.casting.layers",
        at_least=few,
    )


def _dummy_findings(coupling: CouplingBody | None, liner: Liner, limb: Limb) -> tuple[Finding, ...]:
    if coupling is None:
        return ()
    found = []
    if coupling.body_mm < liner.cap_diameter_mm:
        found.append(
            _finding(
                "ring-not-carried",
                Severity.WARNING,
                f"The dummy ({coupling.body_mm:g} mm) is narrower than the liner's cap"
                f" ({liner.cap_diameter_mm:g} mm): the sealing ring on the cap's rim finds no"
                " face",
                where="coupling dummy",
                value=coupling.body_mm,
                limit=liner.cap_diameter_mm,
                unit="mm",
                basis=Basis.DEFAULT,
                source=RING_WIDTH_MM.source,
                remedy="a wider dummy, or a ring that fits both",
                entry="liner.cap_diameter_mm",
                at_least=True,
            )
        )
    crest = limb.landmarks.get("crest_lower")
    if coupling.exit_deg is not None and crest is not None:
        shin = math.degrees(math.atan2(float(crest.point_mm[1]), float(crest.point_mm[0])))
        apart = abs((coupling.exit_deg - shin + 180.0) % 360.0 - 180.0)
        clear = apart >= EXIT_FROM_SHIN_DEG.value
        found.append(
            _finding(
                "exit-clear-of-shin" if clear else "exit-at-shin",
                Severity.OK if clear else Severity.WARNING,
                f"The exit's dummy points {around_words(coupling.exit_deg, limb.side)},"
                f" {apart:.0f}° from the shin" + ("" if clear else ", where it lies on bone"),
                where="exit",
                value=apart,
                limit=EXIT_FROM_SHIN_DEG.value,
                unit="deg",
                basis=crest.basis,
                source=EXIT_FROM_SHIN_DEG.source,
                remedy="" if clear else "the exit turned to the side",
                entry="" if clear else "couple.coupling.exit_angle_deg",
                at_least=True,
            )
        )
    return tuple(found)


def _rim_finding(
    limb: Limb, trim: TrimHeights, plan: CastingPlan, upper: float
) -> tuple[Finding, ...]:
    wanted = trim.highest_mm + plan.above_trim_mm
    if upper >= wanted - 1e-9:
        return ()
    return (
        _finding(
            "wrap-above-scan",
            Severity.NOTE,
            f"The wrap goes {wanted - upper:.0f} mm higher than the scan: area, rolls and plaster"
            " are counted up to the scan's rim only",
            value=float(np.round(wanted - upper, 1)),
            unit="mm",
            basis=Basis.MEASURED,
            source=COUNTED_ON_SCAN,
            remedy="a scan that reaches higher",
        ),
    )
