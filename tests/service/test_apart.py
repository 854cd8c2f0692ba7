"""Reading and capturing in processes of their own: limits, hostile files, nobody kept waiting."""

from __future__ import annotations

import json
import os
import shutil
import struct
import subprocess
import sys
import threading
import time
import zipfile
from dataclasses import replace
from pathlib import Path

import fast_simplification
import numpy as np
import pytest
from fastapi.testclient import TestClient

from limbwright.capture.read import read_scan
from limbwright.case import capturing
from limbwright.case.cache import CACHE_FOLDER
from limbwright.case.evaluate import evaluate
from limbwright.case.folder import read_case
from limbwright.case.memo import Memo
from limbwright.core.errors import BadInput, CannotWrite, InvalidLandmarks, InvalidScan
from limbwright.core.mesh import Mesh
from limbwright.core.stl import RECORD
from limbwright.core.topology import weld
from limbwright.service import apart, capturer, scan_reader
from limbwright.service.apart import Cancelled, Limits, Run
from limbwright.service.app import create_app
from limbwright.service.capturer import capture_apart
from limbwright.service.guard import TOKEN_HEADER
from limbwright.service.jobs import Job
from limbwright.service.scan_reader import read_apart
from limbwright.service.workshop import Workshop

TOKEN = "test-token"
posix_only = pytest.mark.skipif(os.name != "posix", reason="memory limits of POSIX")


def client_for(folder: Path) -> TestClient:
    app = create_app(folder, TOKEN)
    return TestClient(app, base_url="http://127.0.0.1", headers={TOKEN_HEADER: TOKEN})


def forget(folder: Path) -> None:
    shutil.rmtree(folder / CACHE_FOLDER, ignore_errors=True)


def silent(doing: str, share: float) -> None:
    pass


def test_a_limb_captured_apart_is_the_limb_captured_here(demo_copy):
    document = read_case(demo_copy)
    here = evaluate(demo_copy, document, Memo(), upto="capture").outcomes["capture"]
    forget(demo_copy)
    told: list[tuple[str, float]] = []
    capture_apart(demo_copy, document, Run(), lambda doing, share: told.append((doing, share)))
    apart = evaluate(demo_copy, document, Memo(), upto="capture").outcomes["capture"]
    assert apart.key == here.key
    assert (apart.result.surface.vertices == here.result.surface.vertices).all()
    assert (apart.result.cover_mm == here.result.cover_mm).all()
    shares = [share for _, share in told]
    assert len(told) >= 3
    assert shares == sorted(shares)
    assert 0.0 <= shares[0] <= shares[-1] <= 1.0


def test_a_limb_is_the_same_whether_its_scan_was_mended_before_or_now(demo_copy, monkeypatch):
    document = read_case(demo_copy)
    marks = document.capture.landmarks
    x, y, z = marks.points["fibular_head"]
    moved = marks.model_copy(update={"points": {**marks.points, "fibular_head": (x, y, z - 0.002)}})
    capture = document.capture.model_copy(update={"landmarks": moved})
    document = document.model_copy(update={"capture": capture})
    forget(demo_copy)
    now = evaluate(demo_copy, document, Memo(), upto="capture").outcomes["capture"].result
    forget(demo_copy)
    evaluate(demo_copy, read_case(demo_copy), Memo(), upto="capture")

    def again(*_: object) -> None:
        raise AssertionError("mended once more")

    monkeypatch.setattr(capturing, "mended", again)
    before = evaluate(demo_copy, document, Memo(), upto="capture").outcomes["capture"].result
    for name in ("skin", "surface"):
        assert (getattr(before, name).vertices == getattr(now, name).vertices).all()
        assert (getattr(before, name).faces == getattr(now, name).faces).all()
    assert before.repairs == now.repairs
    assert (before.cover_mm == now.cover_mm).all()


def test_the_service_never_captures_a_limb_in_its_own_process(demo_copy, monkeypatch):
    forget(demo_copy)

    def here(*_: object) -> None:
        raise AssertionError("captured in the service's process")

    monkeypatch.setattr(capturing, "take_in", here)
    workshop = Workshop(demo_copy, "a")
    stages = workshop.evaluation()["stages"]
    assert stages["capture"]["state"] == "ready"
    (job,) = workshop.jobs.newest_first()
    assert (job.kind, job.state) == ("capture", "done")
    # What is known is asked of no process again.
    workshop.evaluation()
    Workshop(demo_copy, "a").evaluation()
    assert len(workshop.jobs.newest_first()) == 1


