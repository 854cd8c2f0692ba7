"""What a clinic's day does to the workshop: crashes, a full disk, lost pages, jobs left alone."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Page, Route, expect

from browser.workshop import EVALUATION_MS, STAGES, Bench, Workshop
from limbwright.case.folder import read_case

pytestmark = [pytest.mark.browser, pytest.mark.slow]
LIMBWRIGHT = str(Path(sys.executable).with_name("limbwright"))


class Service:
    """A service of its own that can be killed and started again, as a person would."""

    def __init__(self, folder: Path, state: Path) -> None:
        self.folder = folder
        self.address = ""
        self._state = state
        self._process: subprocess.Popen[str] | None = None

    def start(self) -> None:
        self._process = subprocess.Popen(
            [LIMBWRIGHT, "serve", str(self.folder), "--json"],
            stdout=subprocess.PIPE,
            text=True,
            env={**os.environ, "XDG_STATE_HOME": str(self._state)},
        )
        assert self._process.stdout is not None
        self.address = json.loads(self._process.stdout.readline())["address"]

    def kill(self) -> None:
        """End at once: nothing is told and nothing put in order."""
        if self._process is not None:
            self._process.kill()
            self._process.communicate(timeout=30)
            self._process = None

    @contextmanager
    def full_disk(self) -> Iterator[None]:
        """No file of the service may take another byte meanwhile."""
        resource = pytest.importorskip("resource")
        if not hasattr(resource, "prlimit") or self._process is None:
            pytest.skip("limits of another process can be set on Linux alone")
        pid, kind = self._process.pid, resource.RLIMIT_FSIZE
        before = resource.prlimit(pid, kind, (0, resource.getrlimit(kind)[1]))
        try:
            yield
        finally:
            resource.prlimit(pid, kind, before)

    def stored(self) -> object:
        return read_case(self.folder).align.foot_inset_mm


@pytest.fixture
def service(workshop: Workshop, tmp_path: Path) -> Iterator[Service]:
    """A service on a copy of the demo case with its limb captured."""
    folder = tmp_path / "demo"
    ignored = shutil.ignore_patterns("record.sqlite", "made")
    shutil.copytree(workshop.folder, folder, ignore=ignored)
    service = Service(folder, tmp_path / "state")
    service.start()
    yield service
    service.kill()


@pytest.fixture
def at(context: BrowserContext, service: Service) -> Bench:
    """The page on that service's case, at its alignment."""
    bench = Bench(context.new_page(), Workshop(service.address, service.folder))
    # Asked before a page that holds an unsaved edit is left.
    bench.page.on("dialog", lambda dialog: dialog.accept())
    bench.open()
    bench.go("align")
    return bench


def type_inset(bench: Bench, text: str) -> None:
    field = bench.field("Foot inset")
    field.fill(text)
    field.press("Enter")


def shot(page: Page, output: Path, name: str) -> None:
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        page.screenshot(path=output / f"{name}-{scheme}.png")
    page.emulate_media(color_scheme="light")


def test_a_service_killed_in_mid_edit_loses_nothing_and_the_page_finds_it_again(
    at: Bench, service: Service, output: Path
) -> None:
    first = service.address
    type_inset(at, "5")
    service.kill()
    type_inset(at, "9")
    banner = at.page.get_by_role("alert")
    expect(banner).to_contain_text("does not answer")
    expect(banner).to_contain_text("kept in this tab")
    expect(at.page.get_by_test_id("state")).to_have_text("No connection")
    shot(at.page, output, "service-lost")
    # The page tries by itself and fails, and the person works on meanwhile.
    at.page.wait_for_timeout(2500)
    expect(banner).to_have_count(1)
    type_inset(at, "11")
    service.start()
    assert service.address == first
    at.settle()
    expect(banner).to_have_count(0)
    expect(at.field("Foot inset")).to_have_value("11.0")
    assert service.stored() == 11.0
    # The page works on: what it holds of the earlier start is fetched anew where it must be.
    at.go("shape")
    at.show("Socket, inside")
    at.show("Bones")
    at.settle()
    expect(at.page.get_by_role("alert")).to_have_count(0)


def test_an_edit_that_was_not_stored_is_offered_after_a_reload(
    at: Bench, service: Service, output: Path
) -> None:
    at.page.route("**/api/**", _lost)
    type_inset(at, "7")
    expect(at.page.get_by_role("alert")).to_contain_text("does not answer")
    at.page.unroute("**/api/**")
    at.page.reload()
    at.settle()
    banner = at.page.get_by_role("alert")
    expect(banner).to_contain_text("not stored before the page was loaded again")
    shot(at.page, output, "unsaved-offered")
    # Offered, not applied.
    expect(at.field("Foot inset")).to_have_value("")
    assert service.stored() is None
    banner.get_by_role("button", name="Store them now").click()
    at.settle()
    expect(at.field("Foot inset")).to_have_value("7.0")
    expect(banner).to_have_count(0)
    assert service.stored() == 7.0
    assert at.page.evaluate("Object.keys(sessionStorage)") == ["limbwright.token"]


