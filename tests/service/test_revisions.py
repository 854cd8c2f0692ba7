"""Earlier revisions of a case: computed again, told apart, taken up again, never overwritten."""

from __future__ import annotations

import json

import numpy as np
import pytest
from fastapi.testclient import TestClient

from limbwright.case.folder import read_case
from limbwright.cli import main
from limbwright.service.app import create_app
from limbwright.service.guard import TOKEN_HEADER
from service.test_service import DEMO, area_mean, array, current, saved, set_depth

AT = f"/api/cases/{DEMO}"
AREA = "patellar_tendon"


@pytest.fixture
def client(demo_copy):
    app = create_app(demo_copy, "test-token")
    return TestClient(app, base_url="http://127.0.0.1", headers={TOKEN_HEADER: "test-token"})


def depth(document) -> float:
    return next(one["depth_mm"] for one in document["shape"]["areas"] if one["name"] == AREA)


def deepened(client, by_mm: float) -> int:
    """The number of a new revision with one area pressed in further."""
    now = depth(current(client)["document"])
    reply = saved(client, lambda document: set_depth(document, AREA, now - by_mm))
    assert reply.status_code == 200
    return int(reply.json()["revision"])


def test_an_earlier_revision_is_computed_whole_and_the_later_one_goes_on_standing(client):
    first = client.get(f"{AT}/evaluation").json()
    second = deepened(client, 1.0)
    again = client.get(f"{AT}/revisions/{second - 1}/evaluation").json()
    assert again["revision"] == second - 1
    assert again["stages"] == first["stages"]
    assert again["findings"] == first["findings"]
    for name in ("limb.positions", "pressure.standing", "displacement"):
        np.testing.assert_array_equal(array(client, again, name), array(client, first, name))
    now = client.get(f"{AT}/evaluation").json()
    assert now["revision"] == second
    assert area_mean(now, AREA, "standing") > area_mean(again, AREA, "standing")


def test_the_list_of_cases_goes_on_telling_of_the_revision_that_stands(client):
    client.get(f"{AT}/evaluation")
    second = deepened(client, 1.0)
    client.get(f"{AT}/evaluation")
    client.get(f"{AT}/revisions/{second - 1}/evaluation")
    (line,) = client.get("/api/cases").json()["cases"]
    assert line["revision"] == second


def test_what_was_changed_between_two_revisions_is_told_in_either_direction(client):
    before = depth(current(client)["document"])
    second = deepened(client, 1.5)
    (change,) = client.get(f"{AT}/revisions/{second - 1}/changes/{second}").json()["changes"]
    assert (change["place"], change["name"], change["unit"]) == (
        "Load, patellar tendon",
        "depth",
        "mm",
    )
    assert (change["before"], change["after"]) == (-before, -before + 1.5)
    (back,) = client.get(f"{AT}/revisions/{second}/changes/{second - 1}").json()["changes"]
    assert (back["before"], back["after"]) == (change["after"], change["before"])
    assert client.get(f"{AT}/revisions/{second}/changes/{second}").json()["changes"] == []


def test_a_revision_taken_up_again_is_a_new_one_on_top_and_is_written_to_the_case(
    client, demo_copy
):
    first = current(client)
    second = deepened(client, 1.0)
    between = current(client)
    reply = client.post(f"{AT}/revisions/{first['revision']}/again", json={"base_revision": second})
    assert reply.status_code == 200
    assert reply.json() == {"revision": second + 1, "document": first["document"]}
    assert current(client) == {**first, "revision": second + 1}
    assert client.get(f"{AT}/revisions/{second}").json() == between
    last = client.get(f"{AT}/revisions").json()["revisions"][-1]
    assert last["note"] == f"revision {first['revision']} taken up again"
    assert read_case(demo_copy).model_dump(mode="json") == first["document"]


def test_what_was_saved_meanwhile_is_not_overwritten_by_taking_up_an_earlier_one(client):
    first = current(client)["revision"]
    second = deepened(client, 1.0)
    reply = client.post(f"{AT}/revisions/{first}/again", json={"base_revision": first})
    assert reply.status_code == 409
    assert "Nothing was overwritten" in reply.json()["detail"]
    assert current(client)["revision"] == second


