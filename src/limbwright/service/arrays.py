"""The arrays that the page draws: typed, little-endian, in the patient's frame."""

from __future__ import annotations

import hashlib
import threading
from collections import OrderedDict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from limbwright.case.evaluate import Evaluation, State
from limbwright.core.frame import Side, mesh_to_patient, points_to_patient
from limbwright.core.mesh import Mesh, merged, vertex_normals
from limbwright.core.units import kpa_from_mpa
from limbwright.prove.materials import wall_thickness_mm
from limbwright.prove.result import CasePressure

OFF_THE_CHAIN = frozenset({"datum", "foot_top", "sole_centre"})
"""Points of the leg that the page does not join; the others run from the socket down to the toe."""


@dataclass(frozen=True, slots=True)
class SentArray:
    """One array as it is sent.

    Parameters
    ----------
    key : str
        Hash of the content: unchanged content keeps its key.
    dtype : str
        "float32", "uint32" or "uint8".
    shape : tuple of int
    content : bytes
    """

    key: str
    dtype: str
    shape: tuple[int, ...]
    content: bytes


def evaluation_arrays(evaluation: Evaluation) -> dict[str, SentArray]:
    """All arrays of an evaluation by name, for the stages that are ready."""
    side = evaluation.document.person.side
    ready = {
        name: out.result for name, out in evaluation.outcomes.items() if out.state is State.READY
    }
    arrays = {name: sent(array) for name, array in _named(ready, side)}
    if (shape := ready.get("shape")) is not None:
        wall_mm = wall_thickness_mm(evaluation.document.prove)
        outside = shape.model.vertices + wall_mm * vertex_normals(shape.model)
        arrays["outside.positions"] = sent(_points(outside, side))
    if (proof := ready.get("prove")) is not None:
        arrays |= pressure_arrays(proof.interface.cases)
    return arrays


def pressure_arrays(cases: Iterable[CasePressure]) -> dict[str, SentArray]:
    """Pressures by load case, kPa."""
    return _in_kpa("pressure", {case.load_case: case.pressure_mpa for case in cases})


def confirmed_arrays(pressure_mpa: Mapping[str, NDArray[np.float64]]) -> dict[str, SentArray]:
    """Pressures of a confirming run by load case, kPa, beside those of an evaluation."""
    return _in_kpa("confirmed", pressure_mpa)


def earlier_arrays(pressure_mpa: Mapping[str, NDArray[np.float64]]) -> dict[str, SentArray]:
    """Pressures of another revision by load case, kPa, beside those of an evaluation."""
    return _in_kpa("earlier", pressure_mpa)


def tried_arrays(pressure_mpa: Mapping[str, NDArray[np.float64]]) -> dict[str, SentArray]:
    """Pressures of a leg that is only tried by load case, kPa, beside those of an evaluation."""
    return _in_kpa("tried", pressure_mpa)


def _in_kpa(head: str, pressure_mpa: Mapping[str, NDArray[np.float64]]) -> dict[str, SentArray]:
    return {
        f"{head}.{name}": sent(_single(kpa_from_mpa(1.0) * values))
        for name, values in pressure_mpa.items()
    }


def _named(ready: Mapping[str, Any], side: Side) -> Iterator[tuple[str, NDArray[Any]]]:
    if (limb := ready.get("capture")) is not None:
        yield from _mesh("limb", limb.surface, side)
        yield from _mesh("tibia", limb.bones.tibia, side)
        yield from _mesh("fibula", limb.bones.fibula, side)
        yield "cover.mm", _single(limb.cover_mm)
    if (shape := ready.get("shape")) is not None:
        yield "rectified.positions", _points(shape.surface.vertices, side)
        yield "trim.positions", _points(shape.trim.points_mm, side)
        yield from _mesh("model", shape.model, side)
        yield "displacement", _single(shape.displacement_mm - shape.liner_mm)
        for area in shape.areas:
            yield f"area.{area.name.value}.weight", _single(area.weight)
    if (coupling := ready.get("couple")) is not None and coupling.additions:
        yield from _mesh("coupling", merged(coupling.additions), side)
    if (made := ready.get("make")) is not None:
        # Parts are in the patient's frame already.
        yield from _drawn("made", made.shell.drawn)
        yield "made.wall_mm", _single(made.wall_drawn_mm)
        yield from _drawn("positive", made.positive.drawn)
    if (alignment := ready.get("align")) is not None:
        places = alignment.points_mm.items()
        chain = np.array([point for name, point in places if name not in OFF_THE_CHAIN])
        yield "leg.positions", _points(chain, side)
    if (proof := ready.get("prove")) is not None and proof.strength_detail is not None:
        yield "strength.share", _single(proof.strength_detail.wall_share)


def _mesh(name: str, mesh: Mesh, side: Side) -> Iterator[tuple[str, NDArray[Any]]]:
    yield from _drawn(name, mesh_to_patient(mesh, side))


def _drawn(name: str, mesh: Mesh) -> Iterator[tuple[str, NDArray[Any]]]:
    yield f"{name}.positions", _single(mesh.vertices)
    yield f"{name}.faces", mesh.faces.astype(np.uint32)


def _points(points_mm: NDArray[np.float64], side: Side) -> NDArray[np.float32]:
    return _single(points_to_patient(points_mm, side))


def _single(values: NDArray[np.float64]) -> NDArray[np.float32]:
    return values.astype(np.float32)


def sent(array: NDArray[Any]) -> SentArray:
    """An array as it is sent, under the key of its content."""
    little = np.ascontiguousarray(array, dtype=array.dtype.newbyteorder("<"))
    content = little.tobytes()
    digest = hashlib.blake2b(content, digest_size=12)
    digest.update(repr((array.dtype.name, array.shape)).encode())
    return SentArray(digest.hexdigest(), array.dtype.name, array.shape, content)


class ArrayShelf:
    """Arrays lately offered, by key, from any thread; the oldest are dropped past a size.

    Parameters
    ----------
    limit_bytes : int
    """

    def __init__(self, limit_bytes: int = 256 * 2**20) -> None:
        self._limit = limit_bytes
        self._kept: OrderedDict[str, SentArray] = OrderedDict()
        self._size = 0
        self._lock = threading.Lock()

    def put(self, array: SentArray) -> None:
        """Offer an array."""
        with self._lock:
            if array.key not in self._kept:
                self._size += len(array.content)
            self._kept[array.key] = array
            self._kept.move_to_end(array.key)
            while self._size > self._limit and len(self._kept) > 1:
                _, dropped = self._kept.popitem(last=False)
                self._size -= len(dropped.content)

    def offer(self, arrays: Mapping[str, SentArray]) -> dict[str, dict[str, Any]]:
        """Offer arrays by name; tells where they are and how to read them."""
        for array in arrays.values():
            self.put(array)
        return {
            name: {"key": item.key, "dtype": item.dtype, "shape": list(item.shape)}
            for name, item in arrays.items()
        }

    def clear(self) -> None:
        """Offer nothing any more."""
        with self._lock:
            self._kept.clear()
            self._size = 0

    def get(self, key: str) -> SentArray | None:
        """An array by its key, or None when it is no longer offered."""
        return self._kept.get(key)
