"""Being told what a long computation does."""

from __future__ import annotations

from collections.abc import Callable

Tell = Callable[[str, float], None]
"""Called with what is done and the share done, 0 to 1; what it raises ends the computation."""


def silent(doing: str, share: float) -> None:
    """Nobody wants to be told."""
