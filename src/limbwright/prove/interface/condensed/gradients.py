"""How pressures and pose change with depths, take-up and alignment: derivatives, not trials.

At an equilibrium the residuals of contact and wrench vanish, F(x, a) = 0, x the tractions and the
motion, a what the practitioner sets. The derivative of x is that of the linearised problem,
dx/da = -(∂F/∂x)⁻¹ ∂F/∂a (implicit function theorem), with which places touch and slide as they are.
A loaded limb remembers how it was seated and donned, so derivatives are carried through the whole
sequence: what seating and donning leave behind changes with a as well.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from limbwright.align.result import LoadCase
from limbwright.core.kernels import reals
from limbwright.core.mesh import Scalars, Vertices
from limbwright.core.units import kpa_from_mpa
from limbwright.prove.interface.balancing import ACROSS_AND_TILT
from limbwright.prove.interface.condensed.body import matrix_from
from limbwright.prove.interface.condensed.equilibrium import (
    Contact,
    Demand,
    Found,
    Memory,
    at_rest,
    find_equilibrium,
    linearised,
    measure,
    motion_rows,
    places,
    remember,
)
from limbwright.prove.interface.condensed.live import LiveFitted, demand_of
from limbwright.prove.interface.condensed.step import Linear, linear_step
from limbwright.prove.interface.condensed.wall import slope_of
from limbwright.prove.interface.engine import unloaded
from limbwright.prove.interface.socket_field import SocketField, penetration
from limbwright.shape.result import SocketShape

Reals = NDArray[np.float64]

TIGHT = 1e-6
"""Unbalanced share at which equilibria are found, and to which derivatives are solved."""
_MOST_PRODUCTS = 150
_N_MM_PER_N_M = 1e3


@dataclass(frozen=True, slots=True, eq=False)
class PressureGradients:
    """Derivatives of one load case.

    Parameters
    ----------
    load_case : str
    areas : tuple of str
        In the order of the rows.
    mean_kpa : (k,) float64
        Mean pressure of each area at this equilibrium.
    by_displacement : mapping of name to (k,) float64, kPa per unit
        By each direction in which the wall was moved.
    by_wrench : (k, 6) float64, kPa/N and kPa/(N·m)
        By the load's force and its moment about the limb frame's origin.
    by_pose : (k, 6) float64, kPa/mm and kPa/degree
        If the limb were moved and held: shift of the reference and turn about it.
    pose_by_displacement : mapping of name to (6,) float64, mm and degrees per unit
    pose_by_wrench : (6, 6) float64, mm and degrees per N and N·m
    """

    load_case: str
    areas: tuple[str, ...]
    mean_kpa: Scalars
    by_displacement: Mapping[str, Scalars]
    by_wrench: Reals
    by_pose: Reals
    pose_by_displacement: Mapping[str, Scalars]
    pose_by_wrench: Reals


class _Change(NamedTuple):
    """First-order change of an equilibrium, socket frame."""

    place: Vertices
    traction: Vertices
    normal: Vertices
    depth: Scalars
    displaced: Vertices
    motion: Reals


class _Remembered(NamedTuple):
    """First-order change of a memory; `displaced` along the limb's axes."""

    place: Vertices
    shear: Vertices
    depth: Scalars
    displaced: Vertices


def depth_directions(shape: SocketShape) -> dict[str, Scalars]:
    """How the wall moves with the depth of each area, (v,) mm per mm by the area's name.

    Areas that meet take (Σ d⁴)^(1/4) (`shape.areas.area_offset`), each its share of that.
    """
    depths = np.array([area.depth_mm for area in shape.areas])
    if not len(depths):
        return {}
    weights = np.stack([area.weight for area in shape.areas])
    parts = np.abs(weights * depths[:, None])
    found = {}
    for number, area in enumerate(shape.areas):
        alike = np.sign(depths) == np.sign(depths[number])
        whole = (parts[alike] ** 4).sum(axis=0) ** 0.25
        share = np.divide(parts[number], whole, out=np.ones_like(whole), where=whole > 0)
        found[area.name.value] = weights[number] * share**3
    return found


