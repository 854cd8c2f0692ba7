"""A typical bone set under the skin: where it most likely stands, and how sure each place is.

The bone is its typical shape, moved, leant, turned and scaled, plus a smooth departure of this
body from the typical shape. All that is known (usual covers, palpated depths, usual build) are
equations with a spread each; the most likely bone is the least-squares solution, its spread
follows from the same equations. (Kriging with a trend: Matheron 1969; Rasmussen and Williams
2006, Gaussian Processes for Machine Learning, section 2.7.)
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from limbwright.capture.bone_templates import Reach
from limbwright.core.errors import InvalidLandmarks
from limbwright.core.mesh import Scalars, Vector, Vertices

_Array = NDArray[np.float64]
_SHIFT_O, _SHIFT_F, _LEAN_O, _LEAN_F, _SCALE, _TURN, _RISE, _COVER = range(8)
_STEPS = np.array([1e-2, 1e-2, 1e-4, 1e-4, 1e-4, 1e-4, 1e-2, 1e-2])
"""Steps of the differences that stand for derivatives."""
_LARGEST_MOVE = np.array([20.0, 20.0, 0.3, 0.3, 0.2, 0.5, 10.0, 10.0])
_MOST_STEPS, _FULL_STEPS = 80, 8
_SEARCH_RAD = np.linspace(0.0, 2.0 * np.pi, 240, endpoint=False)


@dataclass(frozen=True, slots=True)
class Build:
    """How much bodies differ: spreads of a bone's place and shape, one standard deviation.

    Parameters
    ----------
    lean : float
        Of the bone's axis against the limb's, mm/mm.
    scale : float
        Of its breadth, as a share.
    turn_rad : float
    rise_mm : float
        Of its upper end.
    thin_cover_mm : float
        Of the cover where it is thin.
    shape_mm : float
        Of this body's surface about the typical shape.
    along_mm, around_rad : float
        How far such a departure reaches.
    """

    lean: float
    scale: float
    turn_rad: float
    rise_mm: float
    thin_cover_mm: float
    shape_mm: float
    along_mm: float
    around_rad: float


@dataclass(frozen=True, slots=True, eq=False)
class Sights:
    """Bone points under points of the skin.

    Parameters
    ----------
    skin_mm : (m, 3) float64, limb frame
    outward : (m, 3) float64
        Unit normal of the skin, averaged.
    share : (m,) float64
        Cover as a share of the thin cover; 0 where the depth is known.
    depth_mm : (m,) float64
        Known depth along the normal, used where the share is 0.
    sd_mm : (m,) float64
    faces : (m,) bool
        True: the bone's surface faces as the skin does there, and lies so deep. False: it only
        passes through the point.
    """

    skin_mm: Vertices
    outward: Vertices
    share: Scalars
    depth_mm: Scalars
    sd_mm: Scalars
    faces: NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Beside:
    """A bone point that stands a usual way off the axis.

    Parameters
    ----------
    skin_mm, outward : (3,) float64
    share, depth_mm : float
        As in Sights.
    offset_mm : (2,) float64
        From the axis, outward and forward, turned and scaled with the bone.
    ways : (k, 2) float64
        Unit directions in which that is known.
    sd_mm : float
    """

    skin_mm: Vector
    outward: Vector
    share: float
    depth_mm: float
    offset_mm: _Array
    ways: _Array
    sd_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class Task:
    """All that is known of one bone.

    Parameters
    ----------
    reach : Reach
    top_u_mm, end_u_mm : float
        Heights of its upper and lower end.
    thin_mm, least_mm : float
        Usual thin cover, and the least taken.
    build : Build
    sights : Sights
    beside : tuple of Beside
    """

    reach: Reach
    top_u_mm: float
    end_u_mm: float
    thin_mm: float
    least_mm: float
    build: Build
    sights: Sights
    beside: tuple[Beside, ...]


@dataclass(frozen=True, slots=True, eq=False)
class SetBone:
    """A bone in its most likely place.

    Parameters
    ----------
    task : Task
    state : (8,) float64
        Shift outward and forward (mm), lean outward and forward (mm/mm), scale (logarithm), turn
        (rad), rise of the upper end (mm), thin cover over its usual value (mm).
    depths_mm, angles_rad, through : (m,)
        Where the sights meet the bone, and which of them tell its shape.
    weights : (m,) float64
        Of each sight in this body's departure from the typical shape.
    solved : (m, m) float64
        Inverse covariance of the sights.
    slopes : (m, 8) float64
        Change of the sights' gaps with the state.
    spread : (8, 8) float64
        Covariance of the state.
    """

    task: Task
    state: _Array
    depths_mm: Scalars
    angles_rad: Scalars
    through: NDArray[np.bool_]
    weights: Scalars
    solved: _Array
    slopes: _Array
    spread: _Array

    @property
    def top_u_mm(self) -> float:
        """Height of the upper end."""
        return self.task.top_u_mm + float(self.state[_RISE])

    @property
    def thin_mm(self) -> float:
        """Cover where it is thin."""
        return self.task.thin_mm + float(self.state[_COVER])


def set_bone(task: Task) -> SetBone:
    """The most likely place and shape of a bone (Gauss-Newton from the usual place).

    Returns
    -------
    SetBone

    Raises
    ------
    InvalidLandmarks
        When the search does not come to rest.
    """
    state = np.zeros(8)
    for count in range(_MOST_STEPS):
        bone = _linearised(task, state)
        gaps = _gaps(task, state, bone.angles_rad)[0]
        rest = _usual(task, state)
        root = np.linalg.cholesky(bone.solved)
        left = np.concatenate(
            [root.T @ bone.slopes, _differences(lambda x: _usual(task, x), state)]
        )
        right = np.concatenate([root.T @ gaps, rest])
        step = np.linalg.lstsq(left, -right, rcond=None)[0]
        # Where the surface meets a point moves with the bone: shorter steps end a swing.
        state = state + np.clip(step, -_LARGEST_MOVE, _LARGEST_MOVE) / (1 + count // _FULL_STEPS)
        if (np.abs(step) < 5.0 * _STEPS).all():
            break
    else:
        raise InvalidLandmarks(
            "No place of the bones agrees with the landmarks and the palpated depths; check them.",
            where="landmarks",
        )
    bone = _linearised(task, state)
    weights = bone.solved @ _gaps(task, state, bone.angles_rad)[0]
    return replace(bone, weights=weights)


def surface_mm(bone: SetBone, depths_mm: Scalars, angles_rad: Scalars) -> tuple[_Array, _Array]:
    """Sections of a bone: its middles and how far it reaches from them.

    Parameters
    ----------
    depths_mm : (k,) below the upper end
    angles_rad : (n,)

    Returns
    -------
    (k, 2) float64, (k, n) float64, mm
    """
    depth, angle = np.meshgrid(depths_mm, angles_rad, indexing="ij")
    flat = _likeness(bone, depth.ravel(), angle.ravel()) @ bone.weights
    reach = np.exp(bone.state[_SCALE]) * bone.task.reach.at(depth, angle - bone.state[_TURN])
    return _axis(bone.state, depths_mm), reach + flat.reshape(depth.shape)


def spread_mm(bone: SetBone, depths_mm: Scalars, angles_rad: Scalars) -> Scalars:
    """How sure the bone's surface is across itself, one standard deviation.

    Parameters
    ----------
    depths_mm, angles_rad : (k,) float64
        Depth below the upper end and direction of the surface's normal.

    Returns
    -------
    (k,) float64, mm
    """
    known = _likeness(bone, depths_mm, angles_rad)
    told = known @ bone.solved
    moved = _moves(bone, depths_mm, angles_rad) + told @ bone.slopes
    variance = bone.task.build.shape_mm**2 - np.einsum("ij,ij->i", told, known)
    variance = variance + np.einsum("ij,jk,ik->i", moved, bone.spread, moved)
    return np.asarray(np.sqrt(np.clip(variance, 0.0, None)))


def _linearised(task: Task, state: _Array) -> SetBone:
    _, depths, angles = _gaps(task, state, None)
    slopes = _differences(lambda x: _gaps(task, x, angles)[0], state)
    through = ~task.sights.faces | (task.sights.share > 0.0)
    covariance = _likeness_of(task.build, depths, angles, depths, angles)
    covariance = covariance * (through[:, None] & through) + np.diag(task.sights.sd_mm**2)
    solved: _Array = np.linalg.inv(covariance).astype(np.float64)
    usual = _differences(lambda x: _usual(task, x), state)
    told = slopes.T @ solved @ slopes + usual.T @ usual
    spread: _Array = np.linalg.inv(told).astype(np.float64)
    nothing = np.zeros(len(depths))
    return SetBone(task, state, depths, angles, through, nothing, solved, slopes, spread)


def _gaps(task: Task, state: _Array, angles: Scalars | None) -> tuple[Scalars, Scalars, Scalars]:
    """How far each bone point lies outside the typical bone; depths and directions there."""
    sights = task.sights
    cover = _cover_mm(task, state, sights.share, sights.depth_mm)
    points = sights.skin_mm - cover[:, None] * sights.outward
    depth = task.top_u_mm + state[_RISE] - np.maximum(points[:, 2], task.end_u_mm)
    off = points[:, :2] - _axis(state, depth)
    if angles is None:
        angles = _directions(task, state, off, depth)
    way = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    return (off * way).sum(axis=1) - _typical(task, state, depth, angles), depth, angles


def _directions(task: Task, state: _Array, off: _Array, depth: Scalars) -> Scalars:
    """Where a sight tells the facing, that; else where the bone's surface passes the point."""
    ways = np.stack([np.cos(_SEARCH_RAD), np.sin(_SEARCH_RAD)])
    all_depths = np.broadcast_to(depth[:, None], (len(depth), len(_SEARCH_RAD)))
    all_angles = np.broadcast_to(_SEARCH_RAD, all_depths.shape)
    outside = off @ ways - _typical(task, state, all_depths, all_angles)
    best = outside.argmax(axis=1)
    rows, last = np.arange(len(depth)), len(_SEARCH_RAD)
    before, here, after = (outside[rows, (best + k) % last] for k in (-1, 0, 1))
    bend = np.minimum(before - 2.0 * here + after, -1e-12)
    passing = _SEARCH_RAD[best] + 0.5 * (before - after) / bend * _SEARCH_RAD[1]
    outward = task.sights.outward
    facing = np.arctan2(outward[:, 1], outward[:, 0])
    return np.asarray(np.where(task.sights.faces, facing, passing))


