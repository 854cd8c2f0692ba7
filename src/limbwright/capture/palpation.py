"""Palpated depths weighed before the bones hold on to them: what cannot be is left out.

A slip of the pen (60 for 6 mm) would bend the bones under half the shin. A depth beyond the middle
of the limb is impossible; one many spreads off what is usual at a landmark, or off the estimate
from landmarks and skin at another point, is left out until the practitioner confirms it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np

from limbwright.capture.bone_fit import Palpation, outward_at, thin_cover_mm, usual_cover
from limbwright.capture.bones import estimate_cover, straight_cover
from limbwright.capture.leg_table import (
    COVERS,
    MIDDLE_SHARE,
    REFUSED_DEPTH_SPREADS,
    UNUSUAL_DEPTH_SPREADS,
)
from limbwright.capture.plan import Bone
from limbwright.capture.result import Landmark
from limbwright.core.findings import Finding, Severity
from limbwright.core.mesh import Mesh, Scalars, Vertices
from limbwright.core.proximity import DistanceTree
from limbwright.core.sources import Basis

_INSIDE_MM = 2.0
"""How far inside the skin a ray begins, so as not to meet the skin it starts from."""


class Verdict(Enum):
    """What becomes of a palpated depth."""

    TAKEN = "taken"
    UNUSUAL = "unusual"
    """Taken, and told."""
    UNLIKELY = "unlikely"
    """Left out until it is confirmed."""
    IMPOSSIBLE = "impossible"
    """Left out until it is corrected."""


@dataclass(frozen=True, slots=True, eq=False)
class Weighed:
    """A palpated depth beside what can be expected at its place.

    Parameters
    ----------
    palpation : Palpation
    place : str
        Landmark, or "palpated point 2" by its number among all depths entered.
    usual_mm, spread_mm : float
        Depth expected there and its spread, one standard deviation.
    most_mm : float
        To the middle of the limb, straight inward; infinite where that leaves through its open top.
    """

    palpation: Palpation
    place: str
    usual_mm: float
    spread_mm: float
    most_mm: float

    @property
    def off_spreads(self) -> float:
        """How many spreads off the expected depth."""
        return abs(self.palpation.depth_mm - self.usual_mm) / self.spread_mm

    @property
    def verdict(self) -> Verdict:
        """What becomes of it."""
        if self.palpation.depth_mm > self.most_mm:
            return Verdict.IMPOSSIBLE
        if self.off_spreads > REFUSED_DEPTH_SPREADS.value and not self.palpation.confirmed:
            return Verdict.UNLIKELY
        if self.off_spreads > UNUSUAL_DEPTH_SPREADS.value:
            return Verdict.UNUSUAL
        return Verdict.TAKEN

    @property
    def held(self) -> bool:
        """Whether the bones hold on to it."""
        return self.verdict in (Verdict.TAKEN, Verdict.UNUSUAL)


def weighed(
    surface: Mesh, landmarks: Mapping[str, Landmark], palpations: Sequence[Palpation]
) -> tuple[Weighed, ...]:
    """Each palpated depth beside what can be expected at its place, in the order given.

    Parameters
    ----------
    surface : Mesh
        Skin of the limb, limb frame, open at the top.
    landmarks : mapping of name to Landmark, limb frame
    palpations : sequence of Palpation
    """
    if not palpations:
        return ()
    skin = np.array([item.skin_mm for item in palpations])
    outward = np.array(outward_at(surface, list(skin)))
    most = _to_the_middle_mm(surface, skin, outward)
    usual = _usual(surface, landmarks, palpations, outward)
    return tuple(
        Weighed(
            item,
            item.name or f"palpated point {number}",
            *usual[number - 1],
            float(most[number - 1]),
        )
        for number, item in enumerate(palpations, start=1)
    )


def palpation_findings(depths: Sequence[Weighed]) -> tuple[Finding, ...]:
    """What is said of depths that are not as expected; what was left out stops the job."""
    return tuple(_finding(one) for one in depths if one.verdict is not Verdict.TAKEN)


def _to_the_middle_mm(surface: Mesh, skin: Vertices, outward: Vertices) -> Scalars:
    far = DistanceTree(surface).ray_hits(skin - _INSIDE_MM * outward, -outward)[0]
    return np.asarray(MIDDLE_SHARE.value * (far + _INSIDE_MM))


def _usual(
    surface: Mesh,
    landmarks: Mapping[str, Landmark],
    palpations: Sequence[Palpation],
    outward: Vertices,
) -> list[tuple[float, float]]:
    """Expected depth and spread: usual at a landmark, else as landmarks and skin estimate it."""
    thin_mm = thin_cover_mm(surface)
    found = {n: usual_cover(item.name, thin_mm) for n, item in enumerate(palpations) if item.name}
    loose = [number for number, item in enumerate(palpations) if not item.name]
    sides = dict(zip(Bone, estimate_cover(surface, landmarks).sides, strict=True)) if loose else {}
    for number in loose:
        item = palpations[number]
        inward = -outward[number][None]
        depth, spread = straight_cover([sides[item.bone]], item.skin_mm[None], inward)
        found[number] = float(depth[0]), float(np.hypot(spread[0], item.sd_mm))
    return [found[number] for number in range(len(palpations))]


def _finding(one: Weighed) -> Finding:
    code, severity, advice, spreads, source = _SAID[one.verdict]
    depth_mm = one.palpation.depth_mm
    beyond = one.verdict is Verdict.IMPOSSIBLE
    deeper = 1.0 if depth_mm > one.usual_mm else -1.0
    limit = one.most_mm if beyond else one.usual_mm + deeper * spreads * one.spread_mm
    told = (
        f"the middle of the limb lies {one.most_mm:.0f} mm in"
        if beyond
        else f"{one.usual_mm:.0f} mm ± {one.spread_mm:.0f} mm is expected on a limb of this girth"
    )
    return Finding(
        "capture",
        code,
        severity,
        f"A depth of {depth_mm:g} mm was entered at {one.place.replace('_', ' ')}, where {told}."
        f" {advice}",
        where=one.place,
        value=depth_mm,
        limit=limit,
        unit="mm",
        basis=Basis.MEASURED,
        source=source,
    )


_SAID = {
    Verdict.UNUSUAL: (
        "palpated-unusual",
        Severity.WARNING,
        "The bones hold on to it; check depth and place.",
        UNUSUAL_DEPTH_SPREADS.value,
        COVERS.source,
    ),
    Verdict.UNLIKELY: (
        "palpated-unlikely",
        Severity.STOP,
        "The bones are estimated without it: correct it, or confirm that it was checked.",
        REFUSED_DEPTH_SPREADS.value,
        REFUSED_DEPTH_SPREADS.source,
    ),
    Verdict.IMPOSSIBLE: (
        "palpated-impossible",
        Severity.STOP,
        "The bones are estimated without it: correct depth or place.",
        0.0,
        MIDDLE_SHARE.source,
    ),
}
