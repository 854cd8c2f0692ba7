"""Two invented people on two real limbs: every finding rests on something, and what does not fit.

A limited-community walker with a magnet, an active heavier one with a pin or with the magnet.
"""

from dataclasses import replace

import numpy as np
import pytest

from coupling_bodies import person
from interface_bodies import real_limb
from limbwright.align.plan import AlignPlan
from limbwright.align.stand import bench_stand
from limbwright.assess.plan import Activity, Liner
from limbwright.capture.plan import ScannedOver
from limbwright.case.create import demo_case
from limbwright.case.evaluate import evaluate
from limbwright.case.memo import Memo
from limbwright.case.parts_file import example_parts, parse_parts
from limbwright.core.findings import Severity
from limbwright.core.frame import Side, mesh_to_patient, points_to_patient
from limbwright.core.sources import Basis
from limbwright.couple.catalogue import Catalogue
from limbwright.couple.in_hand import in_hand
from limbwright.couple.plan import CouplePlan, CouplingKind, CouplingPlan, PartChoice, PartsPlan
from limbwright.couple.seating import seat_coupling
from limbwright.shape.plan import ShapePlan
from limbwright.shape.rectify import rectify

LINER = Liner(thickness_mm=6.0, cap_thickness_mm=10.0)
LIGHT = {"mass_kg": 62.0, "stature_mm": 1680.0, "activity": Activity.K2}
HEAVY = {"mass_kg": 104.0, "stature_mm": 1830.0, "activity": Activity.K3}


def owned():
    """The examples as if they were somebody's own parts."""
    text = example_parts().decode().replace("example = true\n", "").replace("example-", "own-")
    return Catalogue(parts=parse_parts(text.encode(), "parts.toml"))


CATALOGUE = owned()
PARTS = {
    "plate": "own-pyramid-plate",
    "socket_adapter": "own-tube-clamp",
    "pylon": "own-pylon",
    "foot_adapter": "own-tube-clamp",
    "foot": "own-foot",
}


@pytest.fixture(scope="module", params=["limb_a", "limb_b"])
def fitted(request, shared_data):
    limb = real_limb(shared_data / "limbs" / request.param, 5000)
    return limb, rectify(limb, ShapePlan(), LINER, ScannedOver.SKIN)


def coupled(fitted, who, kind, lock, parts=None):
    limb, shape = fitted
    plan = in_hand(
        CouplePlan(
            coupling=CouplingPlan(kind=kind),
            parts=parts or PartsPlan(),
            catalogue=PartChoice(coupling=lock, **PARTS),
        ),
        CATALOGUE,
    )
    one = person(limb.side, **who)
    stand = bench_stand(AlignPlan(), one, shape, plan.parts)
    return seat_coupling(limb, shape, plan, one, LINER, stand=stand, catalogue=CATALOGUE)


def by_code(coupling):
    return {finding.code: finding for finding in coupling.findings}


@pytest.mark.parametrize(
    ("who", "kind", "lock"),
    [
        (LIGHT, CouplingKind.MAGNET, "own-magnet-lock"),
        (HEAVY, CouplingKind.PIN, "own-pin-lock"),
    ],
)
def test_every_finding_has_a_unit_and_every_limit_a_source(fitted, who, kind, lock):
    coupling = coupled(fitted, who, kind, lock)
    for finding in coupling.findings:
        if finding.value is not None:
            assert finding.unit or finding.limit is None, finding.code
        if finding.limit is not None:
            assert finding.source is not None, finding.code
        assert isinstance(finding.basis, Basis)
    assert not any(finding.severity is Severity.STOP for finding in coupling.findings)
    # half of what the target tolerates, and where that is not enough for the adapters it is told
    tolerance = 10.0 if kind is CouplingKind.MAGNET else 5.0
    assert coupling.seat.tilt_deg <= 0.5 * tolerance + 1e-6
    taken = next(choice for choice in coupling.axes if choice.taken)
    beyond = "seat-axis-beyond-adapters" in by_code(coupling)
    assert beyond == (taken.adapter_deg > 8.0)


def test_the_magnet_is_refused_for_the_active_heavy_walker_with_reason_and_excess(fitted):
    found = by_code(coupled(fitted, HEAVY, CouplingKind.MAGNET, "own-magnet-lock"))
    refused = found["part-beyond-rating"]
    assert refused.severity is Severity.STOP
    assert "24 kg above its 80 kg" in refused.text
    assert "K3 is above its K2" in refused.text
    assert "given by catalogue: entry own-magnet-lock" in str(refused.source)


def test_a_leg_without_room_says_what_is_missing_and_which_parts_would_fit(fitted):
    first = coupled(fitted, LIGHT, CouplingKind.MAGNET, "own-magnet-lock")
    # a person whose sound side leaves 10 mm less than these parts need
    need_mm = first.height.datum_floor_mm - first.height.pylon_mm + first.height.pylon_minimum_mm
    parts = PartsPlan(datum_floor_mm=need_mm - 10.0)
    tight = coupled(fitted, LIGHT, CouplingKind.MAGNET, "own-magnet-lock", parts)
    found = by_code(tight)
    missing = found["parts-do-not-fit"]
    assert missing.severity is Severity.STOP
    assert missing.limit - missing.value == pytest.approx(10.0, abs=0.3)
    best = tight.alternatives[0]
    assert [swap.key for swap in best.swaps] == ["own-foot-low"]  # 18 mm lower, 10 missing
    assert best.spare_mm == pytest.approx(8.0, abs=0.3)
    assert "own-foot-low" in found["parts-that-would-fit"].text


def test_a_left_limb_is_coupled_as_the_right_one_that_it_mirrors(fitted):
    limb, shape = fitted
    found = {}
    for side in Side:
        sided = replace(limb, side=side)
        coupling = coupled((sided, shape), LIGHT, CouplingKind.MAGNET, "own-magnet-lock")
        places = np.vstack([coupling.seat.base_mm, coupling.seat.screws_mm])
        bodies = [mesh_to_patient(mesh, side).vertices for mesh in coupling.additions]
        found[side] = points_to_patient(places, side), bodies, coupling.findings
    across = np.array([-1.0, 1.0, 1.0])
    right, left = found[Side.RIGHT], found[Side.LEFT]
    assert np.array_equal(right[0], left[0] * across)
    assert all(np.array_equal(a, b * across) for a, b in zip(right[1], left[1], strict=True))
    assert right[2] == left[2]


@pytest.mark.slow
def test_both_sides_of_one_invented_person_get_the_same_coupling(tmp_path):
    seats = []
    for side in Side:
        folder = tmp_path / side.value
        result = evaluate(folder, demo_case(folder, side), Memo(), upto="couple")
        seats.append(result.outcomes["couple"].result)
    right, left = seats
    # the scans are not the same triangles: what is left is their remeshing
    for name in ("cap_mm", "face_mm", "base_mm", "screws_mm"):
        assert getattr(right.seat, name) == pytest.approx(getattr(left.seat, name), abs=0.1), name
    assert right.seat.axis == pytest.approx(left.seat.axis, abs=1e-3)
    assert [f.code for f in right.findings] == [f.code for f in left.findings]
    assert right.withdrawal.catch_mm == pytest.approx(left.withdrawal.catch_mm, abs=0.1)
