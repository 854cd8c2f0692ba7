"""How the entries of a case document are called when a change of them is told."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from enum import Enum
from typing import Any

from limbwright.align.plan import AdapterPlan, Observation
from limbwright.assess.measures import SCALES, Score
from limbwright.capture.plan import PalpatedDepth
from limbwright.case.acceptance import AcceptedFinding
from limbwright.core.plan import Plan
from limbwright.core.wording import words
from limbwright.fit.plan import Fitting
from limbwright.shape.plan import LOAD_AREAS, AreaPlan, TakeUpPoint, TrimPoint

WHOLE_CASE = "case"
LOAD, RELIEF = "Load", "Relief"

PARTS: Mapping[str, tuple[str, str]] = {
    "": (WHOLE_CASE, "Case"),
    "person": ("assess", "Person"),
    "person.condition": ("assess", "Person's condition"),
    "person.limb": ("assess", "Limb as examined"),
    "person.scores": ("assess", "Outcome measure"),
    "liner": ("assess", "Liner"),
    "socket": ("assess", "Socket as described"),
    "capture": ("capture", "Scan"),
    "capture.landmarks": ("capture", "Landmark"),
    "capture.bones": ("capture", "Bones"),
    "capture.palpated": ("capture", "Depth of bone"),
    "capture.casting": ("capture", "Casting"),
    "shape": ("shape", "Shape"),
    "shape.areas": ("shape", "Area"),
    "shape.take_up": ("shape", "Take-up"),
    "shape.trim": ("shape", "Trim line"),
    "shape.brim": ("shape", "Brim"),
    "couple": ("couple", "Coupling"),
    "couple.parts": ("couple", "Parts"),
    "couple.catalogue": ("couple", "Catalogue"),
    "align": ("align", "Alignment"),
    "align.adapters": ("align", "Adapter"),
    "align.observed": ("align", "Seen of the walk"),
    "prove": ("prove", "Socket's wall"),
    "prove.own_material": ("prove", "Own material"),
    "prove.coupons": ("prove", "Coupon test"),
    "prove.cast": ("prove", "Walking cast"),
    "prove.suspension": ("prove", "Suspension"),
    "prove.tissue": ("prove", "Soft tissue"),
    "prove.engine": ("prove", "Pressure"),
    "prove.mesh": ("prove", "Pressure"),
    "make": ("make", "Making"),
    "fit": ("fit", "Fitting"),
    "accepted": (WHOLE_CASE, "Accepted finding"),
}
"""Stage and name of each part of the document, by the path that leads there."""

NAMED_BY: Mapping[type[Plan], tuple[str, ...]] = {
    AreaPlan: ("name",),
    TakeUpPoint: ("level_mm",),
    TrimPoint: ("angle_deg",),
    PalpatedDepth: ("landmark", "point"),
    AdapterPlan: ("place", "kind"),
    Observation: ("phase", "what"),
    Score: ("measure", "on"),
    Fitting: ("date",),
    AcceptedFinding: ("stage", "code", "where"),
}
"""Fields that tell which one of a list it is; of other lists its place in the list tells it."""

_LABELS: Mapping[type[Plan], Callable[[Any], str]] = {
    AreaPlan: lambda one: words(one.name.value),
    TakeUpPoint: lambda one: "",
    TrimPoint: lambda one: f"further point at {one.angle_deg:g}°",
    PalpatedDepth: lambda one: words(one.landmark) if one.landmark else "at a touched point",
    AdapterPlan: lambda one: f"{words(one.kind.value)} at the {one.place.value}",
    Observation: lambda one: f"{words(one.what.value)}, {words(one.phase.value)}",
    Score: lambda one: f"{SCALES[one.measure].name} on {one.on}",
    Fitting: lambda one: f"of {one.date}",
    AcceptedFinding: lambda one: (
        one.code.replace("-", " ") + (f", {words(one.where)}" if one.where else "")
    ),
}

_NAMES: Mapping[str, str] = {
    "activity": "activity class",
    "girth_percent": "of girth",
    "anterior_mm": "anterior",
    "posterior_mm": "posterior",
    "medial_mm": "medial",
    "lateral_mm": "lateral",
    "move_distal_mm": "moved distally",
    "move_around_mm": "moved around the limb",
    "offset_o_mm": "offset laterally",
    "offset_f_mm": "offset anteriorly",
    "datum_floor_mm": "mid-patellar tendon to floor",
    "cap_thickness_mm": "thickness at the end",
    "cap_diameter_mm": "diameter of the end cap",
    "wall_mm": "wall thickness",
    "engine": "engine",
    "antero_posterior": "forward and back",
    "medio_lateral": "medial and lateral",
    "second": "second suspension",
    "schema_version": "version of the document",
    "invented": "invented person",
    "scan": "file",
    "complaints.sign": "what",
    "complaints.phase": "when",
    "complaints.landmark": "where",
    "complaints.point": "where",
    "complaints.severity": "how bad",
    "fittings.revision": "revision worn",
    "applied.cause": "against",
    "applied.text": "what to try",
    "applied.date": "day",
    "applied.revision": "first in revision",
    "tape": "tape sheet",
    "water_c": "temperature of the water",
    "wanted_forward_mm": "foot wanted forward",
    "wanted_outward_mm": "foot wanted outward",
    "wanted_up_mm": "foot wanted up",
    "wanted_toe_out_deg": "toes wanted further out",
    "wanted_foot_flexion_deg": "toes wanted up",
    "wanted_foot_adduction_deg": "outer border wanted up",
    "wanted_coronal_n_m": "wanted coronal moment",
    "wanted_sagittal_n_m": "wanted sagittal moment",
}
"""By field, or list and field, where its own name without the unit would not be understood at the
bench."""

ITEMS: Mapping[str, str] = {"applied": "applied suggestion", "changes": "change by hand"}
"""By list, one of it where the list's own name does not tell it."""

