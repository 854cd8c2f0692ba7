"""What an invented scanner makes of a skin: noise, holes, turned faces, specks, any pose."""

from __future__ import annotations

import numpy as np
from scipy.spatial.transform import Rotation

from limbwright.core.frame import LimbFrame, Side
from limbwright.core.mesh import Faces, Mesh, face_normals, merged, vertex_normals

_NOISE_MM = 0.25
_HOLES = 7
_HOLE_RADIUS_MM = (2.0, 4.5)
_TURNED_SHARE = 0.003
_SPECKS = 5
_OCTAHEDRON = np.array(
    [[0, 1, 2], [1, 3, 2], [3, 4, 2], [4, 0, 2], [1, 0, 5], [3, 1, 5], [4, 3, 5], [0, 4, 5]],
    dtype=np.int32,
)
"""Tips +x, +y, +z, -x, -y, -z; wound outward."""


def scanner_pose(random: np.random.Generator, side: Side) -> LimbFrame:
    """Where the limb stands in the scanner's frame: anywhere, in any orientation."""
    turn = Rotation.random(random_state=random).as_matrix()
    if side is Side.LEFT:
        turn[0] = -turn[0]
    return LimbFrame(random.uniform(-150.0, 150.0, 3), turn, side)


def scanned(skin: Mesh, random: np.random.Generator) -> Mesh:
    """A skin as a scanner sees it.

    Parameters
    ----------
    skin : Mesh
        mm, wound outward.
    random : Generator
    """
    noise = random.normal(0.0, _NOISE_MM, (len(skin.vertices), 1))
    seen = Mesh(skin.vertices + noise * vertex_normals(skin), skin.faces)
    seen = Mesh(seen.vertices, _turned(_holed(seen, random), random))
    return merged((seen, *(_speck(skin, random) for _ in range(_SPECKS))))


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


def _speck(skin: Mesh, random: np.random.Generator) -> Mesh:
    """A stray octahedron floating near the skin."""
    face = int(random.integers(len(skin.faces)))
    away = random.uniform(15.0, 60.0)
    middle = skin.vertices[skin.faces[face]].mean(axis=0) + away * face_normals(skin)[face]
    tips = np.concatenate([np.eye(3), -np.eye(3)]) * random.uniform(0.6, 2.0)
    return Mesh(middle + tips, _OCTAHEDRON)
