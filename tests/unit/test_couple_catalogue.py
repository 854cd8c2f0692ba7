import tomllib

import pytest

from coupling_bodies import person, seat_on
from limbwright.assess.plan import Activity
from limbwright.case.parts_file import (
    PARTS_VARIABLE,
    catalogue_digest,
    dump_parts,
    example_parts,
    parse_parts,
    read_catalogue,
)
from limbwright.core.errors import InvalidCase, InvalidCatalogue
from limbwright.core.findings import Severity
from limbwright.core.sources import Basis, Confidence, Origin
from limbwright.couple.build_height import build_height, height_finding, part_heights
from limbwright.couple.catalogue import Catalogue, PartKind
from limbwright.couple.figures import coupling_figures
from limbwright.couple.hanging_mass import hanging_mass
from limbwright.couple.in_hand import in_hand
from limbwright.couple.plan import CouplePlan, CouplingKind, CouplingPlan, PartChoice, PartsPlan
from limbwright.couple.ratings import part_findings

OWN = b"""
[[part]]
key = "lock-a"
kind = "magnet-lock"
provenance = "measured with callipers"
date = 2026-03-01
height_mm = 24.0
body_diameter_mm = 56.0
target_diameter_mm = 48.0
capacity_n = 170.0
tolerance_tilt_deg = 6.0
screw_square_mm = 40.0
exit_diameter_mm = 11.0
mass_kg = 0.2
max_body_mass_kg = 90.0
max_activity = "K2"

[[part]]
key = "plate-a"
kind = "pyramid-plate"
provenance = "maker's sheet, third edition"
date = 2026-02-10
height_mm = 13.0
height_tolerance_mm = 0.5
thickness_mm = 4.0
side_mm = 60.0
screw_square_mm = 40.0
dome_radius_mm = 15.0
pyramid_height_mm = 14.0
pyramid_top_mm = 18.0
pyramid_root_mm = 14.0

[[part]]
key = "clamp-a"
kind = "tube-clamp"
provenance = "measured"
date = 2026-02-10
height_mm = 17.0
outside_mm = 44.0
insert_mm = 38.0
mass_kg = 0.15

[[part]]
key = "tube-34"
kind = "pylon"
provenance = "measured"
date = 2026-02-10
outside_mm = 34.0
wall_mm = 2.0
length_mm = 300.0
"""
CATALOGUE = Catalogue(parts=parse_parts(OWN, "parts.toml"))


def held(catalogue=CATALOGUE, **plan):
    named = PartChoice(**plan.pop("named", {}))
    return in_hand(CouplePlan(catalogue=named, **plan), catalogue)


def problems_of(text):
    with pytest.raises(InvalidCatalogue) as refused:
        parse_parts(text, "parts.toml")
    return dict(refused.value.problems)


def one(**fields):
    """One foot's entry with some fields replaced; None leaves one out."""
    entry = {
        "key": '"foot-a"',
        "kind": '"foot"',
        "provenance": '"measured"',
        "date": "2026-03-01",
        "height_mm": "60.0",
        "length_mm": "250.0",
        **fields,
    }
    lines = [f"{name} = {value}" for name, value in entry.items() if value is not None]
    return "\n".join(["[[part]]", *lines]).encode()


def test_a_figure_of_the_catalogue_is_given_by_entry_and_date():
    figures = coupling_figures(held(named={"coupling": "lock-a"}).coupling)
    assert figures.capacity_n.value == 170.0
    assert figures.capacity_n.basis is Basis.GIVEN
    assert str(figures.capacity_n.source) == (
        "given by catalogue: entry lock-a of 2026-03-01 (measured with callipers)"
    )
    assert (figures.body_height_mm, figures.body_basis) == (24.0, Basis.GIVEN)


def test_what_the_case_states_goes_before_the_entry_but_the_screw_square_is_the_part_s():
    plan = held(coupling=CouplingPlan(capacity_n=150.0), named={"coupling": "lock-a"}).coupling
    assert coupling_figures(plan).capacity_n.value == 150.0
    assert coupling_figures(plan).capacity_n.source is None
    assert (plan.screw_square_mm, plan.exit_diameter_mm) == (40.0, 11.0)


