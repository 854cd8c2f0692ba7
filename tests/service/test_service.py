"""The service: only this machine, only with the token, nothing lost, the last edit wins."""

import json
import shutil
import socket
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pytest
from fastapi.testclient import TestClient

from limbwright.case.evaluate import evaluate
from limbwright.case.folder import read_case
from limbwright.core.errors import BadInput
from limbwright.service.app import MAX_BODY_BYTES, create_app
from limbwright.service.cabinet import case_id
from limbwright.service.guard import TOKEN_HEADER
from limbwright.service.routes.at_hand import MOST_ARRAYS
from limbwright.service.serve import _listener
from limbwright.service.workshop import Workshop

TOKEN = "test-token"
DEMO = case_id(Path("demo"))
HEADERS = {TOKEN_HEADER: TOKEN}


def client_for(folder) -> TestClient:
    return TestClient(create_app(folder, TOKEN), base_url="http://127.0.0.1", headers=HEADERS)


@pytest.fixture(scope="module")
def shared_client(demo_folder, tmp_path_factory):
    folder = tmp_path_factory.mktemp("served") / "demo"
    shutil.copytree(demo_folder, folder)
    return client_for(folder)


@pytest.fixture
def client(demo_copy):
    return client_for(demo_copy)


def current(client) -> dict:
    return client.get(f"/api/cases/{DEMO}").json()


def saved(client, change, seen=None) -> object:
    case = seen or current(client)
    change(case["document"])
    return client.put(
        f"/api/cases/{DEMO}",
        json={"base_revision": case["revision"], "document": case["document"]},
    )


def array(client, evaluation, name) -> np.ndarray:
    described = evaluation["arrays"][name]
    reply = client.get(f"/api/cases/{DEMO}/arrays", params={"key": described["key"]})
    assert reply.status_code == 200
    return np.frombuffer(reply.content, dtype=described["dtype"]).reshape(described["shape"])


def area_mean(evaluation, area: str, load_case: str) -> float:
    cases = evaluation["stages"]["prove"]["results"]["interface"]["cases"]
    case = next(item for item in cases if item["load_case"] == load_case)
    return next(item for item in case["areas"] if item["area"] == area)["mean_kpa"]


def set_depth(document, name, depth_mm):
    for area in document["shape"]["areas"]:
        if area["name"] == name:
            area["depth_mm"] = depth_mm


def test_nothing_is_told_without_the_token(demo_copy):
    plain = TestClient(create_app(demo_copy, TOKEN), base_url="http://127.0.0.1")
    for headers in ({}, {TOKEN_HEADER: "wrong"}):
        reply = plain.get("/api/cases", headers=headers)
        assert reply.status_code == 401
        assert "demo" not in reply.text


def test_another_host_name_is_turned_away(client):
    reply = client.get("/api/info", headers={"Host": "elsewhere.example"})
    assert reply.status_code == 403


def test_every_reply_forbids_foreign_content(client):
    policy = client.get("/api/info").headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "connect-src 'self'" in policy


def test_a_body_above_the_limit_is_refused(client):
    big = {"base_revision": 1, "document": {"title": "x" * (MAX_BODY_BYTES + 1)}}
    assert client.put(f"/api/cases/{DEMO}", json=big).status_code == 413


def test_the_evaluation_holds_every_stage_and_its_findings(shared_client):
    evaluation = shared_client.get(f"/api/cases/{DEMO}/evaluation").json()
    states = {name: stage["state"] for name, stage in evaluation["stages"].items()}
    assert states == {
        "assess": "ready",
        "capture": "ready",
        "shape": "ready",
        "couple": "ready",
        "align": "ready",
        "prove": "ready",
        "make": "not asked",
        "fit": "ready",
    }
    per_stage = sum(len(stage["findings"]) for stage in evaluation["stages"].values())
    assert len(evaluation["findings"]) == per_stage
    assert evaluation["cautions"]