def _typical(task: Task, state: _Array, depth: _Array, angles: _Array) -> _Array:
    return np.asarray(np.exp(state[_SCALE]) * task.reach.at(depth, angles - state[_TURN]))


def _axis(state: _Array, depth: Scalars) -> _Array:
    return np.asarray(state[[_SHIFT_O, _SHIFT_F]] + depth[:, None] * state[[_LEAN_O, _LEAN_F]])


def _cover_mm(task: Task, state: _Array, share: Scalars, depth_mm: Scalars) -> Scalars:
    usual = np.maximum(share * (task.thin_mm + state[_COVER]), task.least_mm)
    return np.where(share > 0.0, usual, depth_mm)


def _usual(task: Task, state: _Array) -> Scalars:
    """What is usual of this bone, each over its spread."""
    build = task.build
    parts = [
        state[[_LEAN_O, _LEAN_F]] / build.lean,
        state[[_SCALE]] / build.scale,
        state[[_TURN]] / build.turn_rad,
        state[[_RISE]] / build.rise_mm,
        state[[_COVER]] / build.thin_cover_mm,
    ]
    turn = state[_TURN]
    turned = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    for item in task.beside:
        cover = _cover_mm(task, state, np.array([item.share]), np.array([item.depth_mm]))[0]
        point = item.skin_mm - cover * item.outward
        depth = task.top_u_mm + state[_RISE] - point[2]
        off = point[:2] - _axis(state, np.array([depth]))[0]
        off = off - np.exp(state[_SCALE]) * turned @ item.offset_mm
        parts.append(item.ways @ off / item.sd_mm)
    return np.concatenate(parts)


