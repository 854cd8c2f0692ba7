"""The confirming engine on the demo limb: donned, then a load from the state that is remembered."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from limbwright.case.evaluate import evaluate
from limbwright.case.folder import read_case
from limbwright.case.memo import Memo
from limbwright.prove.interface.engine import engine, unloaded
from limbwright.prove.plan import MeshLevel, ProvePlan


@pytest.mark.slow
def test_the_demo_limb_is_donned_and_bears_standing(demo_copy: Path) -> None:
    document = read_case(demo_copy)
    stages = evaluate(demo_copy, document, Memo(), upto="align").outcomes
    limb, shape = stages["capture"].result, stages["shape"].result
    confirming = engine("fe")
    plan = ProvePlan(mesh=MeshLevel.COARSE)
    prepared = confirming.prepare(limb, document.liner, document.capture.scanned_over, plan)
    fitted = confirming.with_socket(prepared, shape, stages["couple"].result.seat)
    assert "not validated on people" in confirming.label(fitted)
    told: list[tuple[str, float]] = []
    donned, state = confirming.solve(fitted, unloaded(), None, lambda *at: told.append(at))
    assert {name for name, _ in told} == {"donned"}
    standing = next(case for case in stages["align"].result.load_cases if case.name == "standing")
    case, _ = confirming.solve(fitted, standing, state)
    skin = fitted.zones.skin
    for pressed, wanted in ((donned, np.zeros(3)), (case, standing.wrench_on_limb.force_n)):
        assert pressed.residual < 1e-3
        traction = pressed.shear_mpa - pressed.pressure_mpa[:, None] * skin.normals
        whole = (skin.areas_mm2[:, None] * traction).sum(axis=0)
        # carried to the scanned surface, within 2 % of standing's load
        np.testing.assert_allclose(whole, wanted, atol=0.02 * 360.0)
        assert not pressed.pressure_mpa[~shape.below_trim].any()
