"""Chosen outputs made as a job, told again while they belong to the case, and seen."""

from __future__ import annotations

import time

import numpy as np
import pytest
from fastapi.testclient import TestClient

from limbwright.service.app import create_app
from limbwright.service.cabinet import case_id
from limbwright.service.guard import TOKEN_HEADER

TOKEN = "test-token"


class Served:
    """One case and what a page asks of it."""

    def __init__(self, folder) -> None:
        headers = {TOKEN_HEADER: TOKEN}
        app = create_app(folder, TOKEN)
        self.client = TestClient(app, base_url="http://127.0.0.1", headers=headers)
        self.folder = folder
        self.at = f"/api/cases/{case_id(folder.relative_to(folder.parent))}"

    def get(self, place: str = "") -> dict:
        return self.client.get(self.at + place).json()

    def store(self, change) -> dict:
        case = self.get()
        change(case["document"])
        body = {"base_revision": case["revision"], "document": case["document"]}
        reply = self.client.put(self.at, json=body)
        assert reply.status_code == 200, reply.text
        return reply.json()

    def make(self) -> dict:
        seen = {"base_revision": self.get()["revision"]}
        job = self.client.post(f"{self.at}/make", json=seen).json()["job"]
        for _ in range(600):
            state = self.client.get(f"/api/jobs/{job}").json()
            if state["state"] != "running":
                return state
            time.sleep(0.2)
        raise AssertionError("the job did not end")

    def array(self, evaluation, name) -> np.ndarray:
        described = evaluation["arrays"][name]
        reply = self.client.get(f"{self.at}/arrays", params={"key": described["key"]})
        return np.frombuffer(reply.content, described["dtype"]).reshape(described["shape"])


@pytest.fixture
def served(demo_copy):
    return Served(demo_copy)


def chosen(*outputs):
    def change(document) -> None:
        document["make"].update(outputs=list(outputs), field_spacing_mm=2.0)

    return change


@pytest.mark.slow
def test_only_what_is_chosen_is_made_and_the_made_part_is_seen(served):
    revision = served.store(chosen("socket_stl", "work_order"))["revision"]
    before = served.get("/evaluation")
    assert before["stages"]["make"]["state"] == "not asked"
    job = served.make()
    assert job["state"] == "done", job["error"]
    assert {item["name"] for item in job["files"]} == {"socket_right.stl", "work_order.pdf"}
    folder = served.folder / "made" / f"revision-{revision}"
    there = {path.name for path in folder.glob("[!.]*")}
    assert there == {"socket_right.stl", "work_order.pdf"}
    made = {line["number"] for line in served.get("/revisions")["revisions"] if line["made"]}
    assert made == {revision}

    after = served.get("/evaluation")
    assert after["stages"]["make"]["state"] == "ready"
    assert any(one["stage"] == "make" for one in after["findings"])
    shell, limb = (served.array(after, f"{name}.positions") for name in ("made", "limb"))
    # As made, round the limb in the patient's frame: a wall outside the skin, and the coupling.
    below = limb[limb[:, 2] < shell[:, 2].max()]
    assert shell[:, 0].min() < below[:, 0].min()
    assert shell[:, 0].max() > below[:, 0].max()
    assert shell[:, 2].min() < limb[:, 2].min()
    faces = served.array(after, "made.faces")
    assert faces.max() == len(shell) - 1
    wall = served.array(after, "made.wall_mm")
    assert wall.shape == (len(shell),)
    told = after["stages"]["make"]["results"]["wall_median_mm"]
    assert np.median(wall) == pytest.approx(told, abs=0.5)

    # A fitting changes nothing of the part; another depth does.
    served.store(lambda document: document["fit"].update(fittings=[{"date": "2030-01-01"}]))
    assert served.get("/evaluation")["stages"]["make"]["state"] == "ready"
    served.store(lambda document: document["shape"]["areas"][0].update(depth_mm=-1.0))
    assert "made.positions" not in served.get("/evaluation")["arrays"]


@pytest.mark.slow
def test_nothing_chosen_makes_nothing_and_says_what_to_do(served):
    served.store(chosen())
    job = served.make()
    assert job["state"] == "failed"
    assert "choose at least one" in job["error"]
    assert not any(line["made"] for line in served.get("/revisions")["revisions"])


def test_an_output_that_is_not_known_is_refused(served):
    case = served.get()
    case["document"]["make"]["outputs"] = ["anything"]
    body = {"base_revision": case["revision"], "document": case["document"]}
    reply = served.client.put(served.at, json=body)
    assert reply.status_code == 422
    assert "make.outputs" in reply.text


def test_the_page_is_told_the_materials_by_name(served):
    materials = served.client.get("/api/info").json()["materials"]
    assert {"key": "petg_print", "name": "printed PETG", "process": "printed"} in materials
