"""What an invented scanner makes of a skin: noise, holes, turned faces, specks, any pose."""

from __future__ import annotations

import numpy as np
from scipy.spatial.transform import Rotation

from limbwright.capture.result import RawScan
from limbwright.core.frame import LimbFrame, Side
from limbwright.core.mesh import Faces, Mesh, Vertices, face_normals, vertex_normals
from limbwright.core.units import LengthUnit

_NOISE_MM = 0.25
_HOLES = 7
_HOLE_RADIUS_MM = (2.5, 7.0)
_TURNED_SHARE = 0.003
_SPECKS = 5


def scanner_pose(random: np.random.Generator, side: Side) -> LimbFrame:
    """Where the limb stands in the scanner's frame: anywhere, in any orientation."""
    turn = Rotation.random(random_state=random).as_matrix()
    if side is Side.LEFT:
        turn[0] = -turn[0]
    return LimbFrame(random.uniform(-150.0, 150.0, 3), turn, side)


def raw_scan(skin: Mesh, unit: LengthUnit, random: np.random.Generator) -> RawScan:
    """A raw scan of a skin.

    Parameters
    ----------
    skin : Mesh
        mm, scan frame, wound outward.
    unit : LengthUnit
        Unit of the result.
    random : Generator
    """
    noise = random.normal(0.0, _NOISE_MM, (len(skin.vertices), 1))
    vertices = skin.vertices + noise * vertex_normals(skin)
    faces = _turned(_holed(Mesh(vertices, skin.faces), random), random)
    specks = [_speck(skin, random) for _ in range(_SPECKS)]
    parts = [(vertices, faces), *specks]
    starts = np.cumsum([0] + [len(v) for v, _ in parts[:-1]])
    return RawScan(
        np.concatenate([v for v, _ in parts]) / unit.to_mm,
        np.concatenate([f + s for (_, f), s in zip(parts, starts, strict=True)]).astype(np.int32),
        None,
    )


def _holed(skin: Mesh, random: np.random.Generator) -> Faces:
    """Faces left when the scanner has not seen some spots, away from the rim."""
    middles = skin.vertices[skin.faces].mean(axis=1)
    edges = np.sort(skin.faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2), axis=1)
    pairs, count = np.unique(edges, axis=0, return_counts=True)
    rim = skin.vertices[pairs[count == 1].ravel()]
    keep = np.ones(len(middles), dtype=np.bool_)
    made = 0
    while made < _HOLES:
        spot = middles[random.integers(len(middles))]
        if np.linalg.norm(rim - spot, axis=1).min() < 25.0:
            continue
        keep &= np.linalg.norm(middles - spot, axis=1) > random.uniform(*_HOLE_RADIUS_MM)
        made += 1
    return skin.faces[keep]


def _turned(faces: Faces, random: np.random.Generator) -> Faces:
    """Some faces wound the wrong way."""
    wrong = random.random(len(faces)) < _TURNED_SHARE
    return np.where(wrong[:, None], faces[:, ::-1], faces)


def _speck(skin: Mesh, random: np.random.Generator) -> tuple[Vertices, Faces]:
    """A stray octahedron floating near the skin."""
    face = int(random.integers(len(skin.faces)))
    away = random.uniform(15.0, 60.0)
    middle = skin.vertices[skin.faces[face]].mean(axis=0) + away * face_normals(skin)[face]
    tips = np.concatenate([np.eye(3), -np.eye(3)]) * random.uniform(0.6, 2.0)
    corners = [
        (x, y, z) if (x < 3) ^ (y < 3) ^ (z < 3) ^ True else (x, z, y)
        for x in (0, 3)
        for y in (1, 4)
        for z in (2, 5)
    ]
    return middle + tips, np.array(corners, dtype=np.int32)
