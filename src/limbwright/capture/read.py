"""Reading scans and bones from mesh files."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from limbwright.capture.result import RawScan
from limbwright.capture.tables import FARTHEST_COORDINATE
from limbwright.core.errors import CannotRead, InvalidScan
from limbwright.core.mesh import Mesh
from limbwright.core.reading import plain_file_size, refuse_reading
from limbwright.core.units import LengthUnit

MAX_TRIANGLES = 2_000_000
_Reader = Callable[[Path, int], RawScan]


@dataclass(frozen=True, slots=True, eq=False)
class RawBones:
    """Tibia and fibula as read, in the scan's frame, mm."""

    tibia: Mesh
    fibula: Mesh


def read_scan(path: Path, *, max_triangles: int = MAX_TRIANGLES) -> RawScan:
    """A scanned surface as its file holds it: nothing welded, repaired or scaled.

    STL and PLY (text and binary), OBJ, 3MF and GLB are told apart by the file's ending.

    Parameters
    ----------
    path : Path
    max_triangles : int
        More than this is refused.

    Raises
    ------
    CannotRead
        When the file is missing, may not be read, or its ending is not known.
    InvalidScan
        When the file is empty, cut off, of another kind, too large, has no triangles, no
        extent, or a coordinate that is not a number.
    """
    path = Path(path)
    reader = _reader(path)
    _check_file(path)
    try:
        scan = reader(path, max_triangles)
    except OSError as error:
        refuse_reading(path, error)
    except MemoryError as error:
        raise InvalidScan(
            f"{path.name}: there is not enough memory to read this file; reduce the mesh.",
            where=str(path),
        ) from error
    _check_content(path, scan)
    return scan


def read_bone(path: Path, unit: LengthUnit) -> Mesh:
    """A bone from segmentation, in the scan's frame, mm.

    Parameters
    ----------
    path : Path
    unit : LengthUnit
        Unit of the file; a unit that the file itself declares goes before it.

    Raises
    ------
    CannotRead, InvalidScan
        As `read_scan`.
    """
    scan = read_scan(path)
    factor = (scan.declared_unit or unit).to_mm
    return Mesh(scan.vertices * factor, scan.faces)


def read_bones(tibia: Path, fibula: Path, unit: LengthUnit) -> RawBones:
    """Both bones, in the scan's frame, mm.

    Raises
    ------
    CannotRead, InvalidScan
        As `read_scan`.
    """
    return RawBones(read_bone(tibia, unit), read_bone(fibula, unit))


def _reader(path: Path) -> _Reader:
    """The reader of a kind of file; heavy libraries load only with their own kind."""
    kind = path.suffix.lower()
    if kind == ".stl":
        from limbwright.capture.formats.stl import read_stl

        return read_stl
    if kind == ".ply":
        from limbwright.capture.formats.ply import read_ply

        return read_ply
    if kind == ".3mf":
        from limbwright.capture.formats.threemf import read_3mf

        return read_3mf
    if kind in (".obj", ".glb"):
        from limbwright.capture.formats.general import read_glb, read_obj

        return read_obj if kind == ".obj" else read_glb
    raise CannotRead(
        f'{path.name}: the ending "{kind}" is not one of .stl, .ply, .obj, .3mf and .glb; export '
        "the scan as one of these.",
        where=str(path),
    )


def _check_file(path: Path) -> None:
    if plain_file_size(path) == 0:
        raise InvalidScan(f"{path.name}: the file is empty; export it again.", where=str(path))


def _check_content(path: Path, scan: RawScan) -> None:
    if len(scan.faces) == 0:
        raise InvalidScan(
            f"{path.name}: the file has no triangles; export the scan as a surface, not as points.",
            where=str(path),
        )
    finite = np.asarray(np.isfinite(scan.vertices).all(axis=1))
    if not finite.all():
        bad = int((~finite).sum())
        raise InvalidScan(
            f"{path.name}: {bad:,} of {len(finite):,} points have a coordinate that is not a "
            f"number (the first is point {int(np.argmin(finite)):,}); export the scan again.",
            where=str(path),
            fields={"count": bad},
        )
    beyond = int((np.abs(scan.vertices) > FARTHEST_COORDINATE.value).any(axis=1).sum())
    if beyond:
        raise InvalidScan(
            f"{path.name}: {beyond:,} of {len(finite):,} points have a coordinate beyond "
            f"{FARTHEST_COORDINATE.value:g}, which no scan has in any unit; export it again.",
            where=str(path),
            fields={"count": beyond},
        )
    # Not by vertices: a file may list points that no triangle uses.
    used = scan.vertices[scan.faces.ravel()] if len(scan.faces) < 100 else scan.vertices
    if np.count_nonzero(np.ptp(used, axis=0) > 0) < 3:
        raise InvalidScan(
            f"{path.name}: all triangles lie in one plane, line or point; a scan of a limb has a "
            "length, a width and a depth: scan again.",
            where=str(path),
        )
