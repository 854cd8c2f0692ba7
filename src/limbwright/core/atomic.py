"""Writing files so that either the whole new file is there or the old one is untouched."""

from __future__ import annotations

import contextlib
import errno
import os
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import NoReturn

from limbwright.core.errors import CannotWrite


def write_atomically(path: Path, content: bytes, *, lasting: bool = True) -> None:
    """Write a file beside its place and move it there in one step.

    Parameters
    ----------
    path : Path
        Existing folder, new or existing file.
    content : bytes
    lasting : bool
        Wait until the disk holds it; what can be derived again need not.

    Raises
    ------
    CannotWrite
        When the folder or disk does not take it; what was there is unchanged.
    """
    with replacing(path, lasting=lasting) as partial:
        partial.write_bytes(content)


@contextlib.contextmanager
def replacing(path: Path, *, lasting: bool = True) -> Iterator[Path]:
    """A temporary path beside `path`; moved into place when the block ends without error.

    Raises
    ------
    CannotWrite
        When the folder or disk does not take it; what was there is unchanged.
    """
    partial: Path | None = None
    try:
        handle, name = tempfile.mkstemp(
            prefix=f".{path.stem}-", suffix=path.suffix, dir=path.parent
        )
        os.close(handle)
        partial = Path(name)
        yield partial
        if lasting:
            _flush(partial)
        partial.chmod(0o644)
        os.replace(partial, path)
    except OSError as error:
        refuse_writing(path, error)
    finally:
        if partial is not None:
            with contextlib.suppress(OSError):
                partial.unlink(missing_ok=True)


def refuse_writing(path: Path, error: OSError) -> NoReturn:
    """Say in one sentence why a path could not be written.

    Raises
    ------
    CannotWrite
        Always.
    """
    reasons = {
        errno.ENOSPC: "the disk is full; free some space and try again",
        errno.EDQUOT: "the disk quota is used up; free some space and try again",
        errno.EFBIG: "the file may not grow that large here; choose another folder",
        errno.EACCES: "you may not write there; choose another folder",
        errno.EPERM: "you may not write there; choose another folder",
        errno.EROFS: "the disk is read-only; choose another folder",
        errno.ENOENT: "the folder does not exist; create it first",
        errno.EEXIST: "a file stands where a folder is needed; choose another folder",
        errno.EISDIR: "a folder stands where a file is needed; remove it or choose another folder",
        errno.ENAMETOOLONG: "the name is too long; choose a shorter one",
        errno.ENOTDIR: "a file stands where a folder is needed; choose another folder",
    }
    reason = reasons.get(error.errno or 0, error.strerror or str(error))
    raise CannotWrite(f"{path} was not written: {reason}.", where=str(path)) from error


def _flush(path: Path) -> None:
    with path.open("rb+") as stream:
        os.fsync(stream.fileno())
