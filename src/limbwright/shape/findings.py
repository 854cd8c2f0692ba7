"""What the shape stage has to say about a shape plan on a limb."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from limbwright.capture.leg_table import PLACES
from limbwright.core.findings import Finding, Severity
from limbwright.core.mesh import Mesh, Scalars, face_areas
from limbwright.core.sources import Basis
from limbwright.core.wording import signed
from limbwright.shape import tables
from limbwright.shape.defaults import usual_take_up
from limbwright.shape.places import direction_of, height_words, place_words
from limbwright.shape.plan import AreaName, ShapePlan
from limbwright.shape.preparation import Preparation
from limbwright.shape.result import PlacedArea, SocketShape, depth_entry
from limbwright.shape.takeup import section_loss_percent
from limbwright.shape.trim import SAMPLES, TURN

STAGE = "shape"
STEEP_SHARE_MM2 = 50.0
"""A slope counts when at least this much of the surface is as steep."""
BEHIND_DEG = 20.0
"""How far to either side of straight back the posterior brim is looked at."""
SLOPE_SLACK_DEG = 2.0
"""What single faces may turn more than the surface that they stand for."""
LATERAL_ANSWERS = frozenset(
    {AreaName.LATERAL_PRETIBIAL, AreaName.FIBULAR_SHAFT, AreaName.BELOW_FIBULAR_HEAD}
)


def shape_findings(
    prepared: Preparation, plan: ShapePlan, shape: SocketShape
) -> tuple[Finding, ...]:
    """All findings of the stage, the whole first, then take-up, areas and trim line."""
    found = [_volume(plan, shape), *_take_up(prepared, plan)]
    placed = [area for area in shape.areas if area.weight.max(initial=0.0) > 0.0]
    without = [area for area in shape.areas if area.weight.max(initial=0.0) <= 0.0]
    found += [_no_room(area, shape.areas) for area in without]
    found += _depths_not_usual(placed, shape.areas)
    found += _on_guesses(placed)
    for area in placed:
        found += _area(prepared, area, shape)
    found += _flare_unanswered(shape.areas)
    found += _slope(prepared, shape)
    found += _posterior_brim(prepared)
    return tuple(found)


def _volume(plan: ShapePlan, shape: SocketShape) -> Finding:
    change = 100.0 * (shape.model_volume_ml / shape.lined_volume_ml - 1.0)
    text = (
        f"Below the trim line's lowest point the model holds {shape.model_volume_ml:.0f} ml,"
        f" the limb {shape.limb_volume_ml:.0f} ml and with its liner"
        f" {shape.lined_volume_ml:.0f} ml: a change of {signed(change, 1)} % of volume."
    )
    percents = [point.girth_percent for point in plan.take_up]
    if any(percents):
        most = max(percents, key=abs)
        text += (
            f" A take-up of {most:g} % of girth alone takes {section_loss_percent(most):.1f} %"
            " of each section: girth and volume are not the same percent."
        )
    return Finding(
        STAGE,
        "volume-change",
        Severity.NOTE,
        text,
        value=change,
        unit="%",
        basis=Basis.MEASURED,
        source=tables.VOLUME_ARITHMETIC,
        remedy="take-up, and the depths of the areas",
        entry="shape.take_up",
    )


def _take_up(prepared: Preparation, plan: ShapePlan) -> list[Finding]:
    thickness = prepared.liner.thickness_mm
    greatest = max((point.girth_percent for point in plan.take_up), default=0.0)
    known = [row[0] for row in tables.TAKE_UP_BY_LINER.value]
    high = usual_take_up(thickness)[1]
    if greatest <= 0.0 or (greatest <= high and thickness <= max(known)):
        return []
    beyond = f"is more than the {high:.1f} % usual for" if greatest > high else "is meant for"
    extra = "" if thickness <= max(known) else f"; figures end at {max(known):g} mm"
    return [
        Finding(
            STAGE,
            "take-up-not-usual",
            Severity.NOTE,
            f"A take-up of {greatest:g} % of girth {beyond} a {thickness:g} mm liner{extra}."
            " The published figures may mean volume, which would be about half as much girth.",
            where="take-up",
            value=greatest,
            limit=high,
            unit="% of girth",
            basis=Basis.GIVEN,
            source=tables.TAKE_UP_BY_LINER.source,
            remedy="less take-up, or another liner",
            entry="shape.take_up",
        )
    ]


def _area(prepared: Preparation, area: PlacedArea, shape: SocketShape) -> list[Finding]:
    checks = (_cut_away(prepared, area, shape), _relief_used_up(prepared, area, shape))
    return [finding for finding in checks if finding is not None]


def _no_room(area: PlacedArea, areas: tuple[PlacedArea, ...]) -> Finding:
    return Finding(
        STAGE,
        "no-room-for-area",
        Severity.WARNING,
        f"The limb leaves no room for the {_words(area)}: it is left out.",
        where=area.name.value,
        source=tables.AREA_TEMPLATES[area.name].usual_mm.source,
        remedy="landmarks checked on the limb, or the area taken out of the plan",
        entry=depth_entry(areas, area.name.value),
    )


def _depths_not_usual(areas: list[PlacedArea], all_areas: tuple[PlacedArea, ...]) -> list[Finding]:
    """Depths outside what is usual in one note; its value is that of the one farthest outside."""
    outside = []
    for area in areas:
        low, high = tables.AREA_TEMPLATES[area.name].usual_mm.value
        off = max(low - area.depth_mm, area.depth_mm - high)
        if area.depth_mm != 0.0 and off > 0:
            outside.append((off, area, high if area.depth_mm > high else low))
    if not outside:
        return []
    said = "; ".join(
        f"the {_words(area)} {_depth_words(area.depth_mm)}, usual is {_usual_words(area)}"
        for _, area, _ in outside
    )
    _, worst, limit = max(outside, key=lambda one: one[0])
    return [
        Finding(
            STAGE,
            "depth-not-usual",
            Severity.NOTE,
            f"{said[0].upper()}{said[1:]} (from memory).",
            where=worst.name.value,
            value=worst.depth_mm,
            limit=limit,
            unit="mm",
            basis=Basis.GIVEN,
            source=tables.AREA_TEMPLATES[worst.name].usual_mm.source,
            remedy="the depths of these areas",
            entry=depth_entry(all_areas, worst.name.value),
            at_least=abs(worst.depth_mm) < abs(limit),
            usual=True,
        )
    ]


def _usual_words(area: PlacedArea) -> str:
    least, most = sorted(map(abs, tables.AREA_TEMPLATES[area.name].usual_mm.value))
    return f"{least:g} to {most:g} mm"


def _on_guesses(areas: list[PlacedArea]) -> list[Finding]:
    guessed = [area for area in areas if area.rests_on_guess]
    if not guessed:
        return []
    named = " and the ".join(_words(area) for area in guessed)
    one = len(guessed) == 1
    stands = "is placed by a landmark" if one else "are placed by landmarks"
    stands += " that is only a guess" if one else " that are only guesses"
    return [
        Finding(
            STAGE,
            "area-on-guessed-landmark",
            Severity.WARNING,
            f"The {named} {stands}.",
            where=guessed[0].name.value,
            basis=Basis.GUESSED,
            source=PLACES.source,
            remedy="the landmarks confirmed on the limb",
            entry="capture.landmarks.points",
        )
    ]


def _cut_away(prepared: Preparation, area: PlacedArea, shape: SocketShape) -> Finding | None:
    share = area.weight * prepared.basis.areas_mm2
    covered = float(share[shape.below_trim].sum() / share.sum())
    if covered >= tables.COVERED_SHARE.value:
        return None
    return Finding(
        STAGE,
        "area-cut-away",
        Severity.WARNING,
        f"The trim line leaves {100 * covered:.0f} % of the {_words(area)} in the socket.",
        where=area.name.value,
        value=100 * covered,
        limit=100 * tables.COVERED_SHARE.value,
        unit="%",
        source=tables.COVERED_SHARE.source,
        remedy="a higher trim line there, or the area moved or taken out",
        entry="shape.trim",
        at_least=True,
    )


def _relief_used_up(prepared: Preparation, area: PlacedArea, shape: SocketShape) -> Finding | None:
    core = area.weight >= 0.95
    if area.loads or not core.any() or area.depth_mm == 0.0:
        return None
    net = float((shape.displacement_mm - prepared.liner_mm)[core].mean())
    if net >= -tables.REPEATABILITY_MM.value:
        return None
    return Finding(
        STAGE,
        "relief-used-up",
        Severity.NOTE,
        f"Take-up uses up the {_words(area)}: {area.depth_mm:g} mm are added, and {-net:.1f} mm"
        " less than the limb remain.",
        where=area.name.value,
        value=net,
        limit=-tables.REPEATABILITY_MM.value,
        unit="mm",
        source=tables.REPEATABILITY_MM.source,
        remedy=f"{area.depth_mm - net:.1f} mm of relief would leave it level, or less take-up",
        entry=depth_entry(shape.areas, area.name.value),
    )


def _flare_unanswered(areas: tuple[PlacedArea, ...]) -> list[Finding]:
    pressing = {area.name for area in areas if area.loads and area.depth_mm < 0.0}
    if AreaName.MEDIAL_TIBIAL_FLARE not in pressing or pressing & LATERAL_ANSWERS:
        return []
    return [
        Finding(
            STAGE,
            "flare-unanswered",
            Severity.WARNING,
            "The medial tibial flare is loaded and nothing answers on the lateral side, so the"
            " limb shifts laterally.",
            where=AreaName.MEDIAL_TIBIAL_FLARE.value,
            basis=Basis.GIVEN,
            source=tables.LATERAL_ANSWER,
            remedy="a load on the anterior compartment or the fibular shaft too",
            entry="shape.areas",
        )
    ]


def _slope(prepared: Preparation, shape: SocketShape) -> list[Finding]:
    surface = prepared.basis.surface
    depth = shape.displacement_mm - prepared.liner_mm - prepared.take_up_mm
    slope = slope_deg(surface, depth)
    slope[~shape.below_trim[surface.faces].all(axis=1)] = 0.0
    steepest = np.argsort(slope)[::-1]
    covered = np.cumsum(face_areas(surface)[steepest])
    face = int(steepest[np.searchsorted(covered, STEEP_SHARE_MM2)])
    limit = tables.SLOPE_LIMIT_DEG
    if slope[face] <= limit.value + SLOPE_SLACK_DEG:
        return []
    corners = surface.faces[face]
    near = max(shape.areas, key=lambda area: abs(area.depth_mm) * float(area.weight[corners].max()))
    return [
        Finding(
            STAGE,
            "slope-too-sharp",
            Severity.WARNING,
            f"The surface turns by {slope[face]:.0f} degrees at the edge of the {_words(near)},"
            f" {place_words(prepared.basis.limb, surface.vertices[corners].mean(axis=0))}; about"
            f" {limit.value:.0f} is as sharp as is taught (from memory).",
            where=near.name.value,
            value=float(slope[face]),
            limit=limit.value,
            unit="degree",
            source=limit.source,
            remedy="a wider blend, or less depth",
            entry=depth_entry(shape.areas, near.name.value),
        )
    ]


def slope_deg(surface: Mesh, depth_mm: Scalars) -> NDArray[np.float64]:
    """Turn of each face against the limb's surface under a depth (n,) mm, (m,) degrees."""
    corner = surface.vertices[surface.faces]
    one, two = corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]
    value = depth_mm[surface.faces]
    rise_one, rise_two = value[:, 1] - value[:, 0], value[:, 2] - value[:, 0]
    dot = np.einsum("ij,ij->i", one, two)
    square_one = np.einsum("ij,ij->i", one, one)
    square_two = np.einsum("ij,ij->i", two, two)
    gradient2 = (
        rise_one**2 * square_two - 2.0 * rise_one * rise_two * dot + rise_two**2 * square_one
    ) / np.maximum(square_one * square_two - dot**2, 1e-300)
    return np.asarray(np.degrees(np.arctan(np.sqrt(np.maximum(gradient2, 0.0)))))


