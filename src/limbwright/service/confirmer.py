"""Thorough evaluation in a process of its own, so that edits go on meanwhile.

Run as `python -m limbwright.service.confirmer`: told the case's folder, a file for arrays and a
document (JSON), it evaluates it with its engine, bands and what-if cases included, and ends with
the proof; the pressures that the page draws go to the file (npz). See `apart`.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from limbwright.case.document import CaseDocument
from limbwright.case.interface import CONFIRMING
from limbwright.core.errors import LimbwrightError
from limbwright.core.telling import Tell
from limbwright.service.apart import (
    Cancelled,
    Message,
    Run,
    messages,
    ordered,
    say,
    say_doing,
    say_refused,
)

MODULE = "limbwright.service.confirmer"


@dataclass(frozen=True, slots=True, eq=False)
class Confirmation:
    """What a confirming run found.

    Parameters
    ----------
    revision : int
        Of the document that was confirmed.
    finite_elements : bool
        False where the case's own engine computed bands and what-if cases.
    proof : mapping
        The stage "prove" as plain JSON, as an evaluation gives it.
    pressure_mpa : mapping of load case to (n,) float64
        Per vertex of `Limb.surface`.
    """

    revision: int
    finite_elements: bool
    proof: dict[str, Any]
    pressure_mpa: dict[str, NDArray[np.float64]]


def confirm(
    folder: Path, document: CaseDocument, revision: int, arrays: Path, run: Run, tell: Tell
) -> Confirmation:
    """Evaluate a document thoroughly, in a process of its own.

    Parameters
    ----------
    folder : Path
        Case folder.
    document : CaseDocument
        As to be confirmed; its engine and mesh are those wanted.
    revision : int
    arrays : Path
        Where the process leaves its pressures; removed afterwards.
    run : Run
        To stop it by.
    tell : callable
        Called with what is done and the share done.

    Raises
    ------
    Cancelled
    LimbwrightError
        With the sentence of the stage that failed.
    """
    try:
        order = [str(folder), str(arrays), document.model_dump_json()]
        proof = _proof(messages(MODULE, order, run), tell)
        if run.cancelled:
            raise Cancelled("Stopped; nothing was changed.")
        if proof is None:
            raise LimbwrightError("The confirming run ended before it had a result.")
        with np.load(arrays, allow_pickle=False) as stored:
            pressure = {name: stored[name] for name in stored.files}
        finite_elements = document.prove.engine == CONFIRMING
        return Confirmation(revision, finite_elements, proof, pressure)
    finally:
        arrays.unlink(missing_ok=True)


def _proof(told: Iterator[Message], tell: Tell) -> dict[str, Any] | None:
    for message in told:
        if "proof" in message:
            proof: dict[str, Any] = message["proof"]
            return proof
        tell(str(message["doing"]), float(message["share"]))
    return None


def run_here() -> None:
    """What the process does; see the module."""
    folder, arrays, sent = ordered()
    from limbwright.case.evaluate import State, evaluate
    from limbwright.case.folder import parse_document
    from limbwright.case.memo import Memo
    from limbwright.case.report import outcome_json
    from limbwright.case.stepping import Depth

    result = evaluate(
        Path(folder),
        parse_document(json.loads(sent)),
        Memo(),
        upto="prove",
        depth=Depth.BANDS,
        tell=say_doing,
    )
    for error in result.errors:
        say_refused(error)
        return
    outcome = result.outcomes["prove"]
    if outcome.state is not State.READY:
        say_refused(LimbwrightError("The case could not be evaluated as far as its proof."))
        return
    cases = outcome.result.interface.cases
    with Path(arrays).open("wb") as stream:
        np.savez(stream, **{case.load_case: case.pressure_mpa for case in cases})
    say({"proof": outcome_json(outcome)})


if __name__ == "__main__":
    run_here()