def test_heights_and_the_shortest_tube_come_from_the_entries():
    named = {"plate": "plate-a", "socket_adapter": "clamp-a", "foot_adapter": "clamp-a"}
    heights = part_heights(held(parts=PartsPlan(foot_mm=60.0), named=named).parts)
    assert (heights.plate_mm, heights.socket_adapter_mm) == (13.0, 17.0)
    assert heights.pylon_minimum_mm == 76.0  # both inserts
    assert heights.basis is Basis.GIVEN
    assert heights.slack_mm == 0.5  # the plate's own tolerance
    assert heights.remembered_mm == 0.0


def test_only_what_is_stated_of_a_mass_is_sure():
    plan = held(named={"coupling": "lock-a", "plate": "plate-a"})
    mass = hanging_mass(plan.parts)
    # The lock's entry weighs 0.2 kg and the plate's says nothing of it.
    assert mass.sure_kg == pytest.approx(0.2)
    assert mass.kg > mass.sure_kg
    assert mass.basis is Basis.DEFAULT


def test_an_invented_example_decides_nothing():
    examples = Catalogue(parts=parse_parts(example_parts(), "examples"))
    plan = held(examples, named={"coupling": "example-magnet-lock"}).coupling
    figure = coupling_figures(plan).capacity_n
    assert figure.basis is Basis.DEFAULT
    assert figure.source.origin is Origin.PROJECT
    assert figure.source.confidence is Confidence.LOW
    assert "invented" in str(figure.source)


def test_the_examples_show_every_kind_once_at_least_and_are_all_marked():
    entries = tomllib.loads(example_parts().decode())["part"]
    assert {entry["kind"] for entry in entries} == {kind.value for kind in PartKind}
    assert all(entry["example"] and entry["key"].startswith("example-") for entry in entries)
    assert len(parse_parts(example_parts(), "examples")) == len(entries)


def test_every_problem_of_a_catalogue_is_told_by_entry_and_field():
    text = one(height_mm="5", length_mm='"long"', date='"soon"', key='"A b"', provenance=None)
    text += b"\n[[part]]\nkind = 'leg'\n"
    problems = problems_of(text)
    assert problems["part 1 (A b).height_mm"] == "must be at least 20 mm, not 5"
    assert problems["part 1 (A b).length_mm"] == "must be a number, not 'long'"
    assert "2026-03-01" in problems["part 1 (A b).date"]
    assert "small letters" in problems["part 1 (A b).key"]
    assert problems["part 1 (A b).provenance"] == "is missing"
    assert problems["part 2.kind"].endswith("not 'leg'")


def test_a_key_used_twice_an_unknown_field_and_broken_toml_are_refused():
    assert "2 entries" in problems_of(one() + b"\n" + one())["foot-a"]
    assert "not a known entry" in problems_of(one(colour='"red"'))["part 1 (foot-a).colour"]
    assert "TOML" in problems_of(b"[[part]\n")["file"]
    assert "[[part]]" in problems_of(b"parts = []")["parts"]


@pytest.mark.parametrize(
    ("kind", "fields", "field"),
    [
        ("pylon", {"outside_mm": 30.0, "wall_mm": 10.0, "length_mm": 200.0}, None),
        ("dummy-ring", {"height_mm": 3, "outside_mm": 40.0, "inside_mm": 41.0}, "inside_mm"),
        (
            "tube-clamp",
            {"height_mm": 16, "outside_mm": 30.0, "insert_mm": 36.0},
            "outside_mm",
        ),
        ("dummy", {"height_mm": 90, "body_diameter_mm": 30.0, "draft_deg": 15.0}, "draft_deg"),
        (
            "dummy",
            {"height_mm": 30, "body_diameter_mm": 50, "exit_length_mm": 20},
            "exit_length_mm",
        ),
    ],
)
def test_fields_that_cannot_be_true_together_are_told(kind, fields, field):
    lines = [f"{name} = {value}" for name, value in fields.items()]
    head = ["[[part]]", 'key = "p"', f'kind = "{kind}"', 'provenance = "measured"']
    text = "\n".join([*head, "date = 2026-03-01", *lines]).encode()
    if field is None:
        assert len(parse_parts(text, "parts.toml")) == 1  # a wall of 10 leaves a bore of 10
    else:
        assert f"part 1 (p).{field}" in problems_of(text)


