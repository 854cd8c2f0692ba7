"""Bands from what is uncertain, limbs that change, and what would balance a donned limb."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import trimesh

from interface_bodies import (
    NO_LINER,
    area_at,
    capped,
    limb_of,
    load,
    prepared_bed,
    revolved,
    socket_of,
)
from limbwright.assess.plan import Liner, LinerMaterial
from limbwright.capture.plan import ScannedOver
from limbwright.capture.result import Bones, Limb
from limbwright.core.errors import NotConverged
from limbwright.core.mesh import Mesh, vertex_normals
from limbwright.core.sources import Basis, Confidence, Origin, Source
from limbwright.prove.interface import variations as varied
from limbwright.prove.interface.counter import balance_answer
from limbwright.prove.interface.engine import attempt_all, run_all
from limbwright.prove.interface.limb_response import limb_response, reference_load
from limbwright.prove.interface.reading import divide, skin_of
from limbwright.prove.interface.readings import AREA, Relative, pressures_of
from limbwright.prove.interface.setting import Setting
from limbwright.prove.interface.sockets import offset_socket, with_depth_changes
from limbwright.prove.interface.spring_bed import SPRING_BED
from limbwright.prove.interface.study import study
from limbwright.prove.interface.uncertainty import combined, try_all, uncertainty
from limbwright.prove.interface.what_if import recession_mm, what_if
from limbwright.prove.plan import ProvePlan, TissuePlan
from limbwright.prove.tables import SOCK_PLY_MM
from limbwright.shape.plan import AreaName
from limbwright.shape.result import SocketShape

AROUND = 90
SOURCE = Source(Origin.PROJECT, "for a test", Confidence.LOW)
KEY = (AREA, "rest of wall", "standing")


def body() -> Limb:
    heights = np.linspace(-120, 20, 50)
    return limb_of(capped(revolved(lambda u: 48.0 + 0.06 * u, heights, AROUND), AROUND), 20.0)


def ball_limb(sd_mm: float) -> Limb:
    """A ball of skin about two balls of bone on one centre."""
    ball = trimesh.creation.icosphere(4, 50.0)
    bone = trimesh.creation.icosphere(3, 20.0)
    inner = Mesh(bone.vertices, bone.faces.astype(np.int32))
    skin = Mesh(ball.vertices, ball.faces.astype(np.int32))
    limb = limb_of(skin, 30.0, Basis.ESTIMATED)
    return replace(limb, bones=Bones(inner, inner, Basis.ESTIMATED, sd_mm))


def setting_of(limb: Limb, shape: SocketShape, *cases) -> Setting:
    return Setting(
        SPRING_BED,
        limb,
        NO_LINER,
        ScannedOver.SKIN,
        ProvePlan(),
        prepared_bed(limb),
        shape,
        vertex_normals(limb.surface),
        None,
        tuple(cases),
        Basis.DEFAULT,
    )


def factor(name: str, *ratios: float, influence: str = "") -> tuple[varied.Variation, ...]:
    """Variations that multiply (pressure + 2 kPa) by a ratio."""
    limb = body()
    return tuple(
        varied.Variation(
            influence or name,
            name,
            f"{name} {ratio:g}",
            limb,
            NO_LINER,
            ProvePlan(),
            1.0,
            Basis.DEFAULT,
            SOURCE,
        )
        for ratio in ratios
    )


def tried(variations: tuple[varied.Variation, ...]):
    base = {KEY: (98.0, 198.0)}

    def compute(variation: varied.Variation):
        ratio = float(variation.tried.split()[-1])
        return {KEY: (100.0 * ratio - 2.0, 200.0 * ratio - 2.0)}

    return base, *try_all(base, variations, compute)


def test_the_spread_to_a_side_is_the_root_mean_square_of_a_flat_range() -> None:
    # flat on 0 to 1, seen from 0.25: sqrt of the mean of squares is 0.25/√3 down, 0.75/√3 up
    low, high = varied.spread(0.25, 0.0, 1.0)
    assert low == pytest.approx(0.25 - 0.25 / np.sqrt(3))
    assert high == pytest.approx(0.25 + 0.75 / np.sqrt(3))
    sample = np.linspace(0.25, 1.0, 100_001)
    assert high - 0.25 == pytest.approx(np.sqrt(np.mean((sample - 0.25) ** 2)), rel=1e-4)


def test_independent_factors_add_as_squares_and_opposite_sides_stay_apart() -> None:
    base, found, left_out = tried((*factor("a", 2.0, 0.5), *factor("b", 1.5)))
    assert left_out == ()
    band = combined(found, base)[KEY]
    assert band.mean_up == pytest.approx(np.hypot(np.log(2), np.log(1.5)))
    assert band.mean_down == pytest.approx(np.log(2))
    assert band.peak_up == pytest.approx(band.mean_up)


def test_part_of_a_deviation_counts_for_the_whole() -> None:
    half = tuple(replace(one, share=0.5) for one in factor("bones", 1.5))
    base, found, _ = tried(half)
    assert combined(found, base)[KEY].mean_up == pytest.approx(2 * np.log(1.5))


def test_influences_are_ranked_by_what_they_do() -> None:
    base, found, left_out = tried((*factor("weak", 1.1), *factor("strong", 0.5)))
    known = uncertainty("spring_bed", base, found, left_out)
    assert [one.name for one in known.influences] == ["strong", "weak"]
    assert known.influences[0].typical_percent == pytest.approx((-50.0, 0.0))
    assert known.influences[1].typical_percent == pytest.approx((0.0, 10.0))
    assert "spring bed" not in known.influences[0].tried
    assert "own error is not in" in known.text


def test_what_finds_no_equilibrium_is_left_out_and_said() -> None:
    def refuse(variation: varied.Variation):
        raise NotConverged("the limb falls through.", where="prove")

    found, left_out = try_all({KEY: (98.0, 98.0)}, factor("a", 2.0), refuse)
    assert found == ()
    assert "falls through" in left_out[0]


def test_three_moves_of_the_bones_change_every_cover_by_its_deviation() -> None:
    # on a ball the cover changes by -n·s, so the three squares add up to s² whichever way n points
    limb = ball_limb(2.0)
    moves = [
        one
        for one in varied.variations(limb, NO_LINER, ProvePlan())
        if one.influence == varied.BONES
    ]
    assert len(moves) == 6
    assert all(one.share == 1.0 for one in moves)
    changes = np.array([one.limb.cover_mm - limb.cover_mm for one in moves])
    changes -= np.array([varied.with_bones_moved(limb, np.zeros(3)).cover_mm - limb.cover_mm])
    together = np.sqrt((changes**2).sum(axis=0) / 2)
    assert np.abs(together - 2.0).max() < 0.1


def test_a_palpated_place_has_the_band_of_its_own_cover() -> None:
    limb = ball_limb(4.0)
    count = len(limb.surface.vertices)
    known = np.arange(count) < count // 2
    limb = replace(limb, cover_spread_mm=np.where(known, 1.0, 4.0))
    assert varied.cover_scale(limb, np.flatnonzero(known)) == pytest.approx(0.25)
    assert varied.cover_scale(limb, np.flatnonzero(~known)) == pytest.approx(1.0)
    one = factor("outward", 1.5, influence=varied.BONES)
    base = {KEY: (98.0, 198.0)}
    other = {KEY: (148.0, 298.0)}
    found, _ = try_all(base, one, lambda _: other, cover_scale={KEY[:2]: 0.25})
    assert combined(found, base)[KEY].mean_up == pytest.approx(0.25 * np.log(1.5))


def test_bones_stay_under_the_skin() -> None:
    limb = ball_limb(40.0)
    moves = [
        one
        for one in varied.variations(limb, NO_LINER, ProvePlan())
        if one.influence == varied.BONES
    ]
    # across, 28 mm would leave 2 mm of cover: half of 40 fits, three quarters do not
    across = [one for one in moves if "up" not in one.factor]
    assert len(across) == 4
    assert {one.share for one in across} == {0.5}


def test_bones_and_figures_that_were_given_are_taken_as_they_are() -> None:
    limb = body()
    plan = ProvePlan(tissue=TissuePlan(modulus_kpa=120, poisson=0.47))
    assert varied.variations(limb, NO_LINER, plan) == ()
    open_liner = Liner(material=LinerMaterial.SILICONE, thickness_mm=6.0)
    names = {one.influence for one in varied.variations(limb, open_liner, ProvePlan())}
    assert names == {varied.MODULUS, varied.POISSON, varied.FRICTION, varied.LINER}


def test_one_side_alone_is_mirrored_as_far_as_the_other_would_go() -> None:
    # 200 kPa in 60 to 260: ln 2 down at 100 kPa, ln 1.164 up at 233 kPa (root mean squares)
    (kept,) = [
        one
        for one in varied.variations(body(), NO_LINER, ProvePlan(), both_sides=False)
        if one.influence == varied.MODULUS
    ]
    down, up = (np.log(200 / edge) for edge in varied.ratio_spread(200.0, 60.0, 260.0))
    assert kept.plan.tissue.modulus_kpa == pytest.approx(100.0, rel=0.01)
    assert kept.mirror == pytest.approx(-up / down)
    base, found, _ = tried((replace(factor("a", 0.5)[0], mirror=kept.mirror),))
    band = combined(found, base)[KEY]
    assert band.mean_down == pytest.approx(np.log(2))
    assert band.mean_up == pytest.approx(kept.mirror * np.log(2))


def test_each_factor_is_tried_once_where_a_limb_is_costly() -> None:
    limb = ball_limb(2.0)
    liner = Liner(material=LinerMaterial.SILICONE, thickness_mm=6.0)
    both = varied.variations(limb, liner, ProvePlan())
    once = varied.variations(limb, liner, ProvePlan(), both_sides=False)
    assert sorted({one.factor for one in both}) == sorted(one.factor for one in once)
    moved = [one for one in once if one.influence == varied.BONES]
    assert [one.mirror for one in moved] == [1.0, 1.0, 1.0]
    (ratio,) = [one for one in once if one.influence == varied.POISSON]
    # the default stands at the end of its range: there is no other side
    assert ratio.mirror == 0.0


def test_a_sock_presses_in_by_its_thickness_in_stance() -> None:
    # a tube pressed in by 1 mm everywhere: the donned pressure grows with what is pressed in
    limb = body()
    shape = socket_of(limb, 1.0)
    normals = vertex_normals(limb.surface)
    thickness = SOCK_PLY_MM.value[1]
    assert thickness == 0.7
    before = run_all(SPRING_BED, SPRING_BED.with_socket(prepared_bed(limb), shape), []).cases[0]
    with_sock = offset_socket(shape, normals, -thickness)
    fitted = SPRING_BED.with_socket(prepared_bed(limb), with_sock)
    after = run_all(SPRING_BED, fitted, []).cases[0]
    wall = limb.surface.vertices[:, 2] > -100
    assert np.median(after.pressure_mpa[wall] / before.pressure_mpa[wall]) == pytest.approx(
        1.7, rel=0.03
    )


def test_a_can_that_loses_one_percent_recedes_by_half_a_percent_of_its_radius() -> None:
    # V = π r² h, A = 2 π r h + π r² (open at the top): t = 0.01 V / A
    heights = np.linspace(-120, 0, 61)
    tube = revolved(lambda u: np.full_like(u, 50.0), heights, 180)
    limb = limb_of(tube, 20.0)
    volume_ml = np.pi * 50.0**2 * 120.0 / 1000
    shape = replace(socket_of(limb, 1.0), limb_volume_ml=volume_ml)
    zones = divide(skin_of(limb.surface), shape)
    assert recession_mm(zones, shape) == pytest.approx(0.01 * 50.0 / 2, rel=2e-3)


def test_volume_loss_sinks_the_limb_and_a_sock_lifts_it() -> None:
    limb = body()
    shape = replace(socket_of(limb, 2.0), limb_volume_ml=950.0)
    standing = load("standing", (0, 0, 300.0))
    setting = setting_of(limb, shape, standing)
    fitted = SPRING_BED.with_socket(setting.prepared, shape)
    result = run_all(SPRING_BED, fitted, [standing])
    found = {one.name: one for one in what_if(setting, fitted.zones, result.cases[1], standing)}
    assert set(found) == {
        "volume loss 3 %",
        "volume loss 6 %",
        "1-ply sock more",
        "3-ply sock more",
        "5-ply sock more",
    }
    assert found["1-ply sock more"].socket_mm == -0.7
    assert found["5-ply sock more"].socket_mm == -1.5
    assert found["volume loss 6 %"].socket_mm == pytest.approx(
        2 * found["volume loss 3 %"].socket_mm
    )
    assert found["volume loss 6 %"].sinks_mm > found["volume loss 3 %"].sinks_mm > 0
    assert found["1-ply sock more"].sinks_mm < 0
    assert found["volume loss 6 %"].mean_kpa < found["1-ply sock more"].mean_kpa


def pads(medial_mm: float, lateral_mm: float) -> tuple[Limb, SocketShape]:
    limb = body()
    areas = (
        area_at(limb, AreaName.MEDIAL_TIBIAL_FLARE, np.array([-46.0, 0, -40]), medial_mm, 28.0),
        area_at(limb, AreaName.FIBULAR_SHAFT, np.array([46.0, 0, -40]), lateral_mm, 28.0),
    )
    return limb, socket_of(limb, 2.0, areas=areas)


def test_the_answer_to_an_unbalanced_pad_balances_it_when_it_is_made() -> None:
    # two mirrored pads, one deeper: equal depths balance, so the difference is to go
    limb, shape = pads(-10.0, -2.0)
    setting = setting_of(limb, shape)
    fitted = SPRING_BED.with_socket(setting.prepared, shape)
    donned = attempt_all(SPRING_BED, fitted, ()).result.cases[0]
    found = balance_answer(setting, fitted.zones, donned.pose)
    assert found is not None
    assert found.suffices
    (move,) = found.moves
    assert 2.0 < abs(move.change_mm) < 9.0
    assert move.change_mm > 0 if move.area == "medial_tibial_flare" else move.change_mm < 0
    made = with_depth_changes(shape, setting.normals, {move.area: move.change_mm})
    again = attempt_all(SPRING_BED, SPRING_BED.with_socket(setting.prepared, made), ())
    pose = again.result.cases[0].pose
    before, after = donned.pose.shift_mm[0], pose.shift_mm[0]
    assert abs(after) < abs(before)
    assert found.shift_mm < 0.5


def test_a_balanced_limb_needs_no_answer() -> None:
    limb, shape = pads(-3.0, -3.0)
    setting = setting_of(limb, shape)
    fitted = SPRING_BED.with_socket(setting.prepared, shape)
    donned = attempt_all(SPRING_BED, fitted, ()).result.cases[0]
    assert balance_answer(setting, fitted.zones, donned.pose) is None


def test_depth_changes_give_what_the_plan_would_give() -> None:
    limb, shape = pads(-5.0, -2.0)
    normals = vertex_normals(limb.surface)
    changed = with_depth_changes(shape, normals, {"fibular_shaft": -1.0})
    assert [area.depth_mm for area in changed.areas] == [-5.0, -3.0]
    # where the lateral pad stands alone at full weight the wall comes in by that millimetre
    alone = int(np.argmax(shape.areas[1].weight))
    moved = changed.displacement_mm - shape.displacement_mm
    assert moved[alone] == pytest.approx(-1.0, abs=0.01)
    step = changed.surface.vertices[alone] - shape.surface.vertices[alone]
    assert step == pytest.approx(moved[alone] * normals[alone])


def test_a_study_bands_every_area_and_is_the_same_twice() -> None:
    limb, shape = pads(-5.0, -2.0)
    limb = replace(limb, bones=replace(limb.bones, cover_sd_mm=0.0))
    shape = replace(shape, limb_volume_ml=950.0)
    standing = load("standing", (0, 0, 300.0))
    setting = setting_of(limb, shape, standing)
    fitted = SPRING_BED.with_socket(setting.prepared, shape)
    result = run_all(SPRING_BED, fitted, [standing])
    first = study(setting, result, fitted.zones, ())
    second = study(setting, result, fitted.zones, ())
    key = (AREA, "fibular_shaft", "standing")
    assert first.relatives[key].mean_up > 0
    assert isinstance(first.relatives[key], Relative)
    assert dict(first.relatives) == dict(second.relatives)
    assert first.what_if == second.what_if
    assert len(first.what_if) == 5
    # the confined modulus grows 2.0-fold from 0.45 to 0.473: Poisson leads wherever depth is given
    assert first.uncertainty.influences[0].name in {varied.POISSON, varied.MODULUS}


def test_ratios_of_the_reference_socket_are_those_computed_in_it() -> None:
    # where the socket and the load are those of the reference, the two ways must agree
    limb, shape = pads(-5.0, -2.0)
    loaded = reference_load()
    setting = setting_of(limb, shape, loaded)
    fitted = SPRING_BED.with_socket(setting.prepared, shape)
    result = run_all(SPRING_BED, fitted, [loaded])
    found = varied.variations(limb, NO_LINER, ProvePlan(), both_sides=False)
    response = limb_response(setting, found)
    assert response.donned_mpa.shape == (1 + len(found), len(limb.surface.vertices))
    assert set(response.refused) == {""}
    there = study(setting, result, fitted.zones, (), known=(found, response))
    base = pressures_of(result, fitted.zones, ())

    def compute(variation: varied.Variation):
        changed = prepared_bed(limb, NO_LINER, variation.plan.tissue)
        case = run_all(SPRING_BED, SPRING_BED.with_socket(changed, shape), [loaded])
        return pressures_of(case, fitted.zones, ())

    here = combined(try_all(base, found, compute)[0], base)
    for key, relative in there.relatives.items():
        assert relative.mean_up == pytest.approx(here[key].mean_up, abs=1e-4)
        assert relative.mean_down == pytest.approx(here[key].mean_down, abs=1e-4)
    assert "default socket" in there.uncertainty.text


def test_a_variation_without_equilibrium_in_the_reference_is_left_out() -> None:
    limb, shape = pads(-3.0, -3.0)
    loaded = reference_load()
    setting = setting_of(limb, shape, loaded)
    fitted = SPRING_BED.with_socket(setting.prepared, shape)
    result = run_all(SPRING_BED, fitted, [loaded])
    found = varied.variations(limb, NO_LINER, ProvePlan(), both_sides=False)
    response = limb_response(setting, found)
    lost = ("", "the limb falls through.", *response.refused[2:])
    known = (found, replace(response, refused=lost))
    there = study(setting, result, fitted.zones, (), known=known)
    assert any("falls through" in text for text in there.uncertainty.left_out)
    assert found[0].influence not in {one.name for one in there.uncertainty.influences}
