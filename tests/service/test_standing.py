"""What stands in a case's folder is what is told, computed and made, whoever put it there."""

from __future__ import annotations

import os
import shutil
import sqlite3
import sys
import time
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from limbwright.case.cache import CACHE_FOLDER
from limbwright.case.folder import BEING_BUILT, CASE_FILE, read_case, write_case
from limbwright.record.store import RECORD_FILE
from limbwright.service.app import create_app
from limbwright.service.cabinet import DRAFT_LIFE_S, case_id
from limbwright.service.guard import TOKEN_HEADER
from limbwright.service.made import folder_to_make_in, made_revisions, note_made
from limbwright.service.routes.at_hand import RECORD_HEADER
from limbwright.service.summary import SUMMARY_FILE

TOKEN = "test-token"


def client_for(folder: Path) -> TestClient:
    app = create_app(folder, TOKEN)
    return TestClient(app, base_url="http://127.0.0.1", headers={TOKEN_HEADER: TOKEN})


def at(folder: Path) -> str:
    return f"/api/cases/{case_id(folder)}"


def weighing(folder: Path, mass_kg: float) -> None:
    """The case written by another hand, for a person of this mass."""
    document = read_case(folder)
    person = document.person.model_copy(update={"mass_kg": mass_kg})
    write_case(folder, document.model_copy(update={"person": person}))


def replaced(folder: Path) -> None:
    """Another person's case of the same name, begun after the first was removed."""
    aside = folder.with_name("aside")
    shutil.copytree(folder, aside, ignore=shutil.ignore_patterns(RECORD_FILE, CACHE_FOLDER))
    shutil.rmtree(folder)
    shutil.move(aside, folder)
    weighing(folder, 60.0)


def test_another_case_in_a_folder_of_the_same_name_is_the_one_that_is_told(demo_copy):
    client = client_for(demo_copy)
    first = client.get(at(demo_copy)).json()
    replaced(demo_copy)
    seen = {RECORD_HEADER: first["record"]}
    # A page that still shows the first one neither reads nor stores by mistake.
    body = {"base_revision": first["revision"], "document": first["document"]}
    for reply in (
        client.put(at(demo_copy), json=body, headers=seen),
        client.get(f"{at(demo_copy)}/evaluation", headers=seen),
        client.post(f"{at(demo_copy)}/make", json={"base_revision": 1}, headers=seen),
    ):
        assert reply.status_code == 410, reply.text
        assert "replaced" in reply.json()["detail"]
    second = client.get(at(demo_copy)).json()
    assert second["document"]["person"]["mass_kg"] == 60.0
    assert second["record"] != first["record"]
    assert read_case(demo_copy).person.mass_kg == 60.0


def test_a_case_that_is_removed_while_it_is_open_is_no_longer_there(demo_copy):
    client = client_for(demo_copy)
    assert client.get(at(demo_copy)).status_code == 200
    shutil.move(demo_copy, demo_copy.with_name("elsewhere"))
    assert client.get(at(demo_copy)).status_code == 404


def test_a_record_that_is_moved_away_is_begun_anew_and_told_from_the_old_one(demo_copy):
    client = client_for(demo_copy)
    first = client.get(at(demo_copy)).json()
    (demo_copy / RECORD_FILE).rename(demo_copy.with_name("old.sqlite"))
    second = client.get(at(demo_copy)).json()
    assert (second["revision"], second["document"]) == (1, first["document"])
    assert second["record"] != first["record"]
    body = {"base_revision": 1, "document": {**first["document"], "title": "New"}}
    assert client.put(at(demo_copy), json=body).json()["revision"] == 2


def test_what_was_changed_by_another_hand_is_what_is_told_and_computed(demo_copy):
    client = client_for(demo_copy)
    assert client.get(at(demo_copy)).json()["revision"] == 1
    weighing(demo_copy, 101.0)
    case = client.get(at(demo_copy)).json()
    assert (case["revision"], case["document"]["person"]["mass_kg"]) == (2, 101.0)
    weighing(demo_copy, 61.0)
    assert client.get(f"{at(demo_copy)}/evaluation").json()["revision"] == 3


def test_two_services_on_one_folder_tell_the_same_revision(demo_copy):
    here, there = client_for(demo_copy), client_for(demo_copy)
    case = here.get(at(demo_copy)).json()
    assert there.get(at(demo_copy)).json() == case
    for number, client in enumerate((here, there, there, here), start=1):
        document = {**case["document"], "title": f"Edit {number}"}
        body = {"base_revision": number, "document": document}
        assert client.put(at(demo_copy), json=body).json()["revision"] == number + 1
        for one in (here, there):
            told = one.get(at(demo_copy)).json()
            assert (told["revision"], told["document"]["title"]) == (number + 1, f"Edit {number}")


def test_a_file_that_cannot_be_used_is_no_longer_made_of_unseen(demo_copy):
    client = client_for(demo_copy)
    assert client.get(at(demo_copy)).json()["revision"] == 1
    (demo_copy / CASE_FILE).write_text("no case")
    for place, more in (("make", {}), ("confirm", {"finite_elements": False})):
        reply = client.post(f"{at(demo_copy)}/{place}", json={"base_revision": 1, **more})
        assert reply.status_code == 409
        assert "changed outside the workshop" in reply.json()["detail"]
    assert client.get(at(demo_copy)).json()["revision"] == 1


