"""How names of the document and the results are said in a sentence."""

from __future__ import annotations


def words(name: str) -> str:
    """A name as people read it.

    Examples
    --------
    >>> words("medial_tibial_flare"), words("mid_patellar_tendon")
    ('medial tibial flare', 'mid-patellar tendon')
    """
    return name.replace("mid_patellar", "mid-patellar").replace("_", " ")


def signed(value: float, digits: int = 0) -> str:
    """A change with its sign: a true minus, and none for what rounds to nothing.

    Examples
    --------
    >>> signed(4.6), signed(-8.68, 1), signed(-0.3)
    ('+5', '−8.7', '0')
    """
    text = f"{value:+.{digits}f}"
    return text[1:] if float(text) == 0.0 else text.replace("-", "−")
