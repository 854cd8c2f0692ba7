"""The finite elements beside CalculiX on the same mesh and loads; see `tests/calculix.py`.

CalculiX's C3D20R (quadratic, on the same bricks with curved edges) is the reference wherever it
is quick enough: its C3D8 is integrated fully and locks at the Poisson's ratios of tissue, and
C3D8I bends freely but keeps flat faces.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from calculix import run
from compared_bodies import (
    Pressed,
    Push,
    annulus,
    bell,
    block_by_calculix,
    block_by_us,
    compared,
    deck_to_press,
    hat,
    pressed_by_us,
    round_stump,
    share_apart,
    true_limb,
)
from limbwright.prove.plan import MeshLevel
from mesh_limbs import open_limb

PAGE = "pressure_finite_elements"
DISPLACEMENT, PRESSURE = 0.02, 0.05
"""How far apart we may be: share of the displacement, of a pressure."""
BENT = np.array([4.0, 0.0, -3.0])


@pytest.mark.parametrize("poisson", [0.3, 0.45, 0.49])
def test_a_bent_and_pressed_block_comes_to_calculix_with_refinement(
    calculix_path: str, tmp_path: Path, record_validation, poisson: float
) -> None:
    moved, reference = block_by_calculix(4, poisson, BENT, "C3D20R", tmp_path)
    apart = []
    for count in (1, 2, 4):
        at_nodes, force = block_by_us(count, poisson, BENT)
        apart.append(float(np.linalg.norm(force - reference) / np.linalg.norm(reference)))
        record_validation(
            PAGE,
            f"block 10 × 10 × 30 mm of {count} × {count} × {3 * count} bricks, top moved 3 mm"
            f" down and 4 mm aside, ν {poisson:g}",
            "force on the top",
            computed=float(np.linalg.norm(force)),
            reference=float(np.linalg.norm(reference)),
            unit="N",
            source="CalculiX C3D20R, 4 × 4 × 12 bricks",
        )
    assert apart[0] > apart[1] > apart[2]
    assert apart[2] < PRESSURE
    assert share_apart(at_nodes, moved) < DISPLACEMENT


@pytest.mark.parametrize("poisson", [0.3, 0.45, 0.49])
def test_an_annulus_in_a_tight_ring_is_pressed_as_by_calculix(
    calculix_path: str, tmp_path: Path, record_validation, poisson: float
) -> None:
    fit = annulus(poisson, 32, 4)
    ours = pressed_by_us(fit, [])
    answer = run(deck_to_press(fit, [], "C3D20R"), tmp_path)
    (donned,) = compared(fit, [], ours, answer, [lambda p: np.ones(len(p))])
    record_validation(
        PAGE,
        f"annulus 15/50 mm pressed in by 1 mm, 32 × 4 bricks, ν {poisson:g}",
        "mean pressure",
        computed=donned.pressure_kpa[0, 0],
        reference=donned.pressure_kpa[0, 1],
        unit="kPa",
        source="CalculiX C3D20R, same bricks",
    )
    assert donned.displacement_share < DISPLACEMENT
    assert donned.pressure_kpa[0, 0] == pytest.approx(donned.pressure_kpa[0, 1], rel=PRESSURE)


LEVELS = (-45.0, -20.0, 5.0, 30.0, 55.0)
"""Heights of the limb's weighted areas, mm above the middle of its round end."""
FRICTION = 0.5


def round_limb_by_both(
    folder: Path, mesh: tuple[int, int, int], pushes: list[Push]
) -> list[Pressed]:
    """At Poisson's ratio 0.3, where the judge's C3D8 does not lock."""
    fit = round_stump(0.3, *mesh, takeup_mm=1.5)
    answer = run(deck_to_press(fit, pushes, "C3D8"), folder)
    weights = [hat(level, 25.0) for level in LEVELS]
    return compared(fit, pushes, pressed_by_us(fit, pushes), answer, weights)


def record_stage(record, name: str, stage: Pressed, source: str) -> None:
    for level, (ours, theirs) in zip(LEVELS, stage.pressure_kpa, strict=True):
        record(
            PAGE,
            name,
            f"mean pressure about {level:+.0f} mm",
            computed=ours,
            reference=theirs,
            unit="kPa",
            source=source,
        )
    record(
        PAGE,
        name,
        "axial force on the socket (a quarter)",
        computed=stage.axial_n[0],
        reference=stage.axial_n[1],
        unit="N",
        source=source,
    )


