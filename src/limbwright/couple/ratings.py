"""What the makers of the named parts admit them for, and whether the parts go together."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from limbwright.assess.plan import Activity, Person
from limbwright.core.findings import Finding, Severity
from limbwright.core.sources import Basis
from limbwright.core.wording import words
from limbwright.couple.catalogue import (
    AnyPart,
    Foot,
    Lock,
    OffsetAdapter,
    Part,
    Pylon,
    PyramidPlate,
    SquarePlate,
    TubeClamp,
)
from limbwright.couple.in_hand import WORN, named_parts
from limbwright.couple.plan import CouplePlan
from limbwright.couple.tables import RATING_IS_THE_MAKERS

ACTIVITIES = tuple(Activity)


def part_findings(plan: CouplePlan, person: Person, floor_mm: float) -> tuple[Finding, ...]:
    """Ratings of the named parts against the person, and parts that do not go together.

    Parameters
    ----------
    plan : CouplePlan
        In hand; one that names no part gives nothing.
    person : Person
    floor_mm : float
        Floor of the socket, which a square plate is set into.
    """
    named = named_parts(plan)
    worn = {role: named[role] for role in WORN if role in named}
    beyond = {role: part for role, part in worn.items() if _beyond(part, person)}
    found = [_refused(role, part, person) for role, part in beyond.items()]
    within = [
        (role, part)
        for role, part in worn.items()
        if role not in beyond and part.max_body_mass_kg is not None
    ]
    if within:
        found.append(_admitted(within, person))
    unrated = [role for role, part in worn.items() if part.max_body_mass_kg is None]
    if unrated:
        found.append(_unrated([(role, worn[role]) for role in unrated], person))
    return (*found, *_mismatches(plan, named, floor_mm))


def admits(part: Part, person: Person) -> bool:
    """Whether nothing that the entry states speaks against the part for a person."""
    return not _beyond(part, person)


def _beyond(part: Part, person: Person) -> list[str]:
    """What of a person goes beyond the part's rating, in words."""
    said = []
    borne_kg = person.borne_mass_kg
    if part.max_body_mass_kg is not None and borne_kg > part.max_body_mass_kg:
        over = borne_kg - part.max_body_mass_kg
        carried = f" with {person.carried_load_kg:g} kg carried" if person.carried_load_kg else ""
        said.append(
            f"body mass {borne_kg:g} kg{carried} is {over:g} kg above its"
            f" {part.max_body_mass_kg:g} kg"
        )
    if part.max_activity is not None and _rank(person.activity) > _rank(part.max_activity):
        said.append(f"activity {person.activity.value} is above its {part.max_activity.value}")
    return said


def _rank(activity: Activity) -> int:
    return ACTIVITIES.index(activity)


def _refused(role: str, part: AnyPart, person: Person) -> Finding:
    return Finding(
        stage="couple",
        code="part-beyond-rating",
        severity=Severity.NOT_ESTABLISHED if part.example else Severity.STOP,
        text=(
            f"The {_name(role, part)} is not admitted for this person:"
            f" {', and '.join(_beyond(part, person))}."
        ),
        where=words(role),
        value=person.borne_mass_kg,
        limit=part.max_body_mass_kg,
        unit="kg",
        basis=part.basis,
        source=part.source,
        remedy="a part that is admitted for this person",
        entry=f"couple.catalogue.{role}",
    )


def _admitted(parts: list[tuple[str, AnyPart]], person: Person) -> Finding:
    """All parts that are admitted in one finding; the least of their ratings counts."""
    role, least = min(parts, key=lambda pair: pair[1].max_body_mass_kg or 0.0)
    examples = any(part.example for _, part in parts)
    activities = [part.max_activity for _, part in parts if part.max_activity is not None]
    text = (
        f"{len(parts)} named part{'s are' if len(parts) > 1 else ' is'} admitted for this person;"
        f" the least rating is {least.max_body_mass_kg:g} kg of body mass ({_name(role, least)})"
    )
    if activities:
        text += f", the least active class {min(activities, key=_rank).value}"
    return Finding(
        stage="couple",
        code="part-within-rating",
        severity=Severity.NOTE if examples else Severity.OK,
        text=f"{text}.",
        where="parts",
        value=person.borne_mass_kg,
        limit=least.max_body_mass_kg,
        unit="kg",
        basis=Basis.DEFAULT if examples else Basis.GIVEN,
        source=least.source,
    )


