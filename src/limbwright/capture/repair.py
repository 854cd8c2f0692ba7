"""From a raw scan to one clean surface of one limb, with every repair told."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from limbwright.capture.cap import without_flat_cap
from limbwright.capture.patching import Loop, close_holes, rim_length_mm
from limbwright.capture.result import Repair
from limbwright.capture.tables import (
    HOLE_RIM_MM,
    KEPT_WAVE_MM,
    NOTABLE_HOLE_RIM_MM,
    QUIET_NOISE_MM,
    SPECK_AREA_SHARE,
)
from limbwright.core.edges import edge_table
from limbwright.core.errors import InvalidScan
from limbwright.core.mesh import Mesh, face_areas, vertex_normals
from limbwright.core.smoothing import smooth
from limbwright.core.topology import (
    boundary_loops,
    compact,
    components,
    oriented,
    split_fans,
    weld,
    without_crowded_edges,
)

_LOOSE_WELD_MM = 0.01
_TORN_SHARE = 0.05
"""With more than this share of its edges open after welding, points only nearly coincide."""
_MOST_BODIES = 5
"""With more bodies of comparable size the scan itself is in pieces."""
_PINHOLE_RIM_MM = 10.0
"""Holes up to this rim are closed before noise is taken off, so that they do not hold it."""
_AVERAGINGS_PER_WAVE = 6.0


def repair(mesh: Mesh) -> tuple[Mesh, tuple[Repair, ...]]:
    """Clean a raw scan: one body, whole, wound outward, open at the top, without noise.

    Parameters
    ----------
    mesh : Mesh
        As scanned, mm, any orientation.

    Returns
    -------
    mesh : Mesh
        Manifold, wound outward; open at the top unless the scan is closed all round.
    repairs : tuple of Repair
        What was done, in order; nothing is done silently.

    Raises
    ------
    InvalidScan
        When there are two bodies, more than one large opening, or nothing is left.
    """
    done: list[Repair] = []
    out = _welded(mesh, done)
    out = _manifold(out, done)
    out = _wound(out, done)
    out = _one_body(out, done)
    out, pinholes = _pinholes_closed(out)
    out, noise = _without_noise(out)
    out, holes = _holes_closed(out)
    # only now: parted earlier, holes that touch in a point would seem one
    out, _ = split_fans(out)
    _report_holes(pinholes + holes, done)
    out, cap = without_flat_cap(out)
    done += [noise] if noise else []
    done += [cap] if cap else []
    return out, tuple(done)


def _welded(mesh: Mesh, done: list[Repair]) -> Mesh:
    used = compact(mesh)
    unused = len(mesh.vertices) - len(used.vertices)
    if unused:
        done.append(Repair("unused", unused, f"Dropped {unused:,} points without a triangle."))
    out = weld(used)
    _need_faces(out)
    table = edge_table(out.faces, len(out.vertices))
    if table.boundary_count > _TORN_SHARE * table.edge_count:
        out = weld(out, _LOOSE_WELD_MM)
        _need_faces(out)
    points, faces = len(used.vertices) - len(out.vertices), len(mesh.faces) - len(out.faces)
    if points:
        done.append(Repair("weld", points, f"Joined {points:,} repeated points."))
    if faces:
        text = f"Dropped {faces:,} triangles without area or repeated."
        done.append(Repair("degenerate", faces, text))
    return out


def _manifold(mesh: Mesh, done: list[Repair]) -> Mesh:
    out, removed = without_crowded_edges(mesh)
    _need_faces(out)
    if removed:
        text = f"Removed {removed:,} triangles at edges that three or more of them shared."
        done.append(Repair("non-manifold", removed, text))
    return out


def _wound(mesh: Mesh, done: list[Repair]) -> Mesh:
    out, turned = oriented(mesh)
    if turned:
        text = f"Turned {turned:,} triangles that faced inward."
        done.append(Repair("winding", turned, text))
    return out


def _one_body(mesh: Mesh, done: list[Repair]) -> Mesh:
    labels = components(mesh.faces, edge_table(mesh.faces, len(mesh.vertices)))
    areas = np.bincount(labels, face_areas(mesh))
    large = np.sort(areas[areas > SPECK_AREA_SHARE.value * areas.max()])[::-1]
    if len(large) > 1:
        _refuse_bodies(large / 100)
    specks = len(areas) - 1
    if specks:
        share = 100.0 * (1.0 - areas.max() / areas.sum())
        text = f"Dropped {specks:,} loose specks ({share:.2g} % of the surface)."
        done.append(Repair("specks", specks, text))
    return compact(Mesh(mesh.vertices, mesh.faces[labels == int(areas.argmax())]))


def _refuse_bodies(areas_cm2: NDArray[np.float64]) -> None:
    count, sizes = len(areas_cm2), " and ".join(f"{area:.0f} cm²" for area in areas_cm2[:3])
    if count > _MOST_BODIES:
        text = (
            f"The scan is in {count:,} pieces, the largest of {areas_cm2[0]:.1f} cm²: its file is"
            " damaged or cut off, or much of the skin was not seen; export or scan again."
        )
    else:
        text = (
            f"The scan holds {count} separate bodies of comparable size ({sizes} of surface);"
            " leave only the one limb in the file."
        )
    fields = {"bodies": count, "areas_cm2": areas_cm2[:10].tolist()}
    raise InvalidScan(text, fields=fields)


def _pinholes_closed(mesh: Mesh) -> tuple[Mesh, list[float]]:
    loops = boundary_loops(mesh)
    small = [loop for loop in loops if rim_length_mm(mesh, loop) <= _PINHOLE_RIM_MM]
    return close_holes(mesh, small), [rim_length_mm(mesh, loop) for loop in small]


def _holes_closed(mesh: Mesh) -> tuple[Mesh, list[float]]:
    """Everything closed but the open top."""
    loops = boundary_loops(mesh)
    lengths = [rim_length_mm(mesh, loop) for loop in loops]
    large = [i for i, length in enumerate(lengths) if length > HOLE_RIM_MM.value]
    if len(large) > 1:
        _refuse_openings(mesh, [loops[i] for i in large])
    holes = [i for i in range(len(loops)) if i not in large]
    return close_holes(mesh, [loops[i] for i in holes]), [lengths[i] for i in holes]


def _refuse_openings(mesh: Mesh, loops: list[Loop]) -> None:
    rims = sorted((rim_length_mm(mesh, loop) for loop in loops), reverse=True)
    sizes = ", ".join(f"{rim:.0f} mm around" for rim in rims[1:])
    raise InvalidScan(
        f"Besides its open top the scan has {len(rims) - 1} large opening"
        f"{'s' if len(rims) > 2 else ''} ({sizes}; up to {HOLE_RIM_MM.value:g} mm is closed): "
        "scan the missing skin, the limb's end included.",
        fields={"rims_mm": rims},
    )


def _report_holes(rims_mm: list[float], done: list[Repair]) -> None:
    if rims_mm:
        count, largest = len(rims_mm), max(rims_mm)
        holes = "holes" if count > 1 else "hole"
        text = f"Closed {count:,} {holes} (the largest {largest:.0f} mm around)."
        done.append(Repair("holes", count, text))
    large = [rim for rim in rims_mm if rim > NOTABLE_HOLE_RIM_MM.value]
    if large:
        sizes = ", ".join(f"{rim:.0f} mm" for rim in large)
        text = f"Where large holes were closed ({sizes} around) the shape is a guess."
        done.append(Repair("large-hole", len(large), text))


def _without_noise(mesh: Mesh) -> tuple[Mesh, Repair | None]:
    """The surface without waves shorter than a limb's own form, if it has any to speak of."""
    edge_mm = _edge_mm(mesh)
    waves = edge_mm / KEPT_WAVE_MM.value
    pass_band = float(np.clip((np.pi * waves) ** 2, 0.005, 1.9))
    degree = int(np.clip(round(_AVERAGINGS_PER_WAVE / waves), 10, 120))
    calm = smooth(mesh, degree, pass_band=pass_band)
    along = np.einsum("ij,ij->i", mesh.vertices - calm.vertices, vertex_normals(calm))
    noise_mm = 1.4826 * float(np.median(np.abs(along)))
    if noise_mm <= QUIET_NOISE_MM.value:
        return mesh, None
    text = (
        f"Took scanner noise of {noise_mm:.2f} mm (standard deviation) off; form longer than "
        f"{KEPT_WAVE_MM.value:g} mm is kept."
    )
    return calm, Repair("noise", len(mesh.vertices), text)


def _edge_mm(mesh: Mesh) -> float:
    ends: NDArray[np.float64] = mesh.vertices[mesh.faces[:: max(1, len(mesh.faces) // 20_000)]]
    return float(np.median(np.linalg.norm(ends[:, 0] - ends[:, 1], axis=1)))


def _need_faces(mesh: Mesh) -> None:
    if len(mesh.faces) == 0:
        raise InvalidScan("Nothing is left of the scan once its faulty triangles are removed.")
