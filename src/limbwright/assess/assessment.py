"""What follows from the person alone: load level, walking speed, foot length."""

from __future__ import annotations

from limbwright.assess.description import SocketDescription
from limbwright.assess.iso_10328 import MASS_LIMIT_KG, level_for_mass
from limbwright.assess.plan import Liner, Person
from limbwright.assess.result import Assessment
from limbwright.assess.scores import readings, score_findings
from limbwright.assess.suspension_advice import advice, suspension_findings
from limbwright.assess.tables import (
    FOOT_LENGTH_BY_STATURE,
    SURVEY_STATURE_MM,
    WALKING_SPEED_M_S,
)
from limbwright.assess.words import trade_words
from limbwright.core.findings import Finding, Severity
from limbwright.core.sources import Basis
from limbwright.core.units import STANDARD_GRAVITY_M_S2

STAGE = "assess"


def assess(
    person: Person,
    liner: Liner | None = None,
    chosen: str | None = None,
    socket: SocketDescription | None = None,
) -> Assessment:
    """Loads and guards for a person, what scores say, and what suits.

    Parameters
    ----------
    person : Person
    liner : Liner, optional
    chosen : str, optional
        Kind of the suspension that is planned.
    socket : SocketDescription, optional

    Returns
    -------
    Assessment
    """
    level = level_for_mass(person.borne_mass_kg)
    given_speed = person.walking_speed_m_s
    speed = given_speed if given_speed is not None else WALKING_SPEED_M_S.value[person.activity]
    intercept_mm, slope = FOOT_LENGTH_BY_STATURE.value
    given_foot = person.foot_length_mm
    advised = advice(person, liner or Liner())
    foot = given_foot if given_foot is not None else intercept_mm + slope * person.stature_mm
    return Assessment(
        body_weight_n=person.mass_kg * STANDARD_GRAVITY_M_S2,
        speed_m_s=speed,
        speed_basis=Basis.GIVEN if given_speed is not None else Basis.DEFAULT,
        load_level=level,
        foot_length_mm=foot,
        foot_length_basis=Basis.GIVEN if given_foot is not None else Basis.ESTIMATED,
        findings=(
            _level_finding(person, person.borne_mass_kg, level),
            *_speed_finding(person, speed),
            *_foot_finding(person, foot),
            *_stature_finding(person),
            *score_findings(person.scores, person.activity.value),
            *suspension_findings(advised, chosen),
        ),
        scores=readings(person.scores),
        suspensions=advised,
        socket_words=trade_words(person.limb, socket or SocketDescription()),
    )


def _level_finding(person: Person, borne_kg: float, level: str | None) -> Finding:
    """The level of body mass with shoes and of what is carried."""
    carried = (
        "no carried load is stated"
        if person.carried_load_kg is None
        else f"{person.mass_kg:g} kg with shoes and {person.carried_load_kg:g} kg carried"
    )
    if level is None:
        return Finding(
            STAGE,
            "load-level-not-established",
            Severity.NOT_ESTABLISHED,
            f"No reference load is established for {borne_kg:g} kg ({carried}); strength is shown"
            " beside the highest level, which does not suffice",
            value=borne_kg,
            limit=max(MASS_LIMIT_KG.value.values()),
            unit="kg",
            basis=Basis.GIVEN,
            source=MASS_LIMIT_KG.source,
            remedy="parts whose makers state a level that holds this mass, or less that is carried",
            entry="person.carried_load_kg",
        )
    return Finding(
        STAGE,
        "load-level",
        Severity.NOTE,
        f"Strength is compared with the reference loads of level {level} ({carried}); the level is"
        " shown, it prescribes nothing",
        value=borne_kg,
        limit=MASS_LIMIT_KG.value[level],
        unit="kg",
        basis=Basis.GIVEN,
        source=MASS_LIMIT_KG.source,
        remedy="body mass, or what is carried",
        entry="person.carried_load_kg",
    )


def _speed_finding(person: Person, speed_m_s: float) -> tuple[Finding, ...]:
    if person.walking_speed_m_s is not None:
        return ()
    return (
        Finding(
            STAGE,
            "walking-speed-default",
            Severity.NOTE,
            f"Walking speed is a default for {person.activity.value}",
            value=speed_m_s,
            unit="m/s",
            basis=Basis.DEFAULT,
            source=WALKING_SPEED_M_S.source,
            remedy="a walk over 10 m, timed and entered",
            entry="person.walking_speed_m_s",
        ),
    )


def _foot_finding(person: Person, foot_mm: float) -> tuple[Finding, ...]:
    if person.foot_length_mm is not None:
        return ()
    return (
        Finding(
            STAGE,
            "foot-length-estimated",
            Severity.NOTE,
            "Foot length is estimated from stature",
            value=foot_mm,
            unit="mm",
            basis=Basis.ESTIMATED,
            source=FOOT_LENGTH_BY_STATURE.source,
            remedy="the sound foot, measured and entered",
            entry="person.foot_length_mm",
        ),
    )


def _stature_finding(person: Person) -> tuple[Finding, ...]:
    low, high = SURVEY_STATURE_MM.value
    if low <= person.stature_mm <= high:
        return ()
    return (
        Finding(
            STAGE,
            "stature-unusual",
            Severity.WARNING,
            "Stature lies outside the survey that estimates rest on",
            value=person.stature_mm,
            limit=low if person.stature_mm < low else high,
            unit="mm",
            basis=Basis.GIVEN,
            source=SURVEY_STATURE_MM.source,
            remedy="stature checked, and measured lengths where estimates are marked",
            entry="person.stature_mm",
            at_least=person.stature_mm < low,
        ),
    )