def _unrated(parts: list[tuple[str, AnyPart]], person: Person) -> Finding:
    names = ", ".join(_name(role, part) for role, part in parts)
    return Finding(
        stage="couple",
        code="part-rating-not-stated",
        severity=Severity.NOT_ESTABLISHED,
        text=(f"No body mass is stated up to which these are admitted: {names}."),
        where="parts",
        value=person.borne_mass_kg,
        unit="kg",
        basis=Basis.GIVEN,
        source=RATING_IS_THE_MAKERS,
        remedy="what their makers state, entered in the catalogue",
    )


def _mismatches(
    plan: CouplePlan, named: Mapping[str, AnyPart], floor_mm: float
) -> Iterator[Finding]:
    for role, other, text, remedy in (
        *_screw_squares(named),
        *_tubes(named),
        *_floor(named, floor_mm),
        *_heel(plan, named),
    ):
        both = [part for part in (named[role], named.get(other)) if part is not None]
        invented = any(part.example for part in both)
        heel = role == "foot"
        yield Finding(
            stage="couple",
            code="parts-do-not-match",
            severity=Severity.NOT_ESTABLISHED
            if invented
            else Severity.WARNING
            if heel
            else Severity.STOP,
            text=text,
            where=words(role),
            basis=both[0].basis,
            source=both[0].source,
            remedy=remedy,
            entry="prove.distal_plate_mm" if remedy == _THICKER else f"couple.catalogue.{role}",
        )


Mismatch = tuple[str, str, str, str]
"""Role, the other role or "", what is wrong, and what would change it."""
_TOGETHER = "parts that go together"
_THICKER = "a thicker floor"


def _screw_squares(named: Mapping[str, AnyPart]) -> Iterator[Mismatch]:
    """Every part with a screw square must have that of the plate under the socket."""
    plate = named.get("plate")
    if not isinstance(plate, PyramidPlate):
        return
    for role in ("coupling", "square_plate"):
        part = named.get(role)
        if not isinstance(part, Lock | SquarePlate | OffsetAdapter):
            continue
        for what, mine, theirs in (
            ("screw square", part.screw_square_mm, plate.screw_square_mm),
            ("screws", part.screw_diameter_mm, plate.screw_diameter_mm),
        ):
            if mine is not None and mine != theirs:
                yield (
                    role,
                    "plate",
                    f"The {_name(role, part)} has {what} of {mine:g} mm and the"
                    f" {_name('plate', plate)} of {theirs:g} mm.",
                    _TOGETHER,
                )


def _tubes(named: Mapping[str, AnyPart]) -> Iterator[Mismatch]:
    pylon = named.get("pylon")
    if not isinstance(pylon, Pylon):
        return
    for role in ("socket_adapter", "foot_adapter"):
        clamp = named.get(role)
        if isinstance(clamp, TubeClamp) and clamp.tube_outside_mm != pylon.outside_mm:
            yield (
                role,
                "pylon",
                f"The {_name(role, clamp)} holds a tube of {clamp.tube_outside_mm:g} mm, but the"
                f" {_name('pylon', pylon)} measures {pylon.outside_mm:g} mm.",
                _TOGETHER,
            )


def _floor(named: Mapping[str, AnyPart], floor_mm: float) -> Iterator[Mismatch]:
    plate = named.get("square_plate")
    if isinstance(plate, SquarePlate) and plate.thickness_mm > floor_mm:
        yield (
            "square_plate",
            "",
            f"The {_name('square_plate', plate)} is {plate.thickness_mm:g} mm thick, more than the"
            f" socket's floor of {floor_mm:g} mm that it is set into.",
            _THICKER,
        )


def _heel(plan: CouplePlan, named: Mapping[str, AnyPart]) -> Iterator[Mismatch]:
    foot = named.get("foot")
    if not isinstance(foot, Foot) or foot.shoe_heel_mm is None:
        return
    if foot.shoe_heel_mm != plan.parts.shoe_heel_mm:
        yield (
            "foot",
            "",
            f"The {_name('foot', foot)} is built for a heel of {foot.shoe_heel_mm:g} mm, the shoe"
            f" has {plan.parts.shoe_heel_mm:g} mm: the sole will not stand flat.",
            "another shoe, or another foot",
        )


def _name(role: str, part: Part) -> str:
    example = ", an invented example" if part.example else ""
    return f"{role.replace('_', ' ')} {part.key}{example}"
