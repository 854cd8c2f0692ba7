"""Nodes between bone and skin along the lines, and the liner outside or inside the scan."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.core.kernels import kernel
from limbwright.core.mesh import Scalars, Vertices


@dataclass(frozen=True, slots=True, eq=False)
class Lines:
    """Lines from a surface to the bone, the surface first.

    Parameters
    ----------
    ways : (n, steps, 3) float64, mm
    counts : (n,) int
    lengths_mm : (n,) float64
    ends_mm : (n, 3) float64, mm
        Where each line ends after it was brought onto the bone.
    """

    ways: NDArray[np.float64]
    counts: NDArray[np.intp]
    lengths_mm: Scalars
    ends_mm: Vertices


def lines_with_ends(
    ways: NDArray[np.float64], counts: NDArray[np.intp], ends_mm: Vertices
) -> Lines:
    """Lines whose last points move to given ends, the change fading towards the skin."""
    return Lines(ways, counts, _lengths(ways, counts), ends_mm)


def along(lines: Lines, depths: NDArray[np.float64]) -> NDArray[np.float64]:
    """Points at shares (n, k) of each line from the surface (0) to the bone (1), (n, k, 3) mm."""
    points = _at_shares(lines.ways, lines.counts, np.ascontiguousarray(depths))
    last = lines.ways[np.arange(len(lines.counts)), lines.counts - 1]
    return np.asarray(points + depths[..., None] ** 2 * (lines.ends_mm - last)[:, None])


def shares(count: int, ratio: float) -> Scalars:
    """Depths of count + 1 layers' borders from the skin (0) to the bone (1).

    Parameters
    ----------
    count : int
    ratio : float
        Thickness of a layer over that of the next one towards the bone.
    """
    thickness = ratio ** -np.arange(count, dtype=np.float64)
    return np.concatenate([[0.0], np.cumsum(thickness) / thickness.sum()])


@kernel
def _lengths(ways: NDArray[np.float64], counts: NDArray[np.intp]) -> Scalars:
    out = np.zeros(len(counts))
    for n in range(len(counts)):
        for step in range(1, counts[n]):
            total = 0.0
            for axis in range(3):
                total += (ways[n, step, axis] - ways[n, step - 1, axis]) ** 2
            out[n] += np.sqrt(total)
    return out


@kernel
def _at_shares(
    ways: NDArray[np.float64], counts: NDArray[np.intp], depths: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Points at rising shares of each way's length."""
    lengths = _lengths(ways, counts)
    out = np.empty((len(counts), depths.shape[1], 3))
    for n in range(len(counts)):
        step, gone, piece = 0, 0.0, 0.0
        for k in range(depths.shape[1]):
            want = depths[n, k] * lengths[n]
            while step + 1 < counts[n]:
                piece = 0.0
                for axis in range(3):
                    piece += (ways[n, step + 1, axis] - ways[n, step, axis]) ** 2
                piece = np.sqrt(piece)
                if gone + piece >= want or step + 2 == counts[n]:
                    break
                gone += piece
                step += 1
            share = min(1.0, (want - gone) / piece) if piece > 0.0 else 0.0
            for axis in range(3):
                low = ways[n, step, axis]
                out[n, k, axis] = low + share * (ways[n, step + 1, axis] - low)
    return out
