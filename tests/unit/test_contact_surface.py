"""Contact points of flat faces stand on the curved skin, against circle and ball."""

from __future__ import annotations

import numpy as np
import pytest

from brick_bodies import block, stump, tube
from limbwright.prove.interface.finite_elements.contact import at_points, contact_surface


@pytest.mark.parametrize(("around", "left"), [(16, 0.025), (32, 0.006), (64, 0.002)])
def test_points_round_a_cylinder_stand_on_it(around: int, left: float) -> None:
    # a chord of n faces stands inside its circle by r (1 - cos π/n)
    ring = tube(lambda h: 15 + 0 * h, lambda h: 50 + 0 * h, np.array([0.0, 4.0, 8.0]), around, 2)
    surface = contact_surface(ring.nodes_mm, ring.outer, np.ones(len(ring.nodes_mm)))
    flat = at_points(surface, ring.nodes_mm)
    sagitta = 50 * (1 - np.cos(np.pi / around))
    inside = 50 - np.linalg.norm(flat[..., :2], axis=-1)
    raised = 50 - np.linalg.norm((flat + surface.offset_mm)[..., :2], axis=-1)
    assert inside.max() > 0.6 * sagitta
    assert np.abs(raised).max() < left * sagitta


def test_points_of_a_round_end_stand_on_it() -> None:
    limb = stump(18.0, 45.0, 60.0, 12, 6, 2)
    surface = contact_surface(limb.nodes_mm, limb.outer, np.ones(len(limb.nodes_mm)))
    flat = at_points(surface, limb.nodes_mm)
    low = (limb.nodes_mm[surface.quads][..., 2] < -1e-9).any(axis=1)
    inside = 45 - np.linalg.norm(flat[low], axis=-1)
    raised = 45 - np.linalg.norm((flat + surface.offset_mm)[low], axis=-1)
    assert inside.mean() > 0.1
    assert np.abs(raised).mean() < 0.05 * inside.mean()


def test_points_of_a_flat_surface_stay() -> None:
    body = block((10.0, 10.0, 5.0), (3, 3, 1))
    surface = contact_surface(body.nodes_mm, body.outer, np.ones(len(body.nodes_mm)))
    np.testing.assert_allclose(surface.offset_mm, 0.0, atol=1e-12)
