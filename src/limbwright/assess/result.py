"""What follows from the person alone."""

from __future__ import annotations

from dataclasses import dataclass

from limbwright.core.findings import Finding
from limbwright.core.sources import Basis


@dataclass(frozen=True, slots=True)
class Assessment:
    """Loads and guards that follow from the person.

    Parameters
    ----------
    body_weight_n : float
    speed_m_s : float
        Walking speed used for loads.
    speed_basis : Basis
    load_level : str or None
        ISO 10328 level by mass ("P3", "P4", "P5"); None where no level is established.
    foot_length_mm : float
    foot_length_basis : Basis
    findings : tuple of Finding
    """

    body_weight_n: float
    speed_m_s: float
    speed_basis: Basis
    load_level: str | None
    foot_length_mm: float
    foot_length_basis: Basis
    findings: tuple[Finding, ...]