def _moves(bone: SetBone, depths: Scalars, angles: Scalars) -> _Array:
    """Change of the surface's place, along its normal in the section, with the state, (k, 8)."""
    state, reach = bone.state, bone.task.reach
    scale, turned = np.exp(state[_SCALE]), angles - state[_TURN]
    way = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    rise = way @ state[[_LEAN_O, _LEAN_F]] + scale * reach.at(depths, turned, slope=1)
    return np.column_stack(
        [
            way,
            depths[:, None] * way,
            scale * reach.at(depths, turned),
            -scale * reach.at(depths, turned, slope=2),
            rise,
            np.zeros(len(depths)),
        ]
    )


def _likeness(bone: SetBone, depths: Scalars, angles: Scalars) -> _Array:
    build = bone.task.build
    return bone.through * _likeness_of(build, depths, angles, bone.depths_mm, bone.angles_rad)


def _likeness_of(
    build: Build, depths: Scalars, angles: Scalars, others: Scalars, other_angles: Scalars
) -> _Array:
    """Covariance of a body's departures from the typical shape at two sets of places."""
    along = (depths[:, None] - others) / build.along_mm
    around = 2.0 * np.sin(0.5 * (angles[:, None] - other_angles)) / build.around_rad
    return np.asarray(build.shape_mm**2 * np.exp(-0.5 * (along**2 + around**2)))


def _differences(function: Callable[[_Array], Scalars], state: _Array) -> _Array:
    """Derivatives by central differences, (values, 8)."""
    columns = []
    for place, step in enumerate(_STEPS):
        ahead, back = state.copy(), state.copy()
        ahead[place] += step
        back[place] -= step
        columns.append((function(ahead) - function(back)) / (2.0 * step))
    return np.stack(columns, axis=1)
