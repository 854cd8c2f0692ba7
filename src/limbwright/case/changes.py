"""What differs between two documents of a case, told entry by entry; nothing is left unsaid."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np

from limbwright.capture.plan import LandmarkSet
from limbwright.case.change_words import (
    ITEMS,
    LOAD,
    NAMED_BY,
    kind_of_area,
    label_of,
    named,
    part_of,
    value_words,
)
from limbwright.case.document import CaseDocument
from limbwright.core.plan import Plan
from limbwright.core.wording import words
from limbwright.fit.plan import AppliedSuggestion, Complaint
from limbwright.shape.plan import TakeUpPoint

_NOTED_PLACES = 2
"""How many changed parts the note of a revision names."""
Kind = Literal["changed", "added", "removed", "moved", "order"]
_LEAST_MOVE_MM = 1e-9
"""Below it a landmark stands where it stood, in whatever unit it is kept."""


@dataclass(frozen=True, slots=True)
class PlanChange:
    """One entry of the document that is another one now.

    Parameters
    ----------
    stage : str
        Stage of the job that it belongs to, or "case".
    path : str
        Where it stands in the document that holds it.
    place : str
        Part of the plan: "Relief, fibular head".
    name : str
        The entry itself: "depth"; "" when the whole part came, went or changed places.
    kind : str
        "moved" has the distance as `after`.
    before, after : float, str or None
        None: not stated, or not there.
    unit : str
        Of numbers; "" for none.
    level_mm : float or None
        Level that the part stands at, below the mid-patellar tendon.
    """

    stage: str
    path: str
    place: str
    name: str = ""
    kind: Kind = "changed"
    before: float | str | None = None
    after: float | str | None = None
    unit: str = ""
    level_mm: float | None = None


@dataclass(frozen=True, slots=True)
class _Spot:
    """Where in the document the comparison is: its path, the same without positions, its place."""

    path: str = ""
    shape: str = ""
    label: str = ""
    level_mm: float | None = None
    area: str | None = None

    def field(self, name: str) -> _Spot:
        path, shape = (f"{head}.{name}" if head else name for head in (self.path, self.shape))
        return replace(self, path=path, shape=shape)

    def item(self, position: int, item: Plan, number: int) -> _Spot:
        label = label_of(item, position)
        if number:
            label += f" ({number + 1})"
        level = item.level_mm if isinstance(item, TakeUpPoint) else self.level_mm
        last = self.shape.rpartition(".")[2]
        last = ITEMS.get(last, words(last).removesuffix("s"))
        own = label if type(item) in NAMED_BY and not self.label else f"{last} {label}"
        joined = ", ".join(part for part in (self.label, own) if part)
        return _Spot(f"{self.path}.{position}", self.shape, joined, level, kind_of_area(item))

    def change(self, **values: Any) -> PlanChange:
        stage, part = part_of(self.shape)
        place = self.area or part
        if self.label:
            place += f" {self.label}" if self.label.startswith("of ") else f", {self.label}"
        return PlanChange(stage, self.path, place, level_mm=self.level_mm, **values)

    def entry(self, before: Any = None, after: Any = None, kind: Kind = "changed") -> PlanChange:
        """A change of the single entry that the path leads to."""
        field = self.path.rpartition(".")[2]
        name, unit = named(self.shape)
        told = [value_words(one) for one in (before, after)]
        if field == "point":
            # Figures of the scan's own frame say nothing to a reader.
            told = [None if one is None else "touched on the limb" for one in told]
        if field == "landmark":
            told = [words(one) if isinstance(one, str) else one for one in told]
        if self.area == LOAD and field == "depth_mm":
            # As it is said at the bench: a load is pressed in by so much.
            told = [-one if isinstance(one, float) else one for one in told]
        return self.change(kind=kind, name=name, unit=unit, before=told[0], after=told[1])


def document_changes(before: CaseDocument, after: CaseDocument) -> tuple[PlanChange, ...]:
    """What was changed from one document of a case to another, in the order of the job.

    Parameters
    ----------
    before, after : CaseDocument

    Returns
    -------
    tuple of PlanChange
        Empty when the documents are the same.
    """
    return tuple(_plan(_Spot(), before, after))


def change_note(before: CaseDocument, after: CaseDocument) -> str:
    """What was changed, short enough for a list of revisions: places first, values of a single one.

    Examples
    --------
    "Load, patellar tendon: depth 2 to 3.5 mm"; "Trim line; Liner and 2 more".
    """
    changes = document_changes(before, after)
    if len(changes) == 1:
        return change_text(changes[0])
    places = list(dict.fromkeys(change.place for change in changes))
    more = len(places) - _NOTED_PLACES
    return "; ".join(places[:_NOTED_PLACES]) + (f" and {more} more" if more > 0 else "")


def change_text(change: PlanChange) -> str:
    """One change in words."""
    level = "" if change.level_mm is None else f" {change.level_mm:g} mm below MPT"
    head = f"{change.place}{level}" + (f": {change.name}" if change.name else "")
    if change.kind == "order":
        return f"{head}, in another order"
    if change.kind == "moved":
        return f"{head}, moved by {change.after:.1f} {change.unit}"
    if not change.name:
        return f"{head}, {change.kind}"
    unit = f" {change.unit}" if change.unit else ""
    if change.kind == "changed":
        return f"{head} {_told(change.before)} to {_told(change.after)}{unit}"
    value = change.after if change.kind == "added" else change.before
    return f"{head} {_told(value)}{unit}, {change.kind}"


def _told(value: float | str | None) -> str:
    if value is None:
        return "not stated"
    return f"{value:g}" if isinstance(value, float) else value


def _plan(spot: _Spot, before: Plan, after: Plan) -> Iterator[PlanChange]:
    for name in type(before).model_fields:
        one, other = getattr(before, name), getattr(after, name)
        if one == other:
            continue
        here = spot.field(name)
        if isinstance(before, Complaint) and name == "point" and one and other:
            yield here.change(
                name=named(here.shape)[0], kind="moved", after=math.dist(one, other), unit="mm"
            )
        else:
            yield from _differing(here, one, other)


def _differing(spot: _Spot, before: Any, after: Any) -> Iterator[PlanChange]:
    if isinstance(before, LandmarkSet) and isinstance(after, LandmarkSet):
        yield from _landmarks(spot, before, after)
    elif isinstance(before, Plan) and isinstance(after, Plan):
        yield from _plan(spot, before, after)
    elif isinstance(before, Plan):
        yield from _whole(spot, before, "removed")
    elif isinstance(after, Plan):
        yield from _whole(spot, after, "added")
    elif any(isinstance(one, Plan) for one in (*_listed(before), *_listed(after))):
        yield from _lists(spot, before, after)
    else:
        yield spot.entry(before, after)


def _listed(value: Any) -> tuple[Any, ...]:
    return value if isinstance(value, tuple) else ()


def _lists(spot: _Spot, before: Sequence[Plan], after: Sequence[Plan]) -> Iterator[PlanChange]:
    """Entries of a list are held against each other by what names them, not by their position."""
    first, second = _by_name(before), _by_name(after)
    for key, (position, item) in first.items():
        if key not in second:
            yield from _whole(spot.item(position, item, key[1]), item, "removed")
    for key, (position, item) in second.items():
        here = spot.item(position, item, key[1])
        if key not in first:
            yield from _whole(here, item, "added")
        else:
            yield from _plan(here, first[key][1], item)
    if [key for key in first if key in second] != [key for key in second if key in first]:
        yield spot.change(kind="order")


def _by_name(items: Sequence[Plan]) -> Mapping[tuple[Hashable, int], tuple[int, Plan]]:
    """Position and entry by what names it, and by how many of that name came before it."""
    seen: Counter[Hashable] = Counter()
    found: dict[tuple[Hashable, int], tuple[int, Plan]] = {}
    for position, item in enumerate(items):
        fields = NAMED_BY.get(type(item))
        name: Hashable = (
            position if fields is None else tuple(getattr(item, field) for field in fields)
        )
        found[name, seen[name]] = (position, item)
        seen[name] += 1
    return found


def _whole(spot: _Spot, plan: Plan, kind: Literal["added", "removed"]) -> Iterator[PlanChange]:
    """A part that came or went, with everything that it states beyond its defaults."""
    yield spot.change(kind=kind)
    for name, field in type(plan).model_fields.items():
        value = getattr(plan, name)
        if name in NAMED_BY.get(type(plan), ()) or value == field.default:
            continue
        if isinstance(plan, AppliedSuggestion) and name == "edits":
            # They are told where they stand in the plan.
            continue
        here = spot.field(name)
        if _listed(value) and isinstance(value[0], Plan):
            for position, item in enumerate(value):
                yield from _whole(here.item(position, item, 0), item, kind)
        elif kind == "added":
            yield here.entry(None, value, kind)
        else:
            yield here.entry(value, None, kind)


def _landmarks(spot: _Spot, before: LandmarkSet, after: LandmarkSet) -> Iterator[PlanChange]:
    """Landmarks that came, went, moved or were accepted."""
    if before.unit is not after.unit:
        here = spot.field("unit")
        yield here.entry(before.unit, after.unit)
    for name in dict.fromkeys([*before.points, *after.points, *before.guessed, *after.guessed]):
        here = replace(spot.field("points").field(name), label=words(name))
        if name not in after.points and name in before.points:
            yield here.change(kind="removed")
        elif name not in before.points and name in after.points:
            yield here.change(kind="added")
        elif name in before.points:
            moved_mm = float(np.linalg.norm(_point_mm(after, name) - _point_mm(before, name)))
            if moved_mm > _LEAST_MOVE_MM:
                yield here.change(kind="moved", after=moved_mm, unit="mm")
        if (name in before.guessed) != (name in after.guessed):
            told = ["a guess" if name in one.guessed else "accepted" for one in (before, after)]
            yield here.change(name="standing", before=told[0], after=told[1])


def _point_mm(marks: LandmarkSet, name: str) -> np.ndarray:
    return np.array(marks.points[name]) * marks.unit.to_mm