def pressure_gradients(
    fitted: LiveFitted, load_case: LoadCase, directions: Mapping[str, Scalars]
) -> PressureGradients:
    """Derivatives of area mean pressures and of the pose at a load case.

    The limb is seated and donned first, as the engine does.

    Parameters
    ----------
    fitted : LiveFitted
    load_case : LoadCase
    directions : mapping of name to (v,) float64
        Displacement of the wall at the vertices of `Limb.surface` per unit, outward: see
        `depth_directions`; the displacement by a percent of take-up likewise.

    Raises
    ------
    NotConverged
        From `live.carry` when there is no such equilibrium; here only a shortfall of the tight
        target is tolerated.
    """
    contact = fitted.contact
    stages = _stages(fitted, load_case)
    by_wall = {
        name: _through(contact, stages, slope_of(fitted.prepared.wall, contact.field, along))
        for name, along in directions.items()
    }
    final = stages[-1]
    linear = linearised(contact, final.found.stand, final.found.look, final.demand)
    columns = [_by_load(fitted, final, linear, axis) for axis in range(6)]
    held = [_by_motion(contact, final, linear, axis) for axis in range(6)]
    mean = _Means(fitted, final.found)
    return PressureGradients(
        load_case.name,
        tuple(zone.name for zone in fitted.zones.zones),
        mean.values_kpa(),
        {name: mean.slope_kpa(change) for name, change in by_wall.items()},
        np.stack([mean.slope_kpa(change) for change in columns], axis=1),
        np.stack([mean.slope_kpa(change) for change in held], axis=1),
        {name: _pose(contact, change) for name, change in by_wall.items()},
        np.stack([_pose(contact, change) for change in columns], axis=1),
    )


class _Stage(NamedTuple):
    found: Found
    memory: Memory | None
    demand: Demand


def _stages(fitted: LiveFitted, load_case: LoadCase) -> tuple[_Stage, ...]:
    """Seated, donned and loaded, each solved tightly."""
    contact = fitted.contact
    seating = Demand(np.zeros(6), 0.0, 0.0, ACROSS_AND_TILT, TIGHT)
    rest = at_rest(contact, np.zeros_like(contact.points_mm))
    seated = find_equilibrium(contact, seating, rest, None)
    stages = [_Stage(seated, None, seating)]
    memory = remember(seated, shear=False)
    for case in (unloaded(), load_case):
        demand = demand_of(fitted, case)._replace(target=TIGHT)
        found = find_equilibrium(contact, demand, stages[-1].found.stand, memory)
        stages.append(_Stage(found, memory, demand))
        memory = remember(found)
    return tuple(stages)


def _through(contact: Contact, stages: tuple[_Stage, ...], slope: SocketField) -> _Change:
    """A movement of the wall carried from seating to the load."""
    kept: _Remembered | None = None
    for number, stage in enumerate(stages):
        change = _by_wall(contact, stage, slope, kept)
        kept = _kept(stage, change, shear=number > 0)
    return change


def _by_wall(
    contact: Contact, stage: _Stage, slope: SocketField, kept: _Remembered | None
) -> _Change:
    seen, stand = stage.found.look, stage.found.stand
    deeper, tilted, _ = penetration(slope, seen.place)
    deeper[contact.weights_mm2 == 0] = 0.0
    left = _by_field(contact, stage, deeper, tilted, kept, slope)
    linear = linearised(contact, stand, seen, stage.demand)
    return _solved(contact, stage, linear, left, np.zeros(6), (deeper, tilted))


def _by_load(fitted: LiveFitted, stage: _Stage, linear: Linear, axis: int) -> _Change:
    contact = fitted.contact
    wrench = np.zeros(6)
    if axis < 3:
        wrench[axis] = 1.0
        wrench[3:] = -np.cross(contact.reference_mm, wrench[:3]) / contact.length_mm
    else:
        wrench[axis] = _N_MM_PER_N_M / contact.length_mm
    turned = (wrench.reshape(2, 3) @ stage.found.stand.rotation.T).ravel()
    none = np.zeros_like(contact.points_mm)
    return _solved(contact, stage, linear, none, turned, None)


