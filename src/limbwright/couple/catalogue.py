"""The catalogue: the parts a workshop has, as its user measured them or their makers state them.

A catalogue is a small TOML file of `[[part]]` tables. Values that are taken from it are given, by
the entry and its date; an entry marked as an example is invented and decides nothing.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Mapping
from enum import Enum
from typing import Annotated, Literal, get_args

from pydantic import Field, StringConstraints, model_validator

from limbwright.assess.plan import Activity
from limbwright.core.plan import Plan
from limbwright.core.sources import Basis, Confidence, Origin, Source

KEY_PATTERN = r"^[a-z0-9][a-z0-9-]{0,59}$"
"""What a case names a part by: small letters, digits and dashes."""


class PartKind(str, Enum):
    """What a part is."""

    PIN_LOCK = "pin-lock"
    MAGNET_LOCK = "magnet-lock"
    LANYARD_LOCK = "lanyard-lock"
    VALVE = "valve"
    SQUARE_PLATE = "square-plate"
    PYRAMID_PLATE = "pyramid-plate"
    TUBE_CLAMP = "tube-clamp"
    OFFSET_ADAPTER = "offset-adapter"
    PYLON = "pylon"
    FOOT = "foot"
    DUMMY = "dummy"
    DUMMY_RING = "dummy-ring"


class Part(Plan):
    """What every entry says, whatever the part is."""

    key: str = Field(pattern=KEY_PATTERN)
    provenance: Annotated[str, StringConstraints(strip_whitespace=True, min_length=3)] = Field(
        max_length=200
    )
    """Where the figures come from: "measured with callipers", the maker's sheet and its edition."""
    date: datetime.date
    """When they were measured or read."""
    example: bool = False
    """True for an invented entry: its figures are shown as such and decide nothing."""
    note: str = Field(default="", max_length=200)
    height_mm: float = Field(ge=0, le=300)
    """What the part adds to the build height; see each kind."""
    height_tolerance_mm: float = Field(default=0.0, ge=0, le=20)
    """How far the height may be off: wear, setting range, how well it was measured."""
    mass_kg: float | None = Field(default=None, gt=0, le=5)
    max_body_mass_kg: float | None = Field(default=None, ge=20, le=300)
    """Body mass up to which the maker admits the part."""
    max_activity: Activity | None = None
    """Most active class that the maker admits the part for."""

    @property
    def source(self) -> Source:
        """Where its figures come from."""
        if self.example:
            return Source(
                Origin.PROJECT,
                f"invented example entry {self.key}; enter your own part",
                Confidence.LOW,
            )
        dated = f"entry {self.key} of {self.date.isoformat()} ({self.provenance})"
        return Source(Origin.CATALOGUE, dated, Confidence.HIGH)

    @property
    def basis(self) -> Basis:
        """GIVEN, or DEFAULT for an invented example."""
        return Basis.DEFAULT if self.example else Basis.GIVEN


class Lock(Part):
    """Body in the socket that holds what the liner carries.

    Its height runs from the face that the liner meets to the floor of its pocket.
    """

    kind: Literal[PartKind.PIN_LOCK, PartKind.MAGNET_LOCK, PartKind.LANYARD_LOCK]
    body_diameter_mm: float = Field(ge=20, le=100)
    height_mm: float = Field(ge=5, le=100)
    target_diameter_mm: float | None = Field(default=None, ge=2, le=90)
    """What the liner carries: pin, plate or cord's eye."""
    capacity_n: float | None = Field(default=None, ge=1, le=5000)
    """Holding force along the axis as the maker states it."""
    tolerance_tilt_deg: float | None = Field(default=None, ge=0, le=30)
    tolerance_offset_mm: float | None = Field(default=None, ge=0, le=40)
    self_seating: bool | None = None
    """Whether the target swivels or is guided onto the face; None when not known."""
    screw_square_mm: float | None = Field(default=None, ge=20, le=80)
    screw_diameter_mm: float | None = Field(default=None, ge=3, le=12)
    exit_diameter_mm: float | None = Field(default=None, ge=2, le=40)
    """Hole that its button or cord needs in the wall."""


class Valve(Part):
    """One-way valve in the socket's wall; it adds no height."""

    kind: Literal[PartKind.VALVE]
    height_mm: float = Field(default=0.0, ge=0, le=0)
    body_diameter_mm: float = Field(ge=5, le=60)
    length_mm: float = Field(ge=2, le=80)
    exit_diameter_mm: float = Field(ge=2, le=40)
    """Hole that it needs in the wall."""
    bore_mm: float = Field(default=2.0, ge=0.3, le=20)
    capacity_n: float | None = Field(default=None, ge=1, le=5000)


