"""What a change of the alignment would do, as the command line answers it."""

import json
import re

import pytest

from limbwright.align.effects import effect_of, moment_at, small_changes
from limbwright.align.load_line import knee_centre
from limbwright.align.loads import Walker
from limbwright.case.evaluate import evaluate
from limbwright.case.folder import read_case
from limbwright.case.memo import Memo
from limbwright.case.whatif import Move, held_seat, moved_document, turned_document, what_if
from limbwright.case.whatif_text import whatif_lines
from limbwright.cli import main
from limbwright.core.errors import InvalidCase
from limbwright.core.findings import Severity
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


def test_pressures_are_told_to_whole_kpa_and_what_changes_by_less_is_not_listed(aligned):
    folder, document, memo, _ = aligned
    found = what_if(folder, document, memo, Move(foot_out_mm=-1.0))
    lines = list(whatif_lines(found, 100))
    told = lines[lines.index(next(one for one in lines if one.startswith("PRESSURES"))) :]
    rows = [line for line in told if re.match("(early|mid|late) stance, |standing, ", line)]
    changed = {
        f"{one.load_case}, {one.area}".replace("_", " ")
        for one in found.areas
        if max(
            abs(one.mean_after_kpa - one.mean_before_kpa),
            abs(one.peak_after_kpa - one.peak_before_kpa),
        )
        >= 1.0
    }
    assert changed
    assert {re.split("  +", row)[0] for row in rows} == changed
    assert not any(re.search(r"\d\.\d", row) for row in rows)


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
    # what the picture shows is what the figures are of: the largest of an area's places is its peak
    for area in found.areas:
        if area.peak_after_kpa is not None:
            values = found.pressure_after_mpa[area.load_case]
            assert 1000 * values.max() >= area.peak_after_kpa - 1e-9
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


@pytest.mark.parametrize("move", [Move(foot_out_mm=6.0), Move(foot_forward_mm=5.0)])
def test_the_adapters_set_as_a_what_if_tells_give_the_moments_that_it_told(aligned, move):
    folder, document, memo, _ = aligned
    told = what_if(folder, document, memo, move, by_adapters=True)
    assert told.adjustment.steps
    assert told.adapters != document.align.adapters
    align = document.align.model_copy(update={"adapters": told.adapters})
    set_so = document.model_copy(update={"align": align})
    stands = evaluate(folder, set_so, memo, upto="align").outcomes["align"].result
    for one in told.moments:
        if one.place == "datum":
            found = moment_at(stands.effects[0].before, "datum", one.phase)
            assert getattr(found, f"{one.plane}_n_m") == pytest.approx(one.after_n_m, abs=1e-9)
    assert told.pylon_after_mm == told.pylon_before_mm


def test_turning_adapters_leaves_what_the_catalogue_gives_unstated_and_nothing_wanted(aligned):
    folder, document, memo, _ = aligned
    wish = document.align.model_copy(update={"adapters": (), "wanted_outward_mm": 6.0})
    wishing = document.model_copy(update={"align": wish})
    evaluation = evaluate(folder, wishing, memo, upto="align")
    turned, made = turned_document(folder, wishing, memo, Move(foot_out_mm=6.0), evaluation)
    assert [one.place.value for one in turned.align.adapters] == ["socket", "foot"]
    assert all(one.range_deg is one.screw_pitch_mm is None for one in turned.align.adapters)
    assert turned.align.wanted_outward_mm == 0.0
    set_deg = turned.align.adapters[0].adduction_deg
    assert set_deg == pytest.approx(
        sum(s.change for s in made.steps if (s.adapter, s.what) == ("socket", "adduction"))
    )
    assert set_deg != 0.0


def test_a_wish_is_never_a_warning_of_the_leg_as_it_stands(aligned):
    folder, document, memo, _ = aligned
    align = document.align.model_copy(update={"wanted_forward_mm": 55.0})
    wishing = document.model_copy(update={"align": align})
    found = evaluate(folder, wishing, memo, upto="align").outcomes["align"].result.findings
    told = {one.code: one for one in found if one.code.startswith("change-")}
    assert set(told) == {"change-beyond-range", "change-beyond-tested"}
    assert all(one.severity is Severity.NOTE for one in told.values())
    assert all("wanted change" in one.text for one in told.values())
