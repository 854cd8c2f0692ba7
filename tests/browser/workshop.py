"""What a person does at the workshop's page, in the words of the tests."""

from __future__ import annotations

import io
import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PIL import Image
from playwright.sync_api import Locator, Page, expect

EVALUATION_MS = 90_000
"""Longest wait for an evaluation; a cold one on a loaded machine takes its time."""
DRIVER_REMARK = r"GL Driver Message \(OpenGL, Performance"
"""Chromium's own remark that drawing in software is slow."""
STAGES = ("assess", "capture", "shape", "couple", "align", "prove", "make", "fit")


@dataclass(frozen=True)
class Workshop:
    """A running service."""

    address: str
    folder: Path


class Bench:
    """One page on one case."""

    def __init__(self, page: Page, workshop: Workshop) -> None:
        self.page = page
        self.workshop = workshop
        self._expected = [DRIVER_REMARK]

    def open(self) -> None:
        self.page.goto(self.workshop.address)
        self.settle()

    def expect_noise(self, pattern: str) -> None:
        """Name console lines that a test provokes on purpose."""
        self._expected.append(pattern)

    def expects(self, line: str) -> bool:
        return any(re.search(pattern, line) for pattern in self._expected)

    def settle(self) -> None:
        """Wait until everything shown belongs to the case as it stands."""
        state = self.page.get_by_test_id("state")
        expect(state).to_have_text("Up to date", timeout=EVALUATION_MS)

    def go(self, stage: str) -> None:
        rail = self.page.get_by_role("navigation", name="Stages of the job")
        rail.get_by_role("link", name=stage.capitalize()).click()
        expect(self.panel.get_by_role("heading", level=2)).to_have_text(stage.capitalize())

    @property
    def panel(self) -> Locator:
        return self.page.get_by_role("main")

    @property
    def picture(self) -> Locator:
        return self.page.locator(".canvas-host canvas")

    def field(self, label: str) -> Locator:
        return self.panel.get_by_label(label, exact=True)

    def enter(self, label: str, value: str) -> None:
        """Type a value and wait for its consequences."""
        field = self.field(label)
        field.fill(value)
        field.press("Enter")
        self.settle()

    def row(self, head: str) -> list[float]:
        """Numbers of a table row, "−" read as minus."""
        row = self.panel.get_by_role("row").filter(
            has=self.page.get_by_role("rowheader", name=head, exact=True)
        )
        cells = row.first.get_by_role("cell").all_inner_texts()
        texts = (re.search(r"[−-]?\d+(\.\d+)?", cell) for cell in cells)
        return [float(text.group().replace("−", "-")) for text in texts if text]

    def look(self, view: str) -> None:
        self.page.get_by_role("group", name="Standard views").get_by_role(
            "button", name=view
        ).click()
        self.page.wait_for_timeout(300)

    def show(self, layer: str, on: bool = True) -> None:
        self.page.locator(".layer-controls").get_by_label(layer, exact=True).set_checked(on)
        self.page.wait_for_timeout(300)

    def pixels(self) -> np.ndarray[tuple[int, int, int], np.dtype[np.uint8]]:
        """The picture as it is seen, (height, width, 3) uint8, without what lies over it."""
        self.page.add_style_tag(
            content=".picture > :not(.canvas-host), .canvas-host > :not(canvas)"
            " {visibility: hidden !important} .picture {background: white !important}"
        ).evaluate("style => window.lastStyle = style")
        self.page.wait_for_timeout(300)
        image = Image.open(io.BytesIO(self.picture.screenshot())).convert("RGB")
        self.page.evaluate("window.lastStyle.remove()")
        return np.asarray(image)

    def limb_share(self) -> float:
        """Share of the picture that the limb covers: what differs from the plain corners."""
        pixels = self.pixels().astype(np.int16)
        ground = pixels[[2, 2, -3, -3], [2, -3, 2, -3]]
        far = np.abs(pixels[:, :, None, :] - ground[None, None]).sum(axis=3).min(axis=2) > 40
        return float(far.mean())

    def centre(self) -> tuple[float, float]:
        box = self.picture.bounding_box()
        assert box is not None
        return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2

    def values(self) -> dict[str, str]:
        """What every entry of the panel shows, by its label."""
        texts: dict[str, str] = self.panel.evaluate(
            """panel => Object.fromEntries([...panel.querySelectorAll('input, select')].map(
                (entry, i) => [i + ' ' + (entry.labels?.[0]?.textContent ?? entry.ariaLabel),
                    entry.type === 'checkbox' || entry.type === 'radio'
                        ? String(entry.checked) : entry.value]))"""
        )
        return texts
