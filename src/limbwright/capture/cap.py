"""The top of a scan: a flat lid that software put on it, and how it is taken off."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from limbwright.capture.result import Repair
from limbwright.core.clipping import clip_by_scalar
from limbwright.core.errors import InvalidScan
from limbwright.core.mesh import Mesh, Vector, face_areas, face_normals
from limbwright.core.slicing import slice_moments
from limbwright.core.topology import boundary_loops, compact, largest_component

_TRIALS = 400
_SAMPLE_FACES = 50_000
_FLAT_MM = 0.5
_FLAT_COSINE = 0.98
_DEPTH_MM = 4.0
_LEAST_FILL = 0.85
"""A lid fills the section just under it; the flattest side of a limb fills half of it."""
_LEAST_LID_MM2 = 1500.0
_DOME_REACH = 30
"""Levels, 1 mm apart, over which a section is compared with those below it."""
_DOME_SHARE = 0.9


def without_flat_cap(mesh: Mesh) -> tuple[Mesh, Repair | None]:
    """Open a scan that is closed all round by a flat lid.

    A lid is the largest plane patch, has the whole scan on one side and is as wide as the limb
    right under it. A scan that is open already stays as it is, and so does one whose end is
    rounded on both sides.

    Returns
    -------
    mesh : Mesh
    repair : Repair or None
        None when nothing was removed.
    """
    if boundary_loops(mesh):
        return mesh, None
    found = _flattest(mesh)
    if found is None:
        return mesh, None
    on_lid = _on_plane(mesh, *found, slack_mm=2 * _FLAT_MM)
    area = float(face_areas(mesh)[on_lid].sum())
    if not _is_lid(mesh, *found, area):
        return mesh, None
    opened = largest_component(compact(Mesh(mesh.vertices, mesh.faces[~on_lid])))
    text = f"Removed a flat lid of {area / 100:.0f} cm² that closed the top."
    return opened, Repair("cap", int(on_lid.sum()), text)


def _flattest(mesh: Mesh) -> tuple[Vector, Vector] | None:
    """Point and outward normal of the plane that carries the most of the surface."""
    areas = face_areas(mesh)
    total = np.cumsum(areas)
    if total[-1] <= 0:
        return None
    # picks at equal steps of area, so that each stands for as much of the surface
    count = min(_SAMPLE_FACES, 4 * len(areas))
    picks = np.searchsorted(total, (np.arange(count) + 0.5) / count * total[-1])
    normals = face_normals(mesh)[picks]
    middles = mesh.vertices[mesh.faces[picks]].mean(axis=1)
    best, found = 0, None
    for trial in range(0, count, max(1, count // _TRIALS)):
        normal, point = normals[trial], middles[trial]
        near = _coplanar(normals, middles, point, normal, _FLAT_MM)
        if int(near.sum()) > best:
            best, found = int(near.sum()), (middles[near].mean(axis=0), normals[near].mean(axis=0))
    if found is None:
        return None
    point, normal = found
    return point, normal / np.linalg.norm(normal)


def _coplanar(
    normals: NDArray[np.float64],
    middles: NDArray[np.float64],
    point: Vector,
    normal: Vector,
    slack_mm: float,
) -> NDArray[np.bool_]:
    flat = np.abs((middles - point) @ normal) <= slack_mm
    return np.asarray(flat & (normals @ normal >= _FLAT_COSINE))


def _on_plane(mesh: Mesh, point: Vector, normal: Vector, slack_mm: float) -> NDArray[np.bool_]:
    middles = mesh.vertices[mesh.faces].mean(axis=1)
    return _coplanar(face_normals(mesh), middles, point, normal, slack_mm)


def _is_lid(mesh: Mesh, point: Vector, normal: Vector, area_mm2: float) -> bool:
    if area_mm2 < _LEAST_LID_MM2:
        return False
    # the plane's own frame: its normal is up, the rest is any turn about it
    axes = np.concatenate([np.linalg.svd(normal[None])[2][1:], normal[None]])
    if np.linalg.det(axes) < 0:
        axes[0] = -axes[0]
    stood = Mesh((mesh.vertices - point) @ axes.T, mesh.faces)
    if float(stood.vertices[:, 2].max()) > 4 * _FLAT_MM:
        return False
    under = float(slice_moments(stood, np.array([-_DEPTH_MM])).area_mm2[0])
    return under > 0 and area_mm2 >= _LEAST_FILL * under


def without_round_top(skin: Mesh) -> tuple[Mesh, Repair]:
    """Open a scan that software closed at the top with a dome, by cutting the dome off.

    Parameters
    ----------
    skin : Mesh
        Closed, mm, limb frame.

    Raises
    ------
    InvalidScan
        When nothing would be left above the datum.
    """
    top = float(skin.vertices[:, 2].max())
    levels = np.arange(top - 1.0, 0.0, -1.0)
    if len(levels) == 0:
        raise InvalidScan(
            "The scan is closed and ends at the mid-patellar-tendon level; scan further up.",
            where="scan",
        )
    area = slice_moments(skin, levels).area_mm2
    # the dome ends where the section stops growing: it has nearly all that lies just below it
    reach = np.array([area[i : i + _DOME_REACH].max() for i in range(len(area))])
    full = np.flatnonzero(area >= _DOME_SHARE * reach)
    cut = float(levels[full[0]]) if len(full) else 0.0
    opened = clip_by_scalar(skin, skin.vertices[:, 2], cut).mesh
    text = (
        f"The scan was closed all round: its topmost {top - cut:.0f} mm, most likely a dome made "
        "by software, were cut off."
    )
    return largest_component(opened), Repair("round-top", 1, text)
