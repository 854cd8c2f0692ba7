"""How compiled loops are declared, and how arrays reach them.

Kernels that call each other stand in one file: the compiler's cache notices a change of the
file that holds a kernel, not of the files whose kernels it calls.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar, cast

import numba
import numpy as np
from numpy.typing import NDArray

_Kernel = TypeVar("_Kernel", bound=Callable[..., Any])


def kernel(function: _Kernel) -> _Kernel:
    """Compile a loop on its first call, keep it on disk, and let other threads run beside it."""
    return cast(_Kernel, numba.njit(cache=True, nogil=True)(function))


def summing_kernel(function: _Kernel) -> _Kernel:
    """The same for long sums in single precision, whose order the compiler may choose."""
    loose = {"reassoc", "contract"}
    return cast(_Kernel, numba.njit(cache=True, nogil=True, fastmath=loose)(function))


def reals(array: NDArray[Any]) -> NDArray[np.float64]:
    """Contiguous read-only float64: one array type, so that each kernel compiles once."""
    out = np.ascontiguousarray(array, dtype=np.float64).view()
    out.setflags(write=False)
    return out


def indices(array: NDArray[Any]) -> NDArray[np.int32]:
    """Contiguous read-only int32: one array type, so that each kernel compiles once."""
    out = np.ascontiguousarray(array, dtype=np.int32).view()
    out.setflags(write=False)
    return out
