"""What the list of cases tells of a case without evaluating it: kept from the last evaluation."""

from __future__ import annotations

import base64
import contextlib
import io
import json
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np
from PIL import Image
from pydantic import TypeAdapter

from limbwright.capture.result import Limb
from limbwright.case.evaluate import Evaluation, State
from limbwright.core.atomic import write_atomically
from limbwright.core.errors import LimbwrightError
from limbwright.core.findings import Severity, accepted_count, open_counts
from limbwright.core.frame import Side
from limbwright.core.stages import STAGE_NAMES

SUMMARY_FILE = "summary.json"
_PICTURE_PIXELS = (96, 128)
_SKIN = np.array([0.80, 0.66, 0.56])


@dataclass(frozen=True, slots=True)
class Summary:
    """A case at a glance.

    Parameters
    ----------
    waits_at : str
        First stage that failed, was blocked or has a finding that stops the job; "" when none.
    stands_at : str
        Where it waits; without that the first stage that has something open, else the last.
    stop, not_established, warning : int
        Findings that are open.
    accepted : int
        Findings that were accepted with a reason.
    picture : str
        The limb from the front as a PNG data address; "" before it is captured.
    picture_of : str
        Key of the captured limb that was drawn.
    """

    waits_at: str
    stands_at: str
    stop: int
    not_established: int
    warning: int
    accepted: int
    picture: str
    picture_of: str


_STORED = TypeAdapter(Summary)


def summarise(evaluation: Evaluation, before: Summary | None) -> Summary:
    """The summary of an evaluation; the picture of an unchanged limb is taken over."""
    counts = open_counts(evaluation.findings)
    waits_at = _waits_at(evaluation)
    captured = evaluation.outcomes["capture"]
    picture, drawn = "", ""
    if captured.state is State.READY:
        drawn = captured.key
        known = before is not None and before.picture_of == drawn
        picture = before.picture if known and before is not None else limb_picture(captured.result)
    return Summary(
        waits_at,
        waits_at or _stands_at(evaluation),
        counts[Severity.STOP],
        counts[Severity.NOT_ESTABLISHED],
        counts[Severity.WARNING],
        accepted_count(evaluation.findings),
        picture,
        drawn,
    )


def _waits_at(evaluation: Evaluation) -> str:
    for name, outcome in evaluation.outcomes.items():
        stopped = any(finding.severity is Severity.STOP for finding in outcome.findings)
        if stopped or outcome.state in (State.FAILED, State.BLOCKED):
            return name
    return ""


def _stands_at(evaluation: Evaluation) -> str:
    for name, outcome in evaluation.outcomes.items():
        if any(finding.is_open for finding in outcome.findings):
            return name
    return STAGE_NAMES[-1]


def limb_picture(limb: Limb) -> str:
    """The limb from the front, small, as a PNG data address."""
    # The drawing kernels are loaded only where a picture is new.
    from limbwright.make.workorder.picture import Body, View, render

    plain = np.zeros((len(limb.surface.vertices), 1))
    body = Body(limb.surface, plain, lambda values: np.tile(_SKIN, (len(values), 1)))
    drawn = Image.open(io.BytesIO(render([body], Side(limb.side), View.FRONT).png))
    drawn.thumbnail(_PICTURE_PIXELS)
    buffer = io.BytesIO()
    drawn.save(buffer, "PNG", optimize=True)
    return "data:image/png;base64," + base64.b64encode(buffer.getvalue()).decode()


def read_summary(path: Path) -> Summary | None:
    """A stored summary, or None when there is none that can be read."""
    with contextlib.suppress(OSError, ValueError):
        return _STORED.validate_json(path.read_bytes(), strict=True)
    return None


def write_summary(path: Path, summary: Summary) -> None:
    """Keep a summary; a folder that does not take it is no error, nor one lost with the power."""
    with contextlib.suppress(LimbwrightError, OSError):
        path.parent.mkdir(exist_ok=True)
        write_atomically(path, json.dumps(asdict(summary)).encode(), lasting=False)