def test_arrays_fit_each_other_and_keep_their_key_when_unchanged(shared_client):
    first = shared_client.get(f"/api/cases/{DEMO}/evaluation").json()
    positions = array(shared_client, first, "limb.positions")
    faces = array(shared_client, first, "limb.faces")
    pressure = array(shared_client, first, "pressure.standing")
    assert faces.max() == len(positions) - 1
    assert len(pressure) == len(positions)
    assert pressure.min() == 0.0
    assert pressure.max() > 1.0
    again = shared_client.get(f"/api/cases/{DEMO}/evaluation").json()
    assert again["arrays"] == first["arrays"]
    assert again["findings"] == first["findings"]


def test_an_edit_of_a_depth_changes_pressure_and_leaves_the_limb_alone(client):
    before = client.get(f"/api/cases/{DEMO}/evaluation").json()
    reply = saved(client, lambda document: set_depth(document, "medial_tibial_flare", -6.0))
    assert reply.status_code == 200
    after = client.get(f"/api/cases/{DEMO}/evaluation").json()
    assert after["revision"] == before["revision"] + 1
    assert area_mean(after, "medial_tibial_flare", "donned") > area_mean(
        before, "medial_tibial_flare", "donned"
    )
    assert after["arrays"]["limb.positions"] == before["arrays"]["limb.positions"]
    assert after["arrays"]["pressure.donned"] != before["arrays"]["pressure.donned"]


def test_a_moved_foot_changes_the_coronal_moment(client):
    before = client.get(f"/api/cases/{DEMO}/evaluation").json()
    assert saved(client, lambda d: d["align"].update(foot_inset_mm=30.0)).status_code == 200
    after = client.get(f"/api/cases/{DEMO}/evaluation").json()
    moments = [
        item["stages"]["align"]["results"]["moments"]["coronal_n_m"] for item in (before, after)
    ]
    assert moments[0] != moments[1]


def test_a_change_on_an_old_revision_conflicts_and_overwrites_nothing(client, demo_copy):
    case = current(client)
    assert saved(client, lambda d: d.update(title="first")).status_code == 200
    late = {"base_revision": case["revision"], "document": {**case["document"], "title": "late"}}
    reply = client.put(f"/api/cases/{DEMO}", json=late)
    assert reply.status_code == 409
    assert "reload" in reply.json()["detail"]
    assert read_case(demo_copy).title == "first"


def test_an_invalid_document_is_refused_with_every_path_and_changes_nothing(client, demo_copy):
    before = (demo_copy / "case.toml").read_bytes()

    def spoil(document):
        document["person"]["mass_kg"] = -1
        document["liner"]["thickness_mm"] = "thick"

    reply = saved(client, spoil)
    assert reply.status_code == 422
    assert reply.headers["content-type"] == "application/problem+json"
    paths = {problem["path"] for problem in reply.json()["problems"]}
    assert paths == {"person.mass_kg", "liner.thickness_mm"}
    assert (demo_copy / "case.toml").read_bytes() == before


def test_a_picked_landmark_lands_on_the_skin_and_is_no_guess_any_more(client):
    evaluation = client.get(f"/api/cases/{DEMO}/evaluation").json()
    skin = array(client, evaluation, "limb.positions").astype(float)
    vertex = skin[np.argmin(skin[:, 1])]
    picked = (vertex + np.array([0.0, -4.0, 0.0])).tolist()
    body = {
        "base_revision": current(client)["revision"],
        "name": "popliteal_centre",
        "point_patient_mm": picked,
    }
    assert client.post(f"/api/cases/{DEMO}/pick-landmark", json=body).status_code == 200
    after = client.get(f"/api/cases/{DEMO}/evaluation").json()
    mark = after["stages"]["capture"]["results"]["landmarks"]["popliteal_centre"]
    assert mark["basis"] == "given"
    side = 1.0  # the demo limb is a right one: outward is the patient's right
    place = np.array(mark["point_mm"]) * [side, 1, 1]
    # The frame may turn a little with the landmarks; the place on the skin may not jump.
    assert np.linalg.norm(place - vertex) < 6.0


