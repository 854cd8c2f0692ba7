"""Bodies of known measures, and a plain leg with landmarks, for the tests of the capture stage."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from limbwright.capture.plan import LandmarkSet
from limbwright.core.mesh import Mesh, merged
from limbwright.core.units import LengthUnit

Profile = Callable[[NDArray[np.float64]], NDArray[np.float64]]


def body_of_rings(
    u_mm: NDArray[np.float64],
    ml_half_mm: NDArray[np.float64],
    ap_half_mm: NDArray[np.float64],
    centre_mm: NDArray[np.float64] | None = None,
    around: int = 240,
) -> Mesh:
    """Elliptic rings, proximal first, open at the top, the last one closed with a fan."""
    turn = 2.0 * np.pi * np.arange(around) / around
    centre = np.zeros((len(u_mm), 2)) if centre_mm is None else centre_mm
    rings = np.stack(
        [
            centre[:, :1] + ml_half_mm[:, None] * np.cos(turn),
            centre[:, 1:] + ap_half_mm[:, None] * np.sin(turn),
            np.repeat(u_mm[:, None], around, axis=1),
        ],
        axis=-1,
    ).reshape(-1, 3)
    end = np.array([[*centre[-1], u_mm[-1]]])
    i = (np.arange(len(u_mm) - 1)[:, None] * around + np.arange(around)).ravel()
    j = (np.arange(len(u_mm) - 1)[:, None] * around + np.roll(np.arange(around), -1)).ravel()
    last = (len(u_mm) - 1) * around + np.arange(around)
    faces = np.concatenate(
        [
            np.stack([i, i + around, j + around], axis=1),
            np.stack([i, j + around, j], axis=1),
            np.stack([last, np.full(around, len(rings)), np.roll(last, -1)], axis=1),
        ]
    )
    return Mesh(np.concatenate([rings, end]), faces.astype(np.int32))


def cone(top_radius_mm: float, end_radius_mm: float, height_mm: float) -> Mesh:
    """Frustum (or cylinder) below the datum, open 10 mm above it at the same slope."""
    slope = (top_radius_mm - end_radius_mm) / height_mm
    u = np.linspace(10.0, -height_mm, 150)
    radius = top_radius_mm + slope * u
    return body_of_rings(u, radius, radius)


def ellipsoid(ml_half_mm: float, ap_half_mm: float, length_mm: float) -> Mesh:
    """Lower half of an ellipsoid below the datum, carried on 10 mm above it as a tube."""
    angle = np.linspace(0.0, np.pi / 2, 300)[:-1]
    u = np.concatenate([[10.0], -length_mm * np.sin(angle)])
    share = np.concatenate([[1.0], np.cos(angle)])
    return body_of_rings(u, ml_half_mm * share, ap_half_mm * share)


LEG_END_MM = 150.0
_LEG_TOP_MM = 85.0
_MARKS = {
    # name: (level below the datum, bearing from outward in degrees)
    "patella_lower_pole": (-22.0, 100.0),
    "mid_patellar_tendon": (0.0, 97.0),
    "lateral_tibial_tubercle": (-6.0, 45.0),
    "fibular_head": (3.0, 5.0),
    "tibial_tubercle": (18.0, 93.0),
    "medial_tibial_flare": (21.0, 170.0),
    "crest_upper": (56.0, 95.0),
    "crest_lower": (105.0, 95.0),
    "distal_tibia": (128.0, 100.0),
    "distal_fibula": (118.0, 5.0),
}


_RECEDES = 0.07
"""How far the middle of the leg goes backward per length down, as legs do."""


def _leg_profile(u: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Half widths of the plain leg, (ml, ap) at heights u."""
    taper = 56.0 + 0.06 * u - 4.0 * np.cos(np.clip(u + 60.0, -60, 60) / 60.0 * np.pi)
    dome = np.sqrt(np.clip(1.0 - (np.clip(-u - 105.0, 0.0, None) / 45.0) ** 2, 0.0, None))
    return taper * dome, (taper + 2.0) * dome


