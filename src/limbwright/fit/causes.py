"""Possible causes of a complaint, each held against the computed picture.

Which sign goes with which cause is taught practice; what the picture says to it is computed for
this limb, this socket and this alignment. A cause that nothing speaks for stays in the list.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from limbwright.core.sources import Basis
from limbwright.core.wording import words
from limbwright.fit.brim import brim_cause, outside_cause
from limbwright.fit.load_words import amount_words, limit_words, rank_words
from limbwright.fit.plan import FitPhase, Fitting, Sign
from limbwright.fit.result import CauseReading, PlanEdit, Suggestion, Verdict
from limbwright.fit.spot import Picture, Spot
from limbwright.fit.tables import (
    AMPLE_MARGIN,
    BLEND_STEP_MM,
    END_GAP_MM,
    FOOT_STEP_MM,
    HIGH_RANK_PERCENT,
    HIGH_SHARE,
    LITTLE_CONTACT_PERCENT,
    LOW_RANK_PERCENT,
    MORE_PLY,
    MUCH_CONTACT_PERCENT,
    MUCH_ON_END_PERCENT,
    NEAR_BRIM_MM,
    OCCLUDING_KPA,
    PHASE_RATIO,
    RELIEF_STEP_MM,
    TAKE_UP_STEP_PERCENT,
    TEACHING,
    THIN_COVER_MM,
)
from limbwright.prove.pressure_result import ContactReading
from limbwright.prove.tables import WALKING_LIMIT_KPA
from limbwright.shape.result import PlacedArea

SORE = frozenset(
    {Sign.PAIN, Sign.PRESSURE, Sign.NUMBNESS, Sign.REDNESS, Sign.BLISTER, Sign.PINCHING}
)
RUBBED = frozenset({Sign.RUBBING, Sign.REDNESS, Sign.BLISTER})
SLACK = frozenset({Sign.LOOSE, Sign.TURNS, Sign.PISTONS, Sign.GAPS})
_ORDER = {Verdict.FITS: 0, Verdict.UNCLEAR: 1, Verdict.NOT_COMPUTED: 2, Verdict.AGAINST: 3}


def causes_of(
    picture: Picture, sign: Sign, phase: FitPhase, spot: Spot | None, fittings: tuple[Fitting, ...]
) -> tuple[CauseReading, ...]:
    """Causes of one complaint of the last of the fittings given, what fits best first."""
    found = list(_candidates(picture, sign, phase, spot, fittings))
    return tuple(sorted(found, key=lambda one: _ORDER[one.verdict]))


def _candidates(
    picture: Picture, sign: Sign, phase: FitPhase, spot: Spot | None, fittings: tuple[Fitting, ...]
) -> Iterator[CauseReading]:
    if spot is not None and not spot.covered:
        yield outside_cause(spot)
        if sign in SORE or sign is Sign.RUBBING:
            yield brim_cause(picture, spot, presses=True)
    if spot is not None and spot.covered:
        if sign in SORE:
            yield _hot(picture, spot)
            if spot.edge_of is not None:
                yield _edge(picture, spot, spot.edge_of)
            yield _thin(picture, spot)
        if sign in RUBBED:
            yield _rubbed(picture, spot)
        if sign in SORE or sign is Sign.GAPS:
            yield brim_cause(picture, spot, presses=sign in SORE)
        if sign in SORE and phase in _STANCE:
            yield _phase(picture, spot)
    if sign is Sign.DISCOLOURED_END:
        yield _end_space(picture)
    if sign in (Sign.BOTTOMS_OUT, Sign.DISCOLOURED_END, Sign.PAIN) and _at_end(picture, spot):
        yield _bottoms(picture)
    if sign in SLACK or sign is Sign.BOTTOMS_OUT:
        yield _shrunk(picture, fittings)
        yield _slack_wall(picture)
    if sign is Sign.PISTONS:
        yield _suspension(picture)


_STANCE = frozenset({FitPhase.EARLY_STANCE, FitPhase.MID_STANCE, FitPhase.LATE_STANCE})


def _reading(
    picture: Picture,
    cause: str,
    verdict: Verdict,
    says: str,
    *,
    value: float | None = None,
    limit: float | None = None,
    unit: str = "",
    suggestion: Suggestion | None = None,
    basis: Basis | None = None,
    at_least: bool = False,
) -> CauseReading:
    return CauseReading(
        cause,
        verdict,
        says,
        value,
        limit,
        unit,
        basis if basis is not None else picture.bones,
        TEACHING,
        suggestion,
        at_least,
    )


def _hot(picture: Picture, spot: Spot) -> CauseReading:
    """Too much pressure right there."""
    limit = WALKING_LIMIT_KPA.get(spot.area.name) if spot.area is not None else None
    share = spot.here_kpa / limit.value if limit is not None else None
    high = spot.pressure_rank_percent >= HIGH_RANK_PERCENT.value or (
        share is not None and share >= HIGH_SHARE.value
    )
    low = spot.pressure_rank_percent < LOW_RANK_PERCENT.value or spot.here_kpa < OCCLUDING_KPA.value
    verdict = _graded(high, low)
    says = (
        f"{amount_words(spot.here_kpa, 'pressure')} over the 1 cm² there in"
        f" {words(spot.load_case)}{limit_words(share)}; {rank_words(spot.pressure_rank_percent)}."
    )
    if verdict is Verdict.AGAINST:
        says += (
            " Palpate there: a fold of the liner or bone nearer than estimated may be behind it."
        )
    return _reading(
        picture,
        "too much pressure there",
        verdict,
        says,
        value=spot.here_kpa,
        limit=None if limit is None else limit.value,
        unit="kPa",
        suggestion=_spare(picture, spot),
    )


def _spare(picture: Picture, spot: Spot) -> Suggestion | None:
    """A millimetre less load or more relief, where the plan has an area for it."""
    step = RELIEF_STEP_MM.value
    area = spot.area or spot.edge_of
    if area is None:
        relief = _nearest_relief(picture, spot)
        if relief is None:
            return Suggestion(f"relieve the socket there by {step:.0f} mm by hand", ())
        return _deeper(relief, step, f"deepen the relief of the {words(relief.name)}")
    if area.loads and area.depth_mm < 0:
        text = f"let the {words(area.name)} press in less"
        return _deeper(area, min(step, -area.depth_mm), text)
    return _deeper(area, step, f"deepen the relief of the {words(area.name)}")


def _nearest_relief(picture: Picture, spot: Spot) -> PlacedArea | None:
    near = [
        (float(np.linalg.norm(area.centre_mm - spot.point_mm)), area)
        for area in picture.shape.areas
        if not area.loads
    ]
    reach = [(away, area) for away, area in near if away < 2.0 * NEAR_BRIM_MM.value]
    return min(reach, key=lambda pair: pair[0])[1] if reach else None


def _deeper(area: PlacedArea, step_mm: float, text: str) -> Suggestion:
    depth = area.depth_mm + step_mm
    return Suggestion(
        f"{text} by {step_mm:.1f} mm, from {abs(area.depth_mm):.1f} to {abs(depth):.1f} mm",
        (
            PlanEdit(
                f"shape.areas.{area.name.value}.depth_mm", round(depth, 2), round(area.depth_mm, 2)
            ),
        ),
    )


def _edge(picture: Picture, spot: Spot, area: PlacedArea) -> CauseReading:
    """The edge of a load area: pressure changes quickly there."""
    plan = next(one for one in picture.plan.areas if one.name is area.name)
    suggestion = None
    if plan.blend_mm is not None:
        wider = min(plan.blend_mm + BLEND_STEP_MM.value, 60.0)
        suggestion = Suggestion(
            f"let the {words(area.name)} blend out over {wider:.0f} instead of"
            f" {plan.blend_mm:.0f} mm",
            (PlanEdit(f"shape.areas.{area.name.value}.blend_mm", wider, plan.blend_mm),),
        )
    weight = float(area.weight[spot.vertex])
    return _reading(
        picture,
        f"the edge of the {words(area.name)}",
        _graded(spot.here_kpa >= OCCLUDING_KPA.value, spot.here_kpa <= 0.0),
        f"The place lies where the {words(area.name)} blends out ({100 * weight:.0f} % of its"
        f" {abs(area.depth_mm):.1f} mm).",
        value=100 * weight,
        unit="%",
        suggestion=suggestion or _spare(picture, spot),
    )


def _thin(picture: Picture, spot: Spot) -> CauseReading:
    """Bone close under the skin, which hurts where something presses on it."""
    thin = spot.cover_mm <= THIN_COVER_MM.value
    surely = picture.bones in (Basis.GIVEN, Basis.MEASURED)
    pressed = spot.here_kpa >= OCCLUDING_KPA.value
    doubt = "" if surely else f", estimated to {picture.limb.bones.cover_sd_mm:.0f} mm: palpate"
    says = f"{spot.cover_mm:.0f} mm of tissue over bone there{doubt}."
    if thin and not pressed:
        says += (
            f" {amount_words(spot.here_kpa, 'pressure')} on it in {words(spot.load_case)}: more"
            " relief would free it of nothing."
        )
    return _reading(
        picture,
        "bone close under the skin",
        _graded(thin and pressed, spot.here_kpa <= 0.0 if thin else surely),
        says,
        value=spot.cover_mm,
        limit=THIN_COVER_MM.value,
        unit="mm",
        at_least=True,
        suggestion=_spare(picture, spot) if thin and pressed else None,
    )


def _rubbed(picture: Picture, spot: Spot) -> CauseReading:
    high = spot.shear_rank_percent >= HIGH_RANK_PERCENT.value
    low = spot.shear_rank_percent < LOW_RANK_PERCENT.value
    return _reading(
        picture,
        "rubbing along the wall",
        _graded(high, low),
        f"{amount_words(spot.shear_kpa, 'shear')} there in {words(spot.load_case)};"
        f" {rank_words(spot.shear_rank_percent)}.",
        value=spot.shear_kpa,
        unit="kPa",
        suggestion=Suggestion(
            "look at how the liner was rolled on, and whether the limb moves in the socket", ()
        ),
    )


def _side(spot: Spot) -> str:
    outward, forward = float(spot.point_mm[0]), float(spot.point_mm[1])
    if abs(forward) >= abs(outward):
        return "anterior" if forward > 0 else "posterior"
    return "lateral" if outward > 0 else "medial"


def _phase(picture: Picture, spot: Spot) -> CauseReading:
    """More in this phase than in standing: the alignment loads this side."""
    standing = spot.pressure_kpa.get("standing", 0.0)
    ratio = spot.here_kpa / standing if standing > OCCLUDING_KPA.value else None
    grows = spot.here_kpa > OCCLUDING_KPA.value and (ratio is None or ratio >= PHASE_RATIO.value)
    stood = "nearly nothing" if ratio is None else f"{standing:.0f} kPa"
    eased = _easing(picture, spot) if grows else None
    return _reading(
        picture,
        f"the alignment, in {words(spot.load_case)}",
        Verdict.FITS if grows else Verdict.AGAINST,
        f"{spot.here_kpa:.0f} kPa there in {words(spot.load_case)} beside {stood} in standing.",
        value=ratio,
        limit=PHASE_RATIO.value,
        unit="times standing",
        suggestion=eased,
        basis=Basis.ESTIMATED,
    )


def _easing(picture: Picture, spot: Spot) -> Suggestion | None:
    """The small shift of the foot that lowers the moment which loads this side in this phase."""
    coronal = _side(spot) in ("medial", "lateral")
    best: tuple[float, str, PlanEdit] | None = None
    for effect in picture.alignment.effects:
        shift = effect.foot_outward_mm if coronal else effect.foot_forward_mm
        if effect.unit != "mm" or abs(shift) < 0.5 * abs(effect.amount):
            continue
        pairs = zip(effect.before, effect.after, strict=True)
        for before, after in pairs:
            if before.place != "datum" or before.phase != spot.load_case:
                continue
            was, becomes = (
                (before.coronal_n_m, after.coronal_n_m)
                if coronal
                else (before.sagittal_n_m, after.sagittal_n_m)
            )
            gain = abs(was) - abs(becomes)
            step = FOOT_STEP_MM.value * (1.0 if shift > 0 else -1.0)
            name = "align.wanted_outward_mm" if coronal else "align.wanted_forward_mm"
            text = (
                f"move the foot {FOOT_STEP_MM.value:.0f} mm"
                f" {_way(coronal, shift)}: {abs(effect.amount):.0f} mm of it take the moment at the"
                f" datum from {was:.1f} to {becomes:.1f} N·m"
            )
            if gain > 0 and (best is None or gain > best[0]):
                best = (gain, text, PlanEdit(name, step))
    return None if best is None else Suggestion(best[1], (best[2],))


def _way(coronal: bool, shift: float) -> str:
    if coronal:
        return "outward" if shift > 0 else "inward"
    return "forward" if shift > 0 else "back"


def _at_end(picture: Picture, spot: Spot | None) -> bool:
    if spot is None:
        return True
    lowest = float(picture.limb.surface.vertices[:, 2].min())
    return bool(spot.point_mm[2] < lowest + 2.0 * NEAR_BRIM_MM.value)


def _end_space(picture: Picture) -> CauseReading:
    """No contact at the end: it fills with fluid where nothing supports it."""
    contact = _standing_contact(picture)
    gap = None if contact is None or contact.end_gap_mm is None else contact.end_gap_mm[1]
    if contact is None:
        return _uncomputed(picture, "no contact at the limb's end")
    open_there = gap is not None and gap >= END_GAP_MM.value
    return _reading(
        picture,
        "no contact at the limb's end",
        Verdict.FITS if open_there else Verdict.AGAINST,
        f"{100 * contact.end_contact_share:.0f} % of the distal end bears in standing"
        + ("." if gap is None else f"; {gap:.1f} mm of space on average under the rest."),
        value=gap,
        limit=END_GAP_MM.value,
        unit="mm",
        suggestion=Suggestion("fill the end with a soft pad until it just touches", ()),
    )


def _bottoms(picture: Picture) -> CauseReading:
    carried = next((one for one in picture.proof.carried if one.load_case == "standing"), None)
    part = None
    if carried is not None:
        part = next((one for one in carried.parts if one.part == "distal end"), None)
    if part is None:
        return _uncomputed(picture, "the limb stands on its end")
    high = part.percent >= MUCH_ON_END_PERCENT.value
    borne = f"{part.force_n:.0f} N, {part.percent:.0f} % of the load"
    return _reading(
        picture,
        "the limb stands on its end",
        Verdict.FITS if high else Verdict.AGAINST,
        f"The distal end carries {borne} in standing.",
        value=part.percent,
        limit=MUCH_ON_END_PERCENT.value,
        unit="%",
        suggestion=_take_up(picture, "so that the walls carry more"),
    )


def _shrunk(picture: Picture, fittings: tuple[Fitting, ...]) -> CauseReading:
    plies = [one.ply for one in fittings if one.ply is not None]
    if len(plies) < 2:
        return _uncomputed(
            picture, "the limb has lost volume", "Log the sock ply at each fitting to see it."
        )
    more = plies[-1] - plies[0]
    return _reading(
        picture,
        "the limb has lost volume",
        Verdict.FITS
        if more >= MORE_PLY.value
        else Verdict.UNCLEAR
        if more > 0
        else Verdict.AGAINST,
        f"{plies[-1]} ply now, {plies[0]} at the first fitting logged.",
        value=float(more),
        limit=MORE_PLY.value,
        unit="ply",
        suggestion=_take_up(picture, "or scan the limb anew"),
        basis=Basis.GIVEN,
    )


def _slack_wall(picture: Picture) -> CauseReading:
    donned = next(
        (case for case in picture.proof.interface.cases if case.load_case == "donned"), None
    )
    if donned is None:
        return _uncomputed(picture, "the socket is wider than the limb")
    share = 100 * donned.contact_share
    return _reading(
        picture,
        "the socket is wider than the limb",
        _graded(share < LITTLE_CONTACT_PERCENT.value, share > MUCH_CONTACT_PERCENT.value),
        f"Donned and not loaded, {share:.0f} % of the covered skin touches.",
        value=share,
        limit=LITTLE_CONTACT_PERCENT.value,
        unit="%",
        at_least=True,
        suggestion=_take_up(picture, ""),
    )


def _suspension(picture: Picture) -> CauseReading:
    margins = [check.margin for check in picture.proof.suspension if check.margin is not None]
    if not margins:
        return _uncomputed(picture, "the suspension is too weak")
    least = min(margins)
    detail = picture.proof.suspension_detail
    rises = None if detail is None else detail.pistoning_mm
    moved = "" if rises is None else f" The model lets the limb rise {rises:.1f} mm in swing."
    return _reading(
        picture,
        "the suspension is too weak",
        _graded(least < 1.0, least >= AMPLE_MARGIN.value),
        f"The smallest margin of the suspension is {least:.1f}.{moved}",
        value=least,
        limit=1.0,
        unit="times the demand",
        at_least=True,
        basis=Basis.DEFAULT,
    )


def _take_up(picture: Picture, why: str) -> Suggestion | None:
    points = picture.plan.take_up
    if not points:
        return None
    step = TAKE_UP_STEP_PERCENT.value
    edits = tuple(
        PlanEdit(
            f"shape.take_up.{i}.girth_percent",
            round(point.girth_percent + step, 2),
            point.girth_percent,
            point.level_mm,
        )
        for i, point in enumerate(points)
    )
    return Suggestion(f"take up {step:.0f} % more of the girth {why}".rstrip(), edits)


def _standing_contact(picture: Picture) -> ContactReading | None:
    return next((one for one in picture.proof.contact if one.load_case == "standing"), None)


def _graded(speaks_for: bool, speaks_against: bool) -> Verdict:
    if speaks_for:
        return Verdict.FITS
    return Verdict.AGAINST if speaks_against else Verdict.UNCLEAR


def _uncomputed(
    picture: Picture, cause: str, says: str = "Nothing is computed of it."
) -> CauseReading:
    return _reading(picture, cause, Verdict.NOT_COMPUTED, says)
