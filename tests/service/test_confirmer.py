"""Confirming aside, in a process of its own."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from limbwright.case.evaluate import evaluate
from limbwright.case.folder import read_case
from limbwright.case.memo import Memo
from limbwright.case.report import outcome_json
from limbwright.case.stepping import Depth
from limbwright.core.errors import LimbwrightError
from limbwright.service.apart import Cancelled, Run
from limbwright.service.confirmer import MODULE, confirm


@pytest.mark.slow
def test_a_confirming_run_gives_what_a_thorough_evaluation_here_gives(
    demo_copy: Path, tmp_path: Path
) -> None:
    # Letters of other tongues come through whatever the system's own encoding is.
    case = read_case(demo_copy).model_copy(update={"title": "Größe Ω 義足"})
    told: list[tuple[str, float]] = []
    arrays = tmp_path / "pressures.npz"
    found = confirm(
        demo_copy, case, 7, arrays, Run(), lambda what, share: told.append((what, share))
    )
    here = evaluate(demo_copy, case, Memo(), upto="prove", depth=Depth.BANDS).outcomes["prove"]
    assert found.proof == outcome_json(here)
    assert (found.revision, found.finite_elements) == (7, False)
    assert list(found.pressure_mpa) == [case.load_case for case in here.result.interface.cases]
    for pressed in here.result.interface.cases:
        assert (found.pressure_mpa[pressed.load_case] == pressed.pressure_mpa).all()
    assert told
    assert all(0.0 <= share <= 1.0 for _, share in told)
    assert not arrays.exists()


def test_a_run_that_was_stopped_before_it_began_starts_no_process(
    demo_copy: Path, tmp_path: Path
) -> None:
    run = Run()
    run.cancel()
    with pytest.raises(Cancelled):
        confirm(demo_copy, read_case(demo_copy), 1, tmp_path / "p.npz", run, lambda *_: None)
    assert run.process is None


def test_a_run_that_is_stopped_on_the_way_ends_and_leaves_nothing(
    demo_copy: Path, tmp_path: Path
) -> None:
    run, arrays = Run(), tmp_path / "p.npz"
    with pytest.raises(Cancelled):
        confirm(demo_copy, read_case(demo_copy), 1, arrays, run, lambda *_: run.cancel())
    assert run.process is not None
    assert run.process.poll() is not None
    assert not arrays.exists()


def test_a_case_that_is_refused_says_so_in_the_stage_s_own_sentence(
    demo_copy: Path, tmp_path: Path
) -> None:
    case = read_case(demo_copy)
    wrong = case.prove.model_copy(update={"engine": "no_such_engine"})
    case = case.model_copy(update={"prove": wrong})
    with pytest.raises(LimbwrightError, match="no interface engine"):
        confirm(demo_copy, case, 1, tmp_path / "p.npz", Run(), lambda *_: None)


def test_a_run_ends_with_the_workshop_that_started_it(demo_copy: Path, tmp_path: Path) -> None:
    # Whatever ended the workshop, its end of the pipe is closed by the system.
    command = [sys.executable, "-m", MODULE]
    order = [str(demo_copy), str(tmp_path / "p.npz"), read_case(demo_copy).model_dump_json()]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.DEVNULL) as process:
        assert process.stdin is not None
        process.stdin.write(json.dumps(order).encode() + b"\n")
        process.stdin.close()
        assert process.wait(timeout=60) == 1
    assert not (tmp_path / "p.npz").exists()
