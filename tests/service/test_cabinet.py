"""The list of cases: begun from a scan, copied, put away, and never mixed up."""

import json
import re
import shutil
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from fastapi.testclient import TestClient
from scipy.spatial import cKDTree

from limbwright.case.folder import CASE_FILE, read_case
from limbwright.core.errors import BadInput
from limbwright.service.app import create_app
from limbwright.service.cabinet import Cabinet, case_id
from limbwright.service.guard import TOKEN_HEADER
from limbwright.service.scan_reader import LIMITS, read_apart

TOKEN = "test-token"


def client_for(folder: Path) -> TestClient:
    app = create_app(folder, TOKEN)
    return TestClient(app, base_url="http://127.0.0.1", headers={TOKEN_HEADER: TOKEN})


def listed(client: TestClient) -> list[dict]:
    return client.get("/api/cases").json()["cases"]


def uploaded(client: TestClient, scan: Path) -> dict:
    with scan.open("rb") as content:
        reply = client.post("/api/scans", files={"file": (scan.name, content)})
    assert reply.status_code == 200, reply.text
    return reply.json()


def begin(client: TestClient, scan: str, demo: Path, **changes) -> object:
    """A case from the demo's own scan, with the two landmarks that a frame needs and the end."""
    document = read_case(demo)
    marks = document.capture.landmarks
    names = ("mid_patellar_tendon", "fibular_head", "limb_end")
    body = {
        "scan": scan,
        "title": "From the page",
        "person": {**document.person.model_dump(mode="json"), "code": "P 7/b"},
        "landmarks": {
            "unit": marks.unit.value,
            "points": {name: marks.points[name] for name in names},
        },
    }
    return client.post("/api/cases", json={**body, **changes})


def test_a_case_is_begun_from_an_uploaded_scan(demo_copy, tmp_path):
    client = client_for(demo_copy)
    scan = demo_copy / read_case(demo_copy).capture.scan
    draft = uploaded(client, scan)
    assert 0.5 < draft["sureness"] <= 1.0
    assert draft["triangles"] > 1000
    described = draft["arrays"]["scan.positions"]
    key = {"key": described["key"]}
    content = client.get("/api/scans/arrays", params=key).content
    drawn = np.frombuffer(content, np.float32).reshape(described["shape"])
    # Stood up: longest along z, and a turn back gives the scan's own places.
    assert np.ptp(drawn, axis=0).argmax() == 2
    turn = np.array(draft["turn"])
    assert np.allclose(turn @ turn.T, np.eye(3), atol=1e-9)
    assert np.linalg.det(turn) == pytest.approx(1.0)
    placed = np.array(list(read_case(demo_copy).capture.landmarks.points.values())) @ turn.T
    assert cKDTree(drawn).query(placed)[0].max() < 5.0

    reply = begin(client, draft["scan"], demo_copy)
    assert reply.status_code == 200, reply.text
    begun = reply.json()["id"]
    folder = next(item for item in demo_copy.parent.iterdir() if case_id(item) == begun)
    assert folder.name == "P-7-b"
    document = read_case(folder)
    assert document.title == "From the page"
    assert not document.invented
    assert (folder / document.capture.scan).read_bytes() == scan.read_bytes()
    # The page opens it like any other, and what nobody picked is a guess.
    stages = client.get(f"/api/cases/{begun}/evaluation").json()["stages"]
    assert stages["capture"]["results"]["unit"]["unit"] == draft["unit"]
    basis = {
        name: mark["basis"] for name, mark in stages["capture"]["results"]["landmarks"].items()
    }
    assert basis["fibular_head"] == "given"
    assert basis["crest_lower"] == "guessed"
    # The draft is used up.
    assert begin(client, draft["scan"], demo_copy).status_code == 422


def test_a_scan_that_cannot_be_captured_leaves_no_case_and_can_be_tried_again(demo_copy):
    client = client_for(demo_copy)
    draft = uploaded(client, demo_copy / read_case(demo_copy).capture.scan)
    before = sorted(item.name for item in demo_copy.parent.iterdir())
    wrong = {"unit": "mm", "points": {"mid_patellar_tendon": [0, 0, 900]}}
    refused = begin(client, draft["scan"], demo_copy, landmarks=wrong)
    assert refused.status_code == 422
    assert "mid_patellar_tendon" in refused.json()["detail"]
    assert sorted(item.name for item in demo_copy.parent.iterdir()) == before
    assert begin(client, draft["scan"], demo_copy).status_code == 200


def test_an_impossible_person_is_refused_in_plain_words_with_its_entry(demo_copy):
    client = client_for(demo_copy)
    draft = uploaded(client, demo_copy / read_case(demo_copy).capture.scan)
    person = read_case(demo_copy).person.model_dump(mode="json") | {"stature_mm": 17500}
    refused = begin(client, draft["scan"], demo_copy, person=person)
    assert refused.status_code == 422
    (problem,) = refused.json()["problems"]
    assert problem["path"] == "body.person.stature_mm"
    assert re.fullmatch(r"must be at most \d+ mm, not 17500(\.0)?", problem["text"])


