"""PLY, text and binary of either byte order. The format has no unit."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from limbwright.capture.formats.common import (
    fans,
    raw_scan,
    refuse,
    refuse_size,
    refuse_truncated,
)
from limbwright.capture.result import RawScan

_TYPES = {
    "char": "i1", "int8": "i1", "uchar": "u1", "uint8": "u1",
    "short": "i2", "int16": "i2", "ushort": "u2", "uint16": "u2",
    "int": "i4", "int32": "i4", "uint": "u4", "uint32": "u4",
    "float": "f4", "float32": "f4", "double": "f8", "float64": "f8",
}  # fmt: skip
_BYTE_ORDER = {"ascii": "", "binary_little_endian": "<", "binary_big_endian": ">"}
_CORNER_LISTS = ("vertex_indices", "vertex_index")
_HEADER_END = b"end_header"

_Array = NDArray[Any]
_Column = _Array | tuple[_Array, _Array]
"""Values of a property row by row; for a list its lengths, and all its values in a row."""


@dataclass(frozen=True, slots=True)
class _Property:
    name: str
    dtype: str
    length_dtype: str | None = None
    """Type of the length in front of a list; None for a single value."""


@dataclass(frozen=True, slots=True)
class _Element:
    name: str
    count: int
    properties: tuple[_Property, ...]


def read_ply(path: Path, max_triangles: int) -> RawScan:
    """Vertices and faces of a PLY file; polygons become fans of triangles.

    Parameters
    ----------
    path : Path
    max_triangles : int

    Raises
    ------
    InvalidScan
        When the file is not PLY, is cut off, has no faces or is too large.
    """
    content = path.read_bytes()
    order, elements, place = _header(path, content)
    for element in elements:
        if element.name == "face":
            refuse_size(path, element.count, max_triangles)
    if order == "":
        content, elements, place = _as_binary(path, content[place:], elements)
    columns: dict[str, _Column] = {}
    for element in elements:
        rows, place = _rows(path, element, order, content, place)
        columns |= {f"{element.name}.{name}": column for name, column in rows.items()}
    faces = _triangles(path, columns)
    refuse_size(path, len(faces), max_triangles)
    return raw_scan(path, _coordinates(path, columns), faces)


def _header(path: Path, content: bytes) -> tuple[str, list[_Element], int]:
    """Byte order ("" for text), elements in the file's order, and where the rows begin."""
    if content[:3] != b"ply":
        refuse(path, "this is not a PLY file", "choose the file that the scanner wrote")
    end = content.find(_HEADER_END)
    start = content.find(b"\n", end) + 1
    if end < 0 or start == 0:
        refuse_truncated(path, "its header has no end")
    order = None
    elements: list[_Element] = []
    for line in content[:end].decode("latin-1").splitlines():
        words = line.split() or [""]
        try:
            if words[0] == "format":
                order = _BYTE_ORDER[words[1]]
            elif words[0] == "element":
                elements.append(_Element(words[1], int(words[2]), ()))
            elif words[0] == "property":
                added = (*elements[-1].properties, _property(words[1:]))
                elements[-1] = replace(elements[-1], properties=added)
        except (KeyError, IndexError, ValueError):
            refuse(path, f'its header has an unreadable line ("{line[:60]}")', "export it again")
    if order is None or any(element.count < 0 for element in elements):
        refuse(path, "its header does not say how it is written", "export it again")
    return order, elements, start


def _property(words: list[str]) -> _Property:
    if words[0] == "list":
        return _Property(words[3], _TYPES[words[2]], _TYPES[words[1]])
    return _Property(words[1], _TYPES[words[0]])


def _as_binary(
    path: Path, text: bytes, elements: list[_Element]
) -> tuple[bytes, list[_Element], int]:
    """Text rows as the same rows in binary with every number a double."""
    try:
        numbers = np.fromstring(text, dtype=np.float64, sep=" ")
    except ValueError:
        refuse(
            path,
            "it is cut off, or something else stands where a number belongs",
            "export the scan again",
        )
    wide = [
        replace(
            element,
            properties=tuple(
                _Property(item.name, "f8", item.length_dtype and "f8")
                for item in element.properties
            ),
        )
        for element in elements
    ]
    return numbers.tobytes(), wide, 0


def _rows(
    path: Path, element: _Element, order: str, content: bytes, place: int
) -> tuple[dict[str, _Column], int]:
    """Columns of an element, and where the next one begins."""
    if element.count == 0 or not element.properties:
        return {}, place
    # before any row is looked at: a damaged count must not set how long this takes
    if element.count * _least_row_bytes(element) > len(content) - place:
        refuse_truncated(path, f"fewer than {element.count:,} {element.name} rows")
    try:
        dtype = _row_dtype(element, order, content, place)
        end = place + element.count * dtype.itemsize
        if end <= len(content):
            table = np.frombuffer(content, dtype, element.count, place)
            columns = _equal_rows(element, table)
            if columns is not None:
                return columns, end
        return _ragged_rows(element, order, content, place)
    except (ValueError, OverflowError):
        refuse_truncated(path, f"fewer than {element.count:,} {element.name} rows")


