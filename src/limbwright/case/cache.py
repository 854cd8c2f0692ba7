"""The case's cache on disk: the captured limb, which is costly, kept beside the case.

A cache never decides: one that is missing, damaged or of another version is computed anew.
"""

from __future__ import annotations

import contextlib
import io
import json
from pathlib import Path
from typing import Any, TypeVar

import numpy as np

from limbwright.case.codec import Arrays, decode, encode
from limbwright.core.atomic import write_atomically
from limbwright.core.errors import LimbwrightError

T = TypeVar("T")
CACHE_FOLDER = ".cache"
_FORM = "form"


def load_cached(folder: Path, name: str, key: str, kind: type[T]) -> T | None:
    """A stored result, or None when there is none that fits.

    Parameters
    ----------
    folder : Path
        Case folder.
    name : str
        Stage.
    key : str
        Hash of the inputs that it was computed from.
    kind : type
        Result dataclass.
    """
    path = folder / CACHE_FOLDER / f"{name}.npz"
    # Whatever is wrong with it: a file from elsewhere may be damaged in any way.
    with contextlib.suppress(Exception):
        with path.open("rb") as file, np.load(file, allow_pickle=False) as stored:
            form = json.loads(str(stored[_FORM]))
            if form["key"] != key:
                return None
            arrays: Arrays = {item: stored[item] for item in stored.files if item != _FORM}
        if not all(np.isfinite(array).all() for array in arrays.values()):
            return None
        for array in arrays.values():
            array.setflags(write=False)
        result: T = decode(kind, form["result"], arrays)
        return result
    return None


def store_cached(folder: Path, name: str, key: str, result: Any) -> None:
    """Keep a result; a folder that takes no cache is no error."""
    arrays: Arrays = {}
    form = json.dumps({"key": key, "result": encode(result, arrays)})
    buffer = io.BytesIO()
    np.savez(buffer, **{_FORM: np.array(form)}, **arrays)  # type: ignore[arg-type]
    with contextlib.suppress(LimbwrightError, OSError):
        (folder / CACHE_FOLDER).mkdir(exist_ok=True)
        write_atomically(folder / CACHE_FOLDER / f"{name}.npz", buffer.getvalue())
