"""An evaluation as plain JSON: what the command line prints and the service sends."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from limbwright import __version__
from limbwright.case.codec import plain
from limbwright.case.evaluate import Evaluation, Outcome
from limbwright.core.errors import LimbwrightError
from limbwright.core.findings import stops_job
from limbwright.prove.pressure_result import Comparison

CAUTIONS: tuple[str, ...] = (
    "This supports a practitioner's decision and never makes it; licensed practice, the component"
    " makers' instructions and local codes come first.",
    "Pressures come from the model that is named beside them. They are not validated on people:"
    " use them to compare, not to approve.",
    "Estimated bones, default tissue and default part figures are marked; replace them with what"
    " you measured.",
    "Nothing here is a conformity test of a socket or a component.",
)
"""Shown wherever results appear."""


def error_json(error: LimbwrightError) -> dict[str, Any]:
    """A refusal as plain JSON."""
    return {
        "kind": type(error).__name__,
        "message": error.message,
        "where": error.where or None,
        **({"fields": error.fields} if error.fields else {}),
    }


def outcome_json(outcome: Outcome) -> dict[str, Any]:
    """One stage as plain JSON; its findings stand beside its results."""
    results = plain(outcome.result) if outcome.result is not None else None
    if results is not None:
        results.pop("findings", None)
    return {
        "state": outcome.state.value,
        "error": error_json(outcome.error) if outcome.error is not None else None,
        "findings": plain(outcome.findings),
        "results": results,
    }


def stages_json(evaluation: Evaluation, names: Iterable[str]) -> dict[str, Any]:
    """Some of the stages of an evaluation as plain JSON, by name."""
    return {name: outcome_json(evaluation.outcomes[name]) for name in names}


def evaluation_json(evaluation: Evaluation, against: Comparison | None = None) -> dict[str, Any]:
    """A whole evaluation as plain JSON; the same case gives the same text.

    Parameters
    ----------
    evaluation : Evaluation
    against : Comparison, optional
        Pressures beside those of another revision or case.
    """
    document = evaluation.document
    return {
        "engine_version": __version__,
        "case": {
            "title": document.title,
            "code": document.person.code,
            "side": document.person.side.value,
            "invented": document.invented,
        },
        "stops_job": stops_job(evaluation.findings) or bool(evaluation.errors),
        "stages": stages_json(evaluation, evaluation.outcomes),
        "findings": plain(evaluation.findings),
        **({"against": plain(against)} if against is not None else {}),
        "cautions": list(CAUTIONS),
    }
