"""Hardware solids of catalogue parts, as files."""

from __future__ import annotations

from collections.abc import Iterable

from limbwright.core.errors import BadInput
from limbwright.couple.catalogue import AnyPart, Catalogue
from limbwright.couple.in_hand import in_hand, named_parts
from limbwright.couple.part_solid import part_mesh
from limbwright.couple.part_step import step_bytes
from limbwright.couple.plan import CouplePlan
from limbwright.make.formats import threemf_of
from limbwright.make.making import as_written


def chosen_parts(
    catalogue: Catalogue, keys: Iterable[str], plan: CouplePlan | None
) -> tuple[AnyPart, ...]:
    """The parts asked for by key, else those that a case names, each once.

    Raises
    ------
    BadInput
        When a key is in no catalogue, or nothing is asked for and the case names no part.
    InvalidCase
        When the case names a part that is not there.
    """
    asked = list(dict.fromkeys(keys))
    unknown = [key for key in asked if catalogue.get(key) is None]
    if unknown:
        raise BadInput(
            f"No catalogue has the part {', '.join(unknown)}; `limbwright hardware --list` shows"
            " those there are.",
            where=unknown[0],
        )
    if asked:
        return tuple(part for key in asked if (part := catalogue.get(key)) is not None)
    named = named_parts(in_hand(plan, catalogue)) if plan is not None else {}
    if not named:
        raise BadInput(
            "No part is asked for: name some with --part, or a case whose couple.catalogue names"
            " some; `limbwright hardware --list` shows those there are."
        )
    return tuple({part.key: part for part in named.values()}.values())


def hardware_files(parts: Iterable[AnyPart], *, step: bool = False) -> dict[str, bytes]:
    """Name and content of each part's files: 3MF, and STEP where asked for.

    Raises
    ------
    BadInput
        When STEP is asked for and its optional extra is not installed.
    DesignRefused
        When a part's solid cannot be made.
    """
    files: dict[str, bytes] = {}
    for part in parts:
        files[f"{part.key}.3mf"] = threemf_of(as_written(part_mesh(part)), part.key)
        if step:
            files[f"{part.key}.step"] = step_bytes(part)
    return files
