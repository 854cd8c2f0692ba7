"""Round-ended limbs and their sockets, whose axes, ends and catches are known in closed form."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from limbwright.assess.plan import Activity, Liner, Person
from limbwright.capture.result import Bones, Limb, Measures, UnitFound
from limbwright.core.frame import LimbFrame, Side
from limbwright.core.mesh import Mesh
from limbwright.core.sources import Basis
from limbwright.core.units import LengthUnit
from limbwright.couple.plan import CouplingPlan
from limbwright.couple.result import Seat
from limbwright.couple.seating import place_seat, seat_basis
from limbwright.shape.result import SocketShape, TrimLine

RADIUS_MM = 50.0
END_MM = 150.0
"""Datum to limb end of the round-ended limb."""
LINER_MM = 10.0
LINER = Liner(thickness_mm=LINER_MM, cap_thickness_mm=LINER_MM)
"""Liner of even thickness, cap as thick."""
TRIM_U_MM = 20.0
_TOP_U_MM = 40.0
_AROUND = 96

Profile = Callable[[NDArray[np.float64], NDArray[np.float64]], NDArray[np.float64]]
"""Radius from height u and angle."""


def person(side: Side = Side.RIGHT, activity: Activity = Activity.K2, **more: object) -> Person:
    """An invented walker of 80 kg and 1.75 m."""
    given = {"mass_kg": 80.0, "stature_mm": 1750.0, **more}
    return Person(code="invented", side=side, activity=activity, **given)  # type: ignore[arg-type]


def round_end(radius_mm: float, end_mm: float) -> Profile:
    """A cylinder with a hemisphere at its end."""

    def radius(u: NDArray[np.float64], angle: NDArray[np.float64]) -> NDArray[np.float64]:
        below = np.clip(-(end_mm - radius_mm) - u, 0.0, radius_mm)
        return np.broadcast_to(np.sqrt(radius_mm**2 - below**2), np.broadcast(u, angle).shape)

    return radius


def body(
    profile: Profile,
    end_mm: float,
    top_mm: float = _TOP_U_MM,
    lean: tuple[float, float] = (0.0, 0.0),
    step_mm: float = 2.0,
) -> Mesh:
    """A closed-end body about u, open at the top; sections shifted by `lean` per mm down."""
    # rings close up towards the tip, where the radius falls steeply
    tip = end_mm - 20.0 * (1.0 - np.cos(np.linspace(0.0, np.pi / 2, 20)[1:]))
    levels = np.concatenate([-tip, -np.arange(end_mm - 21.0, -top_mm - 1e-9, -step_mm)])
    levels = np.unique(np.append(levels, top_mm))
    angle = 2 * np.pi * np.arange(_AROUND) / _AROUND
    u = np.repeat(levels[:, None], _AROUND, axis=1)
    radius = profile(u, np.broadcast_to(angle, u.shape))
    points = np.stack([radius * np.cos(angle), radius * np.sin(angle), u], axis=-1)
    points = np.vstack([points.reshape(-1, 3), [0.0, 0.0, -end_mm]])
    points[:, 0] += lean[0] * -points[:, 2]
    points[:, 1] += lean[1] * -points[:, 2]
    return Mesh(points, _faces(len(levels)))


def _faces(rings: int) -> NDArray[np.int32]:
    row = np.arange(_AROUND)
    after = np.roll(row, -1)
    low = [np.stack([row + k * _AROUND, after + k * _AROUND], axis=1) for k in range(rings)]
    faces = [np.stack([np.full(_AROUND, rings * _AROUND), after, row], axis=1)]
    for below, above in itertools.pairwise(low):
        faces.append(np.stack([below[:, 0], below[:, 1], above[:, 1]], axis=1))
        faces.append(np.stack([below[:, 0], above[:, 1], above[:, 0]], axis=1))
    return np.concatenate(faces).astype(np.int32)


def limb_of(surface: Mesh, side: Side = Side.RIGHT) -> Limb:
    """A limb around a surface; the bones stand in by a speck."""
    axes = np.diag([1.0 if side is Side.RIGHT else -1.0, 1.0, 1.0])
    speck = Mesh(np.eye(3), np.array([[0, 1, 2]], np.int32))
    return Limb(
        side=side,
        frame=LimbFrame(np.zeros(3), axes, side),
        skin=surface,
        surface=surface,
        landmarks={},
        bones=Bones(speck, speck, Basis.GIVEN, 0.0),
        cover_mm=np.full(len(surface.vertices), 20.0),
        unit=UnitFound(LengthUnit.MM, Basis.GIVEN, 1.0, "given"),
        repairs=(),
        measures=Measures((), 0.0, -float(surface.vertices[:, 2].min())),
        findings=(),
    )


def socket_of(limb: Limb, model: Mesh, liner_mm: float = LINER_MM) -> SocketShape:
    """A socket whose inside is the given surface; its trim line is a level ring."""
    count = len(limb.surface.vertices)
    angle = 2 * np.pi * np.arange(90) / 90
    top = float(model.vertices[:, 2].max())
    ring = np.stack([60 * np.cos(angle), 60 * np.sin(angle), np.full(90, top)], axis=1)
    return SocketShape(
        surface=limb.surface,
        displacement_mm=np.full(count, liner_mm),
        liner_mm=np.full(count, liner_mm),
        flare_mm=np.zeros(count),
        areas=(),
        trim=TrimLine(ring, {}),
        below_trim=np.ones(count, bool),
        model=model,
        limb_volume_ml=0.0,
        model_volume_ml=0.0,
        lined_volume_ml=0.0,
        girths=(),
        findings=(),
    )


@lru_cache
def round_limb_and_socket(
    lean: tuple[float, float] = (0.0, 0.0), end_mm: float = END_MM, side: Side = Side.RIGHT
) -> tuple[Limb, SocketShape]:
    """A round-ended limb and a socket that leaves room for an even liner and nothing else."""
    limb = limb_of(body(round_end(RADIUS_MM, end_mm), end_mm, lean=lean), side)
    outer = body(
        round_end(RADIUS_MM + LINER_MM, end_mm + LINER_MM),
        end_mm + LINER_MM,
        top_mm=TRIM_U_MM,
        lean=lean,
    )
    return limb, socket_of(limb, outer)


@lru_cache
def seat_on(
    coupling: CouplingPlan,
    lean: tuple[float, float] = (0.0, 0.0),
    end_mm: float = END_MM,
    liner: Liner = LINER,
    floor_mm: float = 10.0,
    side: Side = Side.RIGHT,
) -> Seat:
    """The seat of a coupling on a round-ended limb."""
    limb, shape = round_limb_and_socket(lean, end_mm, side)
    return place_seat(
        seat_basis(limb, shape.liner_mm),
        shape,
        coupling,
        liner,
        floor_mm,
    )
