"""Fittings read in the revision that was worn, whatever stands today."""

from __future__ import annotations

import pytest

from limbwright.align.plan import Deviation, GaitPhase, Observation
from limbwright.case.evaluate import State, evaluate
from limbwright.case.folder import read_case
from limbwright.case.memo import Memo
from limbwright.core.errors import CannotWrite
from limbwright.fit.plan import Complaint, FitPhase, Fitting, Sign

WORN = 1


@pytest.fixture(scope="module")
def memo():
    return Memo()


@pytest.fixture(scope="module")
def worn(demo_folder):
    """The revision that was worn, no fitting logged yet."""
    return read_case(demo_folder)


def with_depth(document, name, depth_mm):
    areas = tuple(
        area.model_copy(update={"depth_mm": depth_mm}) if area.name.value == name else area
        for area in document.shape.areas
    )
    return document.model_copy(update={"shape": document.shape.model_copy(update={"areas": areas})})


def with_fitting(document, **parts):
    sore = Complaint(sign=Sign.PAIN, phase=FitPhase.MID_STANCE, landmark="fibular_head")
    fitting = Fitting(date="2030-02-03", **{"complaints": (sore,), **parts})
    return document.model_copy(
        update={"fit": document.fit.model_copy(update={"fittings": (fitting,)})}
    )


def depth_of(document, name):
    return next(area.depth_mm for area in document.shape.areas if area.name.value == name)


def fit_of(folder, document, memo, revisions):
    done = evaluate(
        folder, document, memo, leave=frozenset({"make"}), revisions=revisions
    ).outcomes["fit"]
    assert done.state is State.READY, done.error
    return done.result


def pressing(result):
    """The cause that a relief at the fibular head answers."""
    return next(one for one in result.answers[0].causes if "too much" in one.cause)


def test_the_answer_stays_that_of_what_was_worn_when_its_change_was_taken(demo_folder, worn, memo):
    revisions = {WORN: worn}.get
    same = fit_of(demo_folder, with_fitting(worn, revision=WORN), memo, revisions)
    was = depth_of(worn, "fibular_head")
    (edit,) = pressing(same).suggestion.edits
    assert (edit.was, edit.value) == (was, was + 1.0)
    assert not same.readings[0].differs
    changed = with_depth(worn, "fibular_head", was + 1.0)
    after = fit_of(demo_folder, with_fitting(changed, revision=WORN), memo, revisions)
    # Taken once, it is not offered for a millimetre more.
    assert pressing(after).suggestion == pressing(same).suggestion
    assert pressing(after).value == pressing(same).value
    assert (after.readings[0].revision, after.readings[0].differs) == (WORN, True)
    assert "worn-is-another" in [one.code for one in after.findings]
    # Read in what stands, it would be offered again and again.
    today = fit_of(demo_folder, with_fitting(changed), memo, revisions)
    assert pressing(today).suggestion.edits[0].value == was + 2.0
    assert today.readings[0].revision is None


@pytest.mark.parametrize(
    ("revisions", "why"),
    [
        (None, "no record"),
        ({}.get, "no revision 1"),
    ],
)
def test_a_worn_revision_that_cannot_be_had_is_told(demo_folder, worn, revisions, why):
    found = fit_of(demo_folder, with_fitting(worn, revision=WORN), Memo(), revisions)
    assert why in found.readings[0].remark
    assert "worn-not-read" in [one.code for one in found.findings]
    assert found.answers


def test_a_worn_revision_of_another_scan_is_not_read(demo_folder, worn, tmp_path):
    import shutil

    folder = tmp_path / "case"
    shutil.copytree(demo_folder, folder)
    shutil.copy(folder / worn.capture.scan, folder / "other.stl")
    capture = worn.capture.model_copy(update={"scan": "other.stl"})
    other = worn.model_copy(update={"capture": capture})
    found = fit_of(folder, with_fitting(worn, revision=WORN), Memo(), {WORN: other}.get)
    assert "another scan" in found.readings[0].remark


def test_a_walk_is_answered_by_the_leg_that_was_worn(demo_folder, worn, memo):
    seen = (Observation(phase=GaitPhase.MID, what=Deviation.KNEE_THRUSTS_OUTWARD),)
    asked = {"complaints": (), "observed": seen, "revision": WORN}
    moved = worn.model_copy(update={"align": worn.align.model_copy(update={"foot_inset_mm": 30.0})})
    revisions = {WORN: worn}.get
    first = fit_of(demo_folder, with_fitting(worn, **asked), memo, revisions)
    after = fit_of(demo_folder, with_fitting(moved, **asked), memo, revisions)
    today = fit_of(demo_folder, with_fitting(moved, **{**asked, "revision": None}), memo, revisions)
    causes = [found.readings[0].walk[0].answer.causes for found in (first, after, today)]
    assert causes[0] == causes[1]
    assert causes[0] != causes[2]
    assert first.readings[0].walk[0].suggestion.edits[0].path == "align.wanted_outward_mm"


def test_a_part_once_made_is_told_until_what_it_is_of_changes(demo_folder, worn):
    memo = Memo()
    left = frozenset({"make", "prove", "fit"})
    coarse = worn.model_copy(update={"make": worn.make.model_copy(update={"field_spacing_mm": 2})})
    asked = {"leave": left}
    before = evaluate(demo_folder, coarse, memo, **asked).outcomes["make"]
    assert before.state is State.NOT_ASKED
    made = evaluate(demo_folder, coarse, memo, upto="make", leave=frozenset({"prove"}))
    after = evaluate(demo_folder, coarse, memo, **asked).outcomes["make"]
    assert after.result is made.outcomes["make"].result
    fewer = coarse.model_copy(
        update={"make": coarse.make.model_copy(update={"outputs": coarse.make.outputs[:1]})}
    )
    assert evaluate(demo_folder, fewer, memo, **asked).outcomes["make"].state is State.READY
    deeper = with_depth(coarse, "fibular_head", 6.0)
    assert evaluate(demo_folder, deeper, memo, **asked).outcomes["make"].state is State.NOT_ASKED


def test_a_disk_that_was_full_for_a_while_is_not_remembered(demo_folder, worn):
    memo, full, document = Memo(), True, with_fitting(worn, revision=WORN)

    def revisions(number):
        if full:
            raise CannotWrite("The disk is full; free some space and try again.")
        return {WORN: worn}.get(number)

    leave = frozenset({"make"})
    done = evaluate(demo_folder, document, memo, leave=leave, revisions=revisions)
    failed = done.outcomes["fit"]
    assert failed.state is State.FAILED
    assert "free some space" in str(failed.error)
    full = False
    found = fit_of(demo_folder, document, memo, revisions)
    assert (found.readings[0].revision, found.readings[0].remark) == (WORN, "")
