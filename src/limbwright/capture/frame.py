"""The limb frame from landmarks and shape, and whether the stated side can be true.

Two steps. The long axis is the direction that best explains the tibial crest, the fibula and
the middles of the sections, each with its usual lean. The turn about it is the one that best
explains where tubercle, tendon, fibular head, medial flare and lateral tubercle stand around
the limb. A left limb is mirrored first, so that both sides take the same path.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from limbwright.capture.leg_table import (
    BEARINGS,
    CONTOUR_LEAN,
    CREST_LEAN,
    FIBULA_LEAN,
    LANDMARK_SPREAD_MM,
    Lean,
)
from limbwright.core.errors import InvalidLandmarks, InvalidScan
from limbwright.core.frame import LimbFrame, Side
from limbwright.core.mesh import Mesh, Scalars, Vector, Vertices
from limbwright.core.slicing import slice_moments

LATERAL_NAMES = (
    "fibular_head",
    "lateral_tibial_tubercle",
    "distal_fibula",
    "lateral_hamstring_tendon",
    "lateral_epicondyle",
)
MEDIAL_NAMES = ("medial_tibial_flare", "medial_hamstring_tendon", "medial_epicondyle")
_SIDE_NAMES = ("fibular_head", "lateral_tibial_tubercle", "medial_tibial_flare")
_CREST_NAMES = ("tibial_tubercle", "crest_upper", "crest_lower")
_SHIN_NAMES = ("tibial_tubercle", "crest_upper", "distal_tibia")
_FIBULA_NAMES = ("fibular_head", "distal_fibula")
_DISTAL_NAMES = ("limb_end", "distal_tibia", "distal_fibula", "crest_lower", "crest_upper")
_ROUND_END_MM = 48.0
"""The last part of a limb, where its sections draw in whatever the axis does."""

Points = Mapping[str, Vector]


def limb_frame(skin: Mesh, points_mm: Points, side: Side) -> LimbFrame:
    """Set the limb frame: outward, forward, up, origin at the mid-patellar-tendon level.

    Parameters
    ----------
    skin : Mesh
        Repaired scan, mm, scan frame in any orientation, open at the top.
    points_mm : mapping of landmark name to (3,) float64, mm, scan frame
        Needed: the datum (mid_patellar_tendon, or patella_lower_pole with tibial_tubercle)
        and one that tells the sides apart (fibular_head, lateral_tibial_tubercle or
        medial_tibial_flare). The crest, distal tibia and fibula and limb end sharpen it.
    side : Side

    Raises
    ------
    InvalidLandmarks
        When landmarks are missing, or contradict the stated side or each other.
    InvalidScan
        When the limb has no usable section below the datum.
    """
    points = {name: np.asarray(p, dtype=np.float64) for name, p in points_mm.items()}
    datum = _datum(points)
    _require_side_landmark(points)
    mirror = np.array([1.0 if side is Side.RIGHT else -1.0, 1.0, 1.0])
    local = skin.vertices - datum
    axes = _right_axes(
        Mesh(local * mirror, skin.faces if side is Side.RIGHT else skin.faces[:, ::-1]),
        {name: (p - datum) * mirror for name, p in points.items()},
    )
    axes = axes * mirror
    centre = _section_centres(_turned(local, skin, axes, side), np.array([0.0]))[0]
    origin = datum + np.array([centre[0], centre[1], 0.0]) @ axes
    frame = LimbFrame(origin, axes, side)
    check_side(frame, points)
    return frame


def check_side(frame: LimbFrame, points_mm: Points) -> None:
    """Refuse landmarks that contradict the stated side.

    Parameters
    ----------
    frame : LimbFrame
    points_mm : mapping of landmark name to (3,) float64, mm, scan frame

    Raises
    ------
    InvalidLandmarks
        Naming the landmarks that stand on the wrong side of the limb's middle.
    """
    outward = {
        name: float((np.asarray(points_mm[name]) - frame.origin_mm) @ frame.axes[0])
        for name in (*LATERAL_NAMES, *MEDIAL_NAMES)
        if name in points_mm
    }
    wrong = [name for name, o in outward.items() if (o < 0.0) is (name in LATERAL_NAMES)]
    if not wrong:
        return
    places = ", ".join(
        f"{name} {abs(outward[name]):.0f} mm"
        f" {'medial' if outward[name] < 0 else 'lateral'} of the limb's middle"
        for name in wrong
    )
    fields = {"side": frame.side.value, "contradicting": wrong, "outward_mm": outward}
    if 2 * len(wrong) > len(outward):
        other = Side.LEFT if frame.side is Side.RIGHT else Side.RIGHT
        raise InvalidLandmarks(
            f"The limb is stated as {frame.side.value}, but its landmarks are those of a"
            f" {other.value} limb ({places}); check the side.",
            where="side",
            fields=fields,
        )
    raise InvalidLandmarks(
        f"On a {frame.side.value} limb these landmarks stand on the wrong side ({places});"
        " check whether medial and lateral ones were exchanged.",
        where="landmarks",
        fields=fields,
    )


def _datum(points: Points) -> Vector:
    """Mid-patellar tendon, or half way between lower pole and tubercle."""
    if "mid_patellar_tendon" in points:
        return np.asarray(points["mid_patellar_tendon"])
    if "patella_lower_pole" in points and "tibial_tubercle" in points:
        return np.asarray(0.5 * (points["patella_lower_pole"] + points["tibial_tubercle"]))
    raise InvalidLandmarks(
        "The datum is missing: give mid_patellar_tendon, or patella_lower_pole and"
        " tibial_tubercle.",
        where="landmarks",
        fields={"given": sorted(points)},
    )


def _require_side_landmark(points: Points) -> None:
    if not any(name in points for name in _SIDE_NAMES):
        raise InvalidLandmarks(
            "Nothing tells medial from lateral: give one of " + ", ".join(_SIDE_NAMES) + ".",
            where="landmarks",
            fields={"given": sorted(points)},
        )


def _right_axes(skin: Mesh, points: Points) -> NDArray[np.float64]:
    """Axes (rows o, f, u) of a limb treated as a right one, origin at the datum landmark."""
    axes = _first_axes(skin.vertices, points)
    for _ in range(4):
        axes = _tilted(axes, _axis_correction(skin, points, axes))
        axes = _spun(axes, _turn_correction(skin, points, axes))
    return axes


def _first_axes(vertices: Vertices, points: Points) -> NDArray[np.float64]:
    """Rough axes: long axis of the scan pointing away from the distal landmarks."""
    middle = vertices.mean(axis=0)
    spread = vertices - middle
    _, vectors = np.linalg.eigh(spread.T @ spread)
    distal = [points[name] for name in _DISTAL_NAMES if name in points]
    if distal:
        up = -np.mean(distal, axis=0)
        along = vectors[:, 2] * np.sign(vectors[:, 2] @ up)
        up = up / np.linalg.norm(up) + along
    else:
        # the datum stands in the upper half of every scan that reaches below the tubercle
        up = vectors[:, 2] * -np.sign(vectors[:, 2] @ middle)
    up /= np.linalg.norm(up)
    near = np.abs(vertices @ up) < 15.0
    forward = -vertices[near].mean(axis=0) if near.any() else -middle
    return _orthonormal(forward, up)


def _orthonormal(forward: Vector, up: Vector) -> NDArray[np.float64]:
    up = up / np.linalg.norm(up)
    forward = forward - (forward @ up) * up
    forward = forward / np.linalg.norm(forward)
    return np.stack([np.cross(forward, up), forward, up])


def _tilted(axes: NDArray[np.float64], lean: NDArray[np.float64]) -> NDArray[np.float64]:
    """Axes after the long axis leans by (outward, forward) per unit of length, proximally."""
    up = axes[2] + lean[0] * axes[0] + lean[1] * axes[1]
    return _orthonormal(axes[1], up)


def _spun(axes: NDArray[np.float64], angle_rad: float) -> NDArray[np.float64]:
    forward = np.cos(angle_rad) * axes[1] - np.sin(angle_rad) * axes[0]
    return _orthonormal(forward, axes[2])


def _axis_correction(skin: Mesh, points: Points, axes: NDArray[np.float64]) -> NDArray[np.float64]:
    """Lean of the long axis that the crest, the fibula and the sections ask for."""
    local = {name: axes @ p for name, p in points.items()}
    contour = _contour(Mesh(skin.vertices @ axes.T, skin.faces))
    cues = [
        (_crest(local), CREST_LEAN.value),
        (_line(local, _FIBULA_NAMES), FIBULA_LEAN.value),
        (contour, CONTOUR_LEAN.value),
    ]
    asked = [_lean(line, usual) for line, usual in cues if line is not None]
    if not asked:
        raise InvalidLandmarks(
            "The limb is too short to find its long axis from its outline; give the landmarks"
            " tibial_tubercle with crest_lower, or fibular_head with distal_fibula.",
            where="landmarks",
            fields={"given": sorted(points)},
        )
    leans, weights = np.array([lean for lean, _ in asked]), np.array([w for _, w in asked])
    return np.asarray((weights * leans).sum(axis=0) / weights.sum(axis=0))


def _lean(line: Vertices, usual: Lean) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Lean (o, f) beyond the usual one, proximally, and the weights that its length earns it."""
    along = line[:, 2] - line[:, 2].mean()
    square = float(along @ along)
    slope = along @ (line[:, :2] - line[:, :2].mean(axis=0)) / square
    expected = -np.tan(np.radians([usual.outward_deg, usual.forward_deg]))
    spread = np.radians([usual.outward_sd_deg, usual.forward_sd_deg]) ** 2
    return slope - expected, 1.0 / (spread + LANDMARK_SPREAD_MM.value**2 / square)


