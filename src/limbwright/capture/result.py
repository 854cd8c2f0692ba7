"""What capture knows about the limb."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from limbwright.capture.casting.result import Casting
from limbwright.core.findings import Finding
from limbwright.core.frame import LimbFrame, Side
from limbwright.core.mesh import Faces, Mesh, Scalars, Vector, Vertices
from limbwright.core.sources import Basis
from limbwright.core.units import LengthUnit


@dataclass(frozen=True, slots=True)
class UnitFound:
    """The unit of a scan and how it was found.

    Parameters
    ----------
    unit : LengthUnit
    basis : Basis
        GIVEN when stated, ESTIMATED when found.
    sureness : float
        0 to 1; 1 when given.
    text : str
        How it was found, in one sentence.
    """

    unit: LengthUnit
    basis: Basis
    sureness: float
    text: str


@dataclass(frozen=True, slots=True)
class Repair:
    """One kind of repair done to a scan, with how often."""

    kind: str
    count: int
    text: str


@dataclass(frozen=True, slots=True, eq=False)
class Landmark:
    """One landmark in the limb frame.

    Parameters
    ----------
    name : str
    point_mm : (3,) float64, mm, limb frame, on the skin
    basis : Basis
        GIVEN, or GUESSED for a proposal not yet accepted.
    to_skin_mm : float
        Distance between the point as given and the scanned surface.
    """

    name: str
    point_mm: Vector
    basis: Basis
    to_skin_mm: float


@dataclass(frozen=True, slots=True)
class LevelMeasure:
    """Measures of one cross-section; level_mm counts distally from the datum."""

    level_mm: float
    perimeter_mm: float
    tape_mm: float
    ml_mm: float
    ap_mm: float
    area_mm2: float


@dataclass(frozen=True, slots=True)
class Measures:
    """Measures of a limb.

    Parameters
    ----------
    levels : tuple of LevelMeasure, proximal first
    volume_below_datum_ml : float
    length_below_datum_mm : float
        Datum to limb end along the long axis.
    """

    levels: tuple[LevelMeasure, ...]
    volume_below_datum_ml: float
    length_below_datum_mm: float


@dataclass(frozen=True, slots=True)
class PlaceCover:
    """Tissue over bone at a landmark.

    Parameters
    ----------
    cover_mm : float
        Straight inward from the landmark.
    sd_mm : float
        One standard deviation of it.
    basis : Basis
        MEASURED when palpated, ESTIMATED, or GUESSED where the landmark is.
    usual_mm, usual_sd_mm : float
        Cover usual at this landmark of a limb of this girth, and its spread, before anything was
        palpated.
    """

    cover_mm: float
    sd_mm: float
    basis: Basis
    usual_mm: float = 0.0
    usual_sd_mm: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Bones:
    """Tibia and fibula in the limb frame (closed meshes).

    Parameters
    ----------
    tibia, fibula : Mesh
    basis : Basis
        ESTIMATED from landmarks and skin, or GIVEN as meshes.
    cover_sd_mm : float
        One standard deviation of the cover thickness that the estimate carries; 0 when given.
    places : mapping of landmark name to PlaceCover
        Empty when given.
    patella_pole_mm : (3,) float64 or None
        Bone under the patella's lower pole, whose landmark must be known.
    palpated_count : int
        Depths that the estimate holds on to.
    """

    tibia: Mesh
    fibula: Mesh
    basis: Basis
    cover_sd_mm: float
    places: Mapping[str, PlaceCover] = field(default_factory=dict)
    patella_pole_mm: Vector | None = None
    palpated_count: int = 0


@dataclass(frozen=True, slots=True, eq=False)
class Limb:
    """A limb ready for design: everything later stages read.

    Parameters
    ----------
    side : Side
    frame : LimbFrame
        Where the limb frame stands in the scan (scan in mm).
    skin : Mesh
        Repaired scan at full resolution, limb frame, open at the top.
    surface : Mesh
        Uniform remesh of the skin for the later stages, limb frame, open at the top,
        winding outward.
    landmarks : mapping of name to Landmark
    bones : Bones
    cover_mm : (n,) float64
        Tissue thickness between each vertex of `surface` and the nearest bone.
    unit : UnitFound
    repairs : tuple of Repair
    measures : Measures
    findings : tuple of Finding
    cover_spread_mm : (n,) float64 or None
        One standard deviation of `cover_mm`, place by place; None: `bones.cover_sd_mm` everywhere.
    casting : Casting or None
        How a cast of it is to be taken; added when a case is evaluated.
    """

    side: Side
    frame: LimbFrame
    skin: Mesh
    surface: Mesh
    landmarks: Mapping[str, Landmark]
    bones: Bones
    cover_mm: Scalars
    unit: UnitFound
    repairs: tuple[Repair, ...]
    measures: Measures
    findings: tuple[Finding, ...]
    cover_spread_mm: Scalars | None = None
    casting: Casting | None = None


@dataclass(frozen=True, slots=True, eq=False)
class RawScan:
    """A mesh as read from a file, in the file's unit.

    Parameters
    ----------
    vertices : (n, 3) float64, file unit
    faces : (m, 3) int32
    declared_unit : LengthUnit or None
        The unit that the file format itself states (3MF, GLB), if any.
    """

    vertices: Vertices
    faces: Faces
    declared_unit: LengthUnit | None
