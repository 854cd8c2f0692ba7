"""Capturing a limb in a process of its own, with limits on memory and time.

Run as `python -m limbwright.service.capturer`: told the case's folder, a document (JSON) and the
memory that it may use, it captures the limb into the case's cache. See `apart`.
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np

from limbwright.case.document import CaseDocument
from limbwright.core.errors import InvalidScan, LimbwrightError
from limbwright.core.telling import Tell
from limbwright.service.apart import (
    Cancelled,
    Limits,
    Run,
    limit_memory,
    limited,
    ordered,
    say_doing,
    say_last,
    say_refused,
)

MODULE = "limbwright.service.capturer"
LIMITS = Limits(memory_bytes=6 * 2**30, time_s=600.0)
"""A scan of 2 million triangles takes a small part of both."""


def capture_apart(
    folder: Path, document: CaseDocument, run: Run, tell: Tell, limits: Limits = LIMITS
) -> None:
    """Capture a case's limb into the case's cache, in a process of its own.

    Parameters
    ----------
    folder : Path
        Case folder.
    document : CaseDocument
    run : Run
        To stop it by.
    tell : callable
        Called with what is done and the share done.
    limits : Limits

    Raises
    ------
    Cancelled
    LimbwrightError
        With the stage's own sentence, or that memory or time did not suffice.
    """
    found = limited(MODULE, [str(folder), document.model_dump_json()], run, limits, tell)
    if run.cancelled:
        raise Cancelled("Capturing was stopped; nothing was changed.")
    if run.expired:
        raise InvalidScan(
            f"The limb was not captured within {limits.time_s / 60:.0f} min; reduce the scan in the"
            " scanner's own software."
        )
    if found is None:
        raise InvalidScan(
            "The limb could not be captured within the memory set aside for it"
            f" ({limits.memory_bytes / 2**30:.0f} GB); reduce the scan in the scanner's own"
            " software."
        )


def capture_here() -> None:
    """What the process does; see the module."""
    # Loaded while it waits to be told.
    from limbwright.case.capturing import capture_into_cache
    from limbwright.case.folder import parse_document

    _load_loops()
    folder, sent, memory_bytes = ordered()
    limit_memory(int(memory_bytes))
    try:
        key = capture_into_cache(Path(folder), parse_document(json.loads(sent)), say_doing)
    except MemoryError:
        # No message: whoever waits knows the limit.
        return
    except LimbwrightError as error:
        say_refused(error)
        return
    say_last({"captured": key})


def _load_loops() -> None:
    """Have compiled loops run once, on next to nothing: what they need takes long to load."""
    from limbwright.core.mesh import Mesh
    from limbwright.core.remeshing import remesh_uniform
    from limbwright.core.topology import weld

    corners = np.vstack([np.zeros(3), np.eye(3)])
    faces = np.array([[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]], dtype=np.int32)
    remesh_uniform(weld(Mesh(corners, faces)), 1.0)


if __name__ == "__main__":
    capture_here()
