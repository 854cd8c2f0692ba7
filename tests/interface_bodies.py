"""Limbs and sockets for the interface tests: bodies of revolution, and real limbs with bones."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import fast_simplification
import igl
import numpy as np
import trimesh
from numpy.typing import NDArray

from limbwright.align.result import LoadCase, Wrench
from limbwright.assess.plan import Liner, LinerMaterial
from limbwright.capture.plan import ScannedOver
from limbwright.capture.result import (
    Bones,
    Landmark,
    Limb,
    Measures,
    UnitFound,
)
from limbwright.core.frame import LimbFrame, Side, mesh_to_limb
from limbwright.core.mesh import Mesh, Vector, Vertices, merged, vertex_areas
from limbwright.core.sources import Basis
from limbwright.core.units import LengthUnit
from limbwright.prove.interface.spring_bed import SPRING_BED, Prepared
from limbwright.prove.plan import ProvePlan, TissuePlan
from limbwright.shape.plan import LOAD_AREAS, AreaName
from limbwright.shape.result import PlacedArea, SocketShape, TrimLine

NO_LINER = Liner(material=LinerMaterial.NONE, thickness_mm=0.0, friction=0.5)
NOTHING = np.zeros(3)
DEFAULT_TISSUE = TissuePlan()


def prepared_bed(
    limb: Limb, liner: Liner = NO_LINER, tissue: TissuePlan = DEFAULT_TISSUE
) -> Prepared:
    """A limb scanned over its skin, prepared for the spring bed."""
    return SPRING_BED.prepare(limb, liner, ScannedOver.SKIN, ProvePlan(tissue=tissue))


def revolved(
    radius_mm: Callable[[NDArray[np.float64]], NDArray[np.float64]],
    heights_mm: NDArray[np.float64],
    around: int,
) -> Mesh:
    """A surface of revolution about u, from the lowest height up; open at both ends."""
    angle = np.linspace(0, 2 * np.pi, around, endpoint=False)
    radius = radius_mm(heights_mm)
    rings = len(heights_mm)
    points = np.stack(
        [
            radius[:, None] * np.cos(angle),
            radius[:, None] * np.sin(angle),
            np.broadcast_to(heights_mm[:, None], (rings, around)),
        ],
        axis=-1,
    ).reshape(-1, 3)
    return Mesh(points, _strips(rings, around))


def capped(mesh: Mesh, around: int) -> Mesh:
    """The same with its lowest ring closed by a point below it."""
    tip = np.append(mesh.vertices[:around, :2].mean(axis=0), mesh.vertices[0, 2])
    ring = np.arange(around)
    fan = np.stack([np.full(around, len(mesh.vertices)), np.roll(ring, -1), ring], axis=1)
    return Mesh(np.vstack([mesh.vertices, tip]), np.concatenate([mesh.faces, fan.astype(np.int32)]))


def _strips(rings: int, around: int) -> NDArray[np.int32]:
    row = np.arange(around)
    low = np.concatenate([row + around * k for k in range(rings - 1)])
    side = np.concatenate([np.roll(row, -1) + around * k for k in range(rings - 1)])
    lower = np.stack([low, side, side + around], axis=1)
    upper = np.stack([low, side + around, low + around], axis=1)
    return np.concatenate([lower, upper]).astype(np.int32)


def limb_of(
    surface: Mesh, cover_mm: float | NDArray[np.float64], basis: Basis = Basis.GIVEN
) -> Limb:
    """A limb with a given tissue cover; bones stand in by a speck."""
    speck = Mesh(np.eye(3), np.array([[0, 1, 2]], np.int32))
    return Limb(
        side=Side.RIGHT,
        frame=LimbFrame(NOTHING, np.eye(3), Side.RIGHT),
        skin=surface,
        surface=surface,
        landmarks={},
        bones=Bones(speck, speck, basis, 0.0),
        cover_mm=np.broadcast_to(cover_mm, (len(surface.vertices),)).astype(np.float64),
        unit=UnitFound(LengthUnit.MM, Basis.GIVEN, 1.0, "given"),
        repairs=(),
        measures=Measures((), 0.0, 0.0),
        findings=(),
    )


def socket_of(
    limb: Limb,
    press_mm: float | NDArray[np.float64],
    *,
    areas: tuple[PlacedArea, ...] = (),
    below_trim: NDArray[np.bool_] | None = None,
    liner_mm: float = 0.0,
) -> SocketShape:
    """A socket that presses in by so much everywhere, and by its areas' depths on top."""
    count = len(limb.surface.vertices)
    displacement = liner_mm - np.broadcast_to(press_mm, (count,))
    displacement = displacement + sum((a.depth_mm * a.weight for a in areas), np.zeros(count))
    return SocketShape(
        surface=limb.surface,
        displacement_mm=displacement,
        liner_mm=np.full(count, liner_mm),
        flare_mm=np.zeros(count),
        areas=areas,
        trim=TrimLine(np.zeros((0, 3)), {}),
        below_trim=np.ones(count, bool) if below_trim is None else below_trim,
        model=limb.surface,
        limb_volume_ml=0.0,
        lined_volume_ml=0.0,
        model_volume_ml=0.0,
        girths=(),
        findings=(),
    )