def test_a_limb_captured_ahead_is_not_captured_again_for_whoever_asks(demo_copy):
    forget(demo_copy)
    workshop = Workshop(demo_copy, "a")
    workshop.capture_ahead()
    (job,) = wait_for_jobs(workshop, 1)
    seen = workshop.first_look("assess", "capture", None)
    assert seen is not None
    assert seen["stages"]["capture"]["state"] == "ready"
    assert [one.job_id for one in workshop.jobs.newest_first()] == [job.job_id]
    assert job.state == "done"


def test_what_ended_a_capture_begun_ahead_is_told_once_and_then_tried_anew(demo_copy):
    forget(demo_copy)
    workshop = Workshop(demo_copy, "a")
    workshop.capture_ahead()
    (job,) = wait_for_jobs(workshop, 1)
    workshop.cancel(job.job_id)
    stages = workshop.evaluation()["stages"]
    assert "was stopped" in stages["capture"]["error"]["message"]
    assert [one.state for one in workshop.jobs.newest_first()] == ["cancelled"]
    assert workshop.evaluation()["stages"]["capture"]["state"] == "ready"
    assert [one.state for one in workshop.jobs.newest_first()] == ["done", "cancelled"]


def wait_for_jobs(workshop: Workshop, count: int) -> tuple[Job, ...]:
    end = time.monotonic() + 30.0
    while len(workshop.jobs.newest_first()) < count:
        assert time.monotonic() < end, "nothing was begun"
        time.sleep(0.01)
    return workshop.jobs.newest_first()


def test_a_refusal_comes_back_as_what_it_was(demo_copy):
    document = read_case(demo_copy)
    marks = document.capture.landmarks
    wrong = marks.model_copy(update={"points": {**marks.points, "fibular_head": (0.0, 0.0, 900.0)}})
    capture = document.capture.model_copy(update={"landmarks": wrong})
    with pytest.raises(InvalidLandmarks, match="fibular_head") as told:
        capture_apart(demo_copy, document.model_copy(update={"capture": capture}), Run(), silent)
    assert told.value.where == "landmarks.points"


def test_capturing_that_takes_too_long_or_is_stopped_says_so(demo_copy):
    document = read_case(demo_copy)
    forget(demo_copy)
    with pytest.raises(InvalidScan, match="not captured within"):
        capture_apart(demo_copy, document, Run(), silent, Limits(2**33, 0.2))
    run = Run()
    with pytest.raises(Cancelled):
        capture_apart(demo_copy, document, run, lambda *_: run.cancel())
    assert run.process is not None
    assert run.process.poll() is not None
    assert not (demo_copy / CACHE_FOLDER / "capture.npz").exists()


@posix_only
def test_capturing_that_wants_too_much_memory_says_so(demo_copy, capfd):
    forget(demo_copy)
    # Less than what is loaded takes already: it ends wherever it first asks for more.
    with pytest.raises(InvalidScan, match=r"memory set aside|not enough memory"):
        capture_apart(demo_copy, read_case(demo_copy), Run(), silent, Limits(500 * 2**20, 60.0))


def test_a_captured_limb_that_the_folder_does_not_take_is_told(demo_copy):
    forget(demo_copy)
    # A file stands where the cache's folder is needed.
    (demo_copy / CACHE_FOLDER).write_bytes(b"")
    outcome = evaluate(
        demo_copy,
        read_case(demo_copy),
        Memo(),
        upto="capture",
        capturing=lambda folder, document: capture_apart(folder, document, Run(), silent),
    ).outcomes["capture"]
    assert isinstance(outcome.error, CannotWrite)
    assert "free some space" in outcome.error.message


def test_a_capturing_process_ends_with_the_workshop(demo_copy):
    forget(demo_copy)
    command = [sys.executable, "-m", capturer.MODULE]
    order = [str(demo_copy), read_case(demo_copy).model_dump_json(), str(2**33)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.DEVNULL) as process:
        assert process.stdin is not None
        process.stdin.write(json.dumps(order).encode() + b"\n")
        process.stdin.close()
        assert process.wait(timeout=60) == 1


