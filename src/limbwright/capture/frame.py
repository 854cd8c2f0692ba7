"""The limb frame of a scan: where outward, forward and up point, and where the datum is."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from limbwright.capture.axes import Axes, first_axes, refined_axes, section_middles, turned
from limbwright.capture.consistency import check_distinct, check_order, check_side
from limbwright.core.errors import InvalidLandmarks
from limbwright.core.frame import LimbFrame, Side
from limbwright.core.mesh import Mesh, Vector

SIDE_NAMES = ("fibular_head", "lateral_tibial_tubercle", "medial_tibial_flare")
"""One of these must be given, to tell the sides apart."""

Points = Mapping[str, Vector]


def limb_frame(skin: Mesh, points_mm: Points, side: Side) -> LimbFrame:
    """Set the limb frame: outward, forward, up, origin at the mid-patellar-tendon level.

    The origin is the middle of the section there, so it lies on the limb's long axis.

    Parameters
    ----------
    skin : Mesh
        Repaired scan, mm, scan frame in any orientation, open at the top, wound outward.
    points_mm : mapping of landmark name to (3,) float64, mm, scan frame
        Needed: the datum (mid_patellar_tendon, or patella_lower_pole with tibial_tubercle)
        and one of SIDE_NAMES. Crest, distal tibia, distal fibula and limb end sharpen it.
    side : Side

    Returns
    -------
    LimbFrame

    Raises
    ------
    InvalidLandmarks
        When landmarks are missing, or contradict the stated side or each other.
    InvalidScan
        When the scan does not reach the levels of the landmarks.
    """
    points = {name: np.asarray(p, dtype=np.float64) for name, p in points_mm.items()}
    check_distinct(points)
    datum = _datum(points)
    _require_side_landmark(points)
    # a left limb is mirrored, so that both sides take the same path
    mirror = np.array([1.0 if side is Side.RIGHT else -1.0, 1.0, 1.0])
    faces = skin.faces if side is Side.RIGHT else skin.faces[:, ::-1]
    local_skin = Mesh((skin.vertices - datum) * mirror, faces)
    local = {name: (p - datum) * mirror for name, p in points.items()}

    def placed(axes: Axes) -> LimbFrame:
        middle = section_middles(turned(local_skin, axes), np.array([0.0]))[0]
        origin = datum + (middle @ axes[:2]) * mirror
        return LimbFrame(origin, axes * mirror, side)

    # the side is judged before the lateral and medial landmarks themselves turn the frame
    rough = first_axes(local_skin, local)
    check_side(placed(rough), points)
    frame = placed(refined_axes(local_skin, local, rough))
    check_side(frame, points)
    check_order(frame, points)
    return frame


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
    if not any(name in points for name in SIDE_NAMES):
        raise InvalidLandmarks(
            "Nothing tells medial from lateral: give one of " + ", ".join(SIDE_NAMES) + ".",
            where="landmarks",
            fields={"given": sorted(points)},
        )
