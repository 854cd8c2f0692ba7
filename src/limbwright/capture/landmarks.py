"""Landmarks on the skin of the limb, and proposals for those that nobody gave."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import numpy as np

from limbwright.capture.plan import LANDMARK_NAMES, LandmarkSet
from limbwright.capture.proposal import propose
from limbwright.capture.result import Landmark
from limbwright.capture.tables import FARTHEST_COORDINATE, LANDMARK_OFF_SURFACE_MM
from limbwright.core.errors import InvalidLandmarks
from limbwright.core.mesh import Mesh, Vector
from limbwright.core.proximity import DistanceTree
from limbwright.core.sources import Basis


def complete_landmarks(
    surface: Mesh, given: Mapping[str, Vector], guessed: Iterable[str] = ()
) -> dict[str, Landmark]:
    """Put the given landmarks on the skin and propose the missing ones, marked as guesses.

    Parameters
    ----------
    surface : Mesh
        Skin of the limb, limb frame, open at the top.
    given : mapping of landmark name to (3,) float64, mm, limb frame
    guessed : iterable of str
        Names among `given` that are proposals nobody has accepted yet; they stay guesses.

    Returns
    -------
    dict of name to Landmark, in the order of LANDMARK_NAMES, all of them

    Raises
    ------
    InvalidLandmarks
        When a name is unknown or a point lies too far from the skin.
    """
    check_names(given)
    open_guesses = frozenset(guessed)
    tree = DistanceTree(surface)
    points = {name: _on_skin(tree, name, point) for name, point in given.items()}
    placed = {name: foot for name, (foot, _) in points.items()}
    landmarks: dict[str, Landmark] = {}
    for name in LANDMARK_NAMES:
        if name in points:
            foot, away = points[name]
            basis = Basis.GUESSED if name in open_guesses else Basis.GIVEN
            landmarks[name] = Landmark(name, foot, basis, away)
        else:
            landmarks[name] = Landmark(name, propose(surface, placed, name), Basis.GUESSED, 0.0)
    return landmarks


def accepted_only(landmarks: LandmarkSet) -> LandmarkSet:
    """The landmarks without proposals that nobody has accepted yet."""
    points = {n: p for n, p in landmarks.points.items() if n not in landmarks.guessed}
    return landmarks.model_copy(update={"points": points})


def points_mm(landmarks: LandmarkSet) -> dict[str, Vector]:
    """Where the landmarks lie, (3,) float64, mm, scan frame, by name."""
    factor = landmarks.unit.to_mm
    return {name: np.array(point) * factor for name, point in landmarks.points.items()}


def check_names(names: Iterable[str]) -> None:
    """Refuse names that are not landmarks, listing those that are.

    Raises
    ------
    InvalidLandmarks
    """
    unknown = sorted(set(names) - set(LANDMARK_NAMES))
    if unknown:
        raise InvalidLandmarks(
            f"Unknown landmark{'s' if len(unknown) > 1 else ''} {', '.join(unknown)};"
            f" known are {', '.join(LANDMARK_NAMES)}.",
            where="landmarks",
            fields={"unknown": unknown, "known": list(LANDMARK_NAMES)},
        )


def check_reach(points: Mapping[str, Sequence[float]]) -> None:
    """Refuse points farther away than any scan reaches, whose squares may overflow.

    Raises
    ------
    InvalidLandmarks
    """
    for name, point in points.items():
        farthest = max(abs(value) for value in point)
        if farthest > FARTHEST_COORDINATE.value:
            raise InvalidLandmarks(
                f"Landmark {name} has the coordinate {farthest:g}, which no scan has in any unit;"
                " correct it.",
                where=f"landmarks.points.{name}",
            )


def _on_skin(tree: DistanceTree, name: str, point: Vector) -> tuple[Vector, float]:
    """Closest point of the skin and how far away it is, mm."""
    distance, _, foot = tree.closest(np.asarray(point, dtype=np.float64)[None])
    away = float(distance[0])
    if away > LANDMARK_OFF_SURFACE_MM.value:
        limit = LANDMARK_OFF_SURFACE_MM.value
        raise InvalidLandmarks(
            f"Landmark {name} lies {away:.0f} mm off the scanned surface (at most {limit:g} mm is"
            " taken); pick it again on the scan, or check the landmarks' unit.",
            where=f"landmarks.points.{name}",
            fields={"name": name, "distance_mm": away, "limit_mm": limit},
        )
    return foot[0], away
