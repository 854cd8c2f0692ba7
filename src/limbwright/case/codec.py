"""Frozen results to plain JSON plus named arrays, and back by their types.

Used for the case's cache (no pickle: a case folder from elsewhere must not run code) and, with
arrays summarised, for what the command line and the service print.
"""

from __future__ import annotations

import dataclasses
import types
from collections.abc import Mapping
from enum import Enum
from typing import Any, Union, get_args, get_origin, get_type_hints

import numpy as np
from numpy.typing import NDArray

from limbwright.core.mesh import Mesh
from limbwright.core.sources import Source

Arrays = dict[str, NDArray[Any]]
SMALL_ARRAY = 12
"""Arrays up to this many entries are printed, larger ones are named with their shape."""


def encode(value: Any, arrays: Arrays, path: str = "r") -> Any:
    """JSON-ready form of a result; arrays are put aside under their path.

    Parameters
    ----------
    value : dataclass, mapping, tuple, enum, array or plain value
    arrays : dict, filled in place with the arrays met
    path : str
    """
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {
            field.name: encode(getattr(value, field.name), arrays, f"{path}.{field.name}")
            for field in dataclasses.fields(value)
        }
    if isinstance(value, np.ndarray):
        arrays[path] = value
        return path
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, Mapping):
        return {str(key): encode(item, arrays, f"{path}.{key}") for key, item in value.items()}
    if isinstance(value, tuple | list):
        return [encode(item, arrays, f"{path}.{number}") for number, item in enumerate(value)]
    return value.item() if isinstance(value, np.generic) else value


def decode(kind: Any, value: Any, arrays: Arrays) -> Any:
    """A result of the given type from its JSON-ready form and arrays.

    Raises
    ------
    KeyError, TypeError, ValueError
        When the form does not belong to the type.
    """
    origin = get_origin(kind)
    if origin in (Union, types.UnionType):
        if value is None:
            return None
        (inner,) = [arg for arg in get_args(kind) if arg is not type(None)]
        return decode(inner, value, arrays)
    if origin is np.ndarray or kind is np.ndarray:
        return arrays[value]
    if origin is tuple:
        return _decode_tuple(get_args(kind), value, arrays)
    if origin is not None and issubclass(origin, Mapping):
        inner = get_args(kind)[1]
        return {key: decode(inner, item, arrays) for key, item in value.items()}
    if dataclasses.is_dataclass(kind) and isinstance(kind, type):
        hints = get_type_hints(kind)
        return kind(
            **{
                field.name: decode(hints[field.name], value[field.name], arrays)
                for field in dataclasses.fields(kind)
            }
        )
    if isinstance(kind, type) and issubclass(kind, Enum):
        return kind(value)
    return value


def _decode_tuple(args: tuple[Any, ...], value: Any, arrays: Arrays) -> tuple[Any, ...]:
    if len(args) == 2 and args[1] is Ellipsis:
        return tuple(decode(args[0], item, arrays) for item in value)
    return tuple(decode(arg, item, arrays) for arg, item in zip(args, value, strict=True))


def plain(value: Any) -> Any:
    """JSON for people and programs: sources as text, small arrays as lists, meshes as counts."""
    if isinstance(value, Source):
        return str(value)
    if isinstance(value, Mesh):
        return {"vertices": len(value.vertices), "faces": len(value.faces)}
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {
            field.name: plain(getattr(value, field.name)) for field in dataclasses.fields(value)
        }
    if isinstance(value, np.ndarray):
        if value.size <= SMALL_ARRAY:
            return _rounded(value.tolist())
        return {"shape": list(value.shape)}
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, tuple | list):
        return [plain(item) for item in value]
    return _rounded(value.item() if isinstance(value, np.generic) else value)


def _rounded(value: Any) -> Any:
    """Floats to six decimals: far below what any measurement carries."""
    if isinstance(value, float):
        return round(value, 6) + 0.0
    if isinstance(value, list):
        return [_rounded(item) for item in value]
    return value
