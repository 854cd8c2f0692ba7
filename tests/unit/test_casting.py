"""The casting plan against published heat, tape and plaster figures, and its monotone rules."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from capture_bodies import cone
from interface_bodies import limb_of
from limbwright.assess.plan import Liner, LinerMaterial
from limbwright.capture.casting.casting import CouplingBody, plan_casting
from limbwright.capture.casting.filling import filling, powder_kg_per_litre
from limbwright.capture.casting.marks import TrimHeights, around_words
from limbwright.capture.casting.plan import CastingPlan
from limbwright.capture.casting.result import Casting
from limbwright.capture.casting.wrap import rolls_needed, usual_layers, wrapped_area_mm2
from limbwright.capture.plan import ScannedOver
from limbwright.capture.result import Landmark, Limb
from limbwright.core.findings import Severity
from limbwright.core.frame import Side
from limbwright.core.sources import Basis

TRIM = TrimHeights(0.0, 5.0, 5.0, -10.0)
BODY = CouplingBody(60.0, 30.0, 2.0, 36.0, 180.0, 14.0)


def limb(side: Side = Side.RIGHT) -> Limb:
    whole = limb_of(cone(55.0, 40.0, 180.0), 10.0)
    points = {
        "crest_lower": (0.0, 42.0, -110.0),
        "fibular_head": (55.0, 0.0, -5.0),
        "mid_patellar_tendon": (-5.0, 54.0, 0.0),
        "limb_end": (0.0, 0.0, -180.0),
    }
    marks = {
        name: Landmark(name, np.array(point), Basis.GIVEN, 0.0) for name, point in points.items()
    }
    return replace(whole, landmarks=marks, side=side)


def cast(
    plan: CastingPlan | None = None,
    liner: Liner | None = None,
    coupling: CouplingBody | None = BODY,
    mass_kg: float = 70.0,
    walked: bool = False,
    side: Side = Side.RIGHT,
) -> Casting:
    return plan_casting(
        limb(side),
        liner or Liner(),
        mass_kg,
        ScannedOver.LINER,
        TRIM,
        coupling,
        walked,
        plan or CastingPlan(),
    )


def finding(casting: Casting, code: str):
    return next(item for item in casting.findings if item.code == code)


def codes(casting: Casting) -> set[str]:
    return {item.code for item in casting.findings}


@pytest.mark.parametrize(("girth_mm", "rolls"), [(300, 1.2), (330, 1.3), (360, 1.4)])
def test_rolls_for_limbs_25_cm_long_agree_with_the_worked_example(girth_mm, rolls) -> None:
    # 25 cm and girths of 30, 33, 36 cm: 0.084, 0.094, 0.104 m2 with the end; five layers of a
    # 10 cm roll of 3.6 m: 1.2, 1.3, 1.4 rolls, so that two are opened
    area = {300: 84_000.0, 330: 94_000.0, 360: 104_000.0}[girth_mm]
    assert rolls_needed(5, area, 0.0, 100.0, 3600.0) == pytest.approx(rolls, abs=0.05)
    assert math.ceil(rolls_needed(5, area, 0.0, 100.0, 3600.0)) == 2


def test_the_wrapped_area_of_a_cone_is_its_mantle_and_end() -> None:
    # frustum: pi (R + r) s, and its flat end; a liner of 6 mm widens both radii
    body = cone(55.0, 40.0, 180.0)
    mantle = math.pi * (55.0 + 40.0) * math.hypot(180.0, 15.0)
    assert wrapped_area_mm2(body, 0.0, 0.0) == pytest.approx(mantle + math.pi * 40.0**2, rel=0.01)
    thicker = math.pi * (61.0 + 46.0) * math.hypot(180.0, 15.0) + math.pi * 46.0**2
    assert wrapped_area_mm2(body, 6.0, 0.0) == pytest.approx(thicker, rel=0.05)


@pytest.mark.parametrize(
    ("water", "severity"),
    [(20, "ok"), (24, "ok"), (24.5, "warning"), (30, "warning"), (31, "stop"), (50, "stop")],
)
def test_water_warns_above_24_and_stops_above_30_degrees(water: float, severity: str) -> None:
    # Halanski et al. 2007: below 24 degrees no injurious temperature at any thickness
    found = cast(CastingPlan(water_c=water))
    (only,) = [item for item in found.findings if item.code.startswith("water")]
    assert only.severity.value == severity
    assert "Halanski" in str(only.source)


def test_hot_water_that_was_confirmed_warns_and_no_longer_stops() -> None:
    found = finding(cast(CastingPlan(water_c=40.0, hot_water_confirmed=True)), "water-hot")
    assert found.severity is Severity.WARNING


@given(st.floats(30, 180), st.floats(0, 60), st.booleans())
def test_more_mass_or_walking_never_takes_fewer_layers(mass, more, walked) -> None:
    assert usual_layers(mass + more, walked) >= usual_layers(mass, walked)
    assert usual_layers(mass, True) > usual_layers(mass, False)


@given(st.integers(1, 20), st.floats(1e4, 2e5), st.floats(0, 0.5))
def test_more_layers_area_or_waste_never_takes_fewer_rolls_and_wider_tape_never_more(
    layers, area, waste
) -> None:
    here = rolls_needed(layers, area, waste, 100.0, 3600.0)
    assert rolls_needed(layers + 1, area, waste, 100.0, 3600.0) > here
    assert rolls_needed(layers, area * 1.1, waste, 100.0, 3600.0) > here
    assert rolls_needed(layers, area, waste + 0.1, 100.0, 3600.0) > here
    assert rolls_needed(layers, area, waste, 125.0, 3600.0) < here


def test_a_litre_of_plaster_takes_what_the_trade_table_gives() -> None:
    # 70 % water: 1 kg powder and 0.7 kg water give 1.07 L: 0.93 and 0.65 kg per litre
    powder = powder_kg_per_litre(0.7)
    assert powder == pytest.approx(0.93, abs=0.01)
    assert 0.7 * powder == pytest.approx(0.65, abs=0.01)


def test_plaster_expands_a_110_mm_model_by_a_fifth_of_a_millimetre() -> None:
    # 0.20 % on 110 mm
    assert filling(1000.0, None, True, 0.7, 110.0).growth_mm == pytest.approx(0.22, abs=0.005)


def test_without_the_dummy_its_hollow_is_filled_too_and_the_order_changes() -> None:
    there, away = cast(), cast(CastingPlan(dummy_in_place=False))
    hollow = math.pi / 4 * 60.0**2 * 30.0 / 1000.0
    assert away.filling.volume_ml - there.filling.volume_ml == pytest.approx(hollow)
    assert away.filling.powder_kg > there.filling.powder_kg
    # the exit's dummy goes through the wall: it locks the coupling's dummy until it is out
    for order in (there.filling.order, away.filling.order):
        text = " | ".join(order)
        assert text.index("exit's dummy") < text.index("draw the dummy out")


@pytest.mark.parametrize(
    ("angle", "side", "words"),
    [
        (0.0, Side.RIGHT, "lateral (the person's right)"),
        (0.0, Side.LEFT, "lateral (the person's left)"),
        (180.0, Side.RIGHT, "medial (the person's left)"),
        (180.0, Side.LEFT, "medial (the person's right)"),
        (90.0, Side.LEFT, "front"),
        (270.0, Side.RIGHT, "back"),
        (315.0, Side.LEFT, "back and lateral (the person's left)"),
    ],
)
def test_directions_bear_the_persons_left_and_right(angle, side, words) -> None:
    assert around_words(angle, side) == words


def test_left_and_right_limbs_take_the_same_cast_but_for_the_words() -> None:
    right, left = cast(side=Side.RIGHT), cast(side=Side.LEFT)
    assert right.wrap == left.wrap
    assert right.filling == left.filling
    assert right.dummy.exit_words == "medial (the person's left)"
    assert left.dummy.exit_words == "medial (the person's right)"


def test_film_is_asked_for_over_fabric_and_what_it_adds_is_told() -> None:
    fabric = Liner(fabric_faced=True)
    assert finding(cast(CastingPlan(film=False), fabric), "fabric-without-film").severity is (
        Severity.WARNING
    )
    unknown = finding(cast(CastingPlan(film=False), Liner()), "fabric-without-film")
    assert unknown.severity is Severity.NOT_ESTABLISHED
    # pi times twice 0.02 to 0.05 mm: 0.1 to 0.3 mm of girth
    assert 0.1 <= cast(CastingPlan(film_mm=0.03), fabric).film_girth_mm <= 0.32
    bare = Liner(material=LinerMaterial.NONE, thickness_mm=0.0, cap_thickness_mm=0.0)
    assert "cast-without-liner" in codes(cast(liner=bare))


def test_the_ring_lies_on_the_caps_rim_and_a_dummy_narrower_than_the_cap_is_told() -> None:
    found = cast(liner=Liner(cap_diameter_mm=50.0))
    assert found.dummy.ring_outside_mm == 50.0
    assert found.dummy.ring_inside_mm < found.dummy.ring_outside_mm
    assert found.dummy.ring_height_mm > BODY.spacing_mm
    assert "ring-not-carried" not in codes(found)
    assert "ring-not-carried" in codes(cast(liner=Liner(cap_diameter_mm=70.0)))


def test_an_exit_over_the_shin_is_told() -> None:
    assert "exit-clear-of-shin" in codes(cast())
    assert "exit-at-shin" in codes(cast(coupling=replace(BODY, exit_deg=95.0)))


def test_a_cast_that_is_walked_in_waits_before_weight_and_passes_nothing() -> None:
    found = cast(walked=True, mass_kg=104.0)
    assert any("weight" in event.text for event in found.events)
    assert finding(found, "cast-layers").severity is not Severity.OK
    assert found.wrap.layers > cast(mass_kg=104.0).wrap.layers
    assert not any("weight" in event.text for event in cast().events)


def test_without_a_coupling_body_nothing_is_built_in() -> None:
    found = cast(coupling=None)
    assert found.dummy is None
    assert not any("screw" in mark.name for mark in found.marks)
    assert not any("dummy" in step for step in found.filling.order)


def test_hands_keep_off_the_fibular_head_and_press_the_tendon() -> None:
    found = {hand.landmark: hand.press for hand in cast().hands}
    assert found["fibular_head"] is False
    assert found["mid_patellar_tendon"] is True