class SquarePlate(Part):
    """Plate with a square of threaded holes, set into the socket's floor; it adds no height."""

    kind: Literal[PartKind.SQUARE_PLATE]
    height_mm: float = Field(default=0.0, ge=0, le=0)
    thickness_mm: float = Field(ge=2, le=30)
    side_mm: float = Field(ge=25, le=120)
    screw_square_mm: float = Field(default=36.0, ge=20, le=80)
    screw_diameter_mm: float = Field(default=6.0, ge=3, le=12)
    centre_hole_mm: float = Field(default=0.0, ge=0, le=60)


class PyramidPlate(Part):
    """Plate under the socket with a pyramid on a dome.

    Its height runs from the socket's floor to the centre of the dome.
    """

    kind: Literal[PartKind.PYRAMID_PLATE]
    height_mm: float = Field(ge=3, le=60)
    thickness_mm: float = Field(ge=1, le=30)
    side_mm: float = Field(ge=25, le=120)
    screw_square_mm: float = Field(default=36.0, ge=20, le=80)
    screw_diameter_mm: float = Field(default=6.0, ge=3, le=12)
    dome_radius_mm: float = Field(ge=5, le=40)
    pyramid_height_mm: float = Field(ge=5, le=40)
    pyramid_top_mm: float = Field(ge=5, le=50)
    """Side of the pyramid's square at its free end, which is the wider."""
    pyramid_root_mm: float = Field(ge=4, le=50)
    """Side of its square at the dome."""
    range_deg: float | None = Field(default=None, ge=1, le=20)


class TubeClamp(Part):
    """Receiver with four set screws over a pyramid and a clamp on a tube.

    Its height runs from the centre of the pyramid's dome to the stop of the tube.
    """

    kind: Literal[PartKind.TUBE_CLAMP]
    height_mm: float = Field(ge=5, le=120)
    outside_mm: float = Field(ge=20, le=80)
    tube_outside_mm: float = Field(default=30.0, ge=15, le=60)
    insert_mm: float = Field(ge=10, le=80)
    """Length of tube inside the clamp."""
    screw_diameter_mm: float = Field(default=8.0, ge=3, le=12)
    screw_pitch_mm: float | None = Field(default=None, ge=0.3, le=3)
    screw_arm_mm: float | None = Field(default=None, ge=4, le=40)
    range_deg: float | None = Field(default=None, ge=1, le=20)


class OffsetAdapter(Part):
    """Adapter that shifts what is below it sideways.

    Its height runs from the face above to the face below.
    """

    kind: Literal[PartKind.OFFSET_ADAPTER]
    height_mm: float = Field(ge=2, le=120)
    offset_mm: float = Field(ge=0, le=60)
    """Shift as it is made."""
    slide_mm: float = Field(default=0.0, ge=0, le=60)
    """How far the shift can be set either way from that; 0 for a fixed one."""
    diameter_mm: float = Field(ge=20, le=120)
    screw_square_mm: float = Field(default=36.0, ge=20, le=80)
    screw_diameter_mm: float = Field(default=6.0, ge=3, le=12)


class Pylon(Part):
    """Tube, cut to length; its height is what is left, so that it states none."""

    kind: Literal[PartKind.PYLON]
    height_mm: float = Field(default=0.0, ge=0, le=0)
    outside_mm: float = Field(ge=15, le=60)
    wall_mm: float = Field(ge=0.5, le=10)
    length_mm: float = Field(ge=50, le=1000)
    """As it is sold, uncut."""
    shortest_mm: float | None = Field(default=None, ge=0, le=200)
    """Shortest that both clamps can hold."""


class Foot(Part):
    """Foot with its shell; its height runs from the pyramid's dome centre to the sole."""

    kind: Literal[PartKind.FOOT]
    height_mm: float = Field(ge=20, le=250)
    length_mm: float = Field(ge=100, le=350)
    width_mm: float = Field(default=85.0, ge=40, le=140)
    shoe_heel_mm: float | None = Field(default=None, ge=0, le=80)
    """Heel height that it is built for."""
    range_deg: float | None = Field(default=None, ge=1, le=20)


class Dummy(Part):
    """Stand-in for the coupling's body while the cast is taken and filled."""

    kind: Literal[PartKind.DUMMY]
    height_mm: float = Field(ge=5, le=120)
    body_diameter_mm: float = Field(ge=20, le=100)
    draft_deg: float = Field(default=0.0, ge=0, le=15)
    """Taper of its side, narrower where it is drawn out towards."""
    exit_diameter_mm: float | None = Field(default=None, ge=2, le=40)
    exit_length_mm: float | None = Field(default=None, ge=5, le=120)