@pytest.mark.parametrize("name", ["mid_patellar_tendon", "fibular_head", "medial_tibial_flare"])
def test_a_held_landmark_tells_the_frame_that_it_makes_once_it_is_put_there(client, name):
    before = client.get(f"/api/cases/{DEMO}/evaluation").json()
    capture = before["stages"]["capture"]["results"]
    skin = array(client, before, "limb.positions").astype(float)
    mark = np.array(capture["landmarks"][name]["point_mm"])  # a right limb: no mirror between
    near = np.linalg.norm(skin - mark, axis=1)
    there = skin[np.argmin(np.abs(near - 8.0))].tolist()
    held = {"name": name, "point_patient_mm": there}
    preview = client.post(f"/api/cases/{DEMO}/landmark-preview", json=held).json()
    assert current(client)["revision"] == before["revision"]
    assert picked(client, name, there).status_code == 200
    after = client.get(f"/api/cases/{DEMO}/evaluation").json()["stages"]["capture"]["results"]
    was, now = capture["frame"], after["frame"]
    axes, turned = np.array(was["axes"]), np.array(now["axes"])
    moved = axes @ (np.array(now["origin_mm"]) - was["origin_mm"])
    tilt = np.degrees(np.arccos(np.clip(axes[2] @ turned[2], -1.0, 1.0)))
    assert preview["lower_mm"] == pytest.approx(-moved[2], abs=0.05)
    assert preview["tilt_deg"] == pytest.approx(tilt, abs=0.05)
    assert preview["length_below_datum_mm"] == pytest.approx(
        after["measures"]["length_below_datum_mm"], abs=0.5
    )
    assert preview["tilt_deg"] + abs(preview["turn_deg"]) + abs(preview["lower_mm"]) > 0.3
    top, end = np.array(preview["axis_patient_mm"])
    assert (end - top) / np.linalg.norm(end - top) == pytest.approx(-axes @ turned[2], abs=0.01)


def test_an_unknown_landmark_and_an_unknown_case_are_refused(client):
    body = {"base_revision": 1, "name": "knee", "point_patient_mm": [0, 0, 0]}
    reply = client.post(f"/api/cases/{DEMO}/pick-landmark", json=body)
    assert reply.status_code == 422
    assert client.get("/api/cases/none").status_code == 404


def test_arrays_are_sent_one_after_the_other_in_the_order_asked_for(client):
    offered = client.get(f"/api/cases/{DEMO}/evaluation").json()["arrays"]
    names = ["limb.faces", "cover.mm", "limb.positions"]
    keys = [offered[name]["key"] for name in names]
    reply = client.get(f"/api/cases/{DEMO}/arrays", params={"key": keys})
    alone = [client.get(f"/api/cases/{DEMO}/arrays", params={"key": key}).content for key in keys]
    assert reply.content == b"".join(alone)
    sizes = [4 * int(np.prod(offered[name]["shape"])) for name in names]
    assert [len(content) for content in alone] == sizes


def test_an_array_that_is_no_longer_offered_is_told(client):
    key = client.get(f"/api/cases/{DEMO}/evaluation").json()["arrays"]["limb.faces"]["key"]
    reply = client.get(f"/api/cases/{DEMO}/arrays", params={"key": [key, "none"]})
    assert reply.status_code == 404
    assert "evaluate again" in reply.json()["detail"]


def test_arrays_are_not_asked_for_without_a_key_or_without_end(client):
    assert client.get(f"/api/cases/{DEMO}/arrays").status_code == 422
    many = {"key": ["none"] * (MOST_ARRAYS + 1)}
    assert client.get(f"/api/cases/{DEMO}/arrays", params=many).status_code == 422


@pytest.mark.slow
def test_making_runs_as_a_job_and_its_files_can_be_fetched(client):
    seen = {"base_revision": client.get(f"/api/cases/{DEMO}").json()["revision"]}
    job = client.post(f"/api/cases/{DEMO}/make", json=seen).json()["job"]
    for _ in range(600):
        state = client.get(f"/api/jobs/{job}").json()
        if state["state"] != "running":
            break
        time.sleep(0.2)
    assert state["state"] == "done", state["error"]
    names = {item["name"] for item in state["files"]}
    assert {"socket_right.3mf", "socket_right.stl", "work_order.pdf"} <= names
    order = next(item for item in state["files"] if item["name"] == "work_order.pdf")
    content = client.get(order["url"]).content
    assert content.startswith(b"%PDF")
    assert len(content) == order["bytes"]


