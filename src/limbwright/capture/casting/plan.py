"""What is decided before a cast is taken: tape, water, film and filling. Part of the document."""

from __future__ import annotations

from pydantic import Field

from limbwright.core.plan import Plan


class CastingPlan(Plan):
    """The cast to be wrapped over limb and liner, and how its model is filled."""

    walked_in: bool | None = None
    """Whether the cast itself will be walked in; None: as the socket's process says."""
    tape_width_mm: float = Field(default=100.0, ge=20, le=200)
    tape_length_mm: float = Field(default=3600.0, ge=500, le=10000)
    layers: int | None = Field(default=None, ge=1, le=40)
    """None: by body mass and by whether it is walked in."""
    waste_percent: float = Field(default=20.0, ge=0, le=100)
    above_trim_mm: float = Field(default=30.0, ge=0, le=150)
    """How far over the trim line the wrap goes."""
    water_c: float = Field(default=22.0, ge=0, le=60)
    hot_water_confirmed: bool = False
    """True when water above the limit is meant, with what protects the skin."""
    film: bool = True
    """A thin plastic film between liner and tape."""
    film_mm: float = Field(default=0.03, ge=0.005, le=0.5)
    dummy_in_place: bool = True
    """Whether the cast is filled with the coupling's dummy left in it."""
    plaster_water_percent: float = Field(default=70.0, ge=30, le=120)
    """Water by mass of the powder."""
