"""Which way a raw scan faces once its mid-patellar tendon is touched, as its views then go by."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

LEVEL_MM = 15.0

Vector = NDArray[np.float64]


def front_of(positions_mm: NDArray[np.float32], tendon_mm: Vector) -> Vector:
    """Unit vector to the front: from the middle of the limb at the tendon's level to the tendon."""
    level = positions_mm[np.abs(positions_mm[:, 2] - tendon_mm[2]) < LEVEL_MM]
    away = tendon_mm - 0.5 * (level.min(axis=0) + level.max(axis=0))
    away[2] = 0.0
    front: Vector = away / np.linalg.norm(away)
    return front


def looking_from(front: Vector, outward: int) -> dict[str, Vector]:
    """From where each of the views looks, by its key."""
    outer = outward * np.cross(front, [0.0, 0.0, 1.0])
    below = np.array([0.0, 0.0, -1.0])
    return {"f": front, "b": -front, "o": outer, "i": -outer, "u": below}
