"""Bench alignment, adapters, what is wanted and what was seen: part of the case document.

Angles in degrees, shifts in mm, as a practitioner states them. None takes a marked default.
"""

from __future__ import annotations

from enum import Enum

from pydantic import Field

from limbwright.core.plan import Plan


class AdapterPlace(str, Enum):
    """At which end of the tube an adapter sits."""

    SOCKET = "socket"
    FOOT = "foot"


class AdapterKind(str, Enum):
    """What an adapter lets one set."""

    PYRAMID = "pyramid"
    """Four screws about a ball: two tilts."""
    TUBE_CLAMP = "tube_clamp"
    """The tube turned in its clamp and drawn out of it."""
    SLIDE = "slide"
    """A plate that slides both ways on another."""
    ROTATION = "rotation"
    """Two plates turned on each other, held by four bolts."""
    OFFSET = "offset"
    """A step aside, fixed unless a range is stated."""


class AdapterPlan(Plan):
    """One adapter of the chain from socket to foot.

    The list runs from the socket down. Each end of the tube has a main pyramid: the first that
    is listed at the socket, the last at the foot; an end that lists none has a default one.
    Everything else is added to the chain where it stands in the list.

    Settings count from where bench alignment put the leg: 0 is the leg as it left the bench. Tilts
    are positive when the part above leans forward (flexion) or outward (adduction) over the part
    below; at the foot, positive flexion is dorsiflexion. Shifts and turns are those of the part
    below.
    """

    place: AdapterPlace
    kind: AdapterKind = AdapterKind.PYRAMID
    flexion_deg: float = Field(default=0.0, ge=-20, le=20)
    adduction_deg: float = Field(default=0.0, ge=-20, le=20)
    forward_mm: float = Field(default=0.0, ge=-40, le=40)
    """Slide and adjustable offset: forward along its own axes."""
    outward_mm: float = Field(default=0.0, ge=-40, le=40)
    """Slide: outward along its own axes."""
    turn_deg: float = Field(default=0.0, ge=-180, le=180)
    """Tube clamp and rotation: toes outward positive."""
    length_mm: float = Field(default=0.0, ge=-40, le=40)
    """Tube clamp: tube drawn out of it, the leg longer."""
    offset_mm: float = Field(default=0.0, ge=0, le=60)
    """Offset adapter: its step, in the direction of its azimuth."""
    azimuth_deg: float = Field(default=0.0, ge=-180, le=180)
    """How far its own forward is turned outward from the leg's."""
    height_mm: float | None = Field(default=None, ge=0, le=150)
    """Of an added adapter; the main pyramids' heights stand with the parts."""
    range_deg: float | None = Field(default=None, ge=1, le=180)
    range_mm: float | None = Field(default=None, ge=0.5, le=60)
    screw_pitch_mm: float | None = Field(default=None, ge=0.3, le=3)
    screw_arm_mm: float | None = Field(default=None, ge=4, le=40)


class GaitPhase(str, Enum):
    """When in the stride something is seen."""

    LOADING = "loading"
    MID = "mid_stance"
    LATE = "late_stance"
    SWING = "swing"
    ALL = "whole_stride"


class Deviation(str, Enum):
    """What is seen of the walk."""

    KNEE_FLEXES_TOO_FAST = "knee_flexes_too_fast"
    KNEE_STAYS_STRAIGHT = "knee_stays_straight"
    FOOT_SLAPS = "foot_slaps"
    FOREFOOT_TURNS_OUT = "forefoot_turns_out_at_contact"
    KNEE_THRUSTS_OUTWARD = "knee_thrusts_outward"
    KNEE_THRUSTS_INWARD = "knee_thrusts_inward"
    PYLON_LEANS_INWARD = "pylon_leans_inward"
    PYLON_LEANS_OUTWARD = "pylon_leans_outward"
    TRUNK_LEANS_OVER = "trunk_leans_to_the_prosthetic_side"
    DROPS_OFF = "drops_off_the_toe"
    HEEL_RISES_LATE = "heel_rises_late"
    PISTONS = "socket_pistons"
    TOE_DRAGS = "toe_drags"
    WHIPS = "foot_whips"
    VAULTS = "vaults"
    CIRCUMDUCTS = "swings_around"


class Observation(Plan):
    """Something seen while the person walked."""

    phase: GaitPhase
    what: Deviation


class AlignPlan(Plan):
    """What the practitioner sets on the bench."""

    socket_flexion_deg: float | None = Field(default=None, ge=-10, le=50)
    socket_adduction_deg: float | None = Field(default=None, ge=-15, le=20)
    foot_inset_mm: float | None = Field(default=None, ge=-60, le=60)
    """Foot medial of the plumb line through the socket's centre at datum: positive."""
    foot_forward_mm: float | None = Field(default=None, ge=-80, le=80)
    """Foot's bench point forward of where the default puts it: positive."""
    toe_out_deg: float | None = Field(default=None, ge=-20, le=30)
    foot_heel_mm: float | None = Field(default=None, ge=0, le=80)
    """Heel height that the foot is built for; None: taken to be the shoe's."""
    shoe_forefoot_mm: float | None = Field(default=None, ge=0, le=60)
    """Thickness of the shoe's sole under the forefoot; None: the heel is stated as a rise."""
    adapters: tuple[AdapterPlan, ...] = (
        AdapterPlan(place=AdapterPlace.SOCKET),
        AdapterPlan(place=AdapterPlace.FOOT),
    )
    wanted_forward_mm: float = Field(default=0.0, ge=-60, le=60)
    """A wanted change of foot position and tilt, answered with screw turns; signs as above."""
    wanted_outward_mm: float = Field(default=0.0, ge=-60, le=60)
    wanted_foot_flexion_deg: float = Field(default=0.0, ge=-15, le=15)
    wanted_foot_adduction_deg: float = Field(default=0.0, ge=-15, le=15)
    wanted_up_mm: float | None = Field(default=None, ge=-40, le=40)
    """Foot up, the leg shorter: positive. None leaves the length to what the angles do."""
    wanted_toe_out_deg: float | None = Field(default=None, ge=-30, le=30)
    """Toes further out: positive. None leaves it to what the angles do."""
    wanted_coronal_n_m: float | None = Field(default=None, ge=-80, le=80)
    """Wanted coronal moment on the socket at mid-stance; takes the place of a wanted outward
    shift."""
    wanted_sagittal_n_m: float | None = Field(default=None, ge=-150, le=150)
    """Wanted sagittal moment on the socket at mid-stance; takes the place of a wanted forward
    shift."""
    observed: tuple[Observation, ...] = ()
