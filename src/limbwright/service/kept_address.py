"""The address of the last start, kept for this user alone, so that an open page finds it again."""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import tempfile
import time
from dataclasses import asdict, dataclass
from pathlib import Path

LIFE_S = 12 * 3600.0
"""A clinic's day: a start after that gives out a new key."""


@dataclass(frozen=True, slots=True)
class Address:
    """Where a workshop was open, and the key that it gave out.

    Parameters
    ----------
    port : int
    token : str
    made_at : float
        When the key was made, s since 1970; a later start with the same key does not renew it.
    """

    port: int
    token: str
    made_at: float


def address_file(folder: Path) -> Path | None:
    """Where the address for a folder is kept: in the user's folder for state; None without one.

    Neither its name nor what it holds tells which folder that is.
    """
    base = os.environ.get("LOCALAPPDATA" if os.name == "nt" else "XDG_STATE_HOME")
    try:
        state = Path(base) if base else Path.home() / ".local" / "state"
    except RuntimeError:
        return None
    name = hashlib.blake2s(str(folder.resolve()).encode(), digest_size=12).hexdigest()
    return state / "limbwright" / "addresses" / f"{name}.json"


def last_address(path: Path) -> Address | None:
    """The address kept there; None when it is too old, damaged or not this user's alone."""
    with contextlib.suppress(OSError, ValueError, TypeError, AttributeError):
        state = path.lstat()
        if os.name == "posix" and (state.st_mode & 0o077 or state.st_uid != os.getuid()):
            return None
        found = Address(**json.loads(path.read_bytes()))
        fits = 0 < int(found.port) < 2**16 and len(found.token) >= 32
        if fits and 0.0 <= time.time() - found.made_at < LIFE_S:
            return found
    return None


def keep_address(path: Path, address: Address) -> None:
    """Keep an address for this user alone; a folder that does not take it is no error."""
    with contextlib.suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        # Made so that nobody else may read it from the first byte on.
        handle, partial = tempfile.mkstemp(dir=path.parent)
        try:
            with os.fdopen(handle, "w") as stream:
                json.dump(asdict(address), stream)
            os.replace(partial, path)
        except OSError:
            Path(partial).unlink(missing_ok=True)