def _least_row_bytes(element: _Element) -> int:
    """Bytes of a row whose lists are empty."""
    return sum(np.dtype(item.length_dtype or item.dtype).itemsize for item in element.properties)


def _row_dtype(element: _Element, order: str, content: bytes, place: int) -> np.dtype[Any]:
    """Row type if the lists of every row are as long as those of the first."""
    fields: list[Any] = []
    for item in element.properties:
        if item.length_dtype is None:
            fields.append((item.name, order + item.dtype))
            continue
        offset = place + np.dtype(fields).itemsize
        length = int(np.frombuffer(content, order + item.length_dtype, 1, offset)[0])
        fields.append((f"{item.name} length", order + item.length_dtype))
        fields.append((item.name, order + item.dtype, (length,)))
    return np.dtype(fields)


def _equal_rows(element: _Element, table: _Array) -> dict[str, _Column] | None:
    """Columns of rows of one length; None where the lists differ in length after all."""
    columns: dict[str, _Column] = {}
    for item in element.properties:
        values = table[item.name]
        if item.length_dtype is None:
            columns[item.name] = values
            continue
        lengths = table[f"{item.name} length"]
        if (lengths != values.shape[1]).any():
            return None
        columns[item.name] = lengths.astype(np.int64), values.reshape(-1)
    return columns


def _ragged_rows(
    element: _Element, order: str, content: bytes, place: int
) -> tuple[dict[str, _Column], int]:
    """Columns of rows whose lists differ in length, walked row by row.

    Raises
    ------
    ValueError
        When the content ends first.
    """
    starts: dict[str, list[int]] = {item.name: [] for item in element.properties}
    lengths: dict[str, list[int]] = {item.name: [] for item in element.properties}
    steps = [
        (
            item.name,
            np.dtype(order + item.dtype).itemsize,
            None if item.length_dtype is None else np.dtype(order + item.length_dtype),
        )
        for item in element.properties
    ]
    for _ in range(element.count):
        for name, size, length_dtype in steps:
            length = 1
            if length_dtype is not None:
                length = int(np.frombuffer(content, length_dtype, 1, place)[0])
                place += length_dtype.itemsize
            starts[name].append(place)
            lengths[name].append(length)
            place += length * size
    columns: dict[str, _Column] = {}
    for item in element.properties:
        counts = np.array(lengths[item.name])
        values = _gather(content, np.array(starts[item.name]), counts, np.dtype(order + item.dtype))
        columns[item.name] = values if item.length_dtype is None else (counts, values)
    return columns, place


def _gather(content: bytes, starts: _Array, counts: _Array, dtype: np.dtype[Any]) -> _Array:
    """The numbers that stand in runs of a length each at the given byte places."""
    if len(starts) and int((starts + counts * dtype.itemsize).max()) > len(content):
        raise ValueError("the content ends first")
    inside = np.arange(int(counts.sum())) - np.repeat(np.cumsum(counts) - counts, counts)
    first = np.repeat(starts, counts) + inside * dtype.itemsize
    octets = np.frombuffer(content, np.uint8)[first[:, None] + np.arange(dtype.itemsize)]
    return np.ascontiguousarray(octets).view(dtype)[:, 0]


def _coordinates(path: Path, columns: dict[str, _Column]) -> NDArray[np.float64]:
    axes = [columns.get(f"vertex.{axis}") for axis in "xyz"]
    if any(not isinstance(axis, np.ndarray) for axis in axes):
        refuse(path, "its points have no x, y and z", "export the scan again")
    return np.stack([np.asarray(axis, dtype=np.float64) for axis in axes], axis=1)


def _triangles(path: Path, columns: dict[str, _Column]) -> NDArray[np.int64]:
    for name in _CORNER_LISTS:
        column = columns.get(f"face.{name}")
        if isinstance(column, tuple):
            _check_whole(path, column[1])
            return fans(column[0].astype(np.int64), column[1].astype(np.int64))
    refuse(path, "the file has no triangles", "export the scan as a surface, not as points")


def _check_whole(path: Path, corners: _Array) -> None:
    """Refuse corners that are no whole numbers, which text may hold."""
    if corners.dtype.kind != "f":
        return
    whole = (corners == np.rint(corners)) & (np.abs(corners) < 2**31)
    if not whole.all():
        wrong = corners[~whole][0]
        refuse(path, f"a triangle names point {wrong:g}", "the file is damaged: export it again")
