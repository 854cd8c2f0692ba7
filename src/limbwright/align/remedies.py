"""What to do where the ranges of a leg's adapters do not suffice."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from limbwright.align.chain import Leg, stand
from limbwright.align.freedoms import Freedom, value_of
from limbwright.align.moves import FootChange, change_between
from limbwright.align.solve import Solution, exact

SHIFT_SEEN_MM = 0.05
TILT_SEEN_DEG = 0.05


@dataclass(frozen=True, slots=True)
class Remedy:
    """What is missing, and what would give it.

    Parameters
    ----------
    forward_mm, outward_mm : float
        Shift that no setting within the ranges gives, along the ground.
    seat_forward_mm, seat_outward_mm : float
        The same as a shift of the seat, in the plate's plane.
    up_mm, toe_out_deg : float
        What a shorter tube, and a turned one, would have to give.
    text : str
    """

    forward_mm: float
    outward_mm: float
    seat_forward_mm: float
    seat_outward_mm: float
    up_mm: float
    toe_out_deg: float
    text: str


def remedy_of(
    leg: Leg, wanted: FootChange, freedoms: Sequence[Freedom], nearest: Solution
) -> Remedy:
    """What is missing after the nearest setting, and which part would give it, in mm."""
    reached = change_between(leg, nearest.leg)
    forward = wanted.forward_mm - reached.forward_mm
    outward = wanted.outward_mm - reached.outward_mm
    up = 0.0 if wanted.up_mm is None else wanted.up_mm - (reached.up_mm or 0.0)
    out = 0.0 if wanted.toe_out_deg is None else wanted.toe_out_deg - (reached.toe_out_deg or 0.0)
    shift = stand(leg).ground_axes @ np.array([outward, forward, 0.0])
    seat_outward, seat_forward = leg.plate_axes[:, 0] @ shift, leg.plate_axes[:, 1] @ shift
    parts = []
    if math.hypot(forward, outward) > SHIFT_SEEN_MM:
        parts.append(
            f"within range the foot stays {shift_words(forward, outward)} short: use an offset"
            f" adapter of {math.hypot(forward, outward):.1f} mm that way, or shift the seat"
            f" {shift_words(float(seat_forward), float(seat_outward))}"
        )
    tilts = (wanted.flexion_deg - reached.flexion_deg, wanted.adduction_deg - reached.adduction_deg)
    if max(abs(angle) for angle in tilts) > TILT_SEEN_DEG:
        parts.append(
            f"{abs(tilts[0]):.1f} degrees of flexion and {abs(tilts[1]):.1f} of adduction are"
            " missing: tilt the seat by them"
        )
    if abs(up) > SHIFT_SEEN_MM:
        parts.append(f"set a tube {abs(up):.1f} mm {'shorter' if up > 0 else 'longer'}")
    if abs(out) > TILT_SEEN_DEG:
        way = "outward" if out > 0 else "inward"
        parts.append(f"turn the tube in its clamp, toes {abs(out):.1f} degrees {way}")
    lacking = _lacking(leg, wanted, freedoms)
    reasons = f"{'; '.join(lacking)}. " if lacking else ""
    told = "; ".join(parts)
    told = f"{told[:1].upper()}{told[1:]}." if told else "Use another adapter, or a new seat."
    return Remedy(
        forward,
        outward,
        float(seat_forward),
        float(seat_outward),
        up,
        out,
        f"Not within the adapters' range: {reasons}{told}",
    )


def settable(wanted: FootChange, freedoms: Sequence[Freedom]) -> FootChange:
    """What is wanted without height and toe-out where no adapter sets them: a tube can be cut."""
    ways = {one.what for one in freedoms}
    return replace(
        wanted,
        up_mm=wanted.up_mm if "length" in ways else None,
        toe_out_deg=wanted.toe_out_deg if "turn" in ways else None,
    )


def shift_words(forward_mm: float, outward_mm: float) -> str:
    """A shift in words: "3.1 mm forward and 0.4 mm inward"."""
    parts = [
        f"{abs(value):.1f} mm {positive if value > 0 else negative}"
        for value, positive, negative in (
            (forward_mm, "forward", "back"),
            (outward_mm, "outward", "inward"),
        )
        if abs(value) >= SHIFT_SEEN_MM
    ]
    return " and ".join(parts) if parts else "nothing"


def _lacking(leg: Leg, wanted: FootChange, freedoms: Sequence[Freedom]) -> list[str]:
    """Which adapter would have to go beyond its range, if ranges were no matter."""
    free = exact(leg, settable(wanted, freedoms), freedoms)
    if not free.met:
        return []
    lacking = []
    for one in freedoms:
        if not one.is_screwed:
            continue
        room = math.degrees(one.range - one.reserve)
        angle = math.degrees(value_of(free.leg, one))
        farther = abs(angle) > abs(math.degrees(value_of(leg, one))) + TILT_SEEN_DEG
        if farther and abs(angle) > room:
            lacking.append(
                f"{one.adapter.name} {one.what} would stand at {angle:.1f} degrees,"
                f" {abs(angle) - room:.1f} beyond the {room:.1f} that leave a reserve"
            )
    return lacking
