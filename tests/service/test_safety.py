"""Who may ask, what a reply carries, and that nothing a request holds makes a fault."""

from __future__ import annotations

import errno
import io
import json
import logging
import tempfile
from pathlib import Path
from urllib.parse import quote

import pytest
from fastapi.testclient import TestClient
from hypothesis import given, settings
from hypothesis import strategies as st

from limbwright.case.folder import read_case
from limbwright.service.app import MAX_BODY_BYTES, create_app
from limbwright.service.cabinet import DRAFTS, case_id
from limbwright.service.guard import TOKEN_HEADER

TOKEN = "test-token"
CASE = f"/api/cases/{case_id(Path('demo'))}"


def client_for(folder: Path, **options: bool) -> TestClient:
    app = create_app(folder, TOKEN)
    return TestClient(
        app, base_url="http://127.0.0.1:8000", headers={TOKEN_HEADER: TOKEN}, **options
    )


@pytest.fixture(scope="module")
def served(demo_folder, tmp_path_factory):
    """A case that every request here must leave as it is."""
    import shutil

    folder = tmp_path_factory.mktemp("safe") / "demo"
    shutil.copytree(demo_folder, folder)
    client = client_for(folder)
    client.get(CASE).raise_for_status()
    return client, folder


def test_another_site_s_page_is_turned_away_whatever_it_asks(demo_copy):
    client = client_for(demo_copy)
    own = client.get("/api/info", headers={"Origin": "http://127.0.0.1:8000"})
    assert own.status_code == 200
    for origin in (
        "http://elsewhere.example",
        "null",
        "http://127.0.0.1:9999",
        "https://127.0.0.1:8000",
    ):
        for method in ("GET", "POST", "PUT", "DELETE", "OPTIONS"):
            reply = client.request(method, f"{CASE}/make", headers={"Origin": origin})
            assert reply.status_code == 403
            assert "access-control-allow-origin" not in reply.headers
    assert client.get(f"{CASE}/jobs").json()["jobs"] == []


@pytest.mark.parametrize(
    "host",
    ["elsewhere.example", "127.0.0.1.elsewhere.example", "127.0.0.1@elsewhere.example", "", "0"],
)
def test_a_name_made_to_point_at_this_machine_is_turned_away(demo_copy, host):
    client = client_for(demo_copy)
    for path in ("/api/info", "/", "/index.html"):
        assert client.get(path, headers={"Host": host}).status_code == 403


def test_every_reply_is_sealed_a_fault_s_too(demo_copy, monkeypatch, caplog):
    client = client_for(demo_copy, raise_server_exceptions=False)

    def fail(*_: object, **__: object) -> None:
        raise ValueError("Someone Surname")

    monkeypatch.setattr("limbwright.service.computed_case.evaluate", fail)
    replies = {
        200: client.get("/api/cases"),
        401: client.get("/api/cases", headers={TOKEN_HEADER: "wrong"}),
        403: client.get("/api/cases", headers={"Host": "elsewhere.example"}),
        404: client.get("/api/cases/none"),
        405: client.delete("/api/info"),
        413: client.put(CASE, content=b" " * (MAX_BODY_BYTES + 1)),
        422: client.put(CASE, json={}),
        500: client.get(f"{CASE}/evaluation"),
    }
    for status, reply in replies.items():
        assert reply.status_code == status
        assert "default-src 'none'" in reply.headers["content-security-policy"], status
        assert reply.headers["cache-control"] == "no-store"
        assert reply.headers["x-content-type-options"] == "nosniff"
        assert reply.headers["referrer-policy"] == "no-referrer"
        if status != 200:
            assert reply.headers["content-type"] == "application/problem+json"
            assert reply.json()["detail"]
        assert "Surname" not in reply.text


def test_a_body_without_a_length_is_cut_off_at_the_limit(demo_copy):
    client = client_for(demo_copy)
    sent = 0

    def endless():
        nonlocal sent
        while sent < 64 * MAX_BODY_BYTES:
            sent += 1 << 16
            yield b" " * (1 << 16)

    assert client.put(CASE, content=endless()).status_code == 413
    parts = {"file": ("scan.stl", b"x")}
    assert client.post("/api/cases", files=parts).status_code == 422


def test_nothing_that_names_a_person_is_logged(demo_copy, caplog):
    client = client_for(demo_copy)
    with caplog.at_level(logging.DEBUG, logger="limbwright"):
        caplog.handler.setLevel(logging.DEBUG)
        document = client.get(CASE).json()["document"]
        document["title"] = "Someone Surname"
        client.put(CASE, json={"base_revision": 1, "document": document}).raise_for_status()
        files = {"file": ("Someone Surname.stl", b"no scan")}
        refused = client.post("/api/scans", files=files)
    assert refused.status_code == 422
    assert "Surname" not in refused.text
    ours = [entry for entry in caplog.records if not entry.name.startswith(("httpx", "httpcore"))]
    assert not [entry for entry in ours if "Surname" in entry.getMessage()]
    kept = [path.name for path in demo_copy.parent.rglob("*") if "Surname" in path.name]
    assert kept == []


