"""Results remembered by the hash of what they were computed from."""

from __future__ import annotations

import hashlib
import json
from collections import OrderedDict
from collections.abc import Callable
from typing import Any, TypeVar

from limbwright import __version__

T = TypeVar("T")


def key_of(name: str, inputs: Any) -> str:
    """SHA-256 over engine version, name and inputs (plain JSON values)."""
    text = json.dumps([__version__, name, inputs], sort_keys=True, allow_nan=False)
    return hashlib.sha256(text.encode()).hexdigest()


class Memo:
    """A small store of results by key; the least recently used ones are dropped.

    Parameters
    ----------
    capacity : int
        How many results are kept.
    """

    def __init__(self, capacity: int = 64) -> None:
        self._capacity = capacity
        self._kept: OrderedDict[str, Any] = OrderedDict()

    def get(self, key: str, compute: Callable[[], T]) -> T:
        """The result under a key, computed on first use; errors are not remembered."""
        if key in self._kept:
            self._kept.move_to_end(key)
            found: T = self._kept[key]
            return found
        result = compute()
        self._kept[key] = result
        while len(self._kept) > self._capacity:
            self._kept.popitem(last=False)
        return result
