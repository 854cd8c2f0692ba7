"""Reading an uploaded scan in a process of its own, with limits on memory and time.

Run as `python -m limbwright.service.scan_reader SCAN VIEW`: reads the scan, writes what the page
draws of it (npz) and prints one line of JSON, a refusal included.
"""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from limbwright.core.errors import BadInput, InvalidScan

MEMORY_BYTES = 6 * 2**30
TIME_S = 180.0
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


def read_apart(scan: Path, view: Path, *, time_s: float = TIME_S) -> ScanView:
    """Read a scan in a process of its own.

    Parameters
    ----------
    scan : Path
        As uploaded; its ending tells the format.
    view : Path
        Where the drawing's arrays are kept.
    time_s : float
        Longer is refused.

    Raises
    ------
    BadInput
        With the reader's own sentence, or that time or memory did not suffice.
    """
    try:
        run = subprocess.run(
            [sys.executable, "-m", MODULE, str(scan), str(view)],
            capture_output=True,
            text=True,
            timeout=time_s,
            check=False,
        )
    except subprocess.TimeoutExpired as error:
        raise InvalidScan(
            f"The scan was not read within {time_s:.0f} s; reduce the mesh, or save it as binary"
            " STL or PLY."
        ) from error
    try:
        told: dict[str, Any] = json.loads(run.stdout.splitlines()[-1])
    except (ValueError, IndexError) as error:
        raise InvalidScan(
            "The scan could not be read within the memory set aside for it; reduce the mesh."
        ) from error
    if "refused" in told:
        raise BadInput(str(told["refused"]))
    with np.load(view, allow_pickle=False) as stored:
        return ScanView(stored["positions"], stored["faces"], **told)


def told_of(scan: Path, view: Path) -> dict[str, Any]:
    """What the process says of a scan, after writing what is drawn of it; see the module."""
    _limit_memory()
    # Imported under the limit.
    from limbwright.core.errors import LimbwrightError

    try:
        return _draw(scan, view)
    except LimbwrightError as error:
        # The page knows the scan by the name that the person gave, not by where it was put.
        return {"refused": error.message.replace(f"{scan.parent}/", "")}
    except MemoryError:
        return {"refused": "There is not enough memory to read this scan; reduce it."}


def _draw(scan: Path, view: Path) -> dict[str, Any]:
    import fast_simplification

    from limbwright.capture.read import read_scan
    from limbwright.capture.unit import find_unit
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
    np.savez(view, positions=points.astype(np.float32), faces=faces.astype(np.uint32))
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


def _limit_memory() -> None:
    """Where the system can limit a process's memory; elsewhere time alone is limited."""
    try:
        import resource
    except ImportError:
        return
    _, hard = resource.getrlimit(resource.RLIMIT_AS)
    limit = MEMORY_BYTES if hard == resource.RLIM_INFINITY else min(hard, MEMORY_BYTES)
    resource.setrlimit(resource.RLIMIT_AS, (limit, hard))


if __name__ == "__main__":
    sys.stdout.write(json.dumps(told_of(Path(sys.argv[1]), Path(sys.argv[2]))) + "\n")
