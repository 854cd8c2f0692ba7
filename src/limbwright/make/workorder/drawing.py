"""Line drawings with dimensions and named parts, as SVG at a stated scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from xml.sax.saxutils import escape

import numpy as np
from numpy.typing import ArrayLike, NDArray

from limbwright.make.workorder.typeset import FONT

INK = "#000000"
PALE = "#6b7780"
PART_GREY = "#e6e9eb"
HIDDEN = (1.2, 0.7)
"""Dashes of what lies behind the plane drawn, mm on paper."""
AXIS = (4.0, 0.9, 0.9, 0.9)
"""Dashes and dots of an axis."""
TEXT_MM = 3.0
"""Height of letters on paper: 8.5 point."""
_WIDE, _NARROW, _USUAL = 0.68, 0.27, 0.46
"""Widths of capitals, of thin signs and of all others over the size of the letters."""

Points2 = NDArray[np.float64]
"""(n, 2) float64, mm; x to the right, y up."""


@dataclass(frozen=True, slots=True)
class Note:
    """A part pointed at, and its name."""

    place: tuple[float, float]
    text: str


@dataclass(slots=True)
class Drawing:
    """A drawing in the making: x to the right, y up, true millimetres.

    Parameters
    ----------
    scale : float
        True millimetres on one millimetre of paper. Text and lines keep their size on paper.
    """

    scale: float = 1.0
    _parts: list[str] = field(default_factory=list)
    _low: Points2 = field(default_factory=lambda: np.full(2, np.inf))
    _high: Points2 = field(default_factory=lambda: np.full(2, -np.inf))

    @property
    def text_mm(self) -> float:
        """Height of text in true millimetres."""
        return TEXT_MM * self.scale

    def line(
        self,
        points: ArrayLike,
        *,
        closed: bool = False,
        width: float = 0.25,
        colour: str = INK,
        fill: str = "none",
        dash: Sequence[float] = (),
    ) -> None:
        """A line through points; its width and dashes in millimetres of paper."""
        array = np.asarray(points, dtype=np.float64)
        self._take(array)
        text = " ".join(f"{x:.3f},{-y:.3f}" for x, y in array)
        kind = "polygon" if closed else "polyline"
        self._parts.append(
            f'<{kind} points="{text}" fill="{fill}" stroke="{colour}"'
            f' stroke-width="{width * self.scale:.3f}" stroke-linejoin="round"'
            f"{self._dashed(dash)}/>"
        )

    def region(
        self, loops: Sequence[Points2], low: ArrayLike, high: ArrayLike, *, fill: str, width: float
    ) -> None:
        """What closed outlines enclose, holes left out, as far as a window shows it."""
        (x0, y0), (x1, y1) = _pair(low), _pair(high)
        path = " ".join(
            "M" + " L".join(f"{x:.3f},{-y:.3f}" for x, y in loop) + " Z" for loop in loops
        )
        name = f"window{len(self._parts)}"
        self._parts.append(
            f'<clipPath id="{name}"><rect x="{x0:.3f}" y="{-y1:.3f}" width="{x1 - x0:.3f}"'
            f' height="{y1 - y0:.3f}"/></clipPath>'
            f'<path d="{path}" fill="{fill}" fill-rule="evenodd" stroke="{INK}"'
            f' stroke-width="{width * self.scale:.3f}" clip-path="url(#{name})"/>'
        )
        seen = [np.clip(loop, (x0, y0), (x1, y1)) for loop in loops]
        if seen:
            self._take(np.concatenate(seen))

    def circle(
        self,
        centre: ArrayLike,
        radius_mm: float,
        *,
        fill: str = "none",
        width: float = 0.25,
        dash: Sequence[float] = (),
    ) -> None:
        """A circle of a true radius."""
        x, y = _pair(centre)
        self._take(np.array([[x - radius_mm, y - radius_mm], [x + radius_mm, y + radius_mm]]))
        self._parts.append(
            f'<circle cx="{x:.3f}" cy="{-y:.3f}" r="{radius_mm:.3f}" fill="{fill}"'
            f' stroke="{INK}" stroke-width="{width * self.scale:.3f}"{self._dashed(dash)}/>'
        )

    def text(
        self, place: ArrayLike, text: str, *, anchor: str = "start", size: float = 1.0
    ) -> None:
        """Text whose baseline starts, centres or ends at a place; white behind it."""
        x, y = _pair(place)
        tall = self.text_mm * size
        length = tall * text_share(text)
        left = {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * length
        self._take(np.array([[x - left, y - 0.3 * tall], [x - left + length, y + 0.8 * tall]]))
        words = (
            f'x="{x:.3f}" y="{-y:.3f}" font-family="{FONT}" font-size="{tall:.3f}"'
            f' text-anchor="{anchor}"'
        )
        self._parts.append(
            f'<text {words} fill="{INK}" stroke="#ffffff" stroke-width="{0.25 * tall:.3f}"'
            f' stroke-linejoin="round" paint-order="stroke">{escape(text)}</text>'
        )

    def dimension(
        self, start: ArrayLike, end: ArrayLike, text: str, *, offset_mm: float = 0.0
    ) -> None:
        """A dimension between two places, drawn aside by an offset to the left of start to end."""
        a, b = np.asarray(start, dtype=np.float64), np.asarray(end, dtype=np.float64)
        if float(np.linalg.norm(b - a)) < 1e-6:
            return
        p, q = self._measured((a, b), offset_mm)
        middle = 0.5 * (p + q)
        if abs(q[1] - p[1]) > abs(q[0] - p[0]):
            right = p[0] >= a[0]
            shift = 0.35 * self.text_mm * (1 if right else -1)
            anchor = "start" if right else "end"
            self.text((middle[0] + shift, middle[1] - 0.3 * self.text_mm), text, anchor=anchor)
        else:
            self.text((middle[0], middle[1] + 0.35 * self.text_mm), text, anchor="middle")

    def chain(self, places: Sequence[ArrayLike], texts: Sequence[str], offset_mm: float) -> None:
        """Dimensions one after the other along a line, aside by an offset, their texts apart."""
        points = [np.asarray(place, dtype=np.float64) for place in places]
        marks = self._measured(points, offset_mm)
        middles = [0.5 * (p + q) for p, q in pairwise(marks)]
        away = 1.0 if marks[0][0] >= points[0][0] else -1.0
        edge = max(away * float(mark[0]) for mark in marks) * away
        notes = [Note(_pair(m), text) for m, text in zip(middles, texts, strict=True)]
        self.notes(notes, edge + 1.2 * away * self.text_mm, dots=False)

    def notes(self, notes: Sequence[Note], column_mm: float, *, dots: bool = True) -> None:
        """Names in a column beside the drawing, each with a leader to its part."""
        ordered = sorted(notes, key=lambda note: -note.place[1])
        heights = spread([note.place[1] for note in ordered], 1.25 * self.text_mm)
        for note, height in zip(ordered, heights, strict=True):
            away = 1.0 if column_mm >= note.place[0] else -1.0
            bend = column_mm - away * 0.8 * self.text_mm
            self.line([note.place, (bend, height), (column_mm, height)], width=0.13)
            if dots:
                self.circle(note.place, 0.45 * self.scale, fill=INK, width=0.0)
            start = (column_mm + away * 0.25 * self.text_mm, height - 0.3 * self.text_mm)
            self.text(start, note.text, anchor="start" if away > 0 else "end")

    def arrow(self, start: ArrayLike, end: ArrayLike) -> None:
        """An arrow."""
        a, b = np.asarray(start, dtype=np.float64), np.asarray(end, dtype=np.float64)
        along = (b - a) / np.linalg.norm(b - a)
        aside = np.array([-along[1], along[0]])
        barb = 0.6 * self.text_mm
        self.line([a, b - 0.5 * barb * along], width=0.35)
        head = [b, b - barb * along + 0.35 * barb * aside, b - barb * along - 0.35 * barb * aside]
        self.line(head, closed=True, fill=INK, width=0.1)

    def room_for(self, low: ArrayLike, high: ArrayLike) -> None:
        """Keep a part of the paper free, as if something were drawn there."""
        self._take(np.array([_pair(low), _pair(high)]))

    @property
    def bounds_mm(self) -> tuple[Points2, Points2]:
        """Lower left and upper right of what is drawn so far."""
        return self._low.copy(), self._high.copy()

    @property
    def paper_mm(self) -> tuple[float, float]:
        """Width and height on paper, with a small margin."""
        width, height = (self._high - self._low + 2 * self._margin) / self.scale
        return float(width), float(height)

    def svg(self) -> bytes:
        """The drawing as SVG, its size that on paper."""
        paper_width, paper_height = self.paper_mm
        width, height = self._high - self._low + 2 * self._margin
        left, top = self._low[0] - self._margin, -(self._high[1] + self._margin)
        body = "\n".join(self._parts)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{paper_width:.3f}mm"'
            f' height="{paper_height:.3f}mm"'
            f' viewBox="{left:.3f} {top:.3f} {width:.3f} {height:.3f}">\n{body}\n</svg>\n'
        ).encode()

    @property
    def _margin(self) -> float:
        return 0.2 * self.text_mm

    def _measured(self, points: Sequence[Points2], offset_mm: float) -> list[Points2]:
        """Extension lines, the dimension's line and its ticks; where the ticks stand."""
        along = points[-1] - points[0]
        along = along / np.linalg.norm(along)
        aside = np.array([-along[1], along[0]])
        marks = [point + offset_mm * aside for point in points]
        slant = 0.25 * self.text_mm * (along + aside)
        for foot, mark in zip(points, marks, strict=True):
            self.line([foot, mark], width=0.1, colour=PALE)
            self.line([mark - slant, mark + slant], width=0.35)
        self.line([marks[0], marks[-1]], width=0.15)
        return marks

    def _dashed(self, dash: Sequence[float]) -> str:
        lengths = " ".join(f"{length * self.scale:.3f}" for length in dash)
        return f' stroke-dasharray="{lengths}"' if dash else ""

    def _take(self, points: Points2) -> None:
        self._low = np.minimum(self._low, points.min(axis=0))
        self._high = np.maximum(self._high, points.max(axis=0))


def text_share(text: str) -> float:
    """About how long a text is over the height of its letters."""
    return sum(
        _WIDE if char.isupper() or char in "←→⌀×m" else _NARROW if char in " .,;:'ijlt" else _USUAL
        for char in text
    )


def spread(wanted: Sequence[float], gap: float) -> list[float]:
    """Places as near as can be to those wanted, falling, at least a gap apart.

    The closest in the sense of least squares: neighbours that crowd each other share what they
    have to give way.
    """
    groups: list[tuple[float, int]] = []
    for number, place in enumerate(wanted):
        total, count = place + number * gap, 1
        while groups and groups[-1][0] / groups[-1][1] < total / count:
            before = groups.pop()
            total, count = total + before[0], count + before[1]
        groups.append((total, count))
    levels = [total / count for total, count in groups for _ in range(count)]
    return [level - number * gap for number, level in enumerate(levels)]


def _pair(place: ArrayLike) -> tuple[float, float]:
    x, y = np.asarray(place, dtype=np.float64)
    return float(x), float(y)