def test_nothing_is_made_of_a_revision_that_was_not_seen(demo_copy):
    client = client_for(demo_copy)
    assert client.get(at(demo_copy)).json()["revision"] == 1
    weighing(demo_copy, 115.0)
    for place, more in (("make", {}), ("confirm", {"finite_elements": False})):
        reply = client.post(f"{at(demo_copy)}/{place}", json={"base_revision": 1, **more})
        assert reply.status_code == 409
        assert "stands at revision 2" in reply.json()["detail"]
    jobs = client.get(f"{at(demo_copy)}/jobs").json()["jobs"]
    assert [job for job in jobs if job["kind"] != "capture"] == []


def test_a_set_counts_as_made_when_it_is_whole_and_of_this_record(tmp_path):
    first = folder_to_make_in(tmp_path, "one", 2)
    assert first == tmp_path / "made" / "revision-2"
    # What an interrupted run leaves: part of a set, aside.
    (first / ".writing-x").mkdir(parents=True)
    (first / ".writing-x" / "socket.stl").write_bytes(b"half")
    (tmp_path / "made" / "revision-7").write_text("a plain file")
    assert made_revisions(tmp_path, "one") == frozenset()
    assert folder_to_make_in(tmp_path, "one", 2) == first
    (first / "socket.stl").write_bytes(b"whole")
    note_made(first, "one")
    assert made_revisions(tmp_path, "one") == {2}
    assert folder_to_make_in(tmp_path, "one", 2) == first
    # Its own numbers mean nothing to another record, which writes beside it.
    assert made_revisions(tmp_path, "two") == frozenset()
    beside = folder_to_make_in(tmp_path, "two", 2)
    assert beside == tmp_path / "made" / "revision-2-2"
    beside.mkdir()
    note_made(beside, "two")
    assert made_revisions(tmp_path, "two") == {2}
    assert folder_to_make_in(tmp_path, "two", 7) == tmp_path / "made" / "revision-7-2"


@pytest.mark.parametrize("content", ['{"stop": "x"}', "[]", "7", "{", '{"picture": 7}'])
def test_a_damaged_summary_is_none_and_hides_no_case(demo_copy, content):
    client = client_for(demo_copy)
    (demo_copy / CACHE_FOLDER).mkdir(exist_ok=True)
    (demo_copy / CACHE_FOLDER / SUMMARY_FILE).write_text(content)
    (case,) = client.get("/api/cases").json()["cases"]
    assert (case["picture"], case["stop"], case["problem"]) == (None, 0, None)


@pytest.mark.skipif(sys.platform != "linux", reason="names that are no text")
def test_a_folder_whose_name_is_no_text_is_a_case_like_any_other(demo_copy):
    odd = os.fsdecode(os.fsencode(demo_copy.parent) + b"/M\xfcller")
    shutil.copytree(demo_copy, odd)
    client = client_for(demo_copy)
    cases = {case["folder"]: case for case in client.get("/api/cases").json()["cases"]}
    assert set(cases) == {demo_copy.name, "M?ller"}
    assert client.get(f"/api/cases/{cases['M?ller']['id']}").status_code == 200


def test_a_record_that_another_program_holds_is_said_and_holds_up_no_other_case(demo_copy):
    other = demo_copy.with_name("other")
    shutil.copytree(demo_copy, other)
    client_for(other).get(at(other))
    client = client_for(demo_copy)
    holder = sqlite3.connect(other / RECORD_FILE, isolation_level=None)
    holder.execute("BEGIN EXCLUSIVE")
    try:
        cases = {case["folder"]: case for case in client.get("/api/cases").json()["cases"]}
        assert "in use by another program" in cases["other"]["problem"]
        assert cases[demo_copy.name]["problem"] is None
    finally:
        holder.close()
    cases = {case["folder"]: case for case in client.get("/api/cases").json()["cases"]}
    assert (cases["other"]["problem"], cases["other"]["revision"]) == (None, 1)


def test_what_an_interrupted_beginning_left_is_removed_after_a_day(demo_copy):
    root = demo_copy.parent
    old, new, not_ours = (root / name for name in (f"{BEING_BUILT}a", f"{BEING_BUILT}b", ".own-c"))
    for folder in (old, new, not_ours):
        folder.mkdir()
        (folder / "scan.stl").write_bytes(b"somebody's scan")
    before = time.time() - DRAFT_LIFE_S - 60
    for folder in (old, not_ours):
        os.utime(folder, (before, before))
    client_for(demo_copy)
    assert (old.exists(), new.exists(), not_ours.exists()) == (False, True, True)


def test_a_copy_of_a_case_takes_nothing_from_outside_its_folder(demo_copy):
    secret = demo_copy.with_name("secret.txt")
    secret.write_text("not of this case")
    try:
        (demo_copy / "notes.txt").symlink_to(secret)
    except OSError:
        pytest.skip("links cannot be made here")
    reply = client_for(demo_copy).post(f"{at(demo_copy)}/duplicate")
    assert reply.status_code == 200
    copies = [folder for folder in demo_copy.parent.glob("*-copy*") if folder.is_dir()]
    assert len(copies) == 1
    assert not (copies[0] / "notes.txt").exists()