class DummyRing(Part):
    """Ring that seals the dummy against the liner cap."""

    kind: Literal[PartKind.DUMMY_RING]
    height_mm: float = Field(ge=0.5, le=30)
    outside_mm: float = Field(ge=20, le=120)
    inside_mm: float = Field(ge=5, le=115)


AnyPart = Annotated[
    Lock
    | Valve
    | SquarePlate
    | PyramidPlate
    | TubeClamp
    | OffsetAdapter
    | Pylon
    | Foot
    | Dummy
    | DummyRing,
    Field(discriminator="kind"),
]


def contradictions(part: AnyPart) -> list[tuple[str, str]]:
    """Fields of an entry that cannot be true together, with what is wrong."""
    found: list[tuple[str, str]] = []
    if isinstance(part, Pylon) and part.wall_mm >= 0.5 * part.outside_mm:
        found.append(("wall_mm", f"must be less than half of outside_mm, {part.outside_mm / 2:g}"))
    if isinstance(part, DummyRing) and part.inside_mm >= part.outside_mm:
        found.append(("inside_mm", f"must be less than outside_mm, {part.outside_mm:g} mm"))
    if isinstance(part, TubeClamp) and part.outside_mm <= part.tube_outside_mm:
        found.append(("outside_mm", f"must be more than the tube's {part.tube_outside_mm:g} mm"))
    if isinstance(part, Valve) and part.bore_mm >= part.body_diameter_mm:
        found.append(("bore_mm", f"must be less than body_diameter_mm, {part.body_diameter_mm:g}"))
    if isinstance(part, PyramidPlate):
        found += _pyramid_contradictions(part)
    if isinstance(part, SquarePlate | PyramidPlate):
        needed = part.screw_square_mm + part.screw_diameter_mm
        if part.side_mm <= needed:
            found.append(("side_mm", f"must be more than screw square and screw, {needed:g} mm"))
    if isinstance(part, Dummy):
        found += _dummy_contradictions(part)
    return found


def _pyramid_contradictions(part: PyramidPlate) -> list[tuple[str, str]]:
    found = []
    if part.thickness_mm > part.height_mm:
        found.append(
            (
                "thickness_mm",
                f"must be at most height_mm, {part.height_mm:g} mm to the dome's centre",
            )
        )
    if part.pyramid_root_mm > part.pyramid_top_mm:
        found.append(
            ("pyramid_root_mm", f"must be at most pyramid_top_mm, {part.pyramid_top_mm:g} mm")
        )
    return found


def _dummy_contradictions(part: Dummy) -> list[tuple[str, str]]:
    narrowest = part.body_diameter_mm - 2 * part.height_mm * math.tan(math.radians(part.draft_deg))
    if narrowest <= 0.0:
        return [("draft_deg", "is so steep that the dummy ends in a point; lessen it")]
    if (part.exit_diameter_mm is None) != (part.exit_length_mm is None):
        return [("exit_length_mm", "must stand together with exit_diameter_mm, or neither")]
    if part.exit_diameter_mm is not None and part.exit_diameter_mm >= part.height_mm:
        return [("exit_diameter_mm", f"must be less than height_mm, {part.height_mm:g} mm")]
    return []


class Catalogue(Plan):
    """Parts to choose from, the user's own first.

    Parameters
    ----------
    parts : tuple of entries, keys unique
    """

    parts: tuple[AnyPart, ...] = ()

    @model_validator(mode="after")
    def _unique(self) -> Catalogue:
        keys = [part.key for part in self.parts]
        if len(set(keys)) < len(keys):
            raise ValueError("a key is used twice")
        return self

    def get(self, key: str) -> AnyPart | None:
        """The entry under a key."""
        return next((part for part in self.parts if part.key == key), None)

    def of(self, *kinds: PartKind) -> tuple[AnyPart, ...]:
        """The entries of some kinds; the user's own alone where there is any of them."""
        found = tuple(part for part in self.parts if part.kind in kinds)
        own = tuple(part for part in found if not part.example)
        return own or found


KINDS: Mapping[str, type[AnyPart]] = {
    kind.value: model
    for model in (
        Lock,
        Valve,
        SquarePlate,
        PyramidPlate,
        TubeClamp,
        OffsetAdapter,
        Pylon,
        Foot,
        Dummy,
        DummyRing,
    )
    for kind in get_args(model.model_fields["kind"].annotation)
}
"""What an entry of each kind is checked against."""