def _line(local: Points, names: Sequence[str]) -> Vertices | None:
    """Landmarks of one line, or None when they span too little to give a direction."""
    found = [local[name] for name in names if name in local]
    if len(found) < 2 or np.ptp(np.array(found)[:, 2]) < 15.0:
        return None
    return np.array(found)


def _crest(local: Points) -> Vertices | None:
    """The crest; with too few points on it, the distal tibia stands in, though it rounds off."""
    crest = _line(local, _CREST_NAMES)
    return _line(local, _SHIN_NAMES) if crest is None else crest


def _contour(skin: Mesh) -> Vertices | None:
    """Outermost and foremost line of the limb from below the datum to where its end rounds off."""
    lowest = -float(skin.vertices[:, 2].min()) - _ROUND_END_MM
    if lowest < 25.0:
        return None
    levels = -np.linspace(10.0, lowest, 15)
    high = slice_moments(skin, levels).high_mm
    return np.column_stack([high, levels])[np.isfinite(high).all(axis=1)]


def _section_centres(skin: Mesh, levels_u_mm: Scalars) -> NDArray[np.float64]:
    """Middle of the area at each level; where a section gapes, the middle of its extent."""
    found = slice_moments(skin, levels_u_mm)
    extent = 0.5 * (found.low_mm + found.high_mm)
    whole = (found.gap_mm == 0.0) & (found.area_mm2 > 0.0)
    centres = np.where(whole[:, None], found.centroid_mm, extent)
    if not np.isfinite(centres).all():
        raise InvalidScan(
            "The scan does not reach the mid-patellar-tendon level; check the landmarks' unit"
            " and that the scan covers the knee.",
            where="scan",
        )
    return np.asarray(centres)


def _turn_correction(skin: Mesh, points: Points, axes: NDArray[np.float64]) -> float:
    """Turn about the long axis, rad, that the bearings of the landmarks ask for."""
    turned = Mesh(skin.vertices @ axes.T, skin.faces)
    names = [name for name in BEARINGS.value if name in points]
    local = np.array([axes @ points[name] for name in names])
    out = local[:, :2] - _section_centres(turned, local[:, 2])
    radius = np.hypot(out[:, 0], out[:, 1])
    usual = np.radians([BEARINGS.value[name].angle_deg for name in names])
    spread = np.radians([BEARINGS.value[name].sd_deg for name in names])
    excess = np.arctan2(out[:, 1], out[:, 0]) - usual
    excess = (excess + np.pi) % (2.0 * np.pi) - np.pi
    weight = 1.0 / (spread**2 + (LANDMARK_SPREAD_MM.value / np.maximum(radius, 1.0)) ** 2)
    return float(weight @ excess / weight.sum())


def _turned(local: Vertices, skin: Mesh, axes: NDArray[np.float64], side: Side) -> Mesh:
    faces = skin.faces if side is Side.RIGHT else skin.faces[:, ::-1]
    return Mesh(local @ axes.T, faces)