@pytest.mark.parametrize(
    ("name", "content", "told"),
    [
        ("limb.exe", b"solid", "ends in one of"),
        ("limb.stl", b"not a scan at all", "The file: this is text"),
        ("limb.stl", b"", ""),
        ("../../limb.obj", b"v 0 0 0\n", ""),
    ],
)
def test_a_file_that_is_no_scan_is_refused_and_leaves_nothing(demo_copy, name, content, told):
    client = client_for(demo_copy)
    reply = client.post("/api/scans", files={"file": (name, content)})
    assert reply.status_code == 422
    detail = reply.json()["detail"]
    assert told in detail
    assert "scan.stl" not in detail
    assert str(demo_copy.parent) not in detail
    drafts = demo_copy.parent / ".drafts"
    assert not drafts.exists() or not any(drafts.iterdir())


def test_a_scan_that_takes_too_long_is_given_up(demo_copy, tmp_path):
    scan = demo_copy / read_case(demo_copy).capture.scan
    with pytest.raises(BadInput, match="not read within"):
        read_apart(scan, tmp_path / "view.npz", replace(LIMITS, time_s=0.01))


def test_a_copy_has_the_same_plan_and_an_empty_record(demo_copy):
    client = client_for(demo_copy)
    original = listed(client)[0]
    copied = client.post(f"/api/cases/{original['id']}/duplicate").json()["id"]
    lines = {line["id"]: line for line in listed(client)}
    assert set(lines) == {original["id"], copied}
    assert lines[copied]["title"] == "Demo case (copy)"
    assert lines[copied]["revision"] == 0
    folder = demo_copy.parent / lines[copied]["folder"]
    mine, theirs = read_case(demo_copy), read_case(folder)
    assert theirs == mine.model_copy(update={"title": theirs.title})
    # What is done to the copy stays with it.
    case = client.get(f"/api/cases/{copied}").json()
    case["document"]["title"] = "Another"
    client.put(
        f"/api/cases/{copied}", json={"base_revision": 1, "document": case["document"]}
    ).raise_for_status()
    assert read_case(demo_copy).title == "Demo case"


def test_copies_made_at_once_each_get_a_name(demo_copy):
    cabinet = Cabinet(demo_copy)
    with ThreadPoolExecutor(6) as pool:
        made = list(pool.map(cabinet.duplicate, [case_id(demo_copy)] * 6))
    assert len(set(made)) == 6
    assert len(cabinet.entries()) == 7


def test_of_two_cases_begun_at_once_from_one_scan_one_is_begun(demo_copy):
    client = client_for(demo_copy)
    draft = uploaded(client, demo_copy / read_case(demo_copy).capture.scan)
    with ThreadPoolExecutor(2) as pool:
        both = list(pool.map(lambda _: begin(client, draft["scan"], demo_copy), range(2)))
    assert sorted(reply.status_code == 200 for reply in both) == [False, True]
    assert len(listed(client)) == 2


def test_an_archived_case_is_listed_last_and_comes_back_unchanged(demo_copy):
    client = client_for(demo_copy)
    first = listed(client)[0]["id"]
    client.post("/api/demo-case").raise_for_status()
    text = (demo_copy / CASE_FILE).read_bytes()
    client.post(f"/api/cases/{first}/archive", json={"archived": True}).raise_for_status()
    assert [line["archived"] for line in listed(client)] == [False, True]
    assert listed(client)[1]["id"] == first
    client.post(f"/api/cases/{first}/archive", json={"archived": False}).raise_for_status()
    assert not any(line["archived"] for line in listed(client))
    assert (demo_copy / CASE_FILE).read_bytes() == text


def test_a_folder_of_cases_is_served_and_a_damaged_one_says_why(demo_copy):
    spoilt = demo_copy.parent / "spoilt"
    spoilt.mkdir()
    (spoilt / CASE_FILE).write_text("title = ")
    client = client_for(demo_copy.parent)
    lines = {line["folder"]: line for line in listed(client)}
    assert set(lines) == {"demo", "spoilt"}
    assert lines["demo"]["problem"] is None
    assert "TOML" in lines["spoilt"]["problem"]
    assert client.get("/api/cases").json()["first"] is None
    assert client.get(f"/api/cases/{lines['spoilt']['id']}").status_code == 422


