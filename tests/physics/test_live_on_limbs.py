"""The live model on the open test limbs with their true bones: every load case carried."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from interface_bodies import load, real_limb, with_pull
from limbwright.assess.plan import Liner
from limbwright.capture.plan import ScannedOver
from limbwright.case.codec import decode, encode
from limbwright.prove.interface.condensed.live import LIVE, LivePrepared
from limbwright.prove.interface.engine import run_all
from limbwright.prove.plan import ProvePlan
from limbwright.shape.defaults import default_shape_plan
from limbwright.shape.rectify import rectify

WALKING = (
    load("standing", (0, 0, 400.0)),
    load("early_stance", (30, -120, 880.0), (-20000, 20000, 0)),
    load("mid_stance", (40, 0, 800.0), (5000, 25000, 2000)),
    load("late_stance", (30, 140, 880.0), (50000, 22000, 5000)),
    with_pull(load("swing", (0, 5, -40.0), (1500, 0, 0)), 35.0),
)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["limb_a", "limb_b"])
def test_every_load_case_is_carried_and_seen_on_the_skin(shared_data: Path, name: str) -> None:
    limb = real_limb(shared_data / "limbs" / name)
    liner = Liner()
    shape = rectify(limb, default_shape_plan(liner), liner, ScannedOver.SKIN)
    arrays: dict[str, np.ndarray] = {}
    form = encode(LIVE.prepare(limb, liner, ScannedOver.SKIN, ProvePlan()), arrays)
    # kept with the case and read again, it is the same
    prepared = decode(LivePrepared, form, arrays)
    assert len(prepared.body.points_mm) >= 1500
    fitted = LIVE.with_socket(prepared, shape)
    result = run_all(LIVE, fitted, WALKING)
    skin = fitted.zones.skin
    for wanted, case in zip(WALKING, result.cases[1:], strict=True):
        assert case.residual < 1e-3
        traction = case.shear_mpa - case.pressure_mpa[:, None] * skin.normals
        force = (skin.areas_mm2[:, None] * traction).sum(axis=0)
        pull = wanted.coupling_pull_n * fitted.pull.sum(axis=0)
        gross = float(skin.areas_mm2 @ case.pressure_mpa)
        # carried over to the skin's own vertices: within 1 % of all that presses
        left = np.linalg.norm(force + pull - wanted.wrench_on_limb.force_n)
        assert left < 0.01 * gross
        assert not case.pressure_mpa[~shape.below_trim].any()
    # Beil et al. 2002, J Rehabil Res Dev 39:693: means of stance peaks about 80 kPa; a model with
    # assumed tissue claims the order of magnitude
    pressure = result.cases[3].pressure_mpa
    touches = pressure > 0
    mean = 1e3 * skin.areas_mm2[touches] @ pressure[touches] / skin.areas_mm2[touches].sum()
    assert 20.0 < mean < 110.0