def _posterior_brim(prepared: Preparation) -> list[Finding]:
    angles = np.linspace(0.0, TURN, SAMPLES, endpoint=False)
    behind = np.abs(np.degrees(angles) - 270.0) <= BEHIND_DEG
    height = prepared.trim.height_mm(angles[behind])
    highest = int(np.argmax(height))
    limit = tables.POSTERIOR_BRIM_MM
    if height[highest] <= limit.value:
        return []
    return [
        Finding(
            STAGE,
            "posterior-brim-high",
            Severity.WARNING,
            f"The posterior brim reaches {height_words(height[highest])}"
            f" ({direction_of(angles[behind][highest])}); at or just below the tendon's level"
            " the knee bends freely (from memory).",
            where="trim line",
            value=float(height[highest]),
            limit=limit.value,
            unit="mm",
            basis=Basis.GIVEN,
            source=limit.source,
            remedy="a lower trim line behind the knee",
            entry="shape.trim.posterior_mm",
        )
    ]


def _words(area: PlacedArea) -> str:
    kind = "load" if area.loads else "relief"
    return f"{area.name.value.replace('_', ' ')} ({kind})"


def _depth_words(depth_mm: float) -> str:
    return f"presses in {-depth_mm:g} mm" if depth_mm < 0 else f"adds {depth_mm:g} mm"
