"""Limbs for tests of the tissue mesh: real, the demo's, stretched ones and bodies of revolution."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from interface_bodies import limb_of, revolved
from limbwright.assess.plan import Liner, LinerMaterial
from limbwright.capture.bones import cover_mm
from limbwright.capture.intake import take_in
from limbwright.capture.plan import CapturePlan, LandmarkSet
from limbwright.capture.read import RawBones
from limbwright.capture.result import Bones, Landmark, Limb, RawScan
from limbwright.core.mesh import Mesh, with_vertices
from limbwright.core.sources import Basis
from limbwright.core.units import LengthUnit
from true_legs import TrueLeg, demo_leg, open_leg

BARE = Liner(material=LinerMaterial.NONE, thickness_mm=0.0, cap_thickness_mm=0.0)
LINER = Liner(thickness_mm=6.0, cap_thickness_mm=10.0)


def taken_in(leg: TrueLeg, *, true_bones: bool) -> Limb:
    """A leg through capture, with its own bones or with estimated ones."""
    points = {name: tuple(point) for name, point in leg.points_mm.items()}
    plan = CapturePlan(
        scan="scan.ply",
        unit=LengthUnit.MM,
        landmarks=LandmarkSet(unit=LengthUnit.MM, points=points),
    )
    scan = RawScan(leg.skin.vertices, leg.skin.faces, None)
    bones = RawBones(leg.tibia, leg.fibula) if true_bones else None
    return take_in(scan, bones, None, leg.side, plan)


@lru_cache(maxsize=2)
def demo_with(true_bones: bool) -> Limb:
    return taken_in(demo_leg(), true_bones=true_bones)


def stretched(limb: Limb, up: float = 1.0, taper: float = 0.0, bulge: float = 0.0) -> Limb:
    """The limb made longer, more conical or bulbous below the datum, bones with it.

    Radii grow by taper per mm upward and by a bulge at the end's last third.
    """

    def moved(points: NDArray[np.float64]) -> NDArray[np.float64]:
        below = np.minimum(points[:, 2], 0.0)
        end = float(limb.surface.vertices[:, 2].min())
        depth = below / end
        factor = 1.0 + taper * below + bulge * np.exp(-(((depth - 0.75) / 0.25) ** 2))
        out = points * np.column_stack([factor, factor, np.ones(len(points))])
        out[:, 2] = np.where(points[:, 2] < 0.0, up * points[:, 2], points[:, 2])
        return out

    surface = with_vertices(limb.surface, moved(limb.surface.vertices))
    bones = Bones(
        with_vertices(limb.bones.tibia, moved(limb.bones.tibia.vertices)),
        with_vertices(limb.bones.fibula, moved(limb.bones.fibula.vertices)),
        Basis.GIVEN,
        0.0,
    )
    marks = {
        name: Landmark(name, moved(mark.point_mm[None])[0], mark.basis, mark.to_skin_mm)
        for name, mark in limb.landmarks.items()
    }
    return replace(
        limb, surface=surface, bones=bones, landmarks=marks, cover_mm=cover_mm(surface, bones)
    )


def _round_end(radius_mm: float, low_mm: float, high_mm: float, around: int) -> Mesh:
    """A rod about u with a half ball at its lower end, open at the top."""
    dome = -np.cos(np.linspace(0.02, np.pi / 2, 24)) * radius_mm + low_mm + radius_mm
    wall = np.linspace(low_mm + radius_mm, high_mm, 60)[1:]
    heights = np.concatenate([dome, wall])

    def radius(u: NDArray[np.float64]) -> NDArray[np.float64]:
        deep = np.clip(low_mm + radius_mm - u, 0.0, radius_mm)
        return np.asarray(np.sqrt(radius_mm**2 - deep**2))

    return revolved(radius, heights, around)


def _closed(mesh: Mesh, around: int, *, top: bool) -> Mesh:
    """The lowest ring (and the highest) closed by a point."""
    ring = np.arange(around)
    middle = np.append(mesh.vertices[:around, :2].mean(axis=0), mesh.vertices[:around, 2].mean())
    points = [mesh.vertices, middle[None]]
    faces = [
        mesh.faces,
        np.stack([np.full(around, len(mesh.vertices)), np.roll(ring, -1), ring], axis=1),
    ]
    if top:
        high = mesh.vertices[-around:]
        points.append(high.mean(axis=0)[None])
        last = len(mesh.vertices) - around
        apex = np.full(around, len(mesh.vertices) + 1)
        faces.append(np.stack([apex, last + ring, last + np.roll(ring, -1)], axis=1))
    return Mesh(np.concatenate(points), np.concatenate(faces).astype(np.int32))


def round_limb(
    skin_mm: float = 50.0, bone_mm: float = 20.0, end_mm: float = -120.0, cover_mm_end: float = 30.0
) -> Limb:
    """A body of revolution about u: a rod with a round end in a cylinder with a round end.

    The fibula is a thin rod beside the tibia, so that the rigid body has a membrane.
    """
    around = 64
    skin = _closed(_round_end(skin_mm, end_mm, 60.0, around), around, top=False)
    tibia = _closed(_round_end(bone_mm, end_mm + cover_mm_end, 25.0, around), around, top=True)
    fibula = _closed(_round_end(4.0, end_mm + cover_mm_end + 15.0, 5.0, 24), 24, top=True)
    fibula = with_vertices(fibula, fibula.vertices + np.array([bone_mm + 12.0, 0.0, 0.0]))
    limb = limb_of(skin, 1.0)
    bones = Bones(tibia, fibula, Basis.GIVEN, 0.0)
    return replace(limb, bones=bones, cover_mm=cover_mm(skin, bones))


@lru_cache(maxsize=4)
def open_limb(folder: Path, name: str, *, true_bones: bool) -> Limb:
    """An open test limb through capture."""
    return taken_in(open_leg(folder / "limbs" / name), true_bones=true_bones)
