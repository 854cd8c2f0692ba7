"""The spring bed against closed forms: cone with friction, annulus, layers, bonded bed."""

from __future__ import annotations

import numpy as np
import pytest

from interface_bodies import NO_LINER, limb_of, load, prepared_bed, revolved, socket_of
from limbwright.assess.plan import Liner, LinerMaterial
from limbwright.capture.result import Limb
from limbwright.core.errors import NotConverged
from limbwright.prove.interface.engine import run_all, unloaded
from limbwright.prove.interface.reading import mean_in_contact_kpa
from limbwright.prove.interface.spring_bed import SPRING_BED, Fitted
from limbwright.prove.plan import TissuePlan

AROUND = 128
SLOPE = np.arctan((55.0 - 40.0) / 180.0)


def cone(cover_mm: float) -> Limb:
    """Radius 55 to 40 mm over 180 mm, narrow end down, without ends."""
    surface = revolved(lambda u: 40.0 + u * 15.0 / 180.0, np.linspace(0, 180, 61), AROUND)
    return limb_of(surface, cover_mm)


def tube(radius_mm: float, cover_mm: float) -> Limb:
    surface = revolved(lambda u: np.full_like(u, radius_mm), np.linspace(0, 200, 51), AROUND)
    return limb_of(surface, cover_mm)


def fitted(limb: Limb, press_mm: float, friction: float, tissue: TissuePlan) -> Fitted:
    liner = NO_LINER.model_copy(update={"friction": friction})
    prepared = prepared_bed(limb, liner, tissue)
    return SPRING_BED.with_socket(prepared, socket_of(limb, press_mm))


@pytest.mark.parametrize(
    ("friction", "pressure_kpa"),
    [(1e-9, 178.70), (0.2, 52.56), (0.3, 38.85), (0.5, 25.53), (0.7, 19.01)],
)
def test_a_conical_socket_that_slides_carries_its_load_at_the_pressure_of_statics(
    friction: float, pressure_kpa: float
) -> None:
    # Equilibrium of a rigid cone under uniform pressure with Coulomb friction fully mobilised:
    # p = F / (A (sin a + mu cos a)), F = 800 N. Nothing is pressed before the load, so that each
    # mm of sinking asks for more shear, G cos a / t, than friction allows, mu M sin a / t.
    limb = cone(cover_mm=12.0)
    bed = fitted(limb, 0.0, friction, TissuePlan(poisson=0.45))
    case = run_all(SPRING_BED, bed, [load("standing", (0, 0, 800.0))]).cases[1]
    area_mm2 = np.pi * (55.0 + 40.0) * np.hypot(180.0, 15.0)
    statics_mpa = 800.0 / (area_mm2 * (np.sin(SLOPE) + friction * np.cos(SLOPE)))
    assert pressure_kpa == pytest.approx(1e3 * statics_mpa, rel=3e-4)
    # a prism of 128 sides has 0.04 % less area than the cone
    assert mean_in_contact_kpa(bed.zones, case.pressure_mpa) == pytest.approx(
        pressure_kpa, rel=1e-3
    )
    assert np.ptp(case.pressure_mpa) < 1e-3 * case.pressure_mpa.max()


def test_a_bonded_cone_sinks_as_far_as_its_layer_yields() -> None:
    # No sliding: F = A s (M sin^2 a + G cos^2 a) / t, M = E(1-nu)/((1+nu)(1-2nu)), G = E/2(1+nu)
    limb = cone(cover_mm=20.0)
    bed = fitted(limb, 0.0, 1.5, TissuePlan(modulus_kpa=100.0, poisson=0.45))
    pose = run_all(SPRING_BED, bed, [load("standing", (0, 0, 800.0))]).cases[1].pose
    stiff = 0.1 * 0.55 / (1.45 * 0.1)
    shear = 0.1 / (2 * 1.45)
    area = np.pi * (55.0 + 40.0) * np.hypot(180.0, 15.0)
    sunk = 800.0 * 20.0 / (area * (stiff * np.sin(SLOPE) ** 2 + shear * np.cos(SLOPE) ** 2))
    assert -pose.shift_mm[2] == pytest.approx(sunk, rel=1e-3)


