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
    large : int
        How many of them may be large.
    """

    def __init__(self, capacity: int = 64, large: int = 2) -> None:
        self._capacity, self._most_large = capacity, large
        self._kept: OrderedDict[str, Any] = OrderedDict()
        self._large: set[str] = set()

    def held(self, key: str) -> Any | None:
        """The result under a key, or None when it is not remembered; to ask for it is to use it."""
        if key in self._kept:
            self._kept.move_to_end(key)
        return self._kept.get(key)

    def get(self, key: str, compute: Callable[[], T], *, large: bool = False) -> T:
        """The result under a key, computed on first use; errors are not remembered.

        A `large` result, of a hundred megabytes and more, is dropped for the second one after it.
        """
        if key in self._kept:
            self._kept.move_to_end(key)
            found: T = self._kept[key]
            return found
        result = compute()
        self._kept[key] = result
        if large:
            self._large.add(key)
        while len(self._kept) > self._capacity:
            self._drop(next(iter(self._kept)))
        while len(self._large) > self._most_large:
            self._drop(next(one for one in self._kept if one in self._large))
        return result

    def _drop(self, key: str) -> None:
        del self._kept[key]
        self._large.discard(key)
