"""The parts of a case: the socket shell with its coupling seat, and the positive model."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from limbwright.core.errors import DesignRefused
from limbwright.core.findings import Finding, Severity
from limbwright.core.frame import Side, mesh_to_patient
from limbwright.core.mesh import Mesh, face_normals, volume_mm3
from limbwright.core.proximity import DistanceTree
from limbwright.core.solids import cut, largest_body, skin, solid, united
from limbwright.core.sources import Basis, Confidence, Origin, Source
from limbwright.core.topology import boundary_loops, is_closed_manifold, weld
from limbwright.make.marking import side_mark
from limbwright.make.plan import MakePlan
from limbwright.make.positive import positive_model
from limbwright.make.result import Made, Part
from limbwright.make.shell import shell_surface

WALL_TOLERANCE_MM = 0.3
WALL_SOURCE = Source(
    Origin.PROJECT,
    "largest deviation of the designed wall from the wall asked for",
    Confidence.HIGH,
)
MARK_SOURCE = Source(
    Origin.PROJECT, "the letter of the side is cut into the part that is made", Confidence.HIGH
)
LOOSE_SOURCE = Source(
    Origin.PROJECT, "only the largest piece of the cut solid is the socket", Confidence.HIGH
)
MARK_BELOW_BRIM_MM = 35.0
"""The side's letter stands this far below the lowest point of the brim."""
FILE_GRIDS_MM = (1e-3, 5e-4, 2e-4)
"""Grids that corners are put on for files, the first that keeps the solid closed: far finer than
any making, and coarser than single precision at a leg's size."""
DRAWN_MM = 0.1
"""Largest change of a surface where a part is drawn: less than a line's width."""
INWARD_MM = 1e-3
"""A ray through the wall starts this far inside the face it leaves, so as not to meet it."""
STAGE = "make"


def make_parts(
    surface: Mesh,
    model: Mesh,
    additions: Sequence[Mesh],
    cutters: Sequence[Mesh],
    side: Side,
    wall_mm: float,
    plan: MakePlan,
) -> Made:
    """Shell and positive model of a rectified limb.

    Parameters
    ----------
    surface : Mesh
        Rectified surface, uncut, open at the top, limb frame, mm.
    model : Mesh
        Rectified surface cut at the trim line, brim flared, limb frame, mm.
    additions, cutters : closed meshes
        Coupling seat to unite with the wall, and what is cut out of both, limb frame.
    side : Side
    wall_mm : float
    plan : MakePlan

    Raises
    ------
    DesignRefused
        When a part is not a closed solid.
    """
    inside = positive_model(surface)
    wall = shell_surface(model, wall_mm, plan.field_spacing_mm)
    seat = [
        skin(cut(solid(item, "coupling seat"), [inside], "positive model")) for item in additions
    ]
    body = cut(
        united(solid(wall, "socket wall"), seat, "coupling seat"), cutters, "coupling cut-out"
    )
    body, left_out = largest_body(body)
    shell = mesh_to_patient(skin(body), side)
    if plan.mark_side:
        mark = side_mark(shell, side, _mark_height(model))
        shell = skin(united(solid(shell, "socket shell"), [mark], "side mark"))
    measured = measured_wall(wall, model, wall_mm)
    shell_part = _part("socket shell", side, shell)
    return Made(
        shell=shell_part,
        positive=_part("positive model", side, mesh_to_patient(inside, side)),
        wall_median_mm=float(np.median(measured)),
        wall_p02_mm=float(np.quantile(measured, 0.02)),
        wall_p98_mm=float(np.quantile(measured, 0.98)),
        material_volume_ml=shell_part.volume_ml,
        findings=_findings(measured, wall_mm, left_out, side, plan.mark_side),
        wall_drawn_mm=thickness(shell_part.drawn),
    )


