"""The cross-section of limb and socket: round bodies, whose gap, wall and cover are known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from interface_bodies import limb_of, revolved, socket_of
from limbwright.capture.result import Bones, Limb
from limbwright.case.section import DIRECTIONS, section_at
from limbwright.core.errors import BadInput
from limbwright.core.mesh import Mesh, with_vertices
from limbwright.core.sources import Basis
from limbwright.shape.result import SocketShape

LIMB_MM, LINER_MM, PRESS_MM, WALL_MM = 50.0, 6.0, 2.0, 5.0
AROUND = 180
SAG_MM = LIMB_MM * (1 - np.cos(np.pi / AROUND)) + 0.01
"""How far a polygon of so many sides lies inside its circle."""


def tube(radius_mm: float, shift_o_mm: float = 0.0) -> Mesh:
    mesh = revolved(
        lambda height: np.full_like(height, radius_mm), np.linspace(-160, 20, 60), AROUND
    )
    return with_vertices(mesh, mesh.vertices + np.array([shift_o_mm, 0.0, 0.0]))


def round_case(trim_u_mm: float = 0.0) -> tuple[Limb, SocketShape]:
    bare = limb_of(tube(LIMB_MM), 35.0)
    limb = replace(bare, bones=Bones(tube(15.0), tube(5.0, 25.0), Basis.GIVEN, 0.0))
    below = limb.surface.vertices[:, 2] < trim_u_mm
    shape = socket_of(limb, PRESS_MM, below_trim=below, liner_mm=LINER_MM)
    return limb, replace(shape, surface=tube(LIMB_MM + LINER_MM - PRESS_MM))


def test_gap_wall_and_cover_of_round_bodies() -> None:
    section = section_at(*round_case(), WALL_MM, level_mm=70.0)
    readings = section.readings
    assert set(readings) == set(DIRECTIONS)
    for one in (*readings.values(), *section.around):
        assert one.space_mm == pytest.approx(-PRESS_MM, abs=SAG_MM)
        assert one.wall_mm == pytest.approx(WALL_MM, abs=SAG_MM)
    # The tibia stands in the middle; laterally the fibula is met first, 30 mm out.
    assert readings["anterior"].cover_mm == pytest.approx(LIMB_MM - 15.0, abs=SAG_MM)
    assert readings["lateral"].cover_mm == pytest.approx(LIMB_MM - 30.0, abs=SAG_MM)
    assert readings["medial"].cover_mm == pytest.approx(LIMB_MM - 15.0, abs=SAG_MM)


def test_the_cover_of_an_eighth_is_that_of_the_nearer_bone_wherever_its_middle_points() -> None:
    limb, shape = round_case()
    # Behind and outside, where no way from the middle meets it, as a fibula often lies.
    aside = with_vertices(tube(5.0), tube(5.0).vertices + np.array([30.0, -22.0, 0.0]))
    bones = Bones(tube(0.5), aside, Basis.GIVEN, 0.0)
    readings = section_at(replace(limb, bones=bones), shape, WALL_MM, level_mm=70.0).readings
    cover = {name: one.cover_mm for name, one in readings.items()}
    # On the limb's circle nearest to the fibula: 50 - (its distance from the middle + 5).
    assert cover["posterolateral"] == pytest.approx(LIMB_MM - np.hypot(30.0, 22.0) - 5.0, abs=0.2)
    edge = LIMB_MM * np.array([np.cos(np.pi / 8), -np.sin(np.pi / 8)])
    assert cover["lateral"] == pytest.approx(
        np.linalg.norm(edge - np.array([30.0, -22.0])) - 5.0, abs=0.9
    )
    assert cover["medial"] == pytest.approx(LIMB_MM - 0.5, abs=0.1)


def test_outlines_have_the_girths_of_their_circles() -> None:
    section = section_at(*round_case(), WALL_MM, level_mm=70.0)
    radii = {
        "skin": LIMB_MM,
        "liner": LIMB_MM + LINER_MM,
        "inside": LIMB_MM + LINER_MM - PRESS_MM,
        "outside": LIMB_MM + LINER_MM - PRESS_MM + WALL_MM,
        "tibia": 15.0,
    }
    for name, radius in radii.items():
        (outline,) = section.outlines[name]
        assert np.linalg.norm(outline, axis=1) == pytest.approx(radius, abs=SAG_MM), name


def test_above_the_trim_line_there_is_no_socket() -> None:
    section = section_at(*round_case(trim_u_mm=-40.0), WALL_MM, level_mm=10.0)
    assert section.outlines["inside"] == ()
    assert all(one.space_mm is None and one.wall_mm is None for one in section.around)
    assert all(one.cover_mm is not None for one in section.around)


def test_where_the_trim_line_cuts_the_wall_away_no_wall_is_read() -> None:
    limb, shape = round_case()
    front = shape.below_trim & (limb.surface.vertices[:, 1] > -20.0)
    section = section_at(limb, replace(shape, below_trim=front), WALL_MM, level_mm=70.0)
    readings = section.readings
    for name in ("posterior", "posterolateral", "posteromedial"):
        assert readings[name].space_mm is None
        assert readings[name].wall_mm is None
    for name in ("anterior", "lateral", "medial"):
        assert readings[name].space_mm == pytest.approx(-PRESS_MM, abs=SAG_MM)
        assert readings[name].wall_mm == pytest.approx(WALL_MM, abs=SAG_MM)


def test_a_level_off_the_limb_is_refused_with_the_levels_that_are_on_it() -> None:
    with pytest.raises(BadInput, match="from -20 to 160 mm"):
        section_at(*round_case(), WALL_MM, level_mm=400.0)