def test_a_disk_that_is_full_while_an_upload_comes_in_says_so(demo_copy, monkeypatch):
    def full(self: object, *_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(tempfile.SpooledTemporaryFile, "rollover", full)
    client = client_for(demo_copy)
    reply = client.post("/api/scans", files={"file": ("scan.stl", b"x" * (4 << 20))})
    assert reply.status_code == 507
    assert "disk" in reply.json()["detail"]
    assert not (demo_copy.parent / DRAFTS).exists()


def test_a_disk_that_is_full_while_an_upload_is_kept_leaves_nothing(demo_copy, monkeypatch):
    def full(source: object, target: io.IOBase) -> None:
        target.write(b"half")
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("limbwright.service.cabinet.shutil.copyfileobj", full)
    client = client_for(demo_copy)
    reply = client.post("/api/scans", files={"file": ("scan.stl", b"x" * 1000)})
    assert reply.status_code == 507
    assert "free some space" in reply.json()["detail"]
    assert list((demo_copy.parent / DRAFTS).iterdir()) == []


ROUTES = (
    ("GET", "/api/cases/{}"),
    ("GET", "/api/cases/{}/jobs"),
    ("POST", "/api/cases/{}/duplicate"),
    ("GET", "/api/jobs/{}"),
    ("DELETE", "/api/jobs/{}"),
    ("GET", "/api/jobs/{}/files/case.toml"),
    ("GET", "/api/jobs/0000000000000000/files/{}"),
    ("GET", "/api/scans/{}/capture"),
    ("GET", "/{}"),
    ("GET", CASE + "/revisions/{}"),
    ("GET", CASE + "/arrays?key={}"),
    ("GET", CASE + "/section?level_mm={}"),
)
ODD = st.one_of(
    st.text(max_size=40),
    st.sampled_from(
        [
            "..",
            "../demo",
            "..\\..\\demo",
            "%2e%2e%2fdemo",
            "../../../../etc/passwd",
            "....//etc/passwd",
            "/etc/passwd",
            "demo\0",
            "nan",
            "inf",
            "-1",
            "9" * 400,
            ".drafts",
            "case.toml",
        ]
    ),
)


@given(route=st.sampled_from(ROUTES), odd=ODD, coded=st.booleans())
@settings(max_examples=200)
def test_no_address_leads_out_of_the_workshop_or_to_a_fault(served, route, odd, coded):
    client, folder = served
    method, path = route
    reply = client.request(method, path.format(quote(odd, safe="" if coded else "/")))
    assert reply.status_code < 500
    assert "root:" not in reply.text
    # The document itself may be told, never its file.
    assert "mass_kg = " not in reply.text
    names = sorted(item.name for item in folder.parent.iterdir())
    assert names == ["demo"]


ANY_JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=10), inner, max_size=4)
    ),
    max_leaves=12,
)
BODIES = (
    ("PUT", CASE, ("base_revision", "document")),
    ("POST", f"{CASE}/pick-landmark", ("name", "point_patient_mm", "base_revision")),
    ("POST", f"{CASE}/landmark-preview", ("name", "point_patient_mm")),
    ("POST", f"{CASE}/touched", ("point_patient_mm",)),
    ("POST", f"{CASE}/measure", ("start_patient_mm", "end_patient_mm")),
    ("POST", f"{CASE}/what-if", ("foot_forward_mm", "toe_out_deg")),
    ("POST", f"{CASE}/make", ("base_revision", "more")),
    ("POST", f"{CASE}/archive", ("archived", "more")),
    ("POST", f"{CASE}/confirm", ("base_revision", "finite_elements", "mesh", "more")),
    ("POST", "/api/cases", ("scan", "title", "person", "landmarks", "unit", "scanned_over")),
)


@given(body=st.sampled_from(BODIES), data=st.data())
@settings(max_examples=200)
def test_no_body_makes_a_fault_or_changes_the_case(served, body, data):
    client, folder = served
    method, path, names = body
    whole = data.draw(st.fixed_dictionaries({name: ANY_JSON for name in names}) | ANY_JSON)
    text = json.dumps(whole).encode()
    reply = client.request(method, path, content=text, headers={"Content-Type": "application/json"})
    assert reply.status_code in (200, 400, 409, 422), reply.text[:300]
    assert reply.status_code == 200 or reply.json()["detail"]
    assert client.get(CASE).json()["revision"] == 1
    assert sorted(item.name for item in folder.parent.iterdir()) == ["demo"]


@given(where=st.lists(st.integers(0, 60), min_size=1, max_size=5), odd=ANY_JSON)
@settings(max_examples=100)
def test_a_document_spoilt_at_any_place_is_refused_or_still_a_case(served, where, odd):
    client, folder = served
    document = read_case(folder).model_dump(mode="json")
    place: object = document
    for step in where:
        inner = list(place) if isinstance(place, dict) else range(len(place))  # type: ignore[arg-type]
        key = inner[step % len(inner)]
        if not isinstance(place[key], (dict, list)) or not place[key] or step == where[-1]:  # type: ignore[index]
            place[key] = odd  # type: ignore[index]
            break
        place = place[key]  # type: ignore[index]
    text = json.dumps({"base_revision": 99, "document": document}).encode()
    reply = client.put(CASE, content=text, headers={"Content-Type": "application/json"})
    # On a revision that is not there, so that what is a case all the same is not stored.
    assert reply.status_code in (200, 409, 422), reply.text[:300]
    assert client.get(CASE).json()["revision"] == 1


def test_text_nested_beyond_measure_is_refused(demo_copy):
    client = client_for(demo_copy)
    text = b'{"base_revision": 1, "document": ' + b"[" * 100_000 + b"]" * 100_000 + b"}"
    reply = client.put(CASE, content=text, headers={"Content-Type": "application/json"})
    assert reply.status_code in (400, 422)
