"""The load line in quiet standing, in both planes, and how far the joints stand from it."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from limbwright.align.chain import Leg, LegPose
from limbwright.align.loads import standing_point_mm
from limbwright.align.result import LoadLine, LoadLinePlace
from limbwright.align.tables import KNEE_ABOVE_DATUM_MM, KNEE_BEHIND_LINE_MM, STANDING_POINT
from limbwright.capture.result import Limb
from limbwright.core.findings import Finding, Severity
from limbwright.core.mesh import Vector
from limbwright.core.sources import Basis

EPICONDYLES = ("medial_epicondyle", "lateral_epicondyle")
CHAIN_PLACES = ("datum", "socket_base", "socket_adapter", "foot_adapter", "ankle")


def knee_centre(limb: Limb) -> tuple[Vector, Basis]:
    """Where the knee turns, limb frame: between the epicondyles, else estimated over the datum.

    Parameters
    ----------
    limb : Limb

    Returns
    -------
    (3,) float64, and what it rests on
    """
    marks = [limb.landmarks.get(name) for name in EPICONDYLES]
    points = [
        mark.point_mm for mark in marks if mark is not None and mark.basis is not Basis.GUESSED
    ]
    if len(points) == len(EPICONDYLES):
        return 0.5 * (points[0] + points[1]), Basis.ESTIMATED
    return np.array([0.0, 0.0, KNEE_ABOVE_DATUM_MM.value]), Basis.DEFAULT


def load_line(leg: Leg, pose: LegPose, limb: Limb, knee_mm: Vector, knee_basis: Basis) -> LoadLine:
    """The vertical through the centre of pressure of quiet standing, and what stands off it.

    Parameters
    ----------
    leg : Leg
    pose : LegPose
    limb : Limb
        Gives the landmarks.
    knee_mm : (3,) float64, limb frame
    knee_basis : Basis
    """
    foot = standing_point_mm(leg, pose)
    places: dict[str, tuple[Vector, Basis]] = {"knee": (knee_mm, knee_basis)}
    places |= {name: (pose.points_mm[name], Basis.ESTIMATED) for name in CHAIN_PLACES}
    places |= {name: (mark.point_mm, mark.basis) for name, mark in sorted(limb.landmarks.items())}
    return LoadLine(foot, pose.ground_axes[:, 2], _distances(places, foot, pose))


def load_line_finding(line: LoadLine) -> Finding:
    """Where the line passes the knee, beside the band that trials found for standing."""
    knee = next(place for place in line.places if place.name == "knee")
    low, high = KNEE_BEHIND_LINE_MM.value
    ahead = knee.line_forward_mm
    within = low <= ahead <= high
    side = f"{abs(ahead):.0f} mm {'ahead of' if ahead >= 0 else 'behind'}"
    aside = f"{abs(knee.line_outward_mm):.0f} mm"
    aside += " lateral to" if knee.line_outward_mm >= 0 else " medial to"
    return Finding(
        stage="align",
        code="load-line-at-the-knee",
        severity=Severity.NOTE,
        text=(
            f"In quiet standing the load line passes {side} and {aside} the knee's centre;"
            f" {low:.0f} to {high:.0f} mm in front is what standing trials are remembered to"
            f" favour, and this leg is {'within' if within else 'outside'} that. It rests on an"
            " assumed centre of pressure: let the person stand and look."
        ),
        where="knee",
        value=ahead,
        limit=low if ahead < low else high,
        unit="mm",
        basis=knee.basis,
        source=KNEE_BEHIND_LINE_MM.source,
        remedy="the foot moved forward or back",
        entry="align.foot_forward_mm",
        at_least=ahead < low,
        usual=True,
    )


def _distances(
    places: Mapping[str, tuple[Vector, Basis]], foot: Vector, pose: LegPose
) -> tuple[LoadLinePlace, ...]:
    found = []
    for name, (point, basis) in places.items():
        outward, forward, up = (foot - point) @ pose.ground_axes
        found.append(LoadLinePlace(name, -float(up), float(forward), float(outward), basis))
    return tuple(sorted(found, key=lambda place: (-place.height_mm, place.name)))


def standing_words() -> str:
    """What the line rests on."""
    return f"The centre of pressure is taken {STANDING_POINT.value:g} {STANDING_POINT.unit}."