def _by_motion(contact: Contact, stage: _Stage, linear: Linear, axis: int) -> _Change:
    """The limb moved by one unit and held there."""
    motion = np.zeros(6)
    motion[axis] = 1.0 if axis < 3 else np.deg2rad(contact.length_mm)
    left = -(linear.motion @ motion)
    none = stage._replace(demand=stage.demand._replace(free=np.zeros(0, np.int64)))
    change = _solved(contact, none, linear, left, np.zeros(6), None, motion)
    return change


def _solved(
    contact: Contact,
    stage: _Stage,
    linear: Linear,
    left: Vertices,
    wrench: Reals,
    field: tuple[Scalars, Vertices] | None,
    motion: Reals | None = None,
) -> _Change:
    """The change that makes up for what is left, with what follows from it."""
    seen, stand = stage.found.look, stage.found.stand
    step = linear_step(linear, left, wrench, stage.demand.free, TIGHT, _MOST_PRODUCTS)
    moved = step.motion if motion is None else motion
    place = step.displaced + motion_rows(contact, stand, seen.place) @ moved
    turned = np.cross(moved[3:] / contact.length_mm, seen.traction)
    traction = step.traction + turned
    depth, gradient, hessian = penetration(contact.field, seen.place)
    deeper = np.einsum("ni,ni->n", gradient, place)
    tilted = np.einsum("nij,nj->ni", hessian, place)
    if field is not None:
        deeper, tilted = deeper + field[0], tilted + field[1]
    gap, normal = _gap_and_normal(depth, gradient, deeper, tilted)
    displaced = step.displaced @ stand.rotation
    return _Change(place, traction, normal, gap, displaced, moved)


def _gap_and_normal(
    depth: Scalars, gradient: Vertices, deeper: Scalars, tilted: Vertices
) -> tuple[Scalars, Vertices]:
    """Changes of the distance depth / |gradient| and of the unit normal."""
    size = np.linalg.norm(gradient, axis=1)
    normal = gradient / size[:, None]
    stretched = np.einsum("ni,ni->n", normal, tilted) / size
    turned = tilted / size[:, None] - stretched[:, None] * normal
    return deeper / size - depth / size * stretched, turned


def _by_field(
    contact: Contact,
    stage: _Stage,
    deeper: Scalars,
    tilted: Vertices,
    kept: _Remembered | None,
    slope: SocketField,
) -> Vertices:
    """Change of the allowed traction at given tractions and places, (n, 3): see `contact`."""
    seen, memory = stage.found.look, stage.memory
    depth, gradient, _ = penetration(contact.field, seen.place)
    gap, normal = _gap_and_normal(depth, gradient, deeper, tilted)
    m, traction = seen.normal, seen.traction
    c, along = measure(contact), contact.along_mpa_mm
    pressure = -np.einsum("ni,ni->n", traction, m)
    pressed = pressure + c * (seen.depth - contact.softness * pressure)
    keep = 1 - c * contact.softness
    more = -np.einsum("ni,ni->n", traction, normal)
    pressing = keep * more + c * gap
    if memory is None or stage.demand.friction == 0.0:
        change = -pressing[:, None] * m - pressed[:, None] * normal
        return np.asarray(change * (pressed > 0)[:, None])
    anchor, swept = _anchor_change(contact, stage, memory, kept, slope)
    z = memory.shear_mpa - along * (seen.place - anchor)
    dz = along * swept + (0.0 if kept is None else kept.shear)
    mz = np.einsum("ni,ni->n", m, z)
    b = (c / along)[:, None]
    tau = traction + pressure[:, None] * m
    s = (1 - b) * tau + b * (z - mz[:, None] * m)
    turning = np.einsum("ni,ni->n", z, normal) + np.einsum("ni,ni->n", m, dz)
    ds = (1 - b) * (more[:, None] * m + pressure[:, None] * normal) + b * (
        dz - mz[:, None] * normal - turning[:, None] * m
    )
    length = np.maximum(np.linalg.norm(s, axis=1), 1e-300)
    most = contact.friction * pressed
    e = s / length[:, None]
    lead = np.einsum("ni,ni->n", e, ds)
    slid = (most / length)[:, None] * (ds - e * lead[:, None])
    slid += contact.friction * pressing[:, None] * e
    shear = np.where((length > most)[:, None], slid, ds)
    change = shear - pressing[:, None] * m - pressed[:, None] * normal
    return np.asarray(change * (pressed > 0)[:, None])


