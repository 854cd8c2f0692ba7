"""Pressures of a case beside those of an earlier revision of it, or of another case."""

from __future__ import annotations

from pathlib import Path

from limbwright.case.document import CaseDocument
from limbwright.case.evaluate import Evaluation, State, evaluate
from limbwright.case.folder import read_case
from limbwright.case.interface import with_engine
from limbwright.case.memo import Memo
from limbwright.core.errors import BadInput
from limbwright.core.sources import Basis
from limbwright.prove.interface.comparing import compare
from limbwright.prove.interface.readings import weakest
from limbwright.prove.pressure_result import Comparison
from limbwright.prove.result import Proof
from limbwright.record.store import RECORD_FILE, open_record, revision

_WHERE = "--against"
_LONGEST_NUMBER = 18
"""Digits; what is longer can only be a folder."""


def compare_pressures(folder: Path, now: Evaluation, other: str, memo: Memo) -> Comparison:
    """What changed by area and load case since a revision, or from another case.

    The other one is evaluated with the engine and mesh of this evaluation, on the files that
    stand in its folder now.

    Parameters
    ----------
    folder : Path
        Case folder of `now`.
    now : Evaluation
    other : str
        Number of a revision in this case's record, or another case's folder.
    memo : Memo
        Of this evaluation: what did not change is not computed again.

    Raises
    ------
    BadInput
        When there is no such revision, either has no pressures, or they are of two sides.
    """
    place, document, name = _other(folder, other)
    _same_side(now.document, document, name)
    plan = now.document.prove
    asked = with_engine(document, plan.engine, plan.mesh.value)
    before = evaluate(place, asked, memo, upto="prove")
    first, second = _proof(before, name), _proof(now, "this case")
    if before.outcomes["capture"].key != now.outcomes["capture"].key:
        name += " (another scan, other landmarks or bones: not the same surface)"
    bases = [reading.basis for proof in (first, second) for reading in proof.readings]
    figures = weakest(*bases) if bases else Basis.ESTIMATED
    return compare(first.interface, second.interface, (name, "this case"), figures)


def _other(folder: Path, other: str) -> tuple[Path, CaseDocument, str]:
    if not other.isdecimal() or len(other) > _LONGEST_NUMBER:
        place = Path(other)
        return place, read_case(place), f"the case in {place.name or other}"
    number = int(other)
    if not (folder / RECORD_FILE).is_file():
        raise BadInput(
            f"{folder} has no record of revisions; give another case's folder instead of {number}.",
            where=_WHERE,
        )
    found = revision(open_record(folder), number)
    if found is None:
        raise BadInput(f"The record has no revision {number}.", where=_WHERE)
    return folder, found.document, f"revision {number}"


def _same_side(document: CaseDocument, other: CaseDocument, name: str) -> None:
    here, there = document.person.side.value, other.person.side.value
    if here != there:
        raise BadInput(
            f"This case is of the {here} limb, {name} of the {there} one: their pressures are not"
            " held against each other; name a case of the same limb.",
            where=_WHERE,
        )


def _proof(evaluation: Evaluation, name: str) -> Proof:
    outcome = evaluation.outcomes["prove"]
    if outcome.state is State.READY:
        found: Proof = outcome.result
        return found
    why = outcome.error.message if outcome.error is not None else "its stage was not asked for."
    raise BadInput(f"There are no pressures of {name} to compare: {why}", where=_WHERE)
