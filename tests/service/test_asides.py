"""What the page asks beside the case: parts, moves, distances, another revision, the sheet."""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pytest
from fastapi.testclient import TestClient
from scipy.spatial import cKDTree

from limbwright.prove.materials import WALL_MM
from limbwright.service.app import create_app
from limbwright.service.cabinet import case_id
from limbwright.service.guard import TOKEN_HEADER

DEMO = case_id(Path("demo"))
AT = f"/api/cases/{DEMO}"


@pytest.fixture(scope="module")
def client(demo_folder, tmp_path_factory):
    folder = tmp_path_factory.mktemp("asides") / "demo"
    shutil.copytree(demo_folder, folder)
    app = create_app(folder, "test-token")
    return TestClient(app, base_url="http://127.0.0.1", headers={TOKEN_HEADER: "test-token"})


def _array(client, described, name):
    reply = client.get(f"{AT}/arrays", params={"key": described[name]["key"]})
    return np.frombuffer(reply.content, dtype=described[name]["dtype"]).reshape(
        described[name]["shape"]
    )


def test_the_catalogue_lists_invented_parts_as_such_and_says_what_each_place_takes(client):
    told = client.get(f"{AT}/catalogue").json()
    assert told["locks"]["magnet"] == "magnet-lock"
    assert "sleeve" not in told["locks"]
    assert told["roles"]["foot"] == "foot"
    lock = next(part for part in told["parts"] if part["key"] == "example-magnet-lock")
    assert lock["example"] is True
    assert lock["kind"] == "magnet-lock"


def test_a_broken_catalogue_is_told_in_words(demo_copy):
    (demo_copy / "parts.toml").write_text("[[part]]\nkey = 'a'\n")
    app = create_app(demo_copy, "test-token")
    client = TestClient(app, base_url="http://127.0.0.1", headers={TOKEN_HEADER: "test-token"})
    reply = client.get(f"{AT}/catalogue")
    assert reply.status_code == 422
    assert "kind" in str(reply.json())


def test_a_move_is_answered_before_and_after_and_stores_nothing(client):
    revision = client.get(AT).json()["revision"]
    told = client.post(f"{AT}/what-if", json={"foot_out_mm": 10}).json()
    mid = next(
        one
        for one in told["moments"]
        if (one["place"], one["phase"], one["plane"]) == ("datum", "mid_stance", "coronal")
    )
    # A force of body weight, 10 mm further out, lessens what drives the knee outward.
    weight = client.get(f"{AT}/evaluation").json()["stages"]["assess"]["results"]["body_weight_n"]
    change = mid["after_n_m"] - mid["before_n_m"]
    assert change < 0
    assert abs(change) == pytest.approx(weight * 0.010, rel=0.3)
    assert any(one["mean_before_kpa"] != one["mean_after_kpa"] for one in told["areas"])
    assert client.get(AT).json()["revision"] == revision
    assert client.post(f"{AT}/what-if", json={"foot_out_mm": 500}).status_code == 422


def test_the_cover_over_bone_is_that_of_the_nearest_bone(client):
    arrays = client.get(f"{AT}/evaluation").json()["arrays"]
    skin = _array(client, arrays, "limb.positions")
    bones = np.concatenate(
        [_array(client, arrays, f"{bone}.positions") for bone in ("tibia", "fibula")]
    )
    cover = _array(client, arrays, "cover.mm")
    assert cover.shape == (len(skin),)
    level = np.abs(skin[:, 2] + 60) < 2
    corners = cKDTree(bones).query(skin[level])[0]
    # A bone's surface lies between its corners: nearer than they, by less than an edge.
    assert (cover[level] <= corners + 0.5).all()
    assert cover[level] == pytest.approx(corners, abs=2.5)


def test_the_socket_s_outside_stands_off_its_inside_by_the_planned_wall(client):
    evaluation = client.get(f"{AT}/evaluation").json()
    inside, outside = (
        _array(client, evaluation["arrays"], f"{name}.positions") for name in ("model", "outside")
    )
    assert outside.shape == inside.shape
    off = np.linalg.norm(outside - inside, axis=1)
    np.testing.assert_allclose(off, WALL_MM.value, rtol=1e-3)
    level = np.abs(inside[:, 2] + 60) < 3
    middle = inside[level, :2].mean(axis=0)
    away = [np.linalg.norm(one[level, :2] - middle, axis=1) for one in (inside, outside)]
    assert (away[1] > away[0]).all()


def test_along_the_skin_is_longer_than_straight_and_the_same_both_ways(client):
    evaluation = client.get(f"{AT}/evaluation").json()
    points = _array(client, evaluation["arrays"], "limb.positions")
    level = points[np.abs(points[:, 2] + 60) < 3]
    left, right = level[level[:, 0].argmin()].tolist(), level[level[:, 0].argmax()].tolist()
    told = client.post(
        f"{AT}/measure", json={"start_patient_mm": left, "end_patient_mm": right}
    ).json()
    assert told["straight_mm"] == pytest.approx(float(np.linalg.norm(np.subtract(left, right))))
    # Half around anything convex is at least the width and at most half a box around it.
    assert told["straight_mm"] * 1.2 < told["surface_mm"] < told["straight_mm"] * 2.5
    back = client.post(
        f"{AT}/measure", json={"start_patient_mm": right, "end_patient_mm": left}
    ).json()
    assert back["surface_mm"] == pytest.approx(told["surface_mm"], rel=0.02)
    near = [left[0], left[1], left[2] + 3.0]
    close = client.post(
        f"{AT}/measure", json={"start_patient_mm": left, "end_patient_mm": near}
    ).json()
    assert close["surface_mm"] == pytest.approx(close["straight_mm"])


def test_another_revision_offers_its_pressures_on_the_same_places(client):
    before = client.get(f"{AT}/evaluation").json()
    case = client.get(AT).json()
    case["document"]["shape"]["areas"][0]["depth_mm"] -= 1.0
    client.put(AT, json={"base_revision": case["revision"], "document": case["document"]})
    told = client.get(f"{AT}/revisions/{case['revision']}/pressures").json()
    assert told["revision"] == case["revision"]
    earlier = _array(client, told["arrays"], "earlier.standing")
    np.testing.assert_array_equal(earlier, _array(client, before["arrays"], "pressure.standing"))
    assert client.get(f"{AT}/revisions/999/pressures").status_code == 404


def test_the_casting_sheet_comes_as_one_pdf(client):
    reply = client.get(f"{AT}/casting-sheet")
    assert reply.headers["content-type"] == "application/pdf"
    assert reply.content.startswith(b"%PDF")


@pytest.mark.parametrize("level", ["nan", "inf", "-inf", "1e308"])
def test_a_section_at_no_level_is_refused(client, level):
    assert client.get(f"{AT}/section", params={"level_mm": level}).status_code == 422


@pytest.mark.parametrize("far", ["NaN", "Infinity", "1e308"])
def test_a_distance_to_nowhere_is_refused(client, far):
    content = f'{{"start_patient_mm": [{far}, 0, 0], "end_patient_mm": [0, 0, 0]}}'
    assert client.post(f"{AT}/measure", content=content).status_code == 422


def test_a_revision_beyond_counting_is_none(client):
    for path in (f"{AT}/revisions/{2**63}", f"{AT}/revisions/{2**63}/pressures"):
        assert client.get(path).status_code == 404
