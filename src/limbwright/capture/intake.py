"""The whole capture stage: from a raw scan and its landmarks to a limb ready for design."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from limbwright.capture.bone_fit import Palpation
from limbwright.capture.bones import Covered, cover_mm, estimate_cover, given_bones
from limbwright.capture.cap import without_round_top
from limbwright.capture.frame import limb_frame
from limbwright.capture.judge import (
    bone_findings,
    landmark_findings,
    scan_findings,
    size_findings,
    tape_findings,
)
from limbwright.capture.landmarks import (
    accepted_only,
    check_names,
    check_reach,
    complete_landmarks,
    points_mm,
)
from limbwright.capture.leg_table import PALPATED_SD_MM
from limbwright.capture.measure import choose_levels, measure, whole_below_u_mm
from limbwright.capture.palpation import palpation_findings, weighed
from limbwright.capture.plan import PALPABLE, CapturePlan, LandmarkSet
from limbwright.capture.read import RawBones
from limbwright.capture.repair import repair
from limbwright.capture.result import (
    Landmark,
    Limb,
    Measures,
    RawScan,
    Repair,
    UnitFound,
)
from limbwright.capture.tables import LANDMARK_OFF_SURFACE_MM, LARGEST_SCAN_MM
from limbwright.capture.tape import TapeSheet
from limbwright.capture.unit import find_unit
from limbwright.core.errors import InvalidLandmarks, InvalidScan
from limbwright.core.frame import LimbFrame, Side, mesh_to_limb, mesh_to_patient, to_limb
from limbwright.core.mesh import Mesh, Vector
from limbwright.core.proximity import DistanceTree
from limbwright.core.remeshing import remesh_uniform
from limbwright.core.telling import Tell, silent
from limbwright.core.topology import boundary_loops
from limbwright.core.units import LengthUnit

__all__ = ["RawBones", "quick_measure", "take_in"]

_SURFACE_EDGE_MM = float(CapturePlan.model_fields["surface_edge_mm"].default)
_MOST_NAMED = 4
"""More landmarks than this off the surface are not each a slip."""
_LEAST_ABOVE_DATUM_MM = 2.0
"""The skin must be whole this far above the datum for its section to mean anything."""


@dataclass(frozen=True, slots=True, eq=False)
class Mended:
    """A repaired scan, mm, in its own frame.

    Parameters
    ----------
    skin : Mesh
        The whole of it.
    repairs : tuple of Repair
    surface : Mesh
        The same in even triangles.
    """

    skin: Mesh
    repairs: tuple[Repair, ...]
    surface: Mesh


Mending = Callable[[RawScan, LengthUnit, Side, float], Mended]


@dataclass(frozen=True, slots=True, eq=False)
class _Stood:
    """A repaired scan in its limb frame."""

    unit: UnitFound
    repairs: tuple[Repair, ...]
    frame: LimbFrame
    skin: Mesh
    surface: Mesh


def take_in(
    raw: RawScan,
    bones: RawBones | None,
    tape: TapeSheet | None,
    side: Side,
    plan: CapturePlan,
    tell: Tell = silent,
    mend: Mending | None = None,
) -> Limb:
    """Take a scan in: unit, repair, frame, measures, landmarks, bones, and what to say of them.

    Parameters
    ----------
    raw : RawScan
        As read, in any orientation.
    bones : RawBones or None
        Segmented bones in the scan's frame, mm; estimated from landmarks and skin when None.
    tape : TapeSheet or None
    side : Side
    plan : CapturePlan
    tell : Tell, optional
    mend : callable, optional
        Gives what `mended` gives, which it may remember.

    Returns
    -------
    Limb

    Raises
    ------
    InvalidScan
        When the scan is not one limb that reaches above the datum.
    InvalidLandmarks
        When a landmark lies off the surface, is missing or contradicts the side.
    """
    tell("mending the scan and laying even triangles", 0.2)
    stood = _stand(raw, plan.landmarks, side, plan.unit, plan.surface_edge_mm, mend or mended)
    tell("fitting the bones", 0.7)
    given = {name: to_limb(stood.frame, p) for name, p in points_mm(plan.landmarks).items()}
    landmarks = complete_landmarks(stood.surface, given, plan.landmarks.guessed)
    depths = (
        ()
        if bones is not None
        else weighed(stood.surface, landmarks, _palpations(stood, landmarks, plan))
    )
    covered = _covered(stood, bones, landmarks, [one.palpation for one in depths if one.held])
    tell("measuring", 0.9)
    measures = measure(stood.skin, choose_levels(stood.skin, plan.level_step_mm))
    findings = (
        *scan_findings(stood.unit, stood.repairs, plan.scanned_over),
        *landmark_findings(landmarks),
        *size_findings(measures),
        *tape_findings(stood.skin, tape),
        *bone_findings(covered.bones, unused=len(plan.palpated)),
        *palpation_findings(depths),
    )
    return Limb(
        side=side,
        frame=stood.frame,
        skin=stood.skin,
        surface=stood.surface,
        landmarks=landmarks,
        bones=covered.bones,
        cover_mm=covered.cover_mm,
        unit=stood.unit,
        repairs=stood.repairs,
        measures=measures,
        findings=findings,
        cover_spread_mm=covered.spread_mm,
    )


def quick_measure(
    raw: RawScan,
    landmarks: LandmarkSet,
    side: Side,
    step_mm: float,
    *,
    unit: LengthUnit | None = None,
) -> tuple[UnitFound, tuple[Repair, ...], Measures]:
    """Measures of a scan alone, the same as `take_in` gives.

    Parameters
    ----------
    raw : RawScan
    landmarks : LandmarkSet
    side : Side
    step_mm : float
        Distance between levels.
    unit : LengthUnit, optional
        Of the scan, when it is known.

    Raises
    ------
    InvalidScan, InvalidLandmarks
        As `take_in`.
    """
    stood = _stand(raw, landmarks, side, unit, _SURFACE_EDGE_MM)
    return stood.unit, stood.repairs, measure(stood.skin, choose_levels(stood.skin, step_mm))


def mended(raw: RawScan, unit: LengthUnit, side: Side, edge_mm: float) -> Mended:
    """Repair a scan and lay even triangles on it: all of an intake that no landmark changes.

    Raises
    ------
    InvalidScan
        When it is not one limb.
    """
    # a left limb is mirrored already here, so that repair and remesh, too, treat sides alike
    scan = Mesh(raw.vertices * unit.to_mm, raw.faces)
    skin, repairs = repair(mesh_to_patient(scan, side))
    _check_extent(skin)
    surface = mesh_to_patient(_uniform(skin, edge_mm), side)
    return Mended(mesh_to_patient(skin, side), repairs, surface)


def _stand(
    raw: RawScan,
    landmarks: LandmarkSet,
    side: Side,
    unit: LengthUnit | None,
    edge_mm: float,
    mend: Mending = mended,
) -> _Stood:
    check_names(landmarks.points)
    check_reach(landmarks.points)
    accepted = accepted_only(landmarks)
    found = find_unit(raw, accepted, unit)
    whole = mend(raw, found.unit, side, edge_mm)
    skin, repairs, surface = whole.skin, whole.repairs, whole.surface
    points = points_mm(accepted)
    _check_on_surface(surface, points)
    frame = limb_frame(surface, points, side)
    skin, surface = mesh_to_limb(frame, skin), mesh_to_limb(frame, surface)
    if not boundary_loops(surface):
        skin, cut = without_round_top(skin)
        surface = _uniform(skin, edge_mm)
        repairs = (*repairs, cut)
    _check_reach(skin)
    return _Stood(found, repairs, frame, skin, surface)


def _check_extent(skin: Mesh) -> None:
    """Refuse a body that a stray point draws out; the unit was found from most of its points."""
    longest = float(np.ptp(skin.vertices, axis=0).max())
    if longest <= LARGEST_SCAN_MM.value:
        return
    raise InvalidScan(
        f"The scan is {longest:.3g} mm long, more than any limb, though most of its points lie"
        " together: remove the stray points in the scanner's own software.",
        where="scan",
        fields={"longest_mm": longest},
    )


def _uniform(skin: Mesh, edge_mm: float) -> Mesh:
    try:
        return remesh_uniform(skin, edge_mm)
    except ValueError as error:
        raise InvalidScan(
            f"The scan could not be covered with even triangles ({error}); clean it in the "
            "scanner's own software."
        ) from error


def _check_on_surface(surface: Mesh, points_mm: Mapping[str, Vector]) -> None:
    """Refuse landmarks that are not of this scan, all in one message."""
    if not points_mm:
        return
    distance = DistanceTree(surface).closest(np.array(list(points_mm.values())))[0]
    limit = LANDMARK_OFF_SURFACE_MM.value
    off = {n: float(d) for n, d in zip(points_mm, distance, strict=True) if d > limit}
    if not off:
        return
    names = ", ".join(f"{name} by {away:.0f} mm" for name, away in off.items())
    if len(off) > _MOST_NAMED:
        names = f"by {min(off.values()):.0f} to {max(off.values()):.0f} mm"
        advice = "check that landmarks and scan belong together, and their units"
    else:
        advice = "pick them again on the scan, or leave them out"
    raise InvalidLandmarks(
        f"Of {len(points_mm)} landmarks {len(off)} lie off the scanned surface: {names} (up to "
        f"{limit:g} mm is taken); {advice}.",
        where="landmarks.points",
        fields={"off_surface_mm": off, "limit_mm": limit},
    )


def _check_reach(skin: Mesh) -> None:
    top = whole_below_u_mm(skin)
    if top < _LEAST_ABOVE_DATUM_MM:
        raise InvalidScan(
            f"The open top of the scan comes down to {abs(top):.0f} mm "
            f"{'below' if top < 0 else 'above'} the mid-patellar-tendon level; the whole section "
            "there is needed: scan further up.",
            where="scan",
            fields={"whole_below_u_mm": top},
        )


def _covered(
    stood: _Stood,
    given: RawBones | None,
    landmarks: Mapping[str, Landmark],
    palpations: list[Palpation],
) -> Covered:
    if given is None:
        return estimate_cover(stood.surface, landmarks, palpations)
    tibia, fibula = mesh_to_limb(stood.frame, given.tibia), mesh_to_limb(stood.frame, given.fibula)
    bones = given_bones(stood.surface, tibia, fibula)
    return Covered(bones, cover_mm(stood.surface, bones), np.zeros(len(stood.surface.vertices)))


def _palpations(
    stood: _Stood, landmarks: Mapping[str, Landmark], plan: CapturePlan
) -> list[Palpation]:
    """Palpated depths in the limb frame, each on the skin."""
    tree, found = DistanceTree(stood.surface), []
    for number, item in enumerate(plan.palpated):
        sd = PALPATED_SD_MM.value[item.basis]
        if item.landmark is not None:
            bone = PALPABLE[item.landmark] or item.bone
            skin = landmarks[item.landmark].point_mm
            found.append(Palpation(item.landmark, skin, bone, item.depth_mm, sd, item.confirmed))
            continue
        point = to_limb(stood.frame, np.array(item.point) * plan.landmarks.unit.to_mm)
        away, _, foot = tree.closest(point[None])
        if away[0] > LANDMARK_OFF_SURFACE_MM.value:
            raise InvalidLandmarks(
                f"Palpated point {number + 1} lies {away[0]:.0f} mm off the scanned surface (up to"
                f" {LANDMARK_OFF_SURFACE_MM.value:g} mm is taken); pick it again on the scan.",
                where=f"capture.palpated[{number}].point",
                fields={"off_surface_mm": float(away[0])},
            )
        found.append(Palpation("", foot[0], item.bone, item.depth_mm, sd, item.confirmed))
    return found
