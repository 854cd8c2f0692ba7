"""An accepted finding stays accepted only as long as it says the same."""

from __future__ import annotations

from dataclasses import replace

import pytest
from pydantic import ValidationError

from limbwright.case.acceptance import AcceptedFinding, with_acceptances
from limbwright.core.findings import Finding, Severity
from limbwright.make.workorder.wording import finding_text

WARNED = Finding("shape", "steep-blend", Severity.WARNING, "Steep.", "popliteal", 31.0, 30.0, "deg")


def accepted(**changes: object) -> AcceptedFinding:
    stated = {
        "stage": "shape",
        "code": "steep-blend",
        "where": "popliteal",
        "severity": "warning",
        "value": 31.0,
        "reason": "the tissue there is soft",
    }
    return AcceptedFinding.model_validate({**stated, **changes})


def test_the_reason_stands_beside_the_finding_and_its_weight_stays() -> None:
    (found,) = with_acceptances([WARNED], [accepted()])
    assert found == replace(WARNED, accepted="the tissue there is soft")


@pytest.mark.parametrize(
    "changed",
    [
        replace(WARNED, value=33.0),
        replace(WARNED, value=None),
        replace(WARNED, severity=Severity.NOT_ESTABLISHED),
        replace(WARNED, where="patellar_tendon"),
        replace(WARNED, code="other"),
        replace(WARNED, stage="couple"),
    ],
    ids=["worse value", "no value", "other weight", "other place", "other code", "other stage"],
)
def test_it_lapses_when_the_finding_changes(changed: Finding) -> None:
    assert with_acceptances([changed], [accepted()]) == (changed,)


def test_what_stops_the_job_cannot_be_accepted() -> None:
    stop = replace(WARNED, severity=Severity.STOP)
    assert with_acceptances([stop], [accepted(severity="stop")]) == (stop,)


def test_a_reason_is_needed() -> None:
    with pytest.raises(ValidationError):
        accepted(reason="")


def test_the_work_order_and_the_command_line_say_why_it_stands() -> None:
    (found,) = with_acceptances([WARNED], [accepted()])
    assert finding_text(found).endswith("Accepted as it is: the tissue there is soft.")
    assert "Accepted" not in finding_text(WARNED)
