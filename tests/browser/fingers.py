"""Fingers on the page: touches as a touch screen sends them, one finger or several."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from playwright.sync_api import Locator, Page

Spot = tuple[float, float]
STEPS = 6
FINGERTIP_PX = 44
HOLD_MS = 600
"""Longer than the page waits before a resting finger begins to aim."""
SMALL_TARGETS = Path(__file__).with_name("small_targets.js").read_text("utf-8")
"""Names the controls in view that are smaller than a fingertip."""


class Fingers:
    """Presses, moves and lifts fingers; a finger is known by its place in the list."""

    def __init__(self, page: Page) -> None:
        self._page = page
        self._cdp = page.context.new_cdp_session(page)

    def put(self, *spots: Spot) -> None:
        """Put fingers down, or more of them beside those that are down already."""
        self._send("touchStart", spots)

    def slide(self, *ways: tuple[Spot, Spot]) -> None:
        """Slide every finger from where it is to where it shall be."""
        for k in range(1, STEPS + 1):
            part = k / STEPS
            self._send(
                "touchMove",
                [(a[0] + part * (b[0] - a[0]), a[1] + part * (b[1] - a[1])) for a, b in ways],
            )
            self._page.wait_for_timeout(20)

    def lift(self) -> None:
        self._send("touchEnd", ())
        self._page.wait_for_timeout(50)

    def lose(self) -> None:
        """The system takes the fingers away, as when the palm comes down or a call comes in."""
        self._send("touchCancel", ())
        self._page.wait_for_timeout(50)

    def tap(self, spot: Spot) -> None:
        self.put(spot)
        self.lift()

    def hold(self, spot: Spot, ms: int) -> None:
        self.put(spot)
        self._page.wait_for_timeout(ms)

    def _send(self, kind: str, spots: Sequence[Spot]) -> None:
        points = [{"x": x, "y": y, "id": k} for k, (x, y) in enumerate(spots)]
        self._cdp.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})


def middle(of: Locator) -> Spot:
    box = of.bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