@pytest.fixture
def kept_ready():
    yield
    apart._KEPT_READY.clear()
    for waiting in apart._READY.values():
        with waiting:
            waiting.kill()
    apart._READY.clear()


def test_a_process_that_waits_is_used_and_another_waits_afterwards(demo_copy, kept_ready):
    apart.keep_ready(capturer.MODULE)
    waiting = apart._READY[capturer.MODULE]
    apart.keep_ready(capturer.MODULE)
    assert apart._READY[capturer.MODULE] is waiting
    forget(demo_copy)
    run = Run()
    capture_apart(demo_copy, read_case(demo_copy), run, silent)
    assert run.process is waiting
    assert waiting.returncode == 0
    assert (demo_copy / CACHE_FOLDER / "capture.npz").exists()
    after = apart._READY[capturer.MODULE]
    assert after is not waiting
    assert after.poll() is None
    # One that has ended meanwhile is not used.
    after.kill()
    after.wait()
    forget(demo_copy)
    capture_apart(demo_copy, read_case(demo_copy), Run(), silent)
    assert (demo_copy / CACHE_FOLDER / "capture.npz").exists()


def test_a_process_that_waits_ends_with_the_workshop():
    command = [sys.executable, "-m", capturer.MODULE]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.DEVNULL) as process:
        assert process.stdin is not None
        process.stdin.close()
        assert process.wait(timeout=60) == 0


def endless_zip(path: Path) -> None:
    """A 3MF of a few hundred kilobytes whose model is two gigabytes of blanks."""
    with (
        zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as bomb,
        bomb.open("3D/3dmodel.model", "w", force_zip64=True) as model,
    ):
        model.write(b'<?xml version="1.0"?><model unit="millimeter"><resources><object>')
        blanks = b" " * (1 << 24)
        for _ in range(128):
            model.write(blanks)


def promising_glb(path: Path) -> None:
    """A GLB of a few bytes that promises two thousand million points."""
    text = (
        b'{"asset":{"version":"2.0"},"scenes":[{"nodes":[0]}],"nodes":[{"mesh":0}],'
        b'"meshes":[{"primitives":[{"attributes":{"POSITION":0}}]}],'
        b'"accessors":[{"componentType":5126,"count":2000000000,"type":"VEC3"}]}'
    )
    text += b" " * (-len(text) % 4)
    chunk = struct.pack("<I4s", len(text), b"JSON") + text
    path.write_bytes(b"glTF" + struct.pack("<II", 2, 12 + len(chunk)) + chunk)


HOSTILE = {
    "counts beyond the file.stl": b"\0" * 80 + struct.pack("<I", 2**32 - 1) + b"\0" * 5000,
    "points beyond the file.ply": b"ply\nformat binary_little_endian 1.0\n"
    b"element vertex 4000000000\nproperty float x\nproperty float y\nproperty float z\n"
    b"element face 1\nproperty list uchar int vertex_indices\nend_header\n" + b"\0" * 500,
    "a list beyond the file.ply": b"ply\nformat binary_little_endian 1.0\nelement vertex 1\n"
    b"property float x\nproperty float y\nproperty float z\nelement face 1\n"
    b"property list uint int vertex_indices\nend_header\n" + b"\0" * 12 + b"\xff" * 4,
    "no header's end.ply": b"ply\nformat ascii 1.0\n" + b"comment x\n" * 2_000_000,
    "one endless line.obj": b"v " + b"1" * 40_000_000,
    "one face of all points.obj": b"v 0 0 0\n" * 300_000 + b"f " + b"1 2 3 " * 2_000_000,
    "endless text.stl": b"solid x\n" + b"facet normal 0 0 1\n" * 2_000_000,
    "no line at all.stl": b"solid " + b"x" * 60_000_000,
}


@pytest.mark.slow
@pytest.mark.parametrize("name", [*HOSTILE, "endless.3mf", "promising.glb"])
def test_a_hostile_file_is_refused_in_words_within_its_limits(tmp_path, name, capfd):
    scan = tmp_path / f"scan{Path(name).suffix}"
    if name == "endless.3mf":
        endless_zip(scan)
        assert scan.stat().st_size < 20 << 20
    elif name == "promising.glb":
        promising_glb(scan)
    else:
        scan.write_bytes(HOSTILE[name])
    start = time.monotonic()
    with pytest.raises(BadInput) as refused:
        read_apart(scan, tmp_path / "view.npz", replace(scan_reader.LIMITS, time_s=60.0))
    assert time.monotonic() - start < 90.0
    assert len(refused.value.message) < 400
    assert str(tmp_path) not in refused.value.message
    assert "Traceback" not in capfd.readouterr().err