def test_taking_up_what_stands_already_stores_nothing(client):
    standing = current(client)["revision"]
    reply = client.post(f"{AT}/revisions/{standing}/again", json={"base_revision": standing})
    assert reply.json()["revision"] == standing
    assert len(client.get(f"{AT}/revisions").json()["revisions"]) == standing


@pytest.mark.parametrize("number", [0, 999, 2**63])
def test_a_revision_that_there_is_not_is_said_so(client, number):
    for reply in (
        client.get(f"{AT}/revisions/{number}/evaluation"),
        client.get(f"{AT}/revisions/1/changes/{number}"),
        client.get(f"{AT}/revisions/{number}/changes/1"),
        client.post(f"{AT}/revisions/{number}/again", json={"base_revision": 1}),
    ):
        assert reply.status_code == 404
        assert reply.json()["detail"] == "There is no such revision."


def test_a_revision_whose_scan_is_gone_says_so_in_its_place(client, demo_copy):
    before = current(client)
    (demo_copy / before["document"]["capture"]["scan"]).rename(demo_copy / "elsewhere.stl")
    told = client.get(f"{AT}/revisions/{before['revision']}/evaluation").json()
    assert told["stages"]["assess"]["state"] == "ready"
    assert told["stages"]["capture"]["state"] == "failed"
    assert told["stages"]["shape"]["state"] == "blocked"
    again = client.post(
        f"{AT}/revisions/{before['revision']}/again", json={"base_revision": before["revision"]}
    )
    assert again.status_code == 422


def told(capsys, *options: object) -> tuple[int, str, str]:
    capsys.readouterr()
    code = main(["revisions", *(str(one) for one in options)])
    out = capsys.readouterr()
    return code, out.out, out.err


def test_the_command_line_lists_revisions_and_tells_what_was_changed(client, demo_copy, capsys):
    before = -depth(current(client)["document"])
    second = deepened(client, 1.5)
    change = f"Load, patellar tendon: depth {before:g} to {before + 1.5:g} mm"
    code, out, _ = told(capsys, demo_copy)
    assert code == 0
    assert [line.split()[0] for line in out.splitlines()] == [str(second - 1), str(second)]
    # What was changed is the note of the revision that it made.
    assert out.splitlines()[-1].endswith(change)
    code, out, _ = told(capsys, demo_copy, "--from", second - 1)
    assert (code, out.splitlines()[1:]) == (0, [f"  {change}"])
    code, out, _ = told(capsys, demo_copy, "--from", second, "--to", second - 1, "--json")
    (back,) = json.loads(out)["changes"]
    assert (back["before"], back["after"]) == (before + 1.5, before)
    code, out, _ = told(capsys, demo_copy, "--from", second)
    assert "both plans are the same" in out


def test_the_command_line_says_which_revision_is_missing_and_begins_no_record(
    client, demo_copy, capsys, tmp_path
):
    code, _, err = told(capsys, demo_copy, "--from", 1, "--to", 7)
    assert (code, "has no revision 7" in err) == (2, True)
    code, _, err = told(capsys, demo_copy, "--to", 1)
    assert (code, "--from" in err) == (2, True)
    code, _, err = told(capsys, tmp_path / "nothing")
    assert (code, "no record of revisions" in err) == (2, True)
    assert not (tmp_path / "nothing").exists()


def test_the_limb_of_an_earlier_revision_is_captured_in_a_process_of_its_own(client):
    client.get(f"{AT}/evaluation")

    def coarser(document) -> None:
        document["capture"]["surface_edge_mm"] = 5.0

    second = int(saved(client, coarser).json()["revision"])
    client.get(f"{AT}/evaluation")
    begun = len(client.get(f"{AT}/jobs").json()["jobs"])
    fresh = client.app.state.cabinet.workshop(DEMO)
    # Of both limbs nothing is left in memory, and the cache holds the later one.
    fresh.rest()
    again = client.get(f"{AT}/revisions/{second - 1}/evaluation").json()
    assert again["stages"]["capture"]["state"] == "ready"
    jobs = client.get(f"{AT}/jobs").json()["jobs"]
    assert len(jobs) == begun + 1
    assert jobs[0]["kind"] == "capture"