def test_the_list_tells_what_the_last_evaluation_found(demo_copy):
    client = client_for(demo_copy)
    identifier = listed(client)[0]["id"]
    assert listed(client)[0]["waits_at"] is None
    found = client.get(f"/api/cases/{identifier}/evaluation").json()
    deadline = time.monotonic() + 30
    while (line := listed(client)[0])["waits_at"] is None and time.monotonic() < deadline:
        time.sleep(0.1)
    severities = [finding["severity"] for finding in found["findings"]]
    assert line["warning"] == severities.count("warning") > 0
    assert line["stop"] == severities.count("stop")
    assert line["accepted"] == 0
    weighing = [one["stage"] for one in found["findings"] if one["severity"] not in ("note", "ok")]
    assert line["stands_at"] == next(stage for stage in found["stages"] if stage in weighing)
    assert line["picture"].startswith("data:image/png;base64,")
    assert line["revision"] == found["revision"]
    assert line["changed_at"] is not None


def test_an_accepted_finding_is_counted_apart_in_the_list(demo_copy):
    client = client_for(demo_copy)
    identifier = listed(client)[0]["id"]
    found = client.get(f"/api/cases/{identifier}/evaluation").json()
    weighing = [one for one in found["findings"] if one["severity"] == "warning"]
    case = client.get(f"/api/cases/{identifier}").json()
    kept = ("stage", "code", "where", "severity", "value")
    accepted = {**{name: weighing[0][name] for name in kept}, "reason": "looked at on the bench"}
    changed = {**case["document"], "accepted": [accepted]}
    stored = client.put(
        f"/api/cases/{identifier}", json={"base_revision": case["revision"], "document": changed}
    )
    assert stored.status_code == 200, stored.text
    again = client.get(f"/api/cases/{identifier}/evaluation").json()
    told = [one for one in again["findings"] if one["severity"] == "warning"]
    assert told[-1]["accepted"] == "looked at on the bench"
    deadline = time.monotonic() + 30
    while (line := listed(client)[0])["accepted"] == 0 and time.monotonic() < deadline:
        time.sleep(0.1)
    assert (line["accepted"], line["warning"]) == (1, len(weighing) - 1)


def test_revisions_can_be_read_back(demo_copy):
    client = client_for(demo_copy)
    identifier = listed(client)[0]["id"]
    case = client.get(f"/api/cases/{identifier}").json()
    changed = json.loads(json.dumps(case["document"]))
    changed["title"] = "Second"
    client.put(
        f"/api/cases/{identifier}", json={"base_revision": 1, "document": changed}
    ).raise_for_status()
    lines = client.get(f"/api/cases/{identifier}/revisions").json()["revisions"]
    assert [line["number"] for line in lines] == [1, 2]
    first = client.get(f"/api/cases/{identifier}/revisions/1").json()
    assert first["document"] == case["document"]
    assert client.get(f"/api/cases/{identifier}/revisions/9").status_code == 404


def test_an_address_tells_nothing_of_the_folder(tmp_path, demo_copy):
    named = tmp_path / "Someone Surname"
    shutil.copytree(demo_copy, named)
    cabinet = Cabinet(named)
    assert cabinet.first is not None
    assert "urname" not in cabinet.first
    assert case_id(named) == case_id(Path("elsewhere") / named.name)


def test_a_folder_that_is_not_there_is_told(tmp_path):
    with pytest.raises(BadInput, match="does not exist"):
        Cabinet(tmp_path / "nowhere")


def test_a_section_is_drawn_on_the_side_of_the_limb(demo_copy):
    client = client_for(demo_copy)
    identifier = listed(client)[0]["id"]
    cut = client.get(f"/api/cases/{identifier}/section", params={"level_mm": 60}).json()
    assert {"skin", "liner", "inside", "outside", "tibia", "fibula"} <= set(cut["outlines"])
    centre = {name: np.mean(cut["outlines"][name][0], axis=0) for name in ("tibia", "fibula")}
    # The fibula is lateral: to the right of the tibia on a right limb, seen in the person's frame.
    assert centre["fibula"][0] > centre["tibia"][0]
    gone = client.get(f"/api/cases/{identifier}/section", params={"level_mm": 900})
    assert gone.status_code == 422


def test_a_touched_point_comes_back_in_the_frame_of_the_scan(demo_copy):
    client = client_for(demo_copy)
    identifier = listed(client)[0]["id"]
    evaluation = client.get(f"/api/cases/{identifier}/evaluation").json()
    marks = read_case(demo_copy).capture.landmarks
    point = evaluation["stages"]["capture"]["results"]["landmarks"]["fibular_head"]["point_mm"]
    # The demo limb is a right one: outward is to the patient's right.
    reply = client.post(f"/api/cases/{identifier}/touched", json={"point_patient_mm": point})
    meant = np.array(marks.points["fibular_head"]) * marks.unit.to_mm
    assert np.linalg.norm(np.array(reply.json()["point_mm"]) - meant) < 4.0
    away = client.post(f"/api/cases/{identifier}/touched", json={"point_patient_mm": [900, 0, 0]})
    assert away.status_code == 422
