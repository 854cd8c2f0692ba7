from __future__ import annotations

import threading

import numpy as np

from core_bodies import torus
from limbwright.core.kernels import indices, reals
from limbwright.core.proximity import DistanceTree


def test_arrays_reach_kernels_in_one_form_and_the_caller_keeps_his_own_as_it_was() -> None:
    for given in (np.arange(6.0)[::2], np.arange(3), np.zeros((2, 3), order="F")):
        out = reals(given)
        assert out.dtype == np.float64
        assert out.flags.c_contiguous
        assert not out.flags.writeable
        assert given.flags.writeable
        assert (out == given).all()
    assert indices(np.arange(3, dtype=np.int64)).dtype == np.int32


def test_two_threads_may_ask_one_tree_at_once() -> None:
    tree = DistanceTree(torus())
    clouds = [np.random.default_rng(seed).uniform(-60, 60, (20_000, 3)) for seed in range(2)]
    alone = [tree.signed(points) for points in clouds]
    together: dict[int, np.ndarray] = {}

    def ask(which: int) -> None:
        together[which] = tree.signed(clouds[which])

    threads = [threading.Thread(target=ask, args=(which,)) for which in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert all((together[which] == alone[which]).all() for which in range(2))
