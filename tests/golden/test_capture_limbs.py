"""Two residual limbs whose true measures are known: clean skins and raw scans of them.

The limbs were cut from the two legs of one reference model, on which the usual leans behind the
limb frame were measured too: for the frame this is no independent test, for all else it is.
"""

import json

import numpy as np
import pytest

from limbwright.capture.intake import take_in
from limbwright.capture.measure import measure, volume_below_ml
from limbwright.capture.plan import CapturePlan, LandmarkSet
from limbwright.capture.read import read_scan
from limbwright.capture.tape import read_tape
from limbwright.capture.unit import find_unit
from limbwright.core.frame import LimbFrame, Side, mesh_to_limb, mesh_to_scan
from limbwright.core.proximity import DistanceTree
from limbwright.core.topology import manifold_errors
from limbwright.core.units import LengthUnit

SCANS = [
    ("limb_a", "raw_scan.stl", LengthUnit.MM),
    ("limb_a", "skin.ply", LengthUnit.MM),
    ("limb_b", "raw_scan.ply", LengthUnit.M),
    ("limb_b", "skin.ply", LengthUnit.MM),
]


class Truth:
    """A limb's folder: landmarks, true axes and volume, tape sheet."""

    def __init__(self, folder):
        content = json.loads((folder / "landmarks.json").read_text(encoding="utf-8"))
        self.side = Side(content["side"])
        self.landmarks = LandmarkSet.model_validate(
            {"unit": content["unit"], "points": content["points"]}, strict=False
        )
        axes = np.array([content["axes"][name] for name in ("lateral", "anterior", "proximal")])
        datum = np.array(content["points"]["mid_patellar_tendon"])
        self.frame = LimbFrame(datum, axes, self.side)
        self.volume_ml = content["true"]["volume_below_mpt_ml"]
        self.tape = read_tape(folder / "tape.csv")


def off_tape(measures, tape):
    rows = {row.level_mm: row for row in measures.levels}
    return {row.level_mm: rows[row.level_mm].tape_mm - row.tape_mm for row in tape.rows}


@pytest.fixture(scope="module", params=SCANS, ids=lambda scan: f"{scan[0]} {scan[1]}")
def taken(shared_data, request):
    limb, scan, unit = request.param
    folder = shared_data / "limbs" / limb
    truth = Truth(folder)
    raw = read_scan(folder / scan)
    plan = CapturePlan(scan=scan, landmarks=truth.landmarks)
    return truth, raw, take_in(raw, None, truth.tape, truth.side, plan), unit


def test_the_unit_is_found_with_landmarks_and_from_size_alone(taken):
    _, raw, limb, unit = taken
    assert limb.unit.unit is unit
    assert find_unit(raw, None, None).unit is unit


def test_measures_in_the_true_frame_show_what_repair_alone_costs(taken):
    truth, _, limb, _ = taken
    skin = mesh_to_limb(truth.frame, mesh_to_scan(limb.frame, limb.skin))
    found = measure(skin, np.array(truth.tape.levels_mm))
    assert found.volume_below_datum_ml == pytest.approx(truth.volume_ml, rel=1e-3)
    for row, hand in zip(found.levels, truth.tape.rows, strict=True):
        assert row.tape_mm == pytest.approx(hand.tape_mm, abs=0.4)
        assert row.ml_mm == pytest.approx(hand.ml_mm, abs=0.4)
        assert row.ap_mm == pytest.approx(hand.ap_mm, abs=0.4)


def test_intake_gives_volume_within_1_percent_and_girths_within_2_mm(taken):
    truth, _, limb, _ = taken
    assert limb.measures.volume_below_datum_ml == pytest.approx(truth.volume_ml, rel=0.01)
    assert max(map(abs, off_tape(limb.measures, truth.tape).values())) <= 2.0
    assert {f.code for f in limb.findings} >= {"tape-agrees", "landmarks-guessed"}
    angles = np.degrees(np.arccos((limb.frame.axes * truth.frame.axes).sum(axis=1)))
    assert angles.max() < 3.0


def test_the_even_surface_is_the_skin_with_about_ten_thousand_points(taken):
    _, _, limb, _ = taken
    assert 8_000 <= len(limb.surface.vertices) <= 14_000
    assert manifold_errors(limb.surface).is_manifold
    away = DistanceTree(limb.skin).closest(limb.surface.vertices)[0]
    assert away.max() < 0.2
    assert volume_below_ml(limb.surface, 0.0) == pytest.approx(
        limb.measures.volume_below_datum_ml, rel=1e-3
    )


def test_every_fault_of_a_raw_scan_is_found_and_a_clean_skin_is_left_alone(taken):
    _, raw, limb, _ = taken
    counts = {item.kind: item.count for item in limb.repairs}
    if len(raw.faces) < 100_000:
        assert counts == {}
        return
    assert counts["specks"] == 5
    assert counts["holes"] == 4
    assert 1_000 < counts["winding"] < 5_000
    assert counts["noise"] > 100_000
