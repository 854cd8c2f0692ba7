"""All proofs of one leg put together, on a round limb in a round socket."""

from functools import cache

import numpy as np
import pytest

from coupling_bodies import person, round_limb_and_socket
from limbwright.align.plan import AlignPlan
from limbwright.align.setup import set_up
from limbwright.assess.assessment import assess
from limbwright.assess.plan import Activity, Liner
from limbwright.core.errors import NotConverged
from limbwright.core.findings import SEVERITY_ORDER, Severity, stops_job
from limbwright.couple.plan import CouplePlan, CouplingKind, CouplingPlan, PartsPlan
from limbwright.couple.seating import seat_coupling
from limbwright.prove.interface.reading import divide, read_zones, skin_of
from limbwright.prove.plan import ProvePlan
from limbwright.prove.proof import prove
from limbwright.prove.result import CasePressure, InterfaceResult, Pose

PARTS = PartsPlan(datum_floor_mm=460.0)


@cache
def limb_and_zones():
    limb, shape = round_limb_and_socket()
    return limb, shape, divide(skin_of(limb.surface), shape)


def pressed(name, shift_mm=(0.0, 0.0, 0.0), turn_deg=(0.0, 0.0, 0.0)):
    """A load case without any pressure, the limb standing where it is told."""
    limb, _, zones = limb_and_zones()
    count = len(limb.surface.vertices)
    nothing = np.zeros(count), np.zeros((count, 3))
    pose = Pose(np.array(shift_mm), np.deg2rad(turn_deg))
    return CasePressure(name, *nothing, pose, read_zones(zones, *nothing), 0.0, 0.0, 0)


def proved(cases, kind=CouplingKind.MAGNET, refused=(), parts=PARTS, **who):
    limb, shape, zones = limb_and_zones()
    walker = person(**who)
    couple_plan = CouplePlan(coupling=CouplingPlan(kind=kind), parts=parts)
    liner = Liner(thickness_mm=10.0)
    coupling = seat_coupling(limb, shape, couple_plan, walker, liner)
    known = assess(walker)
    alignment = set_up(limb, shape, coupling, AlignPlan(), walker, known, parts)
    return prove(
        limb,
        shape,
        coupling,
        alignment,
        known,
        InterfaceResult("spring_bed", "first estimate", cases),
        ProvePlan(),
        couple_plan,
        walker,
        zones=zones,
        refused=refused,
    )


def finding(proof, code):
    return next(item for item in proof.findings if item.code == code)


def test_the_liners_target_follows_the_limb_in_every_load_case():
    # The seat of a round limb is straight: a limb that shifts 3 mm aside takes its target 3 mm
    # aside, one that turns 2 degrees tilts it by 2 degrees.
    proof = proved(
        (
            pressed("donned"),
            pressed("standing", shift_mm=(3.0, 0.0, -5.0)),
            pressed("late_stance", turn_deg=(2.0, 0.0, 0.0)),
        )
    )
    assert proof.coupling_offset_mm["donned"] == pytest.approx(0.0, abs=0.05)
    assert proof.coupling_offset_mm["standing"] == pytest.approx(3.0, abs=0.05)
    assert proof.coupling_tilt_deg["standing"] == pytest.approx(0.0, abs=0.05)
    assert proof.coupling_tilt_deg["late_stance"] == pytest.approx(2.0, abs=0.05)


def test_misfit_under_load_is_held_against_the_couplings_tolerance():
    # Common practice without a source: a 50 mm magnet target holds fully up to 10 degrees.
    proof = proved((pressed("donned"), pressed("swing", turn_deg=(0.0, 12.0, 0.0))))
    tilt = finding(proof, "target-tilt-swing")
    assert tilt.stage == "prove"
    assert tilt.limit == 10.0
    assert tilt.value == pytest.approx(12.0, abs=0.1)
    assert tilt.severity is Severity.WARNING


def test_a_load_case_without_equilibrium_stops_the_job_and_names_itself():
    error = NotConverged("the limb finds no equilibrium in swing", where="swing")
    proof = proved((pressed("donned"),), refused=(error,))
    assert stops_job(proof.findings)
    told = finding(proof, "no-equilibrium")
    assert told.severity is Severity.STOP
    assert told.where == "swing"


def test_findings_come_worst_first_and_all_from_this_stage():
    proof = proved((pressed("donned"),))
    ranks = [SEVERITY_ORDER.index(item.severity) for item in proof.findings]
    assert ranks == sorted(ranks)
    assert {item.stage for item in proof.findings} == {"prove"}


def test_pressure_suspension_and_strength_all_have_their_say():
    proof = proved((pressed("donned"),))
    codes = {item.code for item in proof.findings}
    assert {"first-estimate", "suspension-walking", "strength-compared"} <= codes
    assert proof.suspension
    assert proof.strength
    limb, shape, _ = limb_and_zones()
    assert proof.covered.tolist() == shape.below_trim.tolist()
    assert len(proof.covered) == len(limb.surface.vertices)


def test_a_very_active_walker_is_refused_the_magnet_and_given_the_pin():
    # Common practice without a source: a magnet is not for very active users.
    heavy = {"activity": Activity.K4, "mass_kg": 95.0}
    weighed = {**heavy, "parts": PartsPlan(datum_floor_mm=460.0, prosthesis_mass_kg=2.6)}
    assert stops_job(proved((pressed("donned"),), CouplingKind.MAGNET, **weighed).findings)
    assert not stops_job(proved((pressed("donned"),), CouplingKind.PIN, **weighed).findings)
    # A leg that nobody weighed refuses nothing by its default, and passes nothing either.
    default = proved((pressed("donned"),), CouplingKind.MAGNET, **heavy)
    assert not stops_job(default.findings)
    assert finding(default, "suspension-running").severity is Severity.NOT_ESTABLISHED


def test_a_person_above_the_highest_load_level_is_never_said_to_be_held():
    proof = proved((pressed("donned"),), mass_kg=104.0, activity=Activity.K3)
    assert proof.strength
    told = {f.severity for f in proof.findings if f.code.startswith("strength-")}
    assert Severity.OK not in told
    verdict = finding(proof, "strength-compared")
    assert verdict.severity in (Severity.NOT_ESTABLISHED, Severity.WARNING)
    assert "100 kg" in verdict.text