def test_a_restart_opens_the_last_saved_revision(client, demo_copy):
    assert saved(client, lambda d: d.update(title="kept")).status_code == 200
    reopened = client_for(demo_copy)
    assert current(reopened)["document"]["title"] == "kept"
    assert current(reopened)["revision"] == current(client)["revision"]


def picked(client, name, point):
    body = {"base_revision": current(client)["revision"], "name": name, "point_patient_mm": point}
    return client.post(
        f"/api/cases/{DEMO}/pick-landmark",
        content=json.dumps(body),
        headers={"Content-Type": "application/json"},
    )


def lowest_skin(client) -> list[float]:
    evaluation = client.get(f"/api/cases/{DEMO}/evaluation").json()
    skin = array(client, evaluation, "limb.positions").astype(float)
    return skin[np.argmin(skin[:, 2])].tolist()


def test_a_landmark_placed_again_on_the_same_revision_is_no_conflict_with_itself(client):
    there = lowest_skin(client)
    base = current(client)["revision"]
    body = {"base_revision": base, "name": "limb_end", "point_patient_mm": there}
    first = client.post(f"/api/cases/{DEMO}/pick-landmark", json=body)
    again = client.post(f"/api/cases/{DEMO}/pick-landmark", json=body)
    assert (first.status_code, again.json()) == (200, first.json())
    # Elsewhere, or of another landmark, it is somebody else's change that stands.
    x, y, z = there
    for other in ({"point_patient_mm": [x + 5, y, z + 1]}, {"name": "distal_fibula"}):
        reply = client.post(f"/api/cases/{DEMO}/pick-landmark", json=body | other)
        assert reply.status_code == 409, other
    assert current(client)["revision"] == base + 1


def test_a_landmark_held_off_the_limb_or_a_look_in_no_order_is_refused(client):
    held = {"name": "limb_end", "point_patient_mm": [0.0, 0.0, 0.0]}
    reply = client.post(f"/api/cases/{DEMO}/landmark-preview", json=held)
    assert reply.status_code == 422
    assert "off the skin" in reply.json()["detail"]
    query = {"since": "align", "upto": "shape"}
    assert client.get(f"/api/cases/{DEMO}/first-look", params=query).status_code == 422