def test_doubling_the_load_on_a_bonded_bed_in_full_contact_doubles_the_pressure() -> None:
    # linearity of an elastic body without change of contact
    bed = fitted(cone(20.0), 0.0, 1.5, TissuePlan())
    result = run_all(SPRING_BED, bed, [load("once", (0, 0, 400.0)), load("twice", (0, 0, 800.0))])
    once, twice = result.cases[1], result.cases[2]
    assert once.contact_share == pytest.approx(1.0)
    np.testing.assert_allclose(twice.pressure_mpa, 2 * once.pressure_mpa, rtol=1e-6)


def test_under_prepressure_doubling_the_load_doubles_the_change_of_pressure() -> None:
    bed = fitted(cone(20.0), 2.0, 5.0, TissuePlan())
    result = run_all(
        SPRING_BED,
        bed,
        [
            load("once", (10, 20, 200.0), (2000.0, 3000.0, 500.0)),
            load("twice", (20, 40, 400.0), (4000.0, 6000.0, 1000.0)),
        ],
    )
    donned, once, twice = result.cases
    assert donned.contact_share == once.contact_share == twice.contact_share == 1.0
    np.testing.assert_allclose(
        twice.pressure_mpa - donned.pressure_mpa,
        2 * (once.pressure_mpa - donned.pressure_mpa),
        atol=1e-6 * donned.pressure_mpa.max(),
    )


def annulus_kpa(modulus_kpa: float, nu: float, inner: float, outer: float, pressed: float) -> float:
    """Pressure on an elastic annulus bonded to a rigid core, plane strain (Lame's solution)."""
    ratio = (inner / outer) ** 2
    return (modulus_kpa * pressed * outer / ((1 + nu) * (1 - 2 * nu) * (outer**2 - inner**2))) * (
        1 + (1 - 2 * nu) * ratio
    )


def pressed_tube_kpa(nu: float, inner: float, outer: float, pressed: float) -> float:
    bed = fitted(tube(outer, outer - inner), pressed, 0.5, TissuePlan(modulus_kpa=100, poisson=nu))
    case, _ = SPRING_BED.solve(bed, unloaded())
    return mean_in_contact_kpa(bed.zones, case.pressure_mpa)


def test_lames_annulus_has_the_pressures_of_the_worked_examples() -> None:
    found = [annulus_kpa(100.0, nu, 15.0, 50.0, 1.0) for nu in (0.30, 0.45, 0.49)]
    assert found == pytest.approx([4.379, 15.294, 73.885], abs=1e-3)


@pytest.mark.parametrize("nu", [0.30, 0.45, 0.49])
def test_the_bed_tends_to_lames_annulus_as_the_layer_gets_thin(nu: float) -> None:
    # The bed takes each fibre as confined; a thick annulus converges towards its core. Ratio of
    # the two formulas: (1 - nu)(1 + a/b) / (1 + (1 - 2 nu) a^2/b^2), which goes to 1 with a/b as
    # 1 + ((1 - 2 nu)/(1 - nu) - 1/2) t/b.
    outer, errors = 400.0, []
    for thickness in (8.0, 4.0, 2.0):
        inner = outer - thickness
        bed_kpa = pressed_tube_kpa(nu, inner, outer, 0.1)
        errors.append(abs(bed_kpa / annulus_kpa(100.0, nu, inner, outer, 0.1) - 1))
    rates = np.log2(np.array(errors[:-1]) / np.array(errors[1:]))
    slope = (1 - 2 * nu) / (1 - nu) - 0.5
    assert errors[-1] == pytest.approx(abs(slope) * 2.0 / outer, rel=0.1)
    np.testing.assert_allclose(rates, 1.0, atol=0.2)


@pytest.mark.parametrize(("nu", "ratio"), [(0.30, 0.878), (0.45, 0.709), (0.49, 0.662)])
def test_on_a_thick_annulus_the_bed_is_too_soft_by_a_known_ratio(nu: float, ratio: float) -> None:
    bed_kpa = pressed_tube_kpa(nu, 15.0, 50.0, 1.0)
    assert bed_kpa / annulus_kpa(100.0, nu, 15.0, 50.0, 1.0) == pytest.approx(ratio, abs=1e-3)