def leg_mesh(edge_mm: float = 2.0) -> Mesh:
    """A plain right leg in its own frame: upright, datum at u = 0, open at the top."""
    straight = np.arange(_LEG_TOP_MM, -105.0, -edge_mm)
    bend = np.linspace(0.0, np.pi / 2, int(70.0 / edge_mm))[:-1]
    u = np.concatenate([straight, -105.0 - 45.0 * np.sin(bend)])
    ml, ap = _leg_profile(u)
    middle = np.stack([np.zeros_like(u), _RECEDES * u], axis=1)
    return body_of_rings(u, ml, ap, middle, around=int(360.0 / edge_mm))


def leg_skin_point(level_mm: float, bearing_deg: float) -> NDArray[np.float64]:
    """Point on the skin of the plain leg; bearing from outward, anti-clockwise from above."""
    ml, ap = (float(half[0]) for half in _leg_profile(np.array([-level_mm])))
    turn = np.radians(bearing_deg)
    return np.array([ml * np.cos(turn), ap * np.sin(turn) - _RECEDES * level_mm, -level_mm])


def leg_landmarks() -> dict[str, NDArray[np.float64]]:
    """Landmarks on the skin of the plain leg, mm, in its own frame."""
    marks = {"limb_end": np.array([0.0, -_RECEDES * LEG_END_MM, -LEG_END_MM])}
    for name, (level, bearing) in _MARKS.items():
        marks[name] = leg_skin_point(level, bearing)
    return marks


def landmark_set(
    points_mm: dict[str, NDArray[np.float64]], unit: LengthUnit = LengthUnit.MM
) -> LandmarkSet:
    """Landmarks as a document holds them."""
    points = {name: tuple((p / unit.to_mm).tolist()) for name, p in points_mm.items()}
    return LandmarkSet(unit=unit, points=points)


def rotation(seed: int) -> NDArray[np.float64]:
    """A proper rotation, uniformly drawn."""
    q, r = np.linalg.qr(np.random.default_rng(seed).normal(size=(3, 3)))
    q = q * np.sign(np.diag(r))
    return q if np.linalg.det(q) > 0 else -q


def with_noise(mesh: Mesh, sd_mm: float, seed: int = 1) -> Mesh:
    """Every vertex moved at random, as a scanner does."""
    jitter = np.random.default_rng(seed).normal(scale=sd_mm, size=mesh.vertices.shape)
    return Mesh(mesh.vertices + jitter, mesh.faces)


def with_hole(mesh: Mesh, place_mm: NDArray[np.float64], radius_mm: float) -> Mesh:
    """Faces near a place removed."""
    middle = mesh.vertices[mesh.faces].mean(axis=1)
    return Mesh(mesh.vertices, mesh.faces[np.linalg.norm(middle - place_mm, axis=1) > radius_mm])


def with_speck(mesh: Mesh, place_mm: NDArray[np.float64], size_mm: float = 3.0) -> Mesh:
    """A loose small tetrahedron beside the body."""
    corners = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]]) * size_mm + place_mm
    faces = np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]], dtype=np.int32)
    return merged((mesh, Mesh(corners, faces)))


def with_flat_lid(mesh: Mesh, around: int) -> Mesh:
    """The first ring closed by a fan of triangles in its plane, cut fine enough to look scanned."""
    ring = np.arange(around)
    vertices, faces = mesh.vertices, mesh.faces
    middle = vertices[ring].mean(axis=0)
    previous = ring
    for share in (0.75, 0.5, 0.25):
        inner = len(vertices) + np.arange(around)
        vertices = np.concatenate([vertices, middle + share * (mesh.vertices[ring] - middle)])
        a, b = previous, np.roll(previous, -1)
        c, d = inner, np.roll(inner, -1)
        band = np.concatenate([np.stack([a, b, d], axis=1), np.stack([a, d, c], axis=1)])
        faces = np.concatenate([faces, band.astype(np.int32)])
        previous = inner
    vertices = np.concatenate([vertices, middle[None]])
    fan = np.stack([previous, np.roll(previous, -1), np.full(around, len(vertices) - 1)], axis=1)
    return Mesh(vertices, np.concatenate([faces, fan.astype(np.int32)]))