def test_a_case_that_names_what_is_not_there_or_of_another_kind_is_refused():
    with pytest.raises(InvalidCase) as refused:
        held(named={"coupling": "nothing", "foot": "clamp-a"})
    problems = dict(refused.value.problems)
    assert "no catalogue" in problems["couple.catalogue.coupling"]
    assert "a tube-clamp, not a foot" in problems["couple.catalogue.foot"]
    with pytest.raises(InvalidCase, match="magnet-lock, not a pin-lock"):
        held(coupling=CouplingPlan(kind=CouplingKind.PIN), named={"coupling": "lock-a"})
    with pytest.raises(InvalidCase, match="no part of its own"):
        held(coupling=CouplingPlan(kind=CouplingKind.SLEEVE), named={"coupling": "lock-a"})


def test_the_case_s_file_goes_before_the_user_s_and_examples_come_last(tmp_path, monkeypatch):
    own = tmp_path / "own.toml"
    own.write_bytes(one(height_mm="70.0") + b"\n" + one(key='"foot-b"'))
    monkeypatch.setenv(PARTS_VARIABLE, str(own))
    before = catalogue_digest(tmp_path)
    (tmp_path / "parts.toml").write_bytes(one(height_mm="50.0"))
    catalogue = read_catalogue(tmp_path)
    assert catalogue.get("foot-a").height_mm == 50.0
    assert catalogue.get("foot-b").height_mm == 60.0
    assert catalogue_digest(tmp_path) != before
    # the examples stand aside where the user has parts of the kind
    assert {part.key for part in catalogue.of(PartKind.FOOT)} == {"foot-a", "foot-b"}
    assert all(part.example for part in catalogue.of(PartKind.PYLON))


def test_a_part_is_refused_beyond_what_its_maker_admits_and_the_excess_is_told():
    heavy = person(activity=Activity.K3, mass_kg=104.0)
    found = part_findings(held(named={"coupling": "lock-a"}), heavy, 10.0)
    beyond = next(finding for finding in found if finding.code == "part-beyond-rating")
    assert beyond.severity is Severity.STOP
    assert "14 kg above its 90 kg" in beyond.text
    assert "K3 is above its K2" in beyond.text
    assert (beyond.value, beyond.limit, beyond.unit) == (104.0, 90.0, "kg")
    within = part_findings(held(named={"coupling": "lock-a"}), person(mass_kg=62.0), 10.0)
    assert [finding.severity for finding in within] == [Severity.OK]
    silent = part_findings(held(named={"plate": "plate-a"}), heavy, 10.0)
    assert [finding.severity for finding in silent] == [Severity.NOT_ESTABLISHED]


def test_what_is_often_carried_counts_for_what_a_part_admits():
    laden = person(mass_kg=80.0, carried_load_kg=15.0)
    found = part_findings(held(named={"coupling": "lock-a"}), laden, 10.0)
    beyond = next(finding for finding in found if finding.code == "part-beyond-rating")
    assert "95 kg with 15 kg carried is 5 kg above its 90 kg" in beyond.text
    assert beyond.value == 95.0


def test_parts_that_do_not_go_together_are_told():
    found = part_findings(
        held(named={"socket_adapter": "clamp-a", "pylon": "tube-34"}), person(), 10.0
    )
    told = next(finding for finding in found if finding.code == "parts-do-not-match")
    assert told.severity is Severity.STOP
    assert "30 mm" in told.text
    assert "34 mm" in told.text


def test_heights_of_the_catalogue_may_refuse_where_remembered_ones_may_not():
    parts = PartsPlan(datum_floor_mm=300.0)
    remembered = CouplePlan(parts=parts)
    low = height_finding(build_height(seat_on(remembered.coupling), remembered, person()))
    assert low.code == "parts-hardly-fit"
    assert low.severity is Severity.NOT_ESTABLISHED
    named = {
        "coupling": "lock-a",
        "plate": "plate-a",
        "socket_adapter": "clamp-a",
        "foot_adapter": "clamp-a",
    }
    stated = held(parts=parts.model_copy(update={"foot_mm": 60.0}), named=named)
    height = build_height(seat_on(stated.coupling), stated, person())
    assert height_finding(height).severity is Severity.STOP
    assert {item.part for item in height.items} == {"", "lock-a", "plate-a", "clamp-a"}


def test_entries_written_to_a_file_read_back_the_same():
    examples = parse_parts(example_parts(), "examples")
    assert parse_parts(dump_parts(examples), "written") == examples
    assert parse_parts(dump_parts((*examples, *examples[:2])), "written") == examples