_UNITS: tuple[tuple[str, str], ...] = (
    ("_n_m", "N m"),
    ("_m_s", "m/s"),
    ("_kpa", "kPa"),
    ("_mpa", "MPa"),
    ("_mm", "mm"),
    ("_deg", "deg"),
    ("_percent", "%"),
    ("_minutes", "min"),
    ("_kg", "kg"),
    ("_n", "N"),
    ("_c", "°C"),
    ("_0_10", "of 10"),
)
"""End of a field's name, and the unit that it means; the longer ends first."""


def part_of(shape: str) -> tuple[str, str]:
    """Stage and name of the part that a path without list positions leads into."""
    while shape not in PARTS:
        shape = shape.rpartition(".")[0]
    return PARTS[shape]


def label_of(item: Plan, number: int) -> str:
    """Which one of its list an entry is, in words; `number` counts from 0."""
    label = _LABELS.get(type(item))
    return f"{number + 1}" if label is None else label(item)


def kind_of_area(item: Plan) -> str | None:
    """Load or Relief for an area, None for anything else."""
    if not isinstance(item, AreaPlan):
        return None
    return LOAD if item.name in LOAD_AREAS else RELIEF


def named(path: str) -> tuple[str, str]:
    """Name and unit of a field, by its path without positions.

    Examples
    --------
    >>> named("align.foot_inset_mm"), named("fit.fittings.complaints.sign")
    (('foot inset', 'mm'), ('what', ''))
    """
    field = path.rpartition(".")[2]
    own = _NAMES.get(".".join(path.split(".")[-2:]), _NAMES.get(field))
    for end, unit in _UNITS:
        if field.endswith(end):
            return own or words(field.removesuffix(end)), unit
    return own or words(field), ""


def value_words(value: Any) -> float | str | None:
    """A value as it is told: numbers as they are, None for what is not stated."""
    if value is None or value == "" or value == ():
        return None
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Enum):
        return words(str(value.value))
    if isinstance(value, (int, float)):
        return float(value)
    if isinstance(value, tuple):
        return ", ".join(f"{one:g}" if isinstance(one, float) else str(one) for one in value)
    return str(value)