def area_at(
    limb: Limb, name: AreaName, centre_mm: Vector, depth_mm: float, radius_mm: float
) -> PlacedArea:
    """An area that falls off smoothly, half depth at the radius."""
    distance = np.linalg.norm(limb.surface.vertices - centre_mm, axis=1)
    weight = 0.5 * (1 + np.cos(np.pi * np.clip(distance / (2 * radius_mm), 0, 1)))
    inside = vertex_areas(limb.surface)[weight >= 0.5].sum() / 100
    return PlacedArea(name, name in LOAD_AREAS, depth_mm, centre_mm, weight, float(inside), False)


def load(
    name: str,
    force_n: tuple[float, float, float],
    moment_n_mm: tuple[float, float, float] = (0, 0, 0),
) -> LoadCase:
    """A load case from the force and moment that the socket exerts on the limb."""
    wrench = Wrench(np.array(force_n, float), np.array(moment_n_mm, float))
    return LoadCase(name, wrench, 0.0, Basis.GIVEN, "for a test")


def with_pull(case: LoadCase, pull_n: float) -> LoadCase:
    """The same case with part of it carried by the coupling."""
    return replace(case, coupling_pull_n=pull_n)


def real_limb(folder: Path, vertex_count: int = 8000) -> Limb:
    """A limb from an open data set with its true bones, cut 40 mm above the datum."""
    told = json.loads((folder / "landmarks.json").read_text(encoding="utf-8"))
    side = Side(told["side"])
    points = {name: np.array(point, float) for name, point in told["points"].items()}
    axes = np.array([told["axes"][name] for name in ("lateral", "anterior", "proximal")])
    frame = LimbFrame(_on_axis(folder, points["mid_patellar_tendon"], axes), axes, side)
    skin = mesh_to_limb(frame, _loaded(folder / "skin.ply"))
    kept = (skin.vertices[skin.faces][:, :, 2] < 40.0).all(axis=1)
    surface = _reduced(Mesh(skin.vertices, skin.faces[kept]), vertex_count)
    tibia, fibula = (
        mesh_to_limb(frame, _loaded(folder / f"{name}.ply")) for name in ("tibia", "fibula")
    )
    bones = merged((tibia, fibula))
    found = igl.signed_distance(surface.vertices, bones.vertices, bones.faces.astype(np.int64))
    local = (points[name] for name in points)
    landmarks = {
        name: Landmark(name, (point - frame.origin_mm) @ axes.T, Basis.GIVEN, 0.0)
        for name, point in zip(points, local, strict=True)
    }
    whole = limb_of(surface, np.abs(found[0]).ravel())
    return replace(
        whole,
        side=side,
        frame=frame,
        landmarks=landmarks,
        bones=Bones(tibia, fibula, Basis.GIVEN, 0.0),
    )


def _on_axis(folder: Path, tendon: Vector, axes: NDArray[np.float64]) -> Vector:
    """Middle of the limb's section at the mid-patellar-tendon level."""
    skin = _loaded(folder / "skin.ply").vertices
    near = skin[np.abs((skin - tendon) @ axes[2]) < 5.0]
    middle = near.mean(axis=0)
    return np.asarray(middle - ((middle - tendon) @ axes[2]) * axes[2])


def _loaded(path: Path) -> Mesh:
    mesh = trimesh.load(path, process=False)
    return Mesh(mesh.vertices, mesh.faces)


def _reduced(mesh: Mesh, vertex_count: int) -> Mesh:
    used = np.unique(mesh.faces)
    place = np.full(len(mesh.vertices), -1)
    place[used] = np.arange(len(used))
    points, faces = fast_simplification.simplify(
        mesh.vertices[used].astype(np.float32),
        place[mesh.faces].astype(np.int32),
        target_count=2 * vertex_count,
    )
    return Mesh(points.astype(np.float64), faces.astype(np.int32))


def turned(points: Vertices, rotation: NDArray[np.float64], shift: Vector) -> Vertices:
    """Points after a rigid motion."""
    return points @ rotation.T + shift
