"""The computed picture at one spot of the limb: what is read there before causes are weighed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from limbwright.align.result import Alignment
from limbwright.capture.result import Limb
from limbwright.core.frame import to_limb
from limbwright.core.mesh import Vector, Vertices
from limbwright.core.proximity import DistanceTree
from limbwright.core.sources import Basis
from limbwright.core.units import kpa_from_mpa
from limbwright.fit.plan import Complaint, FitPhase
from limbwright.prove.interface.reading import Skin, ZoneMap, divide, skin_of
from limbwright.prove.result import Proof
from limbwright.shape.plan import ShapePlan
from limbwright.shape.result import PlacedArea, SocketShape
from limbwright.shape.trim import angle_of, height_at

IN_AREA = 0.5
AT_EDGE = 0.05
READ_AS: Mapping[FitPhase, str] = {
    FitPhase.DONNED: "donned",
    FitPhase.STANDING: "standing",
    FitPhase.EARLY_STANCE: "early_stance",
    FitPhase.MID_STANCE: "mid_stance",
    FitPhase.LATE_STANCE: "late_stance",
    FitPhase.SWING: "swing",
    FitPhase.AFTER: "mid_stance",
}
"""Load case that is read for each phase; what the skin shows afterwards is read in mid stance."""


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """The limb's surface, ready to be touched and read: once per limb.

    Parameters
    ----------
    skin : Skin
    tree : DistanceTree
        Of `Limb.surface`.
    """

    skin: Skin
    tree: DistanceTree


@dataclass(frozen=True, slots=True, eq=False)
class Picture:
    """All that was computed of one revision of the case.

    Parameters
    ----------
    limb, shape, alignment, proof : results of the stages before
    plan : ShapePlan
    zones : ZoneMap
    ground : Ground
    """

    limb: Limb
    shape: SocketShape
    alignment: Alignment
    proof: Proof
    plan: ShapePlan
    zones: ZoneMap
    ground: Ground

    @property
    def bones(self) -> Basis:
        """What the bones, and with them every pressure, rest on."""
        return self.limb.bones.basis


@dataclass(frozen=True, slots=True, eq=False)
class Spot:
    """One place on the skin in one load case.

    Parameters
    ----------
    point_mm : (3,) float64, limb frame, on the skin
    vertex : int
        Nearest of `Limb.surface`.
    load_case : str
    pressure_kpa : mapping of load case to float
        Mean over the 1 cm2 here.
    shear_kpa : float
        Mean size over the 1 cm2 here, in this load case.
    pressure_rank_percent, shear_rank_percent : float
        Share of the covered surface that carries less.
    covered : bool
        False where no socket is.
    area : PlacedArea or None
        That the spot lies in.
    edge_of : PlacedArea or None
        Load area on whose blend it lies, if it lies in none.
    to_brim_mm : float
        Straight distance to the trim line.
    below_edge_mm : float
        How far below the trim line it lies, straight up; negative above it.
    cover_mm : float
        Tissue over bone.
    """

    point_mm: Vector
    vertex: int
    load_case: str
    pressure_kpa: Mapping[str, float]
    shear_kpa: float
    pressure_rank_percent: float
    shear_rank_percent: float
    covered: bool
    area: PlacedArea | None
    edge_of: PlacedArea | None
    to_brim_mm: float
    below_edge_mm: float
    cover_mm: float

    @property
    def here_kpa(self) -> float:
        """In this load case."""
        return self.pressure_kpa.get(self.load_case, 0.0)


def ground_of(limb: Limb) -> Ground:
    """The limb's surface, ready to be touched and read."""
    return Ground(skin_of(limb.surface), DistanceTree(limb.surface))


def picture_of(
    limb: Limb,
    shape: SocketShape,
    alignment: Alignment,
    proof: Proof,
    plan: ShapePlan,
    ground: Ground,
) -> Picture:
    """The picture that complaints are held against."""
    zones = divide(ground.skin, shape)
    return Picture(limb, shape, alignment, proof, plan, zones, ground)


def spot_of(picture: Picture, complaint: Complaint) -> Spot | None:
    """Where a complaint is; None for one of the whole socket, or whose landmark is unknown."""
    limb = picture.limb
    if complaint.point is not None:
        point = to_limb(limb.frame, np.array([complaint.point]))[0]
    elif complaint.landmark is not None and complaint.landmark in limb.landmarks:
        point = limb.landmarks[complaint.landmark].point_mm
    else:
        return None
    _, _, foot = picture.ground.tree.closest(point[None])
    away = np.linalg.norm(limb.surface.vertices - foot[0], axis=1)
    return _read(picture, foot[0], int(away.argmin()), READ_AS[complaint.phase])


def _read(picture: Picture, point: Vector, vertex: int, load_case: str) -> Spot:
    shape, zones, cases = picture.shape, picture.zones, picture.proof.interface.cases
    patch = zones.patch_mean
    pressure = {case.load_case: kpa_from_mpa(1.0) * (patch @ case.pressure_mpa) for case in cases}
    shown = next((case for case in cases if case.load_case == load_case), cases[-1])
    shear = kpa_from_mpa(1.0) * (patch @ np.linalg.norm(shown.shear_mpa, axis=1))
    covered = zones.covered
    inside = [area for area in shape.areas if area.weight[vertex] >= IN_AREA]
    blends = [
        area for area in shape.areas if area.loads and AT_EDGE <= area.weight[vertex] < IN_AREA
    ]
    below_mm, away_mm = spot_to_edge_mm(shape.trim.points_mm, point)
    strongest = max(inside, key=lambda area: float(area.weight[vertex]), default=None)
    edge = max(blends, key=lambda area: float(area.weight[vertex]), default=None)
    return Spot(
        point,
        vertex,
        shown.load_case,
        {name: float(values[vertex]) for name, values in pressure.items()},
        float(shear[vertex]),
        _rank_percent(pressure[shown.load_case][covered], float(pressure[shown.load_case][vertex])),
        _rank_percent(shear[covered], float(shear[vertex])),
        bool(covered[vertex]),
        strongest,
        edge if strongest is None else None,
        away_mm,
        below_mm,
        float(picture.limb.cover_mm[vertex]),
    )


def spot_to_edge_mm(edge: Vertices, point: Vector) -> tuple[float, float]:
    """How far a place lies below the trim line, straight up, and how far from it.

    Parameters
    ----------
    edge : (k, 3) float64, mm, limb frame
        The closed trim line.
    point : (3,) float64, mm, limb frame
    """
    height = float(height_at(edge, angle_of(point)))
    return float(height - point[2]), float(np.linalg.norm(edge - point, axis=1).min())


def _rank_percent(values: Vector, value: float) -> float:
    return 100.0 * float((values < value).mean()) if len(values) else 0.0
