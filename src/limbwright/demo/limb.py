"""The demo limb: an invented person's residual limb whose truth is known exactly."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from limbwright.capture.measure import measure
from limbwright.capture.result import LevelMeasure, RawScan
from limbwright.capture.tape import TapeRow
from limbwright.core.frame import LimbFrame, Side, mesh_to_scan, to_scan
from limbwright.core.mesh import Mesh, Vector, with_vertices
from limbwright.core.remeshing import remesh_uniform
from limbwright.core.slicing import slice_moments
from limbwright.core.units import LengthUnit
from limbwright.demo.body import FIBULA, TIBIA
from limbwright.demo.scan import scanned, scanner_pose
from limbwright.demo.skin import skin_mesh, skin_point

TAPE_LEVELS_MM = (-20.0, 0.0, 20.0, 40.0, 60.0, 80.0, 100.0, 120.0)
_HAND_ERROR_MM = 1.2
"""How far the invented hand with the tape strays, one standard deviation."""

_SCAN_EDGE_MM = 1.35
"""Even triangles, as a scanner's fusion leaves them; slivers would fold under its noise."""

_FOUND_FROM: dict[str, tuple[Vector, Vector]] = {
    name: (np.array(inside), np.array(way))
    for name, inside, way in (
        ("mid_patellar_tendon", (-1.0, 25.0, 0.0), (0.0, 1.0, 0.0)),
        ("patella_lower_pole", (-3.0, 20.0, 20.0), (0.0, 1.0, 0.0)),
        ("tibial_tubercle", (0.0, 25.0, -19.0), (0.0, 1.0, 0.0)),
        ("medial_tibial_flare", (-12.0, -2.0, -20.0), (-1.0, 0.15, 0.0)),
        ("lateral_tibial_tubercle", (18.0, 8.0, 8.0), (0.75, 0.66, 0.0)),
        ("fibular_head", (47.0, -3.0, -4.0), (1.0, 0.15, 0.0)),
        ("crest_upper", (-0.2, 20.0, -55.0), (0.0, 1.0, 0.0)),
        ("crest_lower", (0.2, 15.0, -95.0), (0.0, 1.0, 0.0)),
        ("distal_tibia", (0.6, 14.0, -116.0), (0.0, 0.85, -0.53)),
        ("distal_fibula", (48.5, -6.5, -101.0), (0.85, 0.0, -0.53)),
        ("medial_hamstring_tendon", (-24.0, -32.0, 6.0), (-0.55, -0.83, 0.0)),
        ("lateral_hamstring_tendon", (36.0, -22.0, 8.0), (0.75, -0.66, 0.0)),
        ("popliteal_centre", (2.0, -15.0, 2.0), (0.2, -0.98, 0.0)),
        ("medial_epicondyle", (-20.0, -9.0, 40.0), (-1.0, -0.2, 0.0)),
        ("lateral_epicondyle", (20.0, -2.0, 40.0), (1.0, 0.2, 0.0)),
    )
}
"""Each landmark: a point inside and the way from it to the skin, body frame."""

PALPATED = (
    "patella_lower_pole",
    "tibial_tubercle",
    "mid_patellar_tendon",
    "fibular_head",
    "medial_tibial_flare",
    "lateral_tibial_tubercle",
    "crest_upper",
    "crest_lower",
    "distal_tibia",
    "distal_fibula",
    "limb_end",
)
"""Landmarks that the demo's landmark file holds; the others are left to be proposed."""


