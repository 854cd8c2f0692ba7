"""Whether landmarks can be those of the stated side, and stand in the order that legs have."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import combinations

import numpy as np

from limbwright.core.errors import InvalidLandmarks
from limbwright.core.frame import LimbFrame, Side, to_limb
from limbwright.core.mesh import Vector

LATERAL_NAMES = (
    "fibular_head",
    "lateral_tibial_tubercle",
    "distal_fibula",
    "lateral_hamstring_tendon",
    "lateral_epicondyle",
)
MEDIAL_NAMES = ("medial_tibial_flare", "medial_hamstring_tendon", "medial_epicondyle")
_UPPER_LOWER = (
    ("patella_lower_pole", "mid_patellar_tendon"),
    ("mid_patellar_tendon", "tibial_tubercle"),
    ("patella_lower_pole", "tibial_tubercle"),
    ("tibial_tubercle", "crest_upper"),
    ("crest_upper", "crest_lower"),
    ("tibial_tubercle", "distal_tibia"),
    ("fibular_head", "distal_fibula"),
    ("mid_patellar_tendon", "limb_end"),
)

_SAME_PLACE_MM = 0.5
_MOST_PAIRS = 3

Points = Mapping[str, Vector]


def check_distinct(points_mm: Points) -> None:
    """Refuse landmarks that stand in the same place.

    Parameters
    ----------
    points_mm : mapping of landmark name to (3,) float64, mm, any frame

    Raises
    ------
    InvalidLandmarks
        Naming each pair.
    """
    same = [
        (one, other)
        for one, other in combinations(points_mm, 2)
        if float(np.linalg.norm(points_mm[one] - points_mm[other])) < _SAME_PLACE_MM
    ]
    if not same:
        return
    pairs = ", ".join(f"{one} and {other}" for one, other in same[:_MOST_PAIRS])
    more = f" and {len(same) - _MOST_PAIRS} pairs more" if len(same) > _MOST_PAIRS else ""
    raise InvalidLandmarks(
        f"These landmarks stand in the same place: {pairs}{more}; pick them again.",
        where="landmarks",
        fields={"same_place": [list(pair) for pair in same]},
    )


def check_side(frame: LimbFrame, points_mm: Points) -> None:
    """Refuse landmarks that contradict the stated side.

    Parameters
    ----------
    frame : LimbFrame
        Of the stated side.
    points_mm : mapping of landmark name to (3,) float64, mm, scan frame

    Raises
    ------
    InvalidLandmarks
        Naming the landmarks that stand on the wrong side of the limb's middle.
    """
    outward = {
        name: float(to_limb(frame, points_mm[name])[0])
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
    side = frame.side.value
    if 2 * len(wrong) > len(outward):
        other = (Side.LEFT if frame.side is Side.RIGHT else Side.RIGHT).value
        text = (
            f"The limb is stated as {side}, but its landmarks are those of a {other} limb"
            f" ({places}); check the side."
        )
    else:
        text = (
            f"On a {side} limb these landmarks stand on the wrong side ({places}); check whether"
            " medial and lateral ones were exchanged."
        )
    fields = {"side": side, "contradicting": wrong, "outward_mm": outward}
    raise InvalidLandmarks(text, where="landmarks", fields=fields)


def check_order(frame: LimbFrame, points_mm: Points) -> None:
    """Refuse landmarks that stand above others which belong above them.

    Parameters
    ----------
    frame : LimbFrame
    points_mm : mapping of landmark name to (3,) float64, mm, scan frame

    Raises
    ------
    InvalidLandmarks
        Naming each pair and by how much it is out of order.
    """
    height = {name: float(to_limb(frame, point)[2]) for name, point in points_mm.items()}
    wrong = [
        (upper, lower, height[lower] - height[upper])
        for upper, lower in _UPPER_LOWER
        if upper in height and lower in height and height[lower] > height[upper]
    ]
    if not wrong:
        return
    places = ", ".join(f"{lower} {by:.0f} mm above {upper}" for upper, lower, by in wrong)
    raise InvalidLandmarks(
        f"These landmarks are out of order along the limb: {places}; check whether they were"
        " exchanged.",
        where="landmarks",
        fields={"out_of_order": [list(pair) for pair in wrong]},
    )
