"""From a case to its findings: pure, staged and incremental.

Each stage's result is keyed by the hash of what it reads, so that an edit computes anew only what
it touches. A stage that is refused blocks those that need it and no others.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from types import MappingProxyType
from typing import Any

from limbwright.case.acceptance import with_acceptances
from limbwright.case.document import CaseDocument
from limbwright.case.interface import with_engine
from limbwright.case.memo import Memo
from limbwright.case.stepping import Capturing, Depth, Revisions, Step, StepInputs, result_key
from limbwright.case.steps import STEPS
from limbwright.core.errors import BadInput, DesignRefused, LimbwrightError, NotConverged
from limbwright.core.findings import Finding, worst_first
from limbwright.core.stages import STAGE_NAMES
from limbwright.core.telling import Tell, silent

_LASTING = (BadInput, DesignRefused, NotConverged)
"""Refusals that stay until what was given is changed."""


class State(str, Enum):
    """What became of a stage."""

    READY = "ready"
    FAILED = "failed"
    BLOCKED = "blocked"
    NOT_ASKED = "not asked"


@dataclass(frozen=True, slots=True, eq=False)
class Outcome:
    """What became of one stage.

    Parameters
    ----------
    stage : str
    state : State
    key : str
        Hash of the inputs; "" when not computed.
    result : the stage's result dataclass, or None
    findings : tuple of Finding
        Worst first.
    error : LimbwrightError or None
        Why it failed, or why the stage that blocks it failed.
    """

    stage: str
    state: State
    key: str = ""
    result: Any = None
    findings: tuple[Finding, ...] = ()
    error: LimbwrightError | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Evaluation:
    """All stages of a case, in order.

    Parameters
    ----------
    document : CaseDocument
    outcomes : mapping of stage name to Outcome
    folder : Path or None
        Case folder that was evaluated.
    """

    document: CaseDocument
    outcomes: Mapping[str, Outcome]
    folder: Path | None = None

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Findings of all stages, worst first."""
        return worst_first(finding for out in self.outcomes.values() for finding in out.findings)

    @property
    def errors(self) -> tuple[LimbwrightError, ...]:
        """Why stages failed, in their order; blocked ones are not repeated."""
        return tuple(
            out.error
            for out in self.outcomes.values()
            if out.state is State.FAILED and out.error is not None
        )


Progress = Callable[[str], None]
NOTHING_HELD: Mapping[str, Outcome] = MappingProxyType({})


def evaluate(
    folder: Path,
    document: CaseDocument,
    memo: Memo,
    *,
    upto: str = STAGE_NAMES[-1],
    progress: Progress | None = None,
    leave: frozenset[str] = frozenset(),
    held: Mapping[str, Outcome] = NOTHING_HELD,
    depth: Depth = Depth.QUICK,
    tell: Tell = silent,
    capturing: Capturing | None = None,
    revisions: Revisions | None = None,
) -> Evaluation:
    """Evaluate a case up to a stage.

    Parameters
    ----------
    folder : Path
        Case folder with the files that the document names.
    document : CaseDocument
    memo : Memo
        Results of earlier evaluations; empty for a cold one.
    upto : str
        Last stage wanted.
    leave : frozenset of str
        Stages before it that are not computed: they are told where the memo holds their result.
    held : mapping of stage name to Outcome
        Taken as they are, whatever the document says: parts that are made already.
    progress : callable, optional
        Called with each stage's name before it starts.
    depth : Depth
        How much is computed beyond the results themselves.
    tell : callable, optional
        Called within a stage with what is computed and the share done.
    capturing : callable, optional
        Captures a limb that is not known yet into the case's cache, elsewhere than here.
    revisions : callable, optional
        Gives stored revisions of this case, which fittings are read in.

    Raises
    ------
    KeyError
        When `upto` is no stage.
    """
    last = STAGE_NAMES.index(upto)

    def earlier(number: int) -> StepInputs | str:
        return _earlier(number, folder, document, memo, tell, revisions, capturing)

    outcomes: dict[str, Outcome] = {}
    for number, step in enumerate(STEPS):
        if number > last:
            outcomes[step.stage] = Outcome(step.stage, State.NOT_ASKED)
            continue
        if step.stage in held:
            outcomes[step.stage] = held[step.stage]
            continue
        run = _Run(step, folder, document, outcomes, memo, depth, tell, capturing, earlier)
        if step.stage in leave:
            outcomes[step.stage] = run.remembered()
            continue
        if progress is not None:
            progress(step.stage)
        outcomes[step.stage] = run.outcome()
    return Evaluation(document, outcomes, folder)