def test_what_is_stored_is_acknowledged_whatever_a_look_at_it_meets(client, monkeypatch):
    case = current(client)

    def fault(*_: object, **__: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(Workshop, "first_look", fault)
    body = {
        "base_revision": case["revision"],
        "document": {**case["document"], "title": "stored"},
        "look": {"since": "shape", "upto": "shape"},
    }
    reply = client.put(f"/api/cases/{DEMO}", json=body)
    assert (reply.status_code, reply.json()["look"]) == (200, None)
    assert current(client)["document"]["title"] == "stored"


def test_a_landmark_held_where_it_contradicts_the_others_is_told_so(client):
    held = {"name": "tibial_tubercle", "point_patient_mm": lowest_skin(client)}
    reply = client.post(f"/api/cases/{DEMO}/landmark-preview", json=held)
    assert reply.status_code == 422
    assert "tubercle" in reply.json()["detail"]


def test_a_pick_that_cannot_be_meant_changes_nothing(client, demo_copy):
    before = (demo_copy / "case.toml").read_bytes()
    picks = {
        "no number": ("limb_end", [float("nan"), 0.0, 0.0]),
        "off the skin": ("limb_end", [0.0, 0.0, 0.0]),
        "far away": ("limb_end", [1e300, 0.0, 0.0]),
        # On the skin, but then the limb could not be captured, and nothing picked again.
        "out of order": ("tibial_tubercle", lowest_skin(client)),
    }
    for why, (name, point) in picks.items():
        reply = picked(client, name, point)
        assert reply.status_code == 422, why
        assert reply.json()["detail"], why
    assert picked(client, "\ud800", [0.0, 0.0, 0.0]).status_code == 422
    assert "off the skin" in picked(client, "limb_end", [0.0, 0.0, 0.0]).json()["detail"]
    assert current(client)["revision"] == 1
    assert (demo_copy / "case.toml").read_bytes() == before


def test_of_many_changes_on_one_revision_exactly_one_is_stored(client, demo_copy):
    case = current(client)

    def change(number):
        document = {**case["document"], "title": f"change {number}"}
        body = {"base_revision": case["revision"], "document": document}
        return client.put(f"/api/cases/{DEMO}", json=body).status_code

    with ThreadPoolExecutor(8) as pool:
        codes = sorted(pool.map(change, range(16)))
    assert codes == [200] + [409] * 15
    assert current(client)["revision"] == case["revision"] + 1
    assert read_case(demo_copy).title == current(client)["document"]["title"]


def test_of_two_workshops_on_one_folder_the_later_is_told_and_then_sees_the_change(demo_copy):
    one, other = client_for(demo_copy), client_for(demo_copy)
    seen = current(other)
    assert saved(one, lambda d: d.update(title="one")).status_code == 200
    reply = saved(other, lambda d: d.update(title="other"), seen)
    assert reply.status_code == 409
    assert read_case(demo_copy).title == "one"
    assert current(other) == current(one)
    assert saved(other, lambda d: d.update(title="other")).status_code == 200
    assert read_case(demo_copy).title == "other"


def test_a_change_by_hand_is_not_written_over(client, demo_copy):
    path = demo_copy / "case.toml"
    seen = current(client)
    path.write_text(path.read_text().replace("mass_kg = 74.0", "mass_kg = 80.0"))
    assert saved(client, lambda d: d.update(title="late"), seen).status_code == 409
    case = current(client)
    assert case["document"]["person"]["mass_kg"] == 80.0
    assert case["revision"] == 2
    path.write_text("half a line")
    reply = saved(client, lambda d: d.update(title="late"))
    assert reply.status_code == 409
    assert "outside the workshop" in reply.json()["detail"]
    assert path.read_text() == "half a line"


def test_a_fault_is_told_without_its_trace(demo_copy, monkeypatch):
    def fail(*args, **options):
        raise IndexError("secret row of the patient")

    monkeypatch.setattr("limbwright.service.computed_case.evaluate", fail)
    app = create_app(demo_copy, TOKEN)
    quiet = TestClient(app, "http://127.0.0.1", headers=HEADERS, raise_server_exceptions=False)
    reply = quiet.get(f"/api/cases/{DEMO}/evaluation")
    assert reply.status_code == 500
    assert reply.headers["content-type"] == "application/problem+json"
    assert "secret" not in reply.text


def test_the_address_takes_connections_before_it_is_told():
    listener = _listener(0)
    try:
        socket.create_connection(listener.getsockname(), timeout=5).close()
        with pytest.raises(BadInput, match="is taken"):
            _listener(listener.getsockname()[1])
    finally:
        listener.close()


def test_an_accepted_finding_carries_its_reason_and_still_warns(client):
    evaluation = client.get(f"/api/cases/{DEMO}/evaluation").json()
    warned = next(one for one in evaluation["findings"] if one["severity"] == "warning")
    assert warned["accepted"] == ""
    taken = {name: warned[name] for name in ("stage", "code", "where", "severity", "value")}
    reply = saved(
        client,
        lambda document: document["accepted"].append({**taken, "reason": "checked by hand"}),
    )
    assert reply.status_code == 200, reply.text
    after = client.get(f"/api/cases/{DEMO}/evaluation").json()
    assert {**warned, "accepted": "checked by hand"} in after["findings"]
    (stage,) = [
        one
        for one in after["stages"][warned["stage"]]["findings"]
        if (one["code"], one["where"]) == (warned["code"], warned["where"])
    ]
    assert stage["accepted"] == "checked by hand"


def test_a_first_look_tells_what_the_evaluation_tells_after_it(client):
    client.get(f"/api/cases/{DEMO}/evaluation")
    saved(client, lambda document: set_depth(document, "medial_tibial_flare", -6.0))
    query = {"since": "capture", "upto": "shape", "load_case": "standing"}
    look = client.get(f"/api/cases/{DEMO}/first-look", params=query).json()
    whole = client.get(f"/api/cases/{DEMO}/evaluation").json()
    assert look["revision"] == whole["revision"]
    assert look["stages"] == {name: whole["stages"][name] for name in ("capture", "shape")}
    assert "pressure.mid_stance" not in look["arrays"]
    # Seat and loads were found without the stages that say more of them.
    assert look["arrays"]["pressure.standing"] == whole["arrays"]["pressure.standing"]
    cases = whole["stages"]["prove"]["results"]["interface"]["cases"]
    standing = next(case for case in cases if case["load_case"] == "standing")
    assert look["pressure"]["areas"] == standing["areas"]
    assert look["pressure"]["pose"] == standing["pose"]


def test_a_first_look_leaves_to_the_evaluation_what_it_cannot_tell(client):
    # nothing is at hand for this limb yet: preparing it takes its time
    query = {"since": "assess", "upto": "capture", "load_case": "standing"}
    look = client.get(f"/api/cases/{DEMO}/first-look", params=query).json()
    assert "limb.positions" in look["arrays"]
    assert not any(name.startswith("pressure") for name in look["arrays"])
    client.get(f"/api/cases/{DEMO}/evaluation")
    saved(client, lambda document: document["shape"].update(trim={"anterior_mm": 900.0}))
    unknown = {"since": "shape", "upto": "shape", "load_case": "no such case"}
    look = client.get(f"/api/cases/{DEMO}/first-look", params=unknown).json()
    assert not any(name.startswith("pressure") for name in look["arrays"])
    beyond = client.get(f"/api/cases/{DEMO}/first-look", params={**query, "upto": "prove"})
    assert beyond.status_code == 422


def test_what_is_stored_is_answered_with_a_look_at_it(client):
    client.get(f"/api/cases/{DEMO}/evaluation")
    case = client.get(f"/api/cases/{DEMO}").json()
    document = case["document"]
    set_depth(document, "medial_tibial_flare", -6.0)
    asked = {"since": "shape", "upto": "shape", "load_case": "standing"}
    body = {"base_revision": case["revision"], "document": document, "look": asked}
    reply = client.put(f"/api/cases/{DEMO}", json=body).json()
    look = client.get(f"/api/cases/{DEMO}/first-look", params=asked).json()
    told = {**reply["look"], "elapsed_ms": look["elapsed_ms"]}
    assert (reply["revision"], told) == (look["revision"], look)


def test_an_answer_does_not_wait_long_for_what_else_is_computed(client, monkeypatch):
    monkeypatch.setattr("limbwright.service.routes.case.LOOK_PATIENCE_S", 0.01)
    case = client.get(f"/api/cases/{DEMO}").json()
    document = {**case["document"], "title": "while it is computed"}
    asked = {"since": "shape", "upto": "shape"}
    body = {"base_revision": case["revision"], "document": document, "look": asked}
    with client.app.state.cabinet.workshop(DEMO)._computing:
        reply = client.put(f"/api/cases/{DEMO}", json=body).json()
    assert reply["revision"] == case["revision"] + 1
    assert reply["look"] is None


def test_an_evaluation_is_given_up_once_the_case_is_changed(demo_copy, monkeypatch):
    workshop = Workshop(demo_copy, DEMO)
    before = workshop.current

    def changed_meanwhile(*given, **named):
        monkeypatch.undo()
        newer = before.document.model_copy(update={"title": "newer"})
        workshop.save(newer, before.number)
        return evaluate(*given, **named)

    monkeypatch.setattr("limbwright.service.computed_case.evaluate", changed_meanwhile)
    assert workshop.evaluation() is None
    assert workshop.evaluation()["case"]["title"] == "newer"
