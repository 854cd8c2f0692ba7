"""Tables of docs/method/tissue_mesh.md, from the limbs of the tests: `python tests/mesh_tables.py`.

Places are pressed with a soft patch of 1 N and give way by so much (compliance, mm/N): a number
that converges with the mesh, unlike a peak, and is what pressure follows from.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from limbwright.capture.plan import ScannedOver
from limbwright.capture.result import Limb
from limbwright.core.mesh import Vector
from limbwright.core.proximity import DistanceTree
from limbwright.prove.interface.finite_elements import assembly, hexahedra, linear_solver
from limbwright.prove.interface.tissue_mesh.columns import FINENESS, Fineness
from limbwright.prove.interface.tissue_mesh.mesh import TissueMesh, mesh_as_fine_as, mesh_tissue
from limbwright.prove.plan import MeshLevel
from mesh_limbs import BARE, LINER, demo_with, open_limb, stretched

PATCH_MM = 10.0
"""Standard deviation of the pressing patch."""
YOUNG_MPA, POISSON = 0.2, 0.45
FORMS = {
    "short (half as long)": {"up": 0.5},
    "long (1.8 times)": {"up": 1.8},
    "conical": {"taper": 0.003},
    "bulbous": {"bulge": 0.3},
    "waisted": {"bulge": -0.25},
}
GRADINGS = (0.6, 0.8, 1.0, 1.25)
DATA = Path(__file__).resolve().parents[2] / "shared" / "data"


def limbs(data: Path) -> Iterator[tuple[str, Limb]]:
    """Name and limb: open test limbs where present, the demo's, and stretched ones."""
    for true, bones in ((True, "true bones"), (False, "estimated bones")):
        for name in ("limb_a", "limb_b"):
            if (data / "limbs" / name).is_dir():
                yield f"{name}, {bones}", open_limb(data, name, true_bones=true)
        yield f"demo, {bones}", demo_with(true)
    for form, how in FORMS.items():
        yield f"demo, {form}", stretched(demo_with(True), **how)


def quality_rows(data: Path) -> list[str]:
    """One row for each limb and level, with the liner outside the scan."""
    rows = [
        "| limb | level | elements | unknowns | smallest scaled Jacobian | 1st percentile |"
        " thinnest cover, mm | scan to mesh, mean and largest, mm |"
        " bone nodes to bone, mean and largest, mm | on the membrane | process time, s |",
        "|" + "---|" * 11,
    ]
    for name, limb in limbs(data):
        for level in MeshLevel:
            begin = time.process_time()
            quality = mesh_tissue(limb, LINER, ScannedOver.SKIN, level).quality
            spent = time.process_time() - begin
            rows.append(
                f"| {name} | {level.value} | {quality.elements} | {quality.unknowns}"
                f" | {quality.smallest_scaled_jacobian:.2f}"
                f" | {quality.percentile_1_scaled_jacobian:.2f}"
                f" | {quality.thinnest_cover_mm:.1f}"
                f" | {quality.skin_mean_mm:.2f}, {quality.skin_largest_mm:.1f}"
                f" | {quality.bone_mean_mm:.3f}, {quality.bone_largest_mm:.2f}"
                f" | {100 * quality.membrane_share:.0f} % | {spent:.1f} |"
            )
    return rows


def places(limb: Limb) -> dict[str, Vector]:
    """Where the limb is pressed: bony and soft places, on the skin."""
    tree, mark = DistanceTree(limb.surface), limb.landmarks
    tibia, fibula = limb.bones.tibia.vertices, limb.bones.fibula.vertices
    level = mark["crest_upper"].point_mm[2]
    slab = [bone[np.abs(bone[:, 2] - level) < 8.0].mean(axis=0) for bone in (tibia, fibula)]
    middle = 0.5 * (slab[0] + slab[1])
    fan = {
        "crest": mark["crest_upper"].point_mm - slab[0],
        "between the bones, in front": np.array([0.3, 1.0, 0.0]),
        "lateral of the fibula": np.array([1.0, 0.0, 0.0]),
        "calf": np.array([0.0, -1.0, 0.0]),
    }
    starts = {"crest": slab[0], "lateral of the fibula": slab[1]}
    out = {"fibular head": mark["fibular_head"].point_mm, "limb end": mark["limb_end"].point_mm}
    for name, way in fan.items():
        start = starts.get(name, middle)
        away = tree.ray_hits(start[None], way[None])[0][0]
        out[name] = start + away * way / np.linalg.norm(way)
    return out


