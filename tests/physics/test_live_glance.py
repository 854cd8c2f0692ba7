"""A first look at an edit finds the equilibrium that the whole search finds."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from interface_bodies import load, real_limb, with_pull
from limbwright.assess.plan import Liner
from limbwright.capture.plan import ScannedOver
from limbwright.prove.interface.condensed.glance import glance
from limbwright.prove.interface.condensed.live import LIVE, LiveFitted
from limbwright.prove.interface.condensed.tables import (
    AREA_MEAN,
    AREA_PEAK,
    SEARCH_SCATTER_KPA,
    SINGLE_PLACE,
)
from limbwright.prove.interface.engine import unloaded
from limbwright.prove.plan import ProvePlan
from limbwright.shape.defaults import default_shape_plan
from limbwright.shape.plan import ShapePlan
from limbwright.shape.rectify import rectify

CASES = (
    load("standing", (0, 0, 400.0)),
    with_pull(load("swing", (0, 5, -40.0), (1500, 0, 0)), 35.0),
)


def with_depths(plan: ShapePlan, factor: float) -> ShapePlan:
    areas = [area.model_copy(update={"depth_mm": factor * area.depth_mm}) for area in plan.areas]
    return plan.model_copy(update={"areas": tuple(areas)})


@pytest.mark.slow
@pytest.mark.parametrize("name", ["limb_a", "limb_b"])
def test_a_look_that_begins_where_the_last_one_ended_finds_the_same(
    shared_data: Path, name: str
) -> None:
    limb, liner = real_limb(shared_data / "limbs" / name), Liner()
    prepared = LIVE.prepare(limb, liner, ScannedOver.SKIN, ProvePlan())
    plan = default_shape_plan(liner)

    def fitted(factor: float, raised_mm: float = 0.0) -> LiveFitted:
        deeper = with_depths(plan, factor)
        trim = deeper.trim.model_copy(update={"anterior_mm": deeper.trim.anterior_mm + raised_mm})
        deeper = deeper.model_copy(update={"trim": trim})
        shape = rectify(limb, deeper, liner, ScannedOver.SKIN)
        return LIVE.with_socket(prepared, shape)

    for case in CASES:
        _, ended = glance(fitted(1.0), case, None)
        # an edit; a step back; another trim line, which covers other places
        for step in (fitted(1.4), fitted(1.0), fitted(1.1, -6.0)):
            seen, ended = glance(step, case, ended)
            donned = LIVE.solve(step, unloaded())[1]
            whole = LIVE.solve(step, case, donned)[0]
            away = np.abs(seen.pressure_mpa - whole.pressure_mpa)
            assert seen.residual < 1e-3
            assert np.linalg.norm(away) < 0.01 * np.linalg.norm(whole.pressure_mpa)
            peak = max(area.peak_kpa for area in whole.areas)
            for mine, its in zip(seen.areas, whole.areas, strict=True):
                assert mine.mean_kpa == pytest.approx(its.mean_kpa, abs=0.005 * peak)
                assert mine.peak_kpa == pytest.approx(its.peak_kpa, abs=0.01 * peak)


@pytest.mark.slow
def test_what_is_on_record_hangs_on_no_look_before_it_and_is_known_as_closely_as_its_label_says(
    shared_data: Path,
) -> None:
    # limb b in early stance: of the limbs and loads measured, the one that scatters most
    limb, liner = real_limb(shared_data / "limbs" / "limb_b"), Liner()
    prepared = LIVE.prepare(limb, liner, ScannedOver.SKIN, ProvePlan())
    plan = default_shape_plan(liner)

    def fitted(factor: float) -> LiveFitted:
        shape = rectify(limb, with_depths(plan, factor), liner, ScannedOver.SKIN)
        return LIVE.with_socket(prepared, shape)

    case = load("early_stance", (-60.0, -110.0, 690.0), (-12e3, 16e3, 0.0))
    socket = fitted(1.0)
    recorded = LIVE.solve(socket, case)[0]
    known = SEARCH_SCATTER_KPA.value
    ended = None
    for factor in (1.4, 0.6, 1.0):
        seen, ended = glance(fitted(factor), case, ended)
    again = LIVE.solve(socket, case)[0]
    assert again.pressure_mpa.tobytes() == recorded.pressure_mpa.tobytes()
    apart = 1e3 * np.abs(seen.pressure_mpa - recorded.pressure_mpa).max()
    # another start is another equilibrium, and no two of them differ by more than is said
    assert 0.1 < apart < known[SINGLE_PLACE]
    for mine, its in zip(seen.areas, recorded.areas, strict=True):
        assert mine.mean_kpa == pytest.approx(its.mean_kpa, abs=known[AREA_MEAN])
        assert mine.peak_kpa == pytest.approx(its.peak_kpa, abs=known[AREA_PEAK])
    for figure in known.values():
        assert f" {figure:g} kPa" in LIVE.label(socket)


@pytest.mark.slow
def test_a_look_at_another_load_case_begins_from_the_donned_limb(shared_data: Path) -> None:
    limb, liner = real_limb(shared_data / "limbs" / "limb_b"), Liner()
    prepared = LIVE.prepare(limb, liner, ScannedOver.SKIN, ProvePlan())
    shape = rectify(limb, default_shape_plan(liner), liner, ScannedOver.SKIN)
    fitted = LIVE.with_socket(prepared, shape)
    _, ended = glance(fitted, CASES[0], None)
    seen, _ = glance(fitted, CASES[1], ended)
    whole = LIVE.solve(fitted, CASES[1])[0]
    assert np.abs(seen.pressure_mpa - whole.pressure_mpa).max() < 0.02 * whole.pressure_mpa.max()