def test_tissue_and_liner_yield_in_series() -> None:
    # compliance of a stack under one pressure is the sum of the layers' compliances t / M
    limb = tube(50.0, 20.0)
    liner = Liner(material=LinerMaterial.FOAM, thickness_mm=6.0, modulus_kpa=380.0)
    tissue = TissuePlan(modulus_kpa=100.0, poisson=0.3)
    prepared = prepared_bed(limb, liner, tissue)
    bed = SPRING_BED.with_socket(prepared, socket_of(limb, 1.0, liner_mm=6.0))
    case, _ = SPRING_BED.solve(bed, unloaded())
    m_tissue = 100.0 * 0.7 / (1.3 * 0.4)
    m_liner = 380.0 * 0.55 / (1.45 * 0.1)
    expected = 1.0 / (20.0 / m_tissue + 6.0 / m_liner)
    assert mean_in_contact_kpa(bed.zones, case.pressure_mpa) == pytest.approx(expected, rel=1e-3)


def test_a_scan_over_the_liner_counts_the_liner_once() -> None:
    liner = Liner(material=LinerMaterial.FOAM, thickness_mm=6.0)
    over_skin, over_liner = tube(50.0, 20.0), tube(50.0, 26.0)
    pressures = []
    for limb, allowance in ((over_skin, 6.0), (over_liner, 0.0)):
        prepared = prepared_bed(limb, liner)
        bed = SPRING_BED.with_socket(prepared, socket_of(limb, 1.0, liner_mm=allowance))
        pressures.append(SPRING_BED.solve(bed, unloaded())[0].pressure_mpa)
    np.testing.assert_allclose(pressures[0], pressures[1], rtol=1e-9)


def test_a_limb_falls_through_a_straight_socket_that_is_too_wide() -> None:
    bed = fitted(tube(50.0, 20.0), -3.0, 0.5, TissuePlan())
    with pytest.raises(NotConverged, match="standing: the limb falls through"):
        run_all(SPRING_BED, bed, [load("standing", (0, 0, 800.0))])


def test_a_limb_that_sinks_far_into_a_loose_cone_counts_as_not_held() -> None:
    # 8 mm of room all round are met after 8 / sin a = 96 mm of sinking
    bed = fitted(cone(20.0), -8.0, 0.5, TissuePlan())
    with pytest.raises(NotConverged, match="standing: the limb falls through; it moves"):
        run_all(SPRING_BED, bed, [load("standing", (0, 0, 800.0))])


def test_a_limb_sinks_into_a_slightly_loose_cone_until_it_is_carried() -> None:
    # room of 1 mm: contact begins after 1 / sin a of sinking; then as above
    bed = fitted(cone(12.0), -1.0, 0.5, TissuePlan())
    case = run_all(SPRING_BED, bed, [load("standing", (0, 0, 800.0))]).cases[1]
    assert -case.pose.shift_mm[2] > 1.0 / np.sin(SLOPE)
    assert mean_in_contact_kpa(bed.zones, case.pressure_mpa) == pytest.approx(25.53, rel=1e-3)


def test_without_friction_nothing_holds_a_cone_against_turning() -> None:
    bed = fitted(cone(20.0), 1.0, 1e-9, TissuePlan())
    with pytest.raises(NotConverged, match="turns about its long axis"):
        run_all(SPRING_BED, bed, [load("twist", (0, 0, 400.0), (0, 0, 2000.0))])


def test_friction_holds_a_straight_socket_up_to_its_limit_and_no_further() -> None:
    # tube under prepressure p: holds at most mu p A along its axis
    bed = fitted(tube(50.0, 20.0), 1.0, 0.3, TissuePlan())
    pressure = SPRING_BED.solve(bed, unloaded())[0].pressure_mpa
    most = 0.3 * float(bed.prepared.skin.areas_mm2 @ pressure)
    run_all(SPRING_BED, bed, [load("standing", (0, 0, 0.99 * most))])
    with pytest.raises(NotConverged, match="falls through"):
        run_all(SPRING_BED, bed, [load("standing", (0, 0, 1.01 * most))])
    with pytest.raises(NotConverged, match="swing: the limb is pulled out"):
        run_all(SPRING_BED, bed, [load("swing", (0, 0, -1.01 * most))])