def compliances(
    mesh: TissueMesh, at: dict[str, Vector], free: NDArray[np.bool_] | None = None
) -> NDArray[np.float64]:
    """How far each place gives way under 1 N spread over its patch, (places,) mm/N."""
    held = np.repeat((mesh.held if free is None else mesh.held & ~free)[:, None], 3, axis=1)
    held[mesh.top, 2] = True
    shear, bulk = hexahedra.moduli_mpa(YOUNG_MPA, POISSON)
    count = len(mesh.hexahedra)
    bricks = hexahedra.bricks_of(
        mesh.nodes_mm, mesh.hexahedra, np.full(count, shear), np.full(count, bulk)
    )
    pattern = assembly.pattern_of(mesh.hexahedra, held)
    tangent = hexahedra.respond(bricks, np.zeros_like(mesh.nodes_mm)).tangent
    factors = linear_solver.analyse(pattern.starts, pattern.columns)
    factors.factor(assembly.assemble(pattern, tangent))
    loads = np.stack([_patch(mesh, point) for point in at.values()], axis=-1)
    right = np.zeros((pattern.unknowns, len(at)))
    right[pattern.unknown[~held]] = loads[~held]
    moved = factors.solve(right)
    factors.close()
    return np.asarray(np.einsum("ij,ij->j", right, moved))


def _patch(mesh: TissueMesh, centre: Vector) -> NDArray[np.float64]:
    """Nodal forces (n, 3) of a bell of pressure whose forces add up to 1 N, 3 x 3 Gauss."""
    corner = mesh.nodes_mm[mesh.outer]
    nodal = np.zeros_like(mesh.nodes_mm)
    points, weights = np.polynomial.legendre.leggauss(3)
    gross = 0.0
    for a, wa in zip(0.5 + 0.5 * points, 0.5 * weights, strict=True):
        for b, wb in zip(0.5 + 0.5 * points, 0.5 * weights, strict=True):
            shape = np.array([(1 - a) * (1 - b), a * (1 - b), a * b, (1 - a) * b])
            ta = np.einsum("k,qkd->qd", [-(1 - b), 1 - b, b, -b], corner)
            tb = np.einsum("k,qkd->qd", [-(1 - a), -a, a, 1 - a], corner)
            here = np.einsum("k,qkd->qd", shape, corner) - centre
            bell = np.exp(-np.einsum("qd,qd->q", here, here) / (2 * PATCH_MM**2))
            force = -wa * wb * bell[:, None] * np.cross(ta, tb)
            gross += float(np.linalg.norm(force, axis=1).sum())
            for k in range(4):
                np.add.at(nodal, mesh.outer[:, k], shape[k] * force)
    return nodal / gross


def grading_rows(data: Path, name: str = "limb_a") -> list[str]:
    """Error of compliance against a much finer mesh, by grading and level, percent."""
    limb = open_limb(data, name, true_bones=True)
    at = places(limb)
    best = mesh_as_fine_as(
        Fineness(6500, 0, 0, 9, 1.0), limb, BARE, ScannedOver.SKIN, MeshLevel.FINE
    )
    reference = compliances(best, at)
    rows = [
        f"| {name}: level, layers of tissue, grading | " + " | ".join(at) + " | mean |",
        "|" + "---|" * (len(at) + 2),
        "| finest, 9, 1.0, mm/N | " + " | ".join(f"{c:.3f}" for c in reference) + " | |",
    ]
    trials = [(MeshLevel.COARSE, layers, grade) for layers in (2, 3) for grade in GRADINGS]
    trials += [(MeshLevel.MEDIUM, 4, grade) for grade in GRADINGS] + [(MeshLevel.FINE, 7, 0.8)]
    for level, layers, grade in trials:
        fineness = Fineness(FINENESS[level].skin_points, 0, 0, layers, grade)
        mesh = mesh_as_fine_as(fineness, limb, BARE, ScannedOver.SKIN, level)
        error = 100.0 * (compliances(mesh, at) / reference - 1.0)
        cells = " | ".join(f"{e:+.1f} %" for e in error)
        rows.append(
            f"| {level.value}, {layers}, {grade} | {cells} | {np.abs(error).mean():.1f} % |"
        )
    return rows


def membrane_rows(data: Path) -> list[str]:
    """What holding the membrane does: compliance with it let go over compliance with it held.

    Let go, the tissue ends there and meets nothing: the truth lies between the two.
    """
    rows: list[str] = []
    for name in ("limb_a", "limb_b"):
        limb = open_limb(data, name, true_bones=True)
        at = places(limb)
        if not rows:
            rows = ["| limb | " + " | ".join(at) + " |", "|" + "---|" * (len(at) + 1)]
        mesh = mesh_tissue(limb, BARE, ScannedOver.SKIN, MeshLevel.MEDIUM)
        bones = (limb.bones.tibia, limb.bones.fibula)
        off = np.min([DistanceTree(bone).signed(mesh.nodes_mm) for bone in bones], axis=0)
        plateau = limb.bones.tibia.vertices[:, 2].max() - 10.0
        membrane = mesh.held & (off > 0.5) & (mesh.nodes_mm[:, 2] < plateau)
        more = 100.0 * (compliances(mesh, at, free=membrane) / compliances(mesh, at) - 1.0)
        rows.append(f"| {name} | " + " | ".join(f"{m:+.1f} %" for m in more) + " |")
    return rows


def tables(data: Path = DATA) -> str:
    """All tables as Markdown."""
    parts = [quality_rows(data)]
    if (data / "limbs" / "limb_a").is_dir():
        parts += [grading_rows(data), membrane_rows(data)]
    return "\n\n".join("\n".join(rows) for rows in parts)


if __name__ == "__main__":
    sys.stdout.write(tables() + "\n")