def _earlier(
    number: int,
    folder: Path,
    standing: CaseDocument,
    memo: Memo,
    tell: Tell,
    revisions: Revisions | None,
    capturing: Capturing | None,
) -> StepInputs | str:
    """A stored revision up to the proof, by the engine of the case that stands; or why not.

    Raises
    ------
    LimbwrightError
        What may pass, as a full disk: it is not remembered with what was computed.
    """
    if revisions is None:
        return "there is no record of revisions here"
    try:
        document = revisions(number)
    except _LASTING as error:
        return error.message
    if document is None:
        return f"the record has no revision {number}"
    asked = with_engine(document, standing.prove.engine, standing.prove.mesh.value)
    done = evaluate(folder, asked, memo, upto="prove", tell=tell, capturing=capturing)
    for failed in done.errors:
        if not isinstance(failed, _LASTING):
            raise failed
        return failed.message
    return inputs_from(folder, done, memo)


def inputs_from(folder: Path, done: Evaluation, memo: Memo) -> StepInputs:
    """What a step of an evaluated case may read: all its stages that are ready."""
    ready = {name: out for name, out in done.outcomes.items() if out.state is State.READY}
    results = {name: out.result for name, out in ready.items()}
    keys = {name: out.key for name, out in ready.items()}
    return StepInputs(folder, done.document, results, keys, "", memo)


@dataclass(frozen=True, slots=True, eq=False)
class _Run:
    """One step of an evaluation."""

    step: Step
    folder: Path
    document: CaseDocument
    outcomes: Mapping[str, Outcome]
    memo: Memo
    depth: Depth
    tell: Tell
    capturing: Capturing | None
    earlier: Callable[[int], StepInputs | str]

    def outcome(self) -> Outcome:
        """What becomes of the step."""
        step = self.step
        blocking = [name for name in step.needs if self.outcomes[name].state is not State.READY]
        if blocking:
            return Outcome(step.stage, State.BLOCKED, error=self.outcomes[blocking[0]].error)
        try:
            inputs = self._inputs()
            result = self.memo.get(inputs.key, lambda: step.run(inputs))
            if step.finish is not None:
                result = step.finish(inputs, result)
        except LimbwrightError as error:
            return Outcome(step.stage, State.FAILED, error=error)
        findings = worst_first(with_acceptances(result.findings, self.document.accepted))
        return Outcome(step.stage, State.READY, inputs.key, result, findings)

    def remembered(self) -> Outcome:
        """The same where nothing has to be computed for it; else the step is not asked for."""
        not_asked = Outcome(self.step.stage, State.NOT_ASKED)
        if any(self.outcomes[name].state is not State.READY for name in self.step.needs):
            return not_asked
        try:
            known = self.memo.held(self._inputs().key) is not None
        except LimbwrightError:
            return not_asked
        return self.outcome() if known else not_asked

    def _inputs(self) -> StepInputs:
        step, document, outcomes = self.step, self.document, self.outcomes
        own = step.reads(self.folder, document)
        deep = self.depth if step.studies else Depth.QUICK
        results = {name: outcomes[name].result for name in step.needs}
        keys = {name: outcomes[name].key for name in step.needs}
        key = result_key(step.stage, own, list(keys.values()), deep)
        return StepInputs(
            self.folder,
            document,
            results,
            keys,
            key,
            self.memo,
            deep,
            self.tell,
            self.capturing,
            self.earlier,
        )