def largest_scan(demo: Path, path: Path) -> int:
    """The demo's limb as a scan of nearly 2 million triangles, STL; tells how many."""
    raw = read_scan(demo / read_case(demo).capture.scan)
    mesh = weld(Mesh(raw.vertices, raw.faces))
    points, faces = np.array(mesh.vertices), np.array(mesh.faces)
    while len(faces) < 2_000_000:
        points, faces = quartered(points, faces)
    points, faces = fast_simplification.simplify(points, faces, target_count=1_990_000)
    records = np.zeros(len(faces), RECORD)
    records["corners"] = points[faces]
    path.write_bytes(b"\0" * 80 + struct.pack("<I", len(faces)) + records.tobytes())
    return len(faces)


def quartered(points: np.ndarray, faces: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Every triangle as four, their new corners in the middle of its edges."""
    edges = np.sort(faces[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2), axis=1)
    known, place = np.unique(edges, axis=0, return_inverse=True)
    middle = len(points) + place.reshape(-1, 3)
    a, b, c = faces.T
    ab, bc, ca = middle.T
    parts = ([a, ab, ca], [ab, b, bc], [ca, bc, c], [ab, bc, ca])
    fours = np.concatenate([np.stack(part, axis=1) for part in parts])
    return np.concatenate([points, points[known].mean(axis=1)]), fours


@pytest.mark.slow
def test_a_scan_of_two_million_triangles_goes_through_and_keeps_nobody_waiting(demo_copy, tmp_path):
    scan = tmp_path / "large.stl"
    count = largest_scan(demo_copy, scan)
    assert 1_900_000 < count <= 2_000_000
    client = client_for(demo_copy)
    mine = client.get("/api/cases").json()["first"]
    client.get(f"/api/cases/{mine}/evaluation").raise_for_status()
    before = own_peak_bytes()
    document = read_case(demo_copy)
    replies: list[object] = []

    def begin() -> None:
        with scan.open("rb") as content:
            replies.append(client.post("/api/scans", files={"file": ("large.stl", content)}))
        marks = document.capture.landmarks.model_dump(mode="json")
        body = {
            "scan": replies[0].json()["scan"],
            "title": "Large",
            "person": document.person.model_dump(mode="json"),
            "landmarks": {"unit": marks["unit"], "points": marks["points"]},
        }
        replies.append(client.post("/api/cases", json=body))

    beginning = threading.Thread(target=begin)
    beginning.start()
    waits, doings = [], set()
    while beginning.is_alive():
        start = time.monotonic()
        client.get(f"/api/cases/{mine}/evaluation").raise_for_status()
        waits.append(time.monotonic() - start)
        if replies:
            told = client.get(f"/api/scans/{replies[0].json()['scan']}/capture").json()
            doings.add(told and told["text"])
        time.sleep(0.05)
    uploaded, begun = replies
    assert uploaded.json()["triangles"] == count
    shape = uploaded.json()["arrays"]["scan.faces"]["shape"]
    assert shape[0] <= scan_reader.DRAWN_TRIANGLES * 1.01
    assert begun.status_code == 200, begun.text
    # The other case was answered all along, and what capturing does was told.
    assert len(waits) > 10
    assert float(np.median(waits)) < 2.0
    assert len(doings - {None}) >= 2
    assert own_peak_bytes() - before < 2**30
    stages = client.get(f"/api/cases/{begun.json()['id']}/evaluation").json()["stages"]
    assert stages["capture"]["state"] == "ready"
    small = client.get(f"/api/cases/{mine}/evaluation").json()["stages"]
    volumes = [
        found["capture"]["results"]["measures"]["volume_below_datum_ml"]
        for found in (stages, small)
    ]
    assert volumes[0] == pytest.approx(volumes[1], rel=0.01)


def own_peak_bytes() -> int:
    resource = pytest.importorskip("resource")
    peak: int = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak if sys.platform == "darwin" else peak * 1024
