"""Limbs for the tests of the shape stage: analytic bodies, and the open test limbs."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path

import numpy as np
import trimesh
from numpy.typing import NDArray

from limbwright.capture.result import Bones, Landmark, LevelMeasure, Limb, Measures, UnitFound
from limbwright.core.frame import LimbFrame, Side, mesh_to_limb, to_limb
from limbwright.core.mesh import Mesh
from limbwright.core.remeshing import remesh_uniform
from limbwright.core.slicing import slice_moments
from limbwright.core.sources import Basis
from limbwright.core.units import LengthUnit

TOP_MM, END_MM = 60.0, -150.0


def turned_limb(
    radius_of: Callable[[NDArray[np.float64]], NDArray[np.float64]],
    edge_mm: float = 3.2,
    side: Side = Side.RIGHT,
) -> Limb:
    """A limb turned on its axis: a radius over u, a hemisphere at the end, open at the top."""
    end_radius = float(radius_of(np.array([END_MM]))[0])
    dome = np.arange(1, int(0.5 * np.pi * end_radius / edge_mm)) * edge_mm / end_radius
    upright = np.arange(0.0, TOP_MM - END_MM + 1e-6, edge_mm * 0.9) + END_MM
    heights = np.concatenate([END_MM - end_radius * np.cos(dome), upright])
    radii = np.concatenate([end_radius * np.sin(dome), radius_of(upright)])
    count = int(np.ceil(2 * np.pi * radii.max() / edge_mm))
    angle = 2 * np.pi * np.arange(count) / count
    ring = np.stack([np.cos(angle), np.sin(angle)], axis=1)
    rings = np.concatenate(
        [
            (radii[:, None, None] * ring[None]),
            np.broadcast_to(heights[:, None, None], (len(radii), count, 1)),
        ],
        axis=2,
    )
    pole = np.array([[0.0, 0.0, END_MM - end_radius]])
    vertices = np.concatenate([pole, rings.reshape(-1, 3)])
    here = np.arange(count)
    there = (here + 1) % count
    faces = [np.stack([np.zeros(count, int), 1 + there, 1 + here], axis=1)]
    for row in range(len(radii) - 1):
        a, b = 1 + row * count + here, 1 + row * count + there
        faces += [np.stack([a, b, b + count], axis=1), np.stack([a, b + count, a + count], axis=1)]
    surface = Mesh(vertices, np.concatenate(faces).astype(np.int32))
    return limb_of(surface, _landmarks_on(radius_of), side)


@cache
def cylinder_limb(radius_mm: float = 350.0 / (2 * np.pi), edge_mm: float = 3.2) -> Limb:
    """A cylinder, by default of 350 mm girth."""
    return turned_limb(lambda u: np.full_like(u, radius_mm), edge_mm)


@cache
def cone_limb(radius_mm: float = 60.0, taper: float = 0.1, edge_mm: float = 3.2) -> Limb:
    """A cone: radius at the datum, and radius lost per mm towards the end."""
    return turned_limb(lambda u: radius_mm + taper * u, edge_mm)


def limb_of(
    surface: Mesh,
    points: Mapping[str, NDArray[np.float64]],
    side: Side = Side.RIGHT,
    guessed: frozenset[str] = frozenset(),
) -> Limb:
    """A limb with nothing but a surface and landmarks, in the limb frame."""
    tetrahedron = Mesh(
        np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1.0]]),
        np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]], np.int32),
    )
    at = np.arange(-20.0, 141.0, 20.0)
    girths = slice_moments(surface, -at).perimeter_mm
    levels = tuple(
        LevelMeasure(float(level), float(girth), 0.0, 0.0, 0.0, 0.0)
        for level, girth in zip(at, girths, strict=True)
    )
    axes = np.diag([1.0 if side is Side.RIGHT else -1.0, 1.0, 1.0])
    return Limb(
        side=side,
        frame=LimbFrame(np.zeros(3), axes, side),
        skin=surface,
        surface=surface,
        landmarks={
            name: Landmark(name, point, Basis.GUESSED if name in guessed else Basis.GIVEN, 0.0)
            for name, point in points.items()
        },
        bones=Bones(tetrahedron, tetrahedron, Basis.ESTIMATED, 0.0),
        cover_mm=np.zeros(len(surface.vertices)),
        unit=UnitFound(LengthUnit.MM, Basis.GIVEN, 1.0, "given"),
        repairs=(),
        measures=Measures(levels, 0.0, -float(surface.vertices[:, 2].min())),
        findings=(),
    )


@cache
def open_limb(shared_data: Path, name: str) -> Limb:
    """One of the open test limbs, with the posterior landmarks guessed from the skin."""
    folder = shared_data / "limbs" / name
    record = json.loads((folder / "landmarks.json").read_text(encoding="utf-8"))
    side = Side(record["side"])
    loaded = trimesh.load(folder / "skin.ply", process=False)
    skin = Mesh(np.asarray(loaded.vertices), np.asarray(loaded.faces))
    axes = np.array([record["axes"][key] for key in ("lateral", "anterior", "proximal")], float)
    axes, _ = np.linalg.qr(axes[::-1].T)
    axes = axes.T[::-1] * np.sign(np.einsum("ij,ij->i", axes.T[::-1], _axes_of(record)))[:, None]
    tendon = np.array(record["points"]["mid_patellar_tendon"], float)
    section = trimesh.intersections.mesh_plane(loaded, axes[2], tendon)
    origin = section.reshape(-1, 3).mean(axis=0)
    frame = LimbFrame(origin, axes, side)
    surface = remesh_uniform(mesh_to_limb(frame, skin), 3.2)
    points = {
        key: to_limb(frame, np.array(point, float)) for key, point in record["points"].items()
    }
    guesses = {
        "popliteal_centre": (270.0, 2.0),
        "medial_hamstring_tendon": (228.0, 4.0),
        "lateral_hamstring_tendon": (312.0, 4.0),
    }
    for key, (angle_deg, height_mm) in guesses.items():
        points[key] = _skin_at(surface, np.radians(angle_deg), height_mm)
    return limb_of(surface, points, side, frozenset(guesses))


def _axes_of(record: Mapping[str, Mapping[str, list[float]]]) -> NDArray[np.float64]:
    return np.array([record["axes"][key] for key in ("lateral", "anterior", "proximal")], float)


def _skin_at(surface: Mesh, angle_rad: float, height_mm: float) -> NDArray[np.float64]:
    vertices = surface.vertices
    turn = np.angle(np.exp(1j * (np.arctan2(vertices[:, 1], vertices[:, 0]) - angle_rad)))
    radius = np.hypot(vertices[:, 0], vertices[:, 1])
    return vertices[np.argmin((radius * turn) ** 2 + (vertices[:, 2] - height_mm) ** 2)].copy()


def _landmarks_on(
    radius_of: Callable[[NDArray[np.float64]], NDArray[np.float64]],
) -> dict[str, NDArray[np.float64]]:
    """Landmarks on a turned limb, roughly where a leg has them (angle in degrees, u in mm)."""
    spots = {
        "mid_patellar_tendon": (90.0, 0.0),
        "patella_lower_pole": (90.0, 24.0),
        "tibial_tubercle": (90.0, -20.0),
        "medial_tibial_flare": (170.0, -22.0),
        "lateral_tibial_tubercle": (40.0, 6.0),
        "fibular_head": (5.0, -4.0),
        "crest_upper": (90.0, -55.0),
        "crest_lower": (90.0, -100.0),
        "distal_tibia": (90.0, -130.0),
        "distal_fibula": (5.0, -120.0),
        "medial_hamstring_tendon": (228.0, 4.0),
        "lateral_hamstring_tendon": (312.0, 4.0),
        "popliteal_centre": (270.0, 2.0),
    }
    points = {}
    for name, (angle_deg, height) in spots.items():
        radius = float(radius_of(np.array([height]))[0])
        angle = np.radians(angle_deg)
        points[name] = np.array([radius * np.cos(angle), radius * np.sin(angle), height])
    points["limb_end"] = np.array([0.0, 0.0, END_MM - float(radius_of(np.array([END_MM]))[0])])
    return points
