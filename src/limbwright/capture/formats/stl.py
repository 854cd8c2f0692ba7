"""STL, binary and text. The format has no unit."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from limbwright.capture.formats.common import raw_scan, refuse, refuse_size, refuse_truncated
from limbwright.capture.result import RawScan
from limbwright.core.stl import RECORD

_HEADER_BYTES = 84
_CHUNK_BYTES = 32 << 20
_NUMBERS_PER_FACET = 12
_TEXT = bytes(range(32, 127)) + b"\t\r\n\f\v"
_END_OF_FACET = re.compile(rb"endfacet", re.IGNORECASE)
_NAME_LINE = re.compile(rb"^[ \t]*(?:end)?solid\b[^\r\n]*", re.IGNORECASE | re.MULTILINE)
_KEYWORDS = (b"endfacet", b"endloop", b"facet", b"normal", b"outer", b"loop", b"vertex")


def read_stl(path: Path, max_triangles: int) -> RawScan:
    """Triangles of an STL file, three vertices each, nothing welded.

    Parameters
    ----------
    path : Path
    max_triangles : int

    Raises
    ------
    InvalidScan
        When the file is neither kind of STL, is cut off or is too large.
    """
    size = path.stat().st_size
    with path.open("rb") as stream:
        head = stream.read(4096)
    count = int.from_bytes(head[80:_HEADER_BYTES], "little")
    # The size decides: many exporters begin binary files with the word "solid".
    if size == _HEADER_BYTES + count * RECORD.itemsize and len(head) >= _HEADER_BYTES:
        return _read_binary(path, count, max_triangles)
    if not head.translate(None, _TEXT):
        return _read_text(path, head, max_triangles)
    if size < _HEADER_BYTES:
        refuse_truncated(path, f"{size} bytes, fewer than an STL header")
    whole = (size - _HEADER_BYTES) // RECORD.itemsize
    if count > whole:
        refuse_size(path, whole, max_triangles)
        refuse_truncated(path, f"{whole:,} of {count:,} triangles")
    return _read_binary(path, count, max_triangles)


def _read_binary(path: Path, count: int, max_triangles: int) -> RawScan:
    refuse_size(path, count, max_triangles)
    records = np.fromfile(path, dtype=RECORD, count=count, offset=_HEADER_BYTES)
    return _from_corners(path, records["corners"].reshape(-1, 3).astype(np.float64))


def _from_corners(path: Path, vertices: NDArray[np.float64]) -> RawScan:
    return raw_scan(path, vertices, np.arange(len(vertices), dtype=np.int64).reshape(-1, 3))


def _read_text(path: Path, head: bytes, max_triangles: int) -> RawScan:
    if not head.lstrip().lower().startswith(b"solid"):
        refuse(path, "this is text but not an STL file", "choose the file that the scanner wrote")
    parts, triangles = [], 0
    for chunk in _facet_chunks(path):
        corners = _corners_of_text(path, chunk, triangles)
        triangles += len(corners) // 3
        refuse_size(path, triangles, max_triangles)
        parts.append(corners)
    if not parts:
        refuse(path, "the file has no triangle", "export the scan again")
    return _from_corners(path, np.concatenate(parts))


def _facet_chunks(path: Path) -> Iterator[bytes]:
    """Pieces of the file that end behind a facet; what trails the last facet must be its end."""
    rest = b""
    with path.open("rb") as stream:
        while block := stream.read(_CHUNK_BYTES):
            block = rest + block
            ends = [match.end() for match in _END_OF_FACET.finditer(block, len(block) - 4096)]
            cut = ends[-1] if ends else 0
            if cut:
                yield block[:cut]
            rest = block[cut:]
    ends = [match.end() for match in _END_OF_FACET.finditer(rest)]
    if ends:
        yield rest[: ends[-1]]
        rest = rest[ends[-1] :]
    if _NAME_LINE.sub(b"", rest).strip():
        refuse_truncated(path, "the last triangle is not complete")
    if not re.search(rb"endsolid", rest, re.IGNORECASE):
        refuse_truncated(path, "its closing line is missing")


def _corners_of_text(path: Path, chunk: bytes, before: int) -> NDArray[np.float64]:
    """Corners (3k, 3) of the facets in a piece of text."""
    text = chunk.lower()
    if b"solid" in text:
        text = _NAME_LINE.sub(b"", text)
    facets = text.count(b"endfacet")
    for word in _KEYWORDS:
        text = text.replace(word, b" ")
    try:
        numbers = np.fromstring(text, dtype=np.float64, sep=" ")
    except ValueError:
        numbers = np.empty(0)
    if len(numbers) != facets * _NUMBERS_PER_FACET:
        refuse(
            path,
            f"between triangles {before + 1:,} and {before + facets:,} a number is missing or "
            "something else stands in its place",
            "export the scan again",
        )
    return numbers.reshape(-1, 4, 3)[:, 1:].reshape(-1, 3)