@dataclass(frozen=True, slots=True, eq=False)
class DemoLimb:
    """An invented residual limb, its raw scan and its truth.

    Parameters
    ----------
    side : Side
    skin : Mesh
        True skin, limb frame, open at the top.
    tibia, fibula : Mesh
        True bones, limb frame, closed.
    landmarks_mm : mapping of name to (3,) float64, mm, limb frame
        All landmarks, on the skin.
    frame : LimbFrame
        Where the true limb frame stands in the scan (scan in mm).
    scan : RawScan
        Noise, holes, turned faces and specks, in `unit`, in the scanner's own frame.
    unit : LengthUnit
    tape : tuple of TapeRow
        Hand measures with the error of a hand, proximal first.
    """

    side: Side
    skin: Mesh
    tibia: Mesh
    fibula: Mesh
    landmarks_mm: Mapping[str, Vector]
    frame: LimbFrame
    scan: RawScan
    unit: LengthUnit
    tape: tuple[TapeRow, ...]

    def landmarks_in_scan_mm(self, names: tuple[str, ...] = PALPATED) -> dict[str, Vector]:
        """Landmarks in the scan's frame, mm."""
        return {name: to_scan(self.frame, self.landmarks_mm[name]) for name in names}


@dataclass(frozen=True, slots=True, eq=False)
class DemoTruth:
    """Skin, bones and landmarks of the demo limb in the limb frame, without any scan.

    Parameters
    ----------
    skin : Mesh
        Open at the top.
    tibia, fibula : Mesh
        Closed.
    landmarks_mm : mapping of name to (3,) float64, mm
    shift_mm : (3,) float64, mm
        From the frame that the body is drawn in to the limb frame.
    """

    skin: Mesh
    tibia: Mesh
    fibula: Mesh
    landmarks_mm: Mapping[str, Vector]
    shift_mm: Vector


def demo_limb(seed: int = 1, side: Side = Side.RIGHT) -> DemoLimb:
    """Generate the demo limb; the same seed gives the same scan and tape, bit for bit.

    Parameters
    ----------
    seed : int
        Of the scanner's noise and pose and of the hand with the tape; the limb stays the same.
    side : Side
        A left limb is the mirror image in the body and the same in the limb frame.
    """
    truth, unit = demo_truth(), LengthUnit.M
    pose, hand = (np.random.default_rng([seed, part]) for part in (1, 2))
    frame = scanner_pose(pose, side)
    seen = mesh_to_scan(frame, demo_scan_mm(seed))
    scan = RawScan(seen.vertices / unit.to_mm, seen.faces, None)
    levels = measure(truth.skin, np.array(TAPE_LEVELS_MM)).levels
    tape = tuple(_by_hand(level, hand) for level in levels)
    return DemoLimb(
        side,
        truth.skin,
        truth.tibia,
        truth.fibula,
        truth.landmarks_mm,
        frame,
        scan,
        unit,
        tape,
    )


@lru_cache(maxsize=1)
def demo_scan_mm(seed: int) -> Mesh:
    """The demo limb as a scanner sees it, mm, limb frame, wound outward but for a few faces."""
    even = remesh_uniform(demo_truth().skin, _SCAN_EDGE_MM)
    return scanned(even, np.random.default_rng([seed, 0]))


@lru_cache(maxsize=1)
def demo_truth() -> DemoTruth:
    """Skin, bones and landmarks in the limb frame: origin at the middle of the datum section."""
    skin = skin_mesh(1.5, 240)
    middle = slice_moments(skin, np.array([0.0])).centroid_mm[0]
    shift = np.array([-middle[0], -middle[1], 0.0])
    points = {name: skin_point(*found) + shift for name, found in _FOUND_FROM.items()}
    points["limb_end"] = skin.vertices[int(skin.vertices[:, 2].argmin())] + shift
    return DemoTruth(
        _moved(skin, shift),
        _moved(TIBIA.mesh(), shift),
        _moved(FIBULA.mesh(), shift),
        points,
        shift,
    )


def _moved(mesh: Mesh, shift_mm: Vector) -> Mesh:
    return with_vertices(mesh, mesh.vertices + shift_mm)


def _by_hand(true: LevelMeasure, random: np.random.Generator) -> TapeRow:
    """What a hand reads off tape and caliper, to whole millimetres."""
    tape, ml, ap = np.round(
        np.array([true.tape_mm, true.ml_mm, true.ap_mm])
        + random.normal(0.0, _HAND_ERROR_MM, 3) * np.array([1.0, 0.6, 0.6])
    )
    return TapeRow(true.level_mm, float(tape), float(ml), float(ap))
