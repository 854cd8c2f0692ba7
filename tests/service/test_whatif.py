"""What a change of the alignment would do, as the command line answers it."""

import json

import pytest

from limbwright.align.effects import effect_of, moment_at, small_changes
from limbwright.align.load_line import knee_centre
from limbwright.align.loads import Walker
from limbwright.case.evaluate import evaluate
from limbwright.case.folder import read_case
from limbwright.case.memo import Memo
from limbwright.case.whatif import Move, held_seat, moved_document, what_if
from limbwright.cli import main
from limbwright.core.errors import InvalidCase
from limbwright.core.stages import STAGE_NAMES

MOVES = {
    "foot forward": Move(foot_forward_mm=5.0),
    "foot in": Move(foot_out_mm=-5.0),
    "foot up": Move(foot_up_mm=5.0),
    "plantar flexion": Move(dorsiflexion_deg=-2.0),
    "outer border up": Move(outer_border_up_deg=2.0),
    "socket flexion": Move(socket_flexion_deg=2.0),
    "socket abduction": Move(socket_adduction_deg=-2.0),
}


@pytest.fixture(scope="module")
def aligned(demo_folder):
    memo = Memo()
    document = read_case(demo_folder)
    return demo_folder, document, memo, evaluate(demo_folder, document, memo, upto="align")


@pytest.mark.parametrize("name", MOVES)
def test_a_changed_case_has_the_moments_that_the_table_of_effects_tells(aligned, name):
    folder, document, memo, evaluation = aligned
    results = {stage: out.result for stage, out in evaluation.outcomes.items()}
    assess = results["assess"]
    walker = Walker(assess.body_weight_n, assess.speed_m_s, assess.speed_basis)
    change = next(one for one in small_changes() if one.name == name)
    knee, _ = knee_centre(results["capture"])
    told = effect_of(results["align"].leg, change, walker, knee)
    moved = moved_document(document, MOVES[name], evaluation)
    after = evaluate(folder, moved, memo, upto="align").outcomes["align"].result
    for phase in ("early_stance", "mid_stance", "late_stance"):
        expected = moment_at(told.after, "datum", phase)
        found = moment_at(after.effects[0].before, "datum", phase)
        assert found.coronal_n_m == pytest.approx(expected.coronal_n_m, abs=0.05)
        assert found.sagittal_n_m == pytest.approx(expected.sagittal_n_m, abs=0.05)


def test_pressures_before_and_after_come_from_the_engine_that_the_case_names(aligned):
    folder, document, memo, _ = aligned
    found = what_if(folder, document, memo, Move(foot_out_mm=-8.0))
    labels = evaluate(folder, document, memo, upto="prove").outcomes["prove"].result.interface
    assert found.label == labels.label
    held = {
        (case.load_case, area.area): area.mean_kpa for case in labels.cases for area in case.areas
    }
    for area in found.areas:
        assert area.mean_before_kpa == held[area.load_case, area.area]
    mid = [one for one in found.areas if one.load_case == "mid_stance"]
    assert any(abs(one.mean_after_kpa - one.mean_before_kpa) > 1.0 for one in mid)
    # an inset foot drives the knee outward
    (coronal,) = (
        one
        for one in found.moments
        if (one.place, one.phase, one.plane) == ("datum", "mid_stance", "coronal")
    )
    assert coronal.after_n_m > coronal.before_n_m


def test_what_the_change_does_not_touch_is_not_computed_again(aligned):
    folder, document, memo, evaluation = aligned
    moved = moved_document(document, Move(foot_forward_mm=3.0), evaluation)
    held = held_seat(document, moved, evaluation)
    after = evaluate(folder, moved, memo, upto="align", held=held)
    for stage in STAGE_NAMES[: STAGE_NAMES.index("align")]:
        assert after.outcomes[stage].result is evaluation.outcomes[stage].result


def test_a_change_beyond_what_a_case_may_state_is_refused_with_its_path(aligned):
    _, document, _, evaluation = aligned
    with pytest.raises(InvalidCase, match="foot_forward_mm"):
        moved_document(document, Move(foot_forward_mm=300.0), evaluation)


def test_the_command_line_answers_in_json_and_asks_for_a_change(demo_folder, capsys):
    code = main(["whatif", str(demo_folder), "--foot-forward", "-5", "--json"])
    answer = json.loads(capsys.readouterr().out)
    assert code in (0, 1)
    assert answer["move"]["foot_forward_mm"] == -5.0
    assert answer["moments"]
    assert answer["areas"]
    assert answer["cautions"]
    assert main(["whatif", str(demo_folder)]) == 2
    assert "--foot-forward" in capsys.readouterr().err
    assert main(["whatif", str(demo_folder), "--foot-forward", "5"]) in (0, 1)
    out = capsys.readouterr().out
    assert "MOMENTS" in out
    assert "people adapt" in out
