"""What the memo keeps and what it drops."""

from __future__ import annotations

import pytest

from limbwright.case.memo import Memo


def kept(memo: Memo, *keys: str) -> set[str]:
    """Which of the keys need no computing; looking changes what was used last."""
    found = set()
    for key in keys:
        computed: list[str] = []
        memo.get(key, lambda key=key, computed=computed: computed.append(key))
        if not computed:
            found.add(key)
    return found


def test_a_result_is_computed_once_and_the_least_recently_used_goes_first() -> None:
    memo = Memo(capacity=2)
    assert memo.get("a", lambda: 1) == 1
    assert memo.get("b", lambda: 2) == 2
    assert memo.get("a", lambda: 3) == 1
    memo.get("c", lambda: 4)
    assert kept(memo, "a", "c") == {"a", "c"}
    assert kept(memo, "b") == set()


def test_what_is_looked_up_again_and_again_is_not_dropped_for_what_is_not() -> None:
    memo = Memo(capacity=3)
    memo.get("limb", lambda: 1, large=True)
    for number in range(10):
        memo.get(f"edit {number}", lambda: 0)
        assert memo.held("limb") == 1
    assert memo.held("edit 0") is None


def test_of_large_results_few_are_kept_beside_many_small_ones() -> None:
    memo = Memo(capacity=10, large=2)
    for name in ("small a", "small b"):
        memo.get(name, lambda: 0)
    for name in ("large a", "large b", "large c"):
        memo.get(name, lambda: 0, large=True)
    assert kept(memo, "small a", "small b", "large b", "large c") == {
        "small a",
        "small b",
        "large b",
        "large c",
    }
    assert kept(memo, "large a") == set()


def test_an_error_is_not_remembered() -> None:
    memo = Memo()
    with pytest.raises(ZeroDivisionError):
        memo.get("a", lambda: 1 // 0)
    assert memo.get("a", lambda: 2) == 2
