"""Thorough evaluation in a process of its own, so that edits go on meanwhile.

Run as `python -m limbwright.service.confirmer CASE ARRAYS`: reads a document (one line of JSON)
from standard input, evaluates it with its engine, bands and what-if cases included, tells its
progress as lines of JSON and ends with the proof; the pressures that the page draws go to ARRAYS
(npz). It ends when its standard input does, so that none outlives the workshop.
"""

from __future__ import annotations

import contextlib
import json
import os
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from limbwright.case.document import CaseDocument
from limbwright.case.interface import CONFIRMING
from limbwright.core.errors import LimbwrightError

MODULE = "limbwright.service.confirmer"
Tell = Callable[[str, float], None]


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


@dataclass(slots=True)
class Run:
    """A confirming run that can be stopped from another thread."""

    process: subprocess.Popen[str] | None = None
    cancelled: bool = False
    lock: threading.Lock = field(default_factory=threading.Lock)

    def cancel(self) -> None:
        """Stop; nothing of the run is kept but what the case's cache holds already."""
        with self.lock:
            self.cancelled = True
            if self.process is not None:
                self.process.terminate()


class Cancelled(LimbwrightError):
    """The run was stopped by the person."""


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
        proof = _proof(_lines(folder, document, arrays, run), tell)
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


def _lines(folder: Path, document: CaseDocument, arrays: Path, run: Run) -> Iterator[str]:
    command = [sys.executable, "-m", MODULE, str(folder), str(arrays)]
    with run.lock:
        if run.cancelled:
            return
        run.process = subprocess.Popen(
            command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, encoding="utf-8"
        )
    with run.process as process:
        assert process.stdin is not None
        assert process.stdout is not None
        # One that was stopped meanwhile reads no more.
        with contextlib.suppress(BrokenPipeError):
            process.stdin.write(document.model_dump_json() + "\n")
            process.stdin.flush()
        yield from process.stdout


def _proof(lines: Iterator[str], tell: Tell) -> dict[str, Any] | None:
    for line in lines:
        told: dict[str, Any] = json.loads(line)
        if "refused" in told:
            raise LimbwrightError(str(told["refused"]))
        if "proof" in told:
            proof: dict[str, Any] = told["proof"]
            return proof
        tell(str(told["doing"]), float(told["share"]))
    return None


def run_here(folder: Path, arrays: Path) -> None:
    """What the process does; see the module."""
    from limbwright.case.evaluate import State, evaluate
    from limbwright.case.folder import parse_document
    from limbwright.case.memo import Memo
    from limbwright.case.report import outcome_json
    from limbwright.case.stepping import Depth

    document = parse_document(json.loads(sys.stdin.buffer.readline()))
    threading.Thread(target=_end_with_input, daemon=True).start()
    result = evaluate(
        folder,
        document,
        Memo(),
        upto="prove",
        depth=Depth.BANDS,
        tell=lambda doing, share: _say({"doing": doing, "share": share}),
    )
    for error in result.errors:
        _say({"refused": error.message})
        return
    outcome = result.outcomes["prove"]
    if outcome.state is not State.READY:
        _say({"refused": "The case could not be evaluated as far as its proof."})
        return
    cases = outcome.result.interface.cases
    with arrays.open("wb") as stream:
        np.savez(stream, **{case.load_case: case.pressure_mpa for case in cases})
    _say({"proof": outcome_json(outcome)})


def _end_with_input() -> None:
    """Wait for the end of standard input, which the workshop's own end is too."""
    sys.stdin.buffer.read()
    os._exit(1)


def _say(message: dict[str, Any]) -> None:
    sys.stdout.write(json.dumps(message) + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    run_here(Path(sys.argv[1]), Path(sys.argv[2]))
