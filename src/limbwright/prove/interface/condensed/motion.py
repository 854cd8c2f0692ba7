"""Rigid motions of the limb in its socket: rotations of any size, about a reference point."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from limbwright.core.mesh import Vector, Vertices


def rotation_of(turn_rad: Vector) -> NDArray[np.float64]:
    """Rotation matrix of a rotation vector (Rodrigues' formula).

    Examples
    --------
    >>> np.round(rotation_of(np.array([0.0, 0.0, np.pi / 2])) @ [1.0, 0.0, 0.0], 6)
    array([0., 1., 0.])
    """
    angle = float(np.linalg.norm(turn_rad))
    cross = cross_matrices(np.asarray(turn_rad)[None])[0]
    if angle < 1e-8:
        return np.asarray(np.eye(3) + cross)
    sine, cosine = np.sin(angle) / angle, (1 - np.cos(angle)) / angle**2
    return np.asarray(np.eye(3) + sine * cross + cosine * (cross @ cross))


def turn_of(rotation: NDArray[np.float64]) -> Vector:
    """Rotation vector of a rotation matrix by less than half a turn.

    Examples
    --------
    >>> turn_of(rotation_of(np.array([0.1, -0.2, 0.3]))).round(6).tolist()
    [0.1, -0.2, 0.3]
    """
    skew = 0.5 * np.array(
        [
            rotation[2, 1] - rotation[1, 2],
            rotation[0, 2] - rotation[2, 0],
            rotation[1, 0] - rotation[0, 1],
        ]
    )
    sine = float(np.linalg.norm(skew))
    angle = float(np.arctan2(sine, 0.5 * (np.trace(rotation) - 1)))
    return skew * (angle / sine) if sine > 1e-12 else skew


def cross_matrices(vectors: Vertices) -> NDArray[np.float64]:
    """Matrices [v] with [v] x = v × x, (n, 3, 3)."""
    out = np.zeros((len(vectors), 3, 3))
    x, y, z = np.asarray(vectors).T
    out[:, 0, 1], out[:, 0, 2], out[:, 1, 2] = -z, y, -x
    out[:, 1, 0], out[:, 2, 0], out[:, 2, 1] = z, -y, x
    return out
