"""Reading an uploaded scan in a process of its own, with limits on memory and time.

Run as `python -m limbwright.service.scan_reader`: told the scan, where its drawing goes and the
memory that it may use, it reads the scan, writes what the page draws of it (npz) and tells what it
is. See `apart`.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from limbwright.core.errors import InvalidScan, LimbwrightError
from limbwright.service.apart import (
    Limits,
    Message,
    Run,
    limit_memory,
    limited,
    ordered,
    say,
    say_refused,
)

LIMITS = Limits(memory_bytes=6 * 2**30, time_s=180.0)
MODULE = "limbwright.service.scan_reader"
DRAWN_TRIANGLES = 60_000
"""Enough to see where a landmark lies; the scan itself is kept as it came."""


@dataclass(frozen=True, slots=True, eq=False)
class ScanView:
    """What the page draws of a scan that has no landmarks yet.

    Parameters
    ----------
    positions_mm : (n, 3) float32
        Stood up for the picture: the scan's frame turned by `turn`, the narrower end below.
    faces : (m, 3) uint32
    triangles : int
        Of the scan as it came.
    unit : str
        As found from its size, or as its file declares.
    sureness : float, 0 to 1
    text : str
        How the unit was found.
    turn : tuple of 3 rows
        Rotation from the scan's frame to the picture's.
    """

    positions_mm: NDArray[np.float32]
    faces: NDArray[np.uint32]
    triangles: int
    unit: str
    sureness: float
    text: str
    turn: tuple[tuple[float, float, float], ...]


def read_apart(scan: Path, view: Path, limits: Limits = LIMITS) -> ScanView:
    """Read a scan in a process of its own.

    Parameters
    ----------
    scan : Path
        As uploaded; its ending tells the format.
    view : Path
        Where the drawing's arrays are kept.
    limits : Limits
        More is refused.

    Raises
    ------
    BadInput, CannotWrite
        With the reader's own sentence, or that time or memory did not suffice.
    """
    run = Run()
    told = limited(MODULE, [str(scan), str(view)], run, limits, lambda *_: None)
    if run.expired:
        raise InvalidScan(
            f"The scan was not read within {limits.time_s:.0f} s; reduce the mesh, or save it as"
            " binary STL or PLY."
        )
    if told is None:
        raise InvalidScan(
            "The scan could not be read within the memory set aside for it"
            f" ({limits.memory_bytes / 2**30:.0f} GB); reduce the mesh."
        )
    with np.load(view, allow_pickle=False) as stored:
        return ScanView(stored["positions"], stored["faces"], **told)


def read_here() -> None:
    """What the process does; see the module."""
    given, view, memory_bytes = ordered()
    limit_memory(int(memory_bytes))
    scan = Path(given)
    try:
        say(_draw(scan, Path(view)))
    except LimbwrightError as error:
        # The name that the person's file has is kept nowhere, and this one says nothing.
        told = error.message.replace(str(scan), scan.name).replace(scan.name, "The file")
        say_refused(error, told)
    except MemoryError:
        # No message: whoever waits knows the limit.
        return


def _draw(scan: Path, view: Path) -> Message:
    # Imported under the limit.
    import fast_simplification

    from limbwright.capture.read import read_scan
    from limbwright.capture.unit import find_unit
    from limbwright.core.atomic import refuse_writing
    from limbwright.core.mesh import Mesh
    from limbwright.core.topology import weld

    raw = read_scan(scan)
    found = find_unit(raw, None, None)
    mesh = weld(Mesh(raw.vertices * found.unit.to_mm, raw.faces))
    points, faces = mesh.vertices, mesh.faces
    if len(faces) > DRAWN_TRIANGLES:
        # A drawing need not be manifold, which `core.remeshing.decimate` would take care of.
        points, faces = fast_simplification.simplify(
            points.copy(), faces.copy(), target_count=DRAWN_TRIANGLES
        )
    turn = stood_up(points)
    points = points @ turn.T
    try:
        np.savez(view, positions=points.astype(np.float32), faces=faces.astype(np.uint32))
    except OSError as error:
        refuse_writing(view, error)
    return {
        "triangles": len(raw.faces),
        "unit": found.unit.value,
        "sureness": found.sureness,
        "text": found.text,
        "turn": turn.tolist(),
    }


def stood_up(points_mm: NDArray[np.float64]) -> NDArray[np.float64]:
    """Rotation (3, 3) that stands a limb on its narrower end, from its points alone."""
    away = points_mm - points_mm.mean(axis=0)
    _, axes = np.linalg.eigh(away.T @ away)
    up = axes[:, 2]
    height = away @ up
    low, high = np.quantile(height, [0.15, 0.85])
    breadth = np.linalg.norm(away - height[:, None] * up, axis=1)
    if breadth[height < low].mean() > breadth[height > high].mean():
        up = -up
    aside = np.cross(up, np.eye(3)[np.abs(up).argmin()])
    aside /= np.linalg.norm(aside)
    return np.stack([aside, np.cross(up, aside), up])


if __name__ == "__main__":
    read_here()