def thickness(mesh: Mesh) -> NDArray[np.float64]:
    """How thick a closed solid is at each vertex, (n,) mm: the least of the faces around it.

    From the middle of each face straight through the solid to its far side.
    """
    normals = face_normals(mesh)
    middles = mesh.vertices[mesh.faces].mean(axis=1)
    through = DistanceTree(mesh).ray_hits(middles - INWARD_MM * normals, -normals)[0] + INWARD_MM
    out = np.full(len(mesh.vertices), np.inf)
    np.minimum.at(out, mesh.faces.ravel(), np.repeat(through, 3))
    return out


def measured_wall(wall: Mesh, model: Mesh, wall_mm: float) -> NDArray[np.float64]:
    """Distance of the wall's outer face from the model away from the brim, (k,) mm."""
    distance = DistanceTree(model).closest(wall.vertices)[0]
    brim = np.concatenate([model.vertices[loop] for loop in boundary_loops(model)])
    low = wall.vertices[:, 2] < brim[:, 2].min() - wall_mm
    return np.asarray(distance[low & (distance > 0.5 * wall_mm)], dtype=np.float64)


def as_written(mesh: Mesh) -> Mesh:
    """The mesh as files hold it: corners on a fine grid, those that fall together welded.

    STL keeps single precision and 3MF a few decimals; on the grid both hold the same corners, so
    that a reader who joins equal corners gets the same closed solid from either.

    Raises
    ------
    DesignRefused
        When it is no longer a closed solid.
    """
    for grid_mm in FILE_GRIDS_MM:
        rounded = weld(Mesh(np.round(mesh.vertices / grid_mm) * grid_mm, mesh.faces))
        if is_closed_manifold(rounded):
            return rounded
    raise DesignRefused("The part would not be watertight in a file; change the wall a little.")


def _part(name: str, side: Side, mesh: Mesh) -> Part:
    written = as_written(mesh)
    drawn = skin(solid(written, name), DRAWN_MM)
    return Part(name, side, written, volume_mm3(written) / 1000.0, drawn)


def _mark_height(model: Mesh) -> float:
    brim = np.concatenate([model.vertices[loop] for loop in boundary_loops(model)])
    return float(brim[:, 2].min()) - MARK_BELOW_BRIM_MM


def _findings(
    measured: NDArray[np.float64], wall_mm: float, left_out: int, side: Side, marked: bool
) -> tuple[Finding, ...]:
    off = float(np.max(np.abs(np.quantile(measured, [0.02, 0.98]) - wall_mm)))
    even = off <= WALL_TOLERANCE_MM
    findings = [
        Finding(
            STAGE,
            "wall-thickness",
            Severity.OK if even else Severity.WARNING,
            f"The wall of {wall_mm:g} mm is met within {off:.2f} mm away from brim and seat"
            if even
            else f"The wall differs from {wall_mm:g} mm by up to {off:.2f} mm; narrow hollows fill"
            " up or thin out there",
            value=off,
            limit=WALL_TOLERANCE_MM,
            unit="mm",
            basis=Basis.ESTIMATED,
            source=WALL_SOURCE,
            remedy="" if even else "gentler areas, or a thinner wall",
            entry="" if even else "prove.wall_mm",
        ),
        Finding(
            STAGE,
            "side-marked" if marked else "side-not-marked",
            Severity.OK if marked else Severity.WARNING,
            f"The part is for the {side.value} side"
            + (" and bears its letter on the lateral wall" if marked else " but is not marked"),
            where="socket shell",
            basis=Basis.GIVEN,
            source=MARK_SOURCE,
        ),
    ]
    if left_out:
        findings.append(
            Finding(
                STAGE,
                "loose-pieces",
                Severity.WARNING,
                f"{left_out} loose pieces that the coupling's cut-outs left over were dropped;"
                " look at the seat before making the part",
                where="coupling seat",
                value=float(left_out),
                basis=Basis.ESTIMATED,
                source=LOOSE_SOURCE,
            )
        )
    return tuple(findings)
