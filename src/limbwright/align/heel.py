"""The shoe's heel beside the one that the foot is built for."""

from __future__ import annotations

import math
from dataclasses import dataclass

from limbwright.align.plan import AlignPlan
from limbwright.align.tables import HEEL_TILT_DEG, HEEL_TO_BALL_SHARE
from limbwright.core.findings import Finding, Severity
from limbwright.core.sources import Basis
from limbwright.couple.catalogue import Foot
from limbwright.couple.in_hand import PartsInHand
from limbwright.couple.plan import PartsPlan


@dataclass(frozen=True, slots=True)
class Heel:
    """How a shoe tips a foot.

    Parameters
    ----------
    rise_mm : float
        Heel over forefoot in the shoe.
    foot_mm : float or None
        Heel height that the foot is built for, if stated.
    tilt_rad : float
        How far the foot's top is tipped forward; 0 when nothing is stated.
    """

    rise_mm: float
    foot_mm: float | None
    tilt_rad: float

    @property
    def tilt_deg(self) -> float | None:
        """The tilt, or None when the foot's own heel is not stated."""
        return None if self.foot_mm is None else math.degrees(self.tilt_rad)


def heel_of(plan: AlignPlan, parts: PartsPlan, foot_length_mm: float) -> Heel:
    """How the shoe tips the foot: the rise of its sole beside the foot's own heel height."""
    rise = parts.shoe_heel_mm - (plan.shoe_forefoot_mm or 0.0)
    own = plan.foot_heel_mm if plan.foot_heel_mm is not None else _of_named_foot(parts)
    if own is None:
        return Heel(rise, None, 0.0)
    lever = HEEL_TO_BALL_SHARE.value * foot_length_mm
    return Heel(rise, own, math.atan2(rise - own, lever))


def _of_named_foot(parts: PartsPlan) -> float | None:
    """Heel height of the foot that the parts name; an example says nothing of a part in hand."""
    named = parts.named if isinstance(parts, PartsInHand) else {}
    foot = named.get("foot")
    return foot.shoe_heel_mm if isinstance(foot, Foot) and not foot.example else None


def heel_finding(heel: Heel) -> Finding:
    """Whether shoe and foot go together, and what the foot adapter has to take up if not."""
    if heel.foot_mm is None:
        return Finding(
            stage="align",
            code="foot-heel-not-stated",
            severity=Severity.NOTE,
            text=(
                f"The shoe rises {heel.rise_mm:.0f} mm from forefoot to heel; the heel height that"
                " the foot is built for is not stated and is taken to be the same."
            ),
            where="foot",
            value=heel.rise_mm,
            unit="mm",
            basis=Basis.DEFAULT,
            source=HEEL_TILT_DEG.source,
            remedy="the foot's own heel height, stated",
            entry="align.foot_heel_mm",
        )
    tilt = math.degrees(heel.tilt_rad)
    fits = abs(tilt) < HEEL_TILT_DEG.value
    way = "forward" if tilt > 0 else "back"
    return Finding(
        stage="align",
        code="foot-heel-fits-shoe" if fits else "foot-heel-differs-from-shoe",
        severity=Severity.NOTE if fits else Severity.WARNING,
        text=(
            f"The shoe rises {heel.rise_mm:.0f} mm, the foot is built for {heel.foot_mm:.0f} mm"
            + (
                "."
                if fits
                else f": it is tipped {way} by {abs(tilt):.1f} degrees, which the foot adapter"
                " takes up on this bench."
            )
        ),
        where="foot",
        value=tilt,
        limit=HEEL_TILT_DEG.value,
        unit="deg",
        basis=Basis.GIVEN,
        source=HEEL_TILT_DEG.source,
        remedy="" if fits else "another shoe or foot, or a wedge",
        entry="" if fits else "couple.parts.shoe_heel_mm",
    )
