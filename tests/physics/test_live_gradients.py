"""Derivatives of area pressures and of the pose against central differences of the engine."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from brick_bodies import stump
from condensed_bodies import prepared_body
from interface_bodies import area_at, load, socket_of
from limbwright.align.result import LoadCase, Wrench
from limbwright.capture.result import Limb
from limbwright.prove.interface.condensed.gradients import (
    PressureGradients,
    depth_directions,
    pressure_gradients,
)
from limbwright.prove.interface.condensed.live import LIVE, LiveFitted, LivePrepared
from limbwright.shape.plan import AreaName

CASE = load("mid_stance", (20, 10, 500.0), (2000, 6000, 400))


@pytest.fixture(scope="module")
def limb_and_prepared() -> tuple[Limb, LivePrepared]:
    body = stump(12.0, 42.0, 90.0, 6, 8, 2)
    radius = np.hypot(body.nodes_mm[:, 0], body.nodes_mm[:, 1])
    ball = np.where(body.nodes_mm[:, 2] < 0, np.linalg.norm(body.nodes_mm, axis=1), radius)
    return prepared_body(body, ball < 12.1, body.nodes_mm[:, 2] > 89.9, 0.4)


def fitted(
    given: tuple[Limb, LivePrepared], deeper_mm: float = 0.0, tighter_mm: float = 0.0
) -> LiveFitted:
    limb, prepared = given
    centre = np.array([-42.0, 0.0, 45.0])
    areas = (
        area_at(limb, AreaName.MEDIAL_TIBIAL_FLARE, centre, -3.0 - deeper_mm, 22.0),
        area_at(limb, AreaName.FIBULAR_HEAD, np.array([40.0, 10.0, 55.0]), 2.0, 18.0),
    )
    below = limb.surface.vertices[:, 2] < 75.0
    return LIVE.with_socket(
        prepared, socket_of(limb, 2.0 + tighter_mm, areas=areas, below_trim=below)
    )


def analytic(given: tuple[Limb, LivePrepared], case: LoadCase = CASE) -> PressureGradients:
    limb, _ = given
    here = fitted(given)
    areas = (area_at(limb, AreaName.MEDIAL_TIBIAL_FLARE, np.array([-42.0, 0, 45.0]), -3.0, 22.0),)
    shape = socket_of(limb, 2.0, areas=areas)
    directions = depth_directions(shape)
    directions["take_up"] = np.full(len(limb.surface.vertices), -1.0)
    return pressure_gradients(here, case, directions)


def values(here: LiveFitted, case: LoadCase) -> np.ndarray:
    return pressure_gradients(here, case, {}).mean_kpa


def test_means_are_those_of_the_engine(limb_and_prepared: tuple[Limb, LivePrepared]) -> None:
    found = analytic(limb_and_prepared)
    case, _ = LIVE.solve(fitted(limb_and_prepared), CASE)
    expected = [area.mean_kpa for area in case.areas]
    assert found.areas == tuple(area.area for area in case.areas)
    np.testing.assert_allclose(found.mean_kpa, expected, atol=2e-3 * max(expected))


def test_depth_and_take_up_derivatives_agree_with_central_differences(
    limb_and_prepared: tuple[Limb, LivePrepared],
) -> None:
    found = analytic(limb_and_prepared)
    h = 0.01
    for name, ahead, behind, sign in (
        ("medial_tibial_flare", {"deeper_mm": h}, {"deeper_mm": -h}, -1.0),
        ("take_up", {"tighter_mm": h}, {"tighter_mm": -h}, 1.0),
    ):
        up = values(fitted(limb_and_prepared, **ahead), CASE)
        down = values(fitted(limb_and_prepared, **behind), CASE)
        numeric = sign * (up - down) / (2 * h)
        most = np.abs(numeric).max()
        np.testing.assert_allclose(found.by_displacement[name], numeric, atol=0.02 * most)


def test_wrench_derivatives_agree_with_central_differences(
    limb_and_prepared: tuple[Limb, LivePrepared],
) -> None:
    found = analytic(limb_and_prepared)
    here, wrench = fitted(limb_and_prepared), CASE.wrench_on_limb
    for axis, size in ((0, 1.0), (2, 4.0), (3, 50.0), (4, 50.0)):
        step = np.zeros(6)
        step[axis] = size
        sides = [
            values(
                here,
                replace(
                    CASE,
                    wrench_on_limb=Wrench(
                        wrench.force_n + sign * step[:3], wrench.moment_n_mm + sign * step[3:]
                    ),
                ),
            )
            for sign in (1, -1)
        ]
        numeric = (sides[0] - sides[1]) / (2 * size) * (1.0 if axis < 3 else 1e3)
        most = np.abs(numeric).max()
        np.testing.assert_allclose(found.by_wrench[:, axis], numeric, atol=0.02 * most)


def test_pose_and_wrench_derivatives_are_consistent(
    limb_and_prepared: tuple[Limb, LivePrepared],
) -> None:
    # chain rule: pressures by wrench = pressures by pose held times pose by wrench
    found = analytic(limb_and_prepared)
    chained = found.by_pose @ found.pose_by_wrench
    most = np.abs(found.by_wrench).max(axis=0)
    np.testing.assert_allclose(chained / most, found.by_wrench / most, atol=2e-3)
