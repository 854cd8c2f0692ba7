"""Thresholds of reading a fitting, each with its source."""

from __future__ import annotations

from limbwright.assess.measures import Measure
from limbwright.assess.score_tables import LEAST_CHANGE
from limbwright.core.sources import Confidence, Origin, Source, Sourced

TEACHING = Source(
    Origin.TRADE,
    "signs on the limb and their usual causes as fitting is taught",
    Confidence.MEDIUM,
)
"""The connection of a sign with a possible cause; the picture speaks for or against it."""


def _chosen(reason: str) -> Source:
    return Source(Origin.PROJECT, reason, Confidence.LOW)


READ_AS_WORN = _chosen("a fitting is read in the revision that was worn, which is what was felt")

_COMFORT = LEAST_CHANGE[Measure.SOCKET_COMFORT]
COMFORT_CHANGE = Sourced(_COMFORT.value, "points", _COMFORT.source)
"""Least change of the score that is more than noise for one person."""
HIGH_RANK_PERCENT = Sourced(75.0, "%", _chosen("a place among the most loaded quarter is hot"))
LOW_RANK_PERCENT = Sourced(25.0, "%", _chosen("a place among the least loaded quarter is not"))
HIGH_SHARE = Sourced(0.6, "", _chosen("three fifths of a place's limit, since the limit is unsure"))
OCCLUDING_KPA = Sourced(
    6.7,
    "kPa",
    Source(
        Origin.PUBLISHED,
        "Beil and Street 2004, J Rehabil Res Dev 41:821: average compressive pressure called"
        " occlusive",
        Confidence.HIGH,
    ),
)
THIN_COVER_MM = Sourced(6.0, "mm", _chosen("about a finger's skin over bone: little that yields"))
NEAR_BRIM_MM = Sourced(15.0, "mm", _chosen("about a finger's breadth from the trim line"))
PHASE_RATIO = Sourced(1.5, "", _chosen("half more in this phase than in standing"))
MORE_PLY = Sourced(3.0, "ply", _chosen("three plies more than at the first fitting"))
END_GAP_MM = Sourced(3.0, "mm", _chosen("more space than a liner's cap closes when it is pressed"))
MUCH_ON_END_PERCENT = Sourced(
    15.0, "%", _chosen("more than twice what was measured under the end in daily life")
)
LITTLE_CONTACT_PERCENT = Sourced(50.0, "%", _chosen("half of the covered skin touches when donned"))
MUCH_CONTACT_PERCENT = Sourced(80.0, "%", _chosen("nearly all of the covered skin touches"))
AMPLE_MARGIN = Sourced(2.0, "", _chosen("twice the demand, which has its own factor in it"))
RELIEF_STEP_MM = Sourced(1.0, "mm", _chosen("one small step, then look again"))
BLEND_STEP_MM = Sourced(5.0, "mm", _chosen("one small step, then look again"))
CLEAR_OF_EDGE_MM = Sourced(
    10.0, "mm", _chosen("the height of a brim's roll: nearer than that, its edge is felt")
)
MOST_TRIM_MM = Sourced(
    15.0,
    "mm",
    _chosen("more at once takes or adds wall that carries; flare, or think it over anew"),
)
TAKE_UP_STEP_PERCENT = Sourced(1.0, "%", _chosen("one small step, then look again"))
FOOT_STEP_MM = Sourced(
    3.0,
    "mm",
    Source(
        Origin.MEMORY,
        "adjustment steps in practice: 1 to 2 degrees or 3 to 5 mm",
        Confidence.MEDIUM,
    ),
)
