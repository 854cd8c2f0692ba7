"""A case document is checked as a whole and stored as a whole."""

import pytest

from limbwright.case.folder import (
    CASE_FILE,
    dump_document,
    new_folder,
    parse_document,
    read_case,
    write_case,
)
from limbwright.core.errors import BadInput, CannotRead, InvalidCase

GOOD = {
    "person": {
        "code": "p1",
        "side": "left",
        "mass_kg": 70.0,
        "stature_mm": 1700,
        "activity": "K2",
    },
    "capture": {
        "scan": "scan.stl",
        "landmarks": {"points": {"limb_end": [1.0, 2.0, 3.0]}},
    },
    "shape": {"areas": [{"name": "popliteal", "depth_mm": -4.0}]},
}


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "scan.stl").write_bytes(b"x")
    return tmp_path


def changed(path: str, value: object) -> dict:
    data = parse_document(GOOD).model_dump(mode="json")
    *parents, last = path.split(".")
    place = data
    for name in parents:
        place = place[int(name)] if isinstance(place, list) else place[name]
    place[last] = value
    return data


def problems_of(folder, data) -> dict[str, str]:
    with pytest.raises(InvalidCase) as caught:
        write_case(folder, parse_document(data))
    return dict(caught.value.problems)


def test_what_is_written_is_what_is_read(folder):
    document = parse_document(GOOD)
    write_case(folder, document)
    assert read_case(folder) == document
    assert dump_document(read_case(folder)) == (folder / CASE_FILE).read_bytes()


def test_a_date_that_is_none_is_answered_with_one(folder):
    data = changed("fit.fittings", [{"date": "1.3.2026"}])
    assert problems_of(folder, data) == {
        "fit.fittings[0].date": "must be a date such as 2026-03-01, not '1.3.2026'"
    }


def test_every_problem_is_told_at_once_with_its_path(folder):
    data = changed("person.mass_kg", "heavy")
    data["person"]["sied"] = "left"
    data["shape"]["areas"][0]["depth_mm"] = 99
    del data["person"]["activity"]
    problems = problems_of(folder, data)
    assert set(problems) == {
        "person.mass_kg",
        "person.sied",
        "person.activity",
        "shape.areas[0].depth_mm",
    }
    assert "spelling" in problems["person.sied"]


@pytest.mark.parametrize(
    ("path", "value", "bound"),
    [("person.mass_kg", 4.0, "20 kg"), ("person.stature_mm", 68.0, "1000 mm")],
)
def test_a_bound_names_its_unit(folder, path, value, bound):
    assert f"must be at least {bound}," in problems_of(folder, changed(path, value))[path]


def test_a_mass_in_pounds_is_named_with_its_kilograms(folder):
    problems = problems_of(folder, changed("person.mass_kg", 180.0))
    # 180 lb = 81.6 kg by the international pound.
    assert "81.6 kg" in problems["person.mass_kg"]


def test_an_unusual_mass_passes_once_it_is_confirmed(folder):
    data = changed("person.mass_kg", 180.0)
    data["person"]["unusual_mass_confirmed"] = True
    write_case(folder, parse_document(data))
    assert read_case(folder).person.mass_kg == 180.0


@pytest.mark.parametrize(
    ("path", "value", "where", "words"),
    [
        ("capture.scan", "../scan.stl", "capture.scan", "inside the case folder"),
        ("capture.scan", "/etc/hosts", "capture.scan", "inside the case folder"),
        ("capture.scan", "a" * 5000 + ".stl", "capture.scan", "not in the case folder"),
        ("capture.tape", "tape.csv", "capture.tape", "not in the case folder"),
        (
            "couple.parts",
            {"pylon_outside_mm": 16.0, "pylon_wall_mm": 8.0},
            "couple.parts.pylon_wall_mm",
            "half of pylon_outside_mm",
        ),
        ("shape.areas.0.depth_mm", 4.0, "shape.areas[0].depth_mm", "load area"),
        (
            "capture.landmarks.points",
            {"knee": [0, 0, 0]},
            "capture.landmarks.points.knee",
            "not a known landmark",
        ),
    ],
)
def test_contradictions_are_refused_with_their_path(folder, path, value, where, words):
    assert words in problems_of(folder, changed(path, value))[where]


def test_a_link_that_leads_out_of_the_folder_is_refused(tmp_path):
    folder = tmp_path / "case"
    folder.mkdir()
    (tmp_path / "scan.stl").write_bytes(b"x")
    (folder / "scan.stl").symlink_to(tmp_path / "scan.stl")
    assert "leads out" in problems_of(folder, parse_document(GOOD).model_dump())["capture.scan"]
    (folder / "scan.stl").unlink()
    (folder / "kept.stl").write_bytes(b"x")
    (folder / "scan.stl").symlink_to(folder / "kept.stl")
    write_case(folder, parse_document(GOOD))


def test_a_relief_area_may_not_press_in(folder):
    data = changed("shape.areas", [{"name": "fibular_head", "depth_mm": -2.0}])
    assert "relief area" in problems_of(folder, data)["shape.areas[0].depth_mm"]


def test_without_a_liner_there_is_no_room_for_one(folder):
    problems = problems_of(folder, changed("liner.material", "none"))
    assert set(problems) == {"liner.thickness_mm", "liner.cap_thickness_mm"}


def test_a_refused_document_leaves_the_stored_one_untouched(folder):
    write_case(folder, parse_document(GOOD))
    before = (folder / CASE_FILE).read_bytes()
    problems_of(folder, changed("capture.tape", "tape.csv"))
    assert (folder / CASE_FILE).read_bytes() == before


def test_broken_toml_and_missing_case_are_told(tmp_path):
    with pytest.raises(CannotRead, match="give a case folder"):
        read_case(tmp_path)
    (tmp_path / CASE_FILE).write_text("person = [")
    with pytest.raises(InvalidCase, match="not valid TOML"):
        read_case(tmp_path)


def start_and_stop(target):
    with new_folder(target) as building:
        (building / "scan.stl").write_bytes(b"x")
        raise RuntimeError("stop")


def test_a_new_folder_is_there_whole_or_not_at_all(tmp_path):
    target = tmp_path / "case"
    with pytest.raises(RuntimeError, match="stop"):
        start_and_stop(target)
    assert list(tmp_path.iterdir()) == []
    with new_folder(target) as building:
        (building / "scan.stl").write_bytes(b"x")
    assert [item.name for item in target.iterdir()] == ["scan.stl"]


def test_an_existing_case_is_never_written_over(folder):
    with pytest.raises(BadInput, match="not empty"), new_folder(folder):
        pass


def test_the_schema_version_must_be_known():
    with pytest.raises(InvalidCase, match="schema_version"):
        parse_document({**GOOD, "schema_version": 99})
