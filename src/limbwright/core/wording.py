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