def _anchor_change(
    contact: Contact,
    stage: _Stage,
    memory: Memory,
    kept: _Remembered | None,
    slope: SocketField,
) -> tuple[Vertices, Vertices]:
    """Anchors, and how they change with the memory and the wall at an unmoved limb."""
    anchor = memory.place_mm.copy()
    change = np.zeros_like(anchor) if kept is None else kept.place.copy()
    opened = np.flatnonzero(memory.depth_mm < 0)
    if kept is None or len(opened) == 0:
        return anchor, change
    stand = stage.found.stand
    led = places(contact, stand, memory.displaced_mm)[opened]
    depth, gradient, _ = penetration(contact.field, led)
    before = memory.depth_mm[opened]
    touches = depth > 0
    span = np.where(touches, depth - before, 1.0)
    share = np.where(touches, -before / span, 1.0)
    way = led - memory.place_mm[opened]
    leads = kept.displaced[opened] @ stand.rotation.T
    deeper = np.einsum("ni,ni->n", gradient, leads) + penetration(slope, led)[0]
    shares = np.where(touches, (before * deeper - depth * kept.depth[opened]) / span**2, 0.0)
    anchor[opened] += share[:, None] * way
    change[opened] += share[:, None] * (leads - kept.place[opened]) + shares[:, None] * way
    return anchor, change


def _kept(stage: _Stage, change: _Change, *, shear: bool) -> _Remembered:
    """Change of what `remember` keeps."""
    seen = stage.found.look
    pressure = -np.einsum("ni,ni->n", seen.traction, seen.normal)
    more = -np.einsum("ni,ni->n", change.traction, seen.normal)
    more -= np.einsum("ni,ni->n", seen.traction, change.normal)
    held = change.traction + more[:, None] * seen.normal + pressure[:, None] * change.normal
    held = held * (pressure > 0)[:, None] if shear else np.zeros_like(held)
    return _Remembered(change.place, held, change.depth, change.displaced)


class _Means:
    """Area means of an equilibrium and their derivatives, as `live` reads them."""

    def __init__(self, fitted: LiveFitted, found: Found) -> None:
        seen = found.look
        self._fitted, self._seen = fitted, seen
        self._pressure = -np.einsum("ni,ni->n", seen.traction, seen.normal)
        count = len(self._pressure)
        self._rows = matrix_from(fitted.prepared.to_skin)[:, :count]
        self._touches = (self._pressure > 0) & (fitted.contact.weights_mm2 > 0)

    def values_kpa(self) -> Scalars:
        """Mean pressure of each area."""
        return self._read(np.where(self._touches, self._pressure, 0.0))

    def slope_kpa(self, change: _Change) -> Scalars:
        """Its derivative along a change."""
        more = -np.einsum("ni,ni->n", change.traction, self._seen.normal)
        more -= np.einsum("ni,ni->n", self._seen.traction, change.normal)
        return self._read(np.where(self._touches, more, 0.0))

    def _read(self, at_nodes: Scalars) -> Scalars:
        fitted = self._fitted
        on_skin = np.where(fitted.covered, self._rows @ at_nodes, 0.0)
        areas = fitted.zones.skin.areas_mm2
        means = [
            float(areas[zone.inside] @ on_skin[zone.inside] / max(areas[zone.inside].sum(), 1e-9))
            for zone in fitted.zones.zones
        ]
        return reals(np.array([kpa_from_mpa(mean) for mean in means]))


def _pose(contact: Contact, change: _Change) -> Scalars:
    """Change of the reference's shift (mm) and of the turn (degrees)."""
    turn = np.rad2deg(change.motion[3:] / contact.length_mm)
    return reals(np.concatenate([change.motion[:3], turn]))
