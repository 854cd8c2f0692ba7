"""Reading files that somebody names: only plain files, and text of a bounded size."""

from __future__ import annotations

import stat
from pathlib import Path
from typing import NoReturn

from limbwright.core.errors import CannotRead


def plain_file_size(path: Path) -> int:
    """Bytes of a file that can be read to its end; pipes and devices have none.

    Raises
    ------
    CannotRead
        When the file is missing, is no plain file or may not be read.
    """
    try:
        state = path.stat()
        if stat.S_ISDIR(state.st_mode):
            _refuse(path, "is a folder; name the file in it")
        if not stat.S_ISREG(state.st_mode):
            _refuse(path, "is a pipe or a device; name a file")
        with path.open("rb"):
            pass
    except OSError as error:
        refuse_reading(path, error)
    except ValueError as error:
        _refuse(path, f"is no possible file name ({error}); correct it")
    return state.st_size


def read_bounded(path: Path, largest_bytes: int) -> bytes:
    """Content of a file that should be small.

    Raises
    ------
    CannotRead
        As `plain_file_size`, and when the file is larger.
    """
    size = plain_file_size(path)
    if size > largest_bytes:
        _refuse(
            path,
            f"is {size / 2**20:.0f} MB large, which is no file of this kind; name another one",
        )
    try:
        return path.read_bytes()
    except OSError as error:
        refuse_reading(path, error)


def refuse_reading(path: Path, error: OSError) -> NoReturn:
    """Say in one sentence why a file could not be read.

    Raises
    ------
    CannotRead
        Always.
    """
    if isinstance(error, FileNotFoundError | NotADirectoryError):
        _refuse(path, "does not exist; check its name and folder")
    reason = error.strerror or str(error)
    _refuse(path, f"cannot be read ({reason}); check its name and permissions")


def _refuse(path: Path, problem: str) -> NoReturn:
    raise CannotRead(f"{path} {problem}.", where=str(path))
