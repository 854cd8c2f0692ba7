"""What about the person decides whether a suspension can be lived with. None: nobody asked."""

from __future__ import annotations

from enum import Enum

from limbwright.core.plan import Plan


class Hands(str, Enum):
    """What the hands can do when donning and doffing."""

    FULL = "full"
    WEAK = "weak"
    """Aims and presses, cannot pull hard."""
    POOR = "poor"
    """Cannot grip or aim well."""


class Sight(str, Enum):
    """Sight, with glasses, at the distance of the limb's end."""

    FULL = "full"
    REDUCED = "reduced"
    POOR = "poor"


class Help(str, Enum):
    """Help that is there when donning."""

    NONE = "none"
    SOMETIMES = "sometimes"
    DAILY = "daily"


class Amount(str, Enum):
    """How much, as the practitioner judges."""

    LITTLE = "little"
    USUAL = "usual"
    MUCH = "much"


class FollowsInstructions(str, Enum):
    """How surely instructions for wear and care are followed."""

    RELIABLY = "reliably"
    MOSTLY = "mostly"
    POORLY = "poorly"


class Condition(Plan):
    """The person beside the limb."""

    hands: Hands | None = None
    sight: Sight | None = None
    help: Help | None = None
    follows_instructions: FollowsInstructions | None = None
    perspiration: Amount | None = None
    daily_volume_change: Amount | None = None
    pain_when_pulled: bool | None = None
    """Pain at the limb's end when the liner pulls there."""
    implanted_device: bool | None = None
    """A pacemaker or another implant that a magnet may disturb."""
    metal_dust: bool | None = None
    """Works among iron dust or chips."""
    both_sides: bool | None = None
    """Prosthesis on both sides."""
    kneels: bool | None = None
    """Kneels or bends the knee deeply, at work or in prayer."""
    short_thigh: bool | None = None
    full_thigh: bool | None = None
    """Much soft tissue or muscle above the knee."""
