"""Whatever the socket and the load: either equilibrium, or an error that says what happens."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from interface_bodies import (
    area_at,
    capped,
    limb_of,
    load,
    prepared_bed,
    revolved,
    socket_of,
)
from limbwright.align.result import Wrench
from limbwright.capture.result import Limb
from limbwright.core.errors import NotConverged
from limbwright.core.mesh import Mesh
from limbwright.prove.interface.engine import unloaded
from limbwright.prove.interface.spring_bed import SPRING_BED
from limbwright.prove.result import CasePressure
from limbwright.prove.tables import LEAST_LOAD_N
from limbwright.shape.plan import AreaName
from limbwright.shape.result import SocketShape

AROUND = 40
FLIP = np.array([-1.0, 1.0, 1.0])


def body() -> Limb:
    heights = np.linspace(-130, 20, 36)
    mesh = revolved(lambda u: 47.0 + 0.04 * u - 0.15 * np.maximum(0, -u - 95), heights, AROUND)
    points = capped(mesh, AROUND).vertices * [1.0, 0.9, 1.0]
    # thin cover in front and on the outer side, as over crest and fibula
    around = np.arctan2(points[:, 1], points[:, 0])
    cover = 26.0 - 18.0 * np.exp(-((around - 1.9) ** 2) / 0.2) - 14.0 * np.exp(-(around**2) / 0.1)
    return limb_of(Mesh(points, capped(mesh, AROUND).faces), cover)


BODY = body()
NAMES = list(AreaName)
places = st.tuples(st.floats(-3.1, 3.1), st.floats(-120, 10), st.floats(-10, 8), st.floats(12, 30))
sockets = st.tuples(st.floats(-5.0, 4.0), st.lists(places, max_size=5))
loads = st.tuples(
    st.floats(-60, 60),
    st.floats(-200, 200),
    st.floats(-60, 1300),
    st.floats(-40e3, 40e3),
    st.floats(-40e3, 40e3),
    st.floats(-6e3, 6e3),
)


def shape_of(limb: Limb, socket: tuple[float, list[tuple[float, ...]]]) -> SocketShape:
    press, wanted = socket
    areas = tuple(
        area_at(
            BODY,
            NAMES[number],
            np.array([46 * np.cos(angle), 42 * np.sin(angle), height]),
            depth,
            radius,
        )
        for number, (angle, height, depth, radius) in enumerate(wanted)
    )
    return socket_of(limb, press, areas=areas)


def solved(limb: Limb, shape: SocketShape, force: tuple[float, ...]) -> CasePressure | NotConverged:
    prepared = prepared_bed(limb)
    fitted = SPRING_BED.with_socket(prepared, shape)
    try:
        _, donned = SPRING_BED.solve(fitted, unloaded())
        return SPRING_BED.solve(fitted, load("any", force[:3], force[3:]), donned)[0]
    except NotConverged as error:
        return error


def grips_when_donned(limb: Limb, shape: SocketShape) -> bool:
    """Pressed by more than the least load that an unbalanced share is measured against."""
    prepared = prepared_bed(limb)
    fitted = SPRING_BED.with_socket(prepared, shape)
    pressure = SPRING_BED.solve(fitted, unloaded())[0].pressure_mpa
    return float(prepared.skin.areas_mm2 @ pressure) > LEAST_LOAD_N.value


@settings(max_examples=60, deadline=None, derandomize=True)
@given(sockets, loads)
def test_any_socket_and_load_end_in_equilibrium_or_in_a_plain_refusal(
    socket: tuple[float, list[tuple[float, ...]]], force: tuple[float, ...]
) -> None:
    found = solved(BODY, shape_of(BODY, socket), force)
    if isinstance(found, NotConverged):
        # never a stall next to equilibrium: the limb has really gone somewhere, or nothing
        # to speak of gripped it to begin with and it is drawn out at once
        far = found.fields["shift_mm"] > 20 or found.fields["turn_deg"] > 10
        assert far or not grips_when_donned(BODY, shape_of(BODY, socket))
        assert "no equilibrium in load case" in found.message
        return
    skin = prepared_bed(BODY).skin
    traction = found.shear_mpa - found.pressure_mpa[:, None] * skin.normals
    force_n = skin.areas_mm2[:, None] * traction
    size = max(float(np.linalg.norm(force[:3])), float(np.linalg.norm(force[3:])) / 60.0, 30.0)
    left = force_n.sum(axis=0) - np.array(force[:3])
    turning = np.cross(skin.points_mm, force_n).sum(axis=0) - np.array(force[3:])
    assert np.linalg.norm(left) < 2e-3 * size
    assert np.linalg.norm(turning) < 2e-3 * size * 150.0
    slid = np.linalg.norm(found.shear_mpa, axis=1)
    assert (slid <= 0.5 * found.pressure_mpa + 1e-12).all()


@settings(max_examples=15, deadline=None, derandomize=True)
@given(sockets, loads)
def test_the_mirrored_limb_in_the_mirrored_socket_feels_the_mirrored_load(
    socket: tuple[float, list[tuple[float, ...]]], force: tuple[float, ...]
) -> None:
    first = solved(BODY, shape_of(BODY, socket), force)
    surface = Mesh(BODY.surface.vertices * FLIP, BODY.surface.faces[:, ::-1])
    mirrored = replace(BODY, surface=surface)
    wrench = Wrench(np.array(force[:3]) * FLIP, np.array(force[3:]) * -FLIP)
    other = (*wrench.force_n, *wrench.moment_n_mm)
    second = solved(mirrored, shape_of(mirrored, socket), other)
    assert isinstance(first, NotConverged) == isinstance(second, NotConverged)
    if isinstance(first, CasePressure) and isinstance(second, CasePressure):
        most = max(float(first.pressure_mpa.max()), 1e-3)
        np.testing.assert_allclose(second.pressure_mpa, first.pressure_mpa, atol=1e-4 * most)
