"""How long the page lets a person wait: opening a case, and a slider's edit."""

from __future__ import annotations

import json
import statistics
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import Browser, Page

from browser.workshop import EVALUATION_MS, Bench, Workshop
from limbwright.case.create import demo_case
from limbwright.case.document import CaseDocument
from limbwright.case.folder import read_case, write_case
from limbwright.prove.plan import NEW_CASE_ENGINE

WATCH_FIRST_PICTURE = """
new MutationObserver((_, self) => {
    const note = document.querySelector('.stale-note')?.textContent ?? '';
    if (document.querySelector('.canvas-host canvas') === null
        || note.startsWith('Computing the limb')) return;
    self.disconnect();
    requestAnimationFrame(() => requestAnimationFrame(() => {
        window.firstPictureMs = performance.now();
    }));
}).observe(document, {subtree: true, childList: true, characterData: true});
"""
"""Set once the limb stands in the picture, from the start of navigation."""

EDIT = """async ([label, values, pauseMs, whole]) => {
    const slider = document.querySelector(`main input[aria-label="${label}, slider"]`);
    const enter = Object.getOwnPropertyDescriptor(HTMLInputElement.prototype, 'value').set;
    const picture = document.querySelector('.picture');
    const state = document.querySelector('[data-testid=state]');
    const drawn = () => new Promise(done =>
        requestAnimationFrame(() => requestAnimationFrame(done)));
    const became = stale => new Promise((done, fail) => {
        const look = () => {
            if (picture.classList.contains('stale') === stale) {
                watch.disconnect();
                done();
            }
        };
        const watch = new MutationObserver(look);
        watch.observe(picture, {attributes: true});
        setTimeout(() => fail(`the picture did not become ${stale ? 'stale' : 'current'}`), 30000);
        look();
    });
    const times = [];
    for (const value of values) {
        const start = performance.now();
        enter.call(slider, String(value));
        slider.dispatchEvent(new Event('input', {bubbles: true}));
        await became(true);
        await became(false);
        while (whole && state.textContent !== 'Up to date') {
            await new Promise(done => setTimeout(done, 4));
        }
        await drawn();
        times.push(performance.now() - start);
        await new Promise(done => setTimeout(done, pauseMs));
    }
    return times;
}"""
"""One edit after the other, each until the picture shows the pressure that belongs to it."""


@dataclass(frozen=True)
class Waits:
    """Times of one kind, ms.

    Parameters
    ----------
    what : str
    times_ms : sequence of float
    """

    what: str
    times_ms: Sequence[float]

    @property
    def median_ms(self) -> float:
        return statistics.median(self.times_ms)

    @property
    def p95_ms(self) -> float:
        """The time that 95 of 100 stay under, by the nearest rank."""
        rising = sorted(self.times_ms)
        return rising[max(0, -(-95 * len(rising) // 100) - 1)]


def live_demo(folder: Path) -> CaseDocument:
    """The demo case with the engine of a new case; its scan has 137 768 triangles."""
    document = demo_case(folder)
    prove = document.prove.model_copy(update={"engine": NEW_CASE_ENGINE})
    write_case(folder, document.model_copy(update={"prove": prove}))
    return read_case(folder)


def opened(browser: Browser, workshop: Workshop) -> tuple[float, Bench]:
    """Time from the start of navigation to the limb in the picture, ms, and the page."""
    page = browser.new_page(viewport={"width": 1366, "height": 768})
    page.add_init_script(WATCH_FIRST_PICTURE)
    page.goto(workshop.address)
    page.locator(".canvas-host canvas").wait_for(timeout=EVALUATION_MS)
    # The page's content policy forbids the predicates that a test would wait with.
    deadline = time.monotonic() + EVALUATION_MS / 1000
    while (first := page.evaluate("window.firstPictureMs ?? null")) is None:
        assert time.monotonic() < deadline, "the limb never stood in the picture"
        page.wait_for_timeout(20)
    return float(first), Bench(page, workshop)


def edits(page: Page, label: str, values: Sequence[float], pause_ms: float) -> Waits:
    """Edit a slider again and again, never to a value that it had before."""
    _open_row(page, label)
    times = page.evaluate(EDIT, [label, list(values), pause_ms, False])
    return Waits(f"slider of {label.lower()} to its pressure", times)


def whole_edits(page: Page, label: str, values: Sequence[float], pause_ms: float) -> Waits:
    """The same until all of the case has been computed."""
    _open_row(page, label)
    times = page.evaluate(EDIT, [label, list(values), pause_ms, True])
    return Waits(f"slider of {label.lower()} to all results", times)


def _open_row(page: Page, label: str) -> None:
    """An area's slider stands in its open row."""
    page.get_by_role("main").get_by_role("button", name=label, exact=True).click()


def keep(path: Path, waits: Sequence[Waits]) -> None:
    """Write what was measured beside the screenshots."""
    table = {
        one.what: {
            "median_ms": round(one.median_ms),
            "p95_ms": round(one.p95_ms),
            "count": len(one.times_ms),
        }
        for one in waits
    }
    path.write_text(json.dumps(table, indent=1) + "\n", "utf-8")
