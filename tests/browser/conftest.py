"""A workshop on the demo case and a real browser to work in it."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from browser.workshop import EVALUATION_MS, Bench, Workshop

OUTPUT = Path(__file__).resolve().parents[1] / "output" / "browser"
DESKTOP = {"width": 1366, "height": 768}
TABLET = {"width": 1024, "height": 768}
# What Chromium does by itself without a graphics card: it puts the page together in software and
# draws the limb with SwiftShader, which it must be allowed to.
FLAGS = (
    "--no-sandbox",
    "--enable-unsafe-swiftshader",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
)


LIMBWRIGHT = str(Path(sys.executable).with_name("limbwright"))


def _serve(folder: Path) -> subprocess.Popen[str]:
    command = [LIMBWRIGHT, "serve", str(folder), "--port", "0", "--json"]
    return subprocess.Popen(command, stdout=subprocess.PIPE, text=True)


@contextmanager
def serving(folder: Path) -> Iterator[Workshop]:
    """A service of its own on a folder, ended afterwards."""
    process = _serve(folder)
    assert process.stdout is not None
    try:
        line = process.stdout.readline()
        assert line, "the service ended before it printed its address"
        yield Workshop(json.loads(line)["address"], folder)
    finally:
        process.terminate()
        process.wait(timeout=20)
        process.stdout.close()


@pytest.fixture(scope="session")
def output() -> Path:
    """Folder of the screenshots, looked at by people."""
    OUTPUT.mkdir(parents=True, exist_ok=True)
    return OUTPUT


@pytest.fixture(scope="module")
def workshop(demo_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workshop]:
    """The service on a demo case that the tests of one file share."""
    folder = tmp_path_factory.mktemp("browser") / "demo"
    shutil.copytree(demo_folder, folder)
    with serving(folder) as workshop:
        yield workshop


@pytest.fixture
def shelf(tmp_path: Path) -> Iterator[Workshop]:
    """The service on an empty folder of cases."""
    folder = tmp_path / "cases"
    folder.mkdir()
    with serving(folder) as workshop:
        yield workshop


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """A headless Chromium that draws in software."""
    chromium = os.environ.get("LIMBWRIGHT_CHROMIUM") or shutil.which("chromium")
    if chromium is None:
        pytest.skip("no Chromium here; scripts/chromium.sh installs one")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=list(FLAGS))
        yield browser
        browser.close()


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    """A fresh profile at the size of a clinic's laptop."""
    context = browser.new_context(viewport=DESKTOP, accept_downloads=True)
    context.set_default_timeout(EVALUATION_MS)
    yield context
    context.close()


@pytest.fixture
def bench(context: BrowserContext, workshop: Workshop) -> Iterator[Bench]:
    """The open case; at the end nothing may have gone wrong or out."""
    yield from opened(context, workshop)


@pytest.fixture
def tablet(browser: Browser, workshop: Workshop) -> Iterator[Bench]:
    """The open case on a tablet, which has fingers and neither mouse nor keyboard."""
    context = browser.new_context(viewport=TABLET, has_touch=True, is_mobile=True)
    context.set_default_timeout(EVALUATION_MS)
    yield from opened(context, workshop)
    context.close()


def opened(context: BrowserContext, workshop: Workshop) -> Iterator[Bench]:
    """A page on the case, watched."""
    page = context.new_page()
    said, asked = _watch(page)
    bench = Bench(page, workshop)
    bench.open()
    yield bench
    page.wait_for_timeout(50)
    assert not [text for text in said if not bench.expects(text)]
    hosts = {urlsplit(url).hostname for url in asked if not url.startswith(("data:", "blob:"))}
    assert hosts == {"127.0.0.1"}


def _watch(page: Page) -> tuple[list[str], list[str]]:
    said: list[str] = []
    asked: list[str] = []
    page.on("console", lambda note: said.append(f"{note.type}: {note.text}"))
    page.on("pageerror", lambda error: said.append(f"page: {error}"))
    page.on("request", lambda request: asked.append(request.url))
    return said, asked
