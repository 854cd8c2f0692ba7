"""How much a place carries, in words that read right from nothing to the most."""

from __future__ import annotations


def amount_words(kpa: float, what: str) -> str:
    """A pressure or a shear as a sentence begins: "No pressure", "Less than 1 kPa of shear"."""
    if kpa <= 0.0:
        return f"No {what}"
    number = "Less than 1" if kpa < 0.5 else f"{kpa:.0f}"
    return f"{number} kPa of {what}"


def limit_words(share: float | None) -> str:
    """How much of a place's working limit is used; nothing where no limit is known or used."""
    if share is None or share <= 0.0:
        return ""
    percent = "less than 1" if share < 0.005 else f"{100 * share:.0f}"
    return f", {percent} % of its working limit"


def rank_words(percent: float) -> str:
    """Where a place stands among all the skin that the socket covers."""
    if percent <= 0.0:
        return "no part of the covered skin carries less"
    if percent < 0.5:
        return "hardly any of the covered skin carries less"
    if percent >= 99.5:
        return "hardly any of the covered skin carries more"
    return f"{percent:.0f} % of the covered skin carries less"