def test_a_round_ended_limb_is_pressed_and_loaded_as_by_calculix(
    calculix_path: str, tmp_path: Path, record_validation
) -> None:
    coarse = round_limb_by_both(tmp_path / "8", (8, 5, 2), [Push(1.5, pieces=2)])
    fine = round_limb_by_both(tmp_path / "12", (12, 6, 3), [Push(1.5, pieces=2)])
    for name, less, more in zip(("donned", "loaded"), coarse, fine, strict=True):
        record_stage(
            record_validation,
            f"round-ended limb, take-up 1.5 mm, {name}, no friction",
            more,
            "CalculiX C3D8, same bricks",
        )
        assert more.displacement_share < less.displacement_share
        np.testing.assert_allclose(*more.pressure_kpa.T, rtol=PRESSURE)
        assert more.axial_n[0] == pytest.approx(more.axial_n[1], rel=PRESSURE)


@pytest.mark.slow
def test_a_round_ended_limb_comes_to_calculix_with_refinement(
    calculix_path: str, tmp_path: Path, record_validation
) -> None:
    # flat faces and constant pressures come together as the square of the bricks' size
    stages = [
        round_limb_by_both(tmp_path / str(mesh[0]), mesh, [Push(1.5, pieces=2)])
        for mesh in ((8, 4, 2), (12, 6, 3), (16, 8, 4))
    ]
    shares = [loaded.displacement_share for _, loaded in stages]
    assert shares[0] > shares[1] > shares[2]
    assert shares[2] < DISPLACEMENT
    record_stage(
        record_validation,
        "the same on 16 × 8 × 4 bricks, loaded",
        stages[2][1],
        "CalculiX C3D8, same bricks",
    )
    np.testing.assert_allclose(*stages[2][1].pressure_kpa.T, rtol=0.6 * PRESSURE)


@pytest.mark.slow
def test_a_round_ended_limb_slides_with_friction_as_by_calculix(
    calculix_path: str, tmp_path: Path, record_validation
) -> None:
    stages = round_limb_by_both(tmp_path, (12, 6, 3), [Push(1.5, FRICTION, pieces=4)])
    pushed = stages[-1]
    record_stage(
        record_validation,
        f"round-ended limb pushed in by 1.5 mm with friction {FRICTION:g}",
        pushed,
        "CalculiX C3D8, same bricks",
    )
    np.testing.assert_allclose(*pushed.pressure_kpa.T, rtol=PRESSURE)
    assert pushed.axial_n[0] == pytest.approx(pushed.axial_n[1], rel=DISPLACEMENT)
    # below, the judge's facets hold the limb a little even without friction (0.4 kPa)
    np.testing.assert_allclose(*pushed.shear_kpa[-2:].T, rtol=PRESSURE)


@pytest.mark.slow
def test_a_real_limb_is_pressed_as_by_calculix(
    calculix_path: str, shared_data: Path, tmp_path: Path, record_validation
) -> None:
    # without friction the end slides along the wall at next to no force, and the judge's faceted
    # wall holds it where ours is smooth: displacement is compared across the wall
    limb = open_limb(shared_data, "limb_a", true_bones=True)
    fit = true_limb(limb, MeshLevel.COARSE, takeup_mm=1.5, poisson=0.3)
    ours = pressed_by_us(fit, [])
    answer = run(deck_to_press(fit, [], "C3D8"), tmp_path)
    places = {mark.name: bell(mark.point_mm, 25.0) for mark in limb.landmarks.values()}
    (donned,) = compared(fit, [], ours, answer, list(places.values()))
    for place, (mine, theirs) in zip(places, donned.pressure_kpa, strict=True):
        record_validation(
            PAGE,
            "limb_a with true bones, coarse, take-up 1.5 mm, donned, no friction, ν 0.3",
            f"mean pressure about the {place.replace('_', ' ')}",
            computed=mine,
            reference=theirs,
            unit="kPa",
            source="CalculiX C3D8, same bricks",
        )
    outer = np.unique(fit.body.outer)
    theirs_mm = answer.moved_mm[0][: len(fit.body.nodes_mm)][outer]
    apart_mm = ours[0].standing.displacement_mm[outer] - theirs_mm
    across = (apart_mm * fit.outward(fit.body.nodes_mm[outer] + theirs_mm)).sum(axis=1)
    assert np.linalg.norm(across) < DISPLACEMENT * np.linalg.norm(theirs_mm)
    np.testing.assert_allclose(*donned.pressure_kpa.T, rtol=PRESSURE)
    assert donned.axial_n[0] == pytest.approx(donned.axial_n[1], rel=DISPLACEMENT)