def test_an_unsaved_edit_is_never_put_over_a_newer_case_unasked(
    at: Bench, service: Service, output: Path
) -> None:
    at.page.route("**/api/**", _lost)
    type_inset(at, "7")
    expect(at.page.get_by_role("alert")).to_contain_text("does not answer")
    other = Bench(at.page.context.new_page(), at.workshop)
    other.open()
    other.go("align")
    other.enter("Foot inset", "3")
    other.page.close()
    at.page.unroute("**/api/**")
    at.page.reload()
    at.settle()
    banner = at.page.get_by_role("alert")
    expect(banner).to_contain_text("changed elsewhere since")
    shot(at.page, output, "unsaved-older")
    expect(at.field("Foot inset")).to_have_value("3.0")
    banner.get_by_role("button", name="Give them up").click()
    expect(banner).to_have_count(0)
    assert service.stored() == 3.0
    at.page.reload()
    at.settle()
    expect(banner).to_have_count(0)


def test_a_full_disk_keeps_the_edit_on_the_page_and_stores_it_when_there_is_room(
    at: Bench, service: Service, output: Path
) -> None:
    with service.full_disk():
        type_inset(at, "8")
        banner = at.page.get_by_role("alert")
        expect(banner).to_contain_text(re.compile("free (some )?space"))
        expect(at.page.get_by_test_id("state")).to_have_text("Not saved")
        expect(at.field("Foot inset")).to_have_value("8.0")
        shot(at.page, output, "disk-full")
        banner.get_by_role("button", name="Try again").click()
        expect(banner).to_be_visible()
        assert service.stored() is None
    banner.get_by_role("button", name="Try again").click()
    at.settle()
    expect(banner).to_have_count(0)
    assert service.stored() == 8.0


def test_making_on_a_full_disk_says_what_failed_and_leaves_no_half_of_it(
    at: Bench, service: Service, output: Path
) -> None:
    at.go("make")
    with service.full_disk():
        at.panel.get_by_role("button", name="Make the files").click()
        refusal = at.panel.get_by_role("alert")
        expect(refusal).to_contain_text("Nothing was made.", timeout=EVALUATION_MS)
        expect(refusal).to_contain_text("was not written")
        shot(at.page, output, "making-failed")
        made = service.folder / "made"
        assert [path for path in made.rglob("*") if path.is_file()] == []
        # It is told again on coming back.
        at.go("fit")
        at.go("make")
        expect(refusal).to_contain_text("Nothing was made.")
    at.panel.get_by_role("button", name="Make the files").click()
    expect(at.panel.locator(".made-files")).to_contain_text("work_order.pdf", timeout=EVALUATION_MS)


def test_a_running_job_is_taken_up_on_coming_back_after_a_reload_and_in_another_tab(
    at: Bench, service: Service
) -> None:
    at.go("make")
    at.panel.get_by_role("button", name="Make the files").click()
    at.go("prove")
    at.go("make")
    shown = at.panel.get_by_role("status").or_(at.panel.locator(".made-files"))
    expect(shown.first).to_be_visible()
    expect(at.panel.get_by_role("button", name="Make the files")).to_have_count(1)
    at.page.reload()
    files = at.panel.locator(".made-files")
    expect(files).to_contain_text("work_order.pdf", timeout=EVALUATION_MS)
    other = Bench(at.page.context.new_page(), at.workshop)
    other.open()
    other.go("make")
    expect(other.panel.locator(".made-files")).to_contain_text("work_order.pdf")
    # Whose files they are is told once the case has changed.
    other.go("align")
    other.enter("Foot inset", "4")
    other.go("make")
    expect(other.panel).to_contain_text("the case has changed since")
    other.page.close()


def test_a_reload_at_any_stage_comes_back_to_it(at: Bench) -> None:
    for stage in STAGES:
        at.go(stage)
        at.page.reload()
        expect(at.panel.get_by_role("heading", level=2)).to_have_text(stage.capitalize())
    at.settle()


def test_the_address_of_another_start_opened_in_the_same_tab_keeps_the_edit(
    at: Bench, service: Service, tmp_path: Path
) -> None:
    service.kill()
    type_inset(at, "6")
    expect(at.page.get_by_role("alert")).to_contain_text("does not answer")
    # The same port with another key, as after the key's day is over.
    for kept in (tmp_path / "state").rglob("*.json"):
        port = json.loads(kept.read_text())["port"]
        kept.write_text(json.dumps({"port": port, "token": "k" * 32, "made_at": time.time()}))
    service.start()
    banner = at.page.get_by_role("alert")
    expect(banner).to_contain_text("does not belong to the running workshop", timeout=20_000)
    key = service.address.split("#")[1]
    at.page.evaluate("key => { location.hash = key }", key)
    expect(banner).to_contain_text("not stored before the page was loaded again")
    banner.get_by_role("button", name="Store them now").click()
    at.settle()
    assert service.stored() == 6.0


def _lost(route: Route) -> None:
    route.abort()
