"""The trade's words beside the standards' terms."""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum

from limbwright.assess.description import (
    AxialStabilization,
    LimbDescription,
    LimbShape,
    Musculature,
    SocketDescription,
    TissueConsistency,
)

TRADE_WORDS: Mapping[str, str] = {
    f"axial_stabilization.{AxialStabilization.PROXIMAL.value}": "patellar-tendon bearing",
    f"axial_stabilization.{AxialStabilization.DISTAL.value}": "end bearing",
    f"axial_stabilization.{AxialStabilization.TOTAL_SOCKET.value}": "total surface bearing (a name"
    " that ISO 13405-2 discourages)",
    f"shape.{LimbShape.BULBOUS.value}": "club-shaped",
    f"musculature.{Musculature.ATTACHED.value}": "myodesis or myoplasty holding",
    f"tissue_consistency.{TissueConsistency.INDURATED.value}": "hardened",
}
"""Field and term, to what is said at the bench."""


def trade_words(limb: LimbDescription, socket: SocketDescription) -> tuple[str, ...]:
    """Each selected term of the standards, with the trade's word where there is another."""
    words = []
    for plan in (limb, socket):
        for name, value in plan:
            if not isinstance(value, Enum):
                continue
            other = TRADE_WORDS.get(f"{name}.{value.value}")
            term = f"{name.replace('_', ' ')}: {value.value}"
            words.append(f"{term} ({other})" if other else term)
    return tuple(words)
