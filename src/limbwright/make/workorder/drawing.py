"""Line drawings with dimensions, as SVG in millimetres."""

from __future__ import annotations

from dataclasses import dataclass, field
from xml.sax.saxutils import escape

import numpy as np
from numpy.typing import ArrayLike, NDArray

INK = "#1d2a33"
FONT = "Libertinus Serif"

Points2 = NDArray[np.float64]
"""(n, 2) float64, mm; x to the right, y up."""


@dataclass(slots=True)
class Drawing:
    """A drawing in the making: x to the right, y up, mm; the paper's scale is chosen at the end.

    Parameters
    ----------
    text_mm : float
        Height of text in drawing millimetres, so that it reads the same on paper at any scale.
    """

    text_mm: float = 4.0
    _parts: list[str] = field(default_factory=list)
    _low: Points2 = field(default_factory=lambda: np.full(2, np.inf))
    _high: Points2 = field(default_factory=lambda: np.full(2, -np.inf))

    def line(
        self,
        points: ArrayLike,
        *,
        closed: bool = False,
        width_mm: float = 0.5,
        colour: str = INK,
        fill: str = "none",
        dash: str = "",
    ) -> None:
        """A line through points."""
        array = np.asarray(points, dtype=np.float64)
        self._take(array)
        text = " ".join(f"{x:.3f},{-y:.3f}" for x, y in array)
        kind = "polygon" if closed else "polyline"
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        self._parts.append(
            f'<{kind} points="{text}" fill="{fill}" stroke="{colour}"'
            f' stroke-width="{width_mm:g}" stroke-linejoin="round"{dashed}/>'
        )

    def circle(
        self,
        centre: ArrayLike,
        radius_mm: float,
        *,
        fill: str = "none",
        width_mm: float = 0.4,
    ) -> None:
        """A circle."""
        x, y = _pair(centre)
        self._take(np.array([[x - radius_mm, y - radius_mm], [x + radius_mm, y + radius_mm]]))
        self._parts.append(
            f'<circle cx="{x:.3f}" cy="{-y:.3f}" r="{radius_mm:.3f}" fill="{fill}"'
            f' stroke="{INK}" stroke-width="{width_mm:g}"/>'
        )

    def text(
        self, place: ArrayLike, text: str, *, anchor: str = "start", scale: float = 1.0
    ) -> None:
        """Text whose baseline starts, centres or ends at a place."""
        x, y = _pair(place)
        size = self.text_mm * scale
        length = 0.5 * size * len(text)
        left = {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * length
        self._take(np.array([[x - left, y - 0.3 * size], [x - left + length, y + size]]))
        self._parts.append(
            f'<text x="{x:.3f}" y="{-y:.3f}" font-family="{FONT}" font-size="{size:.2f}"'
            f' text-anchor="{anchor}" fill="{INK}">{escape(text)}</text>'
        )

    def dimension(
        self, start: ArrayLike, end: ArrayLike, text: str, *, offset_mm: float = 0.0
    ) -> None:
        """A dimension between two places, drawn aside by an offset to the left of start to end."""
        a, b = np.asarray(start, dtype=np.float64), np.asarray(end, dtype=np.float64)
        length = float(np.linalg.norm(b - a))
        if length < 1e-6:
            return
        along = (b - a) / length
        aside = np.array([-along[1], along[0]])
        p, q = a + offset_mm * aside, b + offset_mm * aside
        tick = 0.35 * self.text_mm
        for foot, end_point in ((a, p), (b, q)):
            self.line(np.stack([foot, end_point]), width_mm=0.2, colour="#7b8790")
            slant = 0.5 * tick * (along + aside)
            self.line(np.stack([end_point - slant, end_point + slant]), width_mm=0.5)
        self.line(np.stack([p, q]), width_mm=0.3)
        middle = 0.5 * (p + q)
        if abs(along[1]) > abs(along[0]):
            right = offset_mm * aside[0] >= 0
            shift = 0.4 * self.text_mm * (1 if right else -1)
            self.text(
                (middle[0] + shift, middle[1] - 0.3 * self.text_mm),
                text,
                anchor="start" if right else "end",
            )
        else:
            self.text((middle[0], middle[1] + 0.35 * self.text_mm), text, anchor="middle")

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height of what is drawn, with a small margin."""
        width, height = self._high - self._low + 2 * self._margin
        return float(width), float(height)

    @property
    def _margin(self) -> float:
        return 0.6 * self.text_mm

    def svg(self) -> bytes:
        """The drawing as SVG, its size in true millimetres."""
        width, height = self.size_mm
        left, top = self._low[0] - self._margin, -(self._high[1] + self._margin)
        body = "\n".join(self._parts)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.3f}mm" height="{height:.3f}mm"'
            f' viewBox="{left:.3f} {top:.3f} {width:.3f} {height:.3f}">\n{body}\n</svg>\n'
        ).encode()

    def _take(self, points: Points2) -> None:
        self._low = np.minimum(self._low, points.min(axis=0))
        self._high = np.maximum(self._high, points.max(axis=0))


def _pair(place: ArrayLike) -> tuple[float, float]:
    x, y = np.asarray(place, dtype=np.float64)
    return float(x), float(y)
