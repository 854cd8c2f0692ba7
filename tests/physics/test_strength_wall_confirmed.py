"""The wall by finite elements against the section properties of a tube."""

from types import SimpleNamespace

import numpy as np
import pytest

from limbwright.couple.plan import CouplePlan
from limbwright.prove.plan import ProvePlan
from limbwright.prove.reference_loads import reference_loads
from limbwright.prove.strength import strength
from limbwright.prove.strength_findings import WALL, WALL_BY_ELEMENTS
from limbwright.prove.strength_tables import Failure
from limbwright.prove.wall import closed_rings, stresses
from limbwright.prove.wall_confirmed import spread, stress_by_elements
from limbwright.prove.wall_mesh import wall_mesh
from proof_bodies import round_socket, seat_at, shape_of, straight_leg


def test_spread_forces_add_up_to_force_and_moment():
    rng = np.random.default_rng(5)
    points = rng.normal(size=(40, 3)) * (50.0, 40.0, 2.0)
    force, moment = np.array([100.0, -300.0, 2000.0]), np.array([9e4, -4e4, 1e4])
    areas = rng.uniform(0.5, 3.0, size=40)
    found = spread(points, areas, force, moment)
    arms = points - areas @ points / areas.sum()
    assert found.sum(axis=0) == pytest.approx(force)
    assert np.cross(arms, found).sum(axis=0) == pytest.approx(moment)


@pytest.mark.parametrize("wall_mm", [4.0, 6.0])
def test_half_way_down_a_tube_elements_and_section_properties_agree(wall_mm):
    # A closed tube of 50 mm radius under P5 condition II, away from its held end and its brim.
    shape = shape_of(round_socket())
    below = closed_rings(shape, seat_at(), wall_mm)
    load = reference_loads("P5", straight_leg())[1]
    mesh = wall_mesh(shape, below, wall_mm, 48)
    stress, middle = stress_by_elements(mesh, load, Failure.BRITTLE, 0.0)
    band = (middle[:, 2] < -20.0) & (middle[:, 2] > -60.0)
    by_section = {
        -item.level_mm: item.stress_mpa for item in stresses(below, load, Failure.BRITTLE)
    }
    levels = np.array(sorted(by_section))
    for u_mm in np.unique(np.round(middle[band, 2], 3)):
        row = np.abs(middle[:, 2] - u_mm) < 0.1
        wanted = np.interp(u_mm, levels, [by_section[level] for level in levels])
        assert stress[row].max() == pytest.approx(wanted, rel=0.08)


def test_it_is_looked_at_on_demand_alone_and_told_beside_the_sections():
    def proved(asked):
        return strength(
            shape_of(round_socket()),
            seat_at(),
            straight_leg(),
            SimpleNamespace(load_level="P4"),
            ProvePlan(wall_mm=5.0, wall_by_elements=asked),
            CouplePlan(),
        )

    names = [check.name for check in proved(False).checks]
    assert WALL_BY_ELEMENTS not in names
    checks = proved(True).checks
    found = next(check for check in checks if check.name == WALL_BY_ELEMENTS)
    section = max(check.demand for check in checks if check.name == WALL)
    assert found.point_mm is not None
    assert 0.7 < found.demand / section < 2.0
    assert "not a conformity test" in found.text
