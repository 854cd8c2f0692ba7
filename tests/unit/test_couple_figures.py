import math

import pytest

from coupling_bodies import person, round_limb_and_socket, seat_on
from limbwright.assess.plan import Activity
from limbwright.core.findings import Severity
from limbwright.core.sources import Basis, Confidence, Origin
from limbwright.couple.checks import seat_findings
from limbwright.couple.figures import coupling_figures, disc_overlap, offset_for_overlap_mm
from limbwright.couple.hardware import cavity_of
from limbwright.couple.magnet import flux_density_t, strongest_pull_n
from limbwright.couple.plan import CouplePlan, CouplingKind, CouplingPlan
from limbwright.couple.tables import COUPLINGS


def findings_of(activity=Activity.K2, **coupling):
    plan = CouplePlan(coupling=CouplingPlan(**coupling))
    _, shape = round_limb_and_socket()
    seat = seat_on(plan.coupling)
    cavity = cavity_of(seat, shape.model)
    found = seat_findings(seat, cavity, plan, person(activity=activity), shape)
    return {finding.code: finding for finding in found}


def test_a_magnet_holds_about_44_pounds_force_as_common_practice_has_it():
    figure = coupling_figures(CouplingPlan(kind=CouplingKind.MAGNET)).capacity_n
    assert figure.value == pytest.approx(195.7, abs=0.05)  # 44 lbf, 1 lbf = 4.4482216 N
    assert figure.basis is Basis.DEFAULT
    assert figure.source.origin is Origin.TRADE


def test_a_stated_figure_replaces_the_default_and_is_given():
    figures = coupling_figures(CouplingPlan(kind=CouplingKind.MAGNET, capacity_n=150.0))
    assert figures.capacity_n.value == 150.0
    assert figures.capacity_n.basis is Basis.GIVEN
    assert figures.tolerance_tilt_deg.basis is Basis.DEFAULT


def test_a_magnet_offers_a_larger_target_than_a_pin_and_bears_ten_degrees():
    magnet = coupling_figures(CouplingPlan(kind=CouplingKind.MAGNET))
    pin = coupling_figures(CouplingPlan(kind=CouplingKind.PIN))
    assert magnet.target_diameter_mm.value == 50.0
    assert pin.target_diameter_mm.value == 8.0
    assert magnet.tolerance_tilt_deg.value == 10.0
    assert pin.tolerance_tilt_deg.value is None


def test_the_bench_ranks_pin_over_strap_over_magnet_over_suction_as_published():
    # Gholizadeh et al. 2014: 580 / 490 / 351 / 310 N at failure
    pin = COUPLINGS[CouplingKind.PIN].capacity_n.value
    strap = COUPLINGS[CouplingKind.STRAP].capacity_n.value
    suction = COUPLINGS[CouplingKind.SUCTION].capacity_n.value
    assert (pin, strap, suction) == (580.0, 490.0, 310.0)


def test_what_nobody_established_has_no_figure():
    assert COUPLINGS[CouplingKind.LANYARD].capacity_n is None
    assert COUPLINGS[CouplingKind.SLEEVE].capacity_n is None


def test_sizes_of_bodies_from_memory_say_that_their_confidence_is_low():
    for kind in (CouplingKind.PIN, CouplingKind.MAGNET, CouplingKind.LANYARD):
        assert COUPLINGS[kind].body_height_mm.source.confidence is Confidence.LOW


@pytest.mark.parametrize("offset_mm", [0.0, 3.0, 10.0, 25.0, 49.0])
def test_the_overlap_of_two_discs_is_that_of_a_polygon_library(offset_mm):
    shapely = pytest.importorskip("shapely")
    disc = shapely.Point(0, 0).buffer(25.0, quad_segs=400)
    moved = shapely.Point(offset_mm, 0).buffer(25.0, quad_segs=400)
    share = disc.intersection(moved).area / disc.area
    assert disc_overlap(offset_mm, 50.0) == pytest.approx(share, abs=1e-4)


def test_discs_a_diameter_apart_share_nothing():
    assert disc_overlap(50.0, 50.0) == pytest.approx(0.0, abs=1e-12)
    assert disc_overlap(80.0, 50.0) == pytest.approx(0.0, abs=1e-12)


def test_the_offset_for_an_overlap_gives_that_overlap():
    offset_mm = offset_for_overlap_mm(50.0, 0.9)
    assert disc_overlap(offset_mm, 50.0) == pytest.approx(0.9, abs=1e-9)
    assert 3.0 < offset_mm < 5.0


def test_magnetic_pull_follows_the_closed_form_of_a_narrow_gap():
    # B = sqrt(2 mu0 F / A): 195.7 N on 50 mm needs 0.50 T, on 8 mm 3.1 T
    assert flux_density_t(195.7, 50.0) == pytest.approx(0.50, abs=0.005)
    assert flux_density_t(195.7, 8.0) == pytest.approx(3.1, abs=0.05)
    assert strongest_pull_n(8.0) == pytest.approx(80.0, abs=1.0)
    area_m2 = math.pi * 0.004**2
    assert strongest_pull_n(8.0) / area_m2 / 1e6 == pytest.approx(1.59, abs=0.01)


def test_a_magnet_said_to_hold_more_than_iron_can_carry_is_questioned():
    found = findings_of(kind=CouplingKind.MAGNET, capacity_n=195.7, target_diameter_mm=8.0)
    assert found["magnet-pull-impossible"].severity is Severity.WARNING
    assert "magnet-pull-impossible" not in findings_of(kind=CouplingKind.MAGNET)


@pytest.mark.parametrize(
    ("activity", "severity"),
    [
        (Activity.K1, Severity.OK),
        (Activity.K2, Severity.OK),
        (Activity.K3, Severity.NOTE),
        (Activity.K4, Severity.WARNING),
    ],
)
def test_a_magnet_is_for_limited_community_walkers_and_not_for_the_very_active(activity, severity):
    assert findings_of(activity)["magnet-and-activity"].severity is severity


def test_a_small_target_is_pointed_out_and_a_large_one_is_not():
    assert "8 mm" in findings_of(kind=CouplingKind.PIN)["target-is-small"].text
    assert "target-is-small" not in findings_of(kind=CouplingKind.MAGNET)
