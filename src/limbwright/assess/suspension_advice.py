"""For and against of each suspension, and what speaks against the one that is planned."""

from __future__ import annotations

from collections.abc import Iterator

from limbwright.assess.plan import Liner, Person
from limbwright.assess.result import Reason, SuspensionAdvice
from limbwright.assess.suspension_rules import RULES, Facts, Rule, Weight
from limbwright.core.findings import Finding, Severity
from limbwright.core.sources import Basis, Confidence, Origin, Source

STAGE = "assess"
NOT_ASKED = Source(Origin.PROJECT, "a rule decides nothing on what nobody asked", Confidence.HIGH)


def advice(person: Person, liner: Liner) -> tuple[SuspensionAdvice, ...]:
    """What speaks for and against each suspension, and what nobody asked yet."""
    facts = Facts(person, liner)
    return tuple(_advice(kind, rules, facts) for kind, rules in RULES.items())


def _advice(kind: str, rules: tuple[Rule, ...], facts: Facts) -> SuspensionAdvice:
    answers = [(rule, rule.holds(facts)) for rule in rules]

    def reasons(weight: Weight) -> tuple[Reason, ...]:
        return tuple(
            Reason(rule.text, rule.source)
            for rule, holds in answers
            if holds and rule.weight is weight
        )

    unknown = dict.fromkeys(rule.asks for rule, holds in answers if holds is None)
    return SuspensionAdvice(
        kind=kind,
        speaks_for=reasons(Weight.FOR),
        think_twice=reasons(Weight.THINK_TWICE),
        avoid=reasons(Weight.AVOID),
        not_asked=tuple(unknown),
    )


def suspension_findings(
    advised: tuple[SuspensionAdvice, ...], chosen: str | None
) -> Iterator[Finding]:
    """What speaks against the suspension that is planned; none decides by itself."""
    found = next((item for item in advised if item.kind == chosen), None)
    if found is None:
        return
    for code, reasons, word in (
        ("suspension-avoid", found.avoid, "is usually avoided"),
        ("suspension-think-twice", found.think_twice, "asks for a second thought"),
    ):
        for reason in reasons:
            yield Finding(
                STAGE,
                code,
                Severity.WARNING,
                f"A {found.kind} suspension {word} here: {reason.text}",
                where=found.kind,
                basis=Basis.GIVEN,
                source=reason.source,
                remedy="another suspension",
                entry="couple.coupling.kind",
            )
    if found.not_asked:
        yield Finding(
            STAGE,
            "suspension-not-asked",
            Severity.NOT_ESTABLISHED,
            f"Whether a {found.kind} suspension suits this person is not established: not asked"
            f" were {', '.join(found.not_asked)}",
            where=found.kind,
            basis=Basis.DEFAULT,
            source=NOT_ASKED,
            remedy="what was not asked, asked and entered",
            entry="person.condition",
        )
