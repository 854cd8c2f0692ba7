"""CalculiX is told the material that we use: a brick evenly strained stores the same energy."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from brick_bodies import block
from calculix import Deck, Step, run
from limbwright.prove.interface.finite_elements.hexahedra import (
    bricks_of,
    moduli_mpa,
    stored_energy_n_mm,
)


@pytest.mark.parametrize("poisson", [0.3, 0.45, 0.49])
@pytest.mark.parametrize("element", ["C3D8", "C3D20R"])
def test_an_evenly_squeezed_brick_answers_with_the_slope_of_our_energy(
    calculix_path: str, tmp_path: Path, poisson: float, element: str
) -> None:
    body = block((10.0, 10.0, 10.0), (1, 1, 1))
    shear, bulk = (np.array([value]) for value in moduli_mpa(0.2, poisson))
    way = body.nodes_mm * [0.02, 0.01, -0.1]
    answer = run(
        Deck(body.nodes_mm, body.hexahedra, shear, bulk, [Step(way)], element=element), tmp_path
    )
    bricks = bricks_of(body.nodes_mm, body.hexahedra, shear, bulk)
    step = 1e-5
    slope = [
        (
            stored_energy_n_mm(bricks, way + step * body.nodes_mm * axis)
            - stored_energy_n_mm(bricks, way - step * body.nodes_mm * axis)
        )
        / (2 * step * 10.0)
        for axis in np.eye(3)
    ]
    ends = [answer.reaction_n[0][body.nodes_mm[:, axis] == 10.0, axis].sum() for axis in range(3)]
    np.testing.assert_allclose(ends, slope, rtol=1e-4)
