"""What is kept for how long: drafts, jobs, results in memory, and the address of a start."""

from __future__ import annotations

import errno
import json
import os
import stat
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from limbwright.case.cache import CACHE_FOLDER
from limbwright.case.folder import CASE_FILE, read_case
from limbwright.service import computed_case
from limbwright.service.apart import Run
from limbwright.service.app import create_app
from limbwright.service.cabinet import DRAFT_LIFE_S, DRAFTS, MOST_AWAKE, Cabinet, case_id
from limbwright.service.guard import TOKEN_HEADER
from limbwright.service.jobs import MOST_ENDED, Jobs
from limbwright.service.kept_address import (
    LIFE_S,
    Address,
    address_file,
    keep_address,
    last_address,
)
from limbwright.service.made import MADE_FOLDER
from limbwright.service.summary import SUMMARY_FILE
from limbwright.service.workshop import Workshop

TOKEN = "test-token"
CASE = f"/api/cases/{case_id(Path('demo'))}"
posix_only = pytest.mark.skipif(os.name != "posix", reason="rights of POSIX")


def client_for(folder: Path) -> TestClient:
    app = create_app(folder, TOKEN)
    return TestClient(app, base_url="http://127.0.0.1", headers={TOKEN_HEADER: TOKEN})


def contents(folder: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def draft(root: Path, name: str, age_s: float) -> Path:
    folder = root / DRAFTS / name
    folder.mkdir(parents=True)
    (folder / "scan.stl").write_bytes(b"a scan")
    then = time.time() - age_s
    os.utime(folder, (then, then))
    return folder


def test_old_drafts_go_at_the_start_and_with_the_next_upload_and_nothing_else_does(demo_copy):
    root = demo_copy.parent
    case = contents(demo_copy)
    old = draft(root, "0" * 16, DRAFT_LIFE_S + 60)
    young = draft(root, "1" * 16, DRAFT_LIFE_S - 3600)
    foreign = draft(root, "somebody's folder", 10 * DRAFT_LIFE_S)
    client = client_for(root)
    assert not old.exists()
    assert young.exists()
    assert foreign.exists()
    assert contents(demo_copy) == case
    later = draft(root, "2" * 16, DRAFT_LIFE_S + 60)
    refused = client.post("/api/scans", files={"file": ("a.stl", b"no scan")})
    assert refused.status_code == 422
    assert not later.exists()
    assert young.exists()


def test_a_draft_that_a_case_is_begun_from_stays(demo_copy):
    root = demo_copy.parent
    cabinet = Cabinet(root)
    folder = draft(root, "3" * 16, DRAFT_LIFE_S + 60)
    with cabinet._kept_for_one(folder.name):
        cabinet._remove_old_drafts()
        assert folder.exists()
    cabinet._remove_old_drafts()
    assert not folder.exists()


def test_a_folder_that_is_still_being_built_is_no_case(demo_copy):
    building = demo_copy.parent / ".limbwright-new-a1b2c3d4"
    building.mkdir()
    (building / CASE_FILE).write_bytes((demo_copy / CASE_FILE).read_bytes())
    assert [entry.folder for entry in Cabinet(demo_copy.parent).entries()] == ["demo"]


def test_of_ended_jobs_the_last_few_of_each_kind_are_remembered_and_all_that_run():
    jobs = Jobs()
    running = jobs.begin("make")
    for _ in range(MOST_ENDED + 4):
        jobs.begin("make").finish("made")
    confirming = jobs.begin("confirm", Run())
    kept = jobs.newest_first()
    assert kept[0] is confirming
    assert running in kept
    assert sum(job.kind == "make" and job.state == "done" for job in kept) == MOST_ENDED
    assert jobs.get(running.job_id) is running
    jobs.cancel("confirm")
    assert confirming.run is not None
    assert confirming.run.cancelled


def test_a_running_and_an_ended_job_are_told_to_whoever_comes(demo_copy, monkeypatch):
    client = client_for(demo_copy)
    held, reached = threading.Event(), threading.Event()
    through = computed_case.evaluate

    def slow(*given: object, **named: object) -> object:
        if "progress" in named:
            reached.set()
            held.wait(60)
        return through(*given, **named)

    monkeypatch.setattr(computed_case, "evaluate", slow)
    started = client.post(f"{CASE}/make", json={"base_revision": 1}).json()["job"]
    assert reached.wait(60)
    (seen,) = client.get(f"{CASE}/jobs").json()["jobs"]
    assert (seen["job"], seen["kind"], seen["state"]) == (started, "make", "running")
    held.set()
    deadline = time.monotonic() + 120
    while client.get(f"/api/jobs/{started}").json()["state"] == "running":
        assert time.monotonic() < deadline
        time.sleep(0.1)
    (ended,) = (job for job in client.get(f"{CASE}/jobs").json()["jobs"] if job["kind"] == "make")
    assert (ended["job"], ended["state"], ended["revision"]) == (started, "done", 1)
    assert {"work_order.pdf", "case.toml"} <= {file["name"] for file in ended["files"]}


def test_cases_that_nobody_looks_at_give_their_memory_back_and_answer_again(demo_copy):
    cabinet = Cabinet(demo_copy)
    first = cabinet.workshop(case_id(demo_copy))
    assert first is not None
    arrays = first.evaluation()["arrays"]
    key = arrays["limb.faces"]["key"]
    assert first.shelf.get(key) is not None
    others = [cabinet.begin_demo() for _ in range(MOST_AWAKE)]
    for other in others[:-1]:
        cabinet.workshop(other)
    assert first.shelf.get(key) is not None
    # One that computes is left alone, whatever else is opened.
    with first._computing:
        cabinet.workshop(others[-1])
        assert first.shelf.get(key) is not None
    cabinet.workshop(others[-1])
    assert first.shelf.get(key) is None
    assert cabinet.workshop(case_id(demo_copy)) is first
    assert first.evaluation()["arrays"] == arrays
    assert first.shelf.get(key) is not None


def test_a_summary_is_written_only_when_it_changed(demo_copy, monkeypatch):
    written: list[object] = []
    monkeypatch.setattr(
        computed_case, "write_summary", lambda path, summary: written.append(summary)
    )
    known: list[object] = [None]
    monkeypatch.setattr(computed_case, "read_summary", lambda path: (written or known)[-1])
    workshop = Workshop(demo_copy, "a")

    def evaluated() -> None:
        workshop.evaluation()
        for thread in threading.enumerate():
            if thread is not threading.current_thread() and thread.name.endswith("(keep)"):
                thread.join(60)

    evaluated()
    evaluated()
    assert len(written) == 1
    document = workshop.current.document
    workshop.save(document.model_copy(update={"title": "Other"}), 1)
    evaluated()
    assert len(written) == 1
    assert not (demo_copy / CACHE_FOLDER / SUMMARY_FILE).exists()


def test_storing_again_what_is_stored_is_no_conflict(demo_copy):
    # As after a service that was ended between storing and answering.
    client = client_for(demo_copy)
    case = client.get(CASE).json()
    changed = {**case["document"], "title": "Second"}
    body = {"base_revision": case["revision"], "document": changed}
    first, again = (client.put(CASE, json=body) for _ in range(2))
    assert first.json()["revision"] == again.json()["revision"] == case["revision"] + 1
    assert len(client.get(f"{CASE}/revisions").json()["revisions"]) == case["revision"] + 1
    other = {**body, "document": {**changed, "title": "Third"}}
    assert client.put(CASE, json=other).status_code == 409


def full(*_: object, **__: object) -> None:
    raise OSError(errno.ENOSPC, "No space left on device")


def test_a_full_disk_refuses_the_change_and_takes_it_when_there_is_room(demo_copy, monkeypatch):
    client = client_for(demo_copy)
    case = client.get(CASE).json()
    before = (demo_copy / CASE_FILE).read_bytes()
    body = {"base_revision": 1, "document": {**case["document"], "title": "Second"}}
    with monkeypatch.context() as patched:
        patched.setattr("limbwright.core.atomic.os.fsync", full)
        refused = client.put(CASE, json=body)
    assert refused.status_code == 507
    assert "free some space" in refused.json()["detail"]
    assert (demo_copy / CASE_FILE).read_bytes() == before
    assert client.get(CASE).json() == case
    assert [path.name for path in demo_copy.iterdir() if path.name.startswith(".case")] == []
    assert client.put(CASE, json=body).json()["revision"] == 2
    assert read_case(demo_copy).title == "Second"


def test_a_disk_that_is_full_while_files_are_made_leaves_no_half_of_them(demo_copy, monkeypatch):
    client = client_for(demo_copy)
    with monkeypatch.context() as patched:
        # The last step, when all files stand aside already.
        patched.setattr("limbwright.case.outputs.os.replace", full)
        job = client.post(f"{CASE}/make", json={"base_revision": 1}).json()["job"]
        deadline = time.monotonic() + 120
        while (told := client.get(f"/api/jobs/{job}").json())["state"] == "running":
            assert time.monotonic() < deadline
            time.sleep(0.1)
    assert told["state"] == "failed"
    assert "the disk is full; free some space and try again" in told["error"]
    assert told["files"] == []
    assert list((demo_copy / MADE_FOLDER).rglob("*.*")) == []


def test_an_address_is_kept_for_this_user_alone_and_for_a_day_s_work(tmp_path, monkeypatch):
    monkeypatch.setenv("LOCALAPPDATA" if os.name == "nt" else "XDG_STATE_HOME", str(tmp_path))
    path = address_file(tmp_path / "Someone Surname")
    assert path is not None
    assert path.is_relative_to(tmp_path)
    assert "urname" not in str(path.relative_to(tmp_path))
    assert last_address(path) is None
    address = Address(4321, "k" * 32, time.time())
    keep_address(path, address)
    assert last_address(path) == address
    assert path != address_file(tmp_path / "another")
    if os.name == "posix":
        assert stat.S_IMODE(path.stat().st_mode) == 0o600
        assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700
    for made_at in (time.time() - LIFE_S - 1, time.time() + 3600):
        keep_address(path, Address(4321, "k" * 32, made_at))
        assert last_address(path) is None


@posix_only
def test_an_address_that_others_may_read_or_that_is_spoilt_is_not_used(tmp_path):
    path = tmp_path / "address.json"
    keep_address(path, Address(4321, "k" * 32, time.time()))
    path.chmod(0o644)
    assert last_address(path) is None
    whole = {"port": 4321, "token": "k" * 32, "made_at": time.time()}
    for spoilt in (
        "",
        "[]",
        "null",
        json.dumps({**whole, "port": 0}),
        json.dumps({**whole, "port": "x"}),
        json.dumps({**whole, "token": "short"}),
        json.dumps({**whole, "token": None}),
        json.dumps({**whole, "made_at": None}),
        json.dumps({**whole, "more": 1}),
    ):
        path.write_text(spoilt)
        path.chmod(0o600)
        assert last_address(path) is None, spoilt


def started(folder: Path, state: Path, *words: str) -> tuple[subprocess.Popen[str], str]:
    command = [sys.executable, "-m", "limbwright.cli", "serve", str(folder), "--json", *words]
    environment = {**os.environ, "XDG_STATE_HOME": str(state), "LOCALAPPDATA": str(state)}
    process = subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=environment
    )
    assert process.stdout is not None
    address: str = json.loads(process.stdout.readline())["address"]
    return process, address


def killed(process: subprocess.Popen[str]) -> str:
    process.kill()
    said = process.communicate(timeout=30)[1]
    return said


def test_a_start_after_a_crash_has_the_same_address_and_key(demo_copy, tmp_path):
    state = tmp_path / "state"
    process, first = started(demo_copy, state)
    killed(process)
    process, again = started(demo_copy, state)
    try:
        assert again == first
        # While that one runs, another start takes another port and says so, with another key.
        beside, other = started(demo_copy, state)
        assert "is taken" in killed(beside)
        assert other.split("/#")[0] != first.split("/#")[0]
        assert other.split("token=")[1] != first.split("token=")[1]
    finally:
        killed(process)
    # It did not take the place of the first one either.
    process, third = started(demo_copy, state)
    killed(process)
    assert third == first
    process, fresh = started(demo_copy, state, "--new-key")
    killed(process)
    assert fresh.split("token=")[1] != first.split("token=")[1]
    process, apart = started(demo_copy, state, "--port", "0")
    killed(process)
    assert apart.split("token=")[1] != fresh.split("token=")[1]
