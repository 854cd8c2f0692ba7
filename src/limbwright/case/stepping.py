"""What a stage's step is and what it may read."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from typing import Any

from limbwright.case.document import CaseDocument
from limbwright.case.memo import Memo, key_of
from limbwright.core.telling import Tell, silent

Revisions = Callable[[int], CaseDocument | None]
"""Gives the document of a stored revision by its number; None where there is none."""
Capturing = Callable[[Path, CaseDocument], None]
"""Captures the limb of a case folder into its cache, elsewhere than here."""


class Depth(str, Enum):
    """How much is computed beyond the results themselves."""

    QUICK = "quick"
    """Nothing: what an edit needs."""
    BANDS = "bands"
    """Bands, what-if cases and what would balance, by ratios of the first estimate."""
    LIVE_BANDS = "live bands"
    """The same by the live model: each figure is tried on the limb meshed anew."""


@dataclass(frozen=True, slots=True, eq=False)
class StepInputs:
    """What a step may read.

    Parameters
    ----------
    folder : Path
    document : CaseDocument
    results : mapping of stage name to its result, for the stages that the step needs
    keys : mapping of stage name to the key of that result
    key : str
        Key of the result to be computed.
    memo : Memo
        For parts of a stage that outlive an edit.
    depth : Depth
        QUICK for steps that have nothing more to tell.
    tell : callable, optional
        Progress within a stage.
    capturing : callable, optional
        Used for a limb that the cache does not hold, in place of capturing it here.
    earlier : callable, optional
        Gives what a step of a stored revision may read, up to the proof, or why it cannot be had.
    """

    folder: Path
    document: CaseDocument
    results: Mapping[str, Any]
    keys: Mapping[str, str]
    key: str
    memo: Memo
    depth: Depth = Depth.QUICK
    tell: Tell = silent
    capturing: Capturing | None = None
    earlier: Callable[[int], StepInputs | str] | None = None


@dataclass(frozen=True, slots=True)
class Step:
    """One stage's wiring.

    Parameters
    ----------
    stage : str
    needs : tuple of stage names whose results it reads
    reads : what it reads of the document and its files, as plain JSON values
    run : computes the result
    studies : bool
        Whether its result differs when a thorough evaluation is asked for.
    finish : callable, optional
        Adds to the result what follows from the rest of the document and what no stage reads: it
        leaves the key as it is.
    """

    stage: str
    needs: tuple[str, ...]
    reads: Callable[[Path, CaseDocument], Any]
    run: Callable[[StepInputs], Any]
    studies: bool = False
    finish: Callable[[StepInputs, Any], Any] | None = None


def result_key(
    stage: str, reads: Any, needed: Sequence[str] = (), depth: Depth = Depth.QUICK
) -> str:
    """Key of a stage's result: of what its step reads, and of the results that it needs."""
    return key_of(stage, [reads, list(needed), depth.value])
