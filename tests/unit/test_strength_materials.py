"""What a material is credited with, and when it is credited with nothing."""

import pytest

from limbwright.core.sources import Basis, Confidence, Origin
from limbwright.prove.materials import allowable, wall_thickness_mm
from limbwright.prove.plan import MaterialPlan, ProvePlan, SocketProcess
from limbwright.prove.strength_tables import (
    ACROSS_LAYERS,
    CAST_TAPE,
    MATERIALS,
    Failure,
    Material,
)

CAST = ProvePlan(process=SocketProcess.WALKING_CAST, material=CAST_TAPE)
OWN = MaterialPlan(strength_mpa=60.0, source="own coupon test, eight layers")


def test_cast_tape_has_no_figure_and_asks_for_a_coupon_test():
    credit = allowable(CAST)
    assert credit.wall_mpa is None
    assert credit.bolted_mpa is None
    assert "coupon" in credit.says


def test_an_own_coupon_test_replaces_the_missing_figure_with_its_source():
    credit = allowable(CAST.model_copy(update={"own_material": OWN}))
    assert credit.wall_mpa == pytest.approx(60.0)
    assert credit.basis is Basis.GIVEN
    assert credit.source is not None
    assert credit.source.citation == "own coupon test, eight layers"
    assert credit.source.origin is Origin.STATED
    assert credit.failure is Failure.BRITTLE


def test_an_own_figure_without_a_source_is_not_credited():
    own = MaterialPlan(strength_mpa=60.0, source="  ")
    credit = allowable(CAST.model_copy(update={"own_material": own}))
    assert credit.wall_mpa is None
    assert "without a source" in credit.says


@pytest.mark.parametrize(
    "key", [key for key, m in MATERIALS.items() if m.process.value == "printed"]
)
def test_prints_are_credited_with_their_strength_across_the_layers(key):
    # Printed coupons: strength across to along layers 0.57 to 0.70.
    assert 0.57 <= ACROSS_LAYERS.value <= 0.70
    credit = allowable(ProvePlan(process=SocketProcess.PRINTED, material=key))
    assert credit.wall_mpa == pytest.approx(0.6 * credit.undiminished_mpa)
    assert credit.bolted_mpa == pytest.approx(0.5 * 0.6 * credit.undiminished_mpa)


def test_an_own_print_is_weakened_across_its_layers_too():
    plan = ProvePlan(process=SocketProcess.PRINTED, material="own blend", own_material=OWN)
    assert allowable(plan).wall_mpa == pytest.approx(36.0)


@pytest.mark.parametrize(
    ("key", "low_mpa", "high_mpa"),
    [
        # Phillips and Craelius 2005, J Prosthet Orthot 17:27
        ("knit_laminate", 18.0, 42.0),
        ("glass_laminate", 67.0, 109.0),
        # Journal of Composite Materials doi 10.1177/00219983261463688
        ("carbon_laminate", 79.9, 79.9),
        # Heliyon 2023 9:e15023, table 6
        ("petg_print", 38.0, 40.0),
        ("pa12_print", 43.0, 48.0),
    ],
)
def test_published_strengths_are_entered_at_the_low_end(key, low_mpa, high_mpa):
    strength = MATERIALS[key].strength_mpa
    assert strength.value == low_mpa <= high_mpa
    assert strength.source.origin is Origin.PUBLISHED


def test_a_carbon_socket_is_a_third_as_strong_round_the_limb():
    # 25.45 against 79.9 MPa, Journal of Composite Materials doi 10.1177/00219983261463688.
    plan = ProvePlan(process=SocketProcess.LAMINATED, material="carbon_laminate")
    credit = allowable(plan)
    assert credit.wall_mpa == pytest.approx(79.9)
    assert credit.bolted_mpa == pytest.approx(0.5 * 25.45)


def test_a_material_of_another_process_is_named_and_not_used():
    plan = ProvePlan(process=SocketProcess.LAMINATED, material="petg_print")
    credit = allowable(plan)
    assert credit.wall_mpa is None
    assert "petg_print" in credit.says
    assert "carbon_laminate" in credit.says


@pytest.mark.parametrize("material", MATERIALS.values(), ids=MATERIALS.keys())
def test_no_figure_of_low_confidence_stands_in_the_table(material: Material):
    figures = [material.strength_mpa, material.modulus_mpa, material.softening_c]
    figures += [material.wall_share, material.plate_share]
    for figure in figures:
        assert figure is None or figure.source.confidence is not Confidence.LOW
        assert figure is None or figure.source.citation


def test_layered_walls_are_as_thick_as_their_layers():
    cast = CAST.model_copy(update={"layers": 8, "layer_mm": 0.75, "wall_mm": 5.0})
    assert wall_thickness_mm(cast) == pytest.approx(6.0)
    assert wall_thickness_mm(ProvePlan(wall_mm=4.5)) == 4.5


def test_check_sockets_bend_before_they_break_and_laminates_do_not():
    # Gerschutz et al. 2012: the ductile criterion for check sockets, the brittle for laminates.
    assert MATERIALS["petg_sheet"].failure is Failure.DUCTILE
    assert MATERIALS["pp_copolymer_sheet"].failure is Failure.DUCTILE
    assert MATERIALS["carbon_laminate"].failure is Failure.BRITTLE
